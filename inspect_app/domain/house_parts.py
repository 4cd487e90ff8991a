"""The parts of a generated house that belong to no set: wells, steel, deck bays, rails, ways up and the rest."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from inspect_app.domain.house import AreaKind, LineSet, Side
from inspect_app.domain.house_answers import NO_DECK, Answers
from inspect_app.domain.line_set import COUNTERWEIGHT_KINDS, SIDE_WORDS, span_words
from inspect_app.domain.part import PartKind

SECTION = 10  # sets to a bay of the deck, a section of beam or of rail
BEYOND_LAST_WELL_MM = 3000  # assumed distance from the last well to the head blocks where none is given
_LETTER = {Side.RIGHT: "R", Side.LEFT: "L"}


@dataclass(frozen=True, slots=True)
class Loose:
    """A part to be made: its number becomes the tag behind the kind's letters."""

    kind: PartKind
    number: str
    area: AreaKind
    side: Side
    x_mm: int | None = None
    y_mm: int | None = None
    z_mm: int | None = None
    attributes: Mapping[str, str] = field(default_factory=dict)
    nth_gallery: int | None = None  # which gallery of the answers, where a house has several


def head_x(answers: Answers) -> dict[Side, int]:
    """Where the head blocks are on each side; assumed beyond the last well where nobody said."""
    reach = max((abs(x) for x in answers.well_x_mm), default=0)
    distance = answers.head_x_mm if answers.head_x_mm is not None else reach + BEYOND_LAST_WELL_MM
    return {Side.RIGHT: -distance, Side.LEFT: distance}


def sides_of(answers: Answers, line_sets: Sequence[LineSet]) -> list[Side]:
    """The sides that have head blocks, the house's usual one first."""
    used = {line_set.head_side for line_set in line_sets}
    return sorted(used, key=lambda side: side is not answers.head_side)


def loft_wells(answers: Answers) -> list[Loose]:
    """The loft wells, numbered from the house's usual head side; none without a walking grid."""
    if answers.deck == NO_DECK:
        return []
    from_head = answers.well_x_mm if answers.head_side is Side.RIGHT else answers.well_x_mm[::-1]
    return [
        Loose(
            *(PartKind.WELL, str(n), AreaKind.GRID, answers.head_side, x_mm, None, answers.grid_mm),
            attributes={"opening_kind": "loft well"},
        )
        for n, x_mm in enumerate(from_head, start=1)
    ]


def loose_parts(answers: Answers, line_sets: Sequence[LineSet]) -> Iterator[Loose]:
    """Everything that belongs to no set, the loft wells left out."""
    yield from _head_steel(answers, line_sets)
    if answers.deck != NO_DECK:
        yield from _deck_bays(answers, line_sets)
    yield from _loft_steel(answers, line_sets)
    yield from _rails(answers, line_sets)
    yield from _ways(answers)
    yield from _services(answers, line_sets)


