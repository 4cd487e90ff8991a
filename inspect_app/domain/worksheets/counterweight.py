"""Counterweight for a batten load: the bricks next to it, their stack, and how far out of balance they leave it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from inspect_app.domain.balance import (
    MOST_KG,
    MOST_MM,
    TRIMS,
    Balance,
    LiftLines,
    against_lock,
    against_posted,
    balance,
)
from inspect_app.domain.brick_stack import MOST_BRICK_KG, MOST_BRICK_MM, Stack
from inspect_app.domain.errors import BadValue
from inspect_app.domain.figures import Figure
from inspect_app.domain.house import LineSetKind
from inspect_app.domain.judge import Result
from inspect_app.domain.line_set import MOST_LINES
from inspect_app.domain.part_attributes import ROPE_CONSTRUCTION
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.arbor_stack import SIZES, plates_notes, stacks_for
from inspect_app.domain.worksheets.balance import KIND, LOCK, LOCK_PLATE, ROPE_MASS, TIED, leaning_words
from inspect_app.domain.worksheets.batten_load import OTHER, PIPES
from inspect_app.domain.worksheets.words import length_words, line_mass_words, mass_words, source_words

_LONG = ("ft", "m")
_AGAINST = "Against the capacity posted"
BATTEN, ARBOR, ROPES, POSTED = "Batten side", "Arbor and bricks", "Lift lines over the travel", "Posted figures"
INPUTS = (
    replace(KIND, group=BATTEN),
    Input(
        "pipe", "Pipe weight with what stays on it", Ask.MASS, required=False, group=BATTEN, most=MOST_KG,
        hint="Weighed: pipe, clamps, chains, turnbuckles, cable. Empty: the pipe alone, by its table.",
    ),
    Input(
        "section", "Pipe, if it was never weighed", Ask.CHOICE, required=False, group=BATTEN,
        choices=tuple(pair for pair in PIPES if pair[0] != OTHER),
    ),
    Input("length", "Length of the pipe", Ask.LENGTH, required=False, bare=_LONG, group=BATTEN),
    Input("load", "Load hung on it", Ask.MASS, required=False, zero=True, hint="Weighed.", group=BATTEN, most=MOST_KG),
    Input(
        "arbor", "The arbor itself", Ask.MASS, required=False, group=ARBOR,
        hint="Weighed without bricks; with rods, spreader plates and collars.",
    ),
    *(
        one
        for key, mass, thickness in (
            ("brick", "One whole brick", "Thickness of a whole brick"),
            ("half", "One half brick", "Thickness of a half brick"),
            ("third", "One brick of a third size", "Thickness of the third size"),
        )
        for one in (
            Input(
                key, mass, Ask.MASS, required=False, group=ARBOR, most=MOST_BRICK_KG, hint="Weighed, not believed."
            ),
            Input(f"{key}_mm", thickness, Ask.LENGTH, required=False, group=ARBOR, most=MOST_BRICK_MM),
        )
    ),
    Input(
        "free", "Length between the arbor's plates", Ask.LENGTH, required=False, bare=_LONG, group=ARBOR, most=MOST_MM,
    ),
    Input(
        "collar", "Height of a collar on its rod", Ask.LENGTH, required=False, group=ARBOR, most=MOST_BRICK_MM,
        hint="Or of the lock bar that goes on top of the stack.",
    ),
    Input(
        "spacing", "Distance between spreader plates", Ask.LENGTH, required=False, group=ARBOR, most=MOST_MM,
        hint="By the arbor's maker or the house's rule. Trade practice is shown beside it.",
    ),
    Input("plate_mm", "Thickness of a spreader plate", Ask.LENGTH, required=False, group=ARBOR, most=MOST_BRICK_MM),
    Input(
        "lines", "Lift lines", Ask.COUNT, required=False, group=ROPES, most=Fraction(MOST_LINES),
        hint="Their weight counts only when lines, mass, travel and both lengths are given.",
    ),
    replace(ROPE_MASS, group=ROPES),
    Input(
        "rope_diameter_mm", "Nominal rope diameter", Ask.LENGTH, required=False, group=ROPES,
        hint="With the construction: for its mass by a table, where it is not given above.",
    ),
    Input(
        "rope_construction", "Construction", Ask.CHOICE, choices=ROPE_CONSTRUCTION.choices, required=False, group=ROPES,
    ),
    Input("travel", "Travel of the batten", Ask.LENGTH, required=False, bare=_LONG, group=ROPES, most=MOST_MM),
    Input(
        "batten_side", "Loft block to batten at high trim", Ask.LENGTH, required=False, zero=True, bare=_LONG,
        group=ROPES, most=MOST_MM,
    ),
    Input(
        "arbor_side", "Head block to arbor when it is up", Ask.LENGTH, required=False, zero=True, bare=_LONG,
        group=ROPES, most=MOST_MM,
    ),
    Input("capacity", "Capacity posted on the arbor", Ask.MASS, required=False, group=POSTED),
    Input(
        "set_capacity", "Capacity posted for the batten or the set", Ask.MASS, required=False, group=POSTED,
        hint="From its plate or card.",
    ),
    replace(LOCK, group=POSTED),
)  # fmt: skip

_FIELDS = {
    "count": "lines", "kg_per_m": "rope_mass", "travel_mm": "travel", "batten_side_mm": "batten_side",
    "arbor_side_mm": "arbor_side", "pipe_kg": "pipe", "load_kg": "load", "asked_kg": "brick", "plate_mm": "plate_mm",
    "spacing_mm": "spacing", "free_mm": "free", "capacity_kg": "capacity", "lock_kg": "lock", "collar_mm": "collar",
    "stack_mm": "brick",
}  # fmt: skip
_OF_LINES = (
    ("lines", "number of lines"), ("rope_mass", "mass of the rope"), ("travel", "travel"),
    ("batten_side", "length at the batten"), ("arbor_side", "length at the arbor"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Case:
    """One weight on the arbor: what it is called, and the whole of arbor and bricks."""

    words: str
    arbor_kg: Fraction


def _counterweight(values: Mapping[str, Any], reference: Reference) -> Answer:
    try:
        return _worked(values, reference)
    except BadValue as error:
        raise BadValue(error.message, _FIELDS.get(error.field or "", error.field or "")) from None


def _worked(values: Mapping[str, Any], reference: Reference) -> Answer:
    units = reference.units
    pipe_kg, table = _pipe(values, reference)
    lines, of_lines = _lines(values, reference)
    found = balance(LineSetKind(values["kind"]), pipe_kg, values.get("load", Fraction(0)), lines)
    arbor_kg = values.get("arbor", Fraction(0))
    bricks = found.needed_kg - arbor_kg
    outcomes = [Outcome("The loaded arbor must weigh", mass_words(found.needed_kg, units), words="arbor and bricks")]
    cases = [_Case("with exactly that weight", found.needed_kg)] if found.shift_kg else []
    stacks: list[tuple[str, Stack]] = []
    if bricks < 0:
        alone = leaning_words(found.out_of_balance(arbor_kg), units)
        words = f"the arbor alone leaves the set {alone} at mid-travel: no brick balances that, only more on the batten"
        outcomes.append(Outcome("In bricks", "none", words=words))
        cases = [_Case("with the arbor alone", arbor_kg)]
    elif "arbor" in values:
        outcomes.append(Outcome("In bricks", mass_words(bricks, units), words="less the arbor itself"))
        stacks, stacked = stacks_for(bricks, found, values, reference)
        outcomes += stacked
        cases = [_Case(words, arbor_kg + stack.kg) for words, stack in stacks] or cases
    outcomes.append(_order(reference))
    outcomes += of_lines
    outcomes += [_out_of_balance(found, case, values.get("lock"), units) for case in cases]
    outcomes += _posted(found, [found.needed_kg, *(case.arbor_kg for case in cases)], values, units)
    outcomes.sort(key=lambda one: one.label.startswith(_AGAINST) and one.tone == "outside", reverse=True)
    return Answer(
        tuple(outcomes), _steps(found, values, bricks, table, units), (),
        (*found.assumptions, *_notes(values, table, units), *plates_notes(stacks, reference)),
        ("A rope lock is for a balanced set and is no brake.", "Weigh pipe, load and bricks; do not believe them."),
        (table.citation,) if table is not None else (),
    )  # fmt: skip


def _pipe(values: Mapping[str, Any], reference: Reference) -> tuple[Fraction, Figure | None]:
    """What the pipe weighs, as given or else alone by its table, and the table's figure where it can be looked up."""
    table = None
    if {"section", "length"} <= set(values) and reference.figures is not None:
        pipes = reference.figures.pipes(values["section"])
        table = next((figure for pipe in pipes for figure in pipe.mass_per_length), None)
        if table is None:
            raise BadValue("The data do not have the weight of this pipe. Weigh it.", "section")
    by_table = table.in_unit("kg_per_m") * values["length"] / 1000 if table is not None else None
    if "pipe" in values:
        if by_table is not None and values["pipe"] < by_table:
            raise BadValue(
                f"That is less than the pipe alone weighs by its table, {mass_words(by_table, reference.units)}. Check "
                "the weight, the pipe and its length.",
                "pipe",
            )
        return values["pipe"], table
    if by_table is None:
        missing = "section" if "section" not in values else "length"
        field = "pipe" if not {"section", "length"} & set(values) else missing
        raise BadValue("Give what the pipe weighs with what stays on it, or its size and its length.", field)
    return by_table, table


