"""Rope: diameter and broken wires against every rule set of the data, side by side."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from inspect_app.domain.criteria import Criterion
from inspect_app.domain.errors import BadValue
from inspect_app.domain.part_attributes import ROPE_CONSTRUCTION, ROPE_CORE, ROPE_LAY, ROPE_WIRES, TERMINATION
from inspect_app.domain.rope import LARGEST_MM, MEAN_WORDS, diameter_loss, mean_diameter
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

ROTATION = Input(
    "rotation_resistant", "Rotation-resistant rope", Ask.CHOICE, choices=(("no", "no"), ("yes", "yes")), required=False
)

_DIAMETER_INPUTS = (
    NOMINAL,
    Input("measured", "Measured diameter", Ask.LENGTH, hint="Across the highest points, the rope under some load."),
    Input(
        "second", "Second reading, at right angles to the first", Ask.LENGTH, required=False,
        hint="The mean of the two is judged.", least=Fraction(1, 2), most=LARGEST_MM,
    ),
    Input("resolution", "Smallest step of the gauge", Ask.LENGTH, required=False, hint="Such as 0.001 in or 0.02 mm."),
    Input(
        "rope_baseline_mm", "First measured diameter of this rope", Ask.LENGTH, required=False,
        hint="Measured after its first stretch under load, before any wear; some rules turn on it.",
    ),
    CONSTRUCTION, CORE, ROTATION,
)  # fmt: skip


def _rope_diameter(values: Mapping[str, Any], reference: Reference) -> Answer:
    units, nominal, first = reference.units, values["rope_diameter_mm"], values.get("rope_baseline_mm")
    measured, apart = mean_diameter(values["measured"], values.get("second", values["measured"]))
    _one_rope(nominal, {"measured": measured, "rope_baseline_mm": first})
    criterion = criterion_of(reference, "rope-diameter")
    attributes = attributes_of(values, "rope_diameter_mm", "rope_baseline_mm", "rope_core", "rope_construction")
    attributes |= attributes_of(values, "rotation_resistant")
    shown = "in" if units == "imperial" else "mm"
    limits = limits_shown(criterion, attributes, EVERYWHERE)
    outcomes = verdict_outcomes(criterion, measured, "mm", values.get("resolution"), limits, shown_unit=shown)
    used = [criterion]
    if first is not None:
        used.append(criterion_of(reference, "rope-diameter-new"))
        new = limits_shown(used[1], attributes, EVERYWHERE)
        outcomes += verdict_outcomes(used[1], first, "mm", None, new, shown_unit=shown)
    assumed = [] if "resolution" in values else ["No step of the gauge given: the figure is compared exactly."]
    return Answer(
        outcomes,
        _diameter_steps(values, measured, apart, units),
        assumptions=(*assumed, *notes_of(*used)),
        cautions=(BY_ANALOGY, NOTHING_OF_STRENGTH, *switched_off(used)),
    )


def _one_rope(nominal: Fraction, others: Mapping[str, Fraction | None]) -> None:
    """Raises BadValue for figures that cannot belong to the same rope: a slip of the unit, which no rule would see."""
    for field, size in others.items():
        if size is not None and not nominal / 2 <= size <= nominal * Fraction(3, 2):
            raise BadValue(
                "This does not belong to a rope of that nominal diameter. Check both and their units.", field
            )


def _diameter_steps(values: Mapping[str, Any], measured: Fraction, apart: Fraction, units: str) -> tuple[Step, ...]:
    loss = diameter_loss(measured, values["rope_diameter_mm"], values.get("rope_baseline_mm"))
    steps = []
    if "second" in values:
        both = f"({length_words(values['measured'], units)} + {length_words(values['second'], units)}) / 2"
        steps.append(Step(MEAN_WORDS, both, f"{length_words(measured, units)}; {length_words(apart, units)} apart"))
    for of_what, key, percent in (
        ("nominal", "rope_diameter_mm", loss.of_nominal_percent),
        ("first measured", "rope_baseline_mm", loss.of_first_percent),
    ):
        if percent is not None:
            steps.append(_share_step(of_what, measured, values[key], percent, units))
    return tuple(steps)


def _share_step(of_what: str, measured: Fraction, whole: Fraction, loss_percent: Fraction, units: str) -> Step:
    side = "above" if loss_percent < 0 else "below"
    return Step(
        f"share = measured diameter / {of_what} diameter",
        f"{length_words(measured, units)} / {length_words(whole, units)}",
        f"{rounded(100 - loss_percent)} % ({rounded(abs(loss_percent), 3)} % {side})",
    )


_COUNTS = (  # input, criterion, label
    ("lay", "rope-broken-wires-lay", "Broken wires in one rope lay"),
    ("strand", "rope-broken-wires-strand", "Most broken wires in one strand of that lay"),
    ("valleys", "rope-broken-wires-valley", "Broken wires in the valleys between strands of that lay"),
    ("six", "rope-broken-wires-6d", "Broken wires in six rope diameters"),
    ("eight", "rope-broken-wires-8d", "Broken wires in eight rope diameters"),
    ("thirty", "rope-broken-wires-30d", "Broken wires in thirty rope diameters"),
    ("bend", "rope-wire-at-bend", "Broken wires where the rope bends over a block, or within 1 ft of a swaged fitting"),
    ("end", "rope-broken-wires-end", "Broken wires at the line end"),
)
_WIRE_INPUTS = (
    *(Input(key, label, Ask.COUNT, required=False, zero=True) for key, _, label in _COUNTS),
    CONSTRUCTION,
    *(
        Input(spec.key, spec.label, Ask.COUNT, required=False, hint=f"{spec.hint[:1].upper()}{spec.hint[1:]}.")
        for spec in ROPE_WIRES if not spec.choices
    ),
    *(
        Input(spec.key, spec.label, Ask.CHOICE, required=False, choices=spec.choices)
        for spec in ROPE_WIRES if spec.choices
    ),
    Input("rope_lay", "Lay", Ask.CHOICE, choices=ROPE_LAY.choices, required=False),
    Input(
        "rope_duty", "Duty", Ask.CHOICE, default="running", required=False,
        choices=(("running", "running over blocks"), ("standing", "standing, does not move")),
    ),
    ROTATION,
    Input("termination", "Kind of line end", Ask.CHOICE, choices=TERMINATION.choices, required=False),
)  # fmt: skip
_NOT_COUNTS = tuple(one.key for one in _WIRE_INPUTS[len(_COUNTS) :])


# A count that is part of another one, and how that one is called.
_PARTS_OF = (
    ("strand", "lay", "the broken wires in the whole lay"),
    ("valleys", "lay", "the broken wires in the whole lay"),
    ("rope_wires_per_strand", "rope_wires_total", "the wires in the rope"),
    ("rope_wires_outer", "rope_wires_total", "the wires in the rope"),
)


def _wires_step(criterion: Criterion, values: Mapping[str, Any]) -> tuple[Step, ...]:
    """The numbers of wires that limits in percent are taken of: as given, else as they follow from the construction."""
    follows = criterion.derived.get("rope_construction", {}).get(values.get("rope_construction", ""), {})
    wires = [
        f"{spec.label[:1].lower()}{spec.label[1:]} {values.get(spec.key, follows.get(spec.key))}"
        for spec in ROPE_WIRES
        if not spec.choices and (spec.key in values or spec.key in follows)
    ]
    return (Step("limits in percent are of these numbers", "", "; ".join(wires)),) if wires else ()


def _broken_wires(values: Mapping[str, Any], reference: Reference) -> Answer:
    if not any(key in values for key, _, _ in _COUNTS):
        raise BadValue("Give at least one count: in a length, in one strand, or at the line end.", "lay")
    for part, whole, words in _PARTS_OF:
        if part in values and whole in values and values[part] > values[whole]:
            raise BadValue(f"That is more than {words}. Check both.", part)
    attributes = attributes_of(values, *_NOT_COUNTS)
    outcomes: tuple[Outcome, ...] = ()
    used = []
    for key, name, _ in _COUNTS:
        if key in values:
            criterion = criterion_of(reference, name)
            used.append(criterion)
            limits = limits_shown(criterion, attributes, EVERYWHERE)
            outcomes += verdict_outcomes(criterion, values[key], "count", None, limits)
    return Answer(
        outcomes,
        (
            *_wires_step(used[0], values),
            Step("count of broken wires compared with each rule as it is written (“more than” or “or more”)"),
        ),
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
