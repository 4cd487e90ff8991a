"""An event recorded by mistake: two people, both named, and only its own holds end."""

from typing import Any

import pytest
from sqlite_utils import Database
from sqlite_utils.utils import sqlite3

from inspect_app.actions.event import allow_approach, open_event_walk, record_event
from inspect_app.actions.event_withdrawal import ask_event_withdrawal, confirm_event_withdrawal
from inspect_app.actions.tag_out import stop_thing
from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed, NotFound
from inspect_app.domain.event import Danger, Event, EventKind
from inspect_app.domain.house import House
from inspect_app.domain.ids import to_key
from inspect_app.domain.role import Role
from inspect_app.domain.tag_out import TagState
from inspect_app.store.checklist import load_shelf
from inspect_app.store.event import get_event, list_events, list_held_by
from inspect_app.store.house import list_line_sets
from inspect_app.store.set_note import keep_off_sets
from inspect_app.store.tag_out import get_ending, get_tag_out, list_standing
from tests.walk_builder import START, add_person

WHY = "the wrong house line was read over the radio; nothing happened"


class Told:
    """An event on the first set, who recorded it and a second person."""

    def __init__(self, db: Database, house: House) -> None:
        self.db, self.house = db, house
        self.teller, self.second = add_person(db, house, "Sam", Role.HELPER), add_person(db, house, "Ines", Role.HELPER)
        self.hit = list_line_sets(db, house.id)[0].id
        self.event = self.happened(Danger.NOT_KNOWN)

    def happened(self, danger: Danger, by: str = "") -> str:
        return record_event(
            self.db, at=START, actor=by or self.teller.id, house=self.house.id, kind=EventKind.SHOCK, danger=danger,
            what="snagged", line_set=self.hit,
        )  # fmt: skip

    def ask(self, who: str, reason: str = WHY) -> None:
        ask_event_withdrawal(self.db, at=START, actor=who, house=self.house.id, event=self.event, reason=reason)

    def confirm(self, who: str) -> int:
        return len(confirm_event_withdrawal(self.db, at=START, actor=who, house=self.house.id, event=self.event))

    def found(self) -> Event:
        found = get_event(self.db, self.house.id, self.event)
        assert found is not None
        return found

    def states(self) -> set[TagState]:
        keys = list_held_by(self.db, self.house.id, self.event)
        return {tag.state for key in keys if (tag := get_tag_out(self.db, self.house.id, key))}


@pytest.fixture
def told(db: Database, house: House) -> Told:
    return Told(db, house)


def test_one_person_alone_cannot_withdraw_an_event(told: Told) -> None:
    with pytest.raises(Conflict, match="has not said"):
        told.confirm(told.teller.id)
    with pytest.raises(NotAllowed, match="Only the person who recorded it, Sam"):
        told.ask(told.second.id)
    with pytest.raises(BadValue) as refused:
        told.ask(told.teller.id, " ")
    assert refused.value.field == "reason"
    told.ask(told.teller.id)
    assert told.states() == {TagState.STANDING}, "asked is not withdrawn"
    assert told.found().walk_blocked
    with pytest.raises(NotAllowed, match="second person"):
        told.confirm(told.teller.id)
    with pytest.raises(Conflict, match="asked already"):
        told.ask(told.teller.id)
    assert told.states() == {TagState.STANDING}
    assert told.found().withdrawn is None


