"""Deck, edges and ladders: gaps, rails, toe boards and rungs against the published figures, imperial and metric."""

from collections.abc import Mapping
from typing import Any

from inspect_app.domain.errors import BadValue
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.words import (
    EVERYWHERE,
    LAWS,
    criterion_of,
    length_words,
    limits_shown,
    notes_of,
    switched_off,
    verdict_outcomes,
)

_LAW = Input("law", "Rules shown", Ask.CHOICE, default=EVERYWHERE, choices=LAWS, required=False)
_STEP = Input("resolution", "Smallest step of the tape or gauge", Ask.LENGTH, required=False)

_DECK = (
    (
        "slot",
        "deck-slot-width",
        "Slot between members of the grid deck",
        "Clear width between channels, bars or boards.",
    ),
    ("hole", "hole-least-dimension", "Least dimension of another gap or hole", "The shorter way across."),
)
_RAIL = (
    ("rail", "guardrail-height", "Height of the top rail", "Top edge above the walking surface."),
    ("gap", "guardrail-opening", "Widest opening in the rail", "Between rail, knee rail, balusters, toe board."),
    ("toe", "toeboard-height", "Height of the toe board", ""),
    ("toe_gap", "toeboard-gap", "Gap below the toe board", ""),
)
_LADDER = (
    ("rungs", "ladder-rung-spacing", "Distance between rungs", "Centre to centre."),
    ("width", "ladder-clear-width", "Clear width between the side rails", ""),
    ("rails", "ladder-rail-above-landing", "Height of the rails above the landing", ""),
)
_NEVER_NONE = frozenset({"slot", "hole", "rungs", "width"})  # a gap, a distance of rungs or a width of 0 is a slip
Rows = tuple[tuple[str, str, str, str], ...]


def _inputs(rows: Rows) -> tuple[Input, ...]:
    asked = (
        Input(key, label, Ask.LENGTH, required=False, zero=key not in _NEVER_NONE, hint=hint)
        for key, _, label, hint in rows
    )
    return (*asked, _STEP, _LAW)


def _judged(rows: Rows, values: Mapping[str, Any], reference: Reference, cautions: tuple[str, ...]) -> Answer:
    given = [row for row in rows if row[0] in values]
    if not given:
        raise BadValue("Give at least one of the measures.", rows[0][0])
    shown = "in" if reference.units == "imperial" else "mm"
    outcomes: tuple[Outcome, ...] = ()
    used, steps = [], []
    for key, name, label, _ in given:
        criterion = criterion_of(reference, name)
        used.append(criterion)
        limits = limits_shown(criterion, {}, values.get("law", EVERYWHERE))
        outcomes += verdict_outcomes(criterion, values[key], "mm", values.get("resolution"), limits, shown_unit=shown)
        steps.append(Step(f"{label} compared with each limit", "", length_words(values[key], reference.units)))
    return Answer(outcomes, tuple(steps), assumptions=notes_of(*used), cautions=(*cautions, *switched_off(used)))


_ACCEPTED = "Whether an existing deck, rail or ladder is accepted is for the local authority; record who accepted it."


def _deck(values: Mapping[str, Any], reference: Reference) -> Answer:
    return _judged(_DECK, values, reference, (_ACCEPTED,))


def _rail(values: Mapping[str, Any], reference: Reference) -> Answer:
    return _judged(_RAIL, values, reference, (_ACCEPTED, "What a rail withstands cannot be told from its height."))


def _ladder(values: Mapping[str, Any], reference: Reference) -> Answer:
    return _judged(_LADDER, values, reference, (_ACCEPTED,))


SHEETS = (
    Worksheet(
        "deck-gaps",
        "Gaps in the grid deck",
        "Does a slot, gap or well count as a hole under the published definitions?",
        _inputs(_DECK),
        _deck,
        ("the least dimension of the gap compared with the definition of a hole",),
    ),
    Worksheet(
        "guardrail",
        "Guardrail and toe board",
        "Are rail, openings and toe board of a gallery or bridge within the published heights?",
        _inputs(_RAIL),
        _rail,
        ("each height or opening compared with the clause",),
    ),
    Worksheet(
        "ladder",
        "Ladder",
        "Are the rungs, the width and the rails above the landing within the published figures?",
        _inputs(_LADDER),
        _ladder,
        ("each distance compared with the clause",),
    ),
)
