"""Rope: diameter and broken wires against every rule set of the data, side by side."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from inspect_app.domain.errors import BadValue
from inspect_app.domain.part_attributes import ROPE_CONSTRUCTION, ROPE_CORE, ROPE_LAY, TERMINATION
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.words import (
    EVERYWHERE,
    attributes_of,
    criterion_of,
    length_words,
    limits_shown,
    notes_of,
    rounded,
    switched_off,
    verdict_outcomes,
)

NOTHING_OF_STRENGTH = (
    "A figure inside a criterion speaks of this measure only. The strength of a worn rope is never estimated from it; "
    "corrosion, kinks, birdcages, heat and a damaged core are judged by eye and by a qualified person."
)
BY_ANALOGY = (
    "Rules marked “by analogy” were written for cranes, mines or aircraft, not for lift lines. None is chosen for you; "
    "where they conflict, all are shown."
)

NOMINAL = Input("rope_diameter_mm", "Nominal rope diameter", Ask.LENGTH, hint="As on the rope's paper: 1/4 in, 6 mm.")
CONSTRUCTION = Input(
    "rope_construction", "Construction", Ask.CHOICE, choices=ROPE_CONSTRUCTION.choices, required=False,
    hint="7x19: seven strands of nineteen wires each, and so on.",
)  # fmt: skip
CORE = Input("rope_core", "Core", Ask.CHOICE, choices=ROPE_CORE.choices, required=False)

_DIAMETER_INPUTS = (
    NOMINAL,
    Input("measured", "Measured diameter", Ask.LENGTH, hint="Across the highest points, the rope under some load."),
    Input("resolution", "Smallest step of the gauge", Ask.LENGTH, required=False, hint="Such as 0.001 in or 0.02 mm."),
    Input(
        "rope_baseline_mm", "First measured diameter of this rope", Ask.LENGTH, required=False,
        hint="Measured when it was new and had been loaded; some rules turn on it.",
    ),
    CORE,
)  # fmt: skip


def _rope_diameter(values: Mapping[str, Any], reference: Reference) -> Answer:
    units, measured, nominal = reference.units, values["measured"], values["rope_diameter_mm"]
    if measured > 2 * nominal:
        raise BadValue("This is more than twice the nominal diameter. Check both and their units.", "measured")
    criterion = criterion_of(reference, "rope-diameter")
    attributes = attributes_of(values, "rope_diameter_mm", "rope_baseline_mm", "rope_core")
    limits = limits_shown(criterion, attributes, EVERYWHERE)
    shown = "in" if units == "imperial" else "mm"
    outcomes = verdict_outcomes(criterion, measured, "mm", values.get("resolution"), limits, shown_unit=shown)
    steps = [_share_step("nominal", measured, nominal, units)]
    if "rope_baseline_mm" in values:
        steps.append(_share_step("first measured", measured, values["rope_baseline_mm"], units))
    assumed = [] if "resolution" in values else ["No step of the gauge given: the figure is compared exactly."]
    return Answer(
        outcomes,
        tuple(steps),
        assumptions=(*assumed, *notes_of(criterion)),
        cautions=(BY_ANALOGY, NOTHING_OF_STRENGTH, *switched_off((criterion,))),
    )


def _share_step(of_what: str, measured: Fraction, whole: Fraction, units: str) -> Step:
    share = 100 * measured / whole
    return Step(
        f"share = measured diameter / {of_what} diameter",
        f"{length_words(measured, units)} / {length_words(whole, units)}",
        f"{rounded(share)} % ({rounded(abs(100 - share), 3)} % {'below' if share <= 100 else 'above'})",
    )


_WIRE_INPUTS = (
    Input("lay", "Broken wires in the length counted", Ask.COUNT, required=False, zero=True),
    Input(
        "count_window", "Counted over", Ask.CHOICE, default="one_lay", required=False,
        choices=(
            ("one_lay", "one rope lay"), ("six_diameters", "six rope diameters"),
            ("eight_diameters", "eight rope diameters"), ("thirty_diameters", "thirty rope diameters"),
        ),
    ),
    Input("strand", "Most broken wires in one strand of one lay", Ask.COUNT, required=False, zero=True),
    Input("end", "Broken wires at the line end", Ask.COUNT, required=False, zero=True),
    CONSTRUCTION,
    Input("rope_lay", "Lay", Ask.CHOICE, choices=ROPE_LAY.choices, required=False),
    Input(
        "rope_duty", "Duty", Ask.CHOICE, default="running", required=False,
        choices=(("running", "running over blocks"), ("standing", "standing, does not move")),
    ),
    Input(
        "rotation_resistant", "Rotation-resistant rope", Ask.CHOICE, choices=(("no", "no"), ("yes", "yes")),
        required=False,
    ),
    Input(
        "critical_fatigue_area", "Where the rope bends or close to a swaged fitting", Ask.CHOICE,
        choices=(("yes", "yes"), ("no", "no, elsewhere")), required=False,
    ),
    Input("termination", "Kind of line end", Ask.CHOICE, choices=TERMINATION.choices, required=False),
)  # fmt: skip
_COUNTS = (
    ("lay", "rope-broken-wires-lay"),
    ("strand", "rope-broken-wires-strand"),
    ("end", "rope-broken-wires-end"),
)


def _broken_wires(values: Mapping[str, Any], reference: Reference) -> Answer:
    if not any(key in values for key, _ in _COUNTS):
        raise BadValue("Give at least one count: in the length, in one strand, or at the line end.", "lay")
    attributes = attributes_of(
        values, "count_window", "rope_construction", "rope_lay", "rope_duty", "rotation_resistant",
        "critical_fatigue_area", "termination",
    )  # fmt: skip
    outcomes: tuple[Outcome, ...] = ()
    used = []
    for key, name in _COUNTS:
        if key in values:
            criterion = criterion_of(reference, name)
            used.append(criterion)
            limits = limits_shown(criterion, attributes, EVERYWHERE)
            outcomes += verdict_outcomes(criterion, values[key], "count", None, limits)
    return Answer(
        outcomes,
        (Step("count of broken wires compared with each rule as it is written (“more than” or “or more”)"),),
        assumptions=(*notes_of(*used), "A rule that needs something not given here says so and judges nothing."),
        cautions=(BY_ANALOGY, NOTHING_OF_STRENGTH, *switched_off(used)),
    )


SHEETS = (
    Worksheet(
        "rope-diameter",
        "Rope diameter",
        "Has this wire rope lost more of its diameter than published rules allow?",
        _DIAMETER_INPUTS,
        _rope_diameter,
        ("outside when the measured diameter is below the limit that each document sets on the nominal or first size",),
    ),
    Worksheet(
        "broken-wires",
        "Broken wires",
        "At how many broken wires do published rules take a rope out of use?",
        _WIRE_INPUTS,
        _broken_wires,
        ("outside when the count passes the limit, over the length and in the place that each document names",),
    ),
)
