"""The marks of the plan: one shape and filling each, drawn the same on the plan, in tables and beside findings."""

from collections.abc import Callable, Mapping
from functools import partial
from math import cos, pi, sin
from xml.sax.saxutils import escape

from inspect_app.domain.checklist import Way
from inspect_app.domain.plan import Condition
from inspect_app.output import palette
from inspect_app.output.svg import circle, polygon, rect, strokes

INK, DIM, SOUND = palette.INK.paper, palette.DIM.paper, palette.SOUND.paper
STOP_INK, RESTRICT_INK, GROUND = palette.STOP.paper, palette.RESTRICT.paper, palette.GROUND.paper
BANDS, RATINGS = 4, 5
REACH = 0.57  # no shape reaches further from its middle with its outline, as a share of its size
_AGE_LEVELS = (0, 1, 3, 4)  # which of the palette's five steps an age takes
Points = list[tuple[float, float]]


def mark_svg(code: str, x: float, y: float, size: float) -> str:
    """The mark centred at x, y within a square of `size`, as SVG elements in the units of the picture.

    stop use: filled square with a white cross. restrict: filled diamond with a white bar. repair by date: triangle,
    lower half filled. watch: ring with a dot. not reached: hatched square. not looked at: empty dashed square.
    no finding: small dot. not applicable: dash. The way of a look is a disc, a square, a triangle or a hexagon, full
    when new and empty when old; wear is a bar of quarters; never recorded is a cross.
    """
    return f'<g class="mark mark-{code}">{shape_svg(code, x, y, size)}</g>'


def shape_svg(code: str, x: float, y: float, size: float) -> str:
    """The elements of a mark alone. Raises KeyError on a code that is not drawn."""
    return SHAPES[str(code)](x, y, size / 2)


def mark_picture(code: str, words: str) -> str:
    """One mark as a picture of its own with its words as title."""
    shape = mark_svg(code, 5, 5, 8.6)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="mark-picture" role="img" width="10" height="10" '
        f'viewBox="0 0 10 10"><title>{escape(words)}</title>{shape}</svg>'
    )


def _square(x: float, y: float, r: float) -> Points:
    return [(x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)]


def _stop(x: float, y: float, r: float) -> str:
    a = r * 0.62
    cross = strokes([(x - a, y - a, x + a, y + a), (x - a, y + a, x + a, y - a)], GROUND, r * 0.36)
    return polygon(_square(x, y, r), STOP_INK, r * 0.12, STOP_INK) + cross


def _restrict(x: float, y: float, r: float) -> str:
    a = r * 1.09
    points = [(x, y - a), (x + a, y), (x, y + a), (x - a, y)]
    bar = strokes([(x - r * 0.55, y, x + r * 0.55, y)], GROUND, r * 0.34)
    return polygon(points, RESTRICT_INK, r * 0.1, RESTRICT_INK) + bar


def _repair(x: float, y: float, r: float) -> str:
    foot = y + r * 0.85
    outer = [(x, y - r), (x + r * 1.05, foot), (x - r * 1.05, foot)]
    lower = [(x - r * 0.55, y), (x + r * 0.55, y), (x + r * 1.05, foot), (x - r * 1.05, foot)]
    return polygon(outer, GROUND, r * 0.18) + polygon(lower, INK, r * 0.1)


def _watch(x: float, y: float, r: float) -> str:
    return circle(x, y, r * 0.82, GROUND, INK, r * 0.22) + circle(x, y, r * 0.26, INK)


def _not_reached(x: float, y: float, r: float) -> str:
    s = r * 0.86
    hatch = [(x - s, y, x, y - s), (x - s, y + s, x + s, y - s), (x, y + s, x + s, y)]
    return polygon(_square(x, y, s), GROUND, r * 0.16) + strokes(hatch, INK, r * 0.14)


def _not_looked_at(x: float, y: float, r: float) -> str:
    return polygon(_square(x, y, r * 0.74), GROUND, r * 0.16, DIM, f"{r * 0.4:.2f} {r * 0.3:.2f}")


def _no_finding(x: float, y: float, r: float) -> str:
    return circle(x, y, r * 0.42, SOUND)


def _not_applicable(x: float, y: float, r: float) -> str:
    return strokes([(x - r * 0.6, y, x + r * 0.6, y)], DIM, r * 0.22)


