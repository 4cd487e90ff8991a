"""The plan of the year on paper: month by month what is proposed, expected and due, and when the house is not free."""

import calendar
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from inspect_app.domain.calendar_item import KIND_TITLES, CalendarItem, Expected, ItemKind, standing_words
from inspect_app.domain.dark_day import Blackout
from inspect_app.domain.due import Standing
from inspect_app.domain.report_words import shortened

MONTHS = 12
_LONGEST = 160


class PlanLine(NamedTuple):
    """One line, all of it text: the day (or days), what it is, what is to be done, and how it stands."""

    day: str
    kind: str
    what: str
    words: str
    state: str
    late: bool


class PlanMonth(NamedTuple):
    """A month with its lines in order of day."""

    title: str
    lines: tuple[PlanLine, ...]


@dataclass(frozen=True, slots=True)
class YearPlan:
    """Twelve months from the one of `today`. `before` are things of earlier months, and those without a day."""

    today: str
    before: tuple[PlanLine, ...]
    months: tuple[PlanMonth, ...]
    rules: tuple[str, ...]


def year_plan(
    items: Iterable[CalendarItem],
    expected: Iterable[Expected],
    blackouts: Iterable[Blackout],
    rules: Iterable[str],
    today: date,
) -> YearPlan:
    """The plan from what stands in the calendar; `rules` name the rule sets that the house chose."""
    first = today.replace(day=1)
    end = _months_on(first, MONTHS)
    dated: list[tuple[date, PlanLine]] = []
    before: list[PlanLine] = []
    for item in items:
        on = item.shown_on
        if on is None or on < first:
            before.append(_item_line(item))
        else:
            dated.append((on, _item_line(item)))
    dated += [(one.day or one.due_on, _expected_line(one)) for one in expected]
    dated += [(max(one.first, first), _blackout_line(one)) for one in blackouts if one.last >= first]
    starts = [_months_on(first, n) for n in range(MONTHS)]
    months = tuple(
        PlanMonth(
            f"{calendar.month_name[start.month]} {start.year}",
            tuple(line for _, line in sorted(_within(dated, start), key=lambda row: (row[0], row[1]))),
        )
        for start in starts
    )
    later = sum(on >= end for on, _ in dated)
    beyond = (f"The calendar has {later} more after {end - timedelta(days=1)}.",) if later else ()
    return YearPlan(today.isoformat(), tuple(before), months, (*rules, *beyond))


def _within(dated: Iterable[tuple[date, PlanLine]], start: date) -> list[tuple[date, PlanLine]]:
    end = _months_on(start, 1)
    return [(on, line) for on, line in dated if start <= on < end]


def _months_on(first: date, months: int) -> date:
    """The first day of the month so many months later."""
    count = first.year * 12 + first.month - 1 + months
    return date(count // 12, count % 12 + 1, 1)


def _day(day: date | None) -> str:
    return f"{calendar.day_abbr[day.weekday()]} {day.isoformat()}" if day else "no day"


def _item_line(item: CalendarItem) -> PlanLine:
    walk = item.kind is ItemKind.WALK
    due = f"due {item.due_on}" if item.due_on else "never recorded"
    state = "not due yet" if item.standing is Standing.DONE and not walk else standing_words(item)
    proposed = f"{due}; proposed day" if item.day else f"{due}; no day can be proposed: {item.words}"
    words = proposed if walk else item.words
    return PlanLine(
        _day(item.shown_on), KIND_TITLES[item.kind], item.title, shortened(words, _LONGEST), state,
        item.standing is Standing.OVERDUE,
    )  # fmt: skip


def _expected_line(one: Expected) -> PlanLine:
    words = "; ".join(filter(None, ("if the walk before it is on its day", one.why, "" if one.day else one.words)))
    return PlanLine(
        _day(one.day or one.due_on), "Walk, later", one.title, shortened(words, _LONGEST), "expected", False
    )


def _blackout_line(one: Blackout) -> PlanLine:
    days = _day(one.first) if one.first == one.last else f"{one.first} to {one.last}"
    return PlanLine(days, "Not free", one.why or "blackout", "", "", False)
