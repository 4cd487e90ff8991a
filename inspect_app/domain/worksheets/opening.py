"""Decks, edges, ladders and ways: each measure against the published figures, imperial and metric, side by side."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any, NamedTuple

from inspect_app.domain.criteria import Criterion
from inspect_app.domain.errors import BadValue
from inspect_app.domain.judge import Limit, Result, judge
from inspect_app.domain.units import decimal_text
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Worksheet
from inspect_app.domain.worksheets.words import (
    EVERYWHERE,
    LAWS,
    criterion_of,
    given_force,
    given_length,
    given_outcomes,
    limits_shown,
    notes_of,
    switched_off,
)

_LAW = Input("law", "Rules shown", Ask.CHOICE, default=EVERYWHERE, choices=LAWS, required=False)
_INFILL = Input(
    "rail_infill",
    "Below the top rail",
    Ask.CHOICE,
    choices=(
        ("midrail", "a midrail"),
        ("balusters", "balusters, panels or more rails"),
        ("mesh", "mesh"),
        ("wall", "a wall"),
    ),
    required=False,
    hint="The US width of openings is for balusters, panels or more rails.",
)
_STEP = Input("resolution", "Smallest step of the tape or gauge", Ask.LENGTH, required=False)


class _Row(NamedTuple):
    """A measure of a worksheet. A gap, a width or a thickness of 0 is a slip; `zero` lets it be where none is good."""

    key: str
    criterion: str
    label: str
    hint: str = ""
    ask: Ask = Ask.LENGTH
    zero: bool = False
    most: int = 20_000  # mm or N: what nothing aloft is beyond


_RIBBON = _Row(
    "slot", "deck-slot-recorded", "Slot of a channel or ribbon-steel deck", "Widest clear slot, between the bars."
)
_DECK = (
    _Row("bay_gap", "deck-slot-width", "Gap of any other deck", "Bar grating, plate, timber, cable grid."),
    _Row("hole", "hole-least-dimension", "Least dimension of a well, hatch or other hole", "The shorter way across."),
    _Row("edge_drop", "edge-drop", "Drop at the edge or through the hole", "To the level below.", most=100_000),
)
_WALL = (
    _Row("opening_width", "wall-opening", "Width of an opening in a wall", "Loading doors, gates, gaps in a wall."),
    _Row("opening_height", "wall-opening-height", "Height of that opening"),
)
_WAY = (
    _Row("walkway", "walkway-width", "Clear width of the walking line", "At its narrowest place."),
    _Row("headroom", "headroom", "Headroom above it", "To the lowest pipe, duct or beam."),
    _Row(
        "floor_step",
        "floor-step",
        "Step between two panels",
        "One person standing on one of them.",
        zero=True,
        most=500,
    ),
)
_RAIL = (
    _Row("rail", "guardrail-height", "Height of the top rail", "Top edge above the walking surface.", zero=True),
    _Row("gap", "guardrail-opening", "Widest opening in the rail", "Between rail, knee rail, balusters, toe board.",
         zero=True),
    _Row("toe", "toeboard-height", "Height of the toe board", zero=True, most=3_000),
    _Row("toe_gap", "toeboard-gap", "Gap below the toe board", zero=True, most=3_000),
    _Row("toe_opening", "toeboard-opening", "Largest opening in the toe board", "A solid board has 0.", zero=True,
         most=3_000),
    _Row("post_spacing", "guardrail-posts", "Distance between posts", "Centre to centre, widest bay."),
    _Row("rail_diameter", "rail-diameter", "Thickness of the rail", most=500),
    _Row("rail_clearance", "rail-clearance", "Free space round the rail", "Its mounting apart.", zero=True, most=3_000),
    _Row("segment_gap", "rail-segment-gap", "Gap between two lengths of rail", zero=True),
)  # fmt: skip
_TESTED = (
    _Row("rail_force", "guardrail-force", "Force the top rail withstood in a test", "From its paper.", Ask.FORCE),
    _Row("midrail_force", "midrail-force", "Force the midrail or infill withstood", "From its paper.", Ask.FORCE),
    _Row("toe_force", "toeboard-force", "Force the toe board withstood", "From its paper.", Ask.FORCE),
    _Row("rail_loaded", "guardrail-height-loaded", "Height of the top rail under its test load", "From its paper."),
)
_LADDER = (
    _Row("rungs", "ladder-rung-spacing", "Distance between rungs", "Centre to centre."),
    _Row("width", "ladder-clear-width", "Clear width between the side rails"),
    _Row("rails", "ladder-rail-above-landing", "Height of the rails above the landing", zero=True),
    _Row("behind_rungs", "ladder-behind-rungs", "Room behind the rungs", "From their centre line.", zero=True),
    _Row("climbing_side", "ladder-climbing-side", "Room before the climber", "From the centre line of the rungs."),
    _Row("step_across", "ladder-step-across", "Step across to the landing", "From the centre line of the rungs.",
         zero=True),
    _Row("grab_bar", "ladder-grab-bar", "Room behind a grab bar", zero=True, most=3_000),
)  # fmt: skip
_ANCHOR = _Row(
    "anchor",
    "anchorage-strength",
    "Strength of the anchor, for one person",
    "From plate or paper.",
    Ask.FORCE,
    most=10**6,
)
_COVER = (
    Input("cover", "What the cover carries", Ask.FORCE, required=False, hint="From its plate, drawing or paper."),
    Input("cover_load", "Greatest load meant for it", Ask.FORCE, required=False, hint="People, carts, tools together."),
)
_ACCEPTED = "Whether an existing deck, rail or ladder is accepted is for the local authority; record who accepted it."
_UNTESTED = "Figures of tests come from papers of people who know the rail and its fixings; a push by hand is no test."
_UNTRIED = "Never load a cover or pull on an anchor to see: the figures are those of plate, drawing or paper."


def _input(row: _Row) -> Input:
    return Input(row.key, row.label, row.ask, required=False, zero=row.zero, hint=row.hint, most=Fraction(row.most))


def _inputs(rows: tuple[_Row, ...]) -> tuple[Input, ...]:
    return (*(_input(row) for row in rows), _STEP, _LAW)


def _written(row: _Row, value: Fraction, units: str) -> str:
    return given_force(value, units) if row.ask is Ask.FORCE else given_length(value, units)


def _units(row: _Row, units: str) -> tuple[str, str]:
    """The unit that the value has, and the one that its limits are shown in."""
    if row.ask is Ask.FORCE:
        return "N", "lbf" if units == "imperial" else "N"
    return "mm", "in" if units == "imperial" else "mm"


def _judged(
    row: _Row, values: Mapping[str, Any], reference: Reference, **known: str
) -> tuple[tuple[Outcome, ...], Step]:
    """The outcomes of one measure, under a line that says what was given, and its step of the working."""
    criterion, given = criterion_of(reference, row.criterion), _written(row, values[row.key], reference.units)
    unit, shown = _units(row, reference.units)
    limits = limits_shown(criterion, known, values.get("law", EVERYWHERE))
    step = values.get("resolution") if unit == "mm" else None
    outcomes = given_outcomes(
        criterion, values[row.key], unit, limits, given, known | _place(criterion, values), resolution=step,
        shown_unit=shown,
    )  # fmt: skip
    return outcomes, Step(f"{row.label}, compared with each limit", "", given)


def _place(criterion: Criterion, values: Mapping[str, Any]) -> dict[str, str]:
    """The place asked for; for every rule set, the first that the criterion has rows for."""
    if (law := values.get("law", EVERYWHERE)) != EVERYWHERE:
        return {"jurisdiction": law}
    places = [place for rule in criterion.rules for place in rule.jurisdictions]
    return {"jurisdiction": places[0]} if places else {}


def _answer(
    rows: tuple[_Row, ...], values: Mapping[str, Any], reference: Reference, *cautions: str, **known: str
) -> Answer:
    given = [row for row in rows if row.key in values]
    if not given:
        raise BadValue("Give at least one of the measures.", rows[0].key)
    outcomes: tuple[Outcome, ...] = ()
    steps: tuple[Step, ...] = ()
    for row in given:
        found, step = _judged(row, values, reference, **known)
        outcomes, steps = (*outcomes, *found), (*steps, step)
    used = [criterion_of(reference, row.criterion) for row in given]
    beside = _beside_rules(used, known, values.get("law", EVERYWHERE))
    return Answer(outcomes, steps, assumptions=(*notes_of(*used), *beside), cautions=(*cautions, *switched_off(used)))


def _beside_rules(criteria: list[Criterion], known: Mapping[str, str], law: str) -> tuple[str, ...]:
    """What the data note beside single clauses, such as a rounded figure that the clause prints as well."""
    limits = (limit for one in criteria for limit in limits_shown(one, known, law))
    return tuple(dict.fromkeys(f"{limit.document} {limit.clause}: {limit.note}" for limit in limits if limit.note))


def _deck(values: Mapping[str, Any], reference: Reference) -> Answer:
    answer = _answer((_RIBBON, *_DECK), values, reference, _ACCEPTED)
    if _RIBBON.key not in values:
        return answer
    criterion = criterion_of(reference, "deck-slot-width")
    shown = _units(_RIBBON, reference.units)[1]
    beside = tuple(_beside(limit, shown) for limit in limits_shown(criterion, {}, values.get("law", EVERYWHERE)))
    lead, *others = answer.outcomes
    return Answer((lead, *beside, *others), answer.steps, assumptions=answer.assumptions, cautions=answer.cautions)


def _beside(limit: Limit, unit: str) -> Outcome:
    """A definition set beside the slot of a deck that is neither passed nor failed by it."""
    label = f"{limit.applies_to[:1].upper()}{limit.applies_to[1:]}; {limit.window}"
    return Outcome(
        label, f"a hole at {limit.says(unit)}", words="set beside it, not judged by", citation=limit.citation
    )


def _wall(values: Mapping[str, Any], reference: Reference) -> Answer:
    """Either way counts only where the other reaches the same definition; one that nobody gave may."""
    reached = {
        key: _reaches(name, key, values, reference, **{other: big})
        for key, name, other, big in (
            ("opening_height", "wall-opening-height", "opening_width", "wide"),
            ("opening_width", "wall-opening", "opening_height", "high"),
        )
        if key in values
    }
    known = {}
    if "opening_height" in reached:
        known["opening_height"] = "high" if reached["opening_height"] else "low"
    if not reached.get("opening_width", True):
        known["opening_width"] = "narrow"
    return _answer(_WALL, values, reference, "An opening is one only where a person could fall through it.", **known)


def _reaches(name: str, key: str, values: Mapping[str, Any], reference: Reference, **known: str) -> bool:
    limits = limits_shown(criterion_of(reference, name), known, values.get("law", EVERYWHERE))
    found = {verdict.result for verdict in judge(values[key], "mm", values.get("resolution"), limits)}
    return bool(found & {Result.OUTSIDE, Result.CANNOT_TELL})


def _way(values: Mapping[str, Any], reference: Reference) -> Answer:
    return _answer(_WAY, values, reference, _ACCEPTED)


def _rail(values: Mapping[str, Any], reference: Reference) -> Answer:
    known = {"rail_infill": values["rail_infill"]} if "rail_infill" in values else {}
    caution = "What a rail withstands cannot be told from its height."
    return _answer(_RAIL, values, reference, _ACCEPTED, caution, **known)


def _ladder(values: Mapping[str, Any], reference: Reference) -> Answer:
    return _answer(_LADDER, values, reference, _ACCEPTED)


def _papers(values: Mapping[str, Any], reference: Reference) -> Answer:
    if ("cover" in values) != ("cover_load" in values):
        missing = "cover_load" if "cover" in values else "cover"
        raise BadValue("Give both: what the cover carries, and the greatest load meant for it.", missing)
    answers = [_cover(values, reference)] if "cover" in values else []
    if any(row.key in values for row in _TESTED):
        answers.append(_answer(_TESTED, values, reference, _UNTESTED))
    if _ANCHOR.key in values:
        answers.append(_answer((_ANCHOR,), values, reference, _UNTRIED))
    if not answers:
        raise BadValue("Give at least one figure from a plate, a drawing or a paper.", "cover")
    return Answer(
        tuple(one for answer in answers for one in answer.outcomes),
        tuple(one for answer in answers for one in answer.steps),
        assumptions=tuple(dict.fromkeys(one for answer in answers for one in answer.assumptions)),
        cautions=tuple(dict.fromkeys(one for answer in answers for one in answer.cautions)),
    )


def _cover(values: Mapping[str, Any], reference: Reference) -> Answer:
    criterion = criterion_of(reference, "cover-load")
    ratio = values["cover"] / values["cover_load"]
    carries, load = (given_force(values[key], reference.units) for key in ("cover", "cover_load"))
    limits = limits_shown(criterion, {}, values.get("law", EVERYWHERE))
    outcomes = given_outcomes(criterion, ratio, "none", limits, decimal_text(ratio), _place(criterion, values))
    step = Step("what it carries over the greatest load meant for it", f"{carries} / {load}", decimal_text(ratio))
    return Answer(outcomes, (step,), assumptions=notes_of(criterion), cautions=(_UNTRIED, *switched_off([criterion])))


SHEETS = (
    Worksheet(
        "deck-gaps",
        "Gaps and holes in a deck",
        "Does a gap, a well or a hatch count as a hole by the published definitions; does the drop ask for protection?",
        _inputs((_RIBBON, *_DECK)),
        _deck,
        (
            "the least dimension of a gap compared with the definition of a hole; the drop with the clause",
            "a slot of a channel or ribbon-steel deck stands beside the definitions and is not judged by them",
        ),
    ),
    Worksheet(
        "wall-opening",
        "Opening in a wall",
        "Is an opening in a wall or partition one that somebody could fall through, by the published definition?",
        _inputs(_WALL),
        _wall,
        ("width and height compared with the definition; both have to reach it",),
    ),
    Worksheet(
        "guardrail",
        "Guardrail and toe board",
        "Are rail, openings and toe board of a gallery or bridge within the published heights and gaps?",
        (_input(_RAIL[0]), _INFILL, *_inputs(_RAIL[1:])),
        _rail,
        ("each height or opening compared with the clause",),
    ),
    Worksheet(
        "ladder",
        "Ladder",
        "Are rungs, width, the room round a ladder and the rails above its landing within the published figures?",
        _inputs(_LADDER),
        _ladder,
        ("each distance compared with the clause",),
    ),
    Worksheet(
        "walking-way",
        "Walking ways and headroom",
        "Are width and headroom of a walking line, and the step between two panels, within the published figures?",
        _inputs(_WAY),
        _way,
        ("each distance compared with the clause",),
    ),
    Worksheet(
        "by-their-papers",
        "Covers, rails and anchors by their papers",
        "Is what a cover, a rail or an anchor carries by its plate or paper within the published figures?",
        (*_COVER, *(_input(row) for row in (*_TESTED, _ANCHOR)), _STEP, _LAW),
        _papers,
        ("ratio = what the cover carries / greatest load meant for it", "each other figure compared with the clause"),
    ),
)
