"""All worksheets in the order of the shelf, and which of them ask about a part of each kind."""

from collections.abc import Mapping

from inspect_app.domain.errors import BadValue
from inspect_app.domain.limit_form import attribute_number
from inspect_app.domain.part import PartKind
from inspect_app.domain.set_load import typed_mass, typed_mm
from inspect_app.domain.worksheet import Ask, Input, Worksheet
from inspect_app.domain.worksheets import (
    balance,
    batten_load,
    block,
    conversion,
    counterweight,
    design_factor,
    fleet,
    hardware,
    opening,
    resultant,
    risk,
    rope,
    rope_lay,
    stored_bricks,
    termination,
    trend,
)

# (heading on the shelf, worksheets)
GROUPS: tuple[tuple[str, tuple[Worksheet, ...]], ...] = (
    ("Loads", (*batten_load.SHEETS, counterweight.SHEET, *balance.SHEETS, *stored_bricks.SHEETS, *resultant.SHEETS)),
    ("Rope and line ends", (*rope.SHEETS, *rope_lay.SHEETS, *termination.SHEETS, hardware.SHEET, design_factor.SHEET)),
    ("Blocks", (*block.SHEETS, *fleet.SHEETS)),
    ("Wear", trend.SHEETS),
    ("Deck, edges and ladders", opening.SHEETS),
    ("Order of work, units", (*risk.SHEETS, *conversion.SHEETS)),
)
WORKSHEETS: Mapping[str, Worksheet] = {sheet.key: sheet for _, sheets in GROUPS for sheet in sheets}

_ROPE = ("rope-diameter", "broken-wires", "rope-lay", "outer-wire-wear", "trend")
_BLOCK = ("block-ratio", "fleet-angle", "block-pull")
# What can be asked about a part of a kind, most asked first. A batten and its arbor begin at the page of their set.
ABOUT: Mapping[PartKind, tuple[str, ...]] = {
    PartKind.LIFT_LINE: _ROPE,
    PartKind.ROPE_SET: ("trend",),
    PartKind.TERMINATION_ARBOR: ("clips", "hardware"),
    PartKind.TERMINATION_BATTEN: ("clips", "hardware"),
    PartKind.TRIM: ("hardware",),
    PartKind.HANGER: ("hardware", *_ROPE),
    PartKind.HEAD_BLOCK: _BLOCK,
    PartKind.LOFT_BLOCK: _BLOCK,
    PartKind.MULE_BLOCK: _BLOCK,
    PartKind.DOUBLE_PURCHASE: _BLOCK,
    PartKind.DRUM: ("block-ratio", "fleet-angle", *_ROPE),
    PartKind.ROPE_LOCK: ("imbalance",),
    PartKind.GRID_DECK: ("deck-gaps", "walking-way"),
    PartKind.WELL: ("deck-gaps", "by-their-papers"),
    PartKind.GUARDRAIL: ("guardrail", "by-their-papers"),
    PartKind.LOADING_BRIDGE: ("stored-bricks", "guardrail", "walking-way"),
    PartKind.LADDER: ("ladder",),
    PartKind.HATCH: ("deck-gaps", "wall-opening"),
    PartKind.ANCHOR_POINT: ("by-their-papers",),
}
# Inputs that begin with what is recorded of a part under another name.
_RECORDED_AS = {
    "tread": "tread_diameter_mm", "original": "rope_baseline_mm", "lay_mm": "rope_lay_mm", "hole": "well_width_mm",
    "rail": "rail_height_mm", "toe": "toeboard_mm", "rungs": "rung_spacing_mm",
    "lock": "imbalance_kg",
}  # fmt: skip


def sheets_about(kind: PartKind) -> tuple[Worksheet, ...]:
    """The worksheets that ask about a part of this kind, most asked first; none for many kinds."""
    return tuple(WORKSHEETS[key] for key in ABOUT.get(kind, ()))


def begun_with(sheet: Worksheet, attributes: Mapping[str, str], units: str) -> dict[str, str]:
    """What the record of a part gives for the inputs of a worksheet, as typed in its form; what is no use is left."""
    return {one.key: typed for one in sheet.inputs if (typed := _recorded(one, attributes, units))}


def _recorded(one: Input, attributes: Mapping[str, str], units: str) -> str:
    key = _RECORDED_AS.get(one.key, one.key)
    text = str(attributes.get(key) or "").strip()
    if one.ask is Ask.CHOICE:
        return text if text in dict(one.choices) else ""
    try:
        size = attribute_number(attributes, key)
    except BadValue:
        return ""
    if size is None or one.ask not in (Ask.LENGTH, Ask.COUNT, Ask.MASS):
        return ""
    if one.ask is Ask.MASS:
        return typed_mass(size, units)
    return typed_mm(size, units) if one.ask is Ask.LENGTH else text
