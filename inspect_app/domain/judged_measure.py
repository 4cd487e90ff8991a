"""Each figure of a walk set against its published criterion, and against the same figure of sister sets."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction

from inspect_app.domain.checklist import Checklist, MeasureSpec
from inspect_app.domain.criteria import Criterion
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import House, Inventory
from inspect_app.domain.house_criteria import governing_words
from inspect_app.domain.judge import Result, Verdict, judge, limits_for, worst
from inspect_app.domain.no_limit import no_limit
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.part_kind import kind_title
from inspect_app.domain.siblings import SetValue
from inspect_app.domain.units import UNITS, convert, exact
from inspect_app.domain.walk import Look, Measure

WEAR_STEP = Fraction(1)
HINT_WORDS: Mapping[str, str] = {
    "inside": "inside",
    "outside": "outside",
    "cannot_tell": "cannot tell with this gauge",
    "none": "not judged",
}


@dataclass(frozen=True, slots=True)
class JudgedMeasure:
    """A figure with one verdict for each limit that its point cites, and what the house chose to govern."""

    measure: Measure
    look: Look
    part: Part
    verdicts: tuple[Verdict, ...]
    governing: str = ""

    @property
    def outside(self) -> bool:
        """Whether any cited criterion says outside."""
        return any(verdict.result is Result.OUTSIDE for verdict in self.verdicts)

    @property
    def differs(self) -> str:
        """In words, that the phone compared this figure and said something else than is judged here; '' otherwise.

        A phone that could not compare says none, which is no verdict to differ from.
        """
        here = worst(self.verdicts).hint
        if self.measure.hint in ("", "none") or self.measure.hint == here:
            return ""
        said, now = (HINT_WORDS.get(hint, hint) for hint in (self.measure.hint, here))
        return f"The phone said {said} when this was typed; judged here it is {now}. The judgement here counts."


def judged_measures(
    looks: Iterable[Look],
    parts: Mapping[str, Part],
    inventory: Inventory,
    checklists: Sequence[Checklist],
    criteria: Mapping[str, Criterion],
) -> tuple[JudgedMeasure, ...]:
    """Every figure of these looks, judged by the attributes that its part has now."""
    specs = _specs(checklists)
    return tuple(
        _judged(measure, look, parts[measure.part], specs, inventory, criteria)
        for look in looks
        for measure in look.measures
        if measure.part in parts
    )


def _specs(checklists: Sequence[Checklist]) -> dict[tuple[str, str], MeasureSpec]:
    return {
        (point.id, spec.quantity): spec
        for checklist in checklists
        for point in checklist.points()
        for spec in point.measures
    }


def attributes_of(house: House, inventory: Inventory, part: str) -> dict[str, str]:
    """What the limits of a part may turn on: the attributes of its present life and the law of the house's place."""
    life = inventory.lives.get(part)
    attributes = dict(life.attributes) if life else {}
    if house.settings.get("jurisdiction"):
        attributes["jurisdiction"] = house.settings["jurisdiction"]
    return attributes


def judging_attributes(inventory: Inventory, part: Part) -> dict[str, str]:
    """The attributes that measures of a part are judged by: its own, and for the run of a set its lock's figure."""
    attributes = attributes_of(inventory.house, inventory, part.id)
    if part.kind is PartKind.SET_TRAVEL and part.line_set is not None:
        locks = [
            one
            for one in inventory.parts
            if one.line_set == part.line_set and one.kind is PartKind.ROPE_LOCK and one.retired_on is None
        ]
        life = inventory.lives.get(locks[0].id) if len(locks) == 1 else None
        if life and life.attributes.get("imbalance_kg"):
            attributes["imbalance_kg"] = life.attributes["imbalance_kg"]
    return attributes


def _judged(
    measure: Measure,
    look: Look,
    part: Part,
    specs: Mapping[tuple[str, str], MeasureSpec],
    inventory: Inventory,
    criteria: Mapping[str, Criterion],
) -> JudgedMeasure:
    spec = specs.get((measure.point, measure.quantity))
    criterion = criteria.get(spec.criterion) if spec else None
    verdicts = _verdicts(measure, criterion, judging_attributes(inventory, part))
    limits = [verdict.limit for verdict in verdicts if verdict.limit is not None]
    return JudgedMeasure(measure, look, part, verdicts, governing_words(criterion, limits))


def _verdicts(measure: Measure, criterion: Criterion | None, attributes: Mapping[str, str]) -> tuple[Verdict, ...]:
    try:
        limits = limits_for(criterion, attributes) if criterion else ()
        verdicts = judge(Decimal(measure.value), measure.unit, _resolution(measure), limits)
        return verdicts if limits else (no_limit(criterion, attributes),)
    except BadValue as error:
        return (Verdict(Result.NOT_JUDGED, f"not judged: {error.message}"),)
    except InvalidOperation:
        return (Verdict(Result.NOT_JUDGED, f"not judged: “{measure.value}” is not a number"),)


def _resolution(measure: Measure) -> Decimal | None:
    try:
        step = Decimal(measure.resolution)
    except InvalidOperation:
        return None
    return step if step.is_finite() and step > 0 else None


def values_of_sets(
    judged: Iterable[JudgedMeasure], looks: Iterable[Look], parts: Mapping[str, Part], inventory: Inventory
) -> list[SetValue]:
    """The figures and wear ratings of parts that belong to a line set, in groups that may be compared."""
    kinds = {line_set.id: line_set.kind for line_set in inventory.line_sets}
    units: dict[tuple[str, ...], str] = {}
    values = [value for row in judged if (value := _figure(row, kinds, units))]
    for look in looks:
        for finding in look.findings:
            part = parts.get(finding.part)
            if finding.wear is not None and part is not None and part.line_set in kinds:
                group = (*_group(part, kinds[part.line_set]), finding.point, "wear")
                title = f"wear rating, {_where(part)}"
                values.append(SetValue(part.line_set, group, title, Fraction(finding.wear), "", WEAR_STEP))
    return values


def _figure(row: JudgedMeasure, kinds: Mapping[str, str], units: dict[tuple[str, ...], str]) -> SetValue | None:
    part, measure = row.part, row.measure
    if part.line_set is None or part.line_set not in kinds or measure.unit not in UNITS:
        return None
    dimension = UNITS[measure.unit].dimension
    group = (*_group(part, kinds[part.line_set]), measure.point, measure.quantity, dimension)
    unit = units.setdefault(group, measure.unit)
    try:
        value = convert(Decimal(measure.value), measure.unit, unit)
        step = convert(_step(measure), measure.unit, unit)
    except (BadValue, InvalidOperation):
        return None
    title = f"{measure.quantity.replace('_', ' ')}, {_where(part)}"
    return SetValue(part.line_set, group, title, value, unit, step, measure.value if unit == measure.unit else "")


def _step(measure: Measure) -> Fraction:
    """The gauge's smallest step, else one unit in the last place that was written."""
    step = _resolution(measure)
    if step is not None:
        return exact(step)
    exponent = Decimal(measure.value).as_tuple().exponent
    return Fraction(10) ** (exponent if isinstance(exponent, int) else 0)


def _group(part: Part, set_kind: str) -> tuple[str, ...]:
    return (set_kind, part.kind.value, str(part.line or ""))


def _where(part: Part) -> str:
    return kind_title(part.kind) + (f", line {part.line}" if part.line else "")
