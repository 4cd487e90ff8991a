"""A limit in words before it is worked out for any part: a figure, a share of something, a table."""

from collections.abc import Mapping
from fractions import Fraction

from inspect_app.domain.criteria import OP_WORDS, Criterion, Op, Rule
from inspect_app.domain.limit_form import Difference, Fixed, Form, Lookup, Share
from inspect_app.domain.limit_slots import row_label, size_words
from inspect_app.domain.units import decimal_text, with_sign

SEEN_WORDS = "it is seen"  # of a condition, whose figure of 1 is nobody's to count


def rule_words(rule: Rule, criterion: Criterion) -> str:
    """What counts as outside: `more than 5 % of the number of wires in the rope`; of a condition: `it is seen`."""
    if criterion.is_condition:
        return SEEN_WORDS
    form, words = form_words(rule.form, rule.unit, criterion.attribute_titles), OP_WORDS[rule.op]
    if isinstance(rule.form, Lookup):
        return f"{_table_lead(rule.op)} the figure {form}"
    return f"{form} {words}" if words.startswith("or ") else f"{words} {form}"


def _table_lead(op: Op) -> str:
    return {Op.AT_LEAST: "at or above", Op.AT_MOST: "at or below"}.get(op, OP_WORDS[op])


def form_words(form: Form, unit: str, titles: Mapping[str, str]) -> str:
    """A form in words, its figures in `unit`."""
    match form:
        case Fixed(value):
            return figure_words(value, unit)
        case Share(attribute, factor, _) if attribute.endswith("_count") and unit != "count":
            return f"{figure_words(factor, unit)} times the {titles.get(attribute, attribute)}"
        case Share(attribute, factor, round_up) if factor >= 2:
            return f"{decimal_text(factor)} times the {titles.get(attribute, attribute)}" + _up(round_up)
        case Share(attribute, factor, round_up):
            share = "" if factor == 1 else f"{decimal_text(factor * 100, 2)} % of "
            return f"{share}the {titles.get(attribute, attribute)}" + _up(round_up)
        case Lookup(attribute, rows, otherwise):
            cells = [f"{row_label(row, attribute)}: {form_words(row.form, unit, titles)}" for row in rows]
            cells += [f"all others: {form_words(otherwise, unit, titles)}"] if otherwise is not None else []
            return f"by {titles.get(attribute, attribute)}: " + "; ".join(cells)
        case Difference(base, Lookup(attribute, rows, None)):
            cells = [f"{row_label(row, attribute)}: {_reduction(row.form, unit, titles)}" for row in rows]
            lead = f"{form_words(base, unit, titles)} less a figure by {titles.get(attribute, attribute)}"
            return f"{lead}: " + "; ".join(cells)
        case Difference(base, less):
            return f"{form_words(base, unit, titles)} less {form_words(less, unit, titles)}"


def _reduction(form: Form, unit: str, titles: Mapping[str, str]) -> str:
    """What is taken off, as its table prints it where that is in inches: `1/64 in, about 0.3969 mm`."""
    if isinstance(form, Fixed) and unit == "mm":
        return size_words(form.value, both=True)
    return form_words(form, unit, titles)


def _up(round_up: bool) -> str:
    return ", rounded up" if round_up else ""


def figure_words(value: Fraction, unit: str) -> str:
    """A figure with its unit; a ratio such as 1/40 stays a ratio."""
    if unit == "none" and value.numerator == 1 and value.denominator > 1:
        return f"1 in {value.denominator}"
    return with_sign(value, unit)
