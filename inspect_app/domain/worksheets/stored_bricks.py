"""The bricks stored on the loading bridge, counted and weighed, against its load plate."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from inspect_app.domain.balance import against_posted
from inspect_app.domain.brick_stack import MOST_BRICK_KG
from inspect_app.domain.errors import BadValue
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.words import mass_words

_MOST_STORED = Fraction(5000)  # of one size; more means that a digit was mistaken
_SIZES = (("brick", "whole brick"), ("half", "half brick"), ("third", "brick of a third size"))


def _run(values: Mapping[str, Any], reference: Reference) -> Answer:
    units = reference.units
    total, formula = Fraction(0), []
    for key, words in _SIZES:
        count, mass = values.get(f"{key}_count"), values.get(key)
        if (count is None) != (mass is None):
            missing = key if mass is None else f"{key}_count"
            raise BadValue(f"Give the number and the mass of a {words}, or neither.", missing)
        if count is not None and mass is not None:
            total += count * mass
            formula.append(f"{count} × {mass_words(mass, units)}")
    if not formula:
        raise BadValue("Give the number and the mass of at least one size of brick.", "brick_count")
    posted = against_posted("loading bridge", total, values.get("capacity_kg"))
    return Answer(
        (
            Outcome("Stored on the bridge", mass_words(total, units)),
            Outcome(
                "Against the load plate",
                mass_words(posted.capacity_kg, units) if posted.capacity_kg is not None else "not known",
                words=posted.words,
                citation="the load plate of the bridge, as given" if posted.capacity_kg is not None else "",
                tone=posted.result.value,
            ),
        ),
        (Step("stored = number × mass of one, for each size", " + ".join(formula), mass_words(total, units)),),
        assumptions=(
            "People, spreader plates, collars and tools on the bridge are not counted.",
            "Bricks of one size weigh alike: weigh several of each.",
        ),
        cautions=(
            "A plate that gives a load for each bay or length is set against what is stored in that bay or length.",
            "Bricks that are spread along the bridge and bricks heaped in one place load it differently.",
        ),
    )


_INPUTS = (
    *(
        one
        for key, number, mass in (
            ("brick", "Number of whole bricks", "One whole brick"),
            ("half", "Number of half bricks", "One half brick"),
            ("third", "Number of a third size", "One brick of the third size"),
        )
        for one in (
            Input(f"{key}_count", number, Ask.COUNT, required=False, zero=True, most=_MOST_STORED),
            Input(key, mass, Ask.MASS, required=False, most=MOST_BRICK_KG, hint="Weighed, not believed."),
        )
    ),
    Input("capacity_kg", "Load posted on the bridge", Ask.MASS, required=False, hint="From its plate."),
)
SHEETS = (
    Worksheet(
        "stored-bricks",
        "Bricks stored on the loading bridge",
        "What do the stored bricks weigh together, and what does the bridge's own plate say?",
        _INPUTS,
        _run,
        ("stored = number × mass of one brick, for each size",),
    ),
)
