"""The criteria as they hold in one house: rows that it signed in, the rule set that governs, and how strict it is."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil, floor

from inspect_app.domain.criteria import UPPER, Criterion, Op, Rule
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house_rule import GoverningChoice, SignedValue, Strictness
from inspect_app.domain.judge import Limit, limit_fits, limit_in, limits_for
from inspect_app.domain.limit_form import Difference, Share
from inspect_app.domain.limit_slots import read_figures, with_figures

HALF = Fraction(1, 2)
DIRECTIONS: Mapping[Op, tuple[Op, Op]] = {
    Op.MORE_THAN: (Op.MORE_THAN, Op.AT_LEAST),
    Op.AT_LEAST: (Op.MORE_THAN, Op.AT_LEAST),
    Op.LESS_THAN: (Op.LESS_THAN, Op.AT_MOST),
    Op.AT_MOST: (Op.LESS_THAN, Op.AT_MOST),
}


def house_criteria(
    base: Mapping[str, Criterion], signed: Mapping[str, SignedValue], choices: Mapping[str, GoverningChoice]
) -> dict[str, Criterion]:
    """The shipped criteria with what stands in a house: `signed` by rule id, `choices` by criterion.

    A signed value judges only where the shipped row is from memory and off; one that no longer fits its row is left
    out, so that the row stays off.
    """
    return {key: _criterion(one, signed, choices.get(key)) for key, one in base.items()}


def _criterion(criterion: Criterion, signed: Mapping[str, SignedValue], choice: GoverningChoice | None) -> Criterion:
    touched = any(rule.id in signed for rule in criterion.rules)
    if not touched and choice is None:
        return criterion
    rules = tuple(_rule(rule, signed[rule.id]) if rule.id in signed else rule for rule in criterion.rules)
    return replace(criterion, rules=rules, governing=choice)


def may_be_signed(rule: Rule) -> bool:
    """Whether a house may enter the figures of a row itself: only what is shipped from memory, and off."""
    return rule.mark == "memory" and not rule.active and rule.signed is None


def _rule(rule: Rule, signed: SignedValue) -> Rule:
    if not may_be_signed(rule):
        return rule
    try:
        return signed_rule(rule, signed)
    except (BadValue, ValueError):
        return rule


def signed_rule(rule: Rule, signed: SignedValue) -> Rule:
    """The row with the figures a house signed in, active. Raises BadValue for a figure or comparison that cannot be."""
    if signed.op not in DIRECTIONS[rule.op]:
        raise BadValue("The comparison goes the other way than this row's. Enter it as the clause says.", "op")
    figures = read_figures(rule.form, signed.figures, signed.unit or rule.unit, rule.unit)
    form = with_figures(rule.form, figures)
    if isinstance(form, Difference) and isinstance(form.less, Share) and form.less.factor >= HALF:
        raise BadValue("That is half of the rope or more. Enter what may be lost, not what must be left.", "figures")
    return replace(rule, form=form, op=Op(signed.op), clause=signed.clause, active=True, signed=signed)


def strictness_of(criterion: Criterion, source: str, attribute_sets: Iterable[Mapping[str, str]]) -> Strictness:
    """How the rules of one document stand to the others of the criterion, by the limits worked out for these parts.

    Limits are compared only in the same direction and over the same window. What cannot be compared, or a house
    without such parts, is *not comparable*: then a name and a reason are asked for.
    """
    found: set[Strictness] = set()
    for attributes in attribute_sets:
        try:
            limits = limits_for(criterion, attributes)
        except BadValue:
            found.add(Strictness.NOT_COMPARABLE)
            continue
        found.add(_strictness_here([one for one in limits if one.source == source], limits, source))
    for worst in (Strictness.LESS_STRICT, Strictness.NOT_COMPARABLE):
        if worst in found:
            return worst
    return Strictness.STRICTEST if found else Strictness.NOT_COMPARABLE


def _strictness_here(own: Sequence[Limit], limits: Sequence[Limit], source: str) -> Strictness:
    if not own:
        return Strictness.NOT_COMPARABLE
    said = {_against(own, other) for other in limits if other.source != source}
    for worst in (Strictness.LESS_STRICT, Strictness.NOT_COMPARABLE):
        if worst in said:
            return worst
    return Strictness.STRICTEST


def _against(own: Sequence[Limit], other: Limit) -> Strictness:
    if other.value is None:
        return Strictness.NOT_COMPARABLE
    like = [
        one
        for one in own
        if one.value is not None
        and (one.op in UPPER) == (other.op in UPPER)
        and one.window == other.window
        and limit_fits(one, other.unit)
    ]
    if not like:
        return Strictness.NOT_COMPARABLE
    return Strictness.STRICTEST if any(_at_least_as_strict(one, other) for one in like) else Strictness.LESS_STRICT


def _at_least_as_strict(one: Limit, other: Limit) -> bool:
    mine, theirs = limit_in(one, other.unit), limit_in(other, other.unit)
    if other.unit == "count":  # more than 2.85 and 3 or more are outside at the same count
        mine, theirs = _first_outside(mine, one.op), _first_outside(theirs, other.op)
        return mine <= theirs if one.op in UPPER else mine >= theirs
    if mine == theirs:  # at the same figure, the one that is outside already at the figure is the stricter
        return one.op in {Op.AT_LEAST, Op.AT_MOST} or other.op in {Op.MORE_THAN, Op.LESS_THAN}
    return mine < theirs if one.op in UPPER else mine > theirs


def _first_outside(figure: Fraction, op: Op) -> Fraction:
    """The whole number at which a count is first outside."""
    match op:
        case Op.MORE_THAN:
            return Fraction(floor(figure) + 1)
        case Op.AT_LEAST:
            return Fraction(ceil(figure))
        case Op.LESS_THAN:
            return Fraction(ceil(figure) - 1)
        case Op.AT_MOST:
            return Fraction(floor(figure))


def governing_words(criterion: Criterion | None, limits: Iterable[Limit]) -> str:
    """The sentence printed with each verdict of a criterion for which the house has chosen; '' when it has not.

    `limits` are those of one part. A document chosen because it was the strictest gives no leave where it is not: the
    house has changed since, or its criteria.
    """
    choice, limits = criterion.governing if criterion else None, tuple(limits)
    if choice is None:
        return ""
    documents = list(dict.fromkeys(limit.document for limit in limits))
    here = "governing here" if choice.document in documents else "governing here, with no row for this part"
    others = "; ".join(one for one in documents if one != choice.document)
    words = f"{here}: {choice.words}" + (f"; also shown: {others}" if others else "")
    return words + _no_longer_strictest(choice, limits)


def _no_longer_strictest(choice: GoverningChoice, limits: Sequence[Limit]) -> str:
    own = [limit for limit in limits if limit.source == choice.source]
    if choice.strictness != Strictness.STRICTEST or not own:
        return ""
    now = _strictness_here(own, limits, choice.source)
    if now is Strictness.STRICTEST:
        return ""
    what = "is not" if now is Strictness.LESS_STRICT else "cannot be shown to be"
    return (
        f"; chosen as the strictest, which it {what} for this part: a qualified person has to choose anew and say why"
    )
