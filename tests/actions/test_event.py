"""Events: the first question blocks the walk, the set and its neighbours go on hold, the inspection opens once."""

import json
from datetime import timedelta

import pytest
from sqlite_utils import Database

from inspect_app.actions.event import allow_approach, open_event_walk, record_event
from inspect_app.actions.tag_out import ask_withdrawal, release_tag_out
from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed, NotFound
from inspect_app.domain.event import Danger, EventKind, held_sets
from inspect_app.domain.house import House
from inspect_app.domain.ids import to_key
from inspect_app.domain.role import Role
from inspect_app.domain.tag_release import Need
from inspect_app.store.checklist import load_shelf
from inspect_app.store.event import get_event, list_events
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.tag_out import list_standing
from inspect_app.store.walk_record import get_walk_record
from tests.walk_builder import START, BuiltWalk, Phone, add_person

TODAY = START.date()
SAID = {"name": "M. Vance", "credential": "qualified inspector", "who": "Ines, from the grid", "how": "harness on"}


def happened(db: Database, house: House, danger: Danger, kind: EventKind = EventKind.RUNAWAY, hit: int = 0) -> str:
    person = add_person(db, house, "Sam", Role.HELPER)
    line_set = list_line_sets(db, house.id)[hit]
    return record_event(
        db, at=START, actor=person.id, house=house.id, kind=kind, danger=danger, what="ran to the deck",
        line_set=line_set.id,
    )  # fmt: skip


@pytest.mark.parametrize("danger", [Danger.YES, Danger.NOT_KNOWN])
def test_no_walk_is_offered_until_a_named_qualified_person_says_who_may_approach_and_how(
    db: Database, settings: Settings, house: House, danger: Danger
) -> None:
    event, td = happened(db, house, danger), add_person(db, house, "Ines", Role.TD)
    args = {"at": START, "actor": td.id, "house": house.id, "event": event}
    shelf = load_shelf(settings)
    with pytest.raises(Conflict, match="Keep everyone off"):
        open_event_walk(db, today=TODAY, shelf=shelf, **args)
    for field in SAID:
        with pytest.raises(BadValue) as refused:
            allow_approach(db, **args, **{**SAID, field: " "})
        assert refused.value.field == field
    allow_approach(db, **args, **SAID)
    walk = open_event_walk(db, today=TODAY, shelf=shelf, **args)
    record = get_walk_record(db, house.id, walk)
    assert record is not None
    assert "Runaway" in record.walk.title
    with pytest.raises(Conflict, match="open already"):
        open_event_walk(db, today=TODAY, shelf=shelf, **args)


def test_an_event_that_is_sent_twice_is_recorded_once(db: Database, house: House) -> None:
    person, line_set = add_person(db, house, "Sam", Role.HELPER), list_line_sets(db, house.id)[0].id

    def record(what: str = "snagged", after: int = 0) -> str:
        return record_event(
            db, at=START + timedelta(seconds=after), actor=person.id, house=house.id, kind=EventKind.SHOCK,
            danger=Danger.YES, what=what, line_set=line_set,
        )  # fmt: skip

    first = record()
    holds = len(list_standing(db, house.id))
    assert record(" snagged", after=30) == first
    assert (len(list_events(db, house.id)), len(list_standing(db, house.id))) == (1, holds)
    assert len({first, record("snagged again"), record(after=60)}) == 3


def test_with_no_danger_left_the_inspection_opens_at_once_over_the_sets_on_hold(
    db: Database, settings: Settings, house: House
) -> None:
    event, td = happened(db, house, Danger.NO), add_person(db, house, "Ines", Role.TD)
    walk = open_event_walk(
        db, at=START, today=TODAY, actor=td.id, house=house.id, event=event, shelf=load_shelf(settings)
    )
    record = get_walk_record(db, house.id, walk)
    found = get_event(db, house.id, event)
    assert record is not None
    assert found is not None
    assert found.walk == walk
    assert record.walk.scope.line_sets == {stop.line_set for stop in list_standing(db, house.id)}
    (entry,) = db.execute("SELECT raw FROM entry WHERE kind = 'opening'").fetchone()
    assert [one["id"] for one in json.loads(entry)["scope"]["checklists"]] == ["after-event"]


@pytest.mark.parametrize("role", list(Role))
def test_only_a_director_or_an_inspector_records_who_may_approach(db: Database, house: House, role: Role) -> None:
    event, person = happened(db, house, Danger.YES), add_person(db, house, "Kim", role)
    args = {"at": START, "actor": person.id, "house": house.id, "event": event, **SAID}
    if role in (Role.TD, Role.INSPECTOR):
        allow_approach(db, **args)
        return
    with pytest.raises(NotAllowed):
        allow_approach(db, **args)


def test_the_set_and_two_neighbours_on_each_side_are_held() -> None:
    order = [str(n) for n in range(1, 8)]
    assert held_sets(order, "4") == ("2", "3", "4", "5", "6")
    assert held_sets(order, "1") == ("1", "2", "3")
    assert held_sets(order, "7") == ("5", "6", "7")
    assert held_sets(order, "9") == ()


