"""Lengths as people write them."""

import contextlib
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.length import SIXTEENTH_MM, format_feet_inches, parse_length

INCH = Fraction("25.4")


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("12'-6 1/2\"", "150.5"), ("12' 6-1/2\"", "150.5"), ('150.5"', "150.5"), ("12'-6 1/2", "150.5"),
        ("12′ 6½″", "150.5"), ("12’6”", "150"), ("12.5 ft", "150"), ("12 ft 6 in", "150"), ("12ft. 6in.", "150"),
        ("12 feet 6 inches", "150"), ("12'", "144"), ("0'-0\"", "0"), ('1/2"', "0.5"), ("12'-1/2\"", "144.5"),
        ("6 1/2 in", "6.5"), ("6⅝\"", "6.625"), ("  8  in ", "8"), ("12' - 6\"", "150"),
    ],
)  # fmt: skip
def test_feet_and_inches_are_read_in_any_usual_form(text: str, inches: str) -> None:
    assert parse_length(text) == Fraction(inches) * INCH


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("3.81 m", 3810),
        ("3810 mm", 3810),
        ("381cm", 3810),
        ("3,81 m", 3810),
        ("3810MM", 3810),
        (".5 m", 500),
        ("0,125 m", 125),
        ("1234,5 mm", Fraction("1234.5")),
        ("1234,567 mm", Fraction("1234.567")),
    ],
)
def test_metric_lengths_are_read(text: str, mm: int | Fraction) -> None:
    assert parse_length(text) == mm


def test_a_bare_number_takes_the_unit_of_its_column() -> None:
    assert parse_length("6 1/2", "in") == Fraction("6.5") * INCH
    assert parse_length("12.5", "ft") == 3810
    assert parse_length("-2.5", "ft", allow_negative=True) == -762


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "missing"),
        ("   ", "missing"),
        ("abc", "cannot be read"),
        ("6 1/2", "no unit"),
        ("1'000", "part thousands"),
        ("1'005 mm", "cannot be read"),
        ("12'-14\"", "12 or more inches"),
        ("3,810 mm", "two things"),
        ("1,234.5 mm", "two things"),
        ("1,067", "two things"),
        ("12,345,678 mm", "two things"),
        ("1/0 in", "divides by zero"),
        ("12.5' 6\"", "only one"),
        ("12-6", "cannot be read"),
        ("-3 m", "negative"),
        ("1e5 mm", "cannot be read"),
        ("nan", "cannot be read"),
        ("inf m", "cannot be read"),
        ("6 5/4 in", "one or more"),
        ("1 2 in", "cannot be read"),
        ("٣ mm", "cannot be read"),
        ("3 yards", "cannot be read"),
        ("9" * 100, "too long"),
        ("12'6'", "cannot be read"),
        ("--3 mm", "negative"),
    ],
)
def test_what_is_unclear_is_refused_with_the_way_to_mend_it(text: str, said: str) -> None:
    with pytest.raises(BadValue) as caught:
        parse_length(text)
    assert said in caught.value.message


def test_a_unit_that_is_no_length_is_refused() -> None:
    with pytest.raises(BadValue, match="not a unit of length"):
        parse_length("3", "kg")


@given(st.integers(min_value=0, max_value=10**7))
def test_every_sixteenth_of_an_inch_comes_back_exactly(sixteenths: int) -> None:
    mm = sixteenths * SIXTEENTH_MM
    assert parse_length(format_feet_inches(mm)) == mm


@given(st.fractions(min_value=-(10**6), max_value=10**6))
def test_printing_is_never_off_by_more_than_half_a_sixteenth(mm: Fraction) -> None:
    back = parse_length(format_feet_inches(mm), allow_negative=True)
    assert abs(back - mm) <= SIXTEENTH_MM / 2


def test_half_a_sixteenth_is_printed_away_from_zero() -> None:
    half = SIXTEENTH_MM / 2
    assert format_feet_inches(half) == '1/16"'
    assert format_feet_inches(-half) == '-1/16"'
    assert format_feet_inches(half - Fraction(1, 1000)) == '0"'


@given(st.text(max_size=70))
def test_any_text_is_read_or_refused_and_nothing_else(text: str) -> None:
    with contextlib.suppress(BadValue):
        assert isinstance(parse_length(text, "mm", allow_negative=True), Fraction)
