"""A batten as a picture: loads above, lines and what they carry below, bending moment and deflected shape underneath.

Drawn with presentation attributes and classes in `currentColor`, so that it reads in every theme and on paper; what is
slack is dashed and named, not coloured. The picture is 360 units wide, as a phone is.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple
from xml.sax.saxutils import escape

from inspect_app.domain.batten_load import BENDS_FAR, BeamPicture, letters
from inspect_app.domain.beam_model import Solution
from inspect_app.domain.length import format_feet_inches
from inspect_app.domain.units import MM_PER_FOOT, MM_PER_INCH, N_PER_POUND_FORCE
from inspect_app.output.svg import line, polygon, rect, words

WIDTH, MARGIN = 360.0, 24.0
TEXT, ROW = 11.0, 14.0
LETTER = 6.5  # width of a letter at TEXT, on the wide side
INK = "currentColor"
FAMILIES = "Source Sans Pro, system-ui, sans-serif"
BAND = 16.0  # a spread load
ARROW = 16.0
PANEL = 62.0  # moment and shape
GAP = 4.0  # between two labels of a row
FOOT = 14.0  # keeps two pictures apart
MANY = 8  # point loads from which on only letters are written


class _Box(NamedTuple):
    """A label's row, counted from the pipe outwards, and where it stands across."""

    row: int
    left: float
    right: float


def beam_picture(picture: BeamPicture, key: str = "beam") -> str:
    """The picture as one SVG element; `key` makes its ids its own on the page. Empty for a case without a solution."""
    found = picture.case.solution
    if found is None:
        return ""
    drawing = _Drawing(picture, found)
    parts: list[str] = []
    top = drawing.loads(parts, 16.0)
    top = drawing.lines(parts, top)
    top = drawing.moments(parts, top + 10)
    if picture.load.hung.stiffness_known:
        top = drawing.shape(parts, top + 10)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="beam-picture" role="img" '
        f'viewBox="0 0 {WIDTH:g} {top + FOOT:.0f}" width="100%" aria-labelledby="{escape(key)}-t {escape(key)}-d">'
        f'<title id="{escape(key)}-t">{escape(f"Loads on the batten and its lines: {picture.case.words}")}</title>'
        f'<desc id="{escape(key)}-d">{escape(description(picture))}</desc>{"".join(parts)}</svg>'
    )


def description(picture: BeamPicture) -> str:
    """The picture in words, for whoever cannot see it."""
    found = picture.case.solution
    if found is None:
        return picture.case.why_not
    units = picture.units
    hung = picture.load.hung
    named = zip(letters(hung.pieces), hung.pieces, strict=True)
    loads = "; ".join(f"{letter} {piece.name}, {_force(piece.newtons, units)}" for letter, piece in named)
    held = "; ".join(
        f"{name} {'slack' if i in found.slack else _force(found.reactions_n[i], units)}"
        for i, name in enumerate(hung.names)
    )
    return (
        f"Loads: {loads}. Lines from left to right: {held}. "
        f"Largest sagging moment {_moment(found.sagging.value, units)} at {_place(found.sagging.at_mm, units)}, "
        f"hogging {_moment(found.hogging.value, units)} at {_place(found.hogging.at_mm, units)}. "
        f"{_sag_words(picture, found)}."
    )


def _sag_words(picture: BeamPicture, found: Solution) -> str:
    if not picture.load.hung.stiffness_known:
        return "The stiffness of the pipe is not known, so its shape is not drawn"
    if picture.load.hung.bends_far(found):
        return f"The pipe {BENDS_FAR}"
    return f"Largest sag {_small(found.sag.value, picture.units)} at {_place(found.sag.at_mm, picture.units)}"


def _force(newtons: float, units: str) -> str:
    if units == "imperial":
        return f"{newtons / float(N_PER_POUND_FORCE):.0f} lbf"
    return f"{newtons / 1000:.2f} kN" if newtons >= 10_000 else f"{newtons:.0f} N"


def _moment(newton_mm: float, units: str) -> str:
    if units == "imperial":
        return f"{newton_mm / float(N_PER_POUND_FORCE * MM_PER_FOOT):.0f} lbf·ft"
    return f"{newton_mm / 1000:.0f} N·m"


def _small(mm: float, units: str) -> str:
    return f"{mm / float(MM_PER_INCH):.2f} in" if units == "imperial" else f"{mm:.1f} mm"


def _place(mm: float, units: str) -> str:
    return format_feet_inches(Fraction(mm)) if units == "imperial" else f"{mm / 1000:.2f} m"


