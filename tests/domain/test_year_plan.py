"""The plan of the year: twelve months, each thing on its day, and what is late or has no day on top."""

from datetime import date

from inspect_app.domain.calendar_item import CalendarItem, Expected, ItemKind
from inspect_app.domain.dark_day import Blackout
from inspect_app.domain.due import Standing
from inspect_app.domain.year_plan import YearPlan, year_plan

TODAY = date(2026, 11, 25)


def item(kind: ItemKind, day: date | None, due: date | None, standing: Standing = Standing.DONE) -> CalendarItem:
    return CalendarItem(f"{kind}{day}", kind, f"{kind.value} of {due}", day, due, standing, "why")


def plan(*items: CalendarItem, expected: tuple = (), blackouts: tuple = ()) -> YearPlan:
    return year_plan(items, expected, blackouts, ["Rules chosen: none."], TODAY)


def test_there_are_twelve_months_from_this_one_over_the_turn_of_the_year() -> None:
    titles = [month.title for month in plan().months]
    assert (titles[0], titles[1], titles[2], titles[-1]) == (
        "November 2026", "December 2026", "January 2027", "October 2027",
    )  # fmt: skip
    assert len(titles) == 12


def test_every_thing_of_the_year_stands_in_its_month_in_order_and_none_twice() -> None:
    walk = item(ItemKind.WALK, date(2027, 1, 31), date(2027, 1, 20), Standing.DUE)
    repair = item(ItemKind.REPAIR, None, date(2027, 1, 4))
    round_ = Expected("k", "later walk", date(2027, 10, 31), date(2027, 10, 30), "")
    found = plan(walk, repair, expected=(round_,), blackouts=(Blackout(date(2027, 1, 10), date(2027, 2, 2), "panto"),))
    assert [line.kind for line in found.months[2].lines] == ["Repair due", "Not free", "Walk"]
    assert found.months[2].lines[1].day == "2027-01-10 to 2027-02-02"
    assert [line.what for line in found.months[11].lines] == ["later walk"]
    assert sum(len(month.lines) for month in found.months) == 4


def test_what_is_late_or_has_no_day_stands_on_top_and_what_lies_beyond_is_said() -> None:
    late = item(ItemKind.GAUGE, None, date(2026, 10, 31), Standing.OVERDUE)
    without = item(ItemKind.WALK, None, None, Standing.NEVER_RECORDED)
    found = plan(late, without, item(ItemKind.REPAIR, None, date(2027, 11, 1)))
    assert [(line.day, line.late) for line in found.before] == [("Sat 2026-10-31", True), ("no day", False)]
    assert "never recorded" in found.before[1].state
    assert found.rules[-1] == "The calendar has 1 more after 2027-10-31."
    assert not [line for month in found.months for line in month.lines]


def test_a_repair_that_is_not_due_is_never_called_done() -> None:
    found = plan(item(ItemKind.REPAIR, None, date(2027, 1, 4)))
    assert found.months[2].lines[0].state == "not due yet"
