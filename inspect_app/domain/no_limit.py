"""Why a measure has no limit here: none is published, its rows are off, or they are written for another place."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from inspect_app.domain.criteria import Criterion
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house_rule import PLACES
from inspect_app.domain.judge import NO_LIMIT_WORDS, Limit, Result, Verdict, limits_for


def no_limit_words(criterion: Criterion | None, attributes: Mapping[str, object]) -> str:
    """What to say of a measure for which no active row of its criterion fits a part with these attributes.

    *No published limit* is said only where the data have no row at all; a row that is off, or that holds elsewhere, is
    named, because a limit that exists must not be denied.
    """
    if criterion is None or not criterion.rules:
        return (criterion.unjudged if criterion else "") or NO_LIMIT_WORDS
    on = {"active": True}
    if not _fitting(criterion, attributes, **on) and _fitting(criterion, attributes, **on, when={}):
        return criterion.unjudged or "not judged: no row of the cited documents fits this part"
    if here := _cited(criterion, attributes):
        return f"no limit in use: off until a qualified person of the house enters it from their own copy: {here}"
    places = dict.fromkeys(PLACES.get(one, one) for rule in criterion.rules for one in rule.jurisdictions)
    documents = dict.fromkeys(rule.source.document for rule in criterion.rules if rule.jurisdictions)
    if not places:
        return "no limit in use: what the data have is shown and judges nothing"
    here = "for this place in the data" if attributes.get("jurisdiction") else "while the house has not said its place"
    return f"no limit {here}; there is one for {' and '.join(places)}: {', '.join(documents)}"


def _cited(criterion: Criterion, attributes: Mapping[str, object]) -> str:
    """The rows from memory that would fit this part if they were on, as they are cited."""
    rows = tuple(rule for rule in criterion.rules if not rule.active and rule.mark == "memory")
    limits = _fitting(replace(criterion, rules=rows), attributes, active=True)
    return "; ".join(dict.fromkeys(f"{limit.document} {limit.clause}" for limit in limits))


def _fitting(criterion: Criterion, attributes: Mapping[str, object], **changed: Any) -> tuple[Limit, ...]:
    """The limits of a criterion as they would be with something changed in its rows."""
    try:
        return limits_for(
            replace(criterion, rules=tuple(replace(rule, **changed) for rule in criterion.rules)), attributes
        )
    except BadValue:
        return ()


def no_limit(criterion: Criterion | None, attributes: Mapping[str, object]) -> Verdict:
    """The same as a verdict."""
    return Verdict(Result.NO_LIMIT, no_limit_words(criterion, attributes))