@dataclass(frozen=True, slots=True)
class _Drawing:
    """Places of the pipe in the picture. Each part is drawn below `top` and answers where it ends."""

    picture: BeamPicture
    found: Solution

    def x(self, at_mm: float) -> float:
        beam = self.picture.load.hung.beam
        share = (at_mm - beam.left_end_mm) / (beam.right_end_mm - beam.left_end_mm)
        return MARGIN + share * (WIDTH - 2 * MARGIN)

    def label(self, parts: list[str], x: float, y: float, said: str, weight: int = 400) -> None:
        """Words centred at x, moved inwards where they would leave the picture."""
        left, right = _span(x, said)
        parts.append(_words((left + right) / 2, y, said, anchor="middle", weight=weight))

    def leader(
        self, x: float, from_y: float, to_y: float, rows: int, boxes: Sequence[_Box], dash: str = ""
    ) -> list[str]:
        """A line past `rows` rows of labels, broken where it would cross one."""
        step = (to_y - from_y) / rows if rows else 0.0
        return [
            line(x, from_y + step * row, x, from_y + step * (row + 1), 0.9, INK, dash)
            for row in range(rows)
            if not any(box.row == row and box.left < x < box.right for box in boxes)
        ]

    def loads(self, parts: list[str], top: float) -> float:
        """Spread loads as bands, point loads as arrows under their labels, then the pipe."""
        parts.append(_words(0, top - 4, f"Loads; {self.picture.case.words}", weight=600))
        units, pieces = self.picture.units, self.picture.load.hung.pieces
        named = list(zip(letters(pieces), pieces, strict=True))
        top = self.bands(
            parts, top, [(f"{a} {_force(p.newtons, units)}", p.at_mm, p.to_mm) for a, p in named if p.to_mm is not None]
        )
        points = [(letter, piece) for letter, piece in named if piece.to_mm is None]
        said = [f"{a} {_force(p.newtons, units)}" if len(points) <= MANY else a for a, p in points]
        places = [self.x(piece.at_mm) for _, piece in points]
        boxes = _boxes(places, said)
        labels = top + ROW * (max((box.row for box in boxes), default=-1) + 1)
        pipe = labels + (ARROW if points else 4)
        for x, text, box in zip(places, said, boxes, strict=True):
            self.label(parts, x, labels - ROW * box.row - 3, text)
            parts += self.leader(x, labels, labels - ROW * box.row, box.row, boxes)
            parts.append(line(x, labels, x, pipe - 3, 0.9, INK))
            parts.append(polygon([(x - 3, pipe - 8), (x + 3, pipe - 8), (x, pipe - 1)], INK, 0.5, INK))
        beam = self.picture.load.hung.beam
        left, right = self.x(beam.left_end_mm), self.x(beam.right_end_mm)
        parts.append(rect(left, pipe, right - left, 4, INK))
        return pipe + 4

    def bands(self, parts: list[str], top: float, spread: Sequence[tuple[str, float, float]]) -> float:
        """Spread loads, those that lie apart in one row; each as a line with ticks under its label."""
        across = [_wider(_span((self.x(a) + self.x(b)) / 2, said), self.x(a), self.x(b)) for said, a, b in spread]
        rows = [box.row for box in _packed(across, range(len(across)))]
        for (said, from_mm, to_mm), row in zip(spread, rows, strict=True):
            left, right, y = self.x(from_mm), self.x(to_mm), top + ROW + (ROW + BAND - 6) * row
            parts.append(rect(left, y, right - left, 3, INK))
            count = max(int((right - left) // 14), 1)
            for i in range(count + 1):
                x = left + (right - left) * i / count
                parts.append(line(x, y, x, y + 7, 0.8, INK))
            self.label(parts, (left + right) / 2, y - 3, said)
        return top + (ROW + BAND - 6) * (max(rows, default=-1) + 1)

    def lines(self, parts: list[str], top: float) -> float:
        """The lines below the pipe as the arrows with which they hold it, their names and what they carry."""
        names, found = self.picture.load.hung.names, self.found
        places = [self.x(place) for place in self.picture.load.hung.beam.supports_mm]
        said = [
            f"{name}: {'slack' if i in found.slack else _force(found.reactions_n[i], self.picture.units)}"
            for i, name in enumerate(names)
        ]
        boxes = _boxes(places, said)
        start = top + 2
        labels = start + ARROW
        for i, (x, text, box) in enumerate(zip(places, said, boxes, strict=True)):
            slack = i in found.slack
            dash = "2 2" if slack else ""
            parts.append(line(x, start + 6, x, labels, 0.9, INK, dash))
            parts += self.leader(x, labels, labels + ROW * box.row, box.row, boxes, dash)
            if not slack:
                parts.append(polygon([(x - 4, start + 8), (x + 4, start + 8), (x, start)], INK, 0.5, INK))
            self.label(parts, x, labels + ROW * box.row + TEXT, text, 400 if slack else 600)
        return labels + ROW * (max(box.row for box in boxes) + 1)

    def moments(self, parts: list[str], top: float) -> float:
        """The bending moment, drawn on the side of the pipe that is pulled: sagging below the axis."""
        found, units = self.found, self.picture.units
        return self.panel(
            parts,
            top,
            "Bending moment",
            [(s.at_mm, s.moment_nmm) for s in found.stations],
            (
                f"sagging {_moment(found.sagging.value, units)} at {_place(found.sagging.at_mm, units)}",
                found.sagging.at_mm,
            ),
            (
                f"hogging {_moment(found.hogging.value, units)} at {_place(found.hogging.at_mm, units)}",
                found.hogging.at_mm,
            ),
            filled=True,
        )

    def shape(self, parts: list[str], top: float) -> float:
        """The deflected shape, exaggerated; without figures where the pipe bends too far for them."""
        found, units = self.found, self.picture.units
        if self.picture.load.hung.bends_far(found):
            sag, rise = ("", found.sag.at_mm), ("", found.rise.at_mm)
            title = f"Shape under load: {BENDS_FAR}"
        else:
            sag = (f"sag {_small(found.sag.value, units)} at {_place(found.sag.at_mm, units)}", found.sag.at_mm)
            rise = (f"rise {_small(found.rise.value, units)} at {_place(found.rise.at_mm, units)}", found.rise.at_mm)
            title = "Shape under load, exaggerated"
        return self.panel(
            parts,
            top,
            title,
            [(s.at_mm, s.deflection_mm) for s in found.stations],
            sag,
            rise,
            filled=False,
        )

    def panel(
        self,
        parts: list[str],
        top: float,
        title: str,
        curve: Sequence[tuple[float, float]],
        below: tuple[str, float],
        above: tuple[str, float],
        *,
        filled: bool,
    ) -> float:
        """A curve about an axis, positive downwards, with its largest values said above and below it."""
        low, high = max(0.0, *(v for _, v in curve)), max(0.0, *(-v for _, v in curve))
        scale = PANEL / (low + high) if low + high > 0 else 0.0
        parts.append(_words(0, top + TEXT, title, weight=600))
        upper = top + ROW + 4
        if above[0] and high * scale > 1:
            self.label(parts, self.x(above[1]), upper + TEXT - 2, above[0])
            upper += ROW
        axis = upper + high * scale
        points = [(self.x(at), axis + value * scale) for at, value in curve]
        ends = self.x(curve[0][0]), self.x(curve[-1][0])
        parts.append(line(ends[0], axis, ends[1], axis, 0.7, INK, "" if filled else "3 2"))
        if filled:
            parts.append(
                f'<g fill-opacity="0.18">{polygon([(ends[0], axis), *points, (ends[1], axis)], INK, 0, "none")}</g>'
            )
        parts.append(_path(points, 1.4))
        parts += [
            line(self.x(s), axis - 3, self.x(s), axis + 3, 0.9, INK) for s in self.picture.load.hung.beam.supports_mm
        ]
        foot = axis + low * scale
        if below[0] and low * scale > 1:
            self.label(parts, self.x(below[1]), foot + TEXT + 1, below[0])
            foot += ROW
        return foot + 4


def _path(points: Sequence[tuple[float, float]], width: float) -> str:
    d = "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in points)
    return f'<path d="{d}" fill="none" stroke="{INK}" stroke-width="{width:g}" stroke-linejoin="round"/>'


def _words(x: float, y: float, said: str, *, anchor: str = "start", weight: int = 400) -> str:
    return words(x, y, TEXT, said, anchor=anchor, fill=INK, weight=weight, family=FAMILIES)


def _span(x: float, said: str) -> tuple[float, float]:
    """Where words centred at x begin and end, inside the picture."""
    half = len(said) * LETTER / 2
    middle = min(max(x, half), WIDTH - half)
    return middle - half, middle + half


def _wider(span: tuple[float, float], left: float, right: float) -> tuple[float, float]:
    return min(span[0], left), max(span[1], right)


def _boxes(places: Sequence[float], said: Sequence[str]) -> list[_Box]:
    """A place for each label, centred where it belongs, filled in from the left."""
    spans = [_span(x, text) for x, text in zip(places, said, strict=True)]
    return _packed(spans, sorted(range(len(spans)), key=lambda i: places[i]))


def _packed(spans: Sequence[tuple[float, float]], order: Iterable[int]) -> list[_Box]:
    """A row for each so that none lies on another: in this order, the first row with room."""
    rows: list[list[tuple[float, float]]] = []
    found: dict[int, _Box] = {}
    for index in order:
        left, right = spans[index]
        free = (i for i, row in enumerate(rows) if all(left >= b + GAP or right <= a - GAP for a, b in row))
        row = next(free, len(rows))
        if row == len(rows):
            rows.append([])
        rows[row].append(spans[index])
        found[index] = _Box(row, left, right)
    return [found[index] for index in range(len(spans))]
