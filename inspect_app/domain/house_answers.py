"""The few answers from which a house's inventory is made, and what cannot be answered."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction
from itertools import pairwise

from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSetKind, Side
from inspect_app.domain.part import PartKind

MOST_SETS = 150
NO_DECK = "none"
NEAREST_MM, FARTHEST_APART_MM, HIGHEST_MM = 25, 3000, 60_000  # beyond these a unit was mistaken


@dataclass(frozen=True, slots=True)
class Answers:
    """What a person says about a house. Lengths in mm; x from the centre line (+ stage left); sets by place, from 1."""

    sets: int
    spacing_mm: int | Fraction  # exact, so that rounding does not add up from set to set
    first_mm: int | Fraction
    lines: int
    well_x_mm: tuple[int, ...]  # from stage right to stage left
    head_side: Side = Side.RIGHT
    kinds: Mapping[int, LineSetKind] = field(default_factory=dict)
    head_sides: Mapping[int, Side] = field(default_factory=dict)
    line_counts: Mapping[int, int] = field(default_factory=dict)
    labels: Mapping[int, str] = field(default_factory=dict)
    electrics: frozenset[int] = frozenset()
    grid_mm: int = 0
    bridge_mm: int | None = None
    galleries: tuple[tuple[Side, int], ...] = ()
    deck: str = "channels"
    head_x_mm: int | None = None  # distance of the head blocks from the centre line
    ladders: int = 1
    hatches: int = 1
    anchor_points: int = 0
    smoke_vents: int = 0
    fire_curtain: bool = True
    attributes: Mapping[PartKind, Mapping[str, str]] = field(default_factory=dict)
    installed_on: date | None = None


def check_answers(answers: Answers) -> None:
    """Raises BadValue that names the first answer that cannot be."""
    if not 1 <= answers.sets <= MOST_SETS:
        raise BadValue(f"A house has 1 to {MOST_SETS} line sets here, not {answers.sets}.", "sets")
    if not NEAREST_MM <= answers.spacing_mm <= FARTHEST_APART_MM:
        raise BadValue("Sets stand between 25 mm (1 in) and 3 m apart; check the unit.", "spacing")
    if any(a >= b for a, b in pairwise(answers.well_x_mm)):
        raise BadValue("Give the wells from stage right to stage left, each one once.", "wells")
    _check_heights(answers)
    _check_places(answers)


def _check_heights(answers: Answers) -> None:
    if not 0 < answers.grid_mm <= HIGHEST_MM:
        raise BadValue("The grid is up to 60 m above the deck; check the unit.", "grid_height")
    if answers.bridge_mm is not None and not 0 < answers.bridge_mm <= answers.grid_mm:
        raise BadValue("The loading bridge is above the deck and not above the grid.", "bridge_height")
    if any(not 0 < z_mm <= answers.grid_mm for _, z_mm in answers.galleries):
        raise BadValue("A gallery is above the deck and not above the grid.", "galleries")


def _check_places(answers: Answers) -> None:
    named = {
        "kinds": answers.kinds,
        "other_side": answers.head_sides,
        "line_counts": answers.line_counts,
        "electrics": answers.electrics,
    }
    for field_name, places in named.items():
        beyond = [place for place in places if not 1 <= place <= answers.sets]
        if beyond:
            raise BadValue(f"There is no set {beyond[0]}: the house has {answers.sets}.", field_name)
    wells = len(answers.well_x_mm)
    for place in range(1, answers.sets + 1):
        lines = answers.line_counts.get(place, answers.lines)
        if lines > wells:
            raise BadValue(f"Set {place} has {lines} lines, but only {wells} wells are given.", "wells")
