"""How a limit is written: a figure, a share of an attribute, a row of a table, or one less another; and its value.

`parse_form` reads the YAML form, `value_of` works it out for the attributes of one part, exactly.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Any

from inspect_app.domain.errors import BadValue
from inspect_app.domain.length import parse_length
from inspect_app.domain.source import KeyPath, KeyProblem, known_keys
from inspect_app.domain.units import exact

# Nominal rope sizes are stored in mm, often rounded to two places (5/16 in = 7.9375 mm as 7.94), and 9.5 mm is written
# for 3/8 in (9.525 mm). 0.03 mm tells these from the next metric size (8 mm is 0.0625 mm away). Our choice, no source.
SAME_SIZE_MM = Fraction("0.03")
MAX_DIGITS = 40
NOTHING_LEFT = "what may be lost by the cited criterion is all of this part or more"
# From and to what a rope of a house can have, in mm or wires: beyond it is a figure in another unit, or a slip that
# would let a limit pass everything. Our choice, no source.
PLAUSIBLE: Mapping[str, tuple[int, int]] = {
    "rope_diameter_mm": (1, 150),
    "rope_baseline_mm": (1, 150),
    "rope_wires_total": (1, 1000),
    "rope_wires_outer": (1, 1000),
    "rope_wires_per_strand": (1, 100),
}


@dataclass(frozen=True, slots=True)
class Fixed:
    """A plain figure."""

    value: Fraction


@dataclass(frozen=True, slots=True)
class Share:
    """A factor times an attribute; `round_up` to the next whole number where the document says so."""

    attribute: str
    factor: Fraction
    round_up: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """A table row: for an attribute from `low` to `high` (numbers, both included, None = open) or equal to `word`."""

    low: Fraction | None
    high: Fraction | None
    word: str | None
    form: "Form"


@dataclass(frozen=True, slots=True)
class Lookup:
    """The row of a table that fits an attribute. `otherwise` serves words that no row names."""

    attribute: str
    rows: tuple[Row, ...]
    otherwise: "Form | None" = None


@dataclass(frozen=True, slots=True)
class Difference:
    """One form less another."""

    base: "Form"
    less: "Form"


Form = Fixed | Share | Lookup | Difference


@dataclass(frozen=True, slots=True)
class Missing:
    """Why a form has no value: the attribute that is not recorded, that no row fits, or what `said` says of it."""

    attribute: str
    no_row: bool = False
    shown: str = ""
    said: str = ""


def number(text: object) -> Fraction:
    """Decimal text or a fraction such as 100/3 as an exact number. Raises BadValue."""
    words = str(text).strip()
    try:
        return Fraction(words) if "/" in words and len(words) <= MAX_DIGITS else exact(Decimal(words))
    except (ValueError, InvalidOperation, ZeroDivisionError):
        raise BadValue(f"“{words[:MAX_DIGITS]}” is not a number.", "value") from None


def value_of(form: Form, attributes: Mapping[str, object]) -> Fraction | Missing:
    """The form's value for these attributes, or what is missing. Raises BadValue for an attribute that is no number."""
    match form:
        case Fixed(value):
            return value
        case Share():
            return _share(form, attributes)
        case Lookup():
            return _looked_up(form, attributes)
        case Difference(base, less):
            first, second = value_of(base, attributes), value_of(less, attributes)
            if isinstance(first, Missing):
                return first
            if isinstance(second, Missing):
                return second
            return first - second if second < first else Missing("", said=NOTHING_LEFT)


def attribute_number(attributes: Mapping[str, object], name: str) -> Fraction | None:
    """An attribute as a number above zero, or None when it is not recorded. Raises BadValue that names it.

    A rope's diameter is also held to sizes that ropes have, so that a figure in inches is not taken for millimetres.
    """
    raw = attributes.get(name)
    if raw is None or not str(raw).strip():
        return None
    try:
        value = number(raw)
    except BadValue:
        raise BadValue(f"{name} is recorded as “{raw}”, which is not a number. Correct it on the part.", name) from None
    if value <= 0:
        raise BadValue(f"{name} is recorded as {raw}; it must be more than zero. Correct it on the part.", name)
    least, most = PLAUSIBLE.get(name, (value, value))
    if not least <= value <= most:
        unit = " mm" if name.endswith("_mm") else ""
        words = f"{name} is recorded as {str(raw)[:MAX_DIGITS]}{unit}; a rope has {least} to {most}{unit}"
        raise BadValue(f"{words}. Correct it on the part.", name)
    return value


