"""Figures a manager takes to a budget meeting: open by grade and age, time to repair, cost to come, what came again.

Nothing here is a score: counts of remarks say nothing about the state of a house.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, timedelta, tzinfo
from decimal import Decimal
from statistics import median, quantiles
from typing import NamedTuple

from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import Deficiency, DeficiencyEvent, DeficiencyState
from inspect_app.domain.deficiency_register import RegisterRow

GRADES = (Grade.STOP_USE, Grade.RESTRICT, Grade.REPAIR_BY, Grade.WATCH)
# Bands of age by the day, from (days, words); the last has no end.
AGES: tuple[tuple[int, str], ...] = (
    (0, "up to 30 days"), (31, "31 to 90 days"), (91, "91 to 365 days"), (366, "over a year"),
)  # fmt: skip
FEW = 5  # below so many cases the middle half says nothing


class OpenByAge(NamedTuple):
    """Open deficiencies of one grade: how many in each band of AGES, and how many are overdue."""

    grade: Grade
    counts: tuple[int, ...]
    overdue: int

    @property
    def total(self) -> int:
        """All of them."""
        return sum(self.counts)


class RepairTime(NamedTuple):
    """Days from the day of finding to the day of the repair. `middle` is the middle half: first and third quartile
    (Hyndman and Fan 1996, definition 7), None below FEW cases."""

    grade: Grade
    cases: int
    median: float | None
    shortest: int | None
    longest: int | None
    middle: tuple[float, float] | None


class CostToCome(NamedTuple):
    """What is estimated and not yet paid in one currency, by quarter of the due day; *overdue* stands first."""

    currency: str
    quarters: tuple[tuple[str, Decimal], ...]
    estimated: int

    @property
    def total(self) -> Decimal:
        """All of it."""
        return sum((amount for _, amount in self.quarters), Decimal(0))


class Recurrence(NamedTuple):
    """A fault that was found again after it was checked and settled: its numbers, the last one first."""

    last: Deficiency
    chain: tuple[Deficiency, ...]


def open_by_age(rows: Iterable[RegisterRow]) -> list[OpenByAge]:
    """Open deficiencies by grade and by age in days, each grade with a row of its own also when there are none."""
    starts = [start for start, _ in AGES]
    found = {grade: [0] * len(AGES) for grade in GRADES}
    overdue = dict.fromkeys(GRADES, 0)
    for row in rows:
        if row.row.open:
            band = sum(row.age_days >= start for start in starts[1:])
            found[row.row.grade][band] += 1
            overdue[row.row.grade] += row.overdue
    return [OpenByAge(grade, tuple(found[grade]), overdue[grade]) for grade in GRADES]


def repair_times(
    rows: Iterable[Deficiency], events: Mapping[str, Sequence[DeficiencyEvent]], zone: tzinfo, since: date | None = None
) -> list[RepairTime]:
    """Time to repair by grade over what was settled, on or after `since` if given.

    The day of the repair is the one stated with the last *work done*; one put down by older releases in one step with
    the settling counts as well. What was found no fault is no repair.
    """
    days: dict[Grade, list[int]] = {grade: [] for grade in GRADES}
    for row in rows:
        if row.state is not DeficiencyState.SETTLED:
            continue
        done = [event.proof["done_on"] for event in events.get(row.id, ()) if event.proof.get("done_on")]
        if not done:
            continue
        on = date.fromisoformat(done[-1])
        if since is None or on >= since:
            days[row.grade].append(max((on - row.found_at.astimezone(zone).date()).days, 0))
    return [_repair_time(grade, sorted(days[grade])) for grade in GRADES]


def _repair_time(grade: Grade, days: list[int]) -> RepairTime:
    if not days:
        return RepairTime(grade, 0, None, None, None, None)
    quarters = quantiles(days, n=4, method="inclusive") if len(days) >= FEW else ()
    middle = (quarters[0], quarters[2]) if quarters else None
    return RepairTime(grade, len(days), float(median(days)), days[0], days[-1], middle)


def cost_to_come(rows: Iterable[RegisterRow], today: date) -> tuple[list[CostToCome], int]:
    """The cost to come of what is open, by currency, and how many open ones nobody has estimated.

    With some not estimated the sums are the least that is to come.
    """
    sums: dict[str, dict[str, Decimal]] = {}
    counts: dict[str, int] = {}
    without = 0
    for row in (one for one in rows if one.row.open):
        estimated = [cost for cost in row.costs if cost.estimate is not None]
        without += not estimated
        for cost in estimated:
            counts[cost.currency] = counts.get(cost.currency, 0) + 1
            quarters = sums.setdefault(cost.currency, {})
            key = "overdue" if row.due < today else quarter_of(row.due)
            quarters[key] = quarters.get(key, Decimal(0)) + cost.to_come
    found = [CostToCome(code, _in_order(quarters, today), counts[code]) for code, quarters in sorted(sums.items())]
    return found, without


def _in_order(quarters: Mapping[str, Decimal], today: date) -> tuple[tuple[str, Decimal], ...]:
    """Overdue first, then every quarter from this one to the last, also an empty one, for up to three years."""
    last = max((key for key in quarters if key != "overdue"), default="")
    keys, day = ["overdue"] if "overdue" in quarters else [], today
    while last and quarter_of(day) <= last and len(keys) < 13:
        keys.append(quarter_of(day))
        day = _next_quarter(day)
    keys += sorted(set(quarters) - set(keys))
    return tuple((key, quarters.get(key, Decimal(0))) for key in keys)


def quarter_of(day: date) -> str:
    """The quarter of a day as 2026 Q1."""
    return f"{day.year} Q{(day.month + 2) // 3}"


def _next_quarter(day: date) -> date:
    first = date(day.year, (day.month - 1) // 3 * 3 + 1, 1)
    return (first + timedelta(days=95)).replace(day=1)


def recurrences(rows: Sequence[Deficiency]) -> list[Recurrence]:
    """Faults that came again after they were checked and settled, each once with its whole chain; the newest first."""
    by_id = {row.id: row for row in rows}
    earlier = {row.again_of_id for row in rows if row.again_of_id}
    found = []
    for row in rows:
        if row.id in earlier or not row.again_of_id or row.state is DeficiencyState.SAME:
            continue
        chain = chain_back(row, by_id)
        if any(one.recurring for one in chain):
            found.append(Recurrence(row, chain))
    return sorted(found, key=lambda one: one.last.number, reverse=True)


def chain_back(row: Deficiency, by_id: Mapping[str, Deficiency]) -> tuple[Deficiency, ...]:
    """A deficiency and those that it is again of, back to the first."""
    chain, seen = [row], {row.id}
    while (before := by_id.get(chain[-1].again_of_id)) is not None and before.id not in seen:
        chain.append(before)
        seen.add(before.id)
    return tuple(chain)
