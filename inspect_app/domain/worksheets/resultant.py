"""The pull of a line on a block that turns it."""

from collections.abc import Mapping
from typing import Any

from inspect_app.domain.resultant import MEASURED_WORDS, Measured, resultant
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
            Outcome("Its part along one leg", force_words(found.plumb_n, units)),
            Outcome("Its part square to that leg", force_words(found.level_n, units)),
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
        cautions=("The block, its fixings and the steel it sits on carry this besides their own weight.",),
    )


SHEETS = (
    Worksheet(
        "block-pull",
        "Pull on a block",
        "What does a turned line pull on its block, and which way?",
        (
            Input("tension", "Tension in the line", Ask.FORCE),
            Input("degrees", "Angle", Ask.ANGLE, zero=True, hint="In degrees.", bare=("", "")),
            Input(
                "measured",
                "Which angle is that?",
                Ask.CHOICE,
                choices=(
                    ("wrap", "wrap: how far the line lies round the block"),
                    ("included", "included: the angle between the two legs"),
                ),
            ),
        ),
        _pull,
        ("R = 2 T sin(wrap / 2) = 2 T cos(included / 2)",),
    ),
)
