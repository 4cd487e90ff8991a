"""Terminations: the clips of a line end against the tables of the data."""

from collections.abc import Mapping
from typing import Any

from inspect_app.domain.judge import Limit
from inspect_app.domain.part_attributes import CLIP_EYE
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Table, Worksheet
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
    table_of,
    verdict_outcomes,
)

_INPUTS = (
    NOMINAL,
    Input(
        "clip_eye", "Rope turned back on", Ask.CHOICE, default="thimble", choices=CLIP_EYE.choices, required=False,
        hint="The eye at the end of the line: with a thimble in it, or bare round a sheave or a pin.",
    ),
    Input(
        "clips", "Clips at the line end", Ask.COUNT, zero=True, required=False,
        hint="U-bolts, each with its saddle. Leave this and the rest empty to see what each document asks for.",
    ),
    Input(
        "turnback", "Rope turned back", Ask.LENGTH, required=False,
        hint="The tail laid back beside the line: from the thimble to its end.",
    ),
    Input(
        "spacing", "Least distance between clips", Ask.LENGTH, required=False,
        hint="From the middle of one clip to the middle of the next.",
    ),
    Input(
        "torque", "Torque of the nuts", Ask.TORQUE, required=False,
        hint="As set with the wrench; dry threads. The least of all nuts.",
    ),
    Input("law", "Rules shown", Ask.CHOICE, default=EVERYWHERE, choices=LAWS, required=False),
)  # fmt: skip
# input, its criterion, its unit as it is read, and the unit shown in an imperial and in a metric house
_ASKED = (
    ("clips", "clip-count", "count", ("count", "count")),
    ("turnback", "clip-turnback", "mm", ("in", "mm")),
    ("spacing", "clip-spacing", "mm", ("in", "mm")),
    ("torque", "clip-torque", "Nm", ("lbf_ft", "Nm")),
)
SADDLE = (
    "The saddle sits on the live part of the rope, the one that carries, and the U-bolt on the dead end, on every "
    "clip; clips are tightened again after the first load. The maker's sheet for the very clip comes first."
)
UNKNOWN_COUNT = "The turnback grows with more clips than the table asks for: give their number to see by how much."


def _clips(values: Mapping[str, Any], reference: Reference) -> Answer:
    law, imperial = values.get("law", EVERYWHERE), reference.units == "imperial"
    attributes = attributes_of(values, "rope_diameter_mm", "clip_eye")
    if values.get("clips"):
        attributes["clip_count"] = str(values["clips"])
    outcomes: tuple[Outcome, ...] = ()
    rows: list[tuple[str, ...]] = []
    for name, key, unit, units in _ASKED:
        criterion, shown = criterion_of(reference, key), units[0 if imperial else 1]
        limits = tuple(limit for limit in limits_shown(criterion, attributes, law) if limit.missing != "clip_count")
        if name in values:
            outcomes += verdict_outcomes(criterion, values[name], unit, None, limits, shown_unit=shown)
        else:
            rows += [(criterion.title, *_row(limit, shown)) for limit in limits]
    used = [criterion_of(reference, key) for _, key, *_ in _ASKED]
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
        tables=_asked_table(rows),
        assumptions=(
            "New rope, forged clips, dry threads.",
            *(() if values.get("clips") else (UNKNOWN_COUNT,)),
            *notes_of(*used),
        ),
        cautions=(SADDLE, *switched_off(used)),
        citations=tuple(row[-1] for row in rows),
    )


def _row(limit: Limit, unit: str) -> tuple[str, str, str]:
    says = limit.says(unit) if limit.value is None else f"outside when {limit.says(unit)}"
    return says, limit.applies_to, limit.citation


def _asked_table(rows: list[tuple[str, ...]]) -> tuple[Table, ...]:
    if not rows:
        return ()
    headings = ("What", "Each document", "Written for", "Document")
    return (table_of("What was not given here, and what each document asks of it for this rope", headings, rows),)


SHEETS = (
    Worksheet(
        "clips",
        "Clips of a line end",
        "How many clips, how much turnback, how far apart and how tight for this rope?",
        _INPUTS,
        _clips,
        (
            "count, turnback, distance and torque compared with the row of each table for this rope size",
            "more clips than the table's: turnback = the table's × clips / the table's clips",
        ),
    ),
)
