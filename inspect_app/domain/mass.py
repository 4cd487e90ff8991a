"""Masses as people write them (1,200 lb is refused for its comma, 1200 lb, 88 kg) read into exact kilograms."""

import re
from fractions import Fraction

from inspect_app.domain.errors import BadValue
from inspect_app.domain.length import AMOUNT, THOUSANDS, read_amount
from inspect_app.domain.units import KG_PER_POUND, unit_named

MAX_TEXT = 40
EXAMPLES = "1200 lb or 545 kg"
_MASS = re.compile(rf"(?P<amount>{AMOUNT}|\d+,\d+)\s*(?P<unit>lbs?\.?|#|pounds?|kgs?\.?)?", re.IGNORECASE | re.ASCII)


def parse_mass(text: str, unit: str) -> Fraction:
    """A mass in exact kilograms; `unit` (lb or kg) is taken where the text names none. Raises BadValue."""
    shown = text.strip()
    match = _MASS.fullmatch(shown) if len(shown) <= MAX_TEXT else None
    if THOUSANDS.match(shown):
        raise BadValue(
            f"“{shown[:MAX_TEXT]}”: a comma there can mean two things. Write it without, as {EXAMPLES}.", "value"
        )
    if match is None:
        raise BadValue(f"“{shown[:MAX_TEXT]}” cannot be read as a mass. Write it as {EXAMPLES}.", "value")
    amount = read_amount(match["amount"].replace(",", "."), shown)
    return amount * unit_named(_unit_key(match["unit"]) or unit).factor


def _unit_key(sign: str | None) -> str:
    if not sign:
        return ""
    return "kg" if sign.lower().startswith("kg") else "lb"


def format_mass(kg: Fraction, units: str) -> str:
    """Kilograms as `545 kg`, or in an imperial house as `1200 lb`, to a tenth, for display only."""
    value, sign = (kg / KG_PER_POUND, "lb") if units == "imperial" else (kg, "kg")
    tenths = round(value * 10)
    return f"{tenths // 10}{f'.{tenths % 10}' if tenths % 10 else ''} {sign}"