def _lines(values: Mapping[str, Any], reference: Reference) -> tuple[LiftLines | None, list[Outcome]]:
    """The lift lines when all of them is known, and what is to be said of their weight."""
    given = dict(values)
    figure = None
    if "rope_mass" not in given and {"rope_diameter_mm", "rope_construction"} <= set(given) and reference.figures:
        masses = reference.figures.rope_mass(given["rope_construction"], given["rope_diameter_mm"])
        figure = max(masses, key=lambda one: one.in_unit("kg_per_m"), default=None)
        if figure is not None:
            given["rope_mass"] = figure.in_unit("kg_per_m")
    missing = [words for key, words in _OF_LINES if key not in given]
    if missing:
        words = f"not given: {', '.join(missing)}"
        return None, [Outcome("Weight of the lift lines", "not counted", words=words, tone="not_judged")]
    lines = LiftLines(*(given[key] for key, _ in _OF_LINES))
    if figure is None:
        return lines, []
    words = f"{figure.title}; the heaviest that fits"
    mass = line_mass_words(lines.kg_per_m, reference.units)
    return lines, [Outcome("Mass of the rope by a table", mass, words=words, citation=figure.citation)]


def _order(reference: Reference) -> Outcome:
    return Outcome(
        "Order of work",
        "",
        words="Load the batten first, then the arbor. Unload the arbor first, then the batten. While the two differ "
        "the batten stays at the deck and the arbor at the loading bridge.",
        citation=source_words(reference, "counterweight-practice", "order of loading"),
    )


