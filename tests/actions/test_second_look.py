"""Second looks from the signature of one walk to the answer of another person on the next."""

import hashlib
import json
from datetime import timedelta

import pytest
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.pack import prepare_pack
from inspect_app.actions.part import replace_part
from inspect_app.actions.second_look import set_second_look_share
from inspect_app.actions.walk import countersign_entries
from inspect_app.config import Settings
from inspect_app.domain.errors import NotAllowed
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.domain.second_look import LAPSES_AFTER, draw
from inspect_app.domain.walk import How
from inspect_app.store.journal import list_journal
from inspect_app.store.second_look import get_draw, list_compared, list_draws, list_wanted
from tests.walk_builder import BuiltWalk, Phone, add_person

TAGS = ("HB 1", "HB 2", "LB 1-1", "LB 1-2")


@pytest.fixture
def everything_drawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """A seed under which all the entries of these tests are drawn cannot be had: the share is raised for the test."""
    monkeypatch.setattr("inspect_app.actions.second_look.percent_of", lambda settings: "100")


def test_a_signature_draws_among_the_sound_entries_and_the_journal_holds_the_draw(
    db: Database, walk: BuiltWalk, everything_drawn: None
) -> None:
    for tag in TAGS[:3]:
        walk.look(tag)
    walk.finding(TAGS[3])
    walk.close()
    walk.sign()
    made = get_draw(db, walk.house.id, walk.id)
    assert made is not None
    assert len(made.candidates) == 3
    kept = {row.second.entry for row in list_wanted(db, walk.house.id)}
    assert kept == set(draw(made.seed, "100", made.candidates))
    content = json.dumps([made.seed.hex(), "100", list(made.candidates), list(made.candidates)]).encode()
    (named,) = [one for row in list_journal(db) for one in row.items if one.table == "second_look_draw"]
    assert named.sha256 == hashlib.sha256(content).hexdigest()


def test_another_person_answers_on_the_next_walk_and_the_first_cannot(
    db: Database, settings: Settings, house: House, walk: BuiltWalk, everything_drawn: None
) -> None:
    walk.look("HB 1")
    walk.look("HB 2")
    walk.close()
    walk.sign()
    other = add_person(db, house, "Tom Quill", Role.TD)
    phone = Phone(db, house, other, "Second phone")
    walk.id, walk.at, walk.sent = clock.new_id(), walk.at + timedelta(days=30), {}
    walk.open()
    walk.look("HB 1", phone=phone)
    walk.finding("HB 2", phone=phone, point=walk.points("HB 2")[1])
    walk.look("HB 2")  # by the person who made the first: answers nothing
    walk.close()
    walk.close(phone)
    walk.sign()
    compared = list_compared(db, house.id)
    assert {row.agrees for row in compared if row.tag == "HB 1"} == {True}
    assert [(row.point, row.agrees) for row in compared if row.tag == "HB 2"] == [(walk.points("HB 2")[1], False)]
    assert {row.second.walk for row in list_wanted(db, house.id)} == {walk.id}


def go_again(walk: BuiltWalk) -> None:
    """The next walk, a month later."""
    walk.id, walk.at, walk.sent = clock.new_id(), walk.at + timedelta(days=30), {}
    walk.open()


def test_who_countersigned_the_first_look_or_called_the_second_from_aloft_answers_nothing(
    db: Database, house: House, walk: BuiltWalk, everything_drawn: None
) -> None:
    helper = add_person(db, house, "Kit Moss", Role.HELPER)
    helpers_phone = Phone(db, house, helper, "Helper's phone")
    seen = walk.look("HB 1", phone=helpers_phone)
    walk.look("HB 2")
    countersign_entries(
        db, at=walk.at, actor=walk.td.id, house=house.id, walk=walk.id, entries=[seen], how=How.BESIDE_THEM
    )
    walk.close(helpers_phone)
    walk.close()
    walk.sign()
    other = Phone(db, house, add_person(db, house, "Tom Quill", Role.TD), "Second phone")
    go_again(walk)
    walk.look("HB 1")  # by who countersigned the first
    walk.look("HB 2", phone=other, called_by=walk.td.id)  # called by who made the first
    walk.close(other)
    walk.close()
    walk.sign()
    assert list_compared(db, house.id) == []
    go_again(walk)
    walk.look("HB 1", phone=other)
    walk.look("HB 2", phone=other)
    walk.close(other)
    walk.close()
    walk.sign()
    assert {row.tag for row in list_compared(db, house.id)} == {"HB 1", "HB 2"}


def test_what_was_replaced_since_the_first_look_is_not_compared_or_asked_for(
    db: Database, house: House, walk: BuiltWalk, everything_drawn: None
) -> None:
    walk.look("HB 1")
    walk.look("HB 2")
    walk.close()
    walk.sign()
    replace_part(
        db, at=walk.at, actor=walk.td.id, house=house.id, part=walk.part("HB 1").id, on=walk.at.date(), lot="B-2",
        attributes={}, reason="cracked",
    )  # fmt: skip
    assert [row.tag for row in list_wanted(db, house.id)] == ["HB 2"]
    other = Phone(db, house, add_person(db, house, "Tom Quill", Role.TD), "Second phone")
    go_again(walk)
    walk.look("HB 1", phone=other)
    walk.look("HB 2", phone=other)
    walk.close(other)
    walk.close()
    walk.sign()
    assert {row.tag for row in list_compared(db, house.id)} == {"HB 2"}


def test_the_phones_of_others_are_told_where_to_look_and_not_what_was_found(
    db: Database, settings: Settings, house: House, walk: BuiltWalk, everything_drawn: None
) -> None:
    walk.look("HB 1")
    walk.close()
    walk.sign()
    other = Phone(db, house, add_person(db, house, "Tom Quill", Role.TD), "Second phone")
    told = {}
    for phone in (walk.phone, other):
        made = prepare_pack(db, settings, at=walk.at, device=phone.device, roles=frozenset({Role.TD}))
        told[phone.person.name] = json.loads(made.body)["second_looks"]
    (row,) = list_wanted(db, house.id)
    assert told["Ines Halloran"] == {}
    assert told["Tom Quill"] == {row.second.part: [{"pass": row.second.in_pass, "points": list(row.second.points)}]}
    lapsed = prepare_pack(
        db, settings, at=walk.at + LAPSES_AFTER + timedelta(hours=1), device=other.device, roles=frozenset({Role.TD})
    )
    assert json.loads(lapsed.body)["second_looks"] == {}


def test_a_share_of_nothing_draws_nothing(db: Database, walk: BuiltWalk) -> None:
    set_second_look_share(db, at=walk.at, actor=walk.td.id, house=walk.house.id, percent="0")
    walk.look("HB 1")
    walk.close()
    walk.sign()
    assert get_draw(db, walk.house.id, walk.id) is None
    assert list_draws(db, walk.house.id) == []


def test_a_helper_does_not_set_the_share(db: Database, house: House, walk: BuiltWalk) -> None:
    helper = add_person(db, house, "Kit Moss", Role.HELPER)
    with pytest.raises(NotAllowed):
        set_second_look_share(db, at=walk.at, actor=helper.id, house=house.id, percent="5")
