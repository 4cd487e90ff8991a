"""Measures of a part over time: which may be put into one series, and what each limit says of it."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import NamedTuple

from inspect_app.domain.criteria import UPPER
from inspect_app.domain.errors import BadValue
from inspect_app.domain.gauge import OTHER, Gauge, class_title, plain
from inspect_app.domain.judge import Limit, Result, judge, limit_fits, limit_in
from inspect_app.domain.part import Life
from inspect_app.domain.student_t import StudentT
from inspect_app.domain.trend import (
    LEAST_LOOKS,
    REACH_WORDS,
    Reach,
    Reached,
    Reading,
    Refusal,
    Refused,
    Trend,
    basis_words,
    before_words,
    reach_of,
    trend_of,
)
from inspect_app.domain.units import UNITS, convert, exact
from inspect_app.domain.walk import Measure

OF_NEITHER = "names what was replaced before that day: which was measured is not known"


@dataclass(frozen=True, slots=True)
class TakenMeasure:
    """A measure as it was taken. `why_not` says why it does not count (not signed, no countersign, a clock), else ''.

    `value`, `readings` and `resolution` are decimal text in `unit`; `on` is the day by the house's clock.
    """

    entry: str
    part: str
    life: str | None
    on: date
    point: str
    quantity: str
    value: str
    unit: str
    readings: tuple[str, ...] = ()
    station: str = ""
    gauge: str = ""
    resolution: str = ""
    load_state: str = ""
    revision: str = ""
    why_not: str = ""
    typed: str = ""
    doubted: bool = False  # it does not count for no other reason than that its gauge read wrong


class SeriesKey(NamedTuple):
    """What measures of one series have in common. Words are compared without regard to case and spacing."""

    point: str
    quantity: str
    dimension: str
    station: str
    gauge: str
    load_state: str


@dataclass(frozen=True, slots=True)
class Series:
    """Measures that may be set beside one another, oldest first, all in `unit`.

    `taken` are those of the part's present life; `waiting` do not count; `earlier` belong to what hung there before,
    and `breaks` are the days on which that was replaced. `beside` says what was left out and why. `since` is the day of
    a later measure of the same, with another gauge that is no coarser or in another load state.
    """

    part: str
    key: SeriesKey
    unit: str
    station: str
    gauge: str  # class in words
    load_state: str
    taken: tuple[TakenMeasure, ...]
    waiting: tuple[TakenMeasure, ...] = ()
    earlier: tuple[TakenMeasure, ...] = ()
    breaks: tuple[date, ...] = ()
    beside: tuple[str, ...] = ()
    since: date | None = None

    @property
    def revision(self) -> str:
        """The checklist revision of the newest measure: it says by which criterion the series is judged."""
        return max((*self.taken, *self.waiting, *self.earlier), key=lambda one: one.on).revision

    def readings(self) -> tuple[Reading, ...]:
        """The measures that count, exact and in the unit of the series.

        Where the step of the gauge is not known, the finest place that any of these was written with stands for it: who
        writes 0.249 and then 0.25 has not changed the gauge.
        """
        found = [(reading_of(one, self.unit), gauge_step(one) is not None) for one in self.taken]
        finest = min((reading.step for reading, known in found if not known), default=None)
        return tuple(reading if known or finest is None else reading._replace(step=finest) for reading, known in found)


class LimitReach(NamedTuple):
    """What a series says of one limit, in words fit to be shown."""

    limit: Limit
    edge: Fraction  # in the unit of the series
    reached: Reached
    words: str


@dataclass(frozen=True, slots=True)
class Outlook:
    """What a series says: the trend or why there is none, and each limit. `before` is the earliest date of all.

    A later measure of the same that cannot be put together with these is a look all the same: it answers *look again
    now*, and a date that lies behind it. `judged` says whether any limit can be set against the measure, also where
    there is no trend to reach it by.
    """

    series: Series
    trend: Trend | Refused
    limits: tuple[LimitReach, ...] = ()
    judged: bool = False

    @property
    def before(self) -> date | None:
        """The day before which to look again, None without one."""
        days = (one.reached.before for one in self.limits if one.reached.before)
        return min((day for day in days if self.series.since is None or day > self.series.since), default=None)

    @property
    def now(self) -> bool:
        """Whether a limit is so near that the next look is due at once."""
        return self.series.since is None and self._near

    @property
    def _near(self) -> bool:
        return any(one.reached.reach in (Reach.NOW, Reach.CANNOT_TELL) for one in self.limits)

    @property
    def last_look(self) -> date | None:
        """The day of the last measure of it that counts, be it of this series or a later one beside it."""
        return self.series.since or (self.series.taken[-1].on if self.series.taken else None)

    @property
    def look_again(self) -> str:
        """When to look again, and on what that rests: for lists and paper. Empty where nothing but the usual holds."""
        if self.now:
            return next(one.words for one in self.limits if one.reached.reach in (Reach.NOW, Reach.CANNOT_TELL))
        return self._dated

    @property
    def _dated(self) -> str:
        if self.before is None or isinstance(self.trend, Refused):
            return ""
        return f"{before_words(self.before)} ({basis_words(self.trend)})"

    @property
    def words(self) -> str:
        """The outlook in one line: the most urgent first."""
        if isinstance(self.trend, Refused):
            return f"no direction yet: {self.trend.words}"
        reaches = {one.reached.reach: one.words for one in self.limits}
        dated = self._dated
        if self.series.since is not None and not dated and (self._near or Reach.BEFORE in reaches):
            return f"answered by a look on {self.series.since.isoformat()} that is not put together with these measures"
        if Reach.PASSED in reaches:
            return reaches[Reach.PASSED] + (f"; for the limits not passed yet, {dated}" if dated else "")
        for reach in (Reach.CANNOT_TELL, Reach.NOW):
            if reach in reaches:
                return reaches[reach]
        if dated:
            return dated
        if not self.limits:
            return "no published limit could be set against it; only its direction is shown"
        return reaches.get(Reach.NOT_WITHIN) or reaches[Reach.AWAY]


def reading_of(measure: TakenMeasure, unit: str) -> Reading:
    """The measure in another unit of its dimension, exactly. Raises BadValue or InvalidOperation when unreadable."""
    return Reading(
        measure.on,
        convert(Decimal(measure.value), measure.unit, unit),
        convert(step_of(measure), measure.unit, unit),
    )


def gauge_step(measure: Measure | TakenMeasure) -> Fraction | None:
    """The smallest step of the gauge in the unit of the measure, None where it is not known or cannot be read."""
    try:
        step = exact(Decimal(measure.resolution))
    except (InvalidOperation, BadValue):
        return None
    return step if step > 0 else None


def step_of(measure: Measure | TakenMeasure) -> Fraction:
    """The same, else one unit in the last place that was written."""
    step = gauge_step(measure)
    if step is not None:
        return step
    exponent = Decimal(measure.value).as_tuple().exponent
    return Fraction(10) ** (exponent if isinstance(exponent, int) else 0)


def histories_of(
    measures: Iterable[TakenMeasure],
    lives: Sequence[Life],
    gauges: Mapping[str, Gauge],
    given_up: Collection[str] = (),
) -> tuple[Series, ...]:
    """The series of one part from all its measures; `gauges` are those of the house by plain name, `given_up` the plain
    names of places where the part is not measured any more: what they ask is answered elsewhere on it.

    Only measures of one quantity at one point, in one place, with one class of gauge and in one load state are set
    beside one another, and only those since the part was last replaced. Unreadable figures are left out.
    """
    groups: dict[SeriesKey, list[TakenMeasure]] = {}
    for measure in sorted(measures, key=lambda one: (one.on, one.entry)):
        if _is_readable(measure):
            groups.setdefault(_key(measure, gauges), []).append(measure)
    found = (_series(key, group, lives) for key, group in groups.items())
    made = [one for one in found if one.taken or one.waiting or one.earlier]  # of what was replaced, only signed ones
    return tuple(_with_beside(one, made, given_up) for one in sorted(made, key=lambda one: one.key))


def _is_readable(measure: TakenMeasure) -> bool:
    try:
        reading_of(measure, measure.unit)
        judge(Decimal(measure.value), measure.unit, None, ())
    except (BadValue, InvalidOperation):
        return False
    return True


def _key(measure: TakenMeasure, gauges: Mapping[str, Gauge]) -> SeriesKey:
    known, dimension = gauges.get(plain(measure.gauge)), UNITS[measure.unit].dimension
    kind = class_title(known.kind) if known and known.kind and known.kind != OTHER else plain(measure.gauge)
    if dimension == "count":
        kind = ""  # what is counted is counted by eye; the phone asks for no gauge
    return SeriesKey(
        measure.point, measure.quantity, dimension, plain(measure.station), kind, plain(measure.load_state)
    )


def _series(key: SeriesKey, group: Sequence[TakenMeasure], lives: Sequence[Life]) -> Series:
    present = next((life for life in lives if life.retired_on is None), None)
    now = [one for one in group if _is_present(one, present, lives)]
    before = [one for one in group if one not in now]
    unsure = [one for one in before if present is not None and _is_of_neither(one, lives)]
    newest = (now or group)[-1]
    return Series(
        part=newest.part,
        key=key,
        unit=newest.unit,
        station=newest.station,
        gauge=key.gauge if key.gauge != plain(newest.gauge) else newest.gauge,
        load_state=newest.load_state,
        taken=tuple(one for one in now if not one.why_not),
        waiting=tuple(_waiting(now, unsure)),
        earlier=tuple(one for one in before if not one.why_not and one not in unsure),
        breaks=_breaks(group, lives),
    )


def _is_present(measure: TakenMeasure, present: Life | None, lives: Sequence[Life]) -> bool:
    """Whether a measure belongs to what hangs there now; one that names no life goes by its day."""
    if present is None:
        return False
    if measure.life is not None:
        return measure.life == present.id
    if present.installed_on is None:
        return len(lives) == 1
    return measure.on >= present.installed_on


def _waiting(now: Sequence[TakenMeasure], unsure: Sequence[TakenMeasure]) -> list[TakenMeasure]:
    doubtful = [replace(one, why_not=one.why_not or OF_NEITHER) for one in unsure]
    return sorted([*(one for one in now if one.why_not), *doubtful], key=lambda one: one.on)


def _is_of_neither(measure: TakenMeasure, lives: Sequence[Life]) -> bool:
    """Whether it names what was gone by its day, as with a replacement entered late: it may be of what hangs there now,
    so that it adds a doubt; it counts for neither."""
    ended = (life.retired_on for life in lives if life.id == measure.life)
    return any(day is not None and day < measure.on for day in ended)


def _breaks(group: Sequence[TakenMeasure], lives: Sequence[Life]) -> tuple[date, ...]:
    """The days of replacement between the first measure and the last, or after it."""
    ended = sorted(life.retired_on for life in lives if life.retired_on is not None)
    return tuple(day for day in ended if day >= group[0].on)


def _with_beside(series: Series, all_series: Sequence[Series], given_up: Collection[str]) -> Series:
    """The series with a line for each other one of the same quantity at the same point, and for earlier lives."""
    words = []
    later = [day for other in all_series if other is not series and (day := _looked_again(series, other, given_up))]
    for other in all_series:
        if other is not series and other.key[:2] == series.key[:2]:
            count = len(other.taken)
            if count:
                words.append(f"{_measures(count)} {_difference(series.key, other.key)} not put together with these")
    if not series.station:
        words.append("the place is not recorded: a direction holds only if it was one and the same")
    if series.earlier:
        since = f" before {series.breaks[-1].isoformat()}" if series.breaks else ""
        words.append(f"{_measures(len(series.earlier))} of what hung there{since} not counted")
    return Series(
        series.part, series.key, series.unit, series.station, series.gauge, series.load_state,
        series.taken, series.waiting, series.earlier, series.breaks, tuple(words), max(later, default=None),
    )  # fmt: skip


def _looked_again(series: Series, other: Series, given_up: Collection[str]) -> date | None:
    """The day of the newest measure of another series, if that is a later look at the same: the quantity in the same
    place (named, or asked by the same point; anywhere once that place is given up), with a step that is no coarser."""
    one, two = series.key, other.key
    there = one.station == two.station and (one.point == two.point or one.station != "")
    same = one.quantity == two.quantity and (there or one.station in given_up)
    if not same or one.dimension != two.dimension or not series.taken or not other.taken:
        return None
    last, newer = series.taken[-1], other.taken[-1]
    if newer.on <= last.on or reading_of(newer, series.unit).step > reading_of(last, series.unit).step:
        return None
    return newer.on


def _measures(count: int) -> str:
    return "1 measure" if count == 1 else f"{count} measures"


def _difference(one: SeriesKey, other: SeriesKey) -> str:
    verb = []
    if one.gauge != other.gauge:
        verb.append(f"with another gauge ({other.gauge or 'not recorded'})")
    if one.station != other.station:
        verb.append(f"at another place ({other.station or 'not recorded'})")
    if one.load_state != other.load_state:
        verb.append(f"in another load state ({other.load_state or 'not recorded'})")
    if one.dimension != other.dimension:
        verb.append(f"as a {other.dimension}")
    return " and ".join(verb)


def outlook_of(series: Series, limits: Iterable[Limit], table: StudentT | None) -> Outlook:
    """The trend of a series and what it says of each limit that can be set against it."""
    trend = _trend(series, table)
    fit = [limit for limit in limits if limit.value is not None and limit_fits(limit, series.unit)]
    if isinstance(trend, Refused):
        return Outlook(series, trend, judged=bool(fit))
    return Outlook(series, trend, tuple(_limit_reach(series, trend, limit) for limit in fit), bool(fit))


def _trend(series: Series, table: StudentT | None) -> Trend | Refused:
    if table is None:
        return Refused(Refusal.NO_TABLE, "the reference table of Student's t cannot be read")
    if series.key.dimension != "count" and not series.key.gauge and series.taken:
        words = "the gauge is not recorded, so the measures may come from different ones"
        return Refused(Refusal.NO_GAUGE, words)
    trend = trend_of(series.readings(), table)
    if not isinstance(trend, Refused) or trend.reason not in (Refusal.NOTHING, Refusal.TOO_FEW):
        return trend
    if series.earlier and len(series.taken) < LEAST_LOOKS:
        words = f"replaced {f'on {series.breaks[-1].isoformat()}' if series.breaks else 'since'}; {trend.words}"
        return Refused(Refusal.REPLACED, words)
    return trend


def _limit_reach(series: Series, trend: Trend, limit: Limit) -> LimitReach:
    edge = limit_in(limit, series.unit)
    state = _last_verdict(series, limit)
    if state is Result.OUTSIDE:
        reached = Reached(Reach.PASSED)
    elif state is Result.CANNOT_TELL:
        reached = Reached(Reach.CANNOT_TELL)
    else:
        reached = reach_of(trend, edge, limit.op in UPPER)
    words = before_words(reached.before) if reached.before else REACH_WORDS[reached.reach]
    return LimitReach(limit, edge, reached, words)


def _last_verdict(series: Series, limit: Limit) -> Result:
    """What the limit says of the measures of the last day; one that is outside there leads."""
    last = series.taken[-1].on
    results = set()
    for one in series.taken:
        if one.on == last:
            step = gauge_step(one)
            results.add(judge(Decimal(one.value), one.unit, step, [limit])[0].result)
    return next((r for r in (Result.OUTSIDE, Result.CANNOT_TELL) if r in results), Result.INSIDE)