def test_two_people_withdraw_it_and_it_stays_in_the_record_with_both_names(told: Told) -> None:
    told.ask(told.teller.id)
    assert told.confirm(told.second.id) == len(list_held_by(told.db, told.house.id, told.event)) > 0
    found = told.found()
    assert [one.id for one in list_events(told.db, told.house.id)] == [told.event]
    assert found.withdrawn is not None
    assert (found.withdrawn.by_name, found.withdrawn.second_name, found.withdrawn.reason) == ("Sam", "Ines", WHY)
    assert not found.walk_blocked
    assert told.states() == {TagState.WITHDRAWN}
    ending = get_ending(told.db, list_held_by(told.db, told.house.id, told.event)[0])
    assert ending is not None
    assert (ending.by_name, ending.second_name) == ("Sam", "Ines")
    for again in (told.ask, told.confirm):
        with pytest.raises(Conflict, match="was withdrawn"):
            again(told.second.id)
    actions = [row[0] for row in told.db.execute("SELECT action FROM journal ORDER BY n DESC LIMIT 2").fetchall()]
    assert actions == ["event.withdraw", "event.ask_withdrawal"]


def test_only_the_holds_of_this_event_end(told: Told) -> None:
    other = told.happened(Danger.YES)
    stop = stop_thing(told.db, at=START, actor=told.teller.id, house=told.house.id, why="frayed", line_set=told.hit)
    told.ask(told.teller.id)
    told.confirm(told.second.id)
    stands = list_standing(told.db, told.house.id)
    assert {one.id for one in stands} == {stop, *list_held_by(told.db, told.house.id, other)}
    assert told.hit in {one.line_set for one in stands}, "something else holds it"
    assert told.hit in keep_off_sets(told.db, told.house.id), "of the other event nobody said who may approach"


def test_nothing_follows_a_withdrawn_event(told: Told, settings: Settings) -> None:
    told.ask(told.teller.id)
    told.confirm(told.second.id)
    td = add_person(told.db, told.house, "Mara", Role.TD)
    args: dict[str, Any] = {"at": START, "actor": td.id, "house": told.house.id, "event": told.event}
    with pytest.raises(Conflict, match="was withdrawn"):
        open_event_walk(told.db, today=START.date(), shelf=load_shelf(settings), **args)
    with pytest.raises(Conflict, match="was withdrawn"):
        allow_approach(told.db, **args, name="M. Vance", credential="inspector", who="Ines", how="harness")


@pytest.mark.parametrize("when", ["before it is asked", "before it is confirmed"])
def test_an_event_whose_inspection_is_signed_stands(told: Told, settings: Settings, when: str) -> None:
    told.event = told.happened(Danger.NO)
    walk = open_event_walk(
        told.db, at=START, today=START.date(), actor=told.teller.id, house=told.house.id, event=told.event,
        shelf=load_shelf(settings),
    )  # fmt: skip
    if when == "before it is confirmed":
        told.ask(told.teller.id)
    told.db.execute("UPDATE walk SET state = 'sealed' WHERE id = ?", (to_key(walk),))
    with pytest.raises(Conflict, match="is signed"):
        told.confirm(told.second.id) if told.found().ask else told.ask(told.teller.id)
    assert told.states() == {TagState.STANDING}


def test_the_database_itself_wants_two_people_and_an_ask(told: Told) -> None:
    sam, ines = to_key(told.teller.id), to_key(told.second.id)
    insert = "INSERT INTO event_withdrawal(event, by, second, at, reason) VALUES (?,?,?,'a','x')"
    with pytest.raises(sqlite3.IntegrityError, match="FOREIGN KEY"):
        told.db.execute(insert, (to_key(told.event), sam, ines))
    told.ask(told.teller.id)
    with pytest.raises(sqlite3.IntegrityError, match="CHECK"):
        told.db.execute(insert, (to_key(told.event), sam, sam))


def test_an_event_of_another_house_is_not_found(told: Told, other_house: House) -> None:
    stranger = add_person(told.db, other_house, "Kim", Role.TD)
    with pytest.raises(NotFound):
        ask_event_withdrawal(
            told.db, at=START, actor=stranger.id, house=other_house.id, event=told.event, reason="not ours"
        )
    told.ask(told.teller.id)
    with pytest.raises(NotFound):
        confirm_event_withdrawal(told.db, at=START, actor=stranger.id, house=other_house.id, event=told.event)
