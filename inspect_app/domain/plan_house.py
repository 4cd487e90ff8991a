"""The plan of a house as it is recorded: the places of its parts, the same as the load of a set is worked out from.

Places are those of the parts (x_mm, y_mm, z_mm) and nothing else: what is not recorded stays unknown and is listed.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from inspect_app.domain.house import Inventory, LineSet
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.part_kind import KIND_WORDS
from inspect_app.domain.plan import BLOCKS, COLUMNS, OTHER, Plan, PlanMark, PlanSet, PlanWell, column_of, gravest
from inspect_app.domain.plan_view import Mark

# Floors whose height the section draws: where parts of a kind agree on z, that is the height.
_FLOORS: tuple[tuple[str, PartKind], ...] = (
    ("grid deck", PartKind.GRID_DECK), ("loft beams", PartKind.LOFT_BEAM), ("head beam", PartKind.HEAD_BEAM),
    ("loading bridge", PartKind.LOADING_BRIDGE), ("locking rail", PartKind.LOCKING_RAIL),
    ("pin rail", PartKind.PIN_RAIL),
)  # fmt: skip

MarkOf = Callable[[str], Mark]


def plan_of_house(inventory: Inventory, mark_of: MarkOf, stopped: Mapping[str, tuple[str, ...]], title: str) -> Plan:
    """The plan of all present parts; `mark_of` says what each is drawn as, `stopped` which sets are out of use."""
    parts = [part for part in inventory.parts if part.retired_on is None]
    by_set: dict[str, list[Part]] = {}
    for part in parts:
        by_set.setdefault(part.line_set or "", []).append(part)
    present = [one for one in inventory.line_sets if one.retired_on is None]
    across = sorted((one for one in present if one.axis != "along"), key=lambda one: (one.sort_key, one.number))
    along = [one for one in present if one.axis == "along"]
    sets = tuple(_set(one, by_set.get(one.id, []), mark_of, one.id in stopped) for one in across)
    loose = [_mark(part, mark_of) for part in by_set.get("", [])]
    wells, others = _wells(parts, loose, inventory)
    others += [_side_mark(one, by_set.get(one.id, []), mark_of, stopped) for one in along if by_set.get(one.id)]
    used = {column for one in sets for column in one.rest}
    return Plan(
        title=title,
        datum=inventory.house.datum,
        units=inventory.house.units,
        sets=sets,
        wells=wells,
        columns=tuple(column for column in (*COLUMNS, OTHER) if column in used),
        fixtures=tuple(mark for mark in others if mark.x_mm is not None and mark.y_mm is not None),
        strip=tuple(mark for mark in others if mark.x_mm is not None and mark.y_mm is None),
        unplaced=tuple(mark for mark in others if mark.x_mm is None),
        levels=_levels(parts, inventory),
    )


def _mark(part: Part, mark_of: MarkOf) -> PlanMark:
    made = mark_of(part.id)
    return PlanMark(
        part.tag, part.x_mm, part.line, made.code, made.rank, made.words, part.id, part.kind.value, part.y_mm, part.z_mm
    )


def _set(line_set: LineSet, parts: list[Part], mark_of: MarkOf, stopped: bool) -> PlanSet:
    marks = [_mark(part, mark_of) for part in parts]
    rest: dict[str, list[PlanMark]] = {}
    for mark in marks:
        if mark.kind not in BLOCKS:
            rest.setdefault(column_of(mark.kind), []).append(mark)
    return PlanSet(
        number=line_set.number,
        label=line_set.label,
        kind=line_set.kind.value,
        y_mm=line_set.y_mm,
        head_side=line_set.head_side.value,
        in_scope=True,
        stopped=stopped,
        heads=tuple(mark for mark in marks if mark.kind == "head_block"),
        lofts=tuple(sorted((mark for mark in marks if mark.kind == "loft_block"), key=lambda mark: mark.line or 0)),
        rest={column: _told(found) for column, found in rest.items()},
        id=line_set.id,
    )


def _told(marks: list[PlanMark]) -> PlanMark:
    """The gravest of a group, which says of how many; the table below names them all."""
    worst = gravest(marks)
    return worst if len(marks) == 1 else worst._replace(words=f"{worst.words} (gravest of {len(marks)})")


def _side_mark(
    line_set: LineSet, parts: list[Part], mark_of: MarkOf, stopped: Mapping[str, tuple[str, ...]]
) -> PlanMark:
    """A set along the side of the stage as one mark: where it stands across is recorded only of its parts."""
    worst = gravest([_mark(part, mark_of) for part in parts])
    at = next((part for part in parts if part.x_mm is not None and part.y_mm is not None), None)
    out = "OUT OF USE, " if line_set.id in stopped else ""
    return worst._replace(
        tag=f"Set {line_set.number}",
        words=f"{out}along the side of the stage; gravest of {len(parts)}: {worst.tag}, {worst.words}",
        x_mm=at.x_mm if at else None,
        y_mm=at.y_mm if at else None,
        code="stop_use" if out else worst.code,
        rank=0 if out else worst.rank,
    )


def _wells(
    parts: Iterable[Part], loose: list[PlanMark], inventory: Inventory
) -> tuple[tuple[PlanWell, ...], list[PlanMark]]:
    """The wells that loft blocks stand at, with the name their lines share, and the rest of the loose parts."""
    lines: dict[str, set[int]] = {}
    for part in parts:
        if part.well and part.line:
            lines.setdefault(part.well, set()).add(part.line)
    served = [mark for mark in loose if mark.part in lines and mark.x_mm is not None]
    wells = tuple(PlanWell(mark, _lines_words(lines[mark.part])) for mark in served)
    return wells, [mark for mark in loose if mark not in served]


def _lines_words(lines: set[int]) -> str:
    return f"line {next(iter(lines))}" if len(lines) == 1 else ""


def _levels(parts: list[Part], inventory: Inventory) -> tuple[tuple[str, int | None], ...]:
    """The floors of the house: those with one recorded height, and those without one said so."""
    found: list[tuple[str, int | None]] = []
    for words, kind in _FLOORS:
        heights = {part.z_mm for part in parts if part.kind is kind}
        known = sorted(height for height in heights if height is not None)
        found += [(words, height) for height in known] if known else ([(words, None)] if heights else [])
    areas = [area for area in inventory.areas if area.retired_on is None and area.kind.value == "gallery"]
    found += [(area.name, area.z_mm or None) for area in areas]  # 0 is what an area has when nobody said
    return tuple(dict.fromkeys(found))


def without_links(plan: Plan) -> Plan:
    """The plan for small pictures: the same marks without words."""

    def bare(marks: Iterable[PlanMark]) -> tuple[PlanMark, ...]:
        return tuple(mark._replace(words="", part="") for mark in marks)

    sets = tuple(
        replace(
            one, heads=bare(one.heads), lofts=bare(one.lofts),
            rest={column: mark._replace(words="", part="") for column, mark in one.rest.items()}, id="",
        )
        for one in plan.sets
    )  # fmt: skip
    wells = tuple(well._replace(mark=well.mark._replace(words="", part="")) for well in plan.wells)
    return replace(
        plan, sets=sets, wells=wells, fixtures=bare(plan.fixtures), strip=bare(plan.strip), unplaced=bare(plan.unplaced)
    )


def kind_words(kind: str) -> str:
    """One part of a kind in words."""
    return KIND_WORDS[PartKind(kind)].one if kind in set(PartKind) else kind
