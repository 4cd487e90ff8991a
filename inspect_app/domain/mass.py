"""Masses as people write them (1,200 lb is refused for its comma, 1200 lb, 88 kg) read into exact kilograms."""

import re
from decimal import Decimal
from fractions import Fraction

from inspect_app.domain.errors import BadValue
from inspect_app.domain.units import KG_PER_POUND, unit_named

MAX_TEXT = 40
EXAMPLES = "1200 lb or 545 kg"
_MASS = re.compile(r"(?P<amount>\d+(?:[.,]\d+)?)\s*(?P<unit>lbs?\.?|pounds?|kgs?\.?)?", re.IGNORECASE | re.ASCII)
_THOUSANDS = re.compile(r"\d{1,3}(?:,\d{3})+(?!\d)")


def parse_mass(text: str, unit: str) -> Fraction:
    """A mass in exact kilograms; `unit` (lb or kg) is taken where the text names none. Raises BadValue."""
    shown = text.strip()
    match = _MASS.fullmatch(shown) if len(shown) <= MAX_TEXT else None
    if match is None or _THOUSANDS.match(shown):
        raise BadValue(f"“{shown[:MAX_TEXT]}” cannot be read as a mass. Write it as {EXAMPLES}.", "value")
    amount = Fraction(Decimal(match["amount"].replace(",", ".")))
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
