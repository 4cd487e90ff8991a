"""Risk level by severity and probability, used only to order work inside an action grade."""

from collections.abc import Mapping
from typing import Any

from inspect_app.domain.errors import NotFound
from inspect_app.domain.risk import PROBABILITIES, SEVERITIES, risk_level
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.words import source_words, table_of

# As shared/trade.yaml has them, which a test compares: a form is made before the data are read.
_SEVERITY = (
    ("1", "1 Catastrophic: death or permanent total disability"),
    ("2", "2 Critical: permanent partial disability, or injuries that may put three or more people in hospital"),
    ("3", "3 Marginal: injury with one or more lost work days"),
    ("4", "4 Negligible: injury without a lost work day"),
)
_PROBABILITY = (
    ("A", "A Frequent: likely to happen often in the life of the item"),
    ("B", "B Probable: will happen several times in the life of the item"),
    ("C", "C Occasional: likely to happen sometime in the life of the item"),
    ("D", "D Remote: unlikely but possible in the life of the item"),
    ("E", "E Improbable: so unlikely that it may be assumed not to happen"),
    (
        "F",
        "F Eliminated: cannot happen; the hazard is gone. Training, warnings and protective equipment never make it so",
    ),
)


def _risk(values: Mapping[str, Any], reference: Reference) -> Answer:
    if reference.risk is None:
        raise NotFound("The reference data have no risk matrix; the level cannot be read.")
    matrix, severity, probability = reference.risk, values["severity"], values["probability"]
    level = risk_level(matrix, severity, probability)
    names = (matrix.severities[severity], matrix.probabilities[probability])
    rows = ((f"{p} {matrix.probabilities[p]}", *(risk_level(matrix, s, p) for s in SEVERITIES)) for p in PROBABILITIES)
    headings = ("Probability", *(f"{s} {matrix.severities[s]}" for s in SEVERITIES))
    return Answer(
        (
            Outcome(
                "Level",
                level,
                words="orders work inside an action grade; it is no verdict",
                citation=source_words(reference, "mil-std-882e", "Tables I to III"),
            ),
        ),
        (
            Step(
                "row of the probability, column of the severity",
                f"{probability} {names[1]}, {severity} {names[0]}",
                level,
            ),
        ),
        (table_of("MIL-STD-882E, Table III", headings, rows),),
        assumptions=(
            "Tailored: judged by injury alone. The standard's sums of money would make every hazard of a theatre "
            "negligible and are left out, with its harm to the environment and its numerical bands of probability; it "
            "allows tailoring that is approved (4.3.3.d).",
        ),
        cautions=(
            "The level is never multiplied into a score, and never outranks a stop or a grade.",
            "F is for a hazard that can no longer occur. An open deficiency is never F.",
        ),
    )


SHEETS = (
    Worksheet(
        "risk",
        "Risk level",
        "In what order does work inside one action grade come first?",
        (
            Input("severity", "Severity", Ask.CHOICE, choices=_SEVERITY),
            Input("probability", "Probability", Ask.CHOICE, choices=_PROBABILITY),
        ),
        _risk,
        ("level = the cell of Table III at this severity and probability",),
    ),
)