def _never(x: float, y: float, r: float) -> str:
    a = r * 0.72
    return strokes([(x - a, y - a, x + a, y + a), (x - a, y + a, x + a, y - a)], INK, r * 0.3)


def _not_since(x: float, y: float, r: float) -> str:
    """Two triangles point to point: time has run through."""
    a = r * 0.8
    upper, lower = [(x - a, y - a), (x + a, y - a), (x, y)], [(x, y), (x + a, y + a), (x - a, y + a)]
    return polygon(upper, GROUND, r * 0.16) + polygon(lower, INK, r * 0.16)


def _not_handled(x: float, y: float, r: float) -> str:
    """A square with a dot: seen, and no more."""
    return polygon(_square(x, y, r * 0.78), GROUND, r * 0.18) + circle(x, y, r * 0.28, INK)


def _small_ring(x: float, y: float, r: float) -> str:
    return circle(x, y, r * 0.34, GROUND, DIM, r * 0.16)


def _disc(x: float, y: float, r: float) -> Points:
    turns = [2 * pi * k / 16 for k in range(16)]
    return [(x + r * 0.86 * sin(turn), y + r * 0.86 * cos(turn)) for turn in turns]


def _triangle(x: float, y: float, r: float) -> Points:
    return [(x, y - r), (x + r, y + r * 0.78), (x - r, y + r * 0.78)]


def _hexagon(x: float, y: float, r: float) -> Points:
    a = r * 0.5
    return [(x - r, y), (x - a, y - r * 0.86), (x + a, y - r * 0.86), (x + r, y), (x + a, y + r * 0.86),
            (x - a, y + r * 0.86)]  # fmt: skip


_OUTLINES: Mapping[Way, Callable[[float, float, float], Points]] = {
    Way.HANDLED: _disc,
    Way.SEEN_CLOSE: lambda x, y, r: _square(x, y, r * 0.78),
    Way.SEEN_FROM_AFAR: _triangle,
    Way.HEARD: _hexagon,
}


def _looked(x: float, y: float, r: float, *, way: Way, band: int) -> str:
    """The shape of a way, filled from its foot: full when new, empty when old."""
    colour, outline = palette.LEVELS[_AGE_LEVELS[band]].paper, _OUTLINES[way](x, y, r)
    low, high = max(py for _, py in outline), min(py for _, py in outline)
    share = 1 - band / (BANDS - 1)
    filled = _below(outline, low - share * (low - high))
    lower = polygon(filled, colour, 0) if share > 0 else ""
    return polygon(outline, GROUND, r * 0.24, colour) + lower


def _below(points: Points, level: float) -> Points:
    """The part of a shape that lies on or below a level (y runs downwards)."""
    found: Points = []
    for (x1, y1), (x2, y2) in zip(points, points[1:] + points[:1], strict=True):
        if y1 >= level:
            found.append((x1, y1))
        if (y1 < level) != (y2 < level):
            found.append((x1 + (x2 - x1) * (level - y1) / (y2 - y1), level))
    return found


def _wear(x: float, y: float, r: float, *, rating: int) -> str:
    """An upright bar of four quarters, filled from its foot by the rating."""
    colour, width, height = palette.LEVELS[rating].paper, r * 1.24, r * 1.84
    frame = rect(x - width / 2, y - height / 2, width, height, GROUND, colour, r * 0.2)
    full = height * rating / (RATINGS - 1)
    level = rect(x - width / 2, y + height / 2 - full, width, full, colour) if rating else ""
    return frame + level


SHAPES: Mapping[str, Callable[[float, float, float], str]] = {
    Condition.STOP_USE.value: _stop,
    Condition.RESTRICT.value: _restrict,
    Condition.REPAIR_BY.value: _repair,
    Condition.WATCH.value: _watch,
    Condition.NOT_REACHED.value: _not_reached,
    Condition.NOT_LOOKED_AT.value: _not_looked_at,
    Condition.NO_FINDING.value: _no_finding,
    Condition.NOT_APPLICABLE.value: _not_applicable,
    "never_recorded": _never,
    "not_since": _not_since,
    "not_handled": _not_handled,
    "no_action": _small_ring,
    "not_rated": _small_ring,
    **{f"{way.value}-{n}": partial(_looked, way=way, band=n) for way in Way for n in range(BANDS)},
    **{f"wear-{n}": partial(_wear, rating=n) for n in range(RATINGS)},
}
