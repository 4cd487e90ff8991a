"""The section as SVG: the house from the side, heights and distances to whole scales, unknown heights in words."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from inspect_app.domain.length import format_feet_inches
from inspect_app.domain.plan import PlanMark, PlanSet
from inspect_app.domain.section import Section, SectionRow, blocks_unknown, blocks_upwards
from inspect_app.output import palette
from inspect_app.output.plan_frame import whole_ratio
from inspect_app.output.plan_pen import REPORT, MarkPen, Placed, Style, found_frame, legend_height
from inspect_app.output.plan_spread import rows_apart
from inspect_app.output.svg import INK, line, rect, strokes, words

GREY, PALE, GROUND = palette.GREY.paper, palette.PALE.paper, palette.GROUND.paper
_LEFT, _ROW, _NUMBERS = 44.0, 4.4, 6.0
NO_HEIGHT = "height not recorded"


@dataclass(frozen=True, slots=True)
class SideFrame:
    """Where the section lies: x from the datum upstage, y up from the deck, in millimetres of the picture."""

    left: float
    right: float
    deck: float
    grid: float  # the picture's y of the highest recorded height
    y_low: int
    ratio_y: int
    ratio_z: int
    columns: tuple[float, ...]  # where the marks of each set stand: at its distance, or as near as the next one lets

    def x(self, y_mm: float) -> float:
        """Upstage is to the right."""
        return self.left + (y_mm - self.y_low) / self.ratio_y

    def y(self, z_mm: float) -> float:
        """Up is up."""
        return self.deck - z_mm / self.ratio_z


def section_svg(section: Section, width_mm: float, height_mm: float, style: Style = REPORT) -> str:
    """The section as one SVG element with a title and a description."""
    inside = 8.0 + legend_height(style.legend, width_mm) if style.legend_inside else 0.0
    frame = _frame(section, width_mm, height_mm - inside)
    pen, placed = MarkPen(style), list[Placed]()
    body = [*_levels(section, frame), *_ends(section, frame)]
    size = _mark_of(frame.columns)
    for plan_set, column in zip(section.sets, frame.columns, strict=True):
        body += _set_lines(plan_set, column, frame)
        placed += _stack(plan_set, column, frame, size)
    body += _rows(section, frame, size, placed)
    for plan_set, column in zip(section.sets, frame.columns, strict=True):
        body += _number(plan_set, column, frame, pen)
    body += pen.all(placed)
    if style.legend_inside:
        y = height_mm - 6.0 - legend_height(style.legend, width_mm)
        body += [line(0, y - 4.2, width_mm, y - 4.2, 0.2, PALE), *pen.legend(width_mm, y)]
    body.append(words(2, height_mm - 1.5, 2.3, scale_words(section, frame), fill=GREY))
    return pen.picture("grid-plan side", width_mm, height_mm, section.title, _describe(section), body)


def _describe(section: Section) -> str:
    stopped = ", ".join(s.number for s in section.sets if s.stopped) or "none"
    unknown = ", ".join(name for name, z_mm in section.levels if z_mm is None)
    more = f" Height not recorded: {unknown}." if unknown else ""
    return f"Seen from the side, from the {section.datum} upstage. Out of use: {stopped}.{more}"


def scale_words(section: Section, frame: SideFrame) -> str:
    """The two scales in words."""
    return (
        f"On this size of paper 1:{frame.ratio_y} upstage from the {section.datum} and 1:{frame.ratio_z} in height. "
        "Blocks at one place stand above each other, with a line down to it. Back wall not recorded. "
        "Hatched: out of use. Not for taking dimensions."
    )


def _frame(section: Section, width: float, height: float) -> SideFrame:
    ys = [one.y_mm for one in section.sets] + [y for row in section.steel for y, _ in row.marks]
    zs = [z for _, z in section.levels if z is not None]
    zs += [mark.z_mm for one in section.sets for mark in (*one.heads, *one.lofts) if mark.z_mm is not None]
    low, high = min([0, *ys]), max([0, *ys])
    right = width - 37
    ratio_y = whole_ratio(high - low, right - _LEFT)
    at = [_LEFT + (one.y_mm - low) / ratio_y for one in section.sets]
    columns = tuple(rows_apart(at, 2.6, _LEFT, right))
    size = _mark_of(columns)
    most = max([len(one.heads) + len(one.lofts) for one in section.sets], default=0)
    top = 4 + len(section.steel) * _ROW + (most + 1) * size * 1.16
    deck = height - 9 - _NUMBERS - (len(section.rest) + 1) * _ROW
    ratio_z = whole_ratio(max([1, *zs]), max(deck - top, 10))
    return SideFrame(_LEFT, right, deck, deck - max([0, *zs]) / ratio_z, low, ratio_y, ratio_z, columns)


def _mark_of(columns: tuple[float, ...]) -> float:
    gaps = [b - a for a, b in pairwise(sorted(columns))]
    return min(3.0, max(1.7, min(gaps, default=4.0) * 0.86))


def _levels(section: Section, frame: SideFrame) -> Iterator[str]:
    """The floors at their height, named at the right; those at one height share a line; unknown ones are listed."""
    by_z: dict[int, list[str]] = {0: ["stage"]}
    unknown = [name for name, z_mm in section.levels if z_mm is None]
    for name, z_mm in section.levels:
        if z_mm is not None:
            by_z.setdefault(z_mm, []).append(name)
    heights = sorted(by_z, reverse=True)
    labels = rows_apart([frame.y(z_mm) for z_mm in heights], 5.4, frame.grid, frame.deck + 1)
    for z_mm, label in zip(heights, labels, strict=True):
        y = frame.y(z_mm)
        yield line(frame.left - 3, y, frame.right + 2, y, 0.6 if z_mm in (0, heights[0]) else 0.3, INK)
        yield line(frame.right + 2, y, frame.right + 3.4, label, 0.14, GREY)
        yield words(frame.right + 4, label + 0.4, 2.1, _length(z_mm, section.units), weight=600)
        yield words(frame.right + 4, label + 2.6, 1.8, ", ".join(dict.fromkeys(by_z[z_mm]))[:44])
    for n, name in enumerate(unknown):
        yield words(frame.left - 4, frame.y(0) - 3 - n * 2.6, 2.1, f"{name}: {NO_HEIGHT}", anchor="end", fill=GREY)


def _length(mm: int, units: str) -> str:
    return format_feet_inches(mm) if units == "imperial" else f"{mm / 1000:.2f} m"


def _ends(section: Section, frame: SideFrame) -> Iterator[str]:
    """The datum as an upright line. Where the back wall stands is not recorded, so none is drawn."""
    x = frame.x(0)
    yield line(x, frame.grid, x, frame.deck, 0.45, INK, "6 1 1 1")
    yield words(x - 1.5, (frame.grid + frame.deck) / 2, 2.3, section.datum, anchor="middle", weight=600, turn=-90)


def _set_lines(plan_set: PlanSet, column: float, frame: SideFrame) -> Iterator[str]:
    """A set as an upright line at its distance, hatched when it is out of use."""
    x = frame.x(plan_set.y_mm)
    heights = [mark.z_mm for mark in (*plan_set.heads, *plan_set.lofts) if mark.z_mm is not None]
    if heights:
        yield line(x, frame.y(max(heights)), x, frame.deck, 0.22, GREY)
    if plan_set.stopped:
        half, top = 1.0, frame.y(max(heights)) if heights else frame.grid
        yield rect(x - half, top, 2 * half, frame.deck - top, GROUND, INK, 0.3)
        count = int((frame.deck - top - 2 * half) / 2.2)
        ends = [top + 2 * half + k * 2.2 for k in range(max(count, 0))]
        yield strokes([(x - half, y, x + half, y - 2 * half) for y in ends], INK, 0.25)
    if abs(column - x) > 0.05:
        yield line(x, frame.deck, column, frame.deck + _NUMBERS * 0.4, 0.14, PALE)


def _stack(plan_set: PlanSet, column: float, frame: SideFrame, size: float) -> Iterator[Placed]:
    """The blocks of a set upwards from their height; each has its true place as foot."""
    step, last = size * 1.16, frame.deck
    for mark in blocks_upwards(plan_set):
        foot = (frame.x(plan_set.y_mm if mark.y_mm is None else mark.y_mm), frame.y(mark.z_mm or 0))
        last = min(foot[1] - step, last - step)
        yield Placed(mark, column, last, size, foot)


def _rows(section: Section, frame: SideFrame, size: float, placed: list[Placed]) -> Iterator[str]:
    for n, row in enumerate(section.steel):
        y = 4 + n * _ROW
        yield from _row_title(row, y, section)
        placed += [Placed(mark, frame.x(y_mm), y, min(size, 3.0)) for y_mm, mark in row.marks]
    y = frame.deck + _NUMBERS + _ROW
    unknown = SectionRow("Blocks without a height", None, ())
    lost = [(column, mark) for one, column in zip(section.sets, frame.columns, strict=True) for mark in _lost(one)]
    for column, mark in lost:
        placed.append(Placed(mark, column, y - _ROW * 0.1, size))
    if lost:
        yield from _row_title(unknown, y - _ROW * 0.1, section)
        y += _ROW
    sets = zip(section.sets, frame.columns, strict=True)
    column_of = {id(mark): column for one, column in sets for mark in one.rest.values()}
    for row in section.rest:
        yield from _row_title(row, y, section)
        placed += [Placed(mark, column_of[id(mark)], y, size * 0.95) for _, mark in row.marks]
        y += _ROW


def _lost(plan_set: PlanSet) -> list[PlanMark]:
    found = blocks_unknown(plan_set)
    return [min(found, key=lambda mark: mark.rank)] if found else []


def _row_title(row: SectionRow, y: float, section: Section) -> Iterator[str]:
    height = "at the deck" if row.z_mm == 0 else NO_HEIGHT if row.z_mm is None else _length(row.z_mm, section.units)
    yield words(_LEFT - 4, y + 0.2, 2.2, row.title, anchor="end", weight=600)
    yield words(_LEFT - 4, y + 2.3, 1.8, height, anchor="end", fill=GREY)


def _number(plan_set: PlanSet, column: float, frame: SideFrame, pen: MarkPen) -> Iterator[str]:
    """The number below its set, upright where sets hang close; white on black when out of use."""
    y = frame.deck + _NUMBERS - 0.6
    fill = GROUND if plan_set.stopped else INK
    box = rect(column - 1.25, y - 4.4, 2.5, 5.2, INK) if plan_set.stopped else ""
    drawn = box + words(column + 0.75, y + 0.2, 2.2, plan_set.number[:6], fill=fill, weight=600, turn=-90)
    if plan_set.id and plan_set.id in pen.style.found:
        yield found_frame(column, y - 1.8, 3.4)
    out = "OUT OF USE. " if plan_set.stopped else ""
    title = f"{out}Set {plan_set.number}" + (f": {plan_set.label}" if plan_set.label else "")
    yield pen.link(f"line-sets/{plan_set.id}/" if plan_set.id else "", title, drawn, "set", grave=True)
