"""What the record of a set gives for its counterweight: figures to begin with, what is missing, and its bare batten.

Nothing is guessed. The bricks that balance a bare batten are no weight of the pipe: the arbor itself helps to balance
it, and in double purchase the arbor side weighs twice as much.
"""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Any

from inspect_app.domain.balance import Balance, against_lock, balance
from inspect_app.domain.errors import BadValue
from inspect_app.domain.line_set import COUNTERWEIGHT_KINDS
from inspect_app.domain.part import PartKind
from inspect_app.domain.set_load import Begin, SetRecord, typed_mass, typed_mm
from inspect_app.domain.worksheet import Answer, Reference, Worksheet
from inspect_app.domain.worksheet_input import given_otherwise, otherwise_words, read_input
from inspect_app.domain.worksheets.balance import ROPE_MASS, leaning_words
from inspect_app.domain.worksheets.counterweight import SHEET
from inspect_app.domain.worksheets.words import mass_words

# (input of the sheet, what it is, where it is recorded)
_MASSES = (
    ("arbor", "The arbor itself", PartKind.ARBOR, "own_mass_kg"),
    ("brick", "One whole brick", PartKind.COUNTERWEIGHTS, "brick_kg"),
    ("half", "", PartKind.COUNTERWEIGHTS, "half_brick_kg"),
    ("third", "", PartKind.COUNTERWEIGHTS, "third_brick_kg"),
    ("capacity", "Capacity posted on the arbor", PartKind.ARBOR, "capacity_kg"),
    ("set_capacity", "Capacity posted on the batten", PartKind.BATTEN, "capacity_kg"),
    ("lock", "Imbalance on the lock's own plate", PartKind.ROPE_LOCK, "imbalance_kg"),
)
_LENGTHS = (
    ("length", "", PartKind.BATTEN, "length_mm"),
    ("brick_mm", "Thickness of a whole brick", PartKind.COUNTERWEIGHTS, "brick_mm"),
    ("half_mm", "", PartKind.COUNTERWEIGHTS, "half_brick_mm"),
    ("third_mm", "", PartKind.COUNTERWEIGHTS, "third_brick_mm"),
    ("free", "Length between the arbor's plates", PartKind.ARBOR, "arbor_length_mm"),
    ("collar", "Height of a collar", PartKind.SPREADERS, "collar_mm"),
    ("spacing", "Distance between spreader plates", PartKind.SPREADERS, "spreader_spacing_mm"),
    ("plate_mm", "Thickness of a spreader plate", PartKind.SPREADERS, "plate_mm"),
    ("travel", "Travel of the batten", PartKind.SET_TRAVEL, "travel_mm"),
    ("batten_side", "Loft block to batten at high trim", PartKind.SET_TRAVEL, "batten_side_mm"),
    ("arbor_side", "Head block to arbor when it is up", PartKind.SET_TRAVEL, "arbor_side_mm"),
)


def balance_begin(record: SetRecord) -> Begin:
    """What the record gives for the counterweight of a set."""
    units = record.house.units
    typed = {"kind": record.line_set.kind.value}
    lacking: list[str] = []
    own = record.first(PartKind.BATTEN, "own_mass_kg")
    if own is not None:
        typed["pipe"] = typed_mass(own, units)
    else:
        lacking.append("Pipe weight with what stays on it: not recorded. Weigh it, or choose the pipe below.")
    for key, words, kind, attribute in (*_MASSES, *_LENGTHS):
        value = record.first(kind, attribute)
        if value is not None:
            typed[key] = (typed_mm if attribute.endswith("_mm") else typed_mass)(value, units)
        elif words:
            lacking.append(f"{words}: not recorded.")
    if record.line_set.lines:
        typed["lines"] = str(record.line_set.lines)
    lacking += _rope(record, typed)
    lacking += _in_words(record)
    return Begin(typed, tuple(lacking), worked_out=_worked_out(record))


def sheet_of(record: SetRecord) -> Worksheet:
    """The counterweight sheet of a set, whose answer names what was given otherwise than the record has it."""
    recorded = balance_begin(record).typed

    def run(values: Mapping[str, Any], reference: Reference) -> Answer:
        answer = SHEET.run(values, reference)
        others = given_otherwise(SHEET.inputs, values, recorded, reference.units)
        return replace(answer, assumptions=(*answer.assumptions, *otherwise_words(others)))

    return replace(SHEET, run=run)


def _rope(record: SetRecord, typed: dict[str, str]) -> list[str]:
    """The rope into the form where all lines agree, and what is missing of its mass."""
    ropes = record.of(PartKind.LIFT_LINE)
    for key in ("rope_diameter_mm", "rope_construction"):
        found = {record.attribute(part, key) for part in ropes}
        value = found.pop() if len(found) == 1 else ""
        if value:
            size = record.number(ropes[0], key) if key.endswith("_mm") else None
            typed[key] = value if size is None else typed_mm(size, record.house.units)
    masses = {record.attribute(part, "rope_mass") for part in ropes} or {""}
    if len(masses) > 1:
        return ["Mass of the rope: not the same for every line as recorded."]
    (mass,) = masses
    if not mass:
        return ["Mass of the rope: not recorded. From its paper; empty, a table in use here is looked up."]
    try:
        read_input(ROPE_MASS, mass, record.house.units)
    except BadValue as error:
        return [f"Mass of the rope: recorded as “{mass}”. {error.message}"]
    typed["rope_mass"] = mass
    return []


def _in_words(record: SetRecord) -> list[str]:
    """Bricks that the record has only in words, to be typed by hand."""
    if record.first(PartKind.COUNTERWEIGHTS, "brick_kg") is not None:
        return []
    asked = (("brick_masses", "Bricks, as recorded"), ("brick_sizes", "Sizes of bricks, as recorded"))
    return [
        f"{words}: “{text}”. Type the figures below."
        for part in record.of(PartKind.COUNTERWEIGHTS)
        for key, words in asked
        if (text := record.attribute(part, key))
    ]


def _worked_out(record: SetRecord) -> tuple[tuple[str, str], ...]:
    words = bare_batten_words(record)
    return (("Bare batten, as recorded", words),) if words else ()


def bare_batten_words(record: SetRecord) -> str:
    """How the recorded pipe weight balances the bare batten, in words; '' where a part of it is not recorded."""
    found = _bare(record)
    if found is None:
        return ""
    held, arbor_kg = found
    units = record.house.units
    over = held.out_of_balance(arbor_kg)
    pipe = f"{f'{held.ratio} × ' if held.ratio > 1 else ''}{mass_words(held.batten_kg, units)}"
    sides = f"{mass_words(arbor_kg, units)} of arbor and pipe weight against {pipe} of pipe"
    lean = f"{leaning_words(over, units)}, lift lines not counted"
    if over:
        lock = record.first(PartKind.ROPE_LOCK, "imbalance_kg")
        lean += f"; {against_lock(held.at_hand_line(over), lock).words}"
    return f"{lean} ({sides})"


def _bare(record: SetRecord) -> tuple[Balance, Fraction] | None:
    own = record.first(PartKind.BATTEN, "own_mass_kg")
    arbor = record.first(PartKind.ARBOR, "own_mass_kg")
    bricks = record.first(PartKind.COUNTERWEIGHTS, "pipe_weight_kg")
    if own is None or arbor is None or bricks is None or record.line_set.kind not in COUNTERWEIGHT_KINDS:
        return None
    try:
        return balance(record.line_set.kind, own, Fraction(0)), arbor + bricks
    except BadValue:
        return None
