"""Where each mark of the plan is drawn: at its place, or beside it with a leader where it would cover another."""

from collections.abc import Iterator

from inspect_app.domain.plan import Plan, PlanMark, PlanSet
from inspect_app.output.plan_frame import Frame, PlanSize
from inspect_app.output.plan_marks import REACH
from inspect_app.output.plan_pen import Placed
from inspect_app.output.plan_spread import Room

WELL_MARK, STRIP_STEP, STRIP_FROM = 2.4, 3.8, 13.6
Box = tuple[float, float]


def place_marks(
    plan: Plan, frame: Frame, size: PlanSize, mark: float, rows: list[float]
) -> tuple[list[Placed], list[tuple[float, float, str]]]:
    """Every mark of the plan where it is drawn, and the tags (x, y, text) beside marks of the strip above."""
    room, found = Room(), list[Placed]()
    for plan_set, row in zip(plan.sets, rows, strict=True):
        for column, told in plan_set.rest.items():
            found.append(Placed(told, column_x(plan, column, size), row, mark * 0.86))
    for well in plan.wells:
        if well.mark.x_mm is not None:
            x, y = frame.x(well.mark.x_mm), frame.top - 5.2
            found.append(Placed(well.mark, x, y, WELL_MARK))
    blocks = [one for plan_set in plan.sets for one in _blocks(plan_set, frame, mark)]
    for one in sorted(blocks, key=lambda one: one.mark.rank):  # the gravest takes its own place first
        found.append(_in_room(room, one))
    for fixture in plan.fixtures:
        if fixture.x_mm is not None and fixture.y_mm is not None:
            found.append(_in_room(room, Placed(fixture, frame.x(fixture.x_mm), frame.y(fixture.y_mm), mark * 0.86)))
    strip, tags = _strip(plan, frame)
    return [*found, *strip], tags


def _in_room(room: Room, one: Placed) -> Placed:
    half_x, half_y = half_of(one)
    at = room.place(one.x, one.y, half_x, half_y)
    return one if at == (one.x, one.y) else one._replace(x=at[0], y=at[1], foot=(one.x, one.y))


def half_of(one: Placed) -> Box:
    """Half the width and height that a mark covers."""
    return (one.size * 0.9375 + 0.1, one.size * 0.625 + 0.02) if one.boxed else (one.size * REACH, one.size * REACH)


def _blocks(plan_set: PlanSet, frame: Frame, mark: float) -> Iterator[Placed]:
    y = frame.of(plan_set)
    for head in plan_set.heads:
        side = frame.x_low if plan_set.head_side == "stage_right" else frame.x_high
        yield Placed(
            head, frame.x(head.x_mm if head.x_mm is not None else side), _y(head, y, frame), mark * 0.8, boxed=True
        )
    for n, loft in enumerate(plan_set.lofts, 1):
        yield Placed(loft, _loft_x(loft, n, plan_set, frame), _y(loft, y, frame), mark)


def _y(mark: PlanMark, of_set: float, frame: Frame) -> float:
    return of_set if mark.y_mm is None or frame.even else frame.y(mark.y_mm)


def _loft_x(loft: PlanMark, n: int, plan_set: PlanSet, frame: Frame) -> float:
    if loft.x_mm is not None:
        return frame.x(loft.x_mm)
    share = n / (len(plan_set.lofts) + 1)
    return frame.left + (share if plan_set.head_side == "stage_right" else 1 - share) * (frame.right - frame.left)


def column_x(plan: Plan, column: str, size: PlanSize) -> float:
    """The middle of a column for parts that have no place on the grid."""
    return size.width_mm - size.column_mm * (len(plan.columns) - plan.columns.index(column)) + size.column_mm / 2


def strip_rows(plan: Plan) -> int:
    """How many rows the strip above the plan needs: marks at one place across stand above each other."""
    counts: dict[int, int] = {}
    for mark in plan.strip:
        counts[mark.x_mm or 0] = counts.get(mark.x_mm or 0, 0) + 1
    return max(counts.values(), default=0)


def _strip(plan: Plan, frame: Frame) -> tuple[list[Placed], list[tuple[float, float, str]]]:
    found, tags, used = list[Placed](), list[tuple[float, float, str]](), dict[int, int]()
    for mark in plan.strip:
        if mark.x_mm is None:
            continue
        n = used[mark.x_mm] = used.get(mark.x_mm, 0) + 1
        x, y = frame.x(mark.x_mm), frame.top - STRIP_FROM - (n - 1) * STRIP_STEP
        found.append(Placed(mark, x, y, 3.0))
        tags.append((x, y, mark.tag))
    return found, tags
