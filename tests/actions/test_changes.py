"""Everything that is kept with a time shows up in what changed since, once, under its own kind, with its set."""

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.accepted_condition import accept_condition, end_condition
from inspect_app.actions.changes import Since, changes_since, since_day, since_walk, usual_since
from inspect_app.actions.event import record_event
from inspect_app.actions.house import change_house
from inspect_app.actions.part import add_part, change_part, replace_part, retire_part
from inspect_app.actions.restriction import end_restriction, set_restriction
from inspect_app.config import Settings
from inspect_app.domain.changes import Change, ChangeKind
from inspect_app.domain.entry import finding_id
from inspect_app.domain.event import Danger, EventKind
from inspect_app.domain.house import House
from inspect_app.domain.part import PartKind
from inspect_app.domain.restriction import RestrictionKind
from inspect_app.domain.role import Role
from inspect_app.store.house import list_line_sets
from inspect_app.store.point_clock import zone_of
from inspect_app.store.walk import list_walks
from tests.walk_builder import START, BuiltWalk, Phone, add_person

ZONE = zone_of("America/Chicago")
DAY = START.astimezone(ZONE).date()
LATER = START + timedelta(days=20)


@pytest.fixture
def walk(db: Database, settings: Settings, house: House) -> BuiltWalk:
    return BuiltWalk(db, settings, house)


@pytest.fixture
def changes(walk: BuiltWalk) -> Callable[..., list[Change]]:
    """What changed since ten days after the start, seen some days after."""

    def read(since: Since | None = None, seen: datetime = LATER + timedelta(days=5)) -> list[Change]:
        chosen = since or since_day(DAY + timedelta(days=10), ZONE)
        return changes_since(walk.db, walk.house.id, chosen, seen.astimezone(ZONE).date())

    return read


def common(walk: BuiltWalk, at: datetime = LATER) -> dict[str, object]:
    return {"at": at, "actor": walk.td.id, "house": walk.house.id}


def test_a_limit_is_told_when_it_is_set_when_it_ends_and_when_it_ran_out(
    walk: BuiltWalk, changes: Callable[..., list[Change]]
) -> None:
    first, second = list_line_sets(walk.db, walk.house.id)
    made = {}
    for line_set in (first, second):
        made[line_set.number] = set_restriction(
            walk.db, **common(walk), today=LATER.date(), kind=RestrictionKind.LIMIT,
            texts={"what": "bent pipe", "load_limit": "9 kg", "travel_limit": "", "who": "Ines"},
            until=LATER.date() + timedelta(days=3), line_set=line_set.id,
        )  # fmt: skip
    assert {(one.kind, one.line_set) for one in changes(seen=LATER)} == {
        (ChangeKind.STOPPED, first.id),
        (ChangeKind.STOPPED, second.id),
    }
    end_restriction(walk.db, **common(walk), restriction=made["1"], reason="pipe replaced")
    told = {(one.kind, one.line_set) for one in changes()}
    assert (ChangeKind.BACK_IN_USE, first.id) in told
    assert (ChangeKind.WORSE, second.id) in told, "its last day has passed"
    assert (ChangeKind.WORSE, first.id) not in told


def test_an_event_and_what_it_holds(walk: BuiltWalk, changes: Callable[..., list[Change]]) -> None:
    first = list_line_sets(walk.db, walk.house.id)[0]
    record_event(
        walk.db, **common(walk), kind=EventKind.SHOCK, danger=Danger.NO, what="snagged a border", line_set=first.id
    )
    told = changes()
    (event,) = [one for one in told if one.kind is ChangeKind.EVENT]
    assert "snagged a border" in event.words
    assert event.line_set == first.id
    assert {one.line_set for one in told if one.kind is ChangeKind.STOPPED} >= {first.id}


