"""The pen of the part drawings: black lines on paper, shapes of the trade drawn the same wherever they appear."""

from collections.abc import Sequence
from math import cos, hypot, pi, sin
from xml.sax.saxutils import escape

from inspect_app.output.svg import FAMILY

WIDE, HIGH = 320, 240  # the picture in its own units; shown at 320 px or more
LINE, FINE, BOLD = 1.5, 0.9, 2.4
SMALLEST = 9  # type, in units of the picture
# Ink is the colour of the text around the picture, paper its ground: classes let a page in another theme set both.
_FILLS = {"none": 'fill="none"', "paper": 'class="paper" fill="#ffffff"', "ink": 'fill="currentColor"'}
Point = tuple[float, float]


def stroke(d: str, width: float = LINE, fill: str = "none", dash: str = "") -> str:
    """A path in ink; `fill` is none, paper or ink."""
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<path d="{d}" {_FILLS[fill]} stroke="currentColor" stroke-width="{width}" stroke-linejoin="round" '
        f'stroke-linecap="round"{dashes}/>'
    )


def ln(x1: float, y1: float, x2: float, y2: float, width: float = LINE, dash: str = "") -> str:
    """A straight line."""
    return stroke(f"M{x1:g} {y1:g}L{x2:g} {y2:g}", width, dash=dash)


def box(x: float, y: float, w: float, h: float, fill: str = "paper", width: float = LINE, dash: str = "") -> str:
    """A rectangle from its corner at the top left."""
    return stroke(f"M{x:g} {y:g}h{w:g}v{h:g}h{-w:g}z", width, fill, dash)


def ring(x: float, y: float, r: float, fill: str = "paper", width: float = LINE, dash: str = "") -> str:
    """A circle about x, y."""
    return stroke(f"M{x - r:g} {y:g}a{r:g} {r:g} 0 1 1 {2 * r:g} 0a{r:g} {r:g} 0 1 1 {-2 * r:g} 0z", width, fill, dash)


def shape(points: Sequence[Point], fill: str = "paper", width: float = LINE) -> str:
    """A closed shape through the points."""
    return stroke("M" + "L".join(f"{x:g} {y:g}" for x, y in points) + "z", width, fill)


def run(points: Sequence[Point], width: float = LINE, dash: str = "") -> str:
    """An open line through the points."""
    return stroke("M" + "L".join(f"{x:g} {y:g}" for x, y in points), width, dash=dash)


def says(x: float, y: float, text: str, size: float = 9, anchor: str = "middle") -> str:
    """A word in the picture, with its base line at y; never smaller than is read at 320 px."""
    size = max(size, SMALLEST)
    return (
        f'<text x="{x:g}" y="{y:g}" font-size="{size:g}" fill="currentColor" text-anchor="{anchor}" '
        f'font-family="{FAMILY}">{escape(text)}</text>'
    )


def rope(d: str, width: float = 5) -> str:
    """A rope along a path: two edges with the lay between them."""
    paper = f'fill="none" class="paper-line" stroke="#ffffff" stroke-width="{width - 2:g}" stroke-linecap="butt"'
    edge = f'fill="none" stroke="currentColor" stroke-width="{width:g}" stroke-linecap="butt" stroke-linejoin="round"'
    lay = f'fill="none" stroke="currentColor" stroke-width="{width - 2:g}" stroke-dasharray="1 {width - 1.5:g}"'
    return "".join(f'<path d="{d}" {look}/>' for look in (edge, paper, lay))


def sheave(x: float, y: float, r: float, axle: float = 3.5) -> str:
    """A sheave from the side: rim, bottom of the groove (hidden, so dashed), hub and axle."""
    return (
        ring(x, y, r)
        + ring(x, y, r - 4.5, "none", FINE, "3 2")
        + ring(x, y, max(r * 0.3, axle + 2.5), "none")
        + ring(x, y, axle, "ink")
    )


