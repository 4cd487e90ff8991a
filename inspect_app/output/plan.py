"""The grid plan as SVG: to scale upstage, marks told apart by shape and filling, so that it reads without colour."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from xml.sax.saxutils import escape

from inspect_app.domain.length import format_feet_inches
from inspect_app.domain.plan import CONDITION_WORDS, Condition, Plan, PlanSet
from inspect_app.output.plan_marks import mark_svg
from inspect_app.output.svg import INK, circle, line, rect, strokes, words

GREY, PALE = "#6b6b6b", "#c9c9c9"
LINE_STYLES = {  # kind of set: dash pattern in multiples of a millimetre, and its words
    "single_purchase": ("", "single purchase"),
    "double_purchase": ("3 0.6 0.6 0.6", "double purchase"),
    "motorised": ("1.6 0.8", "motorised"),
    "rope": ("0.4 0.7", "rope"),
    "dead_hung": ("4 1.6", "dead hung"),
}
FOOT_MM, METRE_MM = 304.8, 1000.0


@dataclass(frozen=True, slots=True)
class PlanSize:
    """The picture's size in millimetres and the width kept for the number and label of each set."""

    width_mm: float
    height_mm: float
    names_mm: float = 34.0
    column_mm: float = 5.4
    head_mm: float = 21.0
    foot_mm: float = 25.0


@dataclass(frozen=True, slots=True)
class Frame:
    """Where the drawing lies in the picture and how house millimetres become millimetres of the picture."""

    left: float
    right: float
    top: float
    bottom: float
    x_low: float
    x_high: float
    y_low: float
    y_high: float
    even: bool  # no distances recorded: sets at even spacing
    order: tuple[str, ...]

    def x(self, x_mm: float) -> float:
        """Across: stage right at the left of the picture, as seen from the house."""
        span = self.x_high - self.x_low
        share = (x_mm - self.x_low) / span if span else 0.5
        return self.left + share * (self.right - self.left)

    def y(self, y_mm: float) -> float:
        """Upstage: the datum near the foot of the picture, upstage at its head."""
        span = self.y_high - self.y_low
        share = (y_mm - self.y_low) / span if span else 0.5
        return self.bottom - share * (self.bottom - self.top)

    def of(self, plan_set: PlanSet) -> float:
        """Where a set lies."""
        if not self.even:
            return self.y(plan_set.y_mm)
        step = (self.bottom - self.top) / (len(self.order) + 1)
        return self.bottom - step * (1 + self.order.index(plan_set.number))


def plan_svg(plan: Plan, size: PlanSize) -> str:
    """The plan as one SVG element with a title and a description; presentation attributes and classes only."""
    frame = _frame(plan, size)
    pitch = _pitch(plan, frame)
    body = [
        f'<svg xmlns="http://www.w3.org/2000/svg" class="grid-plan" role="img" width="{size.width_mm:g}mm" '
        f'height="{size.height_mm:g}mm" viewBox="0 0 {size.width_mm:g} {size.height_mm:g}">',
        f"<title>{escape(plan.title)}</title>",
        f"<desc>{escape(describe(plan))}</desc>",
        *_ground(plan, frame),
        *_wells(plan, frame),
    ]
    for number, plan_set in enumerate(plan.sets):
        body += _set(plan, plan_set, frame, size, pitch, number)
    body += _columns(plan, frame, size)
    body += _legend(plan, frame, size)
    return "".join([*body, "</svg>"])


def describe(plan: Plan) -> str:
    """The plan in words, for whoever cannot see the picture."""
    stopped = ", ".join(s.number for s in plan.sets if s.stopped) or "none"
    return (
        f"{len(plan.sets)} line sets drawn to scale upstage of the {plan.datum}. Out of use: {stopped}. "
        "The same facts stand in the table by set."
    )


def _frame(plan: Plan, size: PlanSize) -> Frame:
    xs = [m.x_mm for s in plan.sets for m in (*s.heads, *s.lofts) if m.x_mm is not None]
    xs += [w.x_mm for w in plan.wells if w.x_mm is not None]
    ys = [s.y_mm for s in plan.sets]
    known = len(set(ys)) > 1 or len(ys) < 2
    x_low, x_high = (min(xs), max(xs)) if xs else (-6000.0, 6000.0)
    right = size.width_mm - (len(plan.columns) * size.column_mm + 11 if plan.columns else 11)
    return Frame(
        left=size.names_mm + 5,
        right=right - 4,
        top=size.head_mm + 3,
        bottom=size.height_mm - size.foot_mm - 3,
        x_low=x_low - (500 if x_low == x_high else 0),
        x_high=x_high + (500 if x_low == x_high else 0),
        y_low=min([0, *ys]),
        y_high=max([0, *ys]),
        even=not known,
        order=tuple(s.number for s in plan.sets),
    )


