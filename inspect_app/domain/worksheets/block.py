"""Blocks: tread diameter over rope diameter, and the groove by its radius or by a worn-groove gauge."""

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Any

from inspect_app.domain.criteria import Consequence, Criterion
from inspect_app.domain.errors import BadValue
from inspect_app.domain.fleet import GAUGE_WORDS, GaugeFit, tread_ratio
from inspect_app.domain.judge import OUTSIDE_WORDS, limits_for
from inspect_app.domain.worksheet import Answer, Ask, Input, Outcome, Reference, Step, Table, Worksheet
from inspect_app.domain.worksheets.rope import CONSTRUCTION, NOMINAL
from inspect_app.domain.worksheets.words import (
    EVERYWHERE,
    attributes_of,
    criterion_of,
    length_words,
    limits_shown,
    notes_of,
    rounded,
    source_words,
    switched_off,
    table_of,
    verdict_outcomes,
)

WORN, NEW = "worn", "new"
_FITS = (
    (GaugeFit.LOOSE.value, "touches the bottom, light at its sides"),
    (GaugeFit.FITS.value, "fits all round, no light"),
    (GaugeFit.HIGH.value, "stands off the bottom, light below it"),
)
_FIT_TONES = {GaugeFit.LOOSE: "inside", GaugeFit.FITS: "cannot_tell", GaugeFit.HIGH: "outside"}
_INPUTS = (
    NOMINAL,
    CONSTRUCTION,
    Input("tread", "Tread diameter", Ask.LENGTH, required=False, hint="Across the sheave, groove bottom to bottom."),
    Input("groove", "Radius of the groove", Ask.LENGTH, required=False, hint="By radius gauge: half its diameter."),
    Input("resolution", "Smallest step of the gauge", Ask.LENGTH, required=False),
    Input(
        "groove_state", "The groove is", Ask.CHOICE, default=WORN, required=False,
        choices=((WORN, "in service"), (NEW, "new, or turned anew")),
        hint="A groove in service has a least radius. What a new one should have, makers do not agree on.",
    ),
    Input(
        "gauge", "A worn-groove gauge of this rope", Ask.CHOICE, choices=_FITS, required=False,
        hint="A disc marked with the rope's size, made half as much over it as a new rope may be. A gauge for new "
        "grooves is larger and says nothing here.",
    ),
)  # fmt: skip


def _block(values: Mapping[str, Any], reference: Reference) -> Answer:
    if not {"tread", "groove", "gauge"} & set(values):
        raise BadValue("Give the tread diameter, the radius of the groove, or how a gauge sits in it.", "tread")
    made: list[tuple[tuple[Outcome, ...], Step | None, Criterion]] = []
    if "tread" in values:
        made.append(_tread(values, reference))
    if "groove" in values:
        made.append(_groove(values, reference))
    if "gauge" in values:
        made.append(_gauge(GaugeFit(values["gauge"]), reference))
    used, suggested = [criterion for *_, criterion in made], _suggested(values, reference)
    return Answer(
        tuple(outcome for outcomes, *_ in made for outcome in outcomes),
        tuple(step for _, step, _ in made if step is not None),
        tables=suggested,
        assumptions=notes_of(*used),
        cautions=("A small block wears the rope out sooner; no figure here is a load.", *switched_off(used)),
        citations=tuple(row[-1] for table in suggested for row in table.rows),
    )


def _tread(values: Mapping[str, Any], reference: Reference) -> tuple[tuple[Outcome, ...], Step, Criterion]:
    units, rope, tread = reference.units, values["rope_diameter_mm"], values["tread"]
    ratio, criterion = _ratio(tread, rope), criterion_of(reference, "tread-ratio")
    limits = limits_shown(criterion, attributes_of(values, "rope_diameter_mm", "rope_construction"), EVERYWHERE)
    formula = f"{length_words(tread, units)} / {length_words(rope, units)}"
    outcomes = (
        Outcome("Tread diameter over rope diameter, D/d", rounded(ratio)),
        *verdict_outcomes(criterion, ratio, "none", None, limits),
        *_bend(ratio, reference),
    )
    return outcomes, Step("D/d = tread diameter / nominal rope diameter", formula, rounded(ratio)), criterion


