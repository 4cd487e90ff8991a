"""Which figures are asked of which kind of part, and all limits of one part worked out."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NamedTuple

from inspect_app.domain.checklist import Checklist, Point
from inspect_app.domain.criteria import UPPER, Criterion, Op
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house_criteria import governing_words
from inspect_app.domain.judge import Limit, limits_for
from inspect_app.domain.no_limit import no_limit_words
from inspect_app.domain.part import PartKind
from inspect_app.domain.units import UNITS


class Asked(NamedTuple):
    """A figure that points ask of a kind of part: where it comes from and the key of its criterion."""

    point: str
    quantity: str
    criterion: str

    @property
    def key(self) -> str:
        """How packs name it."""
        return f"{self.point}/{self.quantity}"


@dataclass(frozen=True, slots=True)
class PartLimits:
    """One criterion for one part: its limits side by side, why some cannot be worked out, and what governs.

    `not_here` says what of the record keeps all of it away.
    """

    criterion: Criterion
    limits: tuple[Limit, ...]
    why_not: tuple[str, ...]
    governing: str
    not_here: str = ""


def measures_by_kind(checklists: Iterable[Checklist]) -> dict[PartKind, tuple[Asked, ...]]:
    """For each kind of part: every figure that is judged by a criterion, once."""
    asked: dict[PartKind, dict[Asked, None]] = {}
    for checklist in checklists:
        for point in checklist.points():
            for kind in point.parts:
                _add_measures(asked, kind, point)
    return {kind: tuple(rows) for kind, rows in asked.items()}


def _add_measures(asked: dict[PartKind, dict[Asked, None]], kind: PartKind, point: Point) -> None:
    for spec in point.measures:
        if spec.criterion:
            asked.setdefault(kind, {})[Asked(point.id, spec.quantity, spec.criterion)] = None


def limits_of_part(
    keys: Iterable[str], attributes: Mapping[str, str], criteria: Mapping[str, Criterion]
) -> tuple[PartLimits, ...]:
    """The limits of a part with these attributes by each criterion named, each once; unknown keys are passed over.

    What is of something that the part by its record does not have, such as clips, has no limits and its reason.
    """
    found = (criteria.get(key) for key in dict.fromkeys(keys))
    return tuple(_fitted(criterion, attributes) for criterion in found if criterion is not None)


def _fitted(criterion: Criterion, attributes: Mapping[str, str]) -> PartLimits:
    unknown: list[str] = []
    for key, values in criterion.not_on.items():
        title = criterion.attribute_titles.get(key, key).partition(" (")[0]
        recorded = attributes.get(key, "").strip()
        if recorded in values:
            return PartLimits(criterion, (), (), "", f"the {title} is recorded as {recorded}")
        if values and not recorded:
            named = " or ".join(filter(None, (", ".join(values[:-1]), values[-1])))
            unknown.append(f"not for a part whose {title} is {named}; here it is not recorded")
    here = part_limits(criterion, attributes)
    return replace(here, why_not=(*unknown, *here.why_not)) if here.limits else here


def part_limits(criterion: Criterion, attributes: Mapping[str, str]) -> PartLimits:
    """The limits of one criterion; an attribute that cannot be read is said instead of raised."""
    try:
        limits = limits_for(criterion, attributes)
    except BadValue as error:
        return PartLimits(criterion, (), (error.message,), governing_words(criterion, ()))
    if not limits and (criterion.rules or criterion.unjudged):
        return PartLimits(criterion, (), (no_limit_words(criterion, attributes),), governing_words(criterion, ()))
    known = tuple(limit for limit in limits if limit.value is not None)
    return PartLimits(criterion, known, _why_not(limits), governing_words(criterion, limits))


def _why_not(limits: Iterable[Limit]) -> tuple[str, ...]:
    """Each reason once, with the clauses that it keeps from being applied."""
    cited: dict[str, list[str]] = {}
    for limit in limits:
        if limit.value is None:
            cited.setdefault(limit.why_not, []).append(limit.citation)
    return tuple(f"{why}; needed by {'; '.join(dict.fromkeys(clauses))}" for why, clauses in cited.items())


def strictest_first(limits: Iterable[Limit]) -> tuple[Limit, ...]:
    """Limits with a value, those that a measure passes first before the others; what cannot be compared stays apart.

    At one figure, the limit that is passed at the figure itself comes before the one that is passed beyond it.
    """
    alike: dict[tuple[bool, str], list[Limit]] = {}
    for limit in limits:
        if limit.value is not None:
            alike.setdefault((limit.op in UPPER, UNITS[limit.unit].dimension), []).append(limit)
    return tuple(limit for group in alike.values() for limit in sorted(group, key=_strictness))


def _strictness(limit: Limit) -> tuple[Fraction, bool]:
    size = (limit.value or Fraction(0)) * UNITS[limit.unit].factor
    return size if limit.op in UPPER else -size, limit.op in {Op.MORE_THAN, Op.LESS_THAN}
