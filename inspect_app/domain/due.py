"""When parts are due to be looked at again: each point has its own clock, and a scope is due when its first part is.

A clock starts at the last look that counted for that point: on this part in its present life, in a sealed walk, in the
way, state and competence that the point asks. Nothing else starts it. The next look is never later than one interval
after the oldest of these; a rule, a risk or a trend may bring it forward, nothing puts it back.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from enum import StrEnum

from inspect_app.domain.interval import Interval, soonest


class Standing(StrEnum):
    """How a part or a scope stands on a day. Four different things, told apart everywhere."""

    NEVER_RECORDED = "never_recorded"
    OVERDUE = "overdue"
    DUE = "due"
    DONE = "done"


STANDING_WORDS: Mapping[Standing, str] = {
    Standing.NEVER_RECORDED: "never recorded",
    Standing.OVERDUE: "overdue",
    Standing.DUE: "due",
    Standing.DONE: "done, not due yet",
}


@dataclass(frozen=True, slots=True)
class Tolerance:
    """Days before the due date from which a walk is offered, and days after it until it counts as overdue."""

    early_days: int = 0
    late_days: int = 0


@dataclass(frozen=True, slots=True)
class PulledForward:
    """An earlier date for one part, and why: a trend, a condition, a repair that is looked at again.

    `before` is the early end of a trend: a second look is to fall before it as well.
    """

    on: date
    why: str
    before: date | None = None


@dataclass(frozen=True, slots=True)
class PartDue:
    """When one part is due. `due_on` is None when nothing was ever recorded and nothing pulls it forward.

    `missing` are the points that never had a look that counted, `oldest` the point whose clock runs out first, begun on
    `oldest_on`; `last_on` is the newest of its looks. `no_later` is a day that no tolerance reaches beyond: that of a
    chosen rule, or an earlier one that something pulled it forward to. Two looks are to fall before `before`.
    """

    part: str
    due_on: date | None
    last_on: date | None = None
    oldest: str = ""
    missing: tuple[str, ...] = ()
    why: str = ""
    oldest_on: date | None = None
    no_later: date | None = None
    before: date | None = None

    @property
    def is_bare(self) -> bool:
        """Whether no point of it was ever looked at so that it counted."""
        return self.last_on is None


def part_due(
    part: str,
    clocks: Mapping[str, date | None],
    intervals: Iterable[Interval | None],
    pulled: Iterable[PulledForward] = (),
    rules: Iterable[Interval | None] = (),
) -> PartDue | None:
    """When a part is due by the clocks of its points; None when nothing is asked of it or no interval applies.

    The shortest of `intervals` and `rules` counts; the late tolerance applies to `intervals` only. A point without any
    look that counted leaves the part *never recorded*.
    """
    firm = [interval for interval in rules if interval is not None]
    rhythm = [interval for interval in intervals if interval is not None]
    pulls = sorted(pulled, key=lambda pull: pull.on)
    earlier = pulls[0] if pulls else None
    before = min((pull.before for pull in pulls if pull.before is not None), default=None)
    if not clocks or not (firm or rhythm):
        return PartDue(part, earlier.on, why=earlier.why, no_later=earlier.on, before=before) if earlier else None
    missing = tuple(sorted(point for point, on in clocks.items() if on is None))
    known = sorted((on, point) for point, on in clocks.items() if on is not None)
    oldest_on, oldest = known[0] if known else (None, "")
    due = PartDue(
        part,
        soonest(oldest_on, *rhythm, *firm) if oldest_on else None,
        known[-1][0] if known else None,
        oldest,
        missing,
        oldest_on=oldest_on,
        no_later=soonest(oldest_on, *firm) if oldest_on else None,
        before=before,
    )
    if earlier is None:
        return due
    if due.due_on is None or earlier.on < due.due_on:
        return replace(due, due_on=earlier.on, why=earlier.why, no_later=earlier.on)
    return replace(due, no_later=min(earlier.on, due.no_later or earlier.on))


def standing(due: PartDue, today: date, tolerance: Tolerance) -> Standing:
    """How a part stands on a day: a point that was never looked at outweighs every date."""
    if due.missing or due.due_on is None:
        return Standing.NEVER_RECORDED
    return standing_of(due.due_on, today, tolerance, due.no_later)


def last_day(due_on: date, tolerance: Tolerance, no_later: date | None = None) -> date:
    """The last day on which something due is not overdue yet."""
    end = date.fromordinal(min(due_on.toordinal() + tolerance.late_days, date.max.toordinal()))
    return min(end, no_later) if no_later is not None else end


def standing_of(due_on: date, today: date, tolerance: Tolerance, no_later: date | None = None) -> Standing:
    """How a due date stands on a day."""
    if today > last_day(due_on, tolerance, no_later):
        return Standing.OVERDUE
    return Standing.DUE if today >= due_on - timedelta(days=tolerance.early_days) else Standing.DONE


@dataclass(frozen=True, slots=True)
class ScopeDue:
    """When a scope is due: with its earliest part. `parts` counts its parts by standing.

    `last_day` is the day after which the first of them is overdue, `late` how many are past theirs, with or without
    points that were never looked at, and `bare` how many have no look that counted.
    """

    due_on: date | None
    standing: Standing
    first: PartDue | None
    parts: Mapping[Standing, int]
    last_day: date | None = None
    bare: int = 0
    late: int = 0


def scope_due(dues: Iterable[PartDue], today: date, tolerance: Tolerance) -> ScopeDue | None:
    """When a scope is due; None for a scope of which nothing is asked.

    It is *never recorded* only while none of its parts has a date; with one overdue it is overdue. Parts that were
    never recorded are counted beside it and are never hidden by the others.
    """
    rows = list(dues)
    if not rows:
        return None
    stands = [standing(row, today, tolerance) for row in rows]
    counts = {state: stands.count(state) for state in Standing}
    bare = sum(row.is_bare for row in rows)
    dated = [(row.due_on, row) for row in rows if row.due_on is not None]
    if not dated:
        return ScopeDue(None, Standing.NEVER_RECORDED, None, counts, None, bare)
    due_on, first = min(dated, key=lambda one: (one[0], one[1].part))
    ends = [last_day(on, tolerance, row.no_later) for on, row in dated]
    end = min(ends)
    state = standing_of(due_on, today, tolerance, end)
    if state is Standing.DONE and counts[Standing.NEVER_RECORDED]:
        state = Standing.DUE
    return ScopeDue(due_on, state, first, counts, end, bare, sum(today > one for one in ends))
