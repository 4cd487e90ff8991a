"""What a series of measures says, in words and rows: for the page of a part, for a picture's description, for paper."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from inspect_app.domain.gauge import readings_words
from inspect_app.domain.measure_history import Outlook, Series, TakenMeasure
from inspect_app.domain.trend import CAUTION, Trend, next_look
from inspect_app.domain.units import convert, typed_words, with_unit

NO_DIRECTION = "no clear direction: the measures scatter more than they change"
METHOD = (
    "Solid line: the median of the slopes of all pairs (Theil 1950, Sen 1968). Dashed line: least squares, with the "
    "band in which 19 of 20 further measures are expected; measures of one day count as one look. No line is followed "
    "further than the history is long, and the earliest day at which either line or the band comes within half a step "
    "of the gauge of a limit is the one shown."
)


@dataclass(frozen=True, slots=True)
class MeasureRow:
    """One measure as a table shows it."""

    on: str
    value: str
    readings: str
    gauge: str
    load_state: str
    remark: str


def two_figures(value: Fraction) -> str:
    """A value to two significant figures: a rate is known no better."""
    places = 1
    while value and abs(value) * 10 ** (places - 1) < 1 and places < 12:
        places += 1
    return plain_number(value, places)


def plain_number(value: Fraction, places: int) -> str:
    """A value rounded to so many places, without trailing zeros."""
    text = f"{round(Decimal(value.numerator) / Decimal(value.denominator), places):f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def as_typed(measure: TakenMeasure) -> str:
    """A figure with its unit, and as it was typed where that reads otherwise."""
    return typed_words(measure.value, measure.unit, measure.typed)


def series_title(series: Series) -> str:
    """What is measured and where, as `Rope diameter, over the loft block`."""
    words = series.key.quantity.replace("_", " ").capitalize()
    return f"{words}, {series.station}" if series.station else f"{words}, place not recorded"


def series_facts(series: Series) -> str:
    """The gauge and load state that all its measures share."""
    gauge = series.gauge or ("" if series.key.dimension == "count" else "gauge not recorded")
    return "; ".join(filter(None, (gauge, series.load_state or "load state not recorded")))


def direction_words(trend: Trend, unit: str) -> str:
    """The change in a year by the robust line; where the scatter is greater than the change, that."""
    squares = trend.squares
    if squares.line.slope**2 <= trend.t**2 * squares.variance / squares.sum_xx:
        return NO_DIRECTION
    verb = "falls" if trend.per_year < 0 else "rises"
    return f"the measure {verb} by about {with_unit(two_figures(abs(trend.per_year)), unit)} per year"


def since_first_words(series: Series) -> str:
    """The last measure against the first of the part's present life; '' with fewer than two."""
    if len(series.taken) < 2:
        return ""
    first, last = series.taken[0], series.taken[-1]
    change = value_in(last, series.unit) - value_in(first, series.unit)
    if not change:
        return f"as at the first measure, {first.on.isoformat()}"
    more = "more" if change > 0 else "less"
    text = with_unit(plain_number(abs(change), 4), series.unit)
    return f"{text} {more} than at the first measure, {first.on.isoformat()}"


def next_words(outlook: Outlook, today: date) -> str:
    """The day by which to look next so that two looks fall before the early end; '' without a date."""
    if outlook.last_look is None or outlook.before is None or outlook.now:
        return ""
    if outlook.before <= today:
        return "That day has come: look at it now."
    day = next_look(outlook.last_look, outlook.before, None)
    if day is None or day <= today:
        return "The next look is due now, so that two fall before that day."
    return f"Next look by {day.isoformat()}, or sooner where its checklist asks, so that two fall before that day."


def measure_rows(series: Series) -> tuple[MeasureRow, ...]:
    """Every measure of the series, newest first, with what keeps it from counting."""
    rows = [(one, "") for one in series.taken]
    rows += [(one, f"{one.why_not}: does not count") for one in series.waiting]
    rows += [(one, "of what hung there before: does not count") for one in series.earlier]
    rows.sort(key=lambda row: (row[0].on, row[0].entry), reverse=True)
    return tuple(_row(one, remark) for one, remark in rows)


def _row(one: TakenMeasure, remark: str) -> MeasureRow:
    more = readings_words(one.value, one.readings)
    step = f", reads to {with_unit(one.resolution, one.unit)}" if one.resolution and one.unit != "count" else ""
    gauge = f"{one.gauge or 'not recorded'}{step}"
    return MeasureRow(one.on.isoformat(), as_typed(one), more, gauge, one.load_state, remark)


def description(outlook: Outlook) -> str:
    """The picture in words, for who does not see it."""
    series, trend = outlook.series, outlook.trend
    said = [f"{len(series.taken)} measures that count"]
    if series.taken:
        first, last = series.taken[0], series.taken[-1]
        said.append(f"from {with_unit(first.value, first.unit)} on {first.on} to {_last(last)} on {last.on}")
    if isinstance(trend, Trend):
        said.append(direction_words(trend, series.unit))
    text = ", ".join(said) + f". {outlook.words[:1].upper()}{outlook.words[1:]}."
    limits = [
        f"Limit {n}: {one.limit.says(series.unit)}, {one.limit.citation}" for n, one in enumerate(outlook.limits, 1)
    ]
    return " ".join([text, *(f"{one}." for one in limits)])


def _last(measure: TakenMeasure) -> str:
    return with_unit(measure.value, measure.unit)


def cautions(outlook: Outlook) -> Sequence[str]:
    """What is said beside every direction and date."""
    return (CAUTION,) if isinstance(outlook.trend, Trend) else ()


def value_in(measure: TakenMeasure, unit: str) -> Fraction:
    """The value of a measure in the unit of its series."""
    return convert(Decimal(measure.value), measure.unit, unit)
