"""Terminations: the clips of a line end against the tables of the data."""

from collections.abc import Mapping
from typing import Any

from inspect_app.domain.errors import BadValue
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.rope import NOMINAL
from inspect_app.domain.worksheets.words import (
    EVERYWHERE,
    LAWS,
    attributes_of,
    criterion_of,
    length_words,
    limits_shown,
    notes_of,
    switched_off,
    verdict_outcomes,
)

_INPUTS = (
    NOMINAL,
    Input("clips", "Clips at the line end", Ask.COUNT, zero=True, required=False),
    Input("turnback", "Rope turned back", Ask.LENGTH, required=False, hint="From the thimble to the end of the tail."),
    Input("spacing", "Least distance between clips", Ask.LENGTH, required=False),
    Input("torque", "Torque of the nuts", Ask.TORQUE, required=False, hint="As set with the wrench; dry threads."),
    Input("law", "Rules shown", Ask.CHOICE, default=EVERYWHERE, choices=LAWS, required=False),
)  # fmt: skip
_LENGTHS = (("turnback", "clip-turnback"), ("spacing", "clip-spacing"))
SADDLE = (
    "The saddle sits on the live part of the rope and the U-bolt on the dead end, on every clip; clips are retightened "
    "after the first load. The maker's sheet for the very clip comes first."
)


def _clips(values: Mapping[str, Any], reference: Reference) -> Answer:
    if not any(key in values for key in ("clips", "turnback", "spacing", "torque")):
        raise BadValue("Give at least one: the number of clips, the turnback, the distance or the torque.", "clips")
    law, imperial = values.get("law", EVERYWHERE), reference.units == "imperial"
    attributes = attributes_of(values, "rope_diameter_mm")
    asked: list[tuple[str, Any, str, str]] = []
    if "clips" in values:
        asked.append(("clip-count", values["clips"], "count", "count"))
    asked += [(key, values[name], "mm", "in" if imperial else "mm") for name, key in _LENGTHS if name in values]
    if "torque" in values:
        asked.append(("clip-torque", values["torque"], "Nm", "lbf_ft" if imperial else "Nm"))
    outcomes: tuple[Outcome, ...] = ()
    for key, value, unit, shown in asked:
        criterion = criterion_of(reference, key)
        limits = limits_shown(criterion, attributes, law)
        outcomes += verdict_outcomes(criterion, value, unit, None, limits, shown_unit=shown)
    used = [criterion_of(reference, key) for key, *_ in asked]
    rope = values["rope_diameter_mm"]
    return Answer(
        outcomes,
        (
            Step(
                "clip distance by the rule of six rope diameters = 6 × rope diameter",
                f"6 × {length_words(rope, reference.units)}",
                length_words(6 * rope, reference.units),
            ),
        ),
        assumptions=("New rope, thimble in the eye, forged clips, dry threads.", *notes_of(*used)),
        cautions=(SADDLE, *switched_off(used)),
    )


SHEETS = (
    Worksheet(
        "clips",
        "Clips of a line end",
        "How many clips, how much turnback, how far apart and how tight for this rope?",
        _INPUTS,
        _clips,
        ("count, turnback, distance and torque compared with the row of each table for this rope size",),
    ),
)
