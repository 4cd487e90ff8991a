"""The house: its areas, its line sets and all of it together as one value."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from inspect_app.domain.part import Life, Part


class AreaKind(StrEnum):
    """Where a person stands."""

    DECK_RAIL = "deck_rail"
    BRIDGE = "bridge"
    GALLERY = "gallery"
    GRID = "grid"
    HEAD_WELL = "head_well"
    ACCESS = "access"


class LineSetKind(StrEnum):
    """How a set is flown."""

    SINGLE = "single_purchase"
    DOUBLE = "double_purchase"
    MOTOR = "motorised"
    ROPE = "rope"
    DEAD = "dead_hung"


class Side(StrEnum):
    """Sides of the stage as the performer sees them."""

    LEFT = "stage_left"
    RIGHT = "stage_right"


KEEP_ORIGINALS = "keep_originals"  # in the settings of a house: yes, or absent


@dataclass(frozen=True, slots=True)
class House:
    """A venue. `datum` names what y is measured from; `line_names` maps a count of lines to the house's own names."""

    id: str
    name: str
    tz: str = "UTC"
    units: str = "imperial"  # or metric: what is shown first; what was entered is kept
    datum: str = "plaster line"
    demo: bool = False
    line_names: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    settings: Mapping[str, str] = field(default_factory=dict)

    @property
    def keep_originals(self) -> bool:
        """Whether phones send the camera's own bytes of a photo as well as the scaled picture."""
        return self.settings.get(KEEP_ORIGINALS) == "yes"


@dataclass(frozen=True, slots=True)
class Area:
    """A part of the house where people stand and walk. `z_mm` is its floor above the deck."""

    id: str
    house: str
    kind: AreaKind
    name: str
    z_mm: int = 0
    retired_on: date | None = None


@dataclass(frozen=True, slots=True)
class LineSet:
    """A line set. `number` is text (12A, LX1); `sort_key` orders the sets in walking order from the datum.

    y_mm is upstage of the datum; `lines` counts lift lines; `label` says what is usually on it.
    """

    id: str
    house: str
    number: str
    sort_key: int
    kind: LineSetKind
    y_mm: int
    head_side: Side = Side.RIGHT
    axis: str = "across"  # or along: sets at the sides of the stage
    lines: int = 0
    label: str = ""
    retired_on: date | None = None


@dataclass(frozen=True, slots=True)
class Inventory:
    """A whole house in memory: parts and the present life of each (keyed by part id).

    `earlier` are lives that have ended, by their own id, as far as something at hand was measured on them.
    """

    house: House
    areas: tuple[Area, ...] = ()
    line_sets: tuple[LineSet, ...] = ()
    parts: tuple[Part, ...] = ()
    lives: Mapping[str, Life] = field(default_factory=dict)
    earlier: Mapping[str, Life] = field(default_factory=dict)
