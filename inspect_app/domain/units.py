"""Units: exact conversion factors as fractions. Lengths as people write them are read in domain/length.py.

Factors: inch = 25.4 mm, pound = 0.45359237 kg and standard gravity = 9.80665 m/s2 are exact by definition (NIST Special
Publication 811, Appendix B); the pound-force, 4.4482216152605 N, is the product of the last two.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from inspect_app.domain.errors import BadValue

Number = int | Decimal | Fraction

MAX_EXPONENT = 30  # beyond any measure; keeps 1e999999 from filling the memory

MM_PER_INCH = Fraction(254, 10)
MM_PER_FOOT = 12 * MM_PER_INCH
KG_PER_POUND = Fraction("0.45359237")
STANDARD_GRAVITY = Fraction("9.80665")  # m/s2
N_PER_POUND_FORCE = KG_PER_POUND * STANDARD_GRAVITY  # 4.4482216152605 N


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its dimension and how many of the dimension's base units it is."""

    key: str
    dimension: str
    factor: Fraction
    sign: str  # as printed behind a value


def _unit(key: str, dimension: str, factor: Fraction | int, sign: str) -> tuple[str, Unit]:
    return key, Unit(key, dimension, Fraction(factor), sign)


UNITS: Mapping[str, Unit] = dict(
    (
        _unit("mm", "length", 1, "mm"),
        _unit("cm", "length", 10, "cm"),
        _unit("m", "length", 1000, "m"),
        _unit("in", "length", MM_PER_INCH, "in"),
        _unit("ft", "length", MM_PER_FOOT, "ft"),
        _unit("deg", "angle", 1, "°"),
        _unit("N", "force", 1, "N"),
        _unit("kN", "force", 1000, "kN"),
        _unit("lbf", "force", N_PER_POUND_FORCE, "lbf"),
        _unit("kg", "mass", 1, "kg"),
        _unit("lb", "mass", KG_PER_POUND, "lb"),
        _unit("s", "time", 1, "s"),
        _unit("min", "time", 60, "min"),
        _unit("Nm", "torque", 1, "N·m"),
        _unit("lbf_ft", "torque", N_PER_POUND_FORCE * MM_PER_FOOT / 1000, "lbf·ft"),
        _unit("count", "count", 1, ""),
        _unit("percent", "share", 1, "%"),
        _unit("lux", "illuminance", 1, "lx"),
        _unit("dB", "sound level", 1, "dB"),
        _unit("none", "ratio", 1, ""),
        _unit("mm2", "area", 1, "mm²"),
        _unit("in2", "area", MM_PER_INCH**2, "in²"),
        _unit("mm3", "section modulus", 1, "mm³"),
        _unit("in3", "section modulus", MM_PER_INCH**3, "in³"),
        _unit("mm4", "second moment of area", 1, "mm⁴"),
        _unit("in4", "second moment of area", MM_PER_INCH**4, "in⁴"),
        _unit("N_per_mm2", "stress", 1, "N/mm²"),
        _unit("psi", "stress", N_PER_POUND_FORCE / MM_PER_INCH**2, "psi"),
        _unit("ksi", "stress", 1000 * N_PER_POUND_FORCE / MM_PER_INCH**2, "ksi"),
        _unit("kg_per_m", "mass per length", 1, "kg/m"),
        _unit("lb_per_ft", "mass per length", KG_PER_POUND / MM_PER_FOOT * 1000, "lb/ft"),
        _unit("kg_per_m3", "density", 1, "kg/m³"),
        _unit("lb_per_ft3", "density", KG_PER_POUND / MM_PER_FOOT**3 * 10**9, "lb/ft³"),
        _unit("lb_per_in3", "density", KG_PER_POUND / MM_PER_INCH**3 * 10**9, "lb/in³"),
    )
)


IMPERIAL = frozenset({"in", "ft", "lbf", "lb", "lbf_ft"})  # of the units in which a figure may be asked for


