"""Where a plan lies on its sheet: whole-number scales from house millimetres to millimetres of the picture."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from inspect_app.domain.plan import Plan, PlanSet
from inspect_app.output.plan_spread import rows_apart

_STEP = 5  # scales are whole multiples of this: 1:85


@dataclass(frozen=True, slots=True)
class PlanSize:
    """The picture's size in millimetres and the width kept for the number and label of each set."""

    width_mm: float
    height_mm: float
    names_mm: float = 34.0
    column_mm: float = 5.4
    head_mm: float = 21.0
    foot_mm: float = 25.0


# On a landscape page of each paper, within the margins of report and plan sheet.
PLAN_SIZES: Mapping[str, PlanSize] = {"A4": PlanSize(270, 170), "Letter": PlanSize(252, 176)}


@dataclass(frozen=True, slots=True)
class Frame:
    """Where the drawing lies in the picture and how house millimetres become millimetres of the picture.

    `ratio_x` and `ratio_y` say how many house millimetres one millimetre of the picture is, across and upstage.
    """

    left: float
    right: float
    top: float
    bottom: float
    x_low: float
    x_high: float
    y_low: float
    y_high: float
    ratio_x: int
    ratio_y: int
    even: bool  # no distances recorded: sets at even spacing
    order: tuple[str, ...]

    def x(self, x_mm: float) -> float:
        """Across: stage right at the left of the picture, as seen from the house."""
        middle = (self.left + self.right) / 2
        return middle + (x_mm - (self.x_low + self.x_high) / 2) / self.ratio_x

    def y(self, y_mm: float) -> float:
        """Upstage: the datum near the foot of the picture, upstage at its head."""
        return self.bottom - (y_mm - self.y_low) / self.ratio_y

    def of(self, plan_set: PlanSet) -> float:
        """Where a set lies."""
        if not self.even:
            return self.y(plan_set.y_mm)
        step = (self.bottom - self.top) / (len(self.order) + 1)
        return self.bottom - step * (1 + self.order.index(plan_set.id or plan_set.number))


def whole_ratio(span_mm: float, room_mm: float) -> int:
    """The least scale, in whole steps, at which a span fits into a room. At least 1:5."""
    return max(_STEP, ceil(span_mm / room_mm / _STEP - 1e-9) * _STEP)


def frame_of(plan: Plan, size: PlanSize, aside_mm: float = 0.0) -> Frame:
    """The frame of a plan; `aside_mm` is kept free on each side for marks that give way."""
    xs = [m.x_mm for s in plan.sets for m in (*s.heads, *s.lofts) if m.x_mm is not None]
    xs += [w.mark.x_mm for w in plan.wells if w.mark.x_mm is not None]
    xs += [m.x_mm for m in (*plan.fixtures, *plan.strip) if m.x_mm is not None]
    ys = [s.y_mm for s in plan.sets]
    known = len(set(ys)) > 1 or len(ys) < 2
    ys += [m.y_mm for m in plan.fixtures if m.y_mm is not None]
    x_low, x_high = (min(xs), max(xs)) if xs else (-6000.0, 6000.0)
    wide = 500 if x_low == x_high else 0
    left, top = size.names_mm + 5 + aside_mm, size.head_mm + 3
    right = size.width_mm - (len(plan.columns) * size.column_mm + 11 if plan.columns else 11) - 4 - aside_mm
    bottom = size.height_mm - size.foot_mm - 3
    y_low, y_high = min([0, *ys]), max([0, *ys])
    return Frame(
        left=left,
        right=right,
        top=top,
        bottom=bottom,
        x_low=x_low - wide,
        x_high=x_high + wide,
        y_low=y_low,
        y_high=y_high,
        ratio_x=whole_ratio(x_high - x_low + 2 * wide, right - left),
        ratio_y=whole_ratio(y_high - y_low, bottom - top),
        even=not known,
        order=tuple(s.id or s.number for s in plan.sets),
    )


def pitch_of(plan: Plan, frame: Frame) -> float:
    """The usual distance between neighbouring sets on paper, for the size of marks and letters."""
    at = sorted(frame.of(s) for s in plan.sets)
    gaps = sorted(b - a for a, b in pairwise(at))
    return min(5.0, max(1.9, gaps[len(gaps) // 4])) if gaps else 5.0


def mark_of(plan: Plan, frame: Frame) -> float:
    """The size of marks: smaller where sets hang close, down to what can still be told apart in print."""
    at = sorted({round(frame.of(s), 3) for s in plan.sets})
    least = min((b - a for a, b in pairwise(at)), default=5.0)
    return min(3.4, max(1.7, least * 0.86))


def rows_of(plan: Plan, frame: Frame, gap: float) -> list[float]:
    """Where the names and the columns of each set stand: at the set, or as near as the next one lets."""
    return rows_apart([frame.of(s) for s in plan.sets], gap, frame.top - 1, frame.bottom + 1)
