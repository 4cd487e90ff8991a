from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.answer_text import even_wells, parse_line_counts, parse_places, parse_wells, read_answers
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSetKind, Side
from inspect_app.domain.part import PartKind

TYPED = {
    "sets": "40", "spacing": "8", "first": "2'-0\"", "lines": "6", "wells_apart": "10'", "head_side": "stage_right",
    "motorised": "5, 12", "double_purchase": "20-22", "rope": "40", "other_side": "", "line_counts": "30=5",
    "grid_height": "60'", "bridge_height": "50'", "galleries": "SR 28', SL 28'", "deck": "channels",
    "ladders": "2", "hatches": "1", "fire_curtain": "y", "rope_diameter_mm": "1/4", "rope_construction": "7x19",
    "hand_line_mm": "3/4", "arbor_capacity": "1200", "batten_length": "50", "installed_on": "1998-08-01",
}  # fmt: skip


def test_answers_as_a_person_types_them_are_read_with_their_units() -> None:
    answers, problems = read_answers(TYPED, "imperial")
    assert problems == []
    assert answers is not None
    assert (answers.spacing_mm, answers.first_mm) == (Fraction("203.2"), Fraction("609.6"))
    assert answers.grid_mm == 18_288
    assert answers.well_x_mm == (-7620, -4572, -1524, 1524, 4572, 7620)  # 25, 15 and 5 ft to either side
    assert answers.kinds == {
        5: LineSetKind.MOTOR, 12: LineSetKind.MOTOR, 20: LineSetKind.DOUBLE, 21: LineSetKind.DOUBLE,
        22: LineSetKind.DOUBLE, 40: LineSetKind.ROPE,
    }  # fmt: skip
    assert answers.galleries == ((Side.RIGHT, 8534), (Side.LEFT, 8534))
    assert answers.attributes[PartKind.LIFT_LINE]["rope_diameter_mm"] == "6.35"
    assert answers.attributes[PartKind.ROPE_LOCK] == {"hand_line_mm": "19.05"}
    assert answers.attributes[PartKind.ARBOR] == {"capacity_kg": "544.310844"}  # 1200 x 0.45359237


def test_bricks_and_arbors_that_are_alike_are_weighed_once_for_the_whole_house() -> None:
    weighed = {
        "arbor_mass": "96", "arbor_length": "8", "brick": "24.6", "brick_thickness": "1", "half_brick": "12.4",
        "half_brick_thickness": "1/2", "spreader_spacing": "24", "lock_plate": "50", "travel": "55",
        "rope_mass": "11 lb per 100 ft",
    }  # fmt: skip
    answers, problems = read_answers(TYPED | weighed, "imperial")
    assert problems == []
    assert answers is not None
    assert answers.attributes[PartKind.ARBOR] == {
        "capacity_kg": "544.310844", "own_mass_kg": "43.54486752", "arbor_length_mm": "2438.4",
    }  # fmt: skip
    assert answers.attributes[PartKind.COUNTERWEIGHTS] == {
        "brick_kg": "11.158372302", "brick_mm": "25.4", "half_brick_kg": "5.624545388", "half_brick_mm": "12.7",
    }  # fmt: skip
    assert answers.attributes[PartKind.SPREADERS] == {"spreader_spacing_mm": "609.6"}
    assert answers.attributes[PartKind.ROPE_LOCK] == {"hand_line_mm": "19.05", "imbalance_kg": "22.6796185"}
    assert answers.attributes[PartKind.SET_TRAVEL] == {"travel_mm": "16764"}
    assert answers.attributes[PartKind.LIFT_LINE]["rope_mass"] == "11 lb per 100 ft"
    _, problems = read_answers(TYPED | weighed | {"brick": "heavy", "travel": "-5"}, "imperial")
    assert {problem.field for problem in problems} == {"brick", "travel"}


def test_bare_numbers_are_metric_in_a_metric_house() -> None:
    typed = TYPED | {"spacing": "200", "first": "0.6", "grid_height": "18", "bridge_height": "15", "wells_apart": "3,2"}
    answers, problems = read_answers(typed | {"galleries": "", "hand_line_mm": "19", "rope_diameter_mm": "6"}, "metric")
    assert problems == []
    assert answers is not None
    assert (answers.spacing_mm, answers.first_mm, answers.grid_mm, answers.well_x_mm[0]) == (200, 600, 18_000, -8000)


def test_every_field_that_cannot_be_read_is_named() -> None:
    bad = TYPED | {"sets": "forty", "spacing": "", "motorised": "5, x", "galleries": "28'", "installed_on": "1/8/98"}
    answers, problems = read_answers(bad | {"rope_diameter_mm": "thick", "deck": "glass"}, "imperial")
    assert answers is None
    named = [problem.field for problem in problems]
    assert {"sets", "spacing", "motorised", "galleries", "installed_on", "rope_diameter_mm", "deck"} <= set(named)
    assert named.count("rope_diameter_mm") == 1


def test_a_set_under_two_kinds_is_refused() -> None:
    _, problems = read_answers(TYPED | {"rope": "5"}, "imperial")
    assert [problem.field for problem in problems] == ["rope"]


@pytest.mark.parametrize("text", ["5, 12,20-23", "5;12\n20 to 23", "5 , 12 , 20–23"])
def test_sets_are_listed_in_the_usual_ways(text: str) -> None:
    assert parse_places(text, "x") == {5, 12, 20, 21, 22, 23}


@pytest.mark.parametrize("text", ["23-20", "1000000000", "a", "5..7", "-"])
def test_a_list_of_sets_that_makes_no_sense_is_refused(text: str) -> None:
    with pytest.raises(BadValue) as caught:
        parse_places(text, "rope")
    assert caught.value.field == "rope"


def test_lines_by_set_are_read() -> None:
    assert parse_line_counts("12=5, 20-21 = 4") == {12: 5, 20: 4, 21: 4}
    with pytest.raises(BadValue):
        parse_line_counts("12=13")


@pytest.mark.parametrize(
    "text",
    [
        "25' SR, 15' SR, 15' SL",
        "-25', -15', +15'",
        "15' stage left; 25' sr;15' SR",
        "7.62 m SR, 4.572 m SR, 4.572 m SL",
    ],
)
def test_wells_are_given_by_side_or_by_sign(text: str) -> None:
    assert parse_wells(text, "imperial") == (-7620, -4572, 4572)


def test_a_well_without_a_side_is_refused_but_the_centre_line_needs_none() -> None:
    assert parse_wells("10' SR, 0, 10' SL", "imperial") == (-3048, 0, 3048)
    with pytest.raises(BadValue, match="no side"):
        parse_wells("10' SR, 12'", "imperial")


@given(st.integers(1, 12), st.integers(100, 5000))
def test_even_wells_are_symmetric_about_the_centre_line(lines: int, apart: int) -> None:
    wells = even_wells(lines, apart)
    assert len(set(wells)) == lines
    assert all(abs(a + b) <= 1 for a, b in zip(wells, reversed(wells), strict=True))
