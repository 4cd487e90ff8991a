"""A few SVG elements as text, with presentation attributes only; lengths are in the units of the picture."""

from collections.abc import Sequence
from xml.sax.saxutils import escape

from markupsafe import Markup

INK = "#111111"
FAMILY = "Source Sans Pro"


def as_markup(svg: str) -> Markup:
    """A whole picture drawn by this package, for a page to show as it is: every text in it went through escape()."""
    return Markup(svg)  # noqa: S704  the one place where markup is vouched for


def words(
    x: float,
    y: float,
    size: float,
    said: str,
    *,
    anchor: str = "start",
    fill: str = INK,
    weight: int = 400,
    turn: int = 0,
    family: str = FAMILY,
) -> str:
    """Text at x, y, turned by `turn` degrees about that point."""
    turned = f' transform="rotate({turn} {x:.2f} {y:.2f})"' if turn else ""
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" font-size="{size:.2f}" font-weight="{weight}" fill="{fill}" '
        f'text-anchor="{anchor}" font-family="{family}"{turned}>{escape(said)}</text>'
    )


def line(x1: float, y1: float, x2: float, y2: float, width: float, stroke: str = INK, dash: str = "") -> str:
    """A straight line; `dash` as in stroke-dasharray."""
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<line x1="{x1:.2f}" y1="{y1:.2f}" x2="{x2:.2f}" y2="{y2:.2f}" stroke="{stroke}" '
        f'stroke-width="{width:.2f}"{dashes}/>'
    )


def rect(
    x: float, y: float, width: float, height: float, fill: str, stroke: str = "none", stroke_width: float = 0.2
) -> str:
    """A rectangle from its corner at the top left."""
    return (
        f'<rect x="{x:.2f}" y="{y:.2f}" width="{width:.2f}" height="{height:.2f}" fill="{fill}" '
        f'stroke="{stroke}" stroke-width="{stroke_width:.2f}"/>'
    )


def circle(x: float, y: float, radius: float, fill: str, stroke: str = "none", stroke_width: float = 0.2) -> str:
    """A circle about x, y."""
    return (
        f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius:.2f}" fill="{fill}" stroke="{stroke}" '
        f'stroke-width="{stroke_width:.2f}"/>'
    )


def polygon(points: Sequence[tuple[float, float]], fill: str, width: float, stroke: str = INK, dash: str = "") -> str:
    """A closed shape through `points`."""
    d = "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in points) + "Z"
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<path d="{d}" fill="{fill}" stroke="{stroke}" stroke-width="{width:.2f}"{dashes}/>'


def strokes(pairs: Sequence[tuple[float, float, float, float]], stroke: str, width: float) -> str:
    """Several straight strokes as one path; each is x1, y1, x2, y2."""
    d = "".join(f"M{x1:.2f} {y1:.2f}L{x2:.2f} {y2:.2f}" for x1, y1, x2, y2 in pairs)
    return f'<path d="{d}" fill="none" stroke="{stroke}" stroke-width="{width:.2f}"/>'