def _out_of_balance(found: Balance, case: _Case, lock_kg: Fraction | None, units: str) -> Outcome:
    """The worst of the travel as the hand line feels it, against the lock's plate, with what hangs where."""
    where, worst_kg = found.worst(case.arbor_kg)
    felt = found.at_hand_line(worst_kg)
    judged = against_lock(felt, lock_kg)
    at_batten = "at the batten " if found.ratio > 1 else ""
    if found.shift_kg:
        trims = (
            f"{words} {leaning_words(found.out_of_balance(case.arbor_kg, share), units)}" for words, share in TRIMS
        )
        said = f"worst at {where}; {at_batten}{', '.join(trims)}"
    else:
        said = f"{at_batten}{leaning_words(worst_kg, units)}, lift lines not counted"
    plate = f", {mass_words(lock_kg, units)}" if lock_kg is not None else ""
    return Outcome(
        f"Out of balance at the hand line, {case.words}",
        leaning_words(felt, units, both=True),
        words=f"{judged.words}; {said}",
        citation=f"{LOCK_PLATE}{plate}" if lock_kg is not None else "",
        tone="outside" if judged.result is Result.OUTSIDE else "plain",
    )


def _posted(found: Balance, arbors_kg: Sequence[Fraction], values: Mapping[str, Any], units: str) -> list[Outcome]:
    heaviest = max(arbors_kg)
    asked = (
        ("capacity", "arbor", heaviest, f"{mass_words(heaviest, units)} of arbor and bricks", "the plate of the arbor"),
        ("set_capacity", "batten or set", found.batten_kg, f"{mass_words(found.batten_kg, units)} of pipe and load",
         "the plate of the batten or the set"),
    )  # fmt: skip
    made = []
    for key, what, kg, of, citation in asked:
        if key in values:
            posted = against_posted(what, kg, values[key])
            label = f"{_AGAINST} for the {what}"
            made.append(
                Outcome(label, mass_words(values[key], units), words=f"{posted.words}; set against {of}",
                        citation=f"{citation}, as given", tone=posted.result.value)
            )  # fmt: skip
    return made


