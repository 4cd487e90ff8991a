"""What changed since an earlier walk or day: new, worse, better, repaired, replaced, altered, with both dates.

A later *better* never hides a *worse*: of two people who both stand by what they saw, the worse counts until the one
who said it, a repair or a replacement says otherwise.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from typing import NamedTuple

from inspect_app.domain.criteria import UPPER
from inspect_app.domain.judge import Limit, Result, judge, limit_fits
from inspect_app.domain.measure_history import Series, TakenMeasure, reading_of
from inspect_app.domain.units import with_unit


class ChangeKind(StrEnum):
    """What kind of change, gravest first: that is the order in which they are told."""

    STOPPED = "stopped"
    WORSE = "worse"
    NEW = "new"
    EVENT = "event"
    STILL_THERE = "still_there"
    PUT_OFF = "put_off"
    MOVED = "moved"
    BACK_IN_USE = "back_in_use"
    REPAIRED = "repaired"
    REPLACED = "replaced"
    NOT_SEEN_NOW = "not_seen_now"
    BETTER = "better"
    ALTERED = "altered"


CHANGE_TITLES: Mapping[ChangeKind, str] = {
    ChangeKind.STOPPED: "taken out of use or limited",
    ChangeKind.WORSE: "worse",
    ChangeKind.NEW: "new",
    ChangeKind.EVENT: "event",
    ChangeKind.STILL_THERE: "still there",
    ChangeKind.PUT_OFF: "put off or accepted",
    ChangeKind.MOVED: "measures differently",
    ChangeKind.BACK_IN_USE: "back in use or free of a limit",
    ChangeKind.REPAIRED: "repaired and settled",
    ChangeKind.REPLACED: "replaced or taken out",
    ChangeKind.NOT_SEEN_NOW: "not seen now, settled by nobody",
    ChangeKind.BETTER: "better",
    ChangeKind.ALTERED: "altered in the record",
}
CHANGE_ORDER: Mapping[ChangeKind, int] = {kind: n for n, kind in enumerate(ChangeKind)}


@dataclass(frozen=True, slots=True)
class Change:
    """One line: what it is about, what changed, and the days that are compared.

    `about` is (noun, id) of the page that has it in full; `line_set` and `part` are ids, '' where it is of none.
    `counted` is false for what is not signed yet.
    """

    kind: ChangeKind
    title: str
    words: str
    after_on: date
    before_on: date | None = None
    about: tuple[str, str] = ("", "")
    line_set: str = ""
    part: str = ""
    counted: bool = True

    @property
    def days(self) -> str:
        """The days compared."""
        return f"{self.before_on} and {self.after_on}" if self.before_on else f"{self.after_on}"


class Rated(NamedTuple):
    """A wear rating of a point of what hangs in a part's place now; `look` is the entry that gave it."""

    part: str
    point: str
    wear: int
    on: date
    by: str
    by_name: str
    counted: bool = True


class RatingChange(NamedTuple):
    """A rating then and now, and what is said beside it where somebody else rated it lower later."""

    part: str
    point: str
    before: int
    after: int
    before_on: date
    after_on: date
    by_name: str
    beside: str
    counted: bool

    @property
    def kind(self) -> ChangeKind:
        """Whether it is worse, better, or stands though somebody else rated it lower."""
        if self.after == self.before:
            return ChangeKind.STILL_THERE
        return ChangeKind.WORSE if self.after > self.before else ChangeKind.BETTER

    @property
    def words(self) -> str:
        """The ratings compared."""
        return f"wear rating {self.before} then, {self.after} now, by {self.by_name}{self.beside}"


def standing_rating(rated: Sequence[Rated]) -> Rated:
    """The rating that counts: of each person their worst of their last day, and of these the worst."""
    last: dict[str, date] = {}
    for one in rated:
        last[one.by] = max(one.on, last.get(one.by, one.on))
    return max((one for one in rated if one.on == last[one.by]), key=lambda one: (one.wear, one.on))


Settled = Mapping[tuple[str, str], Sequence[date]]  # by part and point, the days on which a fault there was settled


def ratings_since_repair(
    ratings: Iterable[Rated], settled: Settled, on: date = date.max
) -> dict[tuple[str, str], list[Rated]]:
    """By part and point, the ratings given up to a day, without those before a fault there was settled by then."""
    groups: dict[tuple[str, str], list[Rated]] = defaultdict(list)
    last = {key: max((day for day in days if day <= on), default=date.min) for key, days in settled.items()}
    for one in ratings:
        if last.get((one.part, one.point), date.min) <= one.on <= on:
            groups[one.part, one.point].append(one)
    return groups


def standing_ratings(ratings: Iterable[Rated], settled: Settled, on: date = date.max) -> dict[tuple[str, str], Rated]:
    """By part and point, the rating that counts at the end of a day."""
    return {key: standing_rating(rated) for key, rated in ratings_since_repair(ratings, settled, on).items()}


def rating_changes(ratings: Sequence[Rated], until: date, settled: Settled) -> list[RatingChange]:
    """The ratings given since `until` that changed what stood then, or that stand below it."""
    then = standing_ratings(ratings, settled, until)
    found = []
    for key, rated in ratings_since_repair(ratings, settled).items():
        after = [one for one in rated if one.on > until]
        if key not in then or not after:
            continue
        before, now = then[key], standing_rating(rated)
        newest = max(after, key=lambda one: (one.on, -one.wear))
        lower = newest.wear < now.wear
        said_before = any(one.on <= until and (one.by, one.wear) == (newest.by, newest.wear) for one in rated)
        if now.wear == before.wear and (not lower or said_before):
            continue
        beside = f"; rated {newest.wear} by {newest.by_name} on {newest.on}: the worse counts" if lower else ""
        after_on = max(now.on, newest.on) if now.on <= until else now.on
        found.append(RatingChange(*key, before.wear, now.wear, before.on, after_on, now.by_name, beside, now.counted))
    return found


