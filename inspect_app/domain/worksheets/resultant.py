"""The pull of a line on a block that turns it."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from inspect_app.domain.resultant import MEASURED_WORDS, Measured, Resultant, resultant
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.words import force_words, rounded


def _pull(values: Mapping[str, Any], reference: Reference) -> Answer:
    measured, units = Measured(values["measured"]), reference.units
    found = resultant(float(values["tension"]), float(values["degrees"]), measured)
    tension, angle = force_words(found.tension_n, units), rounded(found.degrees)
    function = "sin" if measured is Measured.WRAP else "cos"
    sign = f"R = 2 T {function}({MEASURED_WORDS[measured]} / 2)"
    return Answer(
        (
            Outcome("Pull on the block", force_words(found.pull_n, units), words=f"{rounded(found.factor)} × tension"),
            Outcome(
                "Which way it pulls",
                f"{rounded(found.included_degrees / 2)}° from each leg",
                words="midway between the two legs, towards the side on which the line leaves",
            ),
            Outcome(
                "Down on the steel, where one leg hangs plumb",
                force_words(found.plumb_n, units),
                words="its part along that leg; up instead where that leg goes up",
            ),
            Outcome(
                "Level pull on the steel, where one leg hangs plumb",
                force_words(found.level_n, units),
                words=_level_words(found),
            ),
        ),
        (
            Step(
                "the angle that was not measured = 180° − the one that was",
                f"180° − {angle}°",
                f"{rounded(180 - found.degrees)}°",
            ),
            Step(sign, f"2 × {tension} × {function}({angle}° / 2)", force_words(found.pull_n, units)),
        ),
        assumptions=(
            "Both legs pull alike: friction in the block is left out, and the line hangs still.",
            "Wrap and included angle add up to 180° and agree only at 90°: say which was measured.",
            "Geometry of two equal forces; no document is needed for it.",
        ),
        cautions=(
            "The block, its fixings and the steel it sits on carry this besides their own weight; each line on the "
            "block adds its own. An engineer says what the steel may carry.",
        ),
    )


def _level_words(found: Resultant) -> str:
    if not found.level_n:
        return "both legs hang alike: nothing pulls to the side"
    return "its part square to that leg, towards the other leg"


SHEETS = (
    Worksheet(
        "block-pull",
        "Pull on a block",
        "What does a turned line pull on its block, and which way?",
        (
            Input("tension", "Tension in the line", Ask.FORCE),
            Input(
                "degrees",
                "Angle",
                Ask.ANGLE,
                zero=True,
                bare=("", ""),
                most=Fraction(180),
                hint="In degrees. Level onto the block and plumb down is 90; up and down again is a wrap of 180.",
            ),
            Input(
                "measured",
                "Which angle is that?",
                Ask.CHOICE,
                hint="Wrap: the arc over which the line lies on the sheave. A line that runs straight past has none.",
                choices=(
                    ("wrap", "wrap round the block"),
                    ("included", "between the two legs"),
                ),
            ),
        ),
        _pull,
        ("R = 2 T sin(wrap / 2) = 2 T cos(included / 2)",),
    ),
)
