"""Forces as people write them (250 lbf, 1.2 kN, 110 kg hung) read into exact newtons, and written back."""

import re
from fractions import Fraction

from inspect_app.domain.errors import BadValue
from inspect_app.domain.length import AMOUNT, THOUSANDS, read_amount
from inspect_app.domain.units import KG_PER_POUND, N_PER_POUND_FORCE, STANDARD_GRAVITY, unit_named

MAX_TEXT = 40
EXAMPLES = "250 lbf, 1100 N or 1.1 kN"
_FORCE = re.compile(
    rf"(?P<amount>{AMOUNT}|\d+,\d+)\s*(?P<unit>kn|n|lbsf?\.?|lbf?\.?|#|pounds?|kgf?\.?|kgs?\.?)?",
    re.IGNORECASE | re.ASCII,
)


def parse_force(text: str, unit: str) -> Fraction:
    """A force in exact newtons; `unit` (lbf, N or kN) is taken where the text names none. Raises BadValue.

    Pounds and kilograms without “force” are taken as the weight of that mass under standard gravity, as people mean it.
    """
    shown = text.strip()
    match = _FORCE.fullmatch(shown) if len(shown) <= MAX_TEXT else None
    if THOUSANDS.match(shown):
        raise BadValue(
            f"“{shown[:MAX_TEXT]}”: a comma there can mean two things. Write it without, as {EXAMPLES}.", "value"
        )
    if match is None:
        raise BadValue(f"“{shown[:MAX_TEXT]}” cannot be read as a force. Write it as {EXAMPLES}.", "value")
    amount = read_amount(match["amount"].replace(",", "."), shown)
    sign = (match["unit"] or "").lower()
    return amount * (_newtons_per(sign) if sign else unit_named(unit).factor)


def _newtons_per(sign: str) -> Fraction:
    if sign.startswith("kg"):
        return STANDARD_GRAVITY
    if sign in {"n", "kn"}:
        return Fraction(1000 if sign == "kn" else 1)
    return N_PER_POUND_FORCE


def pounds_force(newtons: Fraction) -> Fraction:
    """Newtons as pounds-force, exactly."""
    return newtons / N_PER_POUND_FORCE


def weight_n(kg: Fraction) -> Fraction:
    """The weight of a mass under standard gravity (9.80665 m/s2) in newtons, exactly."""
    return kg * STANDARD_GRAVITY


def pounds(kg: Fraction) -> Fraction:
    """Kilograms as pounds, exactly."""
    return kg / KG_PER_POUND
