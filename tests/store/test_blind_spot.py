"""What counts for blind spots: standing, countersigned looks of signed walks at what hangs there now; nothing else."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from sqlite_utils import Database

from inspect_app.actions.part import replace_part
from inspect_app.actions.walk import countersign_entries, decide_between
from inspect_app.config import Settings
from inspect_app.domain.blind_spot import PartRecord
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.domain.walk import How
from inspect_app.store.blind_pattern import answered_points, list_sound_records
from inspect_app.store.blind_spot import list_part_records
from tests.walk_builder import START, BuiltWalk, Phone, add_person

DAY = START.astimezone(ZoneInfo("America/Chicago")).date()


@pytest.fixture
def walk(db: Database, settings: Settings, house: House) -> BuiltWalk:
    built = BuiltWalk(db, settings, house)
    built.open()
    return built


def sealed(walk: BuiltWalk) -> None:
    walk.close()
    walk.sign()


def record(walk: BuiltWalk, tag: str) -> PartRecord:
    return list_part_records(walk.db, walk.house.id)[walk.part(tag).id]


def test_every_present_part_has_a_record_even_without_a_look(walk: BuiltWalk) -> None:
    records = list_part_records(walk.db, walk.house.id)
    assert len(records) == 6
    assert set(records.values()) == {PartRecord(part) for part in records}


def test_handled_seen_and_not_reached_are_kept_apart(walk: BuiltWalk) -> None:
    walk.look("HB 1")
    walk.look("LB 1-1", ways=["seen_close"])
    walk.look("LB 1-2", "not_reached", reason="no footing")
    assert record(walk, "HB 1") == PartRecord(walk.part("HB 1").id, waiting=DAY), (
        "an unsigned look is told, not counted"
    )
    sealed(walk)
    assert (record(walk, "HB 1").looked, record(walk, "HB 1").handled) == (DAY, DAY)
    assert (record(walk, "LB 1-1").looked, record(walk, "LB 1-1").handled) == (DAY, None)
    missed = record(walk, "LB 1-2")
    assert (missed.looked, missed.missed, missed.reason) == (None, DAY, "no footing")
    assert record(walk, "LB 2-1") == PartRecord(walk.part("LB 2-1").id)


def test_what_was_withdrawn_or_replaced_counts_for_nothing(walk: BuiltWalk) -> None:
    gone = walk.look("HB 1")
    walk.look("HB 1", "withdrawn", replaces=[gone])
    wrong = walk.look("LB 1-1")
    walk.look("LB 1-1", "not_reached", replaces=[wrong], reason="other one was meant")
    sealed(walk)
    assert record(walk, "HB 1").looked is None
    assert (record(walk, "LB 1-1").looked, record(walk, "LB 1-1").missed) == (None, DAY)


def test_a_helper_s_look_waits_for_its_countersign(walk: BuiltWalk) -> None:
    helper = Phone(walk.db, walk.house, add_person(walk.db, walk.house, "Kit", Role.HELPER), "Kit's phone")
    alone, beside = walk.look("LB 1-1", phone=helper), walk.look("LB 1-2", phone=helper)
    countersign_entries(
        walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, walk=walk.id, entries=[beside], how=How.BESIDE_THEM
    )
    countersign_entries(
        walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, walk=walk.id, entries=[alone], how=How.DID_NOT_SEE
    )
    walk.close(helper)
    sealed(walk)
    assert record(walk, "LB 1-2").looked == DAY
    assert (record(walk, "LB 1-1").looked, record(walk, "LB 1-1").waiting) == (None, DAY)


def test_a_look_that_a_decision_set_aside_counts_for_nothing(walk: BuiltWalk) -> None:
    other = Phone(walk.db, walk.house, add_person(walk.db, walk.house, "Petra Vale", Role.TD), "P")
    points = walk.points("LB 1-1")
    walk.look("LB 1-1", points=points)
    missed = walk.look("LB 1-1", "not_reached", phone=other, points=points, reason="scenery")
    assert record(walk, "LB 1-1").waiting == DAY
    decide_between(
        walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, walk=walk.id, keep=missed, reason="it was LB 1-2"
    )
    walk.close(other)
    sealed(walk)
    assert (record(walk, "LB 1-1").looked, record(walk, "LB 1-1").missed) == (None, DAY)


def test_a_replaced_part_begins_anew(walk: BuiltWalk) -> None:
    walk.look("LB 1-1")
    sealed(walk)
    replace_part(
        walk.db, at=walk.at + timedelta(days=40), actor=walk.td.id, house=walk.house.id, part=walk.part("LB 1-1").id,
        on=DAY + timedelta(days=30), lot="", attributes={}, reason="new block",
    )  # fmt: skip
    assert record(walk, "LB 1-1") == PartRecord(walk.part("LB 1-1").id)


def test_a_clock_that_ran_ahead_puts_no_look_after_its_signature(walk: BuiltWalk) -> None:
    walk.look("HB 1", recorded_at=(START + timedelta(days=3000)).isoformat())
    sealed(walk)
    assert record(walk, "HB 1").looked == DAY


def test_sound_records_count_the_stops_of_the_minute_and_leave_out_who_shared_or_found(walk: BuiltWalk) -> None:
    same = {"recorded_at": (START + timedelta(minutes=5)).isoformat()}
    tap = "019b0000-0000-7000-8000-000000000001"
    walk.look("LB 1-1", tap=tap, **same)
    walk.look("LB 1-2", tap=tap, **same)  # one tap at one stop
    walk.look("LB 2-1", **same)
    walk.finding("LB 2-2", **same)
    other = Phone(walk.db, walk.house, add_person(walk.db, walk.house, "Petra Vale", Role.TD), "P")
    walk.look("HB 1", **same)
    walk.look("HB 1", phone=other)
    walk.close(other)
    sealed(walk)
    found = {one.part: one for one in list_sound_records(walk.db, walk.house.id).rows}
    assert set(found) == {walk.part(tag).id for tag in ("LB 1-1", "LB 1-2", "LB 2-1")}
    assert {(one.least, one.most, one.walks) for one in found.values()} == {(3, 3, 1)}
    assert list_sound_records(walk.db, walk.house.id).fullest == 3


def test_points_are_answered_by_signed_walks_only(walk: BuiltWalk) -> None:
    walk.look("HB 1")
    assert answered_points(walk.db, walk.house.id) == {}
    sealed(walk)
    assert answered_points(walk.db, walk.house.id)[walk.part("HB 1").id] <= frozenset(walk.points("HB 1"))
    assert set(answered_points(walk.db, walk.house.id)) == {walk.part("HB 1").id}


def test_another_house_reads_nothing_of_it(walk: BuiltWalk, other_house: House) -> None:
    walk.look("HB 1")
    sealed(walk)
    assert all(one.looked is None for one in list_part_records(walk.db, other_house.id).values())
    assert list_sound_records(walk.db, other_house.id).rows == []