def bolt(x: float, y: float, r: float = 4) -> str:
    """The head of a bolt from above: a hexagon in a washer."""
    corners = [(x + r * cos(pi * n / 3), y + r * sin(pi * n / 3)) for n in range(6)]
    return ring(x, y, r + 1.8, "paper", FINE) + shape(corners, "paper", 1.2)


def nut(x: float, y: float, w: float = 9, h: float = 5, upright: bool = True) -> str:
    """A nut from the side about its middle; `upright` on a rod that stands, else on one that lies."""
    if upright:
        return box(x - w / 2, y - h / 2, w, h) + ln(x - w / 5, y - h / 2, x - w / 5, y + h / 2, FINE) + ln(
            x + w / 5, y - h / 2, x + w / 5, y + h / 2, FINE
        )  # fmt: skip
    return box(x - h / 2, y - w / 2, h, w) + ln(x - h / 2, y - w / 5, x + h / 2, y - w / 5, FINE) + ln(
        x - h / 2, y + w / 5, x + h / 2, y + w / 5, FINE
    )  # fmt: skip


def hatched(x: float, y: float, w: float, h: float, step: float = 7) -> str:
    """A rectangle of cut material: hatched at 45 degrees, with its outline."""
    marks = []
    at = step
    while at < w + h:
        x1, y1 = (x + at, y) if at <= w else (x + w, y + at - w)
        x2, y2 = (x, y + at) if at <= h else (x + at - h, y + h)
        marks.append(f"M{x1:g} {y1:g}L{x2:g} {y2:g}")
        at += step
    return box(x, y, w, h) + stroke("".join(marks), FINE) + box(x, y, w, h, "none")


def ibeam(x: float, y: float, w: float, h: float, t: float = 4) -> str:
    """The end of a rolled beam, cut: `x` its middle, `y` its top."""
    a, b, m = x - w / 2, x + w / 2, t / 2
    outline = [
        (a, y), (b, y), (b, y + t), (x + m, y + t), (x + m, y + h - t), (b, y + h - t), (b, y + h), (a, y + h),
        (a, y + h - t), (x - m, y + h - t), (x - m, y + t), (a, y + t),
    ]  # fmt: skip
    return shape(outline, "ink", 0.8)


def channel(x: float, y: float, w: float, h: float, opens: int, t: float = 4) -> str:
    """The end of a channel, cut: `x` its back, `y` its top; it opens to the right (1) or to the left (-1)."""
    s = opens
    outline = [
        (x, y), (x + s * w, y), (x + s * w, y + t), (x + s * t, y + t), (x + s * t, y + h - t), (x + s * w, y + h - t),
        (x + s * w, y + h), (x, y + h),
    ]  # fmt: skip
    return shape(outline, "ink", 0.8)


def girder(x: float, y: float, w: float, h: float, t: float = 5) -> str:
    """A beam from the side: its two flanges and the web between them."""
    return box(x, y, w, h) + ln(x, y + t, x + w, y + t, FINE) + ln(x, y + h - t, x + w, y + h - t, FINE)


def floor(x1: float, x2: float, y: float) -> str:
    """A floor or a ceiling's edge: a bold line with short strokes below it."""
    marks, x = "", x1 + 4
    while x < x2:
        marks += f"M{x:g} {y:g}l-5 6"
        x += 8
    return ln(x1, y, x2, y, BOLD) + stroke(marks, FINE)


def wall(x: float, y1: float, y2: float, side: int) -> str:
    """A wall's face as a bold upright, with short strokes on its inner side (-1 left, 1 right)."""
    marks, y = "", y1 + 4
    while y < y2:
        marks += f"M{x:g} {y:g}l{6 * side} 5"
        y += 8
    return ln(x, y1, x, y2, BOLD) + stroke(marks, FINE)