def _ratio(tread: Fraction, rope: Fraction) -> Fraction:
    try:
        return tread_ratio(tread, rope)
    except BadValue as error:
        raise BadValue(error.message, "tread") from None


def _bend(ratio: Fraction, reference: Reference) -> tuple[Outcome, ...]:
    """What a handbook leaves of a new rope's strength where it bends at rest; the load sheet multiplies with it."""
    found = reference.figures.sheave_efficiency(ratio)[:1]
    words = "of a new rope at rest on this block; says nothing of the rope in the house"
    return tuple(
        Outcome("Strength left by the bend, by a handbook", f"{rounded(one.value)} %",
                words=". ".join(filter(None, (words, one.note))), citation=one.citation)
        for one in found
    )  # fmt: skip


def _groove(values: Mapping[str, Any], reference: Reference) -> tuple[tuple[Outcome, ...], Step, Criterion]:
    units, rope, radius = reference.units, values["rope_diameter_mm"], values["groove"]
    resolution, attributes = values.get("resolution"), attributes_of(values, "rope_diameter_mm")
    formula = f"{length_words(radius, units)} / {length_words(rope, units)}"
    step = Step("groove radius / rope diameter", formula, rounded(radius / rope))
    if values.get("groove_state") == NEW:
        criterion = criterion_of(reference, "groove-radius-new")
        limits = limits_shown(criterion, attributes, EVERYWHERE)
        fine = resolution / rope if resolution else None
        return verdict_outcomes(criterion, radius / rope, "none", fine, limits), step, criterion
    criterion = criterion_of(reference, "groove-radius")
    limits = limits_shown(criterion, attributes, EVERYWHERE)
    shown = "in" if units == "imperial" else "mm"
    return verdict_outcomes(criterion, radius, "mm", resolution, limits, shown_unit=shown), step, criterion


def _gauge(fit: GaugeFit, reference: Reference) -> tuple[tuple[Outcome, ...], None, Criterion]:
    words = GAUGE_WORDS[fit]
    if fit is GaugeFit.HIGH:
        words += f"; {OUTSIDE_WORDS[Consequence.LOAD_PATH]}"
    elif fit is GaugeFit.FITS:
        words += "; have a qualified person decide"
    cited = source_words(reference, "groove-handbook-page", "meaning of the gauges")
    outcome = Outcome("Worn-groove gauge", "", words=words, citation=cited, tone=_FIT_TONES[fit])
    return (outcome,), None, criterion_of(reference, "groove-radius")


def _suggested(values: Mapping[str, Any], reference: Reference) -> tuple[Table, ...]:
    """The ratios that a document suggests and does not demand: shown, and judged by nothing."""
    if "tread" not in values:
        return ()
    criterion = criterion_of(reference, "tread-ratio")
    kept = tuple(replace(rule, active=True) for rule in criterion.rules if not rule.active and rule.mark != "memory")
    limits = limits_for(replace(criterion, rules=kept), attributes_of(values, "rope_construction"))
    rows = [(rounded(one.value), one.applies_to, one.note, one.citation) for one in limits if one.value is not None]
    headings = ("D/d", "Written for", "Remark", "Document")
    return (table_of("Also printed, shown and not judged by", headings, rows),) if rows else ()


SHEETS = (
    Worksheet(
        "block-ratio",
        "Block and groove",
        "Is the block large enough for this rope, and is its groove worn too narrow?",
        _INPUTS,
        _block,
        ("D/d = tread diameter / nominal rope diameter", "worn groove: radius compared with the least radius"),
    ),
)
