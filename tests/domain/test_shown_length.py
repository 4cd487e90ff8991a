"""Lengths as a house shows them and as they stand in a form."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.length import parse_length
from inspect_app.domain.shown_length import across_words, length_words, typed_length

SYSTEMS = st.sampled_from(["imperial", "metric"])


@given(st.integers(-(10**6), 10**6), SYSTEMS)
def test_what_stands_in_a_form_reads_back_as_the_same_millimetres(mm: int, units: str) -> None:
    assert round(parse_length(typed_length(mm, units), allow_negative=True)) == mm


@given(st.integers(-(10**6), 10**6), SYSTEMS)
def test_what_is_shown_is_off_by_less_than_a_millimetre(mm: int, units: str) -> None:
    assert abs(parse_length(length_words(mm, units), allow_negative=True) - mm) < 1


@pytest.mark.parametrize("units", ["imperial", "metric"])
def test_what_is_not_recorded_is_left_empty(units: str) -> None:
    assert (length_words(None, units), typed_length(None, units), across_words(None, units)) == ("", "", "")


@pytest.mark.parametrize(
    ("x_mm", "words"),
    [
        (7620, "25'-0\" stage left of the centre line"),
        (-7620, "25'-0\" stage right of the centre line"),
        (0, "on the centre line"),
    ],
)
def test_a_place_across_the_stage_names_its_side(x_mm: int, words: str) -> None:
    assert across_words(x_mm, "imperial") == words