def test_parts_that_were_replaced_altered_added_or_taken_out(
    walk: BuiltWalk, changes: Callable[..., list[Change]]
) -> None:
    on = LATER.date()
    replace_part(walk.db, **common(walk), part=walk.part("LB 1-1").id, on=on, lot="L7", attributes={}, reason="cracked")
    retire_part(walk.db, **common(walk), part=walk.part("LB 1-2").id, on=on, reason="line taken off")
    change_part(
        walk.db, at=LATER, actor=walk.td.id, part=replace(walk.part("HB 1"), x_mm=-900), installed_on=None, lot="",
        attributes={"tread_diameter_mm": "254"}, reason="measured",
    )  # fmt: skip
    new = replace(walk.part("LB 2-1"), tag="MB 2", kind=PartKind.MULE_BLOCK, line=None)
    add_part(walk.db, at=LATER, actor=walk.td.id, part=new, installed_on=on, lot="", attributes={})
    told = [(one.kind, one.title, one.words) for one in changes()]
    assert (ChangeKind.REPLACED, "LB 1-1", "replaced, lot L7") in told
    assert (ChangeKind.REPLACED, "LB 1-2", "taken out of the inventory") in told
    assert (ChangeKind.NEW, "MB 2", "put in") in told
    altered = [words for kind, title, words in told if (kind, title) == (ChangeKind.ALTERED, "HB 1")]
    assert len(altered) == 2
    assert any(words.startswith("Tread diameter: not recorded → 10") for words in altered), altered
    assert all(words.endswith(f"by {walk.td.name}: measured") for words in altered)
    assert sum(title == "LB 1-1" for _, title, _ in told) == 1


def test_what_was_accepted_and_is_accepted_no_longer(walk: BuiltWalk, changes: Callable[..., list[Change]]) -> None:
    made = accept_condition(
        walk.db, **common(walk), part=walk.part("HB 1").id, what="guard missing", accepted_by="R. Abara",
        role="manager", reason="is being made", paper="", review_by=(LATER.date() + timedelta(days=60)).isoformat(),
    )  # fmt: skip
    assert [one.kind for one in changes()] == [ChangeKind.PUT_OFF]
    end_condition(walk.db, **common(walk, LATER + timedelta(days=1)), condition=made)
    assert {one.kind for one in changes()} == {ChangeKind.PUT_OFF, ChangeKind.ALTERED}


def test_the_settings_of_the_house_by_the_journal(walk: BuiltWalk, changes: Callable[..., list[Change]]) -> None:
    change_house(walk.db, **common(walk), name="New Mill", tz="America/Chicago", units="metric", datum="setting line")
    (one,) = changes()
    assert (one.kind, one.line_set, one.words) == (
        ChangeKind.ALTERED,
        "",
        f"the settings of the house were changed, by {walk.td.name}",
    )


def test_a_finding_told_by_two_people_and_one_that_is_not_signed(
    walk: BuiltWalk, changes: Callable[..., list[Change]]
) -> None:
    walk.open()
    entry = walk.finding("LB 1-1", "watch", note="worn")
    walk.finding("LB 1-2", "watch", note="rust")
    walk.close()
    walk.sign()
    known = finding_id(entry, 0)
    other = Phone(walk.db, walk.house, add_person(walk.db, walk.house, "Petra Vale", Role.TD), "P")
    walk.id, walk.at, walk.sent = clock.new_id(), LATER, {}
    walk.open()
    walk.finding("LB 1-1", "restrict", answer="worse", of=known, note="cut through")
    walk.finding("LB 1-1", "watch", answer="not_seen_now", of=known, phone=other)
    (told,) = changes()
    assert (told.kind, told.counted) == (ChangeKind.WORSE, False)
    assert "Petra Vale did not see it" in told.words
    assert "the worse counts" in told.words
    walk.close(other)
    walk.close()
    walk.sign()
    (told,) = [one for one in changes() if one.about[0] == "deficiency"]
    assert told.counted


def test_since_a_walk_counts_from_its_signature(walk: BuiltWalk, changes: Callable[..., list[Change]]) -> None:
    walk.open()
    walk.finding("LB 1-1", "watch")
    walk.close()
    walk.sign()
    (row,) = list_walks(walk.db, walk.house.id)
    since = since_walk(row, ZONE)
    assert changes(since) == []
    assert {one.kind for one in changes(since_day(DAY, ZONE))} >= {ChangeKind.NEW}


def test_without_an_inspection_the_comparison_is_with_a_year_ago(walk: BuiltWalk, settings: Settings) -> None:
    since = usual_since(walk.db, settings, walk.house.id, DAY)
    assert since.until == DAY - timedelta(days=366)
    assert since.walk == ""


def test_another_house_tells_nothing_of_it(walk: BuiltWalk, other_house: House) -> None:
    change_house(walk.db, **common(walk), name="New Mill", tz="America/Chicago", units="metric", datum="setting line")
    assert changes_since(walk.db, other_house.id, since_day(DAY, ZONE), LATER.date()) == []
