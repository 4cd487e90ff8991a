"""Conversion factors against an independent units library and against the definitions."""

from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.units import UNITS, convert, decimal_text, exact, mass_of, typed_words, weight_of, with_sign
from tests.published import published

PINT_NAMES = {
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "in": "inch",
    "ft": "foot",
    "N": "newton",
    "kN": "kilonewton",
    "lbf": "pound_force",
    "kg": "kilogram",
    "lb": "pound",
    "Nm": "newton * meter",
    "lbf_ft": "pound_force * foot",
    "s": "second",
    "min": "minute",
    "mm2": "millimeter ** 2",
    "in2": "inch ** 2",
    "mm3": "millimeter ** 3",
    "in3": "inch ** 3",
    "mm4": "millimeter ** 4",
    "in4": "inch ** 4",
    "N_per_mm2": "newton / millimeter ** 2",
    "psi": "pound_force / inch ** 2",
    "ksi": "kip / inch ** 2",
    "kg_per_m": "kilogram / meter",
    "lb_per_ft": "pound / foot",
    "kg_per_m3": "kilogram / meter ** 3",
    "lb_per_ft3": "pound / foot ** 3",
    "lb_per_in3": "pound / inch ** 3",
}  # fmt: skip
ALONE = {"deg", "count", "percent", "lux", "dB", "none"}  # the only unit of their dimension: nothing to convert
PAIRS = [(a, b) for a in PINT_NAMES for b in PINT_NAMES if a != b and UNITS[a].dimension == UNITS[b].dimension]


PINT, KEYS = pint.UnitRegistry(), list(UNITS)


def by_pint(one: str, other: str) -> float:
    return float(PINT.Quantity(1.0, PINT_NAMES[one]).to(PINT_NAMES[other]).magnitude)


@published(
    "Units", "pint", "an independent library of units", "library",
    names="one, other, factor",
    rows=[(one, other, by_pint(one, other)) for one, other in PAIRS if KEYS.index(one) < KEYS.index(other)],
    what="1 {one} in {other}", value="{factor:.12g}",
)  # fmt: skip
def test_every_factor_agrees_with_pint_an_independent_units_library(one: str, other: str, factor: float) -> None:
    assert float(convert(1, one, other)) == pytest.approx(factor, rel=1e-12)


def test_every_unit_is_compared_with_pint_or_stands_alone_in_its_dimension() -> None:
    assert set(UNITS) == set(PINT_NAMES) | ALONE
    dimensions = [unit.dimension for unit in UNITS.values()]
    assert all(dimensions.count(UNITS[key].dimension) == 1 for key in ALONE)


@published(
    "Units", "NIST Special Publication 811", "Appendix B, exact definitions", "memory",
    names="one, other, factor",
    rows=[("in", "mm", "25.4"), ("ft", "mm", "304.8"), ("lb", "kg", "0.45359237"), ("lbf", "N", "4.4482216152605")],
    what="1 {one} in {other}, exactly", value="{factor}",
)  # fmt: skip
def test_defined_factors_are_exact(one: str, other: str, factor: str) -> None:
    assert convert(1, one, other) == Fraction(factor)


def test_a_pound_weighs_a_pound_force_and_back() -> None:
    assert weight_of(50, "lb", "lbf") == 50
    assert mass_of(weight_of(7, "kg", "N"), "N", "kg") == 7


@given(st.fractions(), st.sampled_from(PAIRS))
def test_converting_there_and_back_changes_nothing(value: Fraction, pair: tuple[str, str]) -> None:
    assert convert(convert(value, *pair), *reversed(pair)) == value


@pytest.mark.parametrize(("one", "other"), [("lb", "lbf"), ("mm", "kg"), ("count", "percent"), ("deg", "none")])
def test_a_unit_of_another_dimension_is_refused(one: str, other: str) -> None:
    with pytest.raises(BadValue, match="cannot be given in the other"):
        convert(1, one, other)


def test_an_unknown_unit_is_named_with_the_known_ones() -> None:
    with pytest.raises(BadValue, match=r"“stone” is not a unit.*lbf"):
        convert(1, "stone", "kg")


@pytest.mark.parametrize("text", ["NaN", "Infinity", "-Infinity", "sNaN", "1e999999", "1e-999999"])
def test_what_is_no_measurable_number_is_refused(text: str) -> None:
    with pytest.raises(BadValue):
        exact(Decimal(text))


@pytest.mark.parametrize(
    ("value", "text"),
    [("0.2375", "0.2375"), ("0.234375", "0.234375"), ("100/3", "about 33.3333"), ("-1/3", "about -0.3333"),
     ("150", "150"), ("0", "0"), ("2/3", "about 0.6667")],
)  # fmt: skip
def test_numbers_are_shown_exactly_or_said_to_be_rounded(value: str, text: str) -> None:
    assert decimal_text(Fraction(value)) == text


def test_a_value_carries_its_sign() -> None:
    assert [with_sign(Fraction(2), u) for u in ("in", "percent", "deg", "count")] == ["2 in", "2%", "2°", "2"]


@pytest.mark.parametrize(
    ("value", "unit", "typed", "words"),
    [
        ("0.234375", "in", "15/64", "0.234375 in (typed 15/64)"),
        ("0.25", "in", "0.25 in", "0.25 in"),
        ("12", "percent", "12%", "12%"),
        ("45", "lbf_ft", "45", "45 lbf·ft"),
        ("3", "count", "3", "3"),
        ("1.5", "deg", "1.50", "1.5° (typed 1.50)"),
        ("7", "furlong", "7", "7 furlong"),
    ],
)
def test_a_figure_is_written_with_its_sign_and_as_it_was_typed_where_that_reads_otherwise(
    value: str, unit: str, typed: str, words: str
) -> None:
    assert typed_words(value, unit, typed) == words
