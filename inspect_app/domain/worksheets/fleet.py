"""Fleet angle from the geometry of two blocks, or of a drum and its first block, as an angle and as a ratio."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from inspect_app.domain.errors import BadValue
from inspect_app.domain.fleet import Fleet, Place, fleet_angle, fleet_verdicts
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.words import (
    EVERYWHERE,
    criterion_of,
    length_words,
    limits_shown,
    notes_of,
    outcomes_of,
    rounded,
    switched_off,
)

BETWEEN, SMOOTH, GROOVED = "block", "drum_smooth", "drum_grooved"
_AT = ((BETWEEN, "between two blocks"), (SMOOTH, "at a smooth drum"), (GROOVED, "at a grooved drum"))
_FACE = {SMOOTH: "smooth", GROOVED: "grooved"}
_INPUTS = (
    Input(
        "offset", "Offset", Ask.LENGTH, zero=True,
        hint="How far the line runs to the side, groove to groove; at a drum from the end of its lay.",
    ),
    Input(
        "distance", "Distance", Ask.LENGTH, bare=("ft", "m"), hint="From block to block, along the plane of the sheave."
    ),
    Input("fleet_at", "Where", Ask.CHOICE, default=BETWEEN, choices=_AT),
)  # fmt: skip


def _fleet(values: Mapping[str, Any], reference: Reference) -> Answer:
    offset, distance, units = values["offset"], values["distance"], reference.units
    if offset > distance:
        raise BadValue("The offset is more than the distance: that is no fleet angle. Check which is which.", "offset")
    fleet = _angle(offset, distance)
    at = values["fleet_at"]
    criterion = criterion_of(reference, "fleet-angle" if at == BETWEEN else "fleet-angle-drum")
    limits = limits_shown(criterion, {} if at == BETWEEN else {"drum_face": _FACE[at]}, EVERYWHERE)
    outcomes: tuple[Outcome, ...] = (
        Outcome("Fleet angle", f"{rounded(fleet.degrees)}°", words=_one_in(offset, distance)),
        *outcomes_of(criterion, fleet_verdicts(fleet, limits, as_typed=True), limits, "deg"),
    )
    formula = f"atan({length_words(offset, units)} / {length_words(distance, units)})"
    return Answer(
        outcomes,
        (
            Step("fleet angle = arc tangent of offset / distance", formula, f"{rounded(fleet.degrees)}°"),
            Step("ratio = offset / distance", "", f"{rounded(fleet.ratio)} ({_one_in(offset, distance)})"),
        ),
        assumptions=("Both grooves lie in planes that are parallel; the line is taut.", *notes_of(criterion)),
        cautions=("A line that climbs a flange shows it: look for bright edges and worn flanges.",
                  *switched_off((criterion,))),
    )  # fmt: skip


def _angle(offset: Fraction, distance: Fraction) -> Fleet:
    try:
        return fleet_angle(Place(0, 0, 0), Place(distance, offset, 0))
    except BadValue:
        raise BadValue("Two blocks of a house are not that far apart, or that close. Check figure and unit.",
                       "distance") from None  # fmt: skip


def _one_in(offset: Fraction, distance: Fraction) -> str:
    return f"1 in {rounded(distance / offset)}" if offset else "no offset"


SHEETS = (
    Worksheet(
        "fleet-angle",
        "Fleet angle",
        "Does this line run into its groove straight enough?",
        _INPUTS,
        _fleet,
        ("fleet angle = arc tangent of (offset / distance)",),
    ),
)
