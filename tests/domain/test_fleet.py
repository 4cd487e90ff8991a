"""Fleet angle from places, tread over rope, groove gauges."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.errors import BadValue
from inspect_app.domain.fleet import GAUGE_WORDS, Fleet, Place, fleet_angle, fleet_verdicts, groove_offset, tread_ratio
from inspect_app.domain.judge import limits_for
from inspect_app.store.reference import reference_at
from tests.published import published

FOOT, INCH = Fraction("304.8"), Fraction("25.4")
HEAD = Place(0, 0, 20000)


@published(
    "Fleet angle", "Rigging Math (Made Simple)", "lesson 12", "read",
    names="feet, inches", rows=[("25", "7.856")],
    what="offset at {feet} ft for 1.5 degrees", value="{inches} in.",
)  # fmt: skip
def test_the_offset_that_makes_a_degree_and_a_half(feet: str, inches: str) -> None:
    fleet = fleet_angle(Place(0, 0, 0), Place(Fraction(feet) * FOOT, Fraction(inches) * INCH, 0))
    assert float(fleet.degrees) == pytest.approx(1.5, abs=5e-4)


@published(
    "Fleet angle", "Rigging Math (Made Simple)", "lesson 12, 1 in 40", "worked",
    names="offset, distance, degrees", rows=[("1", "40", "1.4321"), ("1", "12", "4.7636"), ("1", "19", "3.0128")],
    what="{offset} in {distance}", value="{degrees} degrees",
)  # fmt: skip
def test_a_ratio_as_an_angle(offset: str, distance: str, degrees: str) -> None:
    fleet = fleet_angle(Place(0, 0, 0), Place(Fraction(distance) * 1000, Fraction(offset) * 1000, 0))
    assert float(fleet.degrees) == pytest.approx(float(degrees), abs=1e-4)
    assert float(fleet.ratio) == pytest.approx(int(offset) / int(distance), abs=1e-6)


@published(
    "Sheaves", "Handbook page on sheave sizes", "1/2 in. rope on a 10 in. sheave", "secondary",
    names="tread, rope, ratio", rows=[("10", "1/2", 20), ("22.5", "3/4", 30), ("12", "3/4", 16)],
    what="{tread} in. sheave, {rope} in. rope", value="D/d {ratio}",
)  # fmt: skip
def test_tread_over_rope(tread: str, rope: str, ratio: int) -> None:
    assert tread_ratio(Fraction(tread) * INCH, Fraction(rope) * INCH) == ratio


def test_the_groove_shifts_where_the_line_starts() -> None:
    assert [groove_offset(n, 6, 16) for n in (1, 3, 4, 6)] == [-40, -8, 8, 40]
    assert groove_offset(1, 1, 16) == 0
    far = fleet_angle(HEAD, Place(6000, 0, 20000), groove_mm=-40)
    assert (far.offset_mm, far.from_groove) == (40, True)
    assert fleet_angle(HEAD, Place(6000, 40, 20000), groove_mm=40).offset_mm == 0
    assert not fleet_angle(HEAD, Place(6000, 40, 20000)).from_groove


def test_sets_along_the_side_are_worked_out_in_their_own_plane() -> None:
    across = fleet_angle(HEAD, Place(6000, 100, 20000))
    assert fleet_angle(HEAD, Place(100, 6000, 20000), "along").degrees == across.degrees


def test_what_the_places_cannot_tell_is_in_the_step() -> None:
    fleet = fleet_angle(HEAD, Place(1000, 20, 20000))
    assert fleet.step_degrees >= Fraction("0.05")  # a millimetre at a metre is 0.057 degrees
    assert float(fleet.step_ratio) == pytest.approx(0.001, rel=1e-3)


LIMITS = limits_for(reference_at(shared_dir()).criteria["fleet-angle"], {})


def said(fleet: Fleet, **more: bool) -> dict[str, str]:
    return {v.limit.rule: v.result.value for v in fleet_verdicts(fleet, LIMITS, **more) if v.limit}


def test_each_document_judges_the_form_it_writes_its_limit_in() -> None:
    """1 in 40 is 1.4321 degrees: between the two a line is inside the angle and outside the ratio of one lesson."""
    between = said(fleet_angle(HEAD, Place(6096, 157, 20000)))  # 1.475 degrees, 1 in 38.8
    assert (between["primer-fleet-degrees"], between["primer-fleet-ratio"]) == ("inside", "outside")
    assert said(fleet_angle(HEAD, Place(6096, 150, 20000)))["primer-fleet-ratio"] == "inside"


def test_just_1_in_40_is_inside_and_what_the_places_cannot_tell_is_said() -> None:
    at = fleet_angle(HEAD, Place(4000, 100, 20000))
    exact = said(at, as_typed=True)
    assert exact["primer-fleet-ratio"] == exact["primer-fleet-ratio-angle"] == "inside"  # “more than”, exactly
    assert said(at)["primer-fleet-ratio"] == "cannot_tell"  # half a millimetre either way
    assert (
        said(fleet_angle(HEAD, Place(4000, 100, Fraction("20000.5"))), as_typed=True)["primer-fleet-ratio"] == "inside"
    )
    assert said(fleet_angle(HEAD, Place(4000, Fraction("100.001"), 20000)), as_typed=True) == {
        "primer-fleet-degrees": "inside", "primer-fleet-ratio": "outside", "primer-fleet-ratio-angle": "outside",
        "mil-alignment-other": "inside",
    }  # fmt: skip


spots = st.integers(-30000, 30000)


@given(spots, spots, spots, spots, st.integers(1, 30000), st.integers(0, 2000))
def test_an_angle_does_not_change_when_the_house_is_shifted_or_mirrored(dx, dy, dz, y, run, side) -> None:
    here = fleet_angle(Place(0, y, 0), Place(run, y + side, 0))
    assert fleet_angle(Place(dx, y + dy, dz), Place(dx + run, y + dy + side, dz)).degrees == here.degrees
    assert fleet_angle(Place(0, -y, 0), Place(-run, -y - side, 0)).degrees == here.degrees
    assert said(fleet_angle(Place(y, 0, 0), Place(y + side, -run, 0), "along")) == said(here)


@given(st.integers(100, 30000), st.integers(0, 900), st.integers(0, 900))
def test_more_offset_never_judges_milder(run: int, side: int, more: int) -> None:
    near, far = (said(fleet_angle(HEAD, Place(run, one, 20000))) for one in (side, side + more))
    order = ["inside", "cannot_tell", "outside"]
    assert all(order.index(far[rule]) >= order.index(near[rule]) for rule in near)


@given(st.integers(1, 40), st.integers(1, 40), st.fractions(Fraction(1), Fraction(50)))
def test_grooves_lie_as_far_to_one_side_as_to_the_other(line: int, grooves: int, pitch: Fraction) -> None:
    if line <= grooves:
        assert groove_offset(line, grooves, pitch) == -groove_offset(grooves + 1 - line, grooves, pitch)


@pytest.mark.parametrize("call", [
    lambda: fleet_angle(HEAD, HEAD), lambda: fleet_angle(HEAD, Place(Decimal("NaN"), 0, 0)),
    lambda: fleet_angle(HEAD, Place(10**9, 0, 0)), lambda: tread_ratio(0, 6), lambda: tread_ratio(200, 0),
    lambda: tread_ratio(200, -6), lambda: tread_ratio(5, 6), lambda: tread_ratio(Decimal("Infinity"), 6),
    lambda: groove_offset(7, 6, 16), lambda: groove_offset(0, 6, 16), lambda: groove_offset(1, 6, 0),
])  # fmt: skip
def test_a_senseless_place_or_size_gives_no_number(call) -> None:
    with pytest.raises(BadValue) as caught:
        call()
    assert len(caught.value.message) > 10


def test_a_worn_groove_gauge_that_fits_says_that_the_groove_is_at_its_minimum() -> None:
    assert "already at the worn minimum" in GAUGE_WORDS["fits"]
    assert len(set(GAUGE_WORDS.values())) == 3
