"""Design factor of one line: the catalogue strength of a new rope, less line end and bend, over the tension."""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Any

from inspect_app.domain.batten_load import Factor, Hung, Piece, batten_load
from inspect_app.domain.beam_model import Beam
from inspect_app.domain.errors import BadValue
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.batten_answer import FACTOR_CAUTION, asked_factor, factor_outcomes, floored_factor
from inspect_app.domain.worksheets.batten_load import INPUTS, OfSet, factors_for
from inspect_app.domain.worksheets.words import force_words, rounded

_ASKED_AGAIN = {one.key: replace(one, group="") for one in INPUTS}
_NEEDED = ("rope_diameter_mm", "rope_construction", "grade", "termination")
_INPUTS = (
    Input(
        "tension", "Most tension in the line", Ask.FORCE,
        hint="Its share of pipe and load and its own weight; what starting and stopping add is for you to put in.",
    ),
    *(replace(_ASKED_AGAIN[key], required=True, hint="") for key in _NEEDED[:2]),
    _ASKED_AGAIN["rope_core"],
    *(replace(_ASKED_AGAIN[key], required=True) for key in _NEEDED[2:]),
    replace(_ASKED_AGAIN["tread"], hint="Left empty: a line that turns on no block."),
    _ASKED_AGAIN["combine"],
)  # fmt: skip


def _run(values: Mapping[str, Any], reference: Reference) -> Answer:
    units, tension = reference.units, values["tension"]
    try:
        one_line = Hung(Beam((0.0,), -1.0, 1.0, 1.0), (Piece("tension", float(tension), 0.0),), ("the line",))
    except BadValue as error:
        raise BadValue(error.message, "tension") from None
    # the bend counts where a tread is given: a wrap of any size says that there is a block
    turned = {"wrap": Fraction(90)} if "tread" in values else {}
    factors, notes = factors_for({**values, **turned}, reference, OfSet(), batten_load(one_line), {})
    outcomes = factor_outcomes(factors, of_batten=False)
    if not factors:
        outcomes, notes = [Outcome("Least design factor", "", words=notes[0], tone="withheld")], notes[1:]
    asked = [asked_factor(one) for use in ("lift line", "wire rope") for one in reference.figures.design_factors(use)]
    return Answer(
        (*outcomes, *(asked if factors else ())),
        tuple(_step(factor, tension, units) for factor, _ in factors if factor.value is not None),
        assumptions=("The tension is as given; it is not worked out here. The line hangs still.", *notes),
        cautions=(FACTOR_CAUTION,),
    )


def _step(factor: Factor, tension: Fraction, units: str) -> Step:
    shares = "".join(f" × {rounded(share.share)}" for share in factor.shares)
    formula = f"{force_words(factor.strength.newtons, units)}{shares} / {force_words(tension, units)}"
    return Step("factor = breaking strength × shares / tension", formula, floored_factor(factor.value or 0.0))


SHEET = Worksheet(
    "design-factor",
    "Design factor of a line",
    "How many times its tension does a new rope of this kind hold by its catalogue, less line end and bend?",
    _INPUTS,
    _run,
    ("factor = breaking strength × share left by the line end × share left by the bend / tension",),
)
