"""What of an existing house a set needs: where its wells, heads and areas are, which of its usual parts it lacks."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace

from inspect_app.domain.house import Area, AreaKind, Inventory, LineSet, Side
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.part_kind import tag_for
from inspect_app.domain.set_parts import SET_SEATS, IdFactory, Site, Well, parts_of_set

LOFT_WELL = "loft well"


def site_of(inventory: Inventory, attributes: Mapping[PartKind, Mapping[str, str]] | None = None) -> Site:
    """Where things are in a house as it stands; `attributes` are given to the parts of new sets."""
    present = [part for part in inventory.parts if part.retired_on is None]
    sides = {line_set.id: line_set.head_side for line_set in inventory.line_sets}
    grid = next((area.z_mm for area in inventory.areas if area.kind is AreaKind.GRID and area.retired_on is None), None)
    return Site(
        house=inventory.house.id,
        areas=_areas_by_side(inventory.areas, present, sides),
        wells=_wells(present, inventory.lives),
        grid_mm=grid,
        head_x_mm=_head_x(present, sides),
        attributes=attributes or {},
    )


def _areas_by_side(
    areas: Iterable[Area], parts: Iterable[Part], sides: Mapping[str, Side]
) -> dict[tuple[AreaKind, Side], str]:
    """Each area on the side from which most of its sets are worked; one without sets serves both sides."""
    seen: dict[str, Counter[Side]] = {}
    for part in parts:
        if part.line_set in sides:
            seen.setdefault(part.area, Counter())[sides[part.line_set or ""]] += 1
    found: dict[tuple[AreaKind, Side], str] = {}
    present = [area for area in areas if area.retired_on is None]
    for area in sorted(present, key=lambda area: area.id not in seen):
        most = seen.get(area.id, Counter()).most_common(1)
        for side in [most[0][0]] if most else list(Side):
            found.setdefault((area.kind, side), area.id)
    return found


def _wells(parts: Iterable[Part], lives: Mapping[str, Life]) -> tuple[Well, ...]:
    """The loft wells from stage right; where no well is a part, the places of the lines of the set that has most."""
    parts = list(parts)
    served = {part.well for part in parts if part.well}
    wells = [
        Well(part.id, part.x_mm)
        for part in parts
        if part.kind is PartKind.WELL and part.x_mm is not None and (part.id in served or _is_loft_well(part, lives))
    ]
    if wells:
        return tuple(sorted(wells, key=lambda well: well.x_mm))
    by_set: dict[str, list[int]] = {}
    for part in parts:
        if part.kind is PartKind.LOFT_BLOCK and part.line_set and part.x_mm is not None:
            by_set.setdefault(part.line_set, []).append(part.x_mm)
    longest = max(by_set.values(), key=len) if by_set else []
    return tuple(Well(None, x_mm) for x_mm in sorted(longest))


def _is_loft_well(part: Part, lives: Mapping[str, Life]) -> bool:
    life = lives.get(part.id)
    return life is not None and life.attributes.get("opening_kind") == LOFT_WELL


def _head_x(parts: Iterable[Part], sides: Mapping[str, Side]) -> dict[Side, int]:
    found: dict[Side, list[int]] = {}
    for part in parts:
        if part.kind is PartKind.HEAD_BLOCK and part.x_mm is not None and part.line_set in sides:
            found.setdefault(sides[part.line_set or ""], []).append(part.x_mm)
    middle = {side: sorted(values)[len(values) // 2] for side, values in found.items()}
    for side, other in ((Side.RIGHT, Side.LEFT), (Side.LEFT, Side.RIGHT)):
        if side not in middle and other in middle:
            middle[side] = -middle[other]
    return middle


def missing_parts(line_set: LineSet, parts: Iterable[Part], site: Site, ids: IdFactory) -> list[tuple[Part, Life]]:
    """The usual parts of a set of its kind that it does not have. Raises BadValue when it has more lines than wells."""
    there = {(part.kind, part.line) for part in parts if part.retired_on is None}
    made, lives = parts_of_set(line_set, site, ids)
    return [(part, life) for part, life in zip(made, lives, strict=True) if (part.kind, part.line) not in there]


def surplus_parts(line_set: LineSet, parts: Iterable[Part]) -> list[Part]:
    """Parts that only sets of another kind have, or on lines that the set no longer has; for a person to retire."""
    own = {seat.kind for seat in SET_SEATS[line_set.kind]}
    of_others = {seat.kind for seats in SET_SEATS.values() for seat in seats} - own
    return [part for part in parts if part.kind in of_others or (part.line or 0) > line_set.lines]


def moved_parts(old: LineSet, new: LineSet, parts: Iterable[Part], site: Site) -> list[Part]:
    """The parts of a set after its number, distance or head side changed; only those that change.

    Tags that carry the old number carry the new one, since the label on each part follows the set; parts that stood at
    the set's distance move along; with the head on the other side lines count, and stand, from there.
    """
    turned = old.head_side is not new.head_side
    places = {}
    if turned:
        for part in parts_of_set(new, site, lambda: "")[0]:
            places[(part.kind, part.line)] = part
    result = []
    for part in parts:
        tag = (
            tag_for(part.kind, new.number, part.line)
            if part.tag == tag_for(part.kind, old.number, part.line)
            else part.tag
        )
        moved = replace(part, tag=tag, y_mm=new.y_mm if part.y_mm == old.y_mm else part.y_mm)
        there = places.get((part.kind, part.line))
        if there is not None:
            moved = replace(moved, area=there.area, x_mm=there.x_mm, well=there.well)
        if moved != part:
            result.append(moved)
    return result
