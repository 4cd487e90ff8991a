"""What wears in a house: measures and ratings with a direction, nearest date first, and the odd one out."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction

from inspect_app.domain.changes import Rated, Settled, ratings_since_repair, standing_rating
from inspect_app.domain.judge import Limit, Result, Verdict, worst
from inspect_app.domain.judged_measure import verdicts_by
from inspect_app.domain.measure_history import Outlook, reading_of
from inspect_app.domain.part import Part
from inspect_app.domain.siblings import OddOne, SetValue, odd_ones
from inspect_app.domain.trend import Reach, Refused, Trend, basis_words
from inspect_app.domain.trend_words import NO_DIRECTION, direction_words, series_title, two_figures
from inspect_app.domain.units import with_unit


class Nearness(StrEnum):
    """How near a limit is, nearest first."""

    PASSED = "passed"
    NOW = "now"
    DATED = "dated"
    WORN_ON = "worn_on"
    MOVES = "moves"
    STILL = "still"


NEARNESS_TITLES: Mapping[Nearness, str] = {
    Nearness.PASSED: "Outside a cited limit already",
    Nearness.NOW: "So near a limit that the next look is due at once",
    Nearness.DATED: "Reaches a limit by the trend: look again before the date",
    Nearness.WORN_ON: "Wear rating that has risen",
    Nearness.MOVES: "Moves, and no limit is reached within as long again as the history",
    Nearness.STILL: "No direction can be seen",
}


@dataclass(frozen=True, slots=True)
class WearRow:
    """One series of measures, or the ratings of one point, of one part. `verdicts` are those of its newest measure."""

    part: Part
    nearness: Nearness
    title: str
    direction: str
    limit: str
    basis: str
    before: date | None = None
    outlook: Outlook | None = None
    verdicts: tuple[Verdict, ...] = ()
    ratings: tuple[Rated, ...] = ()
    odd: str = ""


def measure_row(part: Part, outlook: Outlook, odd: str = "", limits: Sequence[Limit] = ()) -> WearRow:
    """A series of measures as the list shows it; the limits judge its newest measure also without a trend."""
    series, trend = outlook.series, outlook.trend
    last = series.taken[-1] if series.taken else None
    newest = f"last {with_unit(last.value, last.unit)} on {last.on}" if last else "nothing that counts yet"
    since = series.waiting[-1] if series.waiting else None
    if since is not None and (last is None or since.on >= last.on):
        newest += f"; {with_unit(since.value, since.unit)} on {since.on} does not count: {since.why_not}"
    if isinstance(trend, Refused):
        direction = "; ".join((trend.words, *series.beside))
    else:
        direction = _direction(trend, series.unit)
    verdicts = verdicts_by(last, limits) if last and limits else ()
    return WearRow(
        part,
        _nearness(outlook, worst(verdicts).result),
        series_title(series),
        f"{direction}; {newest}",
        outlook.words if outlook.limits else "",
        basis_words(trend) if isinstance(trend, Trend) else "",
        outlook.before if not outlook.now else None,
        outlook,
        verdicts,
        odd=odd,
    )


def _direction(trend: Trend, unit: str) -> str:
    """The change in a year and how far off it may be: half of the slope's 95 percent interval, by least squares."""
    words = direction_words(trend, unit)
    if words.startswith(NO_DIRECTION):
        return words
    half = float(trend.t) * float(trend.squares.variance / trend.squares.sum_xx) ** 0.5 * 365.25
    return (
        f"{words}, give or take {with_unit(two_figures(Fraction(half)), unit)} (95 %, least squares)" if half else words
    )


def _nearness(outlook: Outlook, newest: Result) -> Nearness:
    if newest is Result.OUTSIDE:
        return Nearness.PASSED
    if isinstance(outlook.trend, Refused):
        return Nearness.NOW if newest is Result.CANNOT_TELL else Nearness.STILL
    if any(one.reached.reach is Reach.PASSED for one in outlook.limits):
        return Nearness.PASSED
    if outlook.now:
        return Nearness.NOW
    if outlook.before:
        return Nearness.DATED
    clear = not direction_words(outlook.trend, outlook.series.unit).startswith(NO_DIRECTION)
    return Nearness.MOVES if clear else Nearness.STILL


def rating_rows(
    ratings: Iterable[Rated], parts: Mapping[str, Part], asks: Mapping[str, str], settled: Settled
) -> list[WearRow]:
    """The points whose wear rating rose over what hangs there now, since a fault there was last settled; no dates."""
    found = []
    for (part, point), rated in ratings_since_repair(ratings, settled).items():
        days = sorted({one.on for one in rated})
        if part not in parts or len(days) < 2:
            continue
        first = max(one.wear for one in rated if one.on == days[0])
        now = standing_rating(rated)
        nearness = Nearness.WORN_ON if now.wear > first else Nearness.STILL
        direction = (
            f"rating {first} on {days[0]}, {now.wear} on {now.on}; {len(days)} ratings. "
            "A rating is a described step, so no date is worked out from it"
        )
        title = f"Wear rating: {asks.get(point, point)}"
        found.append(WearRow(parts[part], nearness, title, direction, "", "", ratings=tuple(rated)))
    return found


def odd_by_part(
    outlooks: Sequence[Outlook], parts: Mapping[str, Part], set_kinds: Mapping[str, str]
) -> dict[tuple[str, str], OddOne]:
    """By (part, quantity), the series whose newest measure stands apart from those of its sister sets.

    Compared are parts of one kind at the same line in sets of one kind, at one point and place, with one unit.
    """
    values: list[SetValue] = []
    owners: dict[tuple[str, str], str] = {}
    for outlook in outlooks:
        series, part = outlook.series, parts.get(outlook.series.part)
        line_set = part.line_set if part is not None else None
        if part is None or line_set is None or line_set not in set_kinds or not series.taken:
            continue
        newest = series.taken[-1]
        reading = reading_of(newest, series.unit)
        group = (
            set_kinds[line_set], part.kind.value, str(part.line or ""), series.key.point, series.key.quantity,
            series.key.dimension, series.unit, series.key.station,
        )  # fmt: skip
        name = "|".join(group)
        values.append(SetValue(line_set, group, name, reading.value, series.unit, reading.step, newest.value))
        owners[line_set, name] = part.id
    return {
        (owners[odd.line_set, odd.quantity], odd.quantity.split("|")[4]): odd
        for odd in odd_ones(values)
        if (odd.line_set, odd.quantity) in owners
    }


def by_nearness(rows: Iterable[WearRow]) -> list[tuple[Nearness, list[WearRow]]]:
    """The rows under how near a limit is, nearest first, and within by date, then by tag."""
    found: dict[Nearness, list[WearRow]] = {one: [] for one in Nearness}
    for row in rows:
        found[row.nearness].append(row)
    return [
        (nearness, sorted(group, key=lambda row: (row.before or date.max, row.part.tag, row.title)))
        for nearness, group in found.items()
        if group
    ]
