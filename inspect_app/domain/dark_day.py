"""Dark days: the next day on which a house can be walked, after and between the dates on which it cannot."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from inspect_app.domain.due import Tolerance, last_day
from inspect_app.domain.errors import BadValue

FARTHEST_DAYS = 366  # how far past the last day to look for a free one, only to say when it would be


@dataclass(frozen=True, slots=True)
class Blackout:
    """Days on which the house cannot be walked, first and last included."""

    first: date
    last: date
    why: str = ""

    def __post_init__(self) -> None:
        if self.last < self.first:
            raise BadValue(f"The last day, {self.last}, is before the first, {self.first}.", "last")

    def covers(self, day: date) -> bool:
        """Whether the house cannot be walked on this day."""
        return self.first <= day <= self.last


@dataclass(frozen=True, slots=True)
class Proposal:
    """A day to walk, or None; `words` say how it was come to and, without one, what stands in the way."""

    day: date | None
    words: str
    late: bool = False


def propose(
    due_on: date,
    today: date,
    blackouts: Iterable[Blackout],
    tolerance: Tolerance,
    weekdays: frozenset[int] = frozenset(range(7)),
    *,
    no_later: date | None = None,
    or_earlier: bool = False,
) -> Proposal:
    """The day to walk for something due on `due_on`.

    The last free day from the early end of the tolerance to the due date; else the first free day up to the late end.
    `weekdays` are those that suit the house, Monday = 0. Without a free day in the window the answer has none and says
    what covers it and which free day comes after, which is late: moving it is for a person to decide. Once the window
    has passed, the first free day from today is proposed as late. `no_later` is a day that the tolerance does not reach
    beyond. With `or_earlier` the last free day before the window is taken rather than none: what wears does not wait.
    """
    if not weekdays:
        raise BadValue("No day of the week suits the house; choose at least one.", "weekdays")
    spans = sorted(blackouts, key=lambda span: (span.first, span.last))
    start, end = max(today, _shifted(due_on, -tolerance.early_days)), last_day(due_on, tolerance, no_later)

    def free(first: date, last: date, step: int = 1) -> date | None:
        """The first free day of a stretch, counted from its end when `step` is -1; None in an empty stretch."""
        days = (date.fromordinal(n) for n in range(first.toordinal(), last.toordinal() + 1)[::step])
        return next((d for d in days if d.weekday() in weekdays and not any(s.covers(d) for s in spans)), None)

    if day := free(start, min(due_on, end), -1):
        return Proposal(day, f"free, and not after the due date {due_on}")
    if day := free(max(start, _shifted(due_on, 1)), end):
        return Proposal(day, f"no free day up to the due date {due_on}; this one is within the {_late(tolerance)}")
    if or_earlier and end >= today and (day := free(today, _shifted(start, -1), -1)):
        return Proposal(
            day, f"no day from {start} to {end} is free{_causes(spans, start, end)}; the last free one before"
        )
    beyond = max(today, _shifted(end, 1))
    later = free(beyond, _shifted(beyond, FARTHEST_DAYS))
    said = f"the first free day after it is {later}" if later else "no free day within a year after it either"
    if end < today:
        return Proposal(later, f"the last day, {end}, has passed; {said}", late=True)
    return Proposal(None, f"no day from {start} to {end} is free{_causes(spans, start, end)}; {said}", late=True)


def first_free(start: date, blackouts: Iterable[Blackout], weekdays: frozenset[int]) -> date | None:
    """The first day from `start` on which the house can be walked; None without one in a year."""
    spans = list(blackouts)
    days = (_shifted(start, n) for n in range(FARTHEST_DAYS))
    return next((d for d in days if d.weekday() in weekdays and not any(s.covers(d) for s in spans)), None)


def _shifted(day: date, days: int) -> date:
    """The day so many days away, held within the calendar."""
    return date.fromordinal(min(max(day.toordinal() + days, 1), date.max.toordinal()))


def _late(tolerance: Tolerance) -> str:
    return "one day of tolerance" if tolerance.late_days == 1 else f"{tolerance.late_days} days of tolerance"


def _causes(spans: Iterable[Blackout], start: date, end: date) -> str:
    causes = dict.fromkeys(span.why or "blackout" for span in spans if span.first <= end and span.last >= start)
    return f" ({', '.join(causes)})" if causes else ""
