"""How worksheets write figures: the house's units first, the other system behind them; and verdicts as outcomes."""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from math import floor, log10

from inspect_app.domain.attribute_value import exact_text
from inspect_app.domain.criteria import Criterion
from inspect_app.domain.errors import NotFound
from inspect_app.domain.force import pounds, pounds_force
from inspect_app.domain.house_criteria import governing_words
from inspect_app.domain.house_rule import PLACES
from inspect_app.domain.judge import Limit, Result, Verdict, judge, limit_in, limits_for, worst
from inspect_app.domain.length import SIXTEENTH_MM, format_feet_inches
from inspect_app.domain.no_limit import no_limit_words
from inspect_app.domain.source import MARK_WORDS
from inspect_app.domain.units import MM_PER_FOOT, MM_PER_INCH, N_PER_POUND_FORCE, UNITS, Number, with_sign
from inspect_app.domain.worksheet import Ask, Input, Load, Outcome, Reading, Reference, Table

FIGURES = 4
A_FLOAT = Fraction(1, 10**6)  # places along a batten come as floats: as near as this is exact
EVERYWHERE = "all"
LAWS: tuple[tuple[str, str], ...] = (  # the places that a house can be in, but for those without rules of their own
    (EVERYWHERE, "every rule set in the data"),
    *((place, words) for place, words in PLACES.items() if place not in ("", "other")),
)


def rounded(value: Fraction | float, figures: int = FIGURES) -> str:
    """A number to so many significant figures, whole digits never cut: 282.8, 0.2375, 12345. For display only."""
    exact = Fraction(value)
    if not exact:
        return "0"
    places = max(figures - 1 - floor(log10(abs(exact))), 0)
    scaled = int(abs(exact) * 10**places + Fraction(1, 2))
    text = f"{scaled // 10**places}" + (f".{scaled % 10**places:0{places}d}".rstrip("0").rstrip(".") if places else "")
    return f"-{text}" if exact < 0 and scaled else text


def length_words(mm: Fraction | float, units: str) -> str:
    """`0.2375 in (6.033 mm)` below a foot, `12'-6 1/2" (3823 mm)` from a foot on; the other way round in metric."""
    size = Fraction(mm)
    imperial = f"{rounded(size / MM_PER_INCH)} in" if abs(size) < MM_PER_FOOT else _feet_inches(size)
    metric = f"{rounded(size)} mm"
    return f"{imperial} ({metric})" if units == "imperial" else f"{metric} ({imperial})"


def given_length(mm: Fraction, units: str) -> str:
    """A length as it was given, which nothing is rounded off: `38.99 in (990.346 mm)`, never `3'-3" (990.3 mm)`."""
    inches = with_sign(mm / MM_PER_INCH, "in")
    if abs(mm) >= MM_PER_FOOT and (units != "imperial" or (mm / SIXTEENTH_MM).denominator == 1):
        inches = _feet_inches(mm)
    metric = with_sign(mm, "mm")
    return f"{inches} ({metric})" if units == "imperial" else f"{metric} ({inches})"


def given_force(newtons: Fraction, units: str) -> str:
    """A force as it was given, in the house's unit unrounded: `199.99 lbf (889.6 N)`."""
    if units == "imperial":
        return f"{with_sign(pounds_force(newtons), 'lbf')} ({rounded(newtons)} N)"
    return f"{with_sign(newtons, 'N')} ({rounded(pounds_force(newtons))} lbf)"


def _feet_inches(mm: Fraction) -> str:
    """Feet and inches: by sixteenths where that is exact, else in hundredths, so that 38.99 in never reads 3'-3\"."""
    if abs(mm / SIXTEENTH_MM - round(mm / SIXTEENTH_MM)) < A_FLOAT:
        return format_feet_inches(mm)
    hundredths = int(abs(mm) * 100 / MM_PER_INCH + Fraction(1, 2))
    feet, rest = divmod(hundredths, 1200)
    inches = f"{rest // 100}" + (f".{rest % 100:02}".rstrip("0") if rest % 100 else "")
    return f"{'-' if mm < 0 else ''}{feet}'-{inches}\""


def force_words(newtons: Fraction | float, units: str) -> str:
    """`282.8 lbf (1258 N)`, or in a metric house `1258 N (282.8 lbf)`; kN from 10 kN on."""
    force = Fraction(newtons)
    imperial = f"{rounded(pounds_force(force))} lbf"
    metric = f"{rounded(force / 1000)} kN" if abs(force) >= 10_000 else f"{rounded(force)} N"
    return f"{imperial} ({metric})" if units == "imperial" else f"{metric} ({imperial})"


