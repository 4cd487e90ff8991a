"""Wear over time: where repeated measures of one part with one gauge lead, and the day before which to look again."""

from collections.abc import Mapping, Sequence
from datetime import date
from fractions import Fraction
from typing import Any

from inspect_app.domain.attribute_value import exact_text
from inspect_app.domain.criteria import Consequence, Op
from inspect_app.domain.judge import Limit
from inspect_app.domain.measure_history import LimitReach, Outlook, Series, SeriesKey, TakenMeasure
from inspect_app.domain.source import MARK_WORDS
from inspect_app.domain.trend import (
    CAUTION,
    REACH_WORDS,
    Reach,
    Reached,
    Reading,
    Refusal,
    Refused,
    Trend,
    basis_words,
    before_words,
    next_look,
    reach_of,
    trend_of,
)
from inspect_app.domain.trend_words import NO_DIRECTION, direction_words
from inspect_app.domain.units import convert
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.words import length_words, rounded, table_of

BELOW, ABOVE = "below", "above"
_INPUTS = (
    Input(
        "readings", "Measures, oldest first", Ask.READINGS,
        hint="One on a line: the date and the figure, 2024-03-04 0.246 in. One part, one place, one gauge, one load.",
    ),
    Input(
        "resolution", "Smallest step of the gauge", Ask.LENGTH,
        hint="Where its paper names an error of more than half a step, twice that error.",
    ),
    Input("limit", "Limit", Ask.LENGTH, hint="As the clause gives it, or from the page of the rope or block."),
    Input("side", "Outside is", Ask.CHOICE, choices=((BELOW, "less than the limit"), (ABOVE, "more than the limit"))),
)  # fmt: skip
_RULES = (
    "At least four looks on different days, a week or more apart, since the part was last replaced.",
    "A line is followed no further than the history is long, and only its early end is shown.",
)


def _trend(values: Mapping[str, Any], reference: Reference) -> Answer:
    units, step = reference.units, values["resolution"]
    readings = [Reading(date.fromisoformat(one.on), one.value, step) for one in values["readings"]]
    rows = [(reading.on.isoformat(), length_words(reading.value, units)) for reading in sorted(readings)]
    table = table_of("Measures", ("Day", "Figure"), rows)
    found = _found(readings, reference)
    if isinstance(found, Refused):
        words = f"no direction yet: {found.words}"
        outcome = Outcome("Look again", "no date", words=words, tone="withheld")
        picture = _outlook(readings, Reached(Reach.AWAY), values, reference)
        return Answer((outcome,), (), (table,), _RULES, (CAUTION,), picture=picture)
    upper = values["side"] == ABOVE
    reached = _reached(found, values["limit"], upper)
    when = before_words(reached.before) if reached.before else REACH_WORDS[reached.reach]
    tone = {Reach.PASSED: "outside", Reach.CANNOT_TELL: "cannot_tell"}.get(reached.reach, "plain")
    came = f"{basis_words(found)}; the {reached.by} comes there first" if reached.by else basis_words(found)
    return Answer(
        (
            Outcome("Look again", when, words=came, tone=tone),
            *_next(found, reached),
            Outcome("Change in a year", _change(found.per_year, units), words=_trusted(found)),
        ),
        _steps(found, units),
        (table,),
        _RULES,
        (CAUTION,),
        (f"{reference.student_t.citation} ({MARK_WORDS.get(reference.student_t.mark, reference.student_t.mark)})",),
        _outlook(readings, reached, values, reference),
    )


def _found(readings: list[Reading], reference: Reference) -> Trend | Refused:
    if reference.student_t is None:
        return Refused(Refusal.NO_TABLE, "the reference table of Student's t cannot be read")
    return trend_of(readings, reference.student_t)


def _reached(found: Trend, limit: Fraction, upper: bool) -> Reached:
    last = [reading for reading in found.readings if reading.on == found.last]
    near = [abs(reading.value - limit) <= reading.step / 2 for reading in last]
    if any((reading.value > limit) == upper and not close for reading, close in zip(last, near, strict=True)):
        return Reached(Reach.PASSED)
    if any(near):
        return Reached(Reach.CANNOT_TELL)
    return reach_of(found, limit, upper)


def _next(found: Trend, reached: Reached) -> tuple[Outcome, ...]:
    day = next_look(found.last, reached.before, None) if reached.before else None
    words = "so that two looks fall before that day; sooner where the checklist asks"
    return (Outcome("Next look", f"by {day.isoformat()}", words=words),) if day else ()


def _trusted(found: Trend) -> str:
    clear = not direction_words(found, "mm").startswith(NO_DIRECTION)
    return "by the Theil-Sen line" + ("" if clear else "; " + NO_DIRECTION)


def _outlook(readings: Sequence[Reading], reached: Reached, values: Mapping[str, Any], reference: Reference) -> Outlook:
    """What the picture draws, in the house's unit: the measures as one series of one gauge, and the limit as typed."""
    unit = "in" if reference.units == "imperial" else "mm"
    taken = tuple(_taken(reading, unit) for reading in sorted(readings))
    key = SeriesKey("", "measure", "length", "", "one gauge", "")
    series = Series("", key, unit, "at one place with one gauge", "one gauge", "", taken)
    op = Op.MORE_THAN if values["side"] == ABOVE else Op.LESS_THAN
    limit = Limit(
        "typed", op, values["limit"], "mm", Consequence.LOAD_PATH, "", "", "", "the limit", "", "", "given above",
        "memory", "", by_analogy=False, entered="as typed, without a source",
    )  # fmt: skip
    words = before_words(reached.before) if reached.before else REACH_WORDS[reached.reach]
    edge = convert(values["limit"], "mm", unit)
    trend = _found(list(series.readings()), reference)
    return Outlook(series, trend, (LimitReach(limit, edge, reached, words),))


def _taken(reading: Reading, unit: str) -> TakenMeasure:
    """A measure as decimal text, in the house's unit where that is exact."""
    sizes = [convert(size, "mm", unit) for size in (reading.value, reading.step)]
    if not all(10**12 % size.denominator == 0 for size in sizes):
        unit, sizes = "mm", [reading.value, reading.step]
    value, step = (exact_text(size) for size in sizes)
    return TakenMeasure("", "", None, reading.on, "", "measure", value, unit, resolution=step)


def _change(size: Fraction, units: str) -> str:
    """`−0.0037 in (−0.094 mm)`: a change has its sign in both systems."""
    first, second = length_words(abs(size), units).split(" (")
    sign = "−" if size < 0 else "+"
    return f"{sign}{first} ({sign}{second}"


def _steps(found: Trend, units: str) -> tuple[Step, ...]:
    slope, squares = found.robust.slope, found.squares.line.slope
    return (
        Step("Theil-Sen: median of the slopes of all pairs, per day", "", f"{_change(slope, units)} a day"),
        Step("least squares, per day", "", f"{_change(squares, units)} a day"),
        Step(
            "band in which 19 of 20 further measures are expected: t for two fewer than the days measured on",
            f"t({found.squares.freedom})",
            rounded(found.t),
        ),
    )


SHEETS = (
    Worksheet(
        "trend",
        "Wear over time",
        "Where do these repeated measures lead, and before which day is the next look due?",
        _INPUTS,
        _trend,
        (
            "Theil-Sen: the median of the slopes of all pairs; least squares with its 95 % prediction interval",
            "look again before the first day on which a line or the band comes within half a gauge step of the limit",
        ),
    ),
)
