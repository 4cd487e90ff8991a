"""The grid plan as SVG: to scale upstage and across, marks told apart by shape and filling, so that it reads without
colour. The same picture stands in a report, on a page and on a sheet of its own."""

from collections.abc import Iterator
from dataclasses import replace

from inspect_app.domain.length import format_feet_inches
from inspect_app.domain.plan import Plan, PlanMark, PlanSet
from inspect_app.output import palette
from inspect_app.output.plan_frame import Frame, PlanSize, frame_of, mark_of, pitch_of, rows_of
from inspect_app.output.plan_pen import REPORT, MarkPen, Placed, Style, found_frame, legend_height
from inspect_app.output.plan_place import STRIP_STEP, column_x, place_marks, strip_rows
from inspect_app.output.svg import INK, circle, line, rect, strokes, words

__all__ = ["LINE_STYLES", "PlanSize", "describe", "plan_svg"]

GREY, PALE, BAND, GROUND = palette.GREY.paper, palette.PALE.paper, palette.BAND.paper, palette.GROUND.paper

LINE_STYLES = {  # kind of set: dash pattern in multiples of a millimetre, and its words
    "single_purchase": ("", "single purchase"),
    "double_purchase": ("3 0.6 0.6 0.6", "double purchase"),
    "motorised": ("1.6 0.8", "motorised"),
    "rope": ("0.4 0.7", "rope"),
    "dead_hung": ("4 1.6", "dead hung"),
}
FOOT_MM, METRE_MM = 304.8, 1000.0
_LOOSE_MM, _LOOSE_STEP, _LOOSE_MARK = 15.5, 4.6, 3.0  # the list of parts whose place is not recorded


def plan_svg(plan: Plan, size: PlanSize, style: Style = REPORT) -> str:
    """The plan as one SVG element with a title and a description; presentation attributes and classes only."""
    size = _roomy(plan, size, style)
    frame = frame_of(plan, size, aside_mm=9.0 if plan.fixtures else 0.0)
    pitch, pen = pitch_of(plan, frame), MarkPen(style)
    mark, letter = mark_of(plan, frame), min(2.7, max(1.8, pitch * 0.78))
    rows = rows_of(plan, frame, max(letter * 0.85, mark))
    placed, tags = place_marks(plan, frame, size, mark, rows)
    body = [*_ground(plan, frame, style), *_wells(plan, frame), *_head_line(plan, frame)]
    for plan_set, row in zip(plan.sets, rows, strict=True):
        body += _line(plan_set, row, frame, pitch)
    for plan_set in plan.sets:
        body += _stopped(plan_set, frame, pitch, mark, placed)
    if not style.bare:
        for plan_set, row in zip(plan.sets, rows, strict=True):
            body += _names(plan_set, row, letter, size, pen)
        body += _columns(plan, frame, size)
        body += [words(x + 2.2, y + 0.8, 2.2, tag) for x, y, tag in tags]
    body += pen.all(placed)
    body += [] if style.bare else _loose(plan, size, frame, pen)
    body += _legend(plan, frame, size, pen) if style.legend_inside else _on_screen(plan, frame, size, style)
    return pen.picture("grid-plan", size.width_mm, size.height_mm, plan.title, describe(plan), body)


def _roomy(plan: Plan, size: PlanSize, style: Style) -> PlanSize:
    """The size with room above for the strip and below for what has no recorded place, none for a legend beside it."""
    head = max(size.head_mm, 15.0 + strip_rows(plan) * STRIP_STEP) if plan.strip else size.head_mm
    inside = size.foot_mm + legend_height(style.legend, size.width_mm)
    foot = inside if style.legend_inside else 12.0
    return replace(size, head_mm=head, foot_mm=foot + _loose_height(plan, size))


