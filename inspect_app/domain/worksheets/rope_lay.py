"""Rope by measuring: the length that broken wires are counted over, and wear of the outer wires."""

from collections.abc import Mapping
from typing import Any

from inspect_app.domain.errors import BadValue
from inspect_app.domain.rope import LAY_DIAMETERS, WINDOW_DIAMETERS, lay_length, outer_wear, window_mm
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.rope import BY_ANALOGY, CONSTRUCTION, NOMINAL, NOTHING_OF_STRENGTH
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

_WINDOW_WORDS = {
    "six_diameters": "Six rope diameters",
    "eight_diameters": "Eight rope diameters",
    "thirty_diameters": "Thirty rope diameters",
}


def _lay(values: Mapping[str, Any], reference: Reference) -> Answer:
    units, rope = reference.units, values["rope_diameter_mm"]
    lay = lay_length(rope, values.get("rope_construction", ""), values.get("lay_mm"))
    span = length_words(lay.least_mm, units)
    steps = [Step("one rope lay: as measured on the rope", "", span)]
    if lay.estimated:
        span = f"{span} to {length_words(lay.most_mm, units)}"
        least, most = (rounded(times) for times in LAY_DIAMETERS)
        steps = [Step("one rope lay, an estimate", f"{least} to {most} × {length_words(rope, units)}", span)]
    outcomes = [Outcome("One rope lay" + (", an estimate" if lay.estimated else ""), span, words=lay.words)]
    for key, times in WINDOW_DIAMETERS.items():
        size = length_words(window_mm(key, rope, lay), units)
        outcomes.append(Outcome(_WINDOW_WORDS[key], size))
        steps.append(Step(_WINDOW_WORDS[key].lower(), f"{rounded(times)} × {length_words(rope, units)}", size))
    return Answer(
        tuple(outcomes),
        tuple(steps),
        assumptions=("Documents count broken wires over different lengths: note with each count over which.",),
        cautions=(NOTHING_OF_STRENGTH,),
    )


def _wear(values: Mapping[str, Any], reference: Reference) -> Answer:
    units = reference.units
    try:
        found = outer_wear(
            values["original"], values["worn"], values.get("rope_construction", ""), values.get("wire_mm")
        )
    except BadValue as error:
        raise BadValue(error.message, "original" if error.field == "rope_diameter_mm" else error.field) from None
    criterion = criterion_of(reference, "rope-outer-wire-wear")
    attributes = attributes_of(values, "rope_construction")
    limits = limits_shown(criterion, attributes, EVERYWHERE)
    share = f"{rounded(found.one_face_percent)} %"
    loss = values["original"] - values["worn"]
    return Answer(
        (
            Outcome("Wear of the outer wires, all on one face", share, words=found.words),
            Outcome("The same, shared by both faces", f"{rounded(found.both_faces_percent)} %", words="for comparison"),
            *verdict_outcomes(criterion, found.judged_percent, "percent", None, limits),
        ),
        (
            Step(
                "diameter of an outer wire" + (", an approximation" if found.wire_estimated else ""),
                "",
                length_words(found.wire_mm, units),
            ),
            Step(
                "wear = (original − worn diameter) / diameter of an outer wire",
                f"{length_words(loss, units)} / {length_words(found.wire_mm, units)}",
                share,
            ),
        ),
        assumptions=("Judged as if all of it were on one face: the higher figure.", *notes_of(criterion)),
        cautions=(BY_ANALOGY, NOTHING_OF_STRENGTH, *switched_off((criterion,))),
    )


SHEETS = (
    Worksheet(
        "rope-lay",
        "Rope lay",
        "Over what length are broken wires counted on this rope?",
        (
            NOMINAL,
            CONSTRUCTION,
            Input("lay_mm", "Lay as measured", Ask.LENGTH, required=False, hint="One turn of a strand round the rope."),
        ),
        _lay,
        ("one lay as measured, else estimated from the nominal rope diameter", "six, eight, thirty × rope diameter"),
    ),
    Worksheet(
        "outer-wire-wear",
        "Wear of the outer wires",
        "How much of the outer wires is worn away, and do published rules take the rope out of use?",
        (
            Input("original", "Original diameter", Ask.LENGTH, hint="Its first measure, else its nominal size."),
            Input("worn", "Diameter across the worn spot", Ask.LENGTH),
            CONSTRUCTION,
            Input("wire_mm", "Diameter of an outer wire", Ask.LENGTH, required=False, hint="From the maker, if known."),
        ),
        _wear,
        ("wear = (original diameter − worn diameter) / diameter of an outer wire",),
    ),
)
