"""Worksheet inputs: read as people write them, every mistake at once and by field, never a number for nonsense."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.force import parse_force
from inspect_app.domain.mass import parse_mass
from inspect_app.domain.worksheet import Answer, Ask, Input, Load, Outcome, Worksheet
from inspect_app.domain.worksheet_input import MOST, parse_number, read_input, read_inputs
from tests.published import published

SHEET = Worksheet(
    "x",
    "X",
    "x",
    (
        Input("rope", "Rope", Ask.LENGTH),
        Input("load", "Load", Ask.FORCE),
        Input("wrap", "Wrap", Ask.ANGLE),
        Input("wires", "Wires", Ask.COUNT, zero=True),
        Input("note", "Note", Ask.TEXT, required=False),
    ),
    lambda values, reference: Answer(()),
)


def test_every_mistake_is_told_at_once_beside_its_field() -> None:
    values, problems = read_inputs(SHEET, {"rope": "thick", "load": "", "wrap": "-3", "wires": "2"}, "imperial")
    assert values == {"wires": 2}
    assert set(problems) == {"rope", "load", "wrap"}


@pytest.mark.parametrize(
    ("units", "rope", "load"),
    [("imperial", Fraction("6.35"), Fraction("1112.055403815125")), ("metric", Fraction("0.25"), Fraction(250))],
)
def test_a_bare_number_takes_the_unit_of_the_house(units: str, rope: Fraction, load: Fraction) -> None:
    values, problems = read_inputs(SHEET, {"rope": "1/4", "load": "250", "wrap": "90°", "wires": "0"}, units)
    assert not problems
    assert values == {"rope": rope, "load": load, "wrap": 90, "wires": 0}


def test_either_system_is_read_in_either_house() -> None:
    typed = {"rope": "6.35 mm", "load": "1 kN", "wrap": "90 deg", "wires": "1"}
    assert read_inputs(SHEET, typed, "imperial") == read_inputs(SHEET, typed, "metric")


@published(
    "Units", "NIST Special Publication 811", "Appendix B.8", "memory",
    names="typed, newtons",
    rows=[("1 lbf", "4.4482216152605"), ("1 lb", "4.4482216152605"), ("1 kg", "9.80665"), ("1 kN", "1000")],
    what="a force typed as {typed}", value="{newtons} N",
)  # fmt: skip
def test_forces_agree_with_the_definitions_of_the_pound_force_and_standard_gravity(typed: str, newtons: str) -> None:
    assert parse_force(typed, "lbf" if "kN" in typed else "N") == Fraction(newtons)


@pytest.mark.parametrize("text", ["-1", "nan", "inf", "1e9", "1,200 lb", "12 stone", "", "1/0 lbf", "٣ N"])
def test_a_force_that_is_none_is_refused(text: str) -> None:
    with pytest.raises(BadValue):
        parse_force(text, "N")


@published(
    "Units", "NIST Special Publication 811", "Appendix B.8", "memory",
    names="typed, kg_per_m",
    rows=[("1 lb/ft", "1.488164"), ("100 lb per 100 ft", "1.488164"), ("1 kg/m", "1"), ("100 kg/100 m", "1")],
    what="a rope's mass typed as {typed}", value="{kg_per_m} kg/m",
)  # fmt: skip
def test_the_mass_of_a_rope_is_read_in_either_system(typed: str, kg_per_m: str) -> None:
    value = read_input(Input("m", "M", Ask.LINE_MASS), typed, "imperial")
    assert round(float(value), 6) == float(kg_per_m)  # type: ignore[arg-type]
    assert read_input(Input("m", "M", Ask.LINE_MASS), typed, "metric") == value


@published(
    "Units", "NIST Special Publication 811", "Appendix B.8", "memory",
    names="typed, newton_m",
    rows=[("1 lbf·ft", "1.355818"), ("1 ft-lb", "1.355818"), ("1 lb-ft", "1.355818"), ("20 N·m", "20")],
    what="a torque typed as {typed}", value="{newton_m} N·m",
)  # fmt: skip
def test_a_torque_is_read_in_either_system(typed: str, newton_m: str) -> None:
    value = read_input(Input("t", "T", Ask.TORQUE), typed, "imperial")
    assert round(float(value), 6) == float(newton_m)  # type: ignore[arg-type]
    assert read_input(Input("t", "T", Ask.TORQUE), typed, "metric") == value


@pytest.mark.parametrize(("ask", "bare"), [(Ask.LINE_MASS, "11 lb per 100 ft"), (Ask.TORQUE, "11 lbf ft")])
def test_a_bare_mass_of_rope_or_torque_takes_the_unit_of_the_house(ask: Ask, bare: str) -> None:
    assert read_input(Input("x", "X", ask), "11", "imperial") == read_input(Input("x", "X", ask), bare, "metric")


@pytest.mark.parametrize("ask", [Ask.LINE_MASS, Ask.TORQUE])
@pytest.mark.parametrize(
    "text", ["-1", "0", "nan", "1e3", "15 in-lb", "12 lb", "12 lb/yd", "1,000 N·m", "99999", "per"]
)
def test_what_is_no_mass_of_rope_and_no_torque_is_refused(ask: Ask, text: str) -> None:
    with pytest.raises(BadValue):
        read_input(Input("x", "X", ask), text, "imperial")


def test_a_bound_of_an_input_is_named_in_both_systems() -> None:
    rope = Input("rope", "Rope", Ask.LENGTH, least=Fraction(1), most=Fraction(150))
    with pytest.raises(BadValue, match=r"at most 5\.906 in \(150 mm\)"):
        read_input(rope, "360", "imperial")
    with pytest.raises(BadValue, match=r"at least 1 mm \(0\.03937 in\)"):
        read_input(rope, "0.25", "metric")


@pytest.mark.parametrize("text", ["0", "-1", "nan", "inf", "1e3", "1/0", "1,000", "999999999999"])
def test_zero_negative_and_absurd_numbers_are_refused(text: str) -> None:
    with pytest.raises(BadValue):
        read_input(Input("n", "N", Ask.NUMBER), text, "metric")


def test_pounds_are_also_written_as_american_stages_write_them() -> None:
    """250# is 250 pounds (common practice, no source)."""
    assert parse_mass("250#", "kg") == parse_mass("250 lb", "kg")
    assert parse_force("250 #", "N") == parse_force("250 lbf", "N")
    loads = Input("loads", "Loads", Ask.LOADS)
    assert read_input(loads, "120# at 6 ft; 2#/ft from 0 to 10 ft", "metric") == read_input(
        loads, "120 lb at 6 ft\n2 lb/ft from 0 to 10 ft", "metric"
    )


