"""Each figure of a walk set against its published criterion, and against the same figure of sister sets."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import NamedTuple

from inspect_app.domain.asked_limits import strictest_first
from inspect_app.domain.checklist import Checklist, MeasureSpec
from inspect_app.domain.criteria import Criterion
from inspect_app.domain.errors import BadValue
from inspect_app.domain.gauge import readings_words
from inspect_app.domain.house import Inventory
from inspect_app.domain.house_criteria import governing_words
from inspect_app.domain.judge import BALANCE_WORDS, GRAVITY, Limit, Result, Verdict, judge, limits_for, worst
from inspect_app.domain.measure_history import TakenMeasure, gauge_step, step_of
from inspect_app.domain.no_limit import no_limit
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.part_kind import kind_title
from inspect_app.domain.report_words import zone
from inspect_app.domain.siblings import SetValue
from inspect_app.domain.units import UNITS, convert, typed_words, with_unit
from inspect_app.domain.walk import Look, Measure

WEAR_STEP = Fraction(1)
HINT_WORDS: Mapping[str, str] = {
    "inside": "inside",
    "outside": "outside",
    "cannot_tell": "not to be told with this gauge",
    "none": "not judged",
}


@dataclass(frozen=True, slots=True)
class JudgedMeasure:
    """A figure with one verdict for each limit that its point cites, and what the house chose to govern.

    `ended` is what was measured, when something else hangs there now.
    """

    measure: Measure
    look: Look
    part: Part
    verdicts: tuple[Verdict, ...]
    governing: str = ""
    ended: Life | None = None

    @property
    def figure(self) -> str:
        """The figure as it was typed, with its unit."""
        return measure_words(self.measure)

    @property
    def how(self) -> str:
        """Where and with what it was measured, as far as that is known."""
        one = self.measure
        step = f"reads to {with_unit(one.resolution, one.unit)}" if one.resolution and one.unit != "count" else ""
        many = readings_words(one.value, one.readings)
        return "; ".join(filter(None, (one.station, one.gauge or "gauge not said", step, many, one.load_state)))

    @property
    def lead(self) -> Verdict:
        """The gravest verdict, of those the strictest limit's."""
        return said_alike(self.verdicts)[0].verdicts[0]

    @property
    def outside(self) -> bool:
        """Whether any cited criterion says outside."""
        return any(verdict.result is Result.OUTSIDE for verdict in self.verdicts)

    @property
    def to_balance(self) -> bool:
        """Whether it is an imbalance that is not outside: below its figure it is put right all the same."""
        return not self.outside and any(verdict.words.endswith(BALANCE_WORDS) for verdict in self.verdicts)

    @property
    def differs(self) -> str:
        """In words, that something else was said of this figure when it was typed than is judged here; '' otherwise.

        Where nothing could be compared there is no verdict to differ from, unless somebody should know of this one.
        """
        here, said = worst(self.verdicts).hint, self.measure.hint or "none"
        if said == here or (said == "none" and here == "inside"):
            return ""
        then, now = (HINT_WORDS.get(hint, hint) for hint in (said, here))
        return f"When this was typed, it was {then}; judged here it is {now}. The judgement here counts."

    @property
    def former(self) -> str:
        """In words, that the figure is of what has been replaced since; '' otherwise."""
        if self.ended is None:
            return ""
        until = f" until {self.ended.retired_on.isoformat()}" if self.ended.retired_on else " then"
        return f"Measured on what hung there{until}, and judged by that"


class SaidAlike(NamedTuple):
    """The verdicts that say the same of a figure, the strictest limit first."""

    result: Result
    words: str
    verdicts: tuple[Verdict, ...]


def said_alike(verdicts: Sequence[Verdict]) -> tuple[SaidAlike, ...]:
    """The verdicts of one figure by what they say, gravest first; each is there once."""
    ranked = list(strictest_first(verdict.limit for verdict in verdicts if verdict.limit is not None))
    found: dict[tuple[Result, str], list[Verdict]] = {}
    for verdict in sorted(verdicts, key=lambda one: ranked.index(one.limit) if one.limit in ranked else len(ranked)):
        found.setdefault((verdict.result, verdict.words), []).append(verdict)
    order = sorted(found, key=lambda key: GRAVITY.index(key[0]))
    return tuple(SaidAlike(*key, tuple(found[key])) for key in order)


def verdict_words(verdicts: Sequence[Verdict], unit: str) -> str:
    """All that the limits say of one figure, as running text: each thing once, gravest first, with its citations."""
    return " ".join(_alike_words(alike, unit) for alike in said_alike(verdicts))


