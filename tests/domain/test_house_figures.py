"""Figures that a house signs in: what it typed holds, not what is remembered; what cannot be is refused."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.errors import BadValue
from inspect_app.domain.figures import FigureTable
from inspect_app.domain.house_figures import house_figures, may_be_entered, signed_table, units_of
from inspect_app.domain.house_rule import SignedValue
from inspect_app.store.reference import load_figures

FIGURES, _ = load_figures(shared_dir())
MASS, SLEEVE = "mil83420-7x19-mass", "copper-sleeve-efficiency"
SIGNED = SignedValue(
    "id", "figures/x", ("95",), "percent", "", "2019", "Table 4", "Ann Roe", "inspector", "2026-01-05", "", "2026"
)


def table(key: str) -> FigureTable:
    return next(one for one in FIGURES.tables if one.id == key)


def masses(**typed: str) -> tuple[str, ...]:
    """The figures of the table of masses, empty but for the rows named by their size in 1/32 in (`in_8` is 1/4 in)."""
    sizes = {Fraction(int(key[3:]) * 254, 320): text for key, text in typed.items()}
    return tuple(sizes.get(row.low or Fraction(0), "") for row in table(MASS).rows)


def test_what_the_house_typed_is_looked_up_with_who_entered_it_and_from_what() -> None:
    here = house_figures(FIGURES, {SLEEVE: SIGNED})
    (figure,) = here.termination_efficiency("swaged")
    assert figure.value == 95
    assert figure.citation.endswith("Table 4 (entered by Ann Roe, inspector, 2026-01-05 from 2019)")
    assert len(here.waiting()) == len(FIGURES.waiting()) - 1
    assert FIGURES.termination_efficiency("swaged") == ()


LARGE_CLIPS = "clips-large-efficiency"


@pytest.mark.parametrize(("inches", "of_large"), [("1/4", False), ("31/32", False), ("1", True), ("5/4", True)])
def test_clips_on_an_inch_and_above_have_their_own_row_once_a_house_signs_it_in(inches: str, of_large: bool) -> None:
    size = Fraction(inches) * Fraction("25.4")
    here = house_figures(FIGURES, {LARGE_CLIPS: replace(SIGNED, figures=("88",))})
    assert (88 in [one.value for one in here.termination_efficiency("clips", size)]) is of_large
    assert [one.value for one in FIGURES.termination_efficiency("clips", size)] == [80, 80, 85]
    assert here.termination_efficiency("swaged", size) == ()


def test_a_row_left_empty_stays_off_and_the_remembered_figure_is_never_used() -> None:
    here = house_figures(FIGURES, {MASS: replace(SIGNED, figures=masses(in_8="0.2"), unit="kg_per_m")})
    (figure,) = here.rope_mass("7x19", Decimal("6.35"))
    assert (figure.value, figure.unit) == (Fraction(1, 5), "kg_per_m")
    assert here.rope_mass("7x19", Decimal("3.175")) == ()


@pytest.mark.parametrize(
    ("key", "change", "says"),
    [
        (SLEEVE, {"figures": ("",)}, "at least one"),
        (SLEEVE, {"figures": ("high",)}, "not a number"),
        (SLEEVE, {"figures": ("nan",)}, "not a number"),
        (SLEEVE, {"figures": ("inf",)}, "not a number"),
        (SLEEVE, {"figures": ("-5",)}, "above zero"),
        (SLEEVE, {"figures": ("0",)}, "above zero"),
        (SLEEVE, {"figures": ("101",)}, "no more than 100 %"),
        (SLEEVE, {"figures": ("90", "90")}, "number of figures"),
        (SLEEVE, {"unit": "lbf"}, "one of the units"),
        ("pipe-1.5-sch40-reduced", {"figures": ("1.9", "", "", ""), "unit": "mm"}, "one of the units"),
    ],
)
def test_a_figure_that_cannot_be_is_refused_and_a_kept_one_leaves_the_table_off(key, change, says) -> None:
    wrong = replace(SIGNED, **change)
    with pytest.raises(BadValue, match=says):
        signed_table(table(key), wrong)
    assert {one.id for one in house_figures(FIGURES, {key: wrong}).waiting()} == {one.id for one in FIGURES.waiting()}


def test_a_table_that_was_read_is_never_overwritten() -> None:
    read = next(one for one in FIGURES.tables if one.mark == "read")
    assert not may_be_entered(read)
    assert house_figures(FIGURES, {read.id: SIGNED}) == FIGURES


def test_a_table_of_one_dimension_may_be_typed_in_its_other_units_and_a_mixed_one_keeps_its_own() -> None:
    assert units_of(table(MASS))[0] == "lb_per_ft"
    assert "kg_per_m" in units_of(table(MASS))
    assert units_of(table("pipe-1.5-sch40-reduced")) == ()


@given(st.decimals("0.01", "100", places=2))
def test_each_share_up_to_the_whole_rope_is_kept_exactly(share: Decimal) -> None:
    found = house_figures(FIGURES, {SLEEVE: replace(SIGNED, figures=(str(share),))}).termination_efficiency("swaged")
    assert [one.value for one in found] == [Fraction(share)]