@pytest.mark.parametrize("row", ["40 at 6", "40 from 0 to 6", "3/m from 0 to 6", "2,5 at 1"])
def test_a_load_in_a_metric_house_says_whether_it_is_kilograms_or_newtons(row: str) -> None:
    """Forty kilograms taken for forty newtons would be a tenth of what hangs there."""
    loads = Input("loads", "Loads", Ask.LOADS)
    with pytest.raises(BadValue, match=r"Line 1.*kg or N"):
        read_input(loads, row, "metric")
    assert read_input(loads, row, "imperial")


def test_loads_are_read_a_line_each() -> None:
    one = Input("loads", "Loads", Ask.LOADS)
    text = "Border: 100 lb at 6 ft\n60 lb from 0 to 30'\n2 lb/ft from 0 to 30 ft"
    pound = Fraction("4.4482216152605")
    assert read_input(one, text, "imperial") == (
        Load(100 * pound, Fraction("1828.8"), None, "Border"),
        Load(60 * pound, Fraction(0), Fraction(9144)),
        Load(60 * pound, Fraction(0), Fraction(9144)),
    )


@pytest.mark.parametrize(
    "text",
    ["100 lb", "100 lb at", "2 lb/ft at 3 ft", "5 lb from 3 ft to 3 ft", "5 lb from 3 ft", "at 3 ft", "0 lb at 1 ft"],
)
def test_a_load_that_cannot_be_read_names_its_line(text: str) -> None:
    with pytest.raises(BadValue, match="Line 2"):
        read_input(Input("loads", "Loads", Ask.LOADS), f"1 lb at 1 ft\n{text}", "imperial")


def test_readings_are_a_date_and_a_value() -> None:
    one = Input("seen", "Seen", Ask.READINGS)
    first, second = read_input(one, "2024-03-01 0.250 in\n2025-03-02 6.3 mm", "imperial")  # type: ignore[misc]
    assert (first.on, first.value, second.value) == ("2024-03-01", Fraction("6.35"), Fraction("6.3"))
    with pytest.raises(BadValue, match="Line 1"):
        read_input(one, "yesterday 0.25", "imperial")


@given(st.sampled_from(list(Ask)), st.text(max_size=60), st.sampled_from(["imperial", "metric"]))
def test_whatever_is_typed_gives_a_value_in_range_or_a_clear_error(ask: Ask, text: str, units: str) -> None:
    one = Input("x", "X", ask, choices=(("a", "A"),))
    typed = Worksheet("x", "X", "x", (one,), lambda values, reference: Answer(()))
    values, problems = read_inputs(typed, {"x": text}, units)
    assert len(values) + len(problems) == 1
    value = values.get("x")
    if isinstance(value, Fraction | int):
        assert 0 < value <= MOST[ask]


@given(st.decimals(min_value=0, max_value=10**6, places=3))
def test_a_number_is_read_back_exactly(number: object) -> None:
    assert parse_number(f"{number:f}") == Fraction(str(number))


def test_an_answer_lists_each_source_once() -> None:
    answer = Answer((Outcome("a", "1", citation="A 1"), Outcome("b", "2", citation="A 1")), citations=("B 2", "A 1"))
    assert answer.all_citations() == ("A 1", "B 2")


@pytest.mark.parametrize("ask", [Ask.LENGTHS, Ask.LOADS, Ask.READINGS])
@pytest.mark.parametrize("text", [";", ";;\n;", "; \n ;"])
def test_only_separators_are_no_list(ask: Ask, text: str) -> None:
    with pytest.raises(BadValue, match="separators"):
        read_input(Input("x", "X", ask), text, "metric")


@pytest.mark.parametrize(
    ("typed", "degrees"),
    [
        ("1.5", "1.5"),
        ("1,5°", "1.5"),
        ("1 1/2 deg", "1.5"),
        ("1° 30'", "1.5"),
        ("1°30′", "1.5"),
        ("12° 7' 30\"", "12.125"),
    ],
)
def test_an_angle_is_read_in_decimals_and_in_degrees_and_minutes(typed: str, degrees: str) -> None:
    assert read_input(Input("a", "A", Ask.ANGLE), typed, "metric") == Fraction(degrees)


@pytest.mark.parametrize("typed", ["1° 60'", "1° 5' 60\"", "30'", "-1.5", "400", "1:40"])
def test_an_angle_that_cannot_be_is_refused(typed: str) -> None:
    with pytest.raises(BadValue):
        read_input(Input("a", "A", Ask.ANGLE), typed, "metric")
