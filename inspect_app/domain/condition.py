"""Conditions: what a document says of something that is seen, not measured, such as a kink; and what was seen."""

from collections.abc import Iterable, Mapping
from fractions import Fraction

from inspect_app.domain.criteria import Criterion
from inspect_app.domain.errors import BadValue
from inspect_app.domain.judge import Verdict, judge, limits_for

SEEN = Fraction(1)


def conditions_by_defect(criteria: Mapping[str, Criterion]) -> dict[str, tuple[Criterion, ...]]:
    """The conditions that an answer of a checklist, as `point/defect`, says were seen."""
    found: dict[str, tuple[Criterion, ...]] = {}
    for criterion in criteria.values():
        for defect in criterion.defects:
            found[defect] = (*found.get(defect, ()), criterion)
    return found


def condition_verdicts(conditions: Iterable[Criterion], attributes: Mapping[str, str]) -> tuple[Verdict, ...]:
    """What each clause says of these conditions, seen on a part with these attributes."""
    verdicts: list[Verdict] = []
    for criterion in conditions:
        try:
            limits = limits_for(criterion, attributes)
        except BadValue:
            continue
        verdicts += judge(SEEN, "count", None, limits) if limits else ()
    return tuple(verdicts)
