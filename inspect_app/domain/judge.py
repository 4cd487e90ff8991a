"""Judging one measure: each published limit that fits the part gives a verdict in fixed words, never “safe”."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from inspect_app.domain.criteria import OP_WORDS, Consequence, Criterion, Op, Rule
from inspect_app.domain.errors import BadValue
from inspect_app.domain.limit_form import Missing, number, value_of
from inspect_app.domain.limit_slots import size_words
from inspect_app.domain.limit_words import SEEN_WORDS, figure_words
from inspect_app.domain.source import MARK_WORDS
from inspect_app.domain.units import UNITS, Number, convert, exact, mass_of, unit_named, weight_of


class Result(StrEnum):
    """What one limit says of one measure."""

    OUTSIDE = "outside"
    CANNOT_TELL = "cannot_tell"
    INSIDE = "inside"
    NOT_JUDGED = "not_judged"
    NO_LIMIT = "no_limit"


OUTSIDE_WORDS: Mapping[Consequence, str] = {
    Consequence.LOAD_PATH: "outside the cited criterion: take out of use and have a qualified person decide",
    Consequence.EDGE: (
        "outside the cited criterion: keep people clear of it or use the house's accepted measure, "
        "and have a qualified person decide"
    ),
    Consequence.LABEL: "outside: put right by the date",
    Consequence.LOOK: "named in the cited document as a fault to look for: have a qualified person look at it",
    Consequence.BALANCE: (
        "outside the cited criterion: take out of use and have a qualified person decide; balance the set"
    ),
}
INSIDE_WORDS = "inside the cited criterion, this measure only"
BALANCE_WORDS = "balance the set"  # no figure for a lock is ever read as leave to fly a set out of balance
NO_FIGURE_WORDS = "no figure: balance the set"
CANNOT_TELL_WORDS = "cannot tell with this gauge"
NO_LIMIT_WORDS = "no published limit"
TOO_FAR_WORDS = "not judged: far above the cited figure; check the figure and its unit"
# From how many times a least length, force or ratio is no finding but a slip of the unit or the point, which must
# not be called inside: millimetres typed as inches are 25 times as much. A worn rope is hardly thicker than a new one.
# Our choice, no source.
TIMES_TOO_FAR, TIMES_TOO_FAR_ROPE = 10, 2
SLIPS_IN = frozenset({"length", "force", "ratio"})


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit worked out for one part, in `unit`. `value` is None when `why_not` says what is missing.

    `entered` says who of the house entered the figure of a row from memory; `governing` that the house chose its
    document to govern; `chosen` names the document that was chosen, this or another, with who chose it and why;
    `condition` says that it is of something seen, with no figure to measure. A figure of `too_far` or more, in `unit`,
    is no measure of such a part.
    """

    rule: str
    op: Op
    value: Fraction | None
    unit: str
    consequence: Consequence
    basis: str
    window: str
    source: str
    document: str
    source_title: str
    authority: str
    clause: str
    mark: str
    applies_to: str
    by_analogy: bool
    weight: bool = False
    note: str = ""
    missing: str = ""
    why_not: str = ""
    entered: str = ""
    governing: bool = False
    chosen: str = ""
    condition: bool = False
    too_far: Fraction | None = None

    @property
    def mark_words(self) -> str:
        """How the clause was read, in words; for a row that the house has signed in, who entered it and from what."""
        return self.entered or MARK_WORDS[self.mark]

    @property
    def citation(self) -> str:
        """Document and clause, always with how it was read, and whether it is an analogy."""
        extras = [self.mark_words] + (["by analogy"] if self.by_analogy else [])
        return f"{self.document} {self.clause} ({', '.join(extras)})"

    def says(self, unit: str | None = None) -> str:
        """The limit in words and in the unit asked for: what counts as outside, as `less than 0.2375 in`.

        Of a condition: `it is seen`.
        """
        if self.value is None:
            return self.why_not
        if self.condition:
            return SEEN_WORDS
        unit = unit if unit and limit_fits(self, unit) else self.unit
        shown, words = figure_words(limit_in(self, unit), unit), OP_WORDS[self.op]
        return f"{shown} {words}" if words.startswith("or ") else f"{words} {shown}"


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a limit says of a measure, in the exact words to show. `limit` is None only for *no published limit*."""

    result: Result
    words: str
    limit: Limit | None = None

    @property
    def hint(self) -> str:
        """The word for an entry's `hint`: inside, outside, cannot_tell or none."""
        return "none" if self.result in {Result.NOT_JUDGED, Result.NO_LIMIT} else self.result.value


