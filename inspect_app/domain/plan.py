"""The grid plan as values: sets at their distance, blocks at their place, and what each mark says."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, NamedTuple


class Condition(StrEnum):
    """What one mark on the plan says, gravest first; of several the first one counts."""

    STOP_USE = "stop_use"
    RESTRICT = "restrict"
    REPAIR_BY = "repair_by"
    WATCH = "watch"
    NOT_REACHED = "not_reached"
    NOT_LOOKED_AT = "not_looked_at"
    NO_FINDING = "no_finding"
    NOT_APPLICABLE = "not_applicable"


CONDITION_WORDS = {
    Condition.STOP_USE: "stop use",
    Condition.RESTRICT: "restrict",
    Condition.REPAIR_BY: "repair by date",
    Condition.WATCH: "watch",
    Condition.NOT_REACHED: "not reached",
    Condition.NOT_LOOKED_AT: "not looked at",
    Condition.NO_FINDING: "looked at, no finding",
    Condition.NOT_APPLICABLE: "not applicable",
}
_RANK = {condition: rank for rank, condition in enumerate(Condition)}

# Parts of a set that are not drawn at their place on the grid, gathered in columns beside the plan.
COLUMNS: Mapping[str, tuple[str, ...]] = {
    "Lift lines": ("lift_line", "mule_block"),
    "Terminations, trim": ("termination_arbor", "termination_batten", "trim"),
    "Batten": ("batten", "hanger", "cable"),
    "Arbor, weights": ("arbor", "counterweights", "spreaders", "stop", "guide", "double_purchase"),
    "Hand line": ("hand_line", "tension_block"),
    "Rope lock": ("rope_lock",),
    "Hoist, brake": ("hoist", "drum", "brake", "limit_switch", "control"),
    "Rope set": ("rope_set", "pin_rail"),
    "Travel": ("set_travel",),
}
OTHER = "Other"
_COLUMN_OF = {kind: column for column, kinds in COLUMNS.items() for kind in kinds}
BLOCKS = ("head_block", "loft_block")


class PlanMark(NamedTuple):
    """A mark at a place: x from the centre line (+ stage left), y upstage of the datum, z above the deck; None when
    not recorded.

    `code` names its shape and filling (a Condition, or a code of domain/plan_view.py), `rank` is 0 for the gravest.
    """

    tag: str
    x_mm: int | None
    line: int | None
    code: str
    rank: int = 0
    words: str = ""
    part: str = ""
    kind: str = ""
    y_mm: int | None = None
    z_mm: int | None = None


@dataclass(frozen=True, slots=True)
class PlanSet:
    """A line set with its blocks and, by column, the gravest mark of the rest of its parts."""

    number: str
    label: str
    kind: str
    y_mm: int
    head_side: str
    in_scope: bool
    stopped: bool
    heads: tuple[PlanMark, ...]
    lofts: tuple[PlanMark, ...]
    rest: Mapping[str, PlanMark]
    id: str = ""


class PlanWell(NamedTuple):
    """A well: where it runs and what was seen of it."""

    mark: PlanMark
    lines: str


@dataclass(frozen=True, slots=True)
class Plan:
    """All that is drawn."""

    title: str
    datum: str
    units: str
    sets: tuple[PlanSet, ...]
    wells: tuple[PlanWell, ...]
    columns: tuple[str, ...]
    fixtures: tuple[PlanMark, ...] = ()  # parts of no set with both x and y
    strip: tuple[PlanMark, ...] = ()  # parts of no set with x alone: they run along, or their place upstage is unknown
    unplaced: tuple[PlanMark, ...] = ()  # parts of no set, and of sets along the sides, whose place is not recorded
    levels: tuple[tuple[str, int | None], ...] = ()  # floors in words with their height; None when not recorded


def rank_of(condition: Condition) -> int:
    """How grave a condition is; 0 is the gravest."""
    return _RANK[condition]


def gravest(marks: Iterable[PlanMark]) -> PlanMark:
    """The gravest of some marks, the first of equals. Raises ValueError of none."""
    return min(marks, key=lambda mark: mark.rank)


def column_of(kind: str) -> str:
    """The column for a part of a set that is not drawn at its place on the grid."""
    return _COLUMN_OF.get(kind, OTHER)


def condition_of(result: str, grade: str = "") -> Condition:
    """What a result with its grade is drawn as; a finding without a known grade is drawn as *restrict*."""
    if result == "finding":
        return Condition(grade) if grade in {"stop_use", "restrict", "repair_by", "watch"} else Condition.RESTRICT
    return Condition(result) if result in set(Condition) else Condition.NOT_LOOKED_AT


def plan_of(data: Mapping[str, Any], title: str) -> Plan:
    """The plan of walk data."""
    house = data.get("house") or {}
    by_set: dict[str, list[Mapping[str, Any]]] = {}
    loose: list[Mapping[str, Any]] = []
    for part in data.get("parts") or ():
        number = part.get("line_set")
        (by_set.setdefault(str(number), []) if number not in (None, "") else loose).append(part)
    sets = tuple(_plan_set(row, by_set.get(str(row.get("number")), [])) for row in data.get("line_sets") or ())
    used = {column for plan_set in sets for column in plan_set.rest}
    return Plan(
        title=title,
        datum=str(house.get("datum") or "datum"),
        units=str(house.get("units") or "imperial"),
        sets=sets,
        wells=_wells(loose, data.get("parts") or ()),
        columns=tuple(column for column in (*COLUMNS, OTHER) if column in used),
    )


def _mark(part: Mapping[str, Any]) -> PlanMark:
    condition = condition_of(str(part.get("result") or ""), str(part.get("grade") or ""))
    x_mm = part.get("x_mm")
    place = x_mm if isinstance(x_mm, int) else None
    return PlanMark(str(part.get("tag")), place, part.get("line"), condition.value, _RANK[condition])


def _plan_set(row: Mapping[str, Any], parts: list[Mapping[str, Any]]) -> PlanSet:
    rest: dict[str, list[PlanMark]] = {}
    for part in parts:
        if part.get("kind") not in BLOCKS:
            rest.setdefault(column_of(str(part.get("kind"))), []).append(_mark(part))
    return PlanSet(
        number=str(row.get("number") or ""),
        label=str(row.get("label") or ""),
        kind=str(row.get("kind") or ""),
        y_mm=int(row.get("y_mm") or 0),
        head_side=str(row.get("head_side") or "stage_right"),
        in_scope=row.get("in_scope") is not False,
        stopped=bool(row.get("stopped")),
        heads=tuple(_mark(part) for part in parts if part.get("kind") == "head_block"),
        lofts=tuple(_mark(part) for part in parts if part.get("kind") == "loft_block"),
        rest={column: gravest(marks) for column, marks in rest.items()},
    )


def _wells(loose: list[Mapping[str, Any]], parts: Iterable[Mapping[str, Any]]) -> tuple[PlanWell, ...]:
    """Wells that are parts, at their own x or at the middle of the blocks that stand at them."""
    at: dict[str, list[int]] = {}
    names: dict[str, set[str]] = {}
    for part in parts:
        if part.get("well"):
            if isinstance(part.get("x_mm"), int):
                at.setdefault(str(part["well"]), []).append(part["x_mm"])
            names.setdefault(str(part["well"]), set()).add(str(part.get("line_name") or part.get("line") or ""))
    wells = [part for part in loose if part.get("kind") == "well"]
    return tuple(
        PlanWell(
            _at(_mark(part), _middle(at.get(str(part.get("tag")), []))),
            _one_name(names.get(str(part.get("tag")), set())),
        )
        for part in wells
    )


def _at(mark: PlanMark, x_mm: int | None) -> PlanMark:
    return mark if mark.x_mm is not None else mark._replace(x_mm=x_mm)


def _middle(values: list[int]) -> int | None:
    return sorted(values)[len(values) // 2] if values else None


def _one_name(names: set[str]) -> str:
    return next(iter(names)) if len(names) == 1 else ""