def test_a_hold_is_a_tag_out_of_its_own_kind_which_is_released_and_never_withdrawn(db: Database, house: House) -> None:
    event = happened(db, house, Danger.NO)
    holds = list_standing(db, house.id)
    assert {hold.event for hold in holds} == {event}
    assert len(holds) == min(3, len(list_line_sets(db, house.id)))
    with pytest.raises(Conflict, match="never withdrawn"):
        ask_withdrawal(db, at=START, actor=holds[0].raised_by, house=house.id, tag_out=holds[0].id, reason="wrong set")


def test_a_hold_is_released_as_a_stop_is_but_only_after_its_inspection_is_signed(
    db: Database, settings: Settings, house: House
) -> None:
    event, inspector = happened(db, house, Danger.NO), add_person(db, house, "Mara", Role.INSPECTOR)
    hold, *others = list_standing(db, house.id)
    given = dict.fromkeys((need.value for need in Need), "said") | {
        "work_by": "nobody: nothing was done", "travel_second": "Joan", "relook_on": "2026-03-20",
    }  # fmt: skip
    args = {"at": START, "today": TODAY, "actor": inspector.id, "house": house.id, "role": Role.INSPECTOR}

    def release() -> None:
        release_tag_out(db, tag_out=hold.id, answers=given, **args)

    with pytest.raises(Conflict, match="not signed yet"):
        release()
    walk = open_event_walk(
        db, at=START, today=TODAY, actor=inspector.id, house=house.id, event=event, shelf=load_shelf(settings)
    )
    with pytest.raises(Conflict, match="not signed yet"):
        release()
    db.execute("UPDATE walk SET state = 'sealed' WHERE id = ?", (to_key(walk),))
    release()
    assert {stop.id for stop in list_standing(db, house.id)} == {one.id for one in others}


def test_an_event_in_an_area_holds_the_area_and_paper_changes_hold_nothing(db: Database, house: House) -> None:
    person, area = add_person(db, house, "Sam", Role.HELPER), list_areas(db, house.id)[0]
    args = {"at": START, "actor": person.id, "house": house.id, "area": area.id, "what": "roof leak"}
    record_event(db, kind=EventKind.CHANGE_OF_OWNER, danger=Danger.NO, **args)
    assert list_standing(db, house.id) == []
    record_event(db, kind=EventKind.WATER, danger=Danger.NOT_KNOWN, **args)
    assert [stop.area for stop in list_standing(db, house.id)] == [area.id]
    with pytest.raises(BadValue):
        record_event(db, kind=EventKind.WATER, danger=Danger.NO, **{**args, "area": None})


def test_an_event_of_another_house_is_not_found(
    db: Database, settings: Settings, house: House, other_house: House
) -> None:
    event, td = happened(db, other_house, Danger.NO), add_person(db, house, "Ines", Role.TD)
    args = {"at": START, "actor": td.id, "house": house.id, "event": event}
    with pytest.raises(NotFound):
        open_event_walk(db, today=TODAY, shelf=load_shelf(settings), **args)
    with pytest.raises(NotFound):
        allow_approach(db, **args, **SAID)


def test_an_event_from_a_phone_holds_on_arrival_once_and_one_that_cannot_be_read_wholly_still_stops(
    db: Database, settings: Settings, house: House
) -> None:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    line_set = list_line_sets(db, house.id)[0].id
    assert walk.send("event", what="snagged", event="shock", line_set=line_set).verdict == "stored"
    (event,) = list_events(db, house.id)
    assert (event.kind, event.danger, event.what) == (EventKind.SHOCK, Danger.NOT_KNOWN, "snagged")
    held = len(list_standing(db, house.id))
    assert held
    assert walk.send("event", what="ran away", event="no such kind", line_set=line_set).verdict == "held"
    assert [stop.why for stop in list_standing(db, house.id)][held:] == ["ran away"]
    assert len(list_events(db, house.id)) == 1


def test_an_inspection_opened_at_the_desk_and_walked_with_a_phone_is_whole_and_its_signature_lets_holds_go(
    db: Database, settings: Settings, house: House
) -> None:
    event, inspector = happened(db, house, Danger.NO), add_person(db, house, "Mara", Role.INSPECTOR)
    walk = BuiltWalk(db, settings, house, "after-event")
    walk.id = open_event_walk(
        db, at=START, today=TODAY, actor=inspector.id, house=house.id, event=event, shelf=load_shelf(settings)
    )
    phone = Phone(db, house, inspector, "Inspector's phone")
    walk.look("LB 1-1", phone=phone)
    desk, used = walk.record.devices
    assert (desk.at_desk, desk.whole) == (True, True)  # what is typed there is in the office: nothing is left to close
    assert (used.at_desk, used.whole) == (False, False)
    walk.close(phone)
    assert not walk.record.has_gaps
    signature = walk.sign(inspector, role=Role.INSPECTOR, name="Mara", credential="inspector", gaps_reason="")
    assert signature.gaps_reason == ""
    hold = list_standing(db, house.id)[0]
    given = dict.fromkeys((need.value for need in Need), "said") | {
        "work_by": "nobody: nothing was done", "travel_second": "Joan", "relook_on": "2026-03-20",
    }  # fmt: skip
    release_tag_out(
        db, at=START, today=TODAY, actor=inspector.id, house=house.id, role=Role.INSPECTOR, tag_out=hold.id,
        answers=given,
    )  # fmt: skip
    assert hold.id not in {one.id for one in list_standing(db, house.id)}
