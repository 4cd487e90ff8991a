"""Checklists as values."""

from pathlib import Path

from inspect_app.config import settings_for
from inspect_app.domain.checklist import checklist_from_json, checklist_to_json
from inspect_app.store.checklist import load_shelf


def test_the_json_form_of_a_checklist_reads_back_equal(tmp_path: Path) -> None:
    shelf = load_shelf(settings_for(tmp_path))
    assert shelf.checklists
    for checklist in shelf.checklists.values():
        assert checklist_from_json(checklist_to_json(checklist)) == checklist