def _steps(
    found: Balance, values: Mapping[str, Any], bricks: Fraction, table: Figure | None, units: str
) -> tuple[Step, ...]:
    steps = []
    if table is not None:
        by_table = table.in_unit("kg_per_m") * values["length"] / 1000
        formula = f"{table.shown} × {length_words(values['length'], units)}"
        steps.append(Step("pipe alone = mass for each length × length", formula, mass_words(by_table, units)))
    middle = found.needed_kg / found.ratio - found.batten_kg
    ropes = f" {'+' if middle > 0 else '−'} {mass_words(abs(middle), units)} of line at mid-travel" if middle else ""
    steps.append(
        Step(
            "loaded arbor = purchase × (pipe + load + lift line at mid-travel)",
            f"{found.ratio} × ({mass_words(found.batten_kg, units)}{ropes})",
            mass_words(found.needed_kg, units),
        )
    )
    if "arbor" in values and bricks >= 0:
        formula = f"{mass_words(found.needed_kg, units)} − {mass_words(values['arbor'], units)}"
        steps.append(Step("bricks = loaded arbor − arbor itself", formula, mass_words(bricks, units)))
    if found.shift_kg:
        times = "1 1/2" if found.ratio > 1 else "2"
        formula = f"{times} × lines × mass for each length × travel"
        steps.append(Step("line that passes over from low to high trim", formula, mass_words(found.shift_kg, units)))
    if found.ratio > 1:
        steps.append(
            Step("at the hand line = 2 × out of balance at the batten: tied to the arbor it moves half as far")
        )
    return tuple(steps)


def _notes(values: Mapping[str, Any], table: Figure | None, units: str) -> list[str]:
    notes = []
    if LineSetKind(values["kind"]) is LineSetKind.DOUBLE:
        notes.append(TIED)
    if "pipe" not in values:
        notes.append("The pipe counts alone, by its table: clamps, chains, turnbuckles and cable hang there as well.")
    elif table is not None:
        by_table = table.in_unit("kg_per_m") * values["length"] / 1000
        notes.append(f"The pipe alone would weigh {mass_words(by_table, units)} by its table; what was given counts.")
    if "arbor" not in values:
        notes.append("The weight of the arbor itself is not given: it is part of what the loaded arbor must weigh.")
        if any(key in values for key, _ in SIZES):
            notes.append("Whole bricks are not worked out: the weight of the arbor itself is missing.")
    elif any(key in values for key, _ in SIZES):
        notes.append(
            "Bricks: as many of the heaviest as go, lighter ones for the rest. A set off by a brick is not balanced: "
            "trim the load."
        )
        if not values.get("plate_mm"):
            notes.append("The thickness of spreader plates is not given and counts as nothing in the stack.")
    return notes


SHEET = Worksheet(
    "counterweight",
    "Counterweight and stack",
    "What must the arbor weigh for this load, which bricks are that, and do they fit on it?",
    INPUTS,
    _counterweight,
    (
        "single purchase: loaded arbor = pipe + load + lift line at mid-travel",
        "double purchase: loaded arbor = 2 × (pipe + load + lift line at mid-travel), half the travel",
    ),
)
