"""The glossary on paper: every term and every drawing is there, and nothing is fetched."""

import json

from inspect_app.config import settings_for, shared_dir
from inspect_app.domain.part import PartKind
from inspect_app.output.learning_paper import learning_data, learning_html
from inspect_app.store.checklist import load_shelf
from inspect_app.store.reference import glossary_at

TERMS = glossary_at(shared_dir())[0]


def document(tmp_path, *, drawings: bool) -> dict:  # type: ignore[no-untyped-def, type-arg]
    shelf = load_shelf(settings_for(tmp_path))
    points = {point.id: point for one in shelf.checklists.values() for point in one.points()}
    made = json.loads(learning_data(TERMS, points if drawings else None))
    return {**made, "made_at": "2026-11-28T00:00:00Z"}


def test_the_paper_has_every_term_and_every_drawing(tmp_path) -> None:  # type: ignore[no-untyped-def]
    html = learning_html(document(tmp_path, drawings=True))
    for term in TERMS:
        assert f">{term.word}<" in html
    assert html.count("<svg") == len(PartKind)
    assert "http://" not in html.replace("http://www.w3.org/2000/svg", "")


def test_without_drawings_no_term_leads_anywhere(tmp_path) -> None:  # type: ignore[no-untyped-def]
    html = learning_html(document(tmp_path, drawings=False))
    assert "<svg" not in html
    assert "href=" not in html
