"""Lengths as people write them (12'-6 1/2", 150.5", 3.81 m) read into exact millimetres, and written back."""

import re
from decimal import Decimal
from fractions import Fraction

from inspect_app.domain.errors import BadValue
from inspect_app.domain.units import MM_PER_FOOT, MM_PER_INCH, UNITS, Number, exact, unit_named

SIXTEENTH_MM = MM_PER_INCH / 16
MAX_TEXT = 60
EXAMPLES = '12\'-6 1/2", 150.5", 12.5 ft, 3.81 m or 3810 mm'

_MARKS = str.maketrans({
    "′": "'", "’": "'", "‘": "'", "`": "'", "´": "'",
    "″": '"', "”": '"', "“": '"',
    "−": "-", "–": "-", "‐": "-", "‑": "-",
    "⁄": "/", "\u00a0": " ", "\u202f": " ",
})  # fmt: skip
_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3",
}  # fmt: skip

THOUSANDS = re.compile(r"(?<![\d.,])[1-9]\d{0,2}(?:,\d{3})+(?!\d)", re.ASCII)  # what may be 3810 or 3.810
_NUMBER = r"(?:\d+\.\d+|\d+\.?|\.\d+)"
AMOUNT = rf"(?:\d+(?:\s+|\s*-\s*)\d+\s*/\s*\d+|\d+\s*/\s*\d+|{_NUMBER})"
_FOOT_SIGN = r"(?:'|ft\.?|feet|foot)"
_INCH_SIGN = r"(?:\"|''|in\.?|inch(?:es)?)"
_FEET_INCHES = re.compile(
    rf"(?P<feet>{AMOUNT})\s*{_FOOT_SIGN}(?:\s*-?\s*(?P<inches>{AMOUNT})\s*{_INCH_SIGN}?)?", re.IGNORECASE | re.ASCII
)
_INCHES = re.compile(rf"(?P<inches>{AMOUNT})\s*{_INCH_SIGN}", re.IGNORECASE | re.ASCII)
_METRIC = re.compile(rf"(?P<amount>{AMOUNT})\s*(?P<unit>mm|cm|m)", re.IGNORECASE | re.ASCII)
_BARE = re.compile(rf"(?P<amount>{AMOUNT})", re.ASCII)


def parse_length(text: str, unit: str | None = None, *, allow_negative: bool = False) -> Fraction:
    """Read a length as people write it, in exact millimetres.

    `unit` (mm, cm, m, in or ft) is taken where the text names none. Feet and inches go together in any of the usual
    forms; a number after the feet is inches. Raises BadValue that says what was not understood and how to write it.
    """
    clean = _clean(text)
    negative = clean.startswith("-")
    body = clean[1:].lstrip() if negative else clean
    if negative and not allow_negative:
        raise BadValue(f"“{text.strip()}” is negative; a length here cannot be.", "value")
    size = _read(body, text.strip(), unit)
    return -size if negative else size


def _clean(text: str) -> str:
    if len(text) > MAX_TEXT:
        raise BadValue(f"That is too long to be one length ({len(text)} characters). Write it as {EXAMPLES}.", "value")
    clean = text.translate(_MARKS)
    for sign, plain in _VULGAR.items():
        clean = clean.replace(sign, f" {plain}")
    clean = " ".join(clean.split())
    if not clean:
        raise BadValue(f"The length is missing. Write it as {EXAMPLES}.", "value")
    return _decimal_point(clean, text.strip())


def _decimal_point(clean: str, shown: str) -> str:
    """A decimal comma becomes a point; one that could as well part thousands is refused, as in 3,810 but not 0,125."""
    if "," not in clean:
        return clean
    if clean.count(",") > 1 or "." in clean or THOUSANDS.search(clean):
        raise BadValue(f"“{shown}”: a comma there can mean two things. Write it without, as 3810 or 3.810.", "value")
    return clean.replace(",", ".")


def _read(body: str, shown: str, unit: str | None) -> Fraction:
    if match := _FEET_INCHES.fullmatch(body):
        return _feet_and_inches(match, shown)
    if match := _INCHES.fullmatch(body):
        return read_amount(match["inches"], shown) * MM_PER_INCH
    if match := _METRIC.fullmatch(body):
        return read_amount(match["amount"], shown) * UNITS[match["unit"].lower()].factor
    if match := _BARE.fullmatch(body):
        return read_amount(match["amount"], shown) * _default_factor(unit, shown)
    raise BadValue(f"“{shown}” cannot be read as a length. Write it as {EXAMPLES}.", "value")


def _default_factor(unit: str | None, shown: str) -> Fraction:
    if unit is None:
        raise BadValue(f"“{shown}” has no unit. Write it as {EXAMPLES}.", "value")
    known = unit_named(unit)
    if known.dimension != "length":
        raise BadValue(f"{unit} is not a unit of length; choose mm, cm, m, in or ft.", "unit")
    return known.factor


def _feet_and_inches(match: re.Match[str], shown: str) -> Fraction:
    feet = read_amount(match["feet"], shown)
    inches = read_amount(match["inches"], shown) if match["inches"] else Fraction(0)
    if re.fullmatch(r"\d{3}", match["inches"] or ""):  # Swiss and other hands part thousands so
        raise BadValue(f"“{shown}”: the ' there can mean feet or part thousands. Write it as 1000 or 1'-0\".", "value")
    if match["inches"] and feet.denominator != 1:
        raise BadValue(f"“{shown}” has a fraction of a foot and inches as well; write only one of them.", "value")
    if inches >= 12:
        raise BadValue(
            f"“{shown}” has 12 or more inches after the feet; check it, or write all of it in inches.", "value"
        )
    return feet * MM_PER_FOOT + inches * MM_PER_INCH


def read_amount(text: str, shown: str) -> Fraction:
    """What AMOUNT matches, as a fraction: `6`, `6.5`, `1/2`, `6 1/2` or `6-1/2`. Raises BadValue for 1/0 and 6 5/4."""
    whole, _, part = re.sub(r"\s*/\s*", "/", text.strip()).replace("-", " ").rpartition(" ")
    if "/" not in part:
        return Fraction(Decimal(part))
    top, _, bottom = part.partition("/")
    if int(bottom) == 0:
        raise BadValue(f"“{shown}” divides by zero; write the fraction as 1/2, 1/4, 1/8 or 1/16.", "value")
    if whole and int(top) >= int(bottom):
        raise BadValue(f"“{shown}”: the fraction after the whole number is one or more; check it.", "value")
    return Fraction(int(whole) if whole.strip() else 0) + Fraction(int(top), int(bottom))


def format_feet_inches(mm: Number) -> str:
    """Millimetres as feet and inches to the nearest 1/16 in, as `12'-6 1/2"`.

    Rounds half a sixteenth away from zero, so what is printed differs from the value by at most 1/32 in (0.79375 mm).
    For display only: what was entered is kept as it was entered.
    """
    value = exact(mm)
    sixteenths = int(abs(value) / SIXTEENTH_MM + Fraction(1, 2))
    feet, rest = divmod(sixteenths, 12 * 16)
    whole, part = divmod(rest, 16)
    inches = f"{whole} {Fraction(part, 16)}" if whole and part else str(Fraction(part, 16) if part else whole)
    text = f"{feet}'-{inches}\"" if feet else f'{inches}"'
    return f"-{text}" if value < 0 and sixteenths else text
