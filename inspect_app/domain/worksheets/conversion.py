"""Lengths, masses and forces in the other units, exactly."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from inspect_app.domain.errors import BadValue
from inspect_app.domain.length import format_feet_inches, parse_length
from inspect_app.domain.units import UNITS, convert, factor_text, with_sign
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.words import source_words

# (input, what it is, base unit, the units it is given in with their names)
_SETS = (
    ("length", "Length", "mm", (("in", "inches"), ("ft", "feet"), ("mm", "millimetres"), ("m", "metres"))),
    ("mass", "Mass", "kg", (("lb", "pounds"), ("kg", "kilograms"))),
    ("force", "Force", "N", (("lbf", "pounds-force"), ("N", "newtons"), ("kN", "kilonewtons"))),
)


def _convert(values: Mapping[str, Any], reference: Reference) -> Answer:
    given = [row for row in _SETS if row[0] in values]
    if not given:
        raise BadValue("Give a length, a mass or a force.", "length")
    outcomes: list[Outcome] = []
    steps: list[Step] = []
    for key, label, base, units in given:
        value: Fraction = values[key]
        for unit, name in units:
            out = with_sign(convert(value, base, unit), unit)
            outcomes.append(Outcome(f"{label} in {name}", out))
            if unit != base:
                factor, sign = factor_text(unit), UNITS[base].sign
                steps.append(
                    Step(f"1 {UNITS[unit].sign} = {factor} {sign}", f"{with_sign(value, base)} / {factor}", out)
                )
        if key == "length":
            near = format_feet_inches(value)
            exact = "" if parse_length(near) == value else "about "
            outcomes.append(Outcome("Length to the nearest 1/16 in", exact + near))
    return Answer(
        tuple(outcomes),
        tuple(steps),
        citations=(source_words(reference, "nist-sp811", "Appendix B"),),
        assumptions=("A mass given as a force is its weight under standard gravity, 9.80665 m/s².",),
        cautions=("“About” marks a figure that does not end and is rounded.",),
    )


SHEETS = (
    Worksheet(
        "units",
        "Units",
        "What is this length, mass or force in the other units?",
        (
            Input("length", "Length", Ask.LENGTH, required=False, zero=True, hint="12'-6 1/2\", 150.5 in, 3.81 m."),
            Input("mass", "Mass", Ask.MASS, required=False, zero=True, hint="1200 lb or 545 kg."),
            Input("force", "Force", Ask.FORCE, required=False, zero=True, hint="250 lbf, 1.1 kN."),
        ),
        _convert,
        ("1 in = 25.4 mm, 1 lb = 0.45359237 kg, 1 lbf = 4.4482216152605 N, all exact by definition",),
    ),
)
