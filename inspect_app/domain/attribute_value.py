"""Attribute values: what people type as the text that is kept, and what is kept as people read it."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from fractions import Fraction

from inspect_app.domain.errors import BadValue
from inspect_app.domain.length import SIXTEENTH_MM, format_feet_inches, parse_length
from inspect_app.domain.limit_form import PLAUSIBLE
from inspect_app.domain.mass import format_mass, parse_mass
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_attributes import AttributeSpec, Form, specs_for
from inspect_app.domain.units import MM_PER_FOOT, MM_PER_INCH

LONGEST_TEXT = 200


def read_attribute(spec: AttributeSpec, text: str, units: str) -> str:
    """What a person typed as the text that is kept; `units` (imperial or metric) says what a bare number means.

    Raises BadValue that names the attribute's key.
    """
    typed = " ".join(text.split())
    if not typed:
        return ""
    try:
        return _READERS[spec.form](spec, typed, units)
    except BadValue as error:
        raise BadValue(error.message, spec.key) from None


def _read_length(spec: AttributeSpec, typed: str, units: str) -> str:
    return exact_text(parse_length(typed, spec.bare[0] if units == "imperial" else spec.bare[1]))


def _read_mass(_: AttributeSpec, typed: str, units: str) -> str:
    return exact_text(parse_mass(typed, "lb" if units == "imperial" else "kg"))


def _read_count(_: AttributeSpec, typed: str, __: str) -> str:
    if not (typed.isascii() and typed.isdigit() and len(typed) <= 6):
        raise BadValue(f"“{typed[:40]}” is not a whole number.")
    return str(int(typed))


def _read_choice(spec: AttributeSpec, typed: str, _: str) -> str:
    for value, words in spec.choices:
        if typed.casefold() in (value.casefold(), words.casefold()):
            return value
    raise BadValue(f"“{typed[:40]}” is not among the choices: {', '.join(words for _, words in spec.choices)}.")


def _read_text(_: AttributeSpec, typed: str, __: str) -> str:
    if len(typed) > LONGEST_TEXT:
        raise BadValue(f"This is longer than {LONGEST_TEXT} characters. Put the rest into a note.")
    return typed


_READERS = {
    Form.LENGTH: _read_length,
    Form.MASS: _read_mass,
    Form.COUNT: _read_count,
    Form.CHOICE: _read_choice,
    Form.TEXT: _read_text,
}


def read_attributes(kind: PartKind, typed: Mapping[str, str], units: str) -> tuple[dict[str, str], list[BadValue]]:
    """The typed attributes of a part as kept, empty ones left out, and what could not be read, by key."""
    good: dict[str, str] = {}
    problems: list[BadValue] = []
    for spec in specs_for(kind):
        try:
            value = read_attribute(spec, typed.get(spec.key, ""), units)
        except BadValue as error:
            problems.append(error)
            continue
        if value:
            good[spec.key] = value
    return good, problems + _odd_ropes(good)


def _odd_ropes(good: dict[str, str]) -> list[BadValue]:
    """Figures of a rope that cannot be, taken out of `good`: one in the wrong unit gives limits that judge nothing."""
    problems: list[BadValue] = []
    sizes: dict[str, Fraction] = {}
    for key, (least, most) in PLAUSIBLE.items():
        if key not in good:
            continue
        sizes[key] = Fraction(good[key])
        if not least <= sizes[key] <= most:
            typed, size = good.pop(key), sizes.pop(key)
            words = f"{typed} mm ({decimal_inches(size)}) is no size of a rope. Check figure and unit."
            counted = f"No rope of a house has {typed} wires there: {least} to {most}. Check it."
            problems.append(BadValue(words if key.endswith("_mm") else counted, key))
    for key in ("rope_wires_outer", "rope_wires_per_strand"):
        if sizes.get(key, 0) > sizes.get("rope_wires_total", sizes.get(key, 0)):
            problems.append(BadValue(f"That is more than the {good['rope_wires_total']} wires of the whole rope.", key))
            del good[key]
    nominal, first = sizes.get("rope_diameter_mm"), sizes.get("rope_baseline_mm")
    if nominal and first and not Fraction(3, 4) <= first / nominal <= Fraction(5, 4):
        del good["rope_baseline_mm"]
        words = f"A first measure of {decimal_inches(first)} does not belong to a rope of {decimal_inches(nominal)}"
        problems.append(BadValue(f"{words}. Check both and their units.", "rope_baseline_mm"))
    return problems


def exact_text(value: Fraction) -> str:
    """A fraction as decimal text: exact where it ends, else to nine places (an inch fraction always ends)."""
    scaled = value * 10**9
    number = Decimal(round(scaled)).scaleb(-9)
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def shown_attribute(spec: AttributeSpec, value: str, units: str) -> str:
    """A kept value as a person reads it: `1/4" (6.35 mm)` in an imperial house, `6.35 mm` in a metric one."""
    if not value:
        return ""
    if spec.form is Form.CHOICE:
        return dict(spec.choices).get(value, value)
    if spec.form not in (Form.LENGTH, Form.MASS) or not _is_number(value):
        return value
    if spec.form is Form.MASS:
        return format_mass(Fraction(value), units)
    return _shown_length(Fraction(value), value, units)


def _shown_length(mm: Fraction, text: str, units: str) -> str:
    if units != "imperial":
        return f"{text} mm"
    if (mm / SIXTEENTH_MM).denominator == 1:
        return f"{format_feet_inches(mm)} ({text} mm)"
    return f"{text} mm (about {decimal_inches(mm)})"


def decimal_inches(mm: Fraction) -> str:
    """Millimetres as inches to three places, or as feet and inches from a foot on."""
    return f"{float(mm / MM_PER_INCH):.3f} in" if mm < MM_PER_FOOT else format_feet_inches(mm)


def typed_attribute(spec: AttributeSpec, value: str, units: str) -> str:
    """A kept value as it stands in the form for editing: exact, with its unit, so that saving changes nothing."""
    if value and spec.form is Form.LENGTH and units == "imperial" and _is_number(value):
        mm = Fraction(value)
        if (mm / SIXTEENTH_MM).denominator == 1:
            return format_feet_inches(mm)
    unit = {Form.LENGTH: " mm", Form.MASS: " kg"}.get(spec.form, "")
    return f"{value}{unit}" if value and _is_number(value) else value


def shown_attributes(kind: PartKind, attributes: Mapping[str, str], units: str) -> list[tuple[str, str]]:
    """(label, value) of everything recorded about a part; keys the program does not know are shown as they are."""
    known = {spec.key: spec for spec in specs_for(kind)}
    rows = [
        (spec.label, shown_attribute(spec, attributes[key], units)) for key, spec in known.items() if key in attributes
    ]
    rest: Iterable[str] = (key for key in attributes if key not in known)
    return rows + [(key.replace("_", " "), attributes[key]) for key in rest]


def _is_number(value: str) -> bool:
    return value.replace(".", "", 1).isdigit()