def sections(line_sets: Sequence[LineSet]) -> list[tuple[int, Sequence[LineSet]]]:
    """Sets in even sections of about ten, numbered from 1 upstage."""
    count = max(1, (len(line_sets) + SECTION // 2) // SECTION)
    bounds = [n * len(line_sets) // count for n in range(count + 1)]
    return [(n, line_sets[a:b]) for n, (a, b) in enumerate(pairwise(bounds), start=1) if b > a]


def _middle_y(line_sets: Sequence[LineSet]) -> int:
    return (line_sets[0].y_mm + line_sets[-1].y_mm) // 2


def _span(line_sets: Sequence[LineSet]) -> str:
    return span_words([line_set.number for line_set in line_sets])


def _on_side(line_sets: Sequence[LineSet], side: Side) -> list[LineSet]:
    return [line_set for line_set in line_sets if line_set.head_side is side]


def _head_steel(answers: Answers, line_sets: Sequence[LineSet]) -> Iterator[Loose]:
    """Head beams by section and the head well with its guardrail, on each side that has head blocks."""
    well = AreaKind.HEAD_WELL
    for side in sides_of(answers, line_sets):
        x_mm, letter = head_x(answers)[side], _LETTER[side]
        for n, some in sections(_on_side(line_sets, side)):
            covers = {"covers": f"{_span(some)}, {SIDE_WORDS[side]}"}
            yield Loose(PartKind.HEAD_BEAM, f"{letter}{n}", well, side, x_mm, _middle_y(some), answers.grid_mm, covers)
        if answers.deck != NO_DECK:
            opening = {"opening_kind": "head well"}
            yield Loose(PartKind.WELL, f"H{letter}", well, side, x_mm, None, answers.grid_mm, opening)
            covers = {"covers": f"head well, {SIDE_WORDS[side]}"}
            yield Loose(PartKind.GUARDRAIL, f"H{letter}", well, side, x_mm, None, answers.grid_mm, covers)


def _deck_bays(answers: Answers, line_sets: Sequence[LineSet]) -> Iterator[Loose]:
    """Bays between neighbouring wells and outside the outer ones, each for a section of sets."""
    from_head = list(answers.well_x_mm if answers.head_side is Side.RIGHT else answers.well_x_mm[::-1])
    near, far = head_x(answers)[answers.head_side], -head_x(answers)[answers.head_side]
    edges = [near, *from_head, far]
    for column, (a, b) in enumerate(pairwise(edges), start=1):
        for n, some in sections(line_sets):
            attributes = {"covers": f"{_between(column, len(from_head))}, {_span(some)}", "deck_kind": answers.deck}
            yield Loose(
                *(PartKind.GRID_DECK, f"{column}-{n}", AreaKind.GRID, answers.head_side),
                *((a + b) // 2, _middle_y(some), answers.grid_mm, attributes),
            )


def _between(column: int, wells: int) -> str:
    if wells == 0:
        return "whole width"
    if column == 1:
        return "between the head well and well 1"
    return f"beyond well {wells}" if column == wells + 1 else f"between wells {column - 1} and {column}"


def _loft_steel(answers: Answers, line_sets: Sequence[LineSet]) -> Iterator[Loose]:
    """Loft-block beams along each well by section, and what of the building is near."""
    from_head = answers.well_x_mm if answers.head_side is Side.RIGHT else answers.well_x_mm[::-1]
    for column, x_mm in enumerate(from_head, start=1):
        for n, some in sections(line_sets):
            covers = {"covers": f"at well {column}, {_span(some)}"}
            yield Loose(
                *(PartKind.LOFT_BEAM, f"{column}-{n}", AreaKind.GRID, answers.head_side),
                *(x_mm, _middle_y(some), answers.grid_mm, covers),
            )
    for n, some in sections(line_sets):
        covers = {"covers": f"pipes, ducts and roof over {_span(some)}"}
        yield Loose(
            *(PartKind.BUILDING_INTERFACE, str(n), AreaKind.GRID, answers.head_side),
            *(None, _middle_y(some), None, covers),
        )


def _rails(answers: Answers, line_sets: Sequence[LineSet]) -> Iterator[Loose]:
    """Locking rails by section, loading bridges and galleries with their guardrails, pin rails where ropes are tied."""
    for side in sides_of(answers, line_sets):
        x_mm, letter = head_x(answers)[side], _LETTER[side]
        weighted = [s for s in _on_side(line_sets, side) if s.kind in COUNTERWEIGHT_KINDS]
        for n, some in sections(weighted) if weighted else ():
            covers = {"covers": f"{_span(some)}, {SIDE_WORDS[side]}"}
            yield Loose(
                PartKind.LOCKING_RAIL, f"{letter}{n}", AreaKind.DECK_RAIL, side, x_mm, _middle_y(some), 0, covers
            )
        if answers.bridge_mm is not None:
            covers = {"covers": f"loading bridge, {SIDE_WORDS[side]}"}
            bridge = (AreaKind.BRIDGE, side, x_mm, None, answers.bridge_mm, covers)
            yield Loose(PartKind.LOADING_BRIDGE, letter, *bridge)
            yield Loose(PartKind.GUARDRAIL, f"B{letter}", *bridge)
    for n, (side, z_mm) in enumerate(answers.galleries):
        covers = {"covers": f"gallery, {SIDE_WORDS[side]}"}
        yield Loose(
            *(PartKind.GUARDRAIL, f"G{n + 1}", AreaKind.GALLERY, side, head_x(answers)[side], None, z_mm, covers),
            nth_gallery=n,
        )
    roped = [line_set for line_set in line_sets if line_set.kind.value == "rope"]
    for n, some in sections(roped) if roped else ():
        side = some[0].head_side
        yield Loose(
            PartKind.PIN_RAIL,
            str(n),
            AreaKind.GALLERY,
            side,
            head_x(answers)[side],
            None,
            None,
            {"covers": _span(some)},
        )


def _ways(answers: Answers) -> Iterator[Loose]:
    side = answers.head_side
    for n in range(1, answers.ladders + 1):
        yield Loose(PartKind.LADDER, str(n), AreaKind.ACCESS, side)
    for n in range(1, answers.hatches + 1):
        yield Loose(PartKind.HATCH, str(n), AreaKind.ACCESS, side)


def _services(answers: Answers, line_sets: Sequence[LineSet]) -> Iterator[Loose]:
    """Light and signs per area, anchors, smoke vents, and the fire safety curtain."""
    side = answers.head_side
    lit: list[tuple[AreaKind, str, int | None]] = [
        (AreaKind.DECK_RAIL, "deck and rail", None),
        (AreaKind.GRID, "grid", None),
        (AreaKind.ACCESS, "ways up", None),
    ]
    if answers.bridge_mm is not None:
        lit.insert(1, (AreaKind.BRIDGE, "loading bridge", None))
    lit += [(AreaKind.GALLERY, f"gallery {n + 1}", n) for n in range(len(answers.galleries))]
    for n, (area, words, nth) in enumerate(lit, start=1):
        for kind in (PartKind.LIGHTING, PartKind.SIGN):
            at = answers.galleries[nth][0] if nth is not None else side
            yield Loose(kind, str(n), area, at, attributes={"covers": words}, nth_gallery=nth)
    for n in range(1, answers.anchor_points + 1):
        yield Loose(PartKind.ANCHOR_POINT, str(n), AreaKind.GRID, side)
    for n in range(1, answers.smoke_vents + 1):
        yield Loose(PartKind.SMOKE_VENT, str(n), AreaKind.GRID, side)
    if answers.fire_curtain:
        yield Loose(PartKind.FIRE_SAFETY_CURTAIN, "", AreaKind.DECK_RAIL, side, 0, 0, 0)
