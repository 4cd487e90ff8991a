"""What is held is read again, typed in or set aside; its text stays."""

import json

import pytest

from inspect_app.actions.held import read_held_again, resolve_typed, set_held_aside
from inspect_app.actions.ingest import ingest_entries
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed, NotFound
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.domain.strict_json import WireItem
from inspect_app.store.checklist import freeze_revision, load_shelf
from inspect_app.store.db import write_transaction
from inspect_app.store.entry import get_held, list_held
from tests.walk_builder import BuiltWalk, add_person


def hold_unknown_revision(walk: BuiltWalk) -> str:
    """A look by a checklist that this program has never seen."""
    walk.phone.seq += 1
    monthly = load_shelf(walk.settings).checklists["rail-deck-monthly"]
    entry = {
        "schema": 1, "kind": "look", "id": "01a211fe-1133-730f-8c8f-92b89790693a", "house": walk.house.id,
        "walk": walk.id, "device": walk.phone.device.id, "seq": walk.phone.seq, "recorded_at": walk.at.isoformat(),
        "by": walk.td.id, "part": walk.part("HB 1").id, "checklist": monthly.id, "revision": monthly.revision,
        "pass": "rail/static", "points": [], "result": "not_reached", "ways": [], "reason": "dark",
    }  # fmt: skip
    text = json.dumps(entry)
    (verdict,) = ingest_entries(walk.db, at=walk.at, device=walk.phone.device, items=[WireItem(text, entry, "")])
    assert verdict.verdict == "held"
    return list_held(walk.db, walk.house.id)[-1].id


def again(walk: BuiltWalk, held: str) -> None:
    read_held_again(walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, held=held)


def test_a_held_entry_is_stored_once_what_it_names_has_arrived(walk: BuiltWalk) -> None:
    held = hold_unknown_revision(walk)
    with pytest.raises(Conflict, match="Still held"):
        again(walk, held)
    shelf = load_shelf(walk.settings)
    with write_transaction(walk.db):
        freeze_revision(walk.db, shelf.checklists["rail-deck-monthly"], shelf.sources["rail-deck-monthly"], walk.at)
    again(walk, held)
    assert [look.reason for look in walk.record.looks] == ["dark"]
    row = get_held(walk.db, walk.house.id, held)
    assert row is not None
    assert row.resolved_as.startswith("read again")
    assert b"rail/static" in row.raw


def test_setting_aside_needs_a_reason_and_happens_once(walk: BuiltWalk) -> None:
    held = hold_unknown_revision(walk)
    args = {"at": walk.at, "actor": walk.td.id, "house": walk.house.id, "held": held}
    with pytest.raises(BadValue):
        set_held_aside(walk.db, **args, reason=" ")
    set_held_aside(walk.db, **args, reason="sent twice")
    with pytest.raises(Conflict):
        resolve_typed(walk.db, **args, entries=["x"])


def test_only_who_signs_deals_with_held_entries_of_their_own_house(walk: BuiltWalk, other_house: House) -> None:
    held = hold_unknown_revision(walk)
    helper = add_person(walk.db, walk.house, "Sam", Role.HELPER)
    stranger = add_person(walk.db, other_house, "Al", Role.TD)
    with pytest.raises(NotAllowed):
        set_held_aside(walk.db, at=walk.at, actor=helper.id, house=walk.house.id, held=held, reason="x")
    with pytest.raises(NotFound):
        set_held_aside(walk.db, at=walk.at, actor=stranger.id, house=other_house.id, held=held, reason="x")
