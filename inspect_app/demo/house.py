"""The invented house: forty line sets with a gap in their numbers and a 12A, as a technical director describes it."""

import random
import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date

from inspect_app.domain.attribute_value import read_attributes
from inspect_app.domain.generator import generate
from inspect_app.domain.house import House, Inventory, LineSet, LineSetKind, Side
from inspect_app.domain.house_answers import Answers
from inspect_app.domain.line_set import sort_key_for
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.part_kind import tag_for

NAME = "Quarrymill Playhouse (invented)"
TZ = "America/Chicago"
INCH, FOOT = 25.4, 304.8
SETS = 40
SPACING_MM = round(8 * INCH)
NUMBERS = (*(str(n) for n in range(1, 13)), "12A", *(str(n) for n in range(13, 25)), *(str(n) for n in range(26, 41)))
GAP_AFTER = "24"  # a duct takes the place of set 25

MOTORISED = frozenset({"5", "16", "29"})
DOUBLE = frozenset({"20", "21", "22"})
ROPE = frozenset({"40"})
ELECTRICS = frozenset({"5", "11", "16", "23", "29"})
LABELS: Mapping[str, str] = {
    "1": "House curtain",
    "2": "Valance",
    "3": "Border 1",
    "4": "Legs 1",
    "5": "1st electric",
    "8": "Scrim",
    "11": "2nd electric",
    "12": "Border 2",
    "12A": "Projection screen",
    "13": "Legs 2",
    "16": "3rd electric",
    "20": "Shell ceiling 1",
    "21": "Shell ceiling 2",
    "22": "Shell ceiling 3",
    "23": "4th electric",
    "24": "Mid-stage traveller",
    "27": "Border 3",
    "28": "Legs 3",
    "29": "5th electric",
    "35": "Border 4",
    "36": "Legs 4",
    "38": "Sky drop",
    "39": "Black drape",
    "40": "Spot lines",
}

_ROPE = {"rope_diameter_mm": "1/4 in", "rope_construction": "7x19", "rope_core": "steel", "rope_lay": "regular"}
_BLOCK = {
    "rope_diameter_mm": "1/4 in",
    "rope_construction": "7x19",
    "groove_type": "round",
    "sheave_material": "iron",
    "mounting": "upright",
    "fixing": "clips",
}
# As somebody types it into the pages of a house that counts in feet and inches.
TYPED: Mapping[PartKind, Mapping[str, str]] = {
    PartKind.HEAD_BLOCK: {
        **_BLOCK,
        "tread_diameter_mm": "12 in",
        "grooves": "6",
        "groove_pitch_mm": "5/8 in",
        "hand_line_mm": "3/4 in",
    },
    PartKind.LOFT_BLOCK: {**_BLOCK, "tread_diameter_mm": "8 in", "idlers": "0"},
    PartKind.LIFT_LINE: {
        **_ROPE,
        "rope_duty": "running",
        "rotation_resistant": "no",
        "rope_baseline_mm": "0.258 in",
        "rope_mass": "11 lb per 100 ft",
    },
    PartKind.TERMINATION_ARBOR: {"termination": "swaged", "rope_diameter_mm": "1/4 in", "sleeve_material": "copper"},
    PartKind.TERMINATION_BATTEN: {"termination": "swaged", "rope_diameter_mm": "1/4 in", "attachment": "pipe clamp"},
    PartKind.TRIM: {"trim_kind": "chain", "trim_size_mm": "1/4 in"},
    PartKind.BATTEN: {
        "batten_kind": "pipe",
        "length_mm": "56 ft",
        "tube_diameter_mm": "1.9 in",
        "capacity_kg": "1200 lb",
        "own_mass_kg": "170 lb",
    },
    PartKind.ARBOR: {
        "capacity_kg": "1600 lb",
        "own_mass_kg": "96 lb",
        "arbor_length_mm": "8 ft",
        "rods": "2",
        "guided_by": "T-bar",
    },
    PartKind.COUNTERWEIGHTS: {
        "brick_kg": "24.6 lb",
        "brick_mm": "1 in",
        "half_brick_kg": "12.4 lb",
        "half_brick_mm": "1/2 in",
        "brick_masses": "ten of each weighed, within 0.3 lb of each other",
        "pipe_weight_kg": "73.8 lb",
    },
    PartKind.SPREADERS: {
        "spreader_spacing_mm": "24 in",
        "plate_mm": "1/8 in",
        "collar_kind": "split collar with thumb screw",
        "collar_mm": "1 in",
    },
    PartKind.GUIDE: {"guide_kind": "T-bar", "shoe_material": "plastic", "shoe_thickness_mm": "1/2 in"},
    PartKind.STOP: {"bumper": "rubber", "travel_mm": "55 ft"},
    PartKind.HAND_LINE: {"hand_line_mm": "3/4 in", "line_material": "polyester", "length_mm": "135 ft"},
    PartKind.ROPE_LOCK: {"hand_line_mm": "3/4 in", "imbalance_kg": "50 lb"},
    PartKind.TENSION_BLOCK: {"hand_line_mm": "3/4 in", "tread_diameter_mm": "12 in"},
    PartKind.SET_TRAVEL: {"travel_mm": "55 ft", "batten_side_mm": "5 ft", "arbor_side_mm": "6 ft"},
    PartKind.DOUBLE_PURCHASE: {**_BLOCK, "tread_diameter_mm": "12 in", "dead_ends": "head steel and arbor guide, low"},
    PartKind.GRID_DECK: {"deck_kind": "ribbon_steel", "slat_width_mm": "3/16 in", "slat_gap_mm": "2 1/8 in"},
    PartKind.WELL: {"opening_kind": "loft well", "well_width_mm": "10 in", "cover": "none; edges painted"},
    PartKind.GUARDRAIL: {"rail_height_mm": "42 in", "toeboard_mm": "4 in", "rail_infill": "balusters"},
    PartKind.LADDER: {"way_up": "fixed ladder", "rung_spacing_mm": "12 in"},
    PartKind.HOIST: {"capacity_kg": "1000 lb", "speed": "20 ft/min"},
    PartKind.DRUM: {
        "rope_diameter_mm": "1/4 in",
        "rope_construction": "7x19",
        "drum_face": "grooved",
        "tread_diameter_mm": "10 in",
    },
    PartKind.BRAKE: {"brakes": "2", "asbestos_ruled_out": "yes"},
    PartKind.ROPE_SET: {"line_material": "manila", "fibre_diameter_mm": "3/4 in", "bag_mass_kg": "80 lb"},
    PartKind.FIRE_SAFETY_CURTAIN: {"curtain_kind": "framed", "asbestos_ruled_out": "yes", "releases": "both sides"},
}
TYPED_UNITS = "imperial"