def arrow(x1: float, y1: float, x2: float, y2: float, both: bool = False) -> str:
    """A fine arrow from the first to the second point; `both` puts a head on each end, as for a distance."""
    long = hypot(x2 - x1, y2 - y1) or 1
    ux, uy = (x2 - x1) / long, (y2 - y1) / long

    def head(x: float, y: float, s: float) -> str:
        back_x, back_y = x - s * 6 * ux, y - s * 6 * uy
        return shape(
            [(x, y), (back_x - 2.2 * uy, back_y + 2.2 * ux), (back_x + 2.2 * uy, back_y - 2.2 * ux)], "ink", 0.4
        )

    return ln(x1, y1, x2, y2, FINE) + head(x2, y2, 1) + (head(x1, y1, -1) if both else "")


def chain(x: float, y: float, links: int) -> str:
    """A short-link chain hanging from y: links from the front and from the edge in turn; each takes 11 units."""
    drawn = []
    for n in range(links):
        top = y + 11 * n
        if n % 2:
            drawn.append(stroke(f"M{x:g} {top - 1:g}v15", 3.4))
        else:
            drawn.append(stroke(_oval(x, top - 2, 4.6, 17), 4.2) + _paper_line(_oval(x, top - 2, 4.6, 17), 1.6))
    return "".join(drawn)


def _oval(x: float, y: float, r: float, h: float) -> str:
    return f"M{x - r:g} {y + r:g}a{r:g} {r:g} 0 0 1 {2 * r:g} 0v{h - 2 * r:g}a{r:g} {r:g} 0 0 1 {-2 * r:g} 0z"


def _paper_line(d: str, width: float) -> str:
    return f'<path d="{d}" fill="none" class="paper-line" stroke="#ffffff" stroke-width="{width:g}"/>'


def shackle(x: float, y: float, h: float = 22, r: float = 8, up: bool = True) -> str:
    """A bow shackle: its pin about x, y, its bow above (`up`) or below it, a cotter through the pin's end."""
    s = -1 if up else 1
    sweep = 1 if up else 0
    bow = f"M{x - r:g} {y:g}v{s * (h - r):g}a{r:g} {r:g} 0 0 {sweep} {2 * r:g} 0v{-s * (h - r):g}"
    return (
        stroke(bow, 4.6) + _paper_line(bow, 1.8) + box(x - r - 5, y - 2.6, 2 * r + 10, 5.2)
        + box(x - r - 8, y - 4, 4, 8) + ln(x + r + 3, y - 4.5, x + r + 3, y + 4.5, 1.2)
    )  # fmt: skip


def padlock(x: float, y: float) -> str:
    """A padlock hanging from its shackle at x, y."""
    return stroke(f"M{x - 4:g} {y + 7:g}v-4a4 4 0 0 1 8 0v4") + box(x - 6, y + 7, 12, 10) + ring(x, y + 12, 1.4, "ink")


def sheet(x: float, y: float, w: float, h: float, lines: int = 3, head: str = "") -> str:
    """A card or paper with lines of writing, and a word at its head."""
    drawn = box(x, y, w, h)
    top = y + (11 if head else 4)
    if head:
        drawn += says(x + w / 2, y + 9, head, 8)
    step = (h - (top - y)) / (lines + 0.5)
    for n in range(lines):
        at = top + step * (n + 0.6)
        drawn += ln(x + 4, at, x + w - (4 if n % 2 == 0 else w * 0.35), at, FINE)
    return drawn


def scribble(x1: float, x2: float, y: float) -> str:
    """Loose bits on a surface, as filings or dust."""
    bits, x, up = "", x1, True
    while x < x2:
        bits += f"M{x:g} {y - (3 if up else 1):g}l2 1"
        x, up = x + 4, not up
    return stroke(bits, FINE)


def wire(x1: float, x2: float, y: float, width: float = 11) -> str:
    """A length of wire rope drawn large, lying: its edges and the slanted strands between them."""
    lay, x = "", x1 + 2
    while x + 7 <= x2:
        lay += f"M{x:g} {y + width / 2:g}c1 -4 4 -6 6 {-width:g}"
        x += 6
    return box(x1, y - width / 2, x2 - x1, width) + stroke(lay, FINE)
