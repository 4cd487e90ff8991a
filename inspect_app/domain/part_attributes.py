"""What is recorded about each kind of part that matters to an inspection.

Attributes are kept as text by key: lengths as exact decimal millimetres (key ends in _mm), masses as exact decimal
kilograms (_kg), everything else as written. Keys that published criteria use (rope_diameter_mm, rope_construction,
termination, ...) have the spelling and the words of shared/criteria.yaml. Nothing is required: what nobody knows
stays empty and is not judged.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from inspect_app.domain.part import PartKind


class Form(StrEnum):
    """How an attribute is written."""

    LENGTH = "length"
    MASS = "mass"
    COUNT = "count"
    CHOICE = "choice"
    TEXT = "text"


@dataclass(frozen=True, slots=True)
class AttributeSpec:
    """One attribute. `choices` are (value, words); `bare` the units of a bare number."""

    key: str
    label: str
    form: Form = Form.TEXT
    choices: tuple[tuple[str, str], ...] = ()
    hint: str = ""
    bare: tuple[str, str] = ("in", "mm")  # unit of a bare number in an imperial and in a metric house


def _length(key: str, label: str, hint: str = "", bare: tuple[str, str] = ("in", "mm")) -> AttributeSpec:
    return AttributeSpec(key, label, Form.LENGTH, hint=hint, bare=bare)


def _mass(key: str, label: str, hint: str = "") -> AttributeSpec:
    return AttributeSpec(key, label, Form.MASS, hint=hint)


def _count(key: str, label: str, hint: str = "") -> AttributeSpec:
    return AttributeSpec(key, label, Form.COUNT, hint=hint)


def _choice(key: str, label: str, *choices: str, hint: str = "") -> AttributeSpec:
    pairs = tuple((choice.partition("=")[0], choice.partition("=")[2] or choice) for choice in choices)
    return AttributeSpec(key, label, Form.CHOICE, pairs, hint)


def _text(key: str, label: str, hint: str = "") -> AttributeSpec:
    return AttributeSpec(key, label, hint=hint)


LONG = ("ft", "m")  # lengths that people give in feet or metres

WEIGHED = "weighed on a scale, not believed"
MAKER = _text("maker", "Maker and type")
COVERS = _text("covers", "What this tag covers", "such as sets 1 to 10, or between wells 2 and 3")
PLATE = _text("plate", "Figures on the plate", "as written on the part itself")

ROPE_DIAMETER = _length(
    "rope_diameter_mm", "Nominal rope diameter", "the nominal size, not a measured one: 1/4 in, 6 mm"
)
ROPE_CONSTRUCTION = _choice(
    "rope_construction",
    "Rope construction",
    *("7x19", "7x7", "6x6", "6x7", "6x19", "6x19S", "6x21FW", "6x25FW", "6x26WS", "6x31WS", "6x36WS", "6x37", "6x41"),
    *("6x42", "8x19", "8x19S", "8x25FW", "19x7", "other"),
    hint="from the rope's paper or tag",
)
ROPE_CORE = _choice("rope_core", "Core of the rope", "steel", "fibre")
ROPE_LAY = _choice("rope_lay", "Lay of the rope", "regular", "lang")
ROPE_DUTY = _choice("rope_duty", "Duty of the rope", "running=running over blocks", "standing=standing, does not move")
ROTATION = _choice("rotation_resistant", "Rotation-resistant rope", "no", "yes")
ROPE_BASELINE = _length(
    "rope_baseline_mm",
    "First measured diameter of this rope",
    "after its first stretch under load, before any wear: the mean of two readings at right angles, at several places",
)
OF_PAPER = "from the rope's paper; filler wires are not counted"
ROPE_WIRES = (
    _count("rope_wires_total", "Wires in the rope", f"{OF_PAPER}, nor is a separate core; known of 7x19 and 7x7"),
    _count("rope_wires_per_strand", "Wires in one strand", OF_PAPER),
    _count("rope_wires_outer", "Wires in the outer strands together", OF_PAPER),
    _choice(
        "rope_outer_wires",
        "Outer wires",
        *("usual=as thick as the others, or nearly", "thick=thicker than those inside, as in 6x19 Seale"),
    ),
)
ROPE_LAY_LENGTH = _length(
    "rope_lay_mm", "Length of one lay as measured", "along the rope, while one strand goes once round it"
)
GROOVE = _choice("groove_type", "Groove", "round=round, for one rope size", "vee=V-shaped", "flat", "other")
TREAD = _length("tread_diameter_mm", "Tread diameter", "across the bottom of the groove")
SHEAVE = _choice(
    "sheave_material", "Sheave", "iron=cast iron", "steel", "nylon=nylon or other plastic", "wood", "other"
)
MOUNTING = _choice("mounting", "Mounting", "upright=upright, on the steel", "underhung=underhung, below the steel")
FIXING = _choice("fixing", "Fixed by", "clips=clips on the flange", "bolts=bolts through the steel", "weld", "other")
TERMINATION = _choice(
    "termination", "Kind of line end", "clips", "swaged", "wedge", "spliced", "socketed", "knot", "other"
)
SLEEVES = _choice("sleeve_material", "Sleeve", "copper", "aluminium", "steel", "none=no sleeve")
CLIP_COUNT = _count("clip_count", "Number of clips as designed")
CLIP_EYE = _choice(
    "clip_eye", "Turned back on", "thimble", "sheave=a sheave or pin, no thimble", hint="where clips are used"
)
CAPACITY = _mass("capacity_kg", "Capacity as posted", "from the plate or the drawing")
LENGTH = _length("length_mm", "Length", bare=LONG)
FIBRE = _choice("line_material", "Material", "polyester", "nylon", "manila", "hemp", "polypropylene", "other")
OPENED = _choice("opening_kind", "Opening", "loft well", "head well", "hoist opening", "stair opening", "other")
HAND_LINE = _length("hand_line_mm", "Hand-line size")
SPEED = _text("speed", "Speed as posted", "with its unit")

WIRE_ROPE = (
    *(ROPE_DIAMETER, ROPE_CONSTRUCTION, ROPE_CORE, ROPE_LAY, ROPE_DUTY, ROTATION, ROPE_BASELINE),
    *(*ROPE_WIRES, ROPE_LAY_LENGTH),
)
SHEAVES = (ROPE_DIAMETER, ROPE_CONSTRUCTION, GROOVE, TREAD, SHEAVE, MOUNTING, FIXING, MAKER)
LINE_END = (TERMINATION, ROPE_DIAMETER, SLEEVES, CLIP_COUNT, CLIP_EYE)

SPECS: Mapping[PartKind, tuple[AttributeSpec, ...]] = {
    PartKind.HEAD_BEAM: (COVERS, _text("section", "Steel section"), CAPACITY, PLATE),
    PartKind.HEAD_BLOCK: (
        *SHEAVES,
        _count("grooves", "Grooves for lift lines"),
        _length("groove_pitch_mm", "Distance from groove to groove", "centre to centre"),
        _choice(
            "groove_first",
            "Groove of line 1",
            "downstage=at the downstage end (stage right for a set along the side)",
            "upstage=at the upstage end (stage left for a set along the side)",
            hint="line 1 is the shortest; for the fleet angle",
        ),
        HAND_LINE,
    ),
    PartKind.LOFT_BLOCK: (*SHEAVES, _count("idlers", "Idlers or sag rollers")),
    PartKind.MULE_BLOCK: SHEAVES,
    PartKind.LOFT_BEAM: (COVERS, _text("section", "Steel section"), CAPACITY),
    PartKind.LIFT_LINE: (
        *WIRE_ROPE,
        _text("rope_mass", "Mass of the rope", "from its paper, as 11 lb per 100 ft or 0.16 kg/m"),
        LENGTH,
        MAKER,
    ),
    PartKind.TERMINATION_ARBOR: LINE_END,
    PartKind.TERMINATION_BATTEN: (*LINE_END, _text("attachment", "Attachment", "pipe clamp, chain, other")),
    PartKind.TRIM: (
        _choice("trim_kind", "Trim", "chain", "turnbuckle", "adjusting bolt", "trim clamp", "none", "other"),
        _text("grade_mark", "Grade mark", "as stamped on the chain or the fitting"),
        _length("trim_size_mm", "Chain or thread size"),
    ),
    PartKind.BATTEN: (
        LENGTH,
        _choice("batten_kind", "Kind", "pipe", "pipe truss", "box truss", "rectangular tube", "timber", "other"),
        _length("tube_diameter_mm", "Outside diameter of the tube"),
        CAPACITY,
        _mass("own_mass_kg", "Pipe weight", "weighed, with clamps and cable"),
    ),
    PartKind.ARBOR: (
        CAPACITY,
        _mass("own_mass_kg", "The arbor itself", "weighed without bricks, with rods, spreader plates and collars"),
        _length("arbor_length_mm", "Length between the plates", bare=LONG),
        _count("rods", "Rods"),
        _choice("guided_by", "Guided by", "T-bar", "J-bar", "lattice", "wire", "other"),
        MAKER,
    ),
    PartKind.COUNTERWEIGHTS: (
        _mass("brick_kg", "One whole brick", WEIGHED),
        _length("brick_mm", "Thickness of a whole brick"),
        _mass("half_brick_kg", "One half brick", WEIGHED),
        _length("half_brick_mm", "Thickness of a half brick"),
        _mass("third_brick_kg", "One brick of a third size", WEIGHED),
        _length("third_brick_mm", "Thickness of the third size"),
        _text("brick_sizes", "Brick sizes in words", "length, width and thickness of each kind in use"),
        _text("brick_masses", "Brick masses in words", "how many were weighed, and how far they differ"),
        _mass("pipe_weight_kg", "Pipe weight that stays on", "bricks that balance the bare batten, with the arbor"),
    ),
    PartKind.SPREADERS: (
        _length("spreader_spacing_mm", "Spacing of spreader plates by the house's rule"),
        _length("plate_mm", "Thickness of a spreader plate"),
        _text("collar_kind", "Collars"),
        _length("collar_mm", "Height of a collar on its rod"),
    ),
    PartKind.GUIDE: (
        _choice("guide_kind", "Guide", "T-bar", "J-bar", "lattice", "wire", "other"),
        _text("shoe_material", "Shoes"),
        _length("shoe_thickness_mm", "Thickness of a new shoe"),
    ),
    PartKind.STOP: (_text("bumper", "Bumper"), _length("travel_mm", "Travel between the stops", bare=LONG)),
    PartKind.HAND_LINE: (HAND_LINE, FIBRE, LENGTH, MAKER),
    PartKind.ROPE_LOCK: (
        _length("hand_line_mm", "Hand-line size it is made for"),
        _mass("imbalance_kg", "Imbalance on its plate", "sources conflict: use the part's own rating only"),
        MAKER,
    ),
    PartKind.TENSION_BLOCK: (HAND_LINE, TREAD, MAKER),
    PartKind.SET_TRAVEL: (
        _length("travel_mm", "Travel of the batten", bare=LONG),
        _length("batten_side_mm", "Loft block to batten at high trim", bare=LONG),
        _length("arbor_side_mm", "Head block to arbor when it is up", bare=LONG),
    ),
    PartKind.DOUBLE_PURCHASE: (*SHEAVES, _text("dead_ends", "Where the dead ends are")),
    PartKind.LOCKING_RAIL: (COVERS, _length("rail_height_mm", "Height of the top of the rail"), PLATE),
    PartKind.LOADING_BRIDGE: (COVERS, PLATE, CAPACITY, LENGTH),
    PartKind.GRID_DECK: (
        COVERS,
        _choice(
            "deck_kind",
            "Deck",
            *("channels=steel channels", "ribbon_steel=ribbon steel", "bar_grating=bar grating", "cable=cable grid"),
            *("timber", "other"),
        ),
        _length("slat_width_mm", "Width of a channel, bar or board"),
        _length("slat_gap_mm", "Gap between them"),
        _text("deck_capacity", "Capacity as posted", "with its unit"),
    ),
    PartKind.WELL: (
        OPENED,
        _length("well_width_mm", "Clear width"),
        _length("unguarded_mm", "Longest unguarded length", bare=LONG),
        _text("cover", "Cover or guard as usual"),
    ),
    PartKind.GUARDRAIL: (
        COVERS,
        _length("rail_height_mm", "Height of the top rail"),
        _length("toeboard_mm", "Height of the toeboard"),
        _choice(
            "rail_infill", "Below the top rail",
            *("midrail", "balusters=balusters, panels or more rails", "mesh", "wall"),
        ),
        _text("removable", "Removable lengths"),
    ),
    PartKind.LADDER: (
        _choice("way_up", "Way up", "fixed ladder", "caged ladder", "ship's ladder", "stair", "spiral stair", "other"),
        _length("rise_mm", "Rise", bare=LONG),
        _length("rung_spacing_mm", "Rung spacing"),
        _text("fall_arrest", "Fall arrest"),
    ),
    PartKind.HATCH: (
        _choice("hatch_kind", "Kind", "hatch", "gate", "door", "other"),
        _length("clear_width_mm", "Clear width"),
        _choice(
            "opening_height", "Opening in a wall", "high=high enough for a person to fall through", "low",
            hint="for gates and doors with a drop behind them",
        ),
        _choice(
            "opening_width", "Width of that opening", "wide=wide enough for a person to fall through", "narrow",
            hint="empty: taken as wide",
        ),
        _text("lock", "Lock and key"),
    ),
    PartKind.LIGHTING: (COVERS, _text("switch", "Where it is switched"), _text("emergency", "Emergency light")),
    PartKind.SIGN: (COVERS, _text("says", "What is posted")),
    PartKind.TEMPORARY_POINT: (
        _text("owner", "Owner and show"),
        _text("out_by", "To be removed by"),
        CAPACITY,
        _text("hardware", "Hardware"),
    ),
    PartKind.ANCHOR_POINT: (
        _choice("anchor_kind", "Kind", "anchor", "horizontal lifeline", "vertical lifeline", "rescue kit", "other"),
        _count("users", "Users at once"),
        _text("in_date_until", "In date until"),
        MAKER,
    ),
    PartKind.BUILDING_INTERFACE: (COVERS, _text("what", "What is near", "sprinkler, duct, roof, lamps")),
    PartKind.HOIST: (MAKER, CAPACITY, SPEED, PLATE, _text("guards", "Guards")),
    PartKind.DRUM: (
        *WIRE_ROPE,
        TREAD,
        _choice("drum_face", "Face of the drum", "grooved", "smooth", "pile_on=pile-on, one turn on the other"),
        _count("dead_turns", "Dead turns the maker asks for"),
    ),
    PartKind.BRAKE: (
        _count("brakes", "Brakes that act by themselves"),
        _length("air_gap_mm", "Air gap by the maker"),
        _length("lining_mm", "Least lining by the maker"),
        _choice("asbestos_ruled_out", "Asbestos ruled out on paper", "yes", "no"),
    ),
    PartKind.LIMIT_SWITCH: (
        _text("fitted", "What is fitted", "soft, hard, ultimate, slack line, load cell, e-stop"),
        _text("positions", "Written positions"),
    ),
    PartKind.CONTROL: (MAKER, _text("isolator", "Isolator", "where, and whether it takes a padlock")),
    PartKind.ROPE_SET: (
        FIBRE,
        _length("fibre_diameter_mm", "Rope size"),
        _mass("bag_mass_kg", "Sandbag"),
        _text("rope_year", "Year of the ropes"),
    ),
    PartKind.PIN_RAIL: (COVERS, _text("pins", "Pins"), CAPACITY),
    PartKind.FIRE_SAFETY_CURTAIN: (
        _choice("curtain_kind", "Kind", "framed", "rigid", "roll", "brail", "cloth", "other"),
        _text("fabric", "Cloth"),
        _choice("asbestos_ruled_out", "Asbestos ruled out on paper", "yes", "no"),
        _text("releases", "Releases"),
        MAKER,
    ),
    PartKind.SMOKE_VENT: (_text("release", "Release"), _text("size", "Size")),
    PartKind.CABLE: (_text("circuits", "Circuits"), _choice("pick_kind", "Pick", "wire", "rope", "webbing", "none")),
    PartKind.HANGER: (
        _choice("hanger_kind", "Hanger", "chain", "wire rope", "threaded rod", "clip", "beam clamp", "other"),
        *WIRE_ROPE,
        TERMINATION,
        CAPACITY,
    ),
}  # fmt: skip


def specs_for(kind: PartKind) -> tuple[AttributeSpec, ...]:
    """The attributes asked about a kind of part, in the order of the form."""
    return SPECS[kind]
