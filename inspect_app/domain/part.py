"""Parts: the permanent places with a tag that are looked at, and the life of what hangs in them."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum


class PartKind(StrEnum):
    """Everything with a tag that is looked at."""

    HEAD_BEAM = "head_beam"
    HEAD_BLOCK = "head_block"
    LOFT_BLOCK = "loft_block"
    MULE_BLOCK = "mule_block"
    LOFT_BEAM = "loft_beam"
    LIFT_LINE = "lift_line"
    TERMINATION_ARBOR = "termination_arbor"
    TERMINATION_BATTEN = "termination_batten"
    TRIM = "trim"
    BATTEN = "batten"
    ARBOR = "arbor"
    COUNTERWEIGHTS = "counterweights"
    SPREADERS = "spreaders"
    GUIDE = "guide"
    STOP = "stop"
    HAND_LINE = "hand_line"
    ROPE_LOCK = "rope_lock"
    TENSION_BLOCK = "tension_block"
    SET_TRAVEL = "set_travel"
    DOUBLE_PURCHASE = "double_purchase"
    LOCKING_RAIL = "locking_rail"
    LOADING_BRIDGE = "loading_bridge"
    GRID_DECK = "grid_deck"
    WELL = "well"
    GUARDRAIL = "guardrail"
    LADDER = "ladder"
    HATCH = "hatch"
    LIGHTING = "lighting"
    SIGN = "sign"
    TEMPORARY_POINT = "temporary_point"
    ANCHOR_POINT = "anchor_point"
    BUILDING_INTERFACE = "building_interface"
    HOIST = "hoist"
    DRUM = "drum"
    BRAKE = "brake"
    LIMIT_SWITCH = "limit_switch"
    CONTROL = "control"
    ROPE_SET = "rope_set"
    PIN_RAIL = "pin_rail"
    FIRE_SAFETY_CURTAIN = "fire_safety_curtain"
    SMOKE_VENT = "smoke_vent"
    CABLE = "cable"
    HANGER = "hanger"


@dataclass(frozen=True, slots=True)
class Life:
    """What hangs in a part's place now or did once. Attributes are text by key, as part_attributes.py names them."""

    id: str
    part: str
    installed_on: date | None = None
    retired_on: date | None = None
    lot: str = ""
    attributes: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Part:
    """A permanent place: x_mm from the centre line (+ to stage left), y_mm upstage of the datum, z_mm above the deck.

    `line` counts from the head-block side (1 = shortest); `well` is the id of the well part that a loft block is at.
    Parts are never deleted, only retired.
    """

    id: str
    house: str
    area: str
    kind: PartKind
    tag: str
    line_set: str | None = None
    line: int | None = None
    well: str | None = None
    x_mm: int | None = None
    y_mm: int | None = None
    z_mm: int | None = None
    retired_on: date | None = None