class MeasureChange(NamedTuple):
    """A measure that moved beyond the step of its gauge; `kind` is *measures differently* without a limit to go by."""

    series: Series
    kind: ChangeKind
    before: TakenMeasure
    after: TakenMeasure
    words: str


def measure_change(series: Series, limits: Iterable[Limit], until: date) -> MeasureChange | None:
    """How a series moved since `until`, None when it did not beyond the coarser of the two steps.

    Where every limit lies on one side, of the measures since then the one nearest to it counts, not the newest.
    """
    fit = [limit for limit in limits if limit.value is not None and limit_fits(limit, series.unit)]
    sides = {limit.op in UPPER for limit in fit}
    sign = 0 if len(sides) != 1 else 1 if sides == {True} else -1
    before = [one for one in series.taken if one.on <= until]
    after = [one for one in series.taken if one.on > until]
    if not before or not after:
        return None
    then = _worst([one for one in before if one.on == before[-1].on], series.unit, sign)
    newest = _worst([one for one in after if one.on == after[-1].on], series.unit, sign)
    now = _worst(after, series.unit, sign) if sign else newest
    first, last = reading_of(then, series.unit), reading_of(now, series.unit)
    moved, step = last.value - first.value, max(first.step, last.step)
    if abs(moved) <= step:
        return None
    return MeasureChange(series, _direction(moved, sign), then, now, _measure_words(series, then, now, newest, fit))


def _worst(taken: Sequence[TakenMeasure], unit: str, sign: int) -> TakenMeasure:
    return max(taken, key=lambda one: (sign * reading_of(one, unit).value, one.on, one.entry))


def _direction(moved: Fraction, sign: int) -> ChangeKind:
    if not sign:
        return ChangeKind.MOVED
    return ChangeKind.WORSE if moved * sign > 0 else ChangeKind.BETTER


def _measure_words(
    series: Series, then: TakenMeasure, now: TakenMeasure, newest: TakenMeasure, limits: Sequence[Limit]
) -> str:
    quantity = series.key.quantity.replace("_", " ")
    place = f" {series.station}" if series.station else ""
    words = f"{quantity}{place}: {with_unit(then.value, then.unit)} then, {with_unit(now.value, now.unit)} now"
    if newest.value != now.value:
        words += f"; the newest measure reads {with_unit(newest.value, newest.unit)} ({newest.on}): the worse counts"
    outside = outside_words(now, limits)
    return f"{words}; {outside}" if outside else words


def outside_words(measure: TakenMeasure, limits: Sequence[Limit]) -> str:
    """The limits that a measure lies outside of, in the fixed words of the verdict; '' when there are none."""
    step = Decimal(measure.resolution) if measure.resolution.replace(".", "", 1).isdigit() else None
    verdicts = judge(Decimal(measure.value), measure.unit, step if step and step > 0 else None, tuple(limits))
    over = [(one.words, one.limit) for one in verdicts if one.result is Result.OUTSIDE and one.limit is not None]
    if not over:
        return ""
    cited = "; ".join(f"{limit.says(measure.unit)}: {limit.citation}" for _, limit in over)
    return f"{'; '.join(dict.fromkeys(words for words, _ in over))} ({cited})"


class Told(NamedTuple):
    """What a look said of a deficiency; `answer` as in domain/deficiency.py."""

    deficiency: str
    answer: str
    grade: str
    on: date
    by_name: str
    note: str = ""
    counted: bool = True


def worst_told(told: Sequence[Told]) -> Told | None:
    """Of what was said since a day, what counts: worse before still there before not seen now, the newest of these."""
    order = {"not_seen_now": 0, "new": 1, "still_there": 1, "worse": 2}
    return max(told, key=lambda one: (order.get(one.answer, 1), one.on), default=None)


TOLD_KIND: Mapping[str, ChangeKind] = {
    "worse": ChangeKind.WORSE,
    "still_there": ChangeKind.STILL_THERE,
    "new": ChangeKind.STILL_THERE,
    "not_seen_now": ChangeKind.NOT_SEEN_NOW,
}


class ChangeGroup(NamedTuple):
    """The changes of one line set, or of what belongs to none."""

    line_set: str
    title: str
    changes: tuple[Change, ...]

    @property
    def kinds(self) -> str:
        """What kinds of changes are in it, gravest first."""
        kinds = sorted({one.kind for one in self.changes}, key=CHANGE_ORDER.__getitem__)
        return ", ".join(CHANGE_TITLES[kind] for kind in kinds)


def grouped(changes: Iterable[Change], sets: Sequence[tuple[str, str]]) -> list[ChangeGroup]:
    """The changes by set in the order of `sets` (id, title), those of no set last; gravest first in each."""
    by_set: dict[str, list[Change]] = defaultdict(list)
    known = {key for key, _ in sets}
    for one in changes:
        by_set[one.line_set if one.line_set in known else ""].append(one)
    order = [*sets, ("", "The house, and what belongs to no set")]
    return [
        ChangeGroup(key, title, tuple(sorted(by_set[key], key=lambda one: (CHANGE_ORDER[one.kind], one.title))))
        for key, title in order
        if by_set[key]
    ]
