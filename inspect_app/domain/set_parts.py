"""The parts of one line set: which ones a set of its kind has, where they are, and the tags they carry."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from inspect_app.domain.house import AreaKind, LineSet, LineSetKind, Side
from inspect_app.domain.line_set import wells_of_lines
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.part_attributes import specs_for
from inspect_app.domain.part_kind import tag_for

IdFactory = Callable[[], str]


class Well(NamedTuple):
    """A row of lines: the id of the well part (None where there is no walking grid) and its x from the centre line."""

    part: str | None
    x_mm: int


@dataclass(frozen=True, slots=True)
class Site:
    """What of the house a new set needs: areas by kind and side, wells from stage right, heights, attributes."""

    house: str
    areas: Mapping[tuple[AreaKind, Side], str]
    wells: tuple[Well, ...]
    grid_mm: int | None = None
    head_x_mm: Mapping[Side, int] = field(default_factory=dict)
    attributes: Mapping[PartKind, Mapping[str, str]] = field(default_factory=dict)
    installed_on: date | None = None


class Seat(NamedTuple):
    """A kind of part of a set: per line or per set, its area, where it is across the stage and in height."""

    kind: PartKind
    area: AreaKind
    x: str  # line, head or centre
    per_line: bool = False
    z: str = ""  # grid, deck or '' when it moves


def _per_line(kind: PartKind, area: AreaKind, x: str = "line", z: str = "") -> Seat:
    return Seat(kind, area, x, True, z)


_GRID, _HEAD, _RAIL, _BRIDGE = AreaKind.GRID, AreaKind.HEAD_WELL, AreaKind.DECK_RAIL, AreaKind.BRIDGE

OVERHEAD = (
    Seat(PartKind.HEAD_BLOCK, _HEAD, "head", z="grid"),
    _per_line(PartKind.LOFT_BLOCK, _GRID, z="grid"),
    _per_line(PartKind.LIFT_LINE, _GRID),
)
BATTEN_END = (
    _per_line(PartKind.TERMINATION_BATTEN, _RAIL),
    _per_line(PartKind.TRIM, _RAIL),
    Seat(PartKind.BATTEN, _RAIL, "centre"),
)
RAIL_SIDE = (
    _per_line(PartKind.TERMINATION_ARBOR, _BRIDGE, "head"),
    Seat(PartKind.ARBOR, _RAIL, "head"),
    Seat(PartKind.COUNTERWEIGHTS, _RAIL, "head"),
    Seat(PartKind.SPREADERS, _RAIL, "head"),
    Seat(PartKind.GUIDE, _RAIL, "head"),
    Seat(PartKind.STOP, _RAIL, "head"),
    Seat(PartKind.HAND_LINE, _RAIL, "head"),
    Seat(PartKind.ROPE_LOCK, _RAIL, "head", z="deck"),
    Seat(PartKind.TENSION_BLOCK, _RAIL, "head", z="deck"),
    Seat(PartKind.SET_TRAVEL, _RAIL, "head", z="deck"),
)
MACHINE = tuple(
    Seat(kind, _GRID, "head")
    for kind in (PartKind.HOIST, PartKind.DRUM, PartKind.BRAKE, PartKind.LIMIT_SWITCH, PartKind.CONTROL)
)
# Common practice, no source: a house moves, adds or retires what differs.
SET_SEATS: Mapping[LineSetKind, tuple[Seat, ...]] = {
    LineSetKind.SINGLE: (*OVERHEAD, *RAIL_SIDE, *BATTEN_END),
    LineSetKind.DOUBLE: (*OVERHEAD, *RAIL_SIDE, Seat(PartKind.DOUBLE_PURCHASE, _RAIL, "head"), *BATTEN_END),
    LineSetKind.MOTOR: (*OVERHEAD, *MACHINE, *BATTEN_END),
    LineSetKind.ROPE: (*OVERHEAD, Seat(PartKind.ROPE_SET, AreaKind.GALLERY, "head"), *BATTEN_END),
    LineSetKind.DEAD: (_per_line(PartKind.HANGER, _GRID), Seat(PartKind.BATTEN, _RAIL, "centre")),
}
CABLE_SEAT = Seat(PartKind.CABLE, _RAIL, "centre")


def parts_of_set(
    line_set: LineSet, site: Site, ids: IdFactory, with_cable: bool = False
) -> tuple[tuple[Part, ...], tuple[Life, ...]]:
    """All parts of a set with their first lives. Raises BadValue when it has more lines than wells."""
    parts: list[Part] = []
    lives: list[Life] = []
    for part in _places(line_set, site, ids, with_cable):
        parts.append(part)
        lives.append(first_life(part, site, ids, fibre=line_set.kind is LineSetKind.ROPE))
    return tuple(parts), tuple(lives)


def _places(line_set: LineSet, site: Site, ids: IdFactory, with_cable: bool) -> Iterator[Part]:
    wells = [site.wells[i] for i in wells_of_lines(line_set.lines, len(site.wells), line_set.head_side)]
    seats = (*SET_SEATS[line_set.kind], *((CABLE_SEAT,) if with_cable else ()))
    for seat in seats:
        if not seat.per_line:
            yield _part(line_set, site, ids, seat, None, None)
            continue
        for line, well in enumerate(wells, start=1):
            yield _part(line_set, site, ids, seat, line, well)


def _part(line_set: LineSet, site: Site, ids: IdFactory, seat: Seat, line: int | None, well: Well | None) -> Part:
    side = line_set.head_side
    across = {"head": site.head_x_mm.get(side), "centre": 0, "line": well.x_mm if well else None}
    heights = {"grid": site.grid_mm, "deck": 0, "": None}
    along = line_set.axis == "along"  # its lines run up- and downstage: the wells of the other sets say nothing of them
    return Part(
        id=ids(),
        house=site.house,
        area=area_for(site.areas, seat.area, side),
        kind=seat.kind,
        tag=tag_for(seat.kind, line_set.number, line),
        line_set=line_set.id,
        line=line,
        well=well.part if well and seat.kind is PartKind.LOFT_BLOCK and not along else None,
        x_mm=None if along else across[seat.x],
        y_mm=None if along else line_set.y_mm,
        z_mm=heights[seat.z],
    )


# Where a part goes when the house has no such area: the next best place that every house has.
_INSTEAD = {
    AreaKind.BRIDGE: AreaKind.DECK_RAIL,
    AreaKind.GALLERY: AreaKind.DECK_RAIL,
    AreaKind.HEAD_WELL: AreaKind.GRID,
    AreaKind.ACCESS: AreaKind.GRID,
    AreaKind.GRID: AreaKind.DECK_RAIL,
}


def area_for(areas: Mapping[tuple[AreaKind, Side], str], kind: AreaKind, side: Side) -> str:
    """The id of the area of a kind on a side, else of the other side, else the next best. Raises KeyError."""
    other = Side.LEFT if side is Side.RIGHT else Side.RIGHT
    wanted: AreaKind | None = kind
    while wanted is not None:
        found = areas.get((wanted, side)) or areas.get((wanted, other))
        if found:
            return found
        wanted = _INSTEAD.get(wanted)
    raise KeyError(kind)


def first_life(
    part: Part, site: Site, ids: IdFactory, more: Mapping[str, str] | None = None, *, fibre: bool = False
) -> Life:
    """The first life of a part, with those known attributes that are asked of its kind; no wire rope on fibre ropes."""
    asked = {spec.key for spec in specs_for(part.kind)}
    known = {**site.attributes.get(part.kind, {}), **(more or {})}
    kept = {k: v for k, v in known.items() if v and k in asked and not (fibre and k.startswith("rope_"))}
    return Life(ids(), part.id, site.installed_on, attributes=kept)
