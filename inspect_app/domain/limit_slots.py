"""The figures of a limit as places to fill in: what a house enters from its own copy of a document."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from inspect_app.domain.errors import BadValue
from inspect_app.domain.limit_form import Difference, Fixed, Form, Lookup, Row, Share, number
from inspect_app.domain.units import MM_PER_INCH, convert, decimal_text

WHOLE = Fraction(100)
LARGEST = Fraction(10**6)  # beyond any figure of a criterion; a slip of the thumb is caught, nothing else


class Slot(NamedTuple):
    """One figure of a limit: what it stands for ('' when there is only one), and whether it is a percentage."""

    label: str
    percent: bool
    value: Fraction


def slots(form: Form) -> tuple[Slot, ...]:
    """The figures of a form in order. A base that is taken whole is no figure to enter."""
    return tuple(_slots(form, ""))


def _slots(form: Form, label: str) -> Iterator[Slot]:
    match form:
        case Fixed(value):
            yield Slot(label, False, value)
        case Share(_, factor):
            if factor != 1:
                yield Slot(label, True, factor * 100)
        case Lookup(attribute, rows, otherwise):
            for row in rows:
                yield from _slots(row.form, row_label(row, attribute))
            if otherwise is not None:
                yield from _slots(otherwise, "all others")
        case Difference(base, less):
            yield from _slots(base, label)
            yield from _slots(less, label)


def row_label(row: Row, attribute: str) -> str:
    """A table row in words: the word it is for, or from and to, as sizes where the attribute is one in mm."""
    if row.word is not None:
        return row.word
    shown = size_words if attribute.endswith("_mm") else decimal_text
    low, high = (shown(size) if size is not None else "" for size in (row.low, row.high))
    if low == high:
        return low
    return f"{low} to {high}" if low and high else f"up to {high}" if high else f"from {low}"


def size_words(mm: Fraction, *, both: bool = False) -> str:
    """A size in inches where it is a whole number of sixty-fourths, as `1 1/8 in`, else in millimetres.

    With `both`, the millimetres stand behind the inches: `9/16 in, 14.2875 mm`.
    """
    inches, metric = mm / MM_PER_INCH, f"{decimal_text(mm)} mm"
    if 64 % inches.denominator:
        return metric
    whole, rest = divmod(inches, 1)
    words = " ".join(filter(None, (str(whole) if whole or not rest else "", str(rest) if rest else "", "in")))
    return f"{words}, {metric}" if both else words


def read_figures(form: Form, typed: Sequence[str], unit: str, rule_unit: str) -> tuple[Fraction, ...]:
    """Typed figures as exact numbers in the unit of the rule (percentages as they are).

    Raises BadValue, naming the place, for a figure that is missing, not a number, not above zero or absurdly large.
    """
    places = slots(form)
    if len(typed) != len(places):
        raise BadValue(f"This row has {len(places)} figures and {len(typed)} were entered. Enter each.", "figures")
    return tuple(_figure(text, place, unit, rule_unit) for text, place in zip(typed, places, strict=True))


def _figure(text: str, place: Slot, unit: str, rule_unit: str) -> Fraction:
    named = f" for {place.label}" if place.label else ""
    try:
        value = number(text.strip().replace(",", "."))
    except BadValue:
        raise BadValue(f"The figure{named} is “{text[:40]}”, which is not a number.", "figures") from None
    if not 0 < value <= LARGEST:
        raise BadValue(f"The figure{named} is {text[:40]}; it must be above zero and no slip of the thumb.", "figures")
    if value > WHOLE and (place.percent or rule_unit == "percent"):
        raise BadValue(f"The figure{named} is {text[:40]} percent; no share is more than 100.", "figures")
    return value if place.percent else convert(value, unit, rule_unit)


def with_figures(form: Form, figures: Sequence[Fraction]) -> Form:
    """The form with other figures, in the order of `slots`. Raises BadValue when their number differs."""
    if len(figures) != len(slots(form)):
        raise BadValue("The number of figures is not that of the row.", "figures")
    return _filled(form, iter(figures))


def _filled(form: Form, figures: Iterator[Fraction]) -> Form:
    match form:
        case Fixed():
            return Fixed(next(figures))
        case Share(_, factor):
            return form if factor == 1 else replace(form, factor=next(figures) / 100)
        case Lookup(_, rows, otherwise):
            filled = tuple(replace(row, form=_filled(row.form, figures)) for row in rows)
            return replace(form, rows=filled, otherwise=_filled(otherwise, figures) if otherwise else None)
        case Difference(base, less):
            return Difference(_filled(base, figures), _filled(less, figures))