def typed_attributes() -> dict[PartKind, dict[str, str]]:
    """The attributes as they are kept. Raises ValueError when one cannot be read, which a test would show."""
    kept = {}
    for kind, typed in TYPED.items():
        good, problems = read_attributes(kind, typed, TYPED_UNITS)
        unread = set(typed) - set(good)
        if problems or unread:
            raise ValueError(f"{kind}: {[problem.message for problem in problems]} {unread}")
        kept[kind] = good
    return kept


def describe_house(house: House, today: date, ids: Callable[[], str], seed: int) -> Inventory:
    """The whole inventory of the invented house; the same seed gives the same house but for the ids."""
    inventory = generate(house, _answers(today), ids)
    chance = random.Random(f"{seed} lives")  # noqa: S311 - variety, not a secret
    numbers = dict(zip((s.id for s in inventory.line_sets), NUMBERS, strict=True))
    sets = tuple(_renumbered(line_set, numbers[line_set.id]) for line_set in inventory.line_sets)
    by_id = {line_set.id: line_set for line_set in sets}
    parts = tuple(_moved(part, by_id) for part in inventory.parts)
    kinds = {part.id: part for part in parts}
    lives = {part: _aged(_own_words(life), kinds[part], by_id, today, chance) for part, life in inventory.lives.items()}
    return replace(inventory, line_sets=sets, parts=parts, lives=lives)


def _places(numbers: frozenset[str]) -> list[int]:
    return [NUMBERS.index(number) + 1 for number in sorted(numbers)]


