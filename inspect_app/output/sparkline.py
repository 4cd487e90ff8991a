"""Small pictures of a series beside its words: measures with line and nearest limit, or ratings as steps."""

from collections.abc import Sequence
from datetime import date
from fractions import Fraction
from itertools import pairwise
from xml.sax.saxutils import escape, quoteattr

from inspect_app.domain.changes import Rated
from inspect_app.domain.measure_history import Outlook, reading_of
from inspect_app.domain.trend import Trend
from inspect_app.domain.trend_words import description, series_title
from inspect_app.output.svg import circle, line

INK = "currentColor"
WIDTH, HEIGHT, EDGE = 132.0, 44.0, 5.0
WORST_RATING = 4  # ratings run from 0 to 4


def measures_svg(outlook: Outlook, key: str) -> str:
    """The measures that count as points, the Theil-Sen line through them, the nearest limit as a dashed line.

    `key` makes the ids unique on a page. Empty for fewer than two measures.
    """
    series = outlook.series
    readings = series.readings()
    if len(readings) < 2:
        return ""
    values = [one.value for one in readings]
    span = (max(values) - min(values)) or Fraction(1)
    near = min((one.edge for one in outlook.limits), key=lambda edge: abs(edge - values[-1]), default=None)
    shown = [*values, near] if near is not None and abs(near - values[-1]) <= 4 * span else values
    low, high = min(shown), max(shown)
    first, last = readings[0].on, readings[-1].on

    def x(on: date) -> float:
        return EDGE + (WIDTH - 2 * EDGE) * (on - first).days / max((last - first).days, 1)

    def y(value: Fraction) -> float:
        share = float((value - low) / (high - low)) if high != low else 0.5
        return HEIGHT - EDGE - (HEIGHT - 2 * EDGE) * share

    parts = []
    if near is not None and low <= near <= high:
        parts.append(line(0, y(near), WIDTH, y(near), 1.4, INK, "6 3"))
    if isinstance(outlook.trend, Trend):
        ends = [outlook.trend.robust.at(day) for day in (0, outlook.trend.span_days)]
        start, end = (min(max(value, low), high) for value in ends)
        parts.append(line(x(first), y(start), x(outlook.trend.last), y(end), 1.0, INK))
    parts += [circle(x(one.on), y(reading_of(one, series.unit).value), 2.4, INK) for one in series.taken]
    return _whole(parts, key, series_title(series), description(outlook))


def ratings_svg(ratings: Sequence[Rated], key: str, title: str) -> str:
    """The ratings as points on the scale from 0 to 4, joined. Empty for fewer than two."""
    if len(ratings) < 2:
        return ""
    first, last = min(one.on for one in ratings), max(one.on for one in ratings)
    days = max((last - first).days, 1)
    points = [
        (
            EDGE + (WIDTH - 2 * EDGE) * (one.on - first).days / days,
            HEIGHT - EDGE - (HEIGHT - 2 * EDGE) * one.wear / WORST_RATING,
        )
        for one in sorted(ratings, key=lambda one: (one.on, one.wear))
    ]
    parts = [line(0, HEIGHT - EDGE, WIDTH, HEIGHT - EDGE, 0.6, INK, "1 3"), line(0, EDGE, WIDTH, EDGE, 0.6, INK, "1 3")]
    parts += [line(*a, *b, 1.0, INK) for a, b in pairwise(points)]
    parts += [circle(x, y, 2.4, INK) for x, y in points]
    said = ", ".join(f"{one.wear} on {one.on}" for one in ratings)
    return _whole(parts, key, title, f"Wear ratings from 0 to {WORST_RATING}: {said}.")


def _whole(parts: Sequence[str], key: str, title: str, said: str) -> str:
    ids = quoteattr(f"{key}-title {key}-desc")
    return (
        f'<svg class="spark" xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby={ids} '
        f'viewBox="0 0 {WIDTH:g} {HEIGHT:g}" width="{WIDTH:g}" height="{HEIGHT:g}">'
        f'<title id="{key}-title">{escape(title)}</title><desc id="{key}-desc">{escape(said)}</desc>'
        + "".join(parts)
        + "</svg>"
    )
