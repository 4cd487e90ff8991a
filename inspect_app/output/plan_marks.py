"""The marks of condition: one shape and filling each, drawn the same on the plan, in tables and beside findings."""

from inspect_app.domain.plan import Condition
from inspect_app.output.svg import INK, circle, polygon, strokes

STOP_INK, RESTRICT_INK, DIM = "#9b0f0f", "#7a3b00", "#444444"


def mark_svg(condition: Condition, x: float, y: float, size: float) -> str:
    """The mark centred at x, y within a square of `size`, as SVG elements in the units of the picture.

    stop use: filled square with a white cross. restrict: filled diamond with a white bar. repair by date: triangle,
    lower half filled. watch: ring with a dot. not reached: hatched square. not looked at: empty dashed square.
    no finding: small dot. not applicable: dash.
    """
    return f'<g class="mark mark-{condition.value}">{_SHAPES[condition](x, y, size / 2)}</g>'


def mark_picture(condition: Condition, words: str) -> str:
    """One mark as a picture of its own with its words as title."""
    shape = mark_svg(condition, 5, 5, 8.6)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="mark-picture" role="img" width="10" height="10" '
        f'viewBox="0 0 10 10"><title>{words}</title>{shape}</svg>'
    )


def _square(x: float, y: float, r: float) -> list[tuple[float, float]]:
    return [(x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)]


def _stop(x: float, y: float, r: float) -> str:
    a = r * 0.62
    cross = strokes([(x - a, y - a, x + a, y + a), (x - a, y + a, x + a, y - a)], "#ffffff", r * 0.36)
    return polygon(_square(x, y, r), STOP_INK, r * 0.12, STOP_INK) + cross


def _restrict(x: float, y: float, r: float) -> str:
    points = [(x, y - r * 1.12), (x + r * 1.12, y), (x, y + r * 1.12), (x - r * 1.12, y)]
    bar = strokes([(x - r * 0.55, y, x + r * 0.55, y)], "#ffffff", r * 0.34)
    return polygon(points, RESTRICT_INK, r * 0.1, RESTRICT_INK) + bar


def _repair(x: float, y: float, r: float) -> str:
    foot = y + r * 0.85
    outer = [(x, y - r), (x + r * 1.05, foot), (x - r * 1.05, foot)]
    lower = [(x - r * 0.55, y), (x + r * 0.55, y), (x + r * 1.05, foot), (x - r * 1.05, foot)]
    return polygon(outer, "#ffffff", r * 0.18) + polygon(lower, INK, r * 0.1)


def _watch(x: float, y: float, r: float) -> str:
    return circle(x, y, r * 0.82, "#ffffff", INK, r * 0.22) + circle(x, y, r * 0.26, INK)


def _not_reached(x: float, y: float, r: float) -> str:
    s = r * 0.86
    hatch = [(x - s, y, x, y - s), (x - s, y + s, x + s, y - s), (x, y + s, x + s, y)]
    return polygon(_square(x, y, s), "#ffffff", r * 0.16) + strokes(hatch, INK, r * 0.14)


def _not_looked_at(x: float, y: float, r: float) -> str:
    return polygon(_square(x, y, r * 0.74), "#ffffff", r * 0.16, DIM, f"{r * 0.4:.2f} {r * 0.3:.2f}")


def _no_finding(x: float, y: float, r: float) -> str:
    return circle(x, y, r * 0.42, "#4a4a4a")


def _not_applicable(x: float, y: float, r: float) -> str:
    return strokes([(x - r * 0.6, y, x + r * 0.6, y)], DIM, r * 0.22)


_SHAPES = {
    Condition.STOP_USE: _stop,
    Condition.RESTRICT: _restrict,
    Condition.REPAIR_BY: _repair,
    Condition.WATCH: _watch,
    Condition.NOT_REACHED: _not_reached,
    Condition.NOT_LOOKED_AT: _not_looked_at,
    Condition.NO_FINDING: _no_finding,
    Condition.NOT_APPLICABLE: _not_applicable,
}