def _loose_height(plan: Plan, size: PlanSize) -> float:
    if not plan.unplaced:
        return 0.0
    per_row = int((size.width_mm - 34) // _LOOSE_MM)
    return 2.5 + _LOOSE_STEP * -(-len(plan.unplaced) // per_row)


def describe(plan: Plan) -> str:
    """The plan in words, for whoever cannot see the picture."""
    stopped = ", ".join(s.number for s in plan.sets if s.stopped) or "none"
    return (
        f"{len(plan.sets)} line sets drawn to scale upstage of the {plan.datum}. Out of use: {stopped}. "
        "The same facts stand in the table by set."
    )


def _ground(plan: Plan, frame: Frame, style: Style) -> Iterator[str]:
    """The datum, the ticks of distance and the sides of the stage."""
    if not frame.even:
        y = frame.y(0)
        yield line(frame.left - 3, y, frame.right + 3, y, 0.45, INK, "6 1 1 1")
        if style.bare:
            return
        yield words(frame.left - 3, y + 2.9, 2.3, plan.datum, weight=600)
        yield from _ticks(plan, frame)
    if style.bare:
        return
    foot = frame.bottom + 6.4
    yield words(frame.left - 3, foot, 2.5, "stage right", weight=600)
    yield words(frame.right + 3, foot, 2.5, "stage left", anchor="end", weight=600)
    yield words((frame.left + frame.right) / 2, foot, 2.5, "house below, upstage above", anchor="middle", fill=GREY)


def _ticks(plan: Plan, frame: Frame) -> Iterator[str]:
    unit = FOOT_MM if plan.units == "imperial" else METRE_MM
    step = next(s for s in (1, 5, 10, 20, 50, 10_000) if (frame.y_high - frame.y_low) / (s * unit) <= 14)
    count = int(frame.y_high // (step * unit))
    for k in range(count + 1):
        y = frame.y(k * step * unit)
        yield line(frame.right + 3.6, y, frame.right + 5.4, y, 0.25, GREY)
        if k:
            said = format_feet_inches(round(k * step * unit)) if plan.units == "imperial" else f"{k * step} m"
            yield words(frame.right + 6, y + 0.7, 2.0, said, fill=GREY)


def _wells(plan: Plan, frame: Frame) -> Iterator[str]:
    for well in plan.wells:
        if well.mark.x_mm is None:
            continue
        x = frame.x(well.mark.x_mm)
        yield rect(x - 3.2, frame.top - 2, 6.4, frame.bottom - frame.top + 4, BAND, PALE, 0.15)
        yield words(x, frame.top - 8.4, 2.5, well.mark.tag, anchor="middle", weight=600)
        yield words(x, frame.top - 11.2, 2.1, well.lines, anchor="middle", fill=GREY)


def _head_line(plan: Plan, frame: Frame) -> Iterator[str]:
    """The head beams of each side as one line along the head blocks that they carry; dashes where something runs along
    the side. Where these end is not recorded."""
    for x_mm in sorted({mark.x_mm for mark in plan.strip if mark.x_mm is not None}):  # bridge, galleries, head well
        yield line(frame.x(x_mm), frame.top - 1, frame.x(x_mm), frame.bottom + 1, 0.3, PALE, "1.5 1")
    beams = [mark for mark in plan.fixtures if mark.kind == "head_beam"]
    for x_mm in sorted({mark.x_mm for mark in beams if mark.x_mm is not None}):
        ys = [frame.of(s) for s in plan.sets if any(head.x_mm == x_mm for head in s.heads)]
        ys += [frame.y(mark.y_mm) for mark in beams if mark.x_mm == x_mm and mark.y_mm is not None]
        yield line(frame.x(x_mm), min(ys) - 1.5, frame.x(x_mm), max(ys) + 1.5, 1.1, PALE)


def _line(plan_set: PlanSet, row: float, frame: Frame, pitch: float) -> Iterator[str]:
    """The line of a set at its distance, with leaders to its name and columns where those had to give way."""
    y, dash = frame.of(plan_set), LINE_STYLES.get(plan_set.kind, ("", ""))[0]
    stroke = GREY if plan_set.in_scope else PALE
    yield line(frame.left - 1, y, frame.right + 1, y, 0.22, stroke, dash)
    if abs(row - y) > 0.3:
        yield strokes([(frame.left - 1, y, frame.left - 4, row), (frame.right + 1, y, frame.right + 4, row)], PALE, 0.2)
    if plan_set.stopped:
        yield from _hatched(frame.left - 1, frame.right + 1, y, pitch * 0.42)


def _stopped(plan_set: PlanSet, frame: Frame, pitch: float, mark: float, placed: list[Placed]) -> Iterator[str]:
    """Clear ground behind the blocks of a set that is out of use, so that its hatching does not blur them."""
    if plan_set.stopped:
        own = {id(one) for one in plan_set.lofts}
        yield from (circle(one.x, one.y, mark * 0.62, GROUND) for one in placed if id(one.mark) in own)


def _names(plan_set: PlanSet, y: float, letter: float, size: PlanSize, pen: MarkPen) -> Iterator[str]:
    """The number of the set, white on black when it is out of use, and what is usually on it."""
    drawn = "".join(_name(plan_set, y, letter, size))
    out = "OUT OF USE. " if plan_set.stopped else ""
    if not pen.style.linked:
        yield drawn
        return
    if plan_set.id in pen.style.found:
        yield found_frame(size.names_mm - 2, y, letter * 2)
    title = f"{out}Set {plan_set.number}" + (f": {plan_set.label}" if plan_set.label else "")
    yield pen.link(f"line-sets/{plan_set.id}/", title, drawn, "set", grave=True)


def _name(plan_set: PlanSet, y: float, letter: float, size: PlanSize) -> Iterator[str]:
    base, right = y + letter * 0.34, size.names_mm
    fill = INK if plan_set.in_scope else GREY
    if plan_set.stopped:
        yield rect(right - 7.6, y - letter * 0.58, 8.4, letter * 1.16, INK)
        fill = GROUND
    yield words(right, base, letter, plan_set.number[:6], anchor="end", fill=fill, weight=600)
    label = "STOP USE" if plan_set.stopped else (plan_set.label if plan_set.in_scope else "not in scope")
    shown = label if len(label) <= 20 else label[:19] + "…"
    yield words(right - 8.6, base, letter * 0.9, shown, anchor="end", fill=INK, weight=700 if plan_set.stopped else 400)


def _hatched(left: float, right: float, y: float, half: float) -> Iterator[str]:
    """A band of slanted strokes over the whole set."""
    yield rect(left, y - half, right - left, 2 * half, GROUND, INK, 0.3)
    count = int((right - left - 0.6 - 2 * half) / 2.2)
    starts = [left + 0.6 + k * 2.2 for k in range(max(0, count))]
    yield strokes([(x, y + half, x + 2 * half, y - half) for x in starts], INK, 0.25)


def _columns(plan: Plan, frame: Frame, size: PlanSize) -> Iterator[str]:
    """The headings over the columns for parts that have no place on the grid."""
    for column in plan.columns:
        x, y = column_x(plan, column, size) + 0.8, frame.top - 3
        yield words(x, y, 2.3, column, turn=-90)
    if plan.columns:
        left = column_x(plan, plan.columns[0], size) - size.column_mm / 2
        yield line(left, frame.top - 24, left, frame.bottom + 3, 0.25, PALE)
        yield words(left + 1, frame.bottom + 6.4, 2.3, "rest of each set, gravest first", fill=GREY)


def _loose(plan: Plan, size: PlanSize, frame: Frame, pen: MarkPen) -> Iterator[str]:
    """The parts whose place is not recorded, named: unknown is shown as unknown."""
    if not plan.unplaced:
        return
    top, per_row = frame.bottom + 13.0, int((size.width_mm - 34) // _LOOSE_MM)
    yield words(2, top + 0.8, 2.3, "Place not recorded:", weight=600)
    for n, mark in enumerate(sorted(plan.unplaced, key=lambda mark: mark.rank)):
        x, y = 34 + (n % per_row) * _LOOSE_MM, top + (n // per_row) * _LOOSE_STEP
        yield _loose_mark(pen, mark, x, y)


def _loose_mark(pen: MarkPen, mark: PlanMark, x: float, y: float) -> str:
    drawn = pen.draw(mark.code, x, y, _LOOSE_MARK) + words(x + 2.1, y + 0.8, 2.2, mark.tag[:10])
    frame = found_frame(x, y, _LOOSE_MARK) if mark.part in pen.style.found else ""
    return frame + pen.link(f"parts/{mark.part}/", f"{mark.tag}: {mark.words}", drawn, grave=mark.rank < 4)


def _legend(plan: Plan, frame: Frame, size: PlanSize, pen: MarkPen) -> Iterator[str]:
    """What each mark and each line means."""
    y = size.height_mm - 12.5 - legend_height(pen.style.legend, size.width_mm)
    yield line(0, y - 4.2, size.width_mm, y - 4.2, 0.2, PALE)
    yield from pen.legend(size.width_mm, y)
    x, y = 2.0, size.height_mm - 7.3
    yield rect(x, y - 2.5, 4.8, 3.2, GROUND, INK)
    yield words(x + 6.2, y, 2.6, "head block")
    x += 22
    yield from _hatched(x, x + 12, y - 0.9, 1.2)
    yield words(x + 13.5, y, 2.6, "set out of use")
    x += 34
    for kind in dict.fromkeys(s.kind for s in plan.sets):
        dash, said = LINE_STYLES.get(kind, ("", kind.replace("_", " ")))
        yield line(x, y - 0.9, x + 11, y - 0.9, 0.3, GREY, dash)
        yield words(x + 12.5, y, 2.6, said)
        x += 18.0 + len(said) * 1.28
    yield words(2, y + 5, 2.3, scale_words(plan, frame), fill=GREY)


def _on_screen(plan: Plan, frame: Frame, size: PlanSize, style: Style) -> Iterator[str]:
    """What the scale is where nobody knows how large the picture is shown."""
    if not style.bare:
        said = f"Upstage to scale from the {plan.datum}; across at its own scale. Not for taking dimensions."
        even = "Distances were not recorded: sets are drawn at even spacing."
        yield words(2, size.height_mm - 1.5, 2.3, even if frame.even else said, fill=GREY)


def scale_words(plan: Plan, frame: Frame) -> str:
    """The scales of the picture in words."""
    across = f"1:{frame.ratio_x} across"
    if frame.even:
        return f"Distances were not recorded: sets are drawn at even spacing; {across}. Not for taking dimensions."
    return (
        f"On this size of paper 1:{frame.ratio_y} upstage from the {plan.datum} and {across}. "
        "Not for taking dimensions."
    )