def mass_words(kg: Fraction | float, units: str) -> str:
    """`1200 lb (544.3 kg)`, or the other way round."""
    mass = Fraction(kg)
    imperial, metric = f"{rounded(pounds(mass))} lb", f"{rounded(mass)} kg"
    return f"{imperial} ({metric})" if units == "imperial" else f"{metric} ({imperial})"


def moment_words(newton_mm: Fraction | float, units: str) -> str:
    """A bending moment: `221.5 lbf·ft (300.3 N·m)`, or the other way round."""
    moment = Fraction(newton_mm)
    imperial = f"{rounded(moment / N_PER_POUND_FORCE / MM_PER_FOOT)} lbf·ft"
    metric = f"{rounded(moment / 1000)} N·m"
    return f"{imperial} ({metric})" if units == "imperial" else f"{metric} ({imperial})"


def line_mass_words(kg_per_m: Fraction | float, units: str) -> str:
    """The mass of a rope: `11 lb per 100 ft (0.1637 kg/m)`, or the other way round."""
    mass = Fraction(kg_per_m)
    imperial = f"{rounded(100 * mass / UNITS['lb_per_ft'].factor)} lb per 100 ft"
    metric = f"{rounded(mass)} kg/m"
    return f"{imperial} ({metric})" if units == "imperial" else f"{metric} ({imperial})"


def torque_words(newton_m: Fraction | float, units: str) -> str:
    """The torque of a wrench: `15 lbf·ft (20.34 N·m)`, or the other way round."""
    return moment_words(1000 * Fraction(newton_m), units)


_BEFORE_A_UNIT = re.compile(r"(?<=[\d\"]) (?=\d+/\d+\"|(?:in|mm|m|ft|lbf?|kg|k?N|lbf·ft|N·m|%)(?!\w))")


def kept_together(text: str) -> str:
    """The same words, with no line ending between a figure and its fraction or its unit."""
    return _BEFORE_A_UNIT.sub("\u00a0", text)


def criterion_of(reference: Reference, key: str) -> Criterion:
    """A criterion by its key. Raises NotFound when the reference data do not have it."""
    criterion = reference.criteria.get(key)
    if criterion is None:
        raise NotFound(f"The reference data have no criterion “{key}”; the calculation cannot be made.")
    return criterion


def attributes_of(values: Mapping[str, object], *keys: str) -> dict[str, object]:
    """The named inputs as attributes that limits turn on; lengths as text in mm."""
    return {
        key: exact_text(values[key]) if isinstance(values[key], Fraction) else values[key]  # type: ignore[arg-type]
        for key in keys
        if key in values
    }


def limits_shown(criterion: Criterion, attributes: Mapping[str, object], law: str) -> tuple[Limit, ...]:
    """The active limits that fit, of one jurisdiction or of all that the data name, each once."""
    if law and law != EVERYWHERE:
        return limits_for(criterion, {**attributes, "jurisdiction": law})
    places = dict.fromkeys(place for rule in criterion.rules for place in rule.jurisdictions)
    found: dict[str, Limit] = {}
    for place in places or ("",):
        known = {**attributes, "jurisdiction": place} if place else attributes
        for limit in limits_for(criterion, known):
            found.setdefault(limit.rule, limit)
    order = [rule.id for rule in criterion.rules]
    return tuple(sorted(found.values(), key=lambda limit: order.index(limit.rule)))


def verdict_outcomes(
    criterion: Criterion,
    value: Number,
    unit: str,
    resolution: Number | None,
    limits: Sequence[Limit],
    *,
    shown_unit: str = "",
) -> tuple[Outcome, ...]:
    """The worst verdict first (under the criterion's title), then one outcome for each limit, with its citation."""
    return outcomes_of(criterion, judge(value, unit, resolution, limits), limits, shown_unit or unit)


def given_outcomes(
    criterion: Criterion,
    value: Number,
    unit: str,
    limits: Sequence[Limit],
    given: str,
    known: Mapping[str, object],
    *,
    resolution: Number | None = None,
    shown_unit: str = "",
) -> tuple[Outcome, ...]:
    """The same with what was `given` in its first line.

    Where no limit is in use for what is `known`, that line says why.
    """
    if not limits:
        return (Outcome(criterion.title, given, words=no_limit_words(criterion, known)),)
    first, *rest = verdict_outcomes(criterion, value, unit, resolution, limits, shown_unit=shown_unit)
    return (replace(first, value=given), *rest)


