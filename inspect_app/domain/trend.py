"""Wear over time: where repeated measures lead, and the day before which to look again. Never a late end, never a life.

Two lines are laid through the measures of one series, Theil-Sen and least squares with its 95 percent prediction
interval. Of the days at which these reach a limit only the earliest is used, and only when it falls within as long
again as the history is. Where a date would rest on too little, the reason is given in its place.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from fractions import Fraction
from math import ceil
from typing import NamedTuple

from inspect_app.domain.line_fit import LeastSquares, Line, Point, least_squares, theil_sen
from inspect_app.domain.student_t import StudentT

# Our choices, no source. With four looks two degrees of freedom are left for the interval (t = 4.3); with three it is
# one (t = 12.7), and the interval says nothing. Looks less than a week apart differ by the hand that holds the gauge.
LEAST_LOOKS = 4
LEAST_APART_DAYS = 7
MOST_LOOKS = 100  # older ones are left out; far beyond what a house takes by hand
LOOKS_BEFORE = 2  # so many looks are to fall before the early end

CAUTION = (
    "Wear often speeds up: a line through past measures cannot see that coming. "
    "Local codes, the maker's instructions and a qualified person's judgement come first."
)


class Reading(NamedTuple):
    """One measure of a series: its day, its value, and the smallest step its gauge can show, in one unit."""

    on: date
    value: Fraction
    step: Fraction


class Refusal(StrEnum):
    """Why no line is laid through a series."""

    NOTHING = "nothing"
    TOO_FEW = "too_few"
    ONE_DAY = "one_day"
    TOO_CLOSE = "too_close"
    TOO_COARSE = "too_coarse"
    NO_GAUGE = "no_gauge"
    REPLACED = "replaced"
    NO_TABLE = "no_table"


class Refused(NamedTuple):
    """No line, and why, in words fit to be shown."""

    reason: Refusal
    words: str


@dataclass(frozen=True, slots=True)
class Trend:
    """The lines through a series. x counts days from the first measure; `t` is the quantile for two degrees of freedom
    fewer than there are days: measures of one day share the hand, the light and the gauge, and count as one look."""

    readings: tuple[Reading, ...]
    robust: Line
    squares: LeastSquares
    t: Fraction

    @property
    def first(self) -> date:
        """The day of the first measure."""
        return self.readings[0].on

    @property
    def last(self) -> date:
        """The day of the last measure."""
        return self.readings[-1].on

    @property
    def span_days(self) -> int:
        """How long the history is; no line is followed further than so many days beyond the last measure."""
        return (self.last - self.first).days

    @property
    def step(self) -> Fraction:
        """The coarsest step among the gauges used."""
        return max(reading.step for reading in self.readings)

    @property
    def per_year(self) -> Fraction:
        """The change in a year of 365.25 days by the robust line, in the unit of the series."""
        return self.robust.slope * Fraction(1461, 4)


class Reach(StrEnum):
    """What can be said of one limit."""

    BEFORE = "before"  # look again before a date
    NOW = "now"  # the limit lies within the scatter already
    CANNOT_TELL = "cannot_tell"  # the last measure is within half a step of it
    PASSED = "passed"  # the last measure is outside: the verdict stands
    NOT_WITHIN = "not_within"  # not within as long again as the history
    AWAY = "away"  # neither line heads for it, and the interval does not reach it


class Reached(NamedTuple):
    """The answer for one limit; `before` only with BEFORE, and `by` says which of the three came there first."""

    reach: Reach
    before: date | None = None
    by: str = ""


REACH_WORDS = {
    Reach.NOW: "look again now: the limit already lies within what the next measure may read",
    Reach.CANNOT_TELL: "cannot tell with this gauge: the last measure lies within half a step of the limit; "
    "look again now with a finer one",
    Reach.PASSED: "the last measure is outside: the verdict stands, and no date is given for that limit",
    Reach.NOT_WITHIN: "no limit reached within as long again as the history; look again at the usual interval",
    Reach.AWAY: "the measures do not move toward this limit; look again at the usual interval",
}
BY_ROBUST, BY_SQUARES, BY_INTERVAL = "Theil-Sen line", "least squares line", "edge of the prediction interval"


def trend_of(readings: Sequence[Reading], table: StudentT) -> Trend | Refused:
    """The lines through the measures of one series, or the reason why none is laid."""
    kept = tuple(sorted(readings)[-MOST_LOOKS:])
    refused = _refused(kept)
    if refused is not None:
        return refused
    points = [Point(Fraction((reading.on - kept[0].on).days), reading.value) for reading in kept]
    freedom = len({reading.on for reading in kept}) - 2
    squares = least_squares(points, freedom=freedom)
    trend = Trend(kept, theil_sen(points), squares, table.quantile(freedom))
    change = max(abs(trend.robust.slope), abs(squares.line.slope)) * trend.span_days
    if change < trend.step:
        words = "the gauge's step is coarser than the whole change since the first measure, so no direction can be seen"
        return Refused(Refusal.TOO_COARSE, words)
    return trend


def _refused(readings: Sequence[Reading]) -> Refused | None:
    days = sorted({reading.on for reading in readings})
    if not days:
        return Refused(Refusal.NOTHING, "nothing that counts has been measured yet")
    if len(days) < LEAST_LOOKS:
        if len(days) == 1 and len(readings) > 1:
            return Refused(Refusal.ONE_DAY, "all measures were taken on one day")
        words = f"{_looks(len(days))} so far; a direction needs at least {LEAST_LOOKS} on different days"
        return Refused(Refusal.TOO_FEW, words)
    if _apart(days) < LEAST_LOOKS:
        words = f"too close in time: fewer than {LEAST_LOOKS} looks lie at least {LEAST_APART_DAYS} days apart"
        return Refused(Refusal.TOO_CLOSE, words)
    return None


def _looks(count: int) -> str:
    return "one look" if count == 1 else f"{count} looks"


def _apart(days: Sequence[date]) -> int:
    """How many of these days, in order, lie at least a week after the one counted before."""
    counted = [days[0]]
    for day in days[1:]:
        if (day - counted[-1]).days >= LEAST_APART_DAYS:
            counted.append(day)
    return len(counted)


def reach_of(trend: Trend, edge: Fraction, upper: bool) -> Reached:
    """When a limit at `edge` is first reached: a value above (`upper`) or below it is outside.

    The gauge counts: within half a step of the limit a reading can no longer be told from it. The interval counts
    whichever way the lines point, so that no small change of slope takes a date away. A limit that the last measure has
    passed or touches is the caller's to notice (see the verdict of that measure).
    """
    sign = 1 if upper else -1
    last = trend.span_days
    near = sign * edge - trend.step / 2  # in the direction of the limit everything rises
    days = []
    for by, line in ((BY_ROBUST, trend.robust), (BY_SQUARES, trend.squares.line)):
        day = _line_day(line, sign, near, last)
        days += [(day, by)] if day is not None else []
    day = _first_day(lambda x: _in_interval(trend, sign, near, x), last, 2 * last)
    days += [(day, BY_INTERVAL)] if day is not None else []
    day, by = min(days, default=(2 * last + 1, ""))
    if day <= last:
        return Reached(Reach.NOW, None, by)
    if day > 2 * last:
        heads = any(sign * line.slope > 0 for line in (trend.robust, trend.squares.line))
        return Reached(Reach.NOT_WITHIN if heads else Reach.AWAY)
    return Reached(Reach.BEFORE, trend.first + timedelta(days=day), by)


def _line_day(line: Line, sign: int, near: Fraction, last: int) -> int | None:
    """The first whole day, from the last measure on, at which a line that heads for the limit has reached it."""
    if sign * line.slope <= 0:
        return None
    crossing = line.crosses(sign * near)
    return None if crossing is None else max(last, ceil(crossing))


def _in_interval(trend: Trend, sign: int, near: Fraction, x: int) -> bool:
    """Whether the prediction interval holds the limit at x. Compared in squares, so that no root is rounded."""
    away = near - sign * trend.squares.line.at(x)
    return away <= 0 or away**2 <= trend.t**2 * trend.squares.prediction_variance(x)


def _first_day(holds: Callable[[int], bool], low: int, high: int) -> int | None:
    """The first day from low to high on which something holds; None when it does not by high.

    The interval's edge, as a function of the day, is convex towards the limit: where it does not hold the limit at low
    it comes to it at most once, and goes on holding it.
    """
    if holds(low):
        return low
    if not holds(high):
        return None
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle + 1, high)
    return low


def next_look(last: date, before: date | None, usual_days: int | None) -> date | None:
    """The day by which to look next: the usual interval after the last look, or sooner, so that two looks fall before
    the early end. None without either. A usual interval is never made longer."""
    days = [usual_days] if usual_days else []
    if before is not None:
        days.append(max(1, ((before - last).days - 1) // LOOKS_BEFORE))
    return last + timedelta(days=min(days)) if days else None


def before_words(before: date) -> str:
    """The only form in which a date is shown."""
    return f"look again before {before.isoformat()}"


def basis_words(trend: Trend) -> str:
    """What a date rests on, as `trend of 6 looks since 2024-11`."""
    days = len({reading.on for reading in trend.readings})
    return f"trend of {days} looks since {trend.first:%Y-%m}"
