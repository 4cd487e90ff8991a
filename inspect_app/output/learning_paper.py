"""The glossary and the drawings of all kinds of parts as HTML and PDF, to be printed and kept at the rail."""

import json
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from inspect_app.domain.checklist import Point
from inspect_app.domain.glossary import Term, by_letter
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_kind import KIND_WORDS
from inspect_app.output.paper_page import PAPERS, fill_template, paper_style, write_paper
from inspect_app.output.part_drawing import NOT_TO_SCALE, draw_part, drawing_of, letters_of

KIND = "learning_paper"


def learning_data(terms: Sequence[Term], points: Mapping[str, Point] | None = None) -> bytes:
    """The document as JSON for the render process: the terms, and with `points` each kind of part with its places and
    what they ask."""
    letters = [(letter, [_term(term) for term in rows]) for letter, rows in by_letter(tuple(terms))]
    kinds = [_kind(kind, points) for kind in PartKind] if points is not None else []
    return json.dumps({"letters": letters, "kinds": kinds}, ensure_ascii=False).encode()


def _term(term: Term) -> dict[str, str]:
    part = term.part.value if term.part else ""
    return {
        "word": term.word, "says": term.says, "uk": term.uk, "also": term.also, "part": part, "rests_on": term.rests_on
    }  # fmt: skip


def _kind(kind: PartKind, points: Mapping[str, Point]) -> dict[str, Any]:
    drawing = drawing_of(kind)
    places = [
        {"letter": letter, "title": place.title, "asks": [points[one].ask for one in place.points if one in points]}
        for letter, place in letters_of(drawing)
    ]
    return {"kind": kind.value, "title": KIND_WORDS[kind].one, "view": drawing.view, "places": places}


def learning_html(document: Mapping[str, Any]) -> str:
    """The document as HTML; every text is escaped and checked against the typeface."""
    drawings = {one["kind"]: draw_part(PartKind(one["kind"]), "paper") for one in document["kinds"]}
    return fill_template("learning.html", **document, drawings=drawings, not_to_scale=NOT_TO_SCALE)


def render_learning_paper(data: bytes, paper: str, made_at: str, say: Callable[[str], None]) -> bytes:
    """The PDF of the glossary with the drawings. Equal input gives equal bytes."""
    say("Writing the glossary")
    document = json.loads(data)
    document["made_at"] = made_at
    return write_paper(learning_html(document), paper_style("learning.css"), PAPERS[paper])
