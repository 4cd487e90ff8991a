"""What repeated measures ask for stands in everything that says what is due, and pulls forward only."""

import json
from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from sqlite_utils import Database

from inspect_app.actions.calendar import HouseCalendar, house_calendar
from inspect_app.actions.calendar_feed import calendar_bytes
from inspect_app.actions.digest import digest_text
from inspect_app.actions.pack import prepare_pack
from inspect_app.actions.today import today_of
from inspect_app.config import Settings
from inspect_app.domain.calendar_item import CalendarItem, reasons_of
from inspect_app.domain.dark_day import Blackout
from inspect_app.domain.due import Standing
from inspect_app.domain.house import House
from inspect_app.domain.look_again import LookAgain
from inspect_app.domain.role import Role
from inspect_app.store.blackout import BlackoutRow
from inspect_app.store.measure_history import list_look_again
from tests.store.test_measure_history import describe, line, years_of

KEY = "checklist:annual-hands-on"
__all__ = ["line"]


class Worn:
    """The house with a lift line measured five times; `last` is the day of the fifth."""

    def __init__(self, db: Database, settings: Settings, house: House, line: str) -> None:
        self.db, self.settings, self.house = db, settings, house
        self.built = years_of(db, settings, house)
        describe(db, house, line, self.built.td.id)
        (self.asked,) = list_look_again(db, house.id)[line]

    def calendar(self, at: datetime | None = None) -> HouseCalendar:
        return house_calendar(self.db, self.settings, self.house.id, at or self.built.at)

    def item(self, at: datetime | None = None) -> CalendarItem:
        return next(one for one in self.calendar(at).items if one.key == KEY)


@pytest.fixture
def worn(db: Database, settings: Settings, house: House, line: str) -> Worn:
    return Worn(db, settings, house, line)


def early_end(asked: LookAgain) -> date:
    assert asked.before is not None
    return asked.before


def test_the_walk_that_measures_it_is_brought_forward_and_says_why(worn: Worn) -> None:
    item = worn.item()
    assert item.due_on == worn.asked.by
    assert item.due_on < worn.built.at.date() + timedelta(365)
    assert item.reasons[0] == f"brought forward for LL 1-1: {worn.asked.words}"
    assert item.last_day == item.due_on


def test_two_looks_are_expected_before_the_early_end(worn: Worn) -> None:
    before = early_end(worn.asked)
    at = worn.built.at + (worn.asked.by - worn.built.at.date() - timedelta(20))
    first = worn.item(at).day
    second = next(one for one in worn.calendar(at).expected() if one.key == KEY)
    assert (first or date.max) < (second.day or date.max) < before
    assert second.why == f"second look before {before}, by the measures"


def test_the_feed_and_the_digest_carry_it(worn: Worn) -> None:
    at = datetime.combine(worn.asked.by, worn.built.at.timetz())
    feed = calendar_bytes(worn.db, worn.settings, worn.house.id, worn.built.at).replace(b"\r\n ", b"")
    assert f"look again before {early_end(worn.asked)}".encode() in feed
    late = at + timedelta(days=2)
    assert worn.item(late).standing is Standing.OVERDUE
    assert worn.asked.words in digest_text(
        worn.house, today_of(worn.db, worn.settings, worn.house.id, late), late.date()
    )


def test_a_blackout_over_its_day_moves_it_to_a_free_day_before_and_not_after(
    worn: Worn, monkeypatch: pytest.MonkeyPatch
) -> None:
    closed = Blackout(worn.asked.by - timedelta(21), early_end(worn.asked), "the musical")
    row = BlackoutRow("b", closed, "")
    monkeypatch.setattr("inspect_app.actions.calendar.list_blackouts", lambda *_, **__: [row])
    item = worn.item()
    assert item.day == closed.first - timedelta(1)
    assert "the musical" in item.words


def test_a_day_that_has_passed_is_overdue_and_never_put_off(worn: Worn) -> None:
    long_after = worn.built.at + timedelta(days=3000)
    item = worn.item(long_after)
    assert item.due_on == worn.asked.by
    assert item.standing is Standing.OVERDUE
    assert item.day == long_after.date()
    assert not any(one.why for one in worn.calendar(long_after).expected())


def test_a_walk_that_is_due_by_another_part_names_what_the_trend_asks_all_the_same(worn: Worn) -> None:
    """In the quarterly walk nothing is brought forward; in the annual one another part may be due long before."""
    plan = next(one for one in worn.calendar().plans if one.key == KEY)
    other = replace(plan.dues[0], part="other", due_on=worn.asked.by - timedelta(400), why="", before=None)
    older = replace(plan, dues=(*plan.dues, other), due=replace(plan.due, first=other) if plan.due else None)
    reasons = list(reasons_of(older, {worn.asked.part: "LL 1-1"}))
    assert f"LL 1-1 is asked for by {worn.asked.by}: {worn.asked.words}" in reasons
    many = tuple(replace(other, part=f"p{n}", why="worn") for n in range(7))
    assert "3 more parts are brought forward" in list(reasons_of(replace(older, dues=(*plan.dues, *many)), {}))


def test_the_phone_is_told_what_the_measures_of_a_part_ask_for(worn: Worn) -> None:
    pack = prepare_pack(
        worn.db, worn.settings, at=worn.built.at, device=worn.built.phone.device, roles=frozenset({Role.TD})
    )
    told = json.loads(pack.body)["look_again"]
    assert told == {worn.asked.part: [{"quantity": "rope diameter", "words": worn.asked.words}]}
