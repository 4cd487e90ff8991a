"""Figures as people type them on a walk (12.5, 41 1/2, 3'-5 1/2") read into the decimal text that an entry keeps."""

import re
from decimal import Decimal
from fractions import Fraction

from inspect_app.domain.errors import BadValue

PLACES = 6  # decimals that an entry keeps; 1/64 in has six
INCHES_IN = {"in": Fraction(1), "ft": Fraction(12)}  # a tape in these is read in fractions
_MARKS = str.maketrans({
    "′": "'", "’": "'", "″": '"', "”": '"', "⁄": "/", "\u00a0": " ",
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
})  # fmt: skip
_PLAIN = re.compile(r"-?\d{1,9}(?:[.,]\d{1,6})?", re.ASCII)
_THOUSANDS = re.compile(r"-?[1-9]\d{0,2}(?:,\d{3})+(?:\.\d*)?", re.ASCII)
_AMOUNT = (
    r"(?:(?P<whole>\d{1,6})(?: | ?- ?))?(?P<top>\d{1,3}) ?/ ?(?P<bottom>\d{1,3})|(?P<plain>\d{1,6}(?:[.,]\d{1,6})?)"
)
_TAPE = re.compile(rf"(?:(?P<feet>\d{{1,5}})' ?-? ?)?(?:{_AMOUNT})?(?P<sign>\"?)", re.ASCII)


def decimal_figure(typed: str, unit: str) -> str:
    """A figure in this unit as plain decimal text: 12.5, 12,5, and for inches and feet 41 1/2, 7/8 or 3'-5 1/2".

    Raises BadValue for anything else: above all for 1,200, where the comma could part thousands as well as decimals,
    and for a fraction that does not end within six decimals.
    """
    shown = typed.strip()
    if _THOUSANDS.fullmatch(shown):
        raise BadValue(f"“{shown[:40]}”: a comma there can mean two things. Write it as 1200 or 1.2.", "value")
    if _PLAIN.fullmatch(shown):
        return _allowed(shown.replace(",", "."), unit)
    value = _by_tape(shown, unit) if unit in INCHES_IN else None
    if value is None:
        how = "41.5, 41 1/2 or 3'-5 1/2\"" if unit in INCHES_IN else "6.35"
        raise BadValue(f"“{shown[:40]}” is not a number. Write the figure alone, as {how}.", "value")
    return _ending(value, shown, unit)


def _allowed(text: str, unit: str) -> str:
    if text.startswith("-") and unit != "dB":
        raise BadValue(f"“{text}” is negative; this measure cannot be. Check the sign.", "value")
    if unit == "count" and "." in text:
        raise BadValue(f"“{text}” is not a whole number; a count is 0, 1, 2 and so on.", "value")
    return text


def _ending(value: Fraction, shown: str, unit: str) -> str:
    scaled = value * 10**PLACES
    if scaled.denominator != 1:
        raise BadValue(f"“{shown[:40]}” does not end as a decimal in {unit}. Write it as read, in decimals.", "value")
    text = f"{Decimal(scaled.numerator).scaleb(-PLACES):f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _by_tape(shown: str, unit: str) -> Fraction | None:
    """Inches or feet with a fraction, or feet and inches, in the unit; None when it is neither."""
    match = _TAPE.fullmatch(" ".join(shown.translate(_MARKS).split()))
    if match is None or not (match["feet"] or match["top"] or match["plain"]):
        return None
    amount = Fraction(0)
    if match["plain"]:
        amount = Fraction(Decimal(match["plain"].replace(",", ".")))
    elif match["top"]:
        top, bottom = int(match["top"]), int(match["bottom"])
        if bottom == 0 or (match["whole"] and top >= bottom):
            return None
        amount = int(match["whole"] or 0) + Fraction(top, bottom)
    if match["feet"] is None and not match["sign"]:
        return amount
    if match["feet"] and amount >= 12:
        return None
    return (int(match["feet"] or 0) * 12 + amount) / INCHES_IN[unit]
