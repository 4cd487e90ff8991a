"""The yearly letter to the facility manager: asked for, granted, still open, cost to come, and what came again.

Everything is told as it stood at the end of the period, from the moves that are recorded; grades and estimates are
those of the day on which it is written. Nothing in it is a score.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, tzinfo
from decimal import Decimal
from typing import NamedTuple

from inspect_app.domain.checklist import GRADE_RANK, Grade
from inspect_app.domain.deficiency import CLOSED_STATES, Deficiency, DeficiencyEvent, DeficiencyState
from inspect_app.domain.deficiency_register import RegisterRow
from inspect_app.domain.errors import BadValue
from inspect_app.domain.register_paper import AcceptedRow
from inspect_app.domain.repair_figures import GRADES as GRADE_ORDER
from inspect_app.domain.repair_figures import recurrences
from inspect_app.domain.repair_policy import Cost, money
from inspect_app.domain.report_words import GRADES, shortened

S = DeficiencyState
MOST_DAYS = 800
MOST_NAMED = 12  # a letter of one or two pages names the gravest and counts the others
GRANTED = frozenset({S.DECIDED, S.IN_HAND, S.WORK_DONE, S.CHECKED, S.SETTLED, S.SENT_BACK})
DONE = frozenset({S.WORK_DONE, S.CHECKED})
Moves = Mapping[str, Sequence[DeficiencyEvent]]


class Period(NamedTuple):
    """The days that a letter is about, both included."""

    first: date
    last: date


class Named(NamedTuple):
    """One deficiency in a list of the letter, all of it text."""

    number: str
    part: str
    what: str
    grade: str
    words: str


class NamedList(NamedTuple):
    """The gravest of a list, and how many others the register has."""

    rows: tuple[Named, ...]
    others: int

    @property
    def total(self) -> int:
        """All of them."""
        return len(self.rows) + self.others


class GradeLine(NamedTuple):
    """Numbers of one grade: asked for, granted, put right and checked, open at the end."""

    grade: str
    asked: int
    granted: int
    settled: int
    open: int


class Money(NamedTuple):
    """Amounts in one currency, as text: paid in the period, and still to come for what is open."""

    currency: str
    paid: str
    to_come: str


@dataclass(frozen=True, slots=True)
class YearlyLetter:
    """The letter. `asked` is divided into granted, put off, not decided, accepted and no fault: none is in two.

    `covered` are those that the house accepts for a time and about which nothing else was decided.
    """

    first: str
    last: str
    asked: int
    granted: int
    settled: int
    waiting: int
    no_fault: int
    covered: int
    grades: tuple[GradeLine, ...]
    not_decided: NamedList
    put_off: NamedList
    still_open: NamedList
    recurring: NamedList
    money: tuple[Money, ...]
    without_estimate: int
    overdue: int
    accepted: tuple[AcceptedRow, ...] = ()


def read_period(first: str, last: str, today: date) -> Period:
    """The period as typed, two days in ISO form. Raises BadValue on `first` or `last`."""
    found = []
    for name, text in (("first", first), ("last", last)):
        try:
            found.append(date.fromisoformat(text.strip()))
        except ValueError:
            raise BadValue("Write the day as YYYY-MM-DD.", name) from None
    period = Period(*found)
    if period.last < period.first:
        raise BadValue("The last day lies before the first.", "last")
    if period.last > today:
        raise BadValue("The last day lies ahead: a letter tells what has been.", "last")
    if (period.last - period.first).days > MOST_DAYS:
        raise BadValue(f"Choose a period of at most {MOST_DAYS} days.", "first")
    return period


def state_on(events: Iterable[DeficiencyEvent], day: date, zone: tzinfo) -> DeficiencyState:
    """Where a deficiency stood at the end of a day, by its moves, oldest first."""
    state = S.FOUND
    for event in events:
        if event.from_state != event.to_state and event.at.astimezone(zone).date() <= day:
            state = S(event.to_state)
    return state


def yearly_letter(
    rows: Sequence[RegisterRow],
    moves: Moves,
    costs: Mapping[str, Iterable[Cost]],
    period: Period,
    zone: tzinfo,
    accepted: tuple[AcceptedRow, ...] = (),
) -> YearlyLetter:
    """The letter about a period, from every deficiency of the house; `accepted` is listed apart."""
    ends = {row.row.id: state_on(moves.get(row.row.id, ()), period.last, zone) for row in rows}
    asked = [row for row in rows if _asked(row.row, ends[row.row.id], moves, period, zone)]
    still = [row for row in asked if ends[row.row.id] not in CLOSED_STATES]
    by = {state: [row for row in asked if ends[row.row.id] is state] for state in S}
    granted = [row for row in asked if ends[row.row.id] in GRANTED]
    covered = [row for row in by[S.FOUND] if row.accepted_until]
    numbers = {row.row.id for row in asked}
    again = [one for one in recurrences([row.row for row in rows]) if one.last.id in numbers]
    again_words = {
        one.last.id: f"found again after number {one.last.again_of}; {len(one.chain)} times in all" for one in again
    }
    return YearlyLetter(
        first=period.first.isoformat(),
        last=period.last.isoformat(),
        asked=len(asked),
        granted=len(granted),
        settled=len(by[S.SETTLED]),
        waiting=sum(ends[row.row.id] in DONE for row in asked),
        no_fault=len(by[S.NO_FAULT]),
        covered=len(covered),
        grades=tuple(_grade_line(grade, asked, ends) for grade in GRADE_ORDER),
        not_decided=_named(
            [row for row in by[S.FOUND] if not row.accepted_until], lambda row: f"found on {_found_on(row, zone)}"
        ),
        put_off=_named(by[S.PUT_OFF], lambda row: _put_off_words(moves.get(row.row.id, ()), period.last, zone)),
        still_open=_named(
            [row for row in still if ends[row.row.id] in GRANTED - DONE],
            lambda row: _open_words(row, period),
        ),
        recurring=_named([row for row in asked if row.row.id in again_words], lambda row: again_words[row.row.id]),
        money=_money(still, costs, period, zone),
        without_estimate=sum(not any(cost.estimate is not None for cost in row.costs) for row in still),
        overdue=sum(_late(row, period) for row in still if ends[row.row.id] is not S.PUT_OFF),
        accepted=accepted,
    )


def _late(row: RegisterRow, period: Period) -> bool:
    return row.due < period.last and not row.accepted_until


def _open_words(row: RegisterRow, period: Period) -> str:
    due = f"to be put right by {row.due.isoformat()}"
    if row.accepted_until:
        return f"{due}; accepted until {row.accepted_until}"
    return f"{due}, overdue" if _late(row, period) else due


def _asked(row: Deficiency, end: DeficiencyState, moves: Moves, period: Period, zone: tzinfo) -> bool:
    """Whether it was found by the end of the period and not closed before it began; a double counts as its other."""
    if end is S.SAME or row.found_at.astimezone(zone).date() > period.last:
        return False
    before = date.fromordinal(period.first.toordinal() - 1)
    started = state_on(moves.get(row.id, ()), before, zone)
    return started not in CLOSED_STATES or end not in CLOSED_STATES


def _grade_line(grade: Grade, asked: Iterable[RegisterRow], ends: Mapping[str, DeficiencyState]) -> GradeLine:
    states = [ends[row.row.id] for row in asked if row.row.grade is grade]
    return GradeLine(
        GRADES[grade.value],
        len(states),
        sum(state in GRANTED for state in states),
        sum(state is S.SETTLED for state in states),
        sum(state not in CLOSED_STATES for state in states),
    )


def _named(rows: Iterable[RegisterRow], words: Callable[[RegisterRow], str]) -> NamedList:
    order = sorted(rows, key=lambda row: (-GRADE_RANK[row.row.grade], row.due, row.row.number))
    shown = tuple(
        Named(
            str(row.row.number), row.row.part_tag, shortened(row.row.what, 90), GRADES[row.row.grade.value], words(row)
        )
        for row in order[:MOST_NAMED]
    )  # fmt: skip
    return NamedList(shown, len(order) - len(shown))


def _found_on(row: RegisterRow, zone: tzinfo) -> str:
    return row.row.found_at.astimezone(zone).date().isoformat()


def _put_off_words(events: Sequence[DeficiencyEvent], last: date, zone: tzinfo) -> str:
    """The decision as it stood at the end: until when, and by whom."""
    found = [one for one in events if one.to_state == S.PUT_OFF and one.at.astimezone(zone).date() <= last]
    if not found:
        return "by a decision that the log does not name"
    proof = found[-1].proof
    by = f" by {proof['decided_by']}" if proof.get("decided_by") else ""
    return f"until {proof.get('until') or 'a day not recorded'}{by}: {shortened(proof.get('decision', ''), 60)}"


def _money(
    still: Iterable[RegisterRow], costs: Mapping[str, Iterable[Cost]], period: Period, zone: tzinfo
) -> tuple[Money, ...]:
    """What was paid in the period for anything, and what the estimates leave to be paid for what is open."""
    paid: dict[str, Decimal] = {}
    to_come: dict[str, Decimal] = {}
    for cost in (one for found in costs.values() for one in found):
        if cost.kind != "estimate" and cost.at and period.first <= cost.at.astimezone(zone).date() <= period.last:
            paid[cost.currency] = paid.get(cost.currency, Decimal(0)) + cost.amount
    for row in still:
        for summed in row.costs:
            if summed.estimate is not None:
                to_come[summed.currency] = to_come.get(summed.currency, Decimal(0)) + summed.to_come
    none = Decimal(0)
    return tuple(
        Money(code, money(paid.get(code, none), code), money(to_come.get(code, none), code))
        for code in sorted({*paid, *to_come})
    )