def lead_words(verdicts: Sequence[Verdict], unit: str) -> str:
    """The gravest verdict with the strictest limit that gives it, and how many other limits there are: a short form,
    for where all of them are a step away."""
    lead = said_alike(verdicts)[0]
    limit, others = lead.verdicts[0].limit, len(verdicts) - 1
    edge = f"; outside when {limit.says(unit)}, " if limit is not None and limit.value is not None else "; "
    cited = f"{edge}{limit.citation}" if limit is not None else ""
    beside = f"; {others} other limit{'s' if others > 1 else ''}" if others else ""
    chosen = f"; governing here: {limit.chosen}" if limit is not None and limit.chosen else ""
    return f"{lead.words}{cited}{beside}{chosen}"


def _alike_words(alike: SaidAlike, unit: str) -> str:
    limits = [verdict.limit for verdict in alike.verdicts if verdict.limit is not None]
    cited = [
        ("governing here: " if limit.governing else "")
        + (f"outside when {limit.says(unit)}, " if limit.value is not None else "")
        + limit.citation
        for limit in limits
    ]
    words = alike.words[:1].upper() + alike.words[1:]
    return f"{words}: {'; '.join(cited)}." if cited else f"{words}."


def measure_words(one: Measure) -> str:
    """A figure as it was typed, with its unit: `rope diameter 0.234375 in (typed 15/64)`."""
    return f"{one.quantity.replace('_', ' ')} {typed_words(one.value, one.unit, one.typed)}"


def judged_measures(
    looks: Iterable[Look],
    parts: Mapping[str, Part],
    inventory: Inventory,
    checklists: Sequence[Checklist],
    criteria: Mapping[str, Criterion],
) -> tuple[JudgedMeasure, ...]:
    """Every figure of these looks, judged by the attributes of what it was measured on, as they are known now."""
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


def judging_attributes(inventory: Inventory, part: Part, ended: Life | None = None) -> dict[str, str]:
    """What the limits of a part may turn on: its own attributes, the law of the house's place, and for the run of a set
    its lock's figure. `ended` is what was measured, when something else hangs there now.
    """
    life = ended or inventory.lives.get(part.id)
    attributes = dict(life.attributes) if life else {}
    if inventory.house.settings.get("jurisdiction"):
        attributes["jurisdiction"] = inventory.house.settings["jurisdiction"]
    if part.kind is PartKind.SET_TRAVEL and part.line_set is not None:
        locks = [
            one
            for one in inventory.parts
            if one.line_set == part.line_set and one.kind is PartKind.ROPE_LOCK and one.retired_on is None
        ]
        lock = inventory.lives.get(locks[0].id) if len(locks) == 1 else None
        if lock and lock.attributes.get("imbalance_kg"):
            attributes["imbalance_kg"] = lock.attributes["imbalance_kg"]
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
    ended = _ended(measure, look, inventory)
    verdicts = verdicts_of(measure, criterion, judging_attributes(inventory, part, ended))
    limits = [verdict.limit for verdict in verdicts if verdict.limit is not None]
    return JudgedMeasure(measure, look, part, verdicts, governing_words(criterion, limits), ended)


def _ended(measure: Measure, look: Look, inventory: Inventory) -> Life | None:
    """What was measured, when it has been replaced since. A phone may still name what hung there before its time."""
    life = inventory.earlier.get(measure.life)
    if life is None or (life.retired_on and life.retired_on < look.at.astimezone(zone(inventory.house.tz)).date()):
        return None
    return life


def verdicts_of(
    measure: Measure | TakenMeasure, criterion: Criterion | None, attributes: Mapping[str, str]
) -> tuple[Verdict, ...]:
    """What each limit of a criterion says of a measure of a part with these attributes; what cannot be read is said."""
    try:
        limits = limits_for(criterion, attributes) if criterion else ()
    except BadValue as error:
        return (Verdict(Result.NOT_JUDGED, f"not judged: {error.message}"),)
    return verdicts_by(measure, limits) if limits else (no_limit(criterion, attributes),)


def verdicts_by(measure: Measure | TakenMeasure, limits: Sequence[Limit]) -> tuple[Verdict, ...]:
    """What each of these limits says of a measure; a figure that cannot be read is said, not raised."""
    try:
        return judge(Decimal(measure.value), measure.unit, gauge_step(measure), limits)
    except BadValue as error:
        return (Verdict(Result.NOT_JUDGED, f"not judged: {error.message}"),)
    except InvalidOperation:
        return (Verdict(Result.NOT_JUDGED, f"not judged: “{measure.value}” is not a number"),)


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
        step = convert(step_of(measure), measure.unit, unit)
    except (BadValue, InvalidOperation):
        return None
    title = f"{measure.quantity.replace('_', ' ')}, {_where(part)}"
    return SetValue(part.line_set, group, title, value, unit, step, measure.value if unit == measure.unit else "")


def _group(part: Part, set_kind: str) -> tuple[str, ...]:
    return (set_kind, part.kind.value, str(part.line or ""))


def _where(part: Part) -> str:
    return kind_title(part.kind) + (f", line {part.line}" if part.line else "")
