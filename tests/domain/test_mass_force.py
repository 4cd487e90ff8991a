"""Masses and forces as people write them."""

import contextlib
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.force import parse_force, pounds, pounds_force, weight_n
from inspect_app.domain.mass import format_mass, parse_mass
from inspect_app.domain.units import KG_PER_POUND, N_PER_POUND_FORCE, STANDARD_GRAVITY

POUND, POUND_FORCE = KG_PER_POUND, N_PER_POUND_FORCE


@pytest.mark.parametrize(
    ("text", "kg"),
    [
        ("1200 lb", 1200 * POUND), ("1200lbs.", 1200 * POUND), ("88 kg", Fraction(88)), ("88,5 kg", Fraction("88.5")),
        ("0,125 kg", Fraction("0.125")), ("22 1/2 lb", Fraction("22.5") * POUND), ("1/4 lb", POUND / 4),
        ("22-1/2 pounds", Fraction("22.5") * POUND), ("1234,567 kg", Fraction("1234.567")), ("12", 12 * POUND),
    ],
)  # fmt: skip
def test_a_mass_is_read_exactly(text: str, kg: Fraction) -> None:
    assert parse_mass(text, "lb") == kg


@pytest.mark.parametrize(
    ("text", "newtons"),
    [
        ("200 lbf", 200 * POUND_FORCE), ("200 lb", 200 * POUND_FORCE), ("1.1 kN", Fraction(1100)),
        ("890 N", Fraction(890)), ("1,1 kN", Fraction(1100)), ("0,125 kN", Fraction(125)),
        ("50 kg", 50 * STANDARD_GRAVITY), ("12 1/2 lbf", Fraction("12.5") * POUND_FORCE), ("7", Fraction(7)),
    ],
)  # fmt: skip
def test_a_force_is_read_exactly_and_a_mass_as_its_weight(text: str, newtons: Fraction) -> None:
    assert parse_force(text, "N") == newtons


REFUSED = [
    ("1,200 lb", "two things"), ("12,345,678 kg", "two things"), ("1,200", "two things"), ("", "cannot be read"),
    ("-5 lb", "cannot be read"), ("1e5 kg", "cannot be read"), ("nan", "cannot be read"), ("1/0 lb", "divides by zero"),
    ("5 5/4 lb", "one or more"), ("1 200 lb", "cannot be read"), ("5 tons", "cannot be read"), ("9" * 60, "cannot be"),
    ("٣ kg", "cannot be read"), ("5 lb 3", "cannot be read"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "said"), REFUSED)
@pytest.mark.parametrize("parse", [parse_mass, parse_force])
def test_what_could_be_misread_is_refused_with_the_reason(parse: object, text: str, said: str) -> None:
    with pytest.raises(BadValue) as caught:
        parse(text, "lb" if parse is parse_mass else "lbf")  # type: ignore[operator]
    assert said in caught.value.message


@given(st.text(max_size=50))
def test_any_text_is_read_as_an_exact_amount_or_refused(text: str) -> None:
    with contextlib.suppress(BadValue):
        assert isinstance(parse_mass(text, "kg"), Fraction)
    with contextlib.suppress(BadValue):
        assert isinstance(parse_force(text, "N"), Fraction)


@given(st.fractions(min_value=0, max_value=10**5))
def test_pounds_and_pound_force_stand_for_the_same_hung_mass(kg: Fraction) -> None:
    assert pounds_force(weight_n(kg)) == pounds(kg)


@given(st.fractions(min_value=0, max_value=10**5), st.sampled_from(["imperial", "metric"]))
def test_a_mass_is_printed_to_a_tenth(kg: Fraction, units: str) -> None:
    shown = parse_mass(format_mass(kg, units), "kg")
    assert abs(shown - kg) <= (POUND if units == "imperial" else 1) / Fraction(20)
