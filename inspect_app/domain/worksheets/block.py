"""Blocks: tread diameter over rope diameter, and the radius of a worn groove."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from inspect_app.domain.errors import BadValue
from inspect_app.domain.fleet import tread_ratio
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.rope import CONSTRUCTION, NOMINAL
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

_INPUTS = (
    NOMINAL,
    CONSTRUCTION,
    Input("tread", "Tread diameter", Ask.LENGTH, required=False, hint="Across the bottom of the groove."),
    Input("groove", "Radius of the groove", Ask.LENGTH, required=False, hint="By groove gauge or radius gauge."),
    Input("resolution", "Smallest step of the gauge", Ask.LENGTH, required=False),
)


def _block(values: Mapping[str, Any], reference: Reference) -> Answer:
    if not {"tread", "groove"} & set(values):
        raise BadValue("Give the tread diameter, the radius of the groove, or both.", "tread")
    units, rope = reference.units, values["rope_diameter_mm"]
    attributes = attributes_of(values, "rope_diameter_mm", "rope_construction")
    outcomes: tuple[Outcome, ...] = ()
    steps, used = [], []
    if "tread" in values:
        ratio = _ratio(values["tread"], rope)
        criterion = criterion_of(reference, "tread-ratio")
        used.append(criterion)
        formula = f"{length_words(values['tread'], units)} / {length_words(rope, units)}"
        steps.append(Step("D/d = tread diameter / nominal rope diameter", formula, rounded(ratio)))
        outcomes += (Outcome("Tread diameter over rope diameter, D/d", rounded(ratio)),)
        outcomes += verdict_outcomes(criterion, ratio, "none", None, limits_shown(criterion, attributes, EVERYWHERE))
    if "groove" in values:
        criterion = criterion_of(reference, "groove-radius")
        used.append(criterion)
        formula = f"{length_words(values['groove'], units)} / {length_words(rope, units)}"
        steps.append(Step("groove radius / rope diameter", formula, rounded(values["groove"] / rope)))
        limits = limits_shown(criterion, attributes, EVERYWHERE)
        shown = "in" if units == "imperial" else "mm"
        outcomes += verdict_outcomes(
            criterion, values["groove"], "mm", values.get("resolution"), limits, shown_unit=shown
        )
    return Answer(
        outcomes,
        tuple(steps),
        assumptions=notes_of(*used),
        cautions=("A small block wears the rope out sooner; no figure here is a load.", *switched_off(used)),
    )


def _ratio(tread: Fraction, rope: Fraction) -> Fraction:
    try:
        return tread_ratio(tread, rope)
    except BadValue as error:
        raise BadValue(error.message, "tread") from None


SHEETS = (
    Worksheet(
        "block-ratio",
        "Block and groove",
        "Is the block large enough for this rope, and is its groove worn too narrow?",
        _INPUTS,
        _block,
        ("D/d = tread diameter / nominal rope diameter", "worn groove: radius compared with the least radius"),
    ),
)
