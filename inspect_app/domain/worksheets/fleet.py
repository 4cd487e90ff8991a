"""Fleet angle from the geometry of two blocks, or of a drum and its first block, as an angle and as a ratio."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from inspect_app.domain.errors import BadValue
from inspect_app.domain.fleet import Place, fleet_angle
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

_AT = (("block", "between two blocks"), ("drum_smooth", "at a smooth drum"), ("drum_grooved", "at a grooved drum"))
_INPUTS = (
    Input("offset", "Offset", Ask.LENGTH, zero=True, hint="How far the line runs to the side, groove to groove."),
    Input(
        "distance", "Distance", Ask.LENGTH, bare=("ft", "m"), hint="From block to block, along the plane of the sheave."
    ),
    Input("fleet_at", "Where", Ask.CHOICE, default="block", choices=_AT),
)


def _fleet(values: Mapping[str, Any], reference: Reference) -> Answer:
    offset, distance, units = values["offset"], values["distance"], reference.units
    if offset > distance:
        raise BadValue("The offset is more than the distance: that is no fleet angle. Check which is which.", "offset")
    ratio = offset / distance
    degrees = Fraction(fleet_angle(Place(0, 0, 0), Place(distance, offset, 0)).degrees)
    criterion = criterion_of(reference, "fleet-angle")
    limits = limits_shown(criterion, attributes_of(values, "fleet_at"), EVERYWHERE)
    by_angle = [limit for limit in limits if limit.unit == "deg"]
    by_ratio = [limit for limit in limits if limit.unit == "none"]
    outcomes: tuple[Outcome, ...] = (Outcome("Fleet angle", f"{rounded(degrees)}°", words=_one_in(offset, distance)),)
    if by_angle:
        outcomes += verdict_outcomes(criterion, degrees, "deg", None, by_angle)
    if by_ratio:
        outcomes += verdict_outcomes(criterion, ratio, "none", None, by_ratio, lead=not by_angle)
    formula = f"atan({length_words(offset, units)} / {length_words(distance, units)})"
    return Answer(
        outcomes,
        (
            Step("fleet angle = arc tangent of offset / distance", formula, f"{rounded(degrees)}°"),
            Step("ratio = offset / distance", "", f"{rounded(ratio)} ({_one_in(offset, distance)})"),
        ),
        assumptions=("Both grooves lie in planes that are parallel; the line is taut.", *notes_of(criterion)),
        cautions=("A line that climbs a flange shows it: look for bright edges and worn flanges.",
                  *switched_off((criterion,))),
    )  # fmt: skip


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