def _pitch(plan: Plan, frame: Frame) -> float:
    """The usual distance between neighbouring sets on paper, for the size of marks and letters."""
    at = sorted(frame.of(s) for s in plan.sets)
    gaps = sorted(b - a for a, b in pairwise(at))
    return min(5.0, max(1.9, gaps[len(gaps) // 4])) if gaps else 5.0


def _ground(plan: Plan, frame: Frame) -> Iterator[str]:
    """The datum, the ticks of distance and the sides of the stage."""
    if not frame.even:
        y = frame.y(0)
        yield line(frame.left - 3, y, frame.right + 3, y, 0.45, INK, "6 1 1 1")
        yield words(frame.left - 5, y + 0.8, 2.3, plan.datum, anchor="end", weight=600)
        yield from _ticks(plan, frame)
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
        if well.x_mm is None:
            continue
        x = frame.x(well.x_mm)
        yield rect(x - 3.2, frame.top - 2, 6.4, frame.bottom - frame.top + 4, "#f1f1f1", PALE, 0.15)
        yield mark_svg(well.condition, x, frame.top - 5.2, 2.4)
        yield words(x, frame.top - 8.4, 2.5, well.tag, anchor="middle", weight=600)
        yield words(x, frame.top - 11.2, 2.1, well.lines, anchor="middle", fill=GREY)


def _set(plan: Plan, plan_set: PlanSet, frame: Frame, size: PlanSize, pitch: float, number: int) -> Iterator[str]:
    y, letter = frame.of(plan_set), min(2.7, max(1.8, pitch * 0.78))
    stroke = INK if plan_set.in_scope else PALE
    dash = LINE_STYLES.get(plan_set.kind, ("", ""))[0]
    yield line(frame.left - 1, y, frame.right + 1, y, 0.22, GREY if plan_set.in_scope else PALE, dash)
    if plan_set.stopped:
        yield from _hatched(frame.left - 1, frame.right + 1, y, pitch * 0.42)
    yield from _names(plan_set, y, letter, size, number)
    mark = min(3.4, pitch * 0.86)
    for head in plan_set.heads:
        side = frame.x_low if plan_set.head_side == "stage_right" else frame.x_high
        x = frame.x(head.x_mm if head.x_mm is not None else side)
        yield rect(x - mark * 0.75, y - mark / 2, mark * 1.5, mark, "#ffffff", stroke)
        yield mark_svg(head.condition, x, y, mark * 0.8)
    for n, loft in enumerate(plan_set.lofts, 1):
        x = _loft_x(loft.x_mm, n, plan_set, frame)
        if plan_set.stopped:
            yield circle(x, y, mark * 0.62, "#ffffff")
        yield mark_svg(loft.condition, x, y, mark)
    for column, condition in plan_set.rest.items():
        yield mark_svg(condition, _column_x(plan, column, frame, size), y, mark * 0.86)


def _loft_x(x_mm: int | None, n: int, plan_set: PlanSet, frame: Frame) -> float:
    if x_mm is not None:
        return frame.x(x_mm)
    share = n / (len(plan_set.lofts) + 1)
    return frame.left + (share if plan_set.head_side == "stage_right" else 1 - share) * (frame.right - frame.left)


def _names(plan_set: PlanSet, y: float, letter: float, size: PlanSize, number: int) -> Iterator[str]:
    """The number of the set, white on black when it is out of use, and what is usually on it."""
    base, right = y + letter * 0.34, size.names_mm
    fill = INK if plan_set.in_scope else GREY
    if plan_set.stopped:
        yield rect(right - 7.6, y - letter * 0.58, 8.4, letter * 1.16, INK)
        fill = "#ffffff"
    yield words(right, base, letter, plan_set.number[:6], anchor="end", fill=fill, weight=600)
    label = "STOP USE" if plan_set.stopped else (plan_set.label if plan_set.in_scope else "not in scope")
    shown = label if len(label) <= 20 else label[:19] + "…"
    yield words(right - 8.6, base, letter * 0.9, shown, anchor="end", fill=INK, weight=700 if plan_set.stopped else 400)


def _hatched(left: float, right: float, y: float, half: float) -> Iterator[str]:
    """A band of slanted strokes over the whole set."""
    yield rect(left, y - half, right - left, 2 * half, "#ffffff", INK, 0.3)
    count = int((right - left - 0.6 - 2 * half) / 2.2)
    starts = [left + 0.6 + k * 2.2 for k in range(max(0, count))]
    yield strokes([(x, y + half, x + 2 * half, y - half) for x in starts], INK, 0.25)


def _column_x(plan: Plan, column: str, frame: Frame, size: PlanSize) -> float:
    return size.width_mm - size.column_mm * (len(plan.columns) - plan.columns.index(column)) + size.column_mm / 2


def _columns(plan: Plan, frame: Frame, size: PlanSize) -> Iterator[str]:
    """The headings over the columns for parts that have no place on the grid."""
    for column in plan.columns:
        x, y = _column_x(plan, column, frame, size) + 0.8, frame.top - 3
        yield words(x, y, 2.3, column, turn=-90)
    if plan.columns:
        left = _column_x(plan, plan.columns[0], frame, size) - size.column_mm / 2
        yield line(left, frame.top - 24, left, frame.bottom + 3, 0.25, PALE)
        yield words(left + 1, frame.bottom + 6.4, 2.3, "rest of each set, gravest first", fill=GREY)


def _legend(plan: Plan, frame: Frame, size: PlanSize) -> Iterator[str]:
    """What each mark and each line means."""
    y, x = size.height_mm - 12.5, 2.0
    yield line(0, y - 4.2, size.width_mm, y - 4.2, 0.2, PALE)
    for condition in Condition:
        yield mark_svg(condition, x + 1.6, y - 0.9, 3.2)
        said = CONDITION_WORDS[condition]
        yield words(x + 4.4, y, 2.6, said)
        x += 8.0 + len(said) * 1.28
    y, x = y + 5.2, 2.0
    yield rect(x, y - 2.5, 4.8, 3.2, "#ffffff", INK)
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
    note = (
        "Distances were not recorded: sets are drawn at even spacing."
        if frame.even
        else (f"Upstage to scale from the {plan.datum}; across at its own scale. Not for taking dimensions.")
    )
    yield words(2, y + 5, 2.3, note, fill=GREY)
