"""Figures as people type them on a walk."""

import contextlib
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.length import format_feet_inches, parse_length
from inspect_app.domain.typed_figure import decimal_figure
from inspect_app.domain.units import UNITS

READ = [  # typed, unit, decimal text
    ("42", "in", "42"), ("41.5", "in", "41.5"), ("41,5", "in", "41.5"), ("41 1/2", "in", "41.5"),
    ("41-1/2", "in", "41.5"), ("41 - 1/2", "in", "41.5"), ("1/4", "in", "0.25"),
    ("1 1/2", "in", "1.5"), ("41½", "in", "41.5"),
    ("7/8\"", "in", "0.875"), ("1/64", "in", "0.015625"), ("3'-5 1/2\"", "in", "41.5"), ("5'-6\"", "in", "66"),
    ("5’ 6”", "in", "66"), ("5'6", "in", "66"), ("5'", "in", "60"), ("4'", "ft", "4"), ("4'-6\"", "ft", "4.5"),
    ("5 1/2", "ft", "5.5"), ("66\"", "ft", "5.5"), (" 1067 ", "mm", "1067"), ("0,125", "mm", "0.125"),
    ("1200.5", "N", "1200.5"), ("-12.5", "dB", "-12.5"), ("0", "count", "0"),
]  # fmt: skip
REFUSED = [  # typed, unit, a word of the reason
    ("1,067", "mm", "two things"), ("1,200", "lbf", "two things"), ("12,345.6", "mm", "two things"),
    ("1,234,567", "N", "two things"), ("", "mm", "not a number"), ("forty", "in", "not a number"),
    ("41 1/2", "mm", "not a number"), ("5'-6\"", "mm", "not a number"), ("1e5", "mm", "not a number"),
    ("NaN", "in", "not a number"), ("Infinity", "in", "not a number"), ("1/0", "in", "not a number"),
    ("41 3/2", "in", "not a number"), ("5'-12\"", "in", "not a number"), ("42 mm", "in", "not a number"),
    ("٤٢", "in", "not a number"), ("'", "in", "not a number"), ("\"", "in", "not a number"),
    ("1/3", "in", "does not end"), ("3'-5\"", "ft", "does not end"), ("--3", "mm", "not a number"),
    ("-1/2", "in", "not a number"), ("1 000", "mm", "not a number"),
    ("-3", "mm", "negative"), ("-0,5", "lbf", "negative"), ("3.5", "count", "whole number"),
]  # fmt: skip


@pytest.mark.parametrize(("typed", "unit", "value"), READ)
def test_a_figure_is_read_in_the_forms_that_people_write(typed: str, unit: str, value: str) -> None:
    assert decimal_figure(typed, unit) == value


@pytest.mark.parametrize(("typed", "unit", "said"), REFUSED)
def test_what_could_be_misread_is_refused_with_the_way_to_mend_it(typed: str, unit: str, said: str) -> None:
    with pytest.raises(BadValue) as caught:
        decimal_figure(typed, unit)
    assert said in caught.value.message


@given(st.integers(min_value=0, max_value=64 * 12 * 100))
def test_every_sixty_fourth_of_an_inch_is_read_exactly(parts: int) -> None:
    whole, rest = divmod(parts, 64)
    typed = f"{whole} {rest}/64" if rest and whole else f"{rest}/64" if rest else str(whole)
    assert Fraction(decimal_figure(typed, "in")) == Fraction(parts, 64)


@given(st.integers(min_value=0, max_value=16 * 12 * 300))
def test_feet_and_inches_mean_what_they_mean_everywhere_else_in_the_program(sixteenths: int) -> None:
    typed = format_feet_inches(sixteenths * Fraction(254, 160))
    assert Fraction(decimal_figure(typed, "in")) * UNITS["in"].factor == parse_length(typed)


@given(st.text(max_size=40), st.sampled_from(["in", "ft", "mm", "count", "dB"]))
def test_any_text_is_read_as_a_finite_number_or_refused(typed: str, unit: str) -> None:
    with contextlib.suppress(BadValue):
        assert Decimal(decimal_figure(typed, unit)).is_finite()