def outcomes_of(
    criterion: Criterion, verdicts: Sequence[Verdict], limits: Sequence[Limit], unit: str
) -> tuple[Outcome, ...]:
    """Verdicts, the worst of all first, then one outcome for each; limits are shown in `unit` where it fits."""
    leading = worst(verdicts)
    governing = governing_words(criterion, limits)
    words = "; ".join(filter(None, (_leading_words(leading, verdicts), governing)))
    first = Outcome(criterion.title, "", words=words, tone=_tone(leading))
    return (first, *(_outcome(verdict, unit) for verdict in verdicts if verdict.limit is not None))


def _leading_words(leading: Verdict, verdicts: Sequence[Verdict]) -> str:
    split = {verdict.result for verdict in verdicts} & {Result.OUTSIDE, Result.INSIDE}
    also = "; the documents differ, all are shown below" if len(split) == 2 else ""
    return f"{_given_words(leading)}{also}"


def _given_words(verdict: Verdict) -> str:
    """A verdict's words where there is no part, only what was typed."""
    return verdict.words.replace("is not recorded for this part", "is not given")


def _tone(verdict: Verdict) -> str:
    return "plain" if verdict.result is Result.NO_LIMIT else verdict.result.value


def _outcome(verdict: Verdict, unit: str) -> Outcome:
    limit = verdict.limit
    if limit is None:
        return Outcome("", "", words=_given_words(verdict), tone=_tone(verdict))
    says = f"outside when {_both(limit, unit)}" if limit.value is not None else ""
    label = f"{limit.applies_to[:1].upper()}{limit.applies_to[1:]}; {limit.window}"
    return Outcome(label, says, words=_given_words(verdict), citation=limit.citation, tone=_tone(verdict))


def _both(limit: Limit, unit: str) -> str:
    """The limit in the unit asked for, and behind it in the unit of its row in the data."""
    here = limit.says(unit)
    if limit.says() == here:
        return here
    return f"{here} ({with_sign(limit_in(limit, limit.unit), limit.unit)})"


def switched_off(criteria: Iterable[Criterion]) -> tuple[str, ...]:
    """A caution naming the rows that judge nothing: from memory and not signed for, or kept for show."""
    rows = [
        f"{rule.source.document} {rule.clause}"
        for criterion in criteria
        for rule in criterion.rules
        if not rule.active and rule.mark == "memory"
    ]
    if not rows:
        return ()
    named = "; ".join(dict.fromkeys(rows))
    return (f"From memory, switched off and judging nothing here until a qualified person signs them in: {named}.",)


def notes_of(*criteria: Criterion) -> tuple[str, ...]:
    """The notes of criteria, each once."""
    return tuple(dict.fromkeys(criterion.note for criterion in criteria if criterion.note))


def table_of(title: str, headings: Sequence[str], rows: Iterable[Sequence[str]], *notes: str) -> Table:
    """A table from any rows of text."""
    return Table(title, tuple(headings), tuple(tuple(row) for row in rows), notes)


_WRITTEN: Mapping[Ask, Callable[[Fraction, str], str]] = {
    Ask.LENGTH: given_length,
    Ask.MASS: mass_words,
    Ask.FORCE: given_force,
    Ask.LINE_MASS: line_mass_words,
    Ask.TORQUE: torque_words,
}


def input_words(one: Input, value: object, units: str) -> str:
    """An input as it was understood, in both systems where it has a unit; a list has a line for each row."""
    if isinstance(value, Fraction):
        written = _WRITTEN.get(one.ask)
        if written is not None:
            return written(value, units)
        return f"{rounded(value, 6)}°" if one.ask is Ask.ANGLE else rounded(value, 6)
    if one.ask is Ask.CHOICE:
        return dict(one.choices).get(str(value), str(value))
    if isinstance(value, tuple):
        return "\n".join(_row_words(row, one.bare_unit(units), units) for row in value)
    return str(value)


def _row_words(row: object, bare: str, units: str) -> str:
    if isinstance(row, Fraction):
        return length_words(row, units)
    if isinstance(row, Load):
        named = f"{row.name}: " if row.name else ""
        where = f"at {length_words(row.at_mm, units)}"
        if row.to_mm is not None:
            where = f"spread from {length_words(row.at_mm, units)} to {length_words(row.to_mm, units)}"
        return f"{named}{force_words(row.newtons, units)} {where}"
    if isinstance(row, Reading):
        return f"{row.on}: {rounded(row.value, 6) if bare == 'count' else length_words(row.value, units)}"
    return str(row)


def source_words(reference: Reference, key: str, clause: str) -> str:
    """A document of the data with a clause and how it was read; its key alone when the data do not have it."""
    source = reference.sources.get(key)
    return f"{source.document} {clause} ({MARK_WORDS[source.how_read]})" if source else f"{key} {clause}"
