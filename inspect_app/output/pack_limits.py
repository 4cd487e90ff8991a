"""The limits that a pack carries, worked out for each part, so that a phone has only to compare.

"limits": {part id: {"point id/quantity": [limit, ...]}}, the strictest of those that can be compared first.
    limit = {"value" decimal text, "unit", "op", "clause", "source", "mark", "consequence", "words_outside",
    "words_inside", "words_cannot_tell" (where it is not the usual), "governing" (whether the house chose its document),
    "bound": its place in "bounds"}
"bounds": [{unit: {"at": the limit in this unit, exact, as "19/80" or "39", "says": the same in words, "too_far": from
    which figure on nothing is said, where there is one}}, ...]: each limit in every unit in which a measure can be set
    against it. A unit that is missing cannot be.
"counted_over": {"spans": [{"point id/quantity": the length of rope to count over, in words}], "of": {part id: its place
    in "spans"}}
"not_judged": {part id: {"point id/quantity": [why a cited limit cannot be worked out for this part, and which]}}
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from inspect_app.domain.asked_limits import Asked, measures_by_kind, part_limits, strictest_first
from inspect_app.domain.checklist import Checklist
from inspect_app.domain.criteria import Consequence, Criterion
from inspect_app.domain.house import Inventory
from inspect_app.domain.judge import (
    BALANCE_WORDS,
    CANNOT_TELL_WORDS,
    OUTSIDE_WORDS,
    Limit,
    inside_words,
    limit_fits,
    limit_in,
    too_far_in,
)
from inspect_app.domain.judged_measure import judging_attributes
from inspect_app.domain.part import Part
from inspect_app.domain.units import UNITS
from inspect_app.domain.worked_figure import counted_over

Json = dict[str, Any]


@dataclass(slots=True)
class ShownLimits:
    """The four sections as they are put together."""

    limits: Json = field(default_factory=dict)
    bounds: list[Json] = field(default_factory=list)
    not_judged: Json = field(default_factory=dict)
    spans: list[Json] = field(default_factory=list)
    span_of: dict[str, int] = field(default_factory=dict)
    places: dict[tuple[object, ...], int] = field(default_factory=dict)


def shown_limits(
    parts: Iterable[Part], inventory: Inventory, checklists: Sequence[Checklist], criteria: Mapping[str, Criterion]
) -> ShownLimits:
    """The limits of every measure asked of every part, worked out once for parts of one kind with equal attributes."""
    asked = measures_by_kind(checklists)
    shown = ShownLimits()
    worked: dict[tuple[object, ...], tuple[Json, Json, int | None]] = {}
    for part in parts:
        if part.kind not in asked:
            continue
        attributes = judging_attributes(inventory, part)
        key = (part.kind, tuple(sorted(attributes.items())))
        if key not in worked:
            known, unknown = _worked_out(asked[part.kind], attributes, criteria, shown)
            spans = _spans(asked[part.kind], attributes, criteria, inventory.house.units)
            worked[key] = known, unknown, _place_of(spans, shown.spans)
        known, unknown, span = worked[key]
        if known:
            shown.limits[part.id] = known
        if unknown:
            shown.not_judged[part.id] = unknown
        if span is not None:
            shown.span_of[part.id] = span
    return shown


def _worked_out(
    asked: Iterable[Asked], attributes: Mapping[str, str], criteria: Mapping[str, Criterion], shown: ShownLimits
) -> tuple[Json, Json]:
    known: Json = {}
    unknown: Json = {}
    for row in asked:
        criterion = criteria.get(row.criterion)
        if criterion is None:
            continue
        found = part_limits(criterion, attributes)
        if found.limits:
            known[row.key] = [
                _limit(limit, limit.value, _place(limit, shown))
                for limit in strictest_first(found.limits)
                if limit.value is not None
            ]
        if found.why_not:
            unknown[row.key] = list(found.why_not)
    return known, unknown


def _spans(
    asked: Iterable[Asked], attributes: Mapping[str, str], criteria: Mapping[str, Criterion], units: str
) -> Json:
    known = ((row, criteria[row.criterion]) for row in asked if row.criterion in criteria)
    found = {row.key: counted_over(criterion, attributes, units) for row, criterion in known}
    return {key: words for key, words in found.items() if words}


def _place_of(spans: Json, known: list[Json]) -> int | None:
    """Where these lengths stand among the known ones, added when they are new; None where there are none."""
    if not spans:
        return None
    if spans not in known:
        known.append(spans)
    return known.index(spans)


def _place(limit: Limit, shown: ShownLimits) -> int:
    """Where the limit stands among the bounds; equal ones stand there once."""
    key = (limit.op, limit.value, limit.unit, limit.weight, limit.too_far)
    if key not in shown.places:
        shown.places[key] = len(shown.bounds)
        shown.bounds.append(
            {
                unit: {"at": str(limit_in(limit, unit)), "says": limit.says(unit), **_too_far(limit, unit)}
                for unit in UNITS
                if limit_fits(limit, unit)
            }
        )
    return shown.places[key]


def _too_far(limit: Limit, unit: str) -> Json:
    return {} if limit.too_far is None else {"too_far": str(too_far_in(limit, unit))}


def _limit(limit: Limit, value: Fraction, place: int) -> Json:
    balance = limit.consequence is Consequence.BALANCE
    return {
        "value": plain_decimal(value),
        "op": limit.op.value,
        "unit": limit.unit,
        "clause": limit.clause,
        "source": limit.document,
        "mark": ", ".join(filter(None, (limit.mark_words, "by analogy" if limit.by_analogy else ""))),
        "consequence": limit.consequence.value,
        "words_outside": OUTSIDE_WORDS[limit.consequence],
        "words_inside": inside_words(limit.consequence),
        "governing": limit.governing,
        "bound": place,
        **({"words_cannot_tell": f"{CANNOT_TELL_WORDS}; {BALANCE_WORDS}"} if balance else {}),
    }


def plain_decimal(value: Fraction) -> str:
    """A fraction as digits and a point that any program reads; exact where it ends, else to 12 places."""
    scaled = round(abs(value) * 10**12)
    digits = f"{scaled // 10**12}.{scaled % 10**12:012d}".rstrip("0").rstrip(".")
    return f"-{digits}" if value < 0 and scaled else digits