def house_first(units: Iterable[str], system: str) -> tuple[str, ...]:
    """Units that a figure may be given in, those of the house's system (imperial or metric) first, else in their order.

    A checklist may list them either way round; what a form offers first must not depend on that.
    """
    return tuple(sorted(units, key=lambda unit: (unit in IMPERIAL) != (system == "imperial")))


def unit_named(key: str) -> Unit:
    """The unit with this key. Raises BadValue that lists the known ones."""
    unit = UNITS.get(key)
    if unit is None:
        raise BadValue(f"“{key}” is not a unit this program knows. Known: {', '.join(UNITS)}.", "unit")
    return unit


def exact(value: Number) -> Fraction:
    """The value as an exact fraction. Raises BadValue when it is not a finite number of a size that can be measured."""
    if isinstance(value, Decimal) and not value.is_finite():
        raise BadValue(f"“{value}” is not a finite number. Write the figure as read.", "value")
    if isinstance(value, Decimal) and value and abs(value.adjusted()) > MAX_EXPONENT:
        raise BadValue(f"“{value}” is too large or too small to be a figure from an inspection.", "value")
    return Fraction(value)


def convert(value: Number, from_unit: str, to_unit: str) -> Fraction:
    """The value in another unit of the same dimension, exactly. Raises BadValue across dimensions."""
    source, target = unit_named(from_unit), unit_named(to_unit)
    if source.dimension != target.dimension:
        raise BadValue(
            f"{source.key} is a {source.dimension} and {target.key} a {target.dimension}: "
            "one cannot be given in the other.",
            "unit",
        )
    return exact(value) * source.factor / target.factor


def weight_of(mass: Number, mass_unit: str, force_unit: str) -> Fraction:
    """The weight of a mass under standard gravity (9.80665 m/s2), exactly: 50 lb weighs 50 lbf."""
    kg = convert(mass, mass_unit, "kg")
    return convert(kg * STANDARD_GRAVITY, "N", force_unit)


def mass_of(weight: Number, force_unit: str, mass_unit: str) -> Fraction:
    """The mass whose weight under standard gravity this is, exactly; the inverse of weight_of."""
    newtons = convert(weight, force_unit, "N")
    return convert(newtons / STANDARD_GRAVITY, "kg", mass_unit)


def decimal_text(value: Fraction, places: int = 4) -> str:
    """A fraction as decimal text: exact when it ends within six places, else rounded half up, with “about”."""
    scaled = value * 10**6
    if scaled.denominator == 1:
        return _strip(Decimal(scaled.numerator).scaleb(-6))
    rounded = int(abs(value) * 10**places + Fraction(1, 2))
    return "about " + _strip(Decimal(-rounded if value < 0 else rounded).scaleb(-places))


def factor_text(unit: str) -> str:
    """How many base units of its dimension a unit is, with every digit: 0.45359237 for lb.

    Raises BadValue for a unit whose factor does not end as a decimal.
    """
    factor = unit_named(unit).factor
    scaled = factor * 10**20
    if scaled.denominator != 1:
        raise BadValue(f"The factor of {unit} does not end as a decimal.", "unit")
    return _strip(Decimal(scaled.numerator).scaleb(-20))


def _strip(number: Decimal) -> str:
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def with_sign(value: Fraction, unit: str) -> str:
    """The value as text with its unit's sign, as `0.2375 in`. Raises BadValue for an unknown unit."""
    return with_unit(decimal_text(value), unit_named(unit).key)


def with_unit(text: str, unit: str) -> str:
    """A figure in words with the sign of its unit: `0.25 in`, `12%`, of a count the figure alone.

    A unit that is not known, of a record that another version wrote, stands as it is.
    """
    sign = UNITS[unit].sign if unit in UNITS else unit
    return text + sign if sign in {"%", "°"} else f"{text} {sign}".strip()


def typed_words(value: str, unit: str, typed: str) -> str:
    """A figure with its unit, and as it was typed where that reads otherwise: `0.234375 in (typed 15/64)`."""
    shown, typed = with_unit(value, unit), typed.strip()
    return shown if typed in ("", value, f"{value} {unit}", shown) else f"{shown} (typed {typed})"