def _share(form: Share, attributes: Mapping[str, object]) -> Fraction | Missing:
    value = attribute_number(attributes, form.attribute)
    if value is None:
        return Missing(form.attribute)
    product = value * form.factor
    return Fraction(-(-product.numerator // product.denominator)) if form.round_up else product


def _looked_up(form: Lookup, attributes: Mapping[str, object]) -> Fraction | Missing:
    raw = attributes.get(form.attribute)
    if raw is None or not str(raw).strip():
        return Missing(form.attribute)
    chosen = _fitting(form, attributes, str(raw).strip())
    return Missing(form.attribute, no_row=True, shown=str(raw)) if chosen is None else value_of(chosen, attributes)


def _fitting(form: Lookup, attributes: Mapping[str, object], raw: str) -> Form | None:
    by_word = [row for row in form.rows if row.word is not None]
    if by_word or not form.rows:
        return next((row.form for row in by_word if row.word == raw), form.otherwise)
    value = attribute_number(attributes, form.attribute)
    slack = SAME_SIZE_MM if form.attribute.endswith("_mm") else Fraction(0)
    for row in form.rows:
        low_ok = row.low is None or (value is not None and value >= row.low - slack)
        high_ok = row.high is None or (value is not None and value <= row.high + slack)
        if low_ok and high_ok:
            return row.form
    return form.otherwise


def parse_form(data: object, tables: Mapping[str, Any], path: KeyPath) -> tuple[Form | None, list[KeyProblem]]:
    """Read a limit as written in YAML. Sizes of table rows may carry a unit (`1/4 in`) and are read in mm."""
    if isinstance(data, str):
        return _fixed(data, path)
    if not isinstance(data, Mapping):
        return None, [
            KeyProblem(path, "a limit is a number or a mapping with of/times, by/rows, by/table/column or base/less.")
        ]
    if "of" in data:
        return _parse_share(data, path)
    if "by" in data:
        return _parse_lookup(data, tables, path)
    problems = known_keys(data, {"base", "less"}, set(), path)
    if problems:
        return None, problems
    base, first = parse_form(data["base"], tables, (*path, "base"))
    less, second = parse_form(data["less"], tables, (*path, "less"))
    return (Difference(base, less) if base and less else None), first + second


def _fixed(text: str, path: KeyPath) -> tuple[Form | None, list[KeyProblem]]:
    try:
        return Fixed(number(text)), []
    except BadValue as error:
        return None, [KeyProblem(path, error.message)]


def _parse_share(data: Mapping[str, Any], path: KeyPath) -> tuple[Form | None, list[KeyProblem]]:
    problems = known_keys(data, {"of", "times"}, {"round"}, path)
    if data.get("round", "up") != "up":
        problems.append(KeyProblem((*path, "round"), "round can only be: up."))
    if problems:
        return None, problems
    try:
        return Share(str(data["of"]), number(data["times"]), "round" in data), []
    except BadValue as error:
        return None, [KeyProblem((*path, "times"), error.message)]


def _parse_lookup(
    data: Mapping[str, Any], tables: Mapping[str, Any], path: KeyPath
) -> tuple[Form | None, list[KeyProblem]]:
    problems = known_keys(data, {"by"}, {"rows", "table", "column", "rows_up", "else"}, path)
    rows = data.get("rows")
    if "table" in data:
        table = tables.get(str(data["table"]))
        if not isinstance(table, Mapping):
            return None, [*problems, KeyProblem((*path, "table"), f"there is no table “{data['table']}” under tables.")]
        rows, path = table.get("rows"), ("tables", str(data["table"]))
    if problems or not isinstance(rows, Sequence) or isinstance(rows, str):
        return None, [*problems, KeyProblem(path, "a lookup needs rows, or table and column.")]
    read: list[Row] = []
    for index, row in enumerate(rows):
        parsed, found = _parse_row(row, str(data.get("column", "value")), tables, (*path, "rows", str(index)))
        problems += found
        read += [parsed] if parsed else []
    read, found = _rows_up(read, data.get("rows_up", "0"), path)
    problems += found
    otherwise, found = parse_form(data["else"], tables, (*path, "else")) if "else" in data else (None, [])
    return (None if problems + found else Lookup(str(data["by"]), tuple(read), otherwise)), problems + found


def _rows_up(rows: list[Row], text: object, path: KeyPath) -> tuple[list[Row], list[KeyProblem]]:
    """Each row with the figure of the row so many further up, the topmost for the first: where a document says so."""
    if not (str(text).isascii() and str(text).isdigit()):
        return rows, [KeyProblem((*path, "rows_up"), "rows_up is a number of rows, such as 2.")]
    return [replace(row, form=rows[max(n - int(str(text)), 0)].form) for n, row in enumerate(rows)], []


def _parse_row(
    row: object, column: str, tables: Mapping[str, Any], path: KeyPath
) -> tuple[Row | None, list[KeyProblem]]:
    if not isinstance(row, Mapping) or column not in row:
        return None, [KeyProblem(path, f"a row is a mapping with at, from/to or is, and {column}.")]
    form, problems = parse_form(row[column], tables, (*path, column))
    if form is None:
        return None, problems
    if "is" in row:
        return Row(None, None, str(row["is"]), form), problems
    try:
        low, high = (_size(row[k]) if k in row else None for k in (("at", "at") if "at" in row else ("from", "to")))
    except BadValue as error:
        return None, [*problems, KeyProblem(path, error.message)]
    return Row(low, high, None, form), problems


def _size(text: object) -> Fraction:
    """`1/4 in` or `1 1/8 in` in mm; a bare number as it stands."""
    words = str(text)
    return parse_length(words) if words.rstrip().endswith(("in", "mm")) else number(words)
