"""The pull on a block against published factors, and what must hold for every angle."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.resultant import Measured, resultant
from tests.published import published

PRIMER = "*Rigging Math (Made Simple)*"
TENSIONS = st.floats(0.001, 1e6)


@published(
    "Pull on a block", PRIMER, "lesson 2", "read", what="200 lb line turned through 90 degrees", value="282.84 lb"
)
def test_published_pull_of_200_pounds_at_a_right_angle() -> None:
    assert resultant(200.0, 90.0, Measured.INCLUDED).pull_n == pytest.approx(282.84, abs=0.005)
    assert resultant(200.0, 90.0, Measured.WRAP).pull_n == pytest.approx(282.84, abs=0.005)


@published(
    "Pull on a block", PRIMER, "lesson 2, turned into the wrap", "worked", names="wrap, factor",
    rows=[(30, 0.518), (45, 0.765), (60, 1.0), (90, 1.414), (120, 1.732), (150, 1.932), (180, 2.0)],
    what="pull over tension at a wrap of {wrap} degrees", value="{factor}",
)  # fmt: skip
def test_published_factors_by_wrap(wrap: int, factor: float) -> None:
    assert resultant(1.0, wrap).factor == pytest.approx(factor, abs=0.0005)
    assert resultant(1.0, 180 - wrap, Measured.INCLUDED).factor == pytest.approx(factor, abs=0.0005)


@given(TENSIONS, st.floats(0.5, 180))
def test_wrap_and_included_angle_of_one_line_give_one_pull(tension: float, wrap: float) -> None:
    by_wrap, by_legs = resultant(tension, wrap), resultant(tension, 180 - wrap, Measured.INCLUDED)
    assert by_wrap.pull_n == pytest.approx(by_legs.pull_n, rel=1e-9)
    assert by_legs.measured is Measured.INCLUDED
    assert by_legs.wrap_degrees == pytest.approx(wrap)


@given(TENSIONS, st.floats(0.5, 180))
def test_the_parts_of_the_pull_make_up_the_pull(tension: float, wrap: float) -> None:
    found = resultant(tension, wrap)
    assert math.hypot(found.plumb_n, found.level_n) == pytest.approx(found.pull_n, rel=1e-9)
    # The form with the sines of the primer: T sin(included) / sin(included / 2).
    legs = math.radians(found.included_degrees)
    if legs > 1e-3:
        assert found.pull_n == pytest.approx(tension * math.sin(legs) / math.sin(legs / 2), rel=1e-6)


@given(TENSIONS, st.floats(0.5, 180), st.floats(0.001, 10))
def test_other_units_of_force_leave_the_factor(tension: float, wrap: float, unit: float) -> None:
    assert resultant(tension * unit, wrap).factor == resultant(tension, wrap).factor


@pytest.mark.parametrize("bad", [math.nan, math.inf, -1.0, 1e12, "5", None, True])
def test_a_tension_that_is_none_is_refused(bad: object) -> None:
    with pytest.raises(BadValue) as refused:
        resultant(bad, 90.0)  # type: ignore[arg-type]
    assert refused.value.field == "tension_n"


@pytest.mark.parametrize(
    ("bad", "measured"),
    [
        *((bad, Measured.WRAP) for bad in (math.nan, math.inf, -1.0, 0.0, 180.1, "90", None)),
        *((bad, Measured.INCLUDED) for bad in (math.nan, -1.0, 180.0, 181.0)),
    ],
)
def test_an_angle_that_turns_no_line_is_refused(bad: object, measured: Measured) -> None:
    with pytest.raises(BadValue) as refused:
        resultant(100.0, bad, measured)  # type: ignore[arg-type]
    assert refused.value.field == "degrees"
