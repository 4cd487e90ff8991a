"""From a few answers about a house to its whole inventory: areas, line sets and every part at its place."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from inspect_app.domain.house import Area, AreaKind, House, Inventory, LineSet, LineSetKind, Side
from inspect_app.domain.house_answers import Answers, check_answers
from inspect_app.domain.house_parts import Loose, head_x, loft_wells, loose_parts, sides_of
from inspect_app.domain.line_set import SIDE_WORDS, check_line_set, sort_key_for
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.part_kind import tag_for
from inspect_app.domain.set_parts import IdFactory, Site, Well, area_for, first_life, parts_of_set


@dataclass(slots=True)
class _Areas:
    """The areas made so far, and how to find one again."""

    made: list[Area] = field(default_factory=list)
    ids: dict[tuple[AreaKind, Side], str] = field(default_factory=dict)
    galleries: list[str] = field(default_factory=list)


def generate(house: House, answers: Answers, ids: IdFactory) -> Inventory:
    """The inventory of the answers; pure, ids come from `ids`. Raises BadValue on answers that cannot be."""
    check_answers(answers)
    line_sets = tuple(_line_set(house, answers, place, ids) for place in range(1, answers.sets + 1))
    areas = _areas(house, answers, line_sets, ids)
    site = Site(
        house=house.id,
        areas=areas.ids,
        wells=tuple(Well(None, x_mm) for x_mm in answers.well_x_mm),
        grid_mm=answers.grid_mm,
        head_x_mm=head_x(answers),
        attributes=answers.attributes,
        installed_on=answers.installed_on,
    )
    parts, lives = _made(loft_wells(answers), areas, site, ids)
    site = _with_wells(site, parts)
    for place, line_set in enumerate(line_sets, start=1):
        more, first = parts_of_set(line_set, site, ids, with_cable=place in answers.electrics)
        parts += more
        lives += first
    more_parts, more_lives = _made(loose_parts(answers, line_sets), areas, site, ids)
    everything = (*parts, *more_parts)
    return Inventory(house, tuple(areas.made), line_sets, everything, {life.part: life for life in lives + more_lives})


def count_by_kind(parts: Sequence[Part]) -> dict[PartKind, int]:
    """How many parts of each kind, in the order of the kinds."""
    counts = Counter(part.kind for part in parts)
    return {kind: counts[kind] for kind in PartKind if counts[kind]}


def _line_set(house: House, answers: Answers, place: int, ids: IdFactory) -> LineSet:
    y_mm = round(answers.first_mm + (place - 1) * answers.spacing_mm)
    return check_line_set(
        LineSet(
            id=ids(),
            house=house.id,
            number=str(place),
            sort_key=sort_key_for("across", y_mm),
            kind=answers.kinds.get(place, LineSetKind.SINGLE),
            y_mm=y_mm,
            head_side=answers.head_sides.get(place, answers.head_side),
            lines=answers.line_counts.get(place, answers.lines),
            label=answers.labels.get(place, "Electric" if place in answers.electrics else ""),
        )
    )


def _areas(house: House, answers: Answers, line_sets: Sequence[LineSet], ids: IdFactory) -> _Areas:
    areas = _Areas()

    def add(kind: AreaKind, name: str, z_mm: int, side: Side) -> str:
        area = Area(ids(), house.id, kind, name, z_mm)
        areas.made.append(area)
        areas.ids.setdefault((kind, side), area.id)
        return area.id

    used = sides_of(answers, line_sets)
    for side in used:
        add(AreaKind.DECK_RAIL, f"Deck and locking rail, {SIDE_WORDS[side]}", 0, side)
    if answers.bridge_mm is not None:
        for side in used:
            add(AreaKind.BRIDGE, f"Loading bridge, {SIDE_WORDS[side]}", answers.bridge_mm, side)
    for n, (side, z_mm) in enumerate(answers.galleries, start=1):
        areas.galleries.append(add(AreaKind.GALLERY, f"Gallery {n}, {SIDE_WORDS[side]}", z_mm, side))
    add(AreaKind.GRID, "Grid", answers.grid_mm, answers.head_side)
    for side in used:
        add(AreaKind.HEAD_WELL, f"Head well, {SIDE_WORDS[side]}", answers.grid_mm, side)
    add(AreaKind.ACCESS, "Ladders, stairs and hatches", 0, answers.head_side)
    return areas


def _with_wells(site: Site, parts: Sequence[Part]) -> Site:
    by_x = {part.x_mm: part.id for part in parts}
    wells = tuple(Well(by_x.get(well.x_mm), well.x_mm) for well in site.wells)
    return Site(site.house, site.areas, wells, site.grid_mm, site.head_x_mm, site.attributes, site.installed_on)


def _made(some: Iterable[Loose], areas: _Areas, site: Site, ids: IdFactory) -> tuple[list[Part], list[Life]]:
    parts: list[Part] = []
    lives: list[Life] = []
    for loose in some:
        area = (
            areas.galleries[loose.nth_gallery]
            if loose.nth_gallery is not None
            else area_for(areas.ids, loose.area, loose.side)
        )
        part = Part(
            id=ids(),
            house=site.house,
            area=area,
            kind=loose.kind,
            tag=tag_for(loose.kind, loose.number),
            x_mm=loose.x_mm,
            y_mm=loose.y_mm,
            z_mm=loose.z_mm,
        )
        parts.append(part)
        lives.append(first_life(part, site, ids, loose.attributes))
    return parts, lives