def inside_words(consequence: Consequence) -> str:
    """What is said of a measure inside a limit."""
    return BALANCE_WORDS if consequence is Consequence.BALANCE else INSIDE_WORDS


def limits_for(criterion: Criterion, attributes: Mapping[str, object]) -> tuple[Limit, ...]:
    """All active limits that fit a part with these attributes, in the order of the file; conflicts stay side by side.

    A row whose conditions the part plainly does not meet is left out; one that needs an attribute which is not recorded
    or cannot be is returned without a value and says which: it never hides another row that is outside.
    """
    known = _known(criterion, attributes)
    limits = (_limit(criterion, rule, known) for rule in criterion.rules if rule.active)
    return tuple(limit for limit in limits if limit is not None)


def _known(criterion: Criterion, attributes: Mapping[str, object]) -> dict[str, object]:
    """The part's attributes, over what follows from them (a construction's wires), over what the criterion assumes."""
    given = {key: value for key, value in attributes.items() if value is not None and str(value).strip()}
    known: dict[str, object] = dict(criterion.assumes)
    for attribute, rows in criterion.derived.items():
        known.update(rows.get(str(given.get(attribute, "")).strip(), {}))
    known.update(given)
    return known


def _limit(criterion: Criterion, rule: Rule, known: Mapping[str, object]) -> Limit | None:
    if rule.jurisdictions and not _within(str(known.get("jurisdiction", "")), rule.jurisdictions):
        return None
    if any(str(known[key]).strip() not in allowed for key, allowed in rule.when.items() if key in known):
        return None
    for attribute in rule.when:
        if attribute not in known:
            return _built(criterion, rule, Missing(attribute))
    value = _value(rule, known)
    if rule.own_sizes and isinstance(value, Missing) and value.no_row:
        return None
    return _built(criterion, rule, value)


def _value(rule: Rule, known: Mapping[str, object]) -> Fraction | Missing:
    try:
        return value_of(rule.form, known)
    except BadValue as error:
        return Missing(error.field or "", said=error.message)


def _within(house: str, places: Sequence[str]) -> bool:
    """US law holds in US-WA; the law of US-WA does not hold in the rest of the US."""
    return any(house == place or house.startswith(f"{place}-") for place in places)


def _built(criterion: Criterion, rule: Rule, value: Fraction | Missing) -> Limit:
    return Limit(
        rule=rule.id,
        op=rule.op,
        value=None if isinstance(value, Missing) else value,
        unit=rule.unit,
        consequence=criterion.consequence,
        basis=rule.basis,
        window=rule.window,
        source=rule.source.key,
        document=rule.source.document,
        source_title=rule.source.title,
        authority=rule.source.authority,
        clause=rule.clause,
        mark=rule.mark,
        applies_to=rule.applies_to,
        by_analogy=rule.by_analogy,
        weight=rule.weight,
        note=rule.note,
        missing=value.attribute if isinstance(value, Missing) else "",
        why_not=_why_not(criterion, value) if isinstance(value, Missing) else "",
        entered=rule.signed.words if rule.signed else "",
        governing=criterion.governing is not None and criterion.governing.source == rule.source.key,
        chosen=criterion.governing.words if criterion.governing else "",
        condition=criterion.is_condition,
        too_far=None if isinstance(value, Missing) else _too_far(criterion, rule, value),
    )


def _too_far(criterion: Criterion, rule: Rule, value: Fraction) -> Fraction | None:
    if rule.op not in {Op.LESS_THAN, Op.AT_MOST} or UNITS[rule.unit].dimension not in SLIPS_IN:
        return None
    return value * (TIMES_TOO_FAR_ROPE if criterion.quantity.startswith("rope_diameter") else TIMES_TOO_FAR)


def _why_not(criterion: Criterion, missing: Missing) -> str:
    if criterion.consequence is Consequence.BALANCE:
        return NO_FIGURE_WORDS
    title = criterion.attribute_titles.get(missing.attribute, missing.attribute)
    if missing.said:
        return f"not judged: {missing.said.replace(missing.attribute, f'the {title}', 1) if title else missing.said}"
    if missing.no_row:
        shown = size_words(number(missing.shown), both=True) if missing.attribute.endswith("_mm") else missing.shown
        return f"not judged: the cited table has no row for this {title} ({shown})"
    return f"not judged: the {title} is not recorded for this part"


def limit_fits(limit: Limit, unit: str) -> bool:
    """Whether a measure in this unit can be set against the limit."""
    here, there = unit_named(unit).dimension, UNITS[limit.unit].dimension
    return here == there or (limit.weight and {here, there} == {"mass", "force"})


