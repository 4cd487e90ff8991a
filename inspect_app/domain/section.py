"""The section as values: the house from the side, from the datum upstage; what has a height and what has none."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from inspect_app.domain.plan import Plan, PlanMark, PlanSet, gravest

_STEEL = (("grid_deck", "Grid deck"), ("loft_beam", "Loft beams"), ("head_beam", "Head beams"),
          ("locking_rail", "Locking rail"), ("fire_safety_curtain", "Fire safety curtain"))  # fmt: skip


class SectionRow(NamedTuple):
    """A row of marks at their distance upstage, in words with the height that they share; None when not recorded."""

    title: str
    z_mm: int | None
    marks: tuple[tuple[int, PlanMark], ...]


@dataclass(frozen=True, slots=True)
class Section:
    """What is drawn: sets with their blocks at their height, steel and floors, and rows for the rest of each set."""

    title: str
    datum: str
    units: str
    sets: tuple[PlanSet, ...]
    levels: tuple[tuple[str, int | None], ...]
    steel: tuple[SectionRow, ...]
    rest: tuple[SectionRow, ...]


def section_of(plan: Plan, title: str) -> Section:
    """The section of a plan: the same parts, marks and places, seen from the side."""
    return Section(
        title=title,
        datum=plan.datum,
        units=plan.units,
        sets=plan.sets,
        levels=plan.levels,
        steel=tuple(row for kind, words in _STEEL for row in _steel_row(kind, words, plan.fixtures)),
        rest=tuple(_rest_row(column, plan.sets) for column in plan.columns),
    )


def _steel_row(kind: str, words: str, fixtures: Iterable[PlanMark]) -> list[SectionRow]:
    """Parts of a kind that stand behind each other, seen from the side, are one mark: the gravest of them."""
    by_y: dict[int, list[PlanMark]] = {}
    heights: set[int | None] = set()
    for mark in fixtures:
        if mark.kind == kind and mark.y_mm is not None:
            by_y.setdefault(mark.y_mm, []).append(mark)
            heights.add(mark.z_mm)
    marks = tuple((y_mm, _one_of(found)) for y_mm, found in sorted(by_y.items()))
    return [SectionRow(words, _only(heights), marks)] if marks else []


def _one_of(marks: list[PlanMark]) -> PlanMark:
    worst = gravest(marks)
    return worst if len(marks) == 1 else worst._replace(words=f"{worst.words} (gravest of {len(marks)})")


def _only(heights: set[int | None]) -> int | None:
    return next(iter(heights)) if len(heights) == 1 else None


def _rest_row(column: str, sets: Iterable[PlanSet]) -> SectionRow:
    found = [(one.y_mm, one.rest[column]) for one in sets if column in one.rest]
    return SectionRow(column, _only({mark.z_mm for _, mark in found}), tuple(found))


def blocks_upwards(plan_set: PlanSet) -> list[PlanMark]:
    """The blocks of a set with a height, lowest first, the head block before the lines at one height."""
    marks = [mark for mark in (*plan_set.heads, *plan_set.lofts) if mark.z_mm is not None]
    return sorted(marks, key=lambda mark: (mark.z_mm or 0, mark.line or 0))


def blocks_unknown(plan_set: PlanSet) -> list[PlanMark]:
    """The blocks of a set whose height is not recorded."""
    return [mark for mark in (*plan_set.heads, *plan_set.lofts) if mark.z_mm is None]
