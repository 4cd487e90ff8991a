"""The units worksheet: the definitions with every digit, and every figure that is rounded said to be about."""

from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.units import UNITS, factor_text
from inspect_app.domain.worksheet import Answer, Reference
from inspect_app.domain.worksheet_input import read_inputs
from inspect_app.domain.worksheets.conversion import SHEETS

PINT = pint.UnitRegistry()
NAMES = {
    "inches": "inch", "feet": "foot", "millimetres": "millimeter", "metres": "meter", "pounds": "pound",
    "kilograms": "kilogram", "pounds-force": "pound_force", "newtons": "newton", "kilonewtons": "kilonewton",
}  # fmt: skip


def answer(units: str = "imperial", **typed: str) -> Answer:
    values, problems = read_inputs(SHEETS[0], typed, units)
    assert not problems
    return SHEETS[0].run(values, Reference(units=units))


@pytest.mark.parametrize("unit", ["in", "ft", "m", "lb", "lbf", "kN"])
def test_a_definition_is_printed_with_every_digit(unit: str) -> None:
    assert Fraction(factor_text(unit)) == UNITS[unit].factor


def test_a_factor_that_does_not_end_is_refused() -> None:
    with pytest.raises(BadValue, match="does not end"):
        factor_text("psi")


def test_no_definition_is_called_about() -> None:
    steps = answer(length="1 in", mass="1 lb", force="1 lbf").steps
    assert [step.words for step in steps if "about" in step.words] == []
    assert "1 lbf = 4.4482216152605 N" in [step.words for step in steps]


@pytest.mark.parametrize(
    ("typed", "near"), [("39 in", "3'-3\""), ("38.99 in", "about 3'-3\""), ("1 mm", 'about 1/16"')]
)
def test_the_nearest_sixteenth_is_about_unless_it_is_the_length(typed: str, near: str) -> None:
    assert answer(length=typed).outcomes[-1].value == near


@given(
    st.sampled_from([("length", "mm", "millimeter"), ("mass", "kg", "kilogram"), ("force", "N", "newton")]),
    st.decimals(min_value="0.001", max_value=90_000, places=3),
)
def test_every_figure_agrees_with_pint(case: tuple[str, str, str], size: object) -> None:
    key, unit, base = case
    for one in answer("metric", **{key: f"{size} {unit}"}).outcomes:
        name = NAMES.get(one.label.rpartition(" in ")[2])
        if name is not None:
            shown = float(one.value.removeprefix("about ").split(" ")[0])
            assert shown == pytest.approx(PINT.Quantity(float(str(size)), base).to(name).magnitude, rel=1e-6, abs=6e-5)


def test_nothing_given_is_asked_for() -> None:
    with pytest.raises(BadValue, match="length, a mass or a force"):
        answer()