def limit_in(limit: Limit, unit: str) -> Fraction:
    """The limit's value in another unit, exactly. Raises BadValue without a value or across dimensions."""
    if limit.value is None:
        raise BadValue(limit.why_not, "value")
    here, there = UNITS[limit.unit].dimension, unit_named(unit).dimension
    if limit.weight and (here, there) == ("mass", "force"):
        return weight_of(limit.value, limit.unit, unit)
    if limit.weight and (here, there) == ("force", "mass"):
        return mass_of(limit.value, limit.unit, unit)
    return convert(limit.value, limit.unit, unit)


def too_far_in(limit: Limit, unit: str) -> Fraction:
    """The figure from which on nothing is said, in another unit, exactly. Raises BadValue as `limit_in` does."""
    return limit_in(replace(limit, value=limit.too_far), unit)


def judge(value: Number, unit: str, resolution: Number | None, limits: Sequence[Limit]) -> tuple[Verdict, ...]:
    """One verdict for each limit, in their order; a single *no published limit* when there is none.

    `resolution` is the gauge's smallest step in the same unit. A reading stands for anything within half a step of it,
    so a limit that lies within half a step cannot be told from the reading; counts are exact and take no resolution.
    Without one the value is compared exactly, and a value at the limit follows the clause: *more than 5* is inside at
    5, *5 or more* is outside. Raises BadValue for a value not finite or negative and for a count with a fraction.
    """
    size = _checked(value, unit)
    half = _half_step(resolution, unit)
    if not limits:
        return (Verdict(Result.NO_LIMIT, NO_LIMIT_WORDS),)
    return tuple(_verdict(size, unit, half, limit) for limit in limits)


def _checked(value: Number, unit: str) -> Fraction:
    size = exact(value)
    if size < 0 and unit_named(unit).key != "dB":
        raise BadValue(f"{value} is negative; this measure cannot be. Check the sign.", "value")
    if unit_named(unit).dimension == "count" and size.denominator != 1:
        raise BadValue(f"{value} is not a whole number; a count is 0, 1, 2 and so on.", "value")
    return size


def _half_step(resolution: Number | None, unit: str) -> Fraction | None:
    if resolution is None or unit_named(unit).dimension == "count":
        return None
    step = exact(resolution)
    if step <= 0:
        raise BadValue(f"The gauge's resolution is {resolution}; it must be more than zero.", "resolution")
    return step / 2


def _verdict(size: Fraction, unit: str, half: Fraction | None, limit: Limit) -> Verdict:
    if limit.value is None:
        return Verdict(Result.NOT_JUDGED, limit.why_not, limit)
    if not limit_fits(limit, unit):
        words = (
            f"not judged: the cited criterion is given as {UNITS[limit.unit].dimension}, not as {UNITS[unit].dimension}"
        )
        return Verdict(Result.NOT_JUDGED, words, limit)
    edge = limit_in(limit, unit)
    if half is not None and abs(size - edge) <= half:
        more = f"; {BALANCE_WORDS}" if limit.consequence is Consequence.BALANCE else ""
        return Verdict(Result.CANNOT_TELL, CANNOT_TELL_WORDS + more, limit)
    if _is_outside(size, limit.op, edge):
        return Verdict(Result.OUTSIDE, OUTSIDE_WORDS[limit.consequence], limit)
    if limit.too_far is not None and size >= too_far_in(limit, unit):
        return Verdict(Result.NOT_JUDGED, TOO_FAR_WORDS, limit)
    return Verdict(Result.INSIDE, inside_words(limit.consequence), limit)


def _is_outside(size: Fraction, op: Op, edge: Fraction) -> bool:
    return {
        Op.MORE_THAN: size > edge,
        Op.AT_LEAST: size >= edge,
        Op.LESS_THAN: size < edge,
        Op.AT_MOST: size <= edge,
    }[op]


GRAVITY = (Result.OUTSIDE, Result.CANNOT_TELL, Result.INSIDE, Result.NOT_JUDGED, Result.NO_LIMIT)


def worst(verdicts: Sequence[Verdict]) -> Verdict:
    """The verdict to lead with: outside if any is outside, then cannot tell, inside, not judged, no published limit.

    *Inside* is said of the cited criterion only: show `unjudged` beside it. Without verdicts: no published limit.
    """
    return min(verdicts, key=lambda v: GRAVITY.index(v.result), default=Verdict(Result.NO_LIMIT, NO_LIMIT_WORDS))


def unjudged(verdicts: Sequence[Verdict]) -> tuple[str, ...]:
    """The reasons, each once, why some limits could not be set against the measure."""
    return tuple(dict.fromkeys(v.words for v in verdicts if v.result is Result.NOT_JUDGED))
