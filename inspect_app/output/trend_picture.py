"""A series of measures as a picture: points with the step of their gauge, the lines, the band, the limits.

Everything is drawn in the colour of the text around it, so that it reads in each choice of colours and on paper; what
is told apart is told apart by shape, dash and number.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from textwrap import wrap
from xml.sax.saxutils import escape, quoteattr

from inspect_app.domain.measure_history import Outlook, TakenMeasure, reading_of
from inspect_app.domain.trend import Trend
from inspect_app.domain.trend_words import description, series_title, value_in
from inspect_app.domain.units import with_unit
from inspect_app.output.svg import circle, line, polygon, rect, words

INK = "currentColor"
WIDTH, PLOT_HEIGHT, TOP = 330.0, 190.0, 24.0
LEFT, RIGHT = 48.0, 16.0
TEXT, SMALL, LETTERS = 11.5, 10.5, 52  # letters of small text in one line
FAR = 2  # a limit without a date, further off than so many times the spread of the measures, is named, not drawn
APART = 11.0  # from the number of one limit to the next


@dataclass(frozen=True, slots=True)
class _Scale:
    """From days and values to places in the picture."""

    first: date
    days: int
    low: Fraction
    high: Fraction

    def x(self, on: date) -> float:
        return LEFT + (WIDTH - LEFT - RIGHT) * (on - self.first).days / self.days

    def y(self, value: Fraction | float) -> float:
        share = (float(value) - float(self.low)) / float(self.high - self.low)
        return TOP + PLOT_HEIGHT * (1 - min(max(share, 0.0), 1.0))


def trend_svg(outlook: Outlook, key: str, *, ink: str = INK) -> str:
    """The picture as an SVG element; `key` makes the ids of its title and description unique on a page.

    Empty when there is nothing to draw: fewer than two measures.
    """
    series = outlook.series
    shown = (*series.earlier, *series.taken, *series.waiting)
    if len(shown) < 2:
        return ""
    scale = _scale(outlook, shown)
    parts = [*_axes(scale, outlook, ink)]
    if isinstance(outlook.trend, Trend):
        parts += _lines(scale, outlook.trend, _end(outlook, outlook.trend), ink)
    parts += _limits(scale, outlook, ink)
    parts += _breaks(scale, outlook, ink)
    parts += _points(scale, outlook, ink)
    legend, height = _legend(scale, outlook, ink)
    title, desc = escape(series_title(series)), escape(description(outlook))
    ids = quoteattr(f"{key}-title {key}-desc")
    return (
        f'<svg class="trend" xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby={ids} '
        f'viewBox="0 0 {WIDTH:g} {height:g}"><title id="{key}-title">{title}</title><desc id="{key}-desc">{desc}</desc>'
        + "".join((*parts, *legend))
        + "</svg>"
    )


def _scale(outlook: Outlook, shown: Sequence[TakenMeasure]) -> _Scale:
    series, trend = outlook.series, outlook.trend
    readings = [reading_of(one, series.unit) for one in shown]
    values = [r.value + sign * r.step / 2 for r in readings for sign in (1, -1)]
    first, last = min(r.on for r in readings), max(r.on for r in readings)
    if isinstance(trend, Trend):
        last = max(last, trend.first + timedelta(days=_end(outlook, trend)))
    spread = max(values) - min(values)
    edges = [
        one.edge for one in outlook.limits if one.reached.before or _near(one.edge, min(values), max(values), spread)
    ]
    values += edges
    low, high = min(values), max(values)
    margin = (high - low) / 12 or Fraction(1)
    floor = Fraction(0) if min(values) >= 0 and low - margin < 0 else low - margin
    pad = max((last - first).days // 40, 1)
    start = date.fromordinal(max(first.toordinal() - pad, 1))
    return _Scale(start, (last - start).days + pad, floor, high + margin)


def _near(edge: Fraction, low: Fraction, high: Fraction, spread: Fraction) -> bool:
    return low - FAR * spread <= edge <= high + FAR * spread


def _ticks(low: Fraction, high: Fraction) -> tuple[list[Fraction], int]:
    """Round values between low and high, three to seven of them, and the places they are written with."""
    wanted, places, unit = (high - low) / 4, 0, Fraction(1)
    while unit > wanted:
        unit, places = unit / 10, places + 1
    while unit * 10 <= wanted:
        unit *= 10
    step = max(unit * n for n in (1, 2, 5) if unit * n <= wanted)
    start = -(-low // step)
    ticks = [step * n for n in range(int(start), int(high // step) + 1)]
    return ticks, places


def _axes(scale: _Scale, outlook: Outlook, ink: str) -> list[str]:
    bottom = TOP + PLOT_HEIGHT
    parts = [words(4, 12, TEXT, _axis_title(outlook), fill=ink)]
    ticks, places = _ticks(scale.low, scale.high)
    for tick in ticks:
        y = scale.y(tick)
        parts.append(line(LEFT, y, WIDTH - RIGHT, y, 0.3, ink, "1 3"))
        parts.append(words(LEFT - 5, y + 3.5, SMALL, f"{float(tick):.{places}f}", anchor="end", fill=ink))
    parts.append(line(LEFT, bottom, WIDTH - RIGHT, bottom, 0.8, ink))
    parts.append(line(LEFT, TOP, LEFT, bottom, 0.8, ink))
    for on, text in _dates(scale):
        x = scale.x(on)
        parts.append(line(x, bottom, x, bottom + 4, 0.8, ink))
        parts.append(words(x, bottom + 15, SMALL, text, anchor="middle", fill=ink))
    return parts


def _axis_title(outlook: Outlook) -> str:
    quantity = outlook.series.key.quantity.replace("_", " ")
    sign = with_unit("", outlook.series.unit)
    return f"{quantity} ({sign})" if sign else f"{quantity}, number"


def _dates(scale: _Scale) -> list[tuple[date, str]]:
    """The first of a month at even steps with how it is written; as many as there is room for."""
    months = scale.days / 30.44
    room = {True: 34.0, False: 52.0}
    step = next((n for n in (1, 2, 3, 6, 12, 24, 60, 120) if months / n * room[n >= 12] <= WIDTH - LEFT - RIGHT), 240)
    last = scale.first + timedelta(days=scale.days)
    every = range(0, (last.year - scale.first.year + 1) * 12, step)
    days = (date(scale.first.year + n // 12, n % 12 + 1, 1) for n in every)
    return [(on, f"{on:%Y}" if step >= 12 else f"{on:%Y-%m}") for on in days if scale.first <= on <= last]


def _end(outlook: Outlook, trend: Trend) -> int:
    """The day to which the lines are drawn: the early end, so that no later one can be read off the picture."""
    if outlook.now:
        return trend.span_days
    return (outlook.before - trend.first).days if outlook.before else 2 * trend.span_days


def _lines(scale: _Scale, trend: Trend, end: int, ink: str) -> list[str]:
    """The band, the two lines, and where the history ends and the lines are only followed on."""
    start = 0
    days = sorted({round(end * n / 32) for n in range(33)} | {trend.span_days})
    upper, lower = [], []
    for day in days:
        middle, half = float(trend.squares.line.at(day)), trend.squares.half_interval(day, trend.t)
        x = scale.x(trend.first + timedelta(days=day))
        upper.append((x, scale.y(middle + half)))
        lower.append((x, scale.y(middle - half)))
    band = polygon([*upper, *reversed(lower)], ink, 0.6, ink, "1 2").replace("<path ", '<path fill-opacity="0.12" ')
    parts = [band]
    for fit, dash in ((trend.robust, ""), (trend.squares.line, "5 3")):
        places = [(scale.x(trend.first + timedelta(days=day)), fit.at(day)) for day in (start, end)]
        inside = [(x, y) for x, y in places if scale.low <= y <= scale.high]
        if len(inside) == 2:
            (x1, y1), (x2, y2) = inside
            parts.append(line(x1, scale.y(y1), x2, scale.y(y2), 1.2, ink, dash))
        else:
            parts.append(_clipped(scale, trend, places, ink, dash))
    x = scale.x(trend.last)
    parts.append(line(x, TOP, x, TOP + PLOT_HEIGHT, 0.5, ink, "2 4"))
    parts.append(words(x - 3, TOP + 8, SMALL, "last measure", anchor="end", fill=ink))
    return parts


def _clipped(scale: _Scale, trend: Trend, places: Sequence[tuple[float, Fraction]], ink: str, dash: str) -> str:
    """A line that leaves the picture, drawn to its edge."""
    (x1, y1), (x2, y2) = places
    ends = []
    for x, y in ((x1, y1), (x2, y2)):
        edge = min(max(y, scale.low), scale.high)
        ends.append((x if edge == y else x1 + float((edge - y1) / (y2 - y1)) * (x2 - x1), scale.y(edge)))
    return line(ends[0][0], ends[0][1], ends[1][0], ends[1][1], 1.2, ink, dash)


def _limits(scale: _Scale, outlook: Outlook, ink: str) -> list[str]:
    """Each limit that is near, with its number, and the early end as a mark below."""
    parts = []
    drawn = [(scale.y(one.edge), n) for n, one in enumerate(outlook.limits, 1) if scale.low <= one.edge <= scale.high]
    free = 0.0
    for y, n in sorted(drawn):
        parts.append(line(LEFT, y, WIDTH - RIGHT, y, 1.6, ink, "9 3 2 3"))
        free = max(y, free)  # limits that lie close together have their numbers below one another
        parts.append(words(WIDTH - RIGHT + 3, free + 3.5, TEXT, str(n), fill=ink, weight=700))
        free += APART
    if outlook.before is not None and not outlook.now:
        x, bottom = scale.x(outlook.before), TOP + PLOT_HEIGHT
        parts.append(line(x, TOP + 12, x, bottom, 1.4, ink))
        parts.append(polygon([(x - 5, TOP + 12), (x + 5, TOP + 12), (x, TOP + 20)], ink, 0.5, ink))
    return parts


def _breaks(scale: _Scale, outlook: Outlook, ink: str) -> list[str]:
    parts = []
    for on in outlook.series.breaks:
        x = scale.x(on)
        if LEFT <= x <= WIDTH - RIGHT:
            parts += [line(x + gap, TOP, x + gap, TOP + PLOT_HEIGHT, 0.7, ink, "6 2") for gap in (-1.5, 1.5)]
            parts.append(words(x + 5, TOP + PLOT_HEIGHT - 5, SMALL, "replaced", fill=ink))
    return parts


def _points(scale: _Scale, outlook: Outlook, ink: str) -> list[str]:
    series, parts = outlook.series, []
    for kind, measures in (("earlier", series.earlier), ("waiting", series.waiting), ("taken", series.taken)):
        for one in measures:
            x, value = scale.x(one.on), value_in(one, series.unit)
            half = reading_of(one, series.unit).step / 2
            low, high = scale.y(value - half), scale.y(value + half)
            if series.key.dimension != "count" and low - high > 1:
                parts.append(line(x, low, x, high, 0.9, ink))
                parts += [line(x - 2.5, y, x + 2.5, y, 0.9, ink) for y in (low, high)]
            parts.append(_mark(kind, x, scale.y(value), ink))
    return parts


def _mark(kind: str, x: float, y: float, ink: str) -> str:
    if kind == "earlier":
        return rect(x - 2.8, y - 2.8, 5.6, 5.6, "none", ink, 1.1)
    return circle(x, y, 3.2, ink if kind == "taken" else "none", ink, 1.1)


def _legend(scale: _Scale, outlook: Outlook, ink: str) -> tuple[list[str], float]:
    """What the marks mean and the limits with their citations, below the picture; and the height of it all."""
    series = outlook.series
    said = [("taken", "measure, with the step of its gauge")]
    said += [("waiting", "does not count: the table of measures says why")] if series.waiting else []
    said += [("earlier", "of what hung there before: does not count")] if series.earlier else []
    if isinstance(outlook.trend, Trend):
        said.append(("robust", "Theil-Sen line (middle of all pairs)"))
        said.append(("squares", "least squares, 95 % prediction interval"))
    if outlook.before is not None and not outlook.now:
        said.append(("before", f"look again before {outlook.before.isoformat()}"))
    for n, one in enumerate(outlook.limits, 1):
        far = "" if scale.low <= one.edge <= scale.high else " (beyond the picture)"
        said.append((str(n), f"outside when {one.limit.says(series.unit)}{far}: {one.limit.citation}"))
    y, parts = TOP + PLOT_HEIGHT + 36, []
    for mark, text in said:
        parts.append(_legend_mark(mark, y - 3.3, ink))
        for piece in wrap(text, LETTERS):
            parts.append(words(26, y, SMALL, piece, fill=ink))
            y += 13.5
    return parts, y


def _legend_mark(mark: str, y: float, ink: str) -> str:
    if mark in ("taken", "waiting", "earlier"):
        return _mark(mark, 12, y, ink)
    if mark in ("robust", "squares"):
        return line(3, y, 21, y, 1.2, ink, "" if mark == "robust" else "5 3")
    if mark == "before":
        return polygon([(7, y - 4), (17, y - 4), (12, y + 4)], ink, 0.5, ink)
    return words(12, y + 3.5, TEXT, mark, anchor="middle", fill=ink, weight=700)