def _answers(today: date) -> Answers:
    kinds = {
        **dict.fromkeys(_places(MOTORISED), LineSetKind.MOTOR),
        **dict.fromkeys(_places(DOUBLE), LineSetKind.DOUBLE),
        **dict.fromkeys(_places(ROPE), LineSetKind.ROPE),
    }
    return Answers(
        sets=SETS,
        spacing_mm=SPACING_MM,
        first_mm=round(18 * INCH),
        lines=6,
        well_x_mm=tuple(round(feet * FOOT) for feet in (-25, -15, -5, 5, 15, 25)),
        head_side=Side.RIGHT,
        kinds=kinds,
        line_counts=dict.fromkeys(_places(ROPE), 4),
        labels={NUMBERS.index(number) + 1: label for number, label in LABELS.items()},
        electrics=frozenset(_places(ELECTRICS)),
        grid_mm=round(62 * FOOT),
        bridge_mm=round(50 * FOOT),
        galleries=((Side.LEFT, round(24 * FOOT)),),
        deck="ribbon_steel",
        head_x_mm=round(35 * FOOT),
        ladders=2,
        hatches=2,
        anchor_points=4,
        smoke_vents=2,
        fire_curtain=True,
        attributes=typed_attributes(),
        installed_on=date(today.year - 22, 8, 14),
    )


def _renumbered(line_set: LineSet, number: str) -> LineSet:
    past_gap = NUMBERS.index(number) > NUMBERS.index(GAP_AFTER)
    y_mm = line_set.y_mm + (2 * SPACING_MM if past_gap else 0)
    return replace(line_set, number=number, y_mm=y_mm, sort_key=sort_key_for(line_set.axis, y_mm))


def _moved(part: Part, sets: Mapping[str, LineSet]) -> Part:
    if part.line_set is None:
        return part
    line_set = sets[part.line_set]
    y_mm = line_set.y_mm if part.y_mm is not None else None
    return replace(part, tag=tag_for(part.kind, line_set.number, part.line), y_mm=y_mm)


def _own_words(life: Life) -> Life:
    """Places counted by the generator become the numbers this house uses (sets 11 to 20 are sets 11 to 19 here)."""

    def named(match: re.Match[str]) -> str:
        places = [NUMBERS[int(place) - 1] for place in match.groups() if int(place) <= SETS]
        return f"sets {' to '.join(places)}"

    changed = {key: re.sub(r"sets (\d+) to (\d+)", named, text) for key, text in life.attributes.items()}
    return replace(life, attributes=changed)


# The lines were changed in two programmes; sets 26 to 40 still hang on the older ones.
_NEWER_ROPES, _OLDER_ROPES = 7, 16  # years ago
# One order of loft blocks; the groove of one of them wears one-sided (LB 14-3 in planted.py).
BLOCK_LOT, BLOCK_LOT_SETS, _BLOCK_LOT_YEARS = "B-0417", frozenset({"13", "14", "15"}), 9
# Ten whole bricks: with the arbor itself they weigh twice the pipe.
_DOUBLE_PIPE_WEIGHT = read_attributes(PartKind.COUNTERWEIGHTS, {"pipe_weight_kg": "246 lb"}, TYPED_UNITS)[0]
_ROPED = frozenset({PartKind.LIFT_LINE, PartKind.TERMINATION_ARBOR, PartKind.TERMINATION_BATTEN, PartKind.TRIM})


def _aged(life: Life, part: Part, sets: Mapping[str, LineSet], today: date, chance: random.Random) -> Life:
    """When the thing was put in and from which lot, as far as the house knows: some dates are unknown."""
    if part.line_set is None:
        return life
    late = NUMBERS.index(sets[part.line_set].number) > NUMBERS.index(GAP_AFTER)
    years = _OLDER_ROPES if late else _NEWER_ROPES
    if part.kind in _ROPED:
        unknown = late and part.line == 2 and chance.random() < 0.3
        installed = None if unknown else date(today.year - years, 7, 6 + chance.randrange(18))
        return replace(life, installed_on=installed, lot=f"R{(today.year - years) % 100:02}-{1 + (part.line or 1) % 2}")
    if part.kind is PartKind.LOFT_BLOCK and sets[part.line_set].number in BLOCK_LOT_SETS:
        return replace(life, installed_on=date(today.year - _BLOCK_LOT_YEARS, 7, 20), lot=BLOCK_LOT)
    if part.kind is PartKind.COUNTERWEIGHTS and sets[part.line_set].kind is LineSetKind.DOUBLE:
        return replace(life, attributes={**life.attributes, **_DOUBLE_PIPE_WEIGHT})
    if part.kind is PartKind.HAND_LINE:
        return replace(life, installed_on=date(today.year - 3 - chance.randrange(9), 8, 1), lot="")
    return life
