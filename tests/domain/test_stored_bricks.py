"""Bricks stored on the loading bridge against its own plate."""

import pytest

from inspect_app.domain.errors import BadValue
from inspect_app.domain.judge import INSIDE_WORDS, OUTSIDE_WORDS
from inspect_app.domain.part import PartKind
from inspect_app.domain.worksheet import Answer, Reference
from inspect_app.domain.worksheet_input import read_inputs
from inspect_app.domain.worksheets.all_worksheets import WORKSHEETS, begun_with, sheets_about
from tests.published import published

SHEET = WORKSHEETS["stored-bricks"]


def asked(**typed: str) -> Answer:
    values, problems = read_inputs(SHEET, typed, "imperial")
    assert not problems
    return SHEET.run(values, Reference())


@published(
    "Counterweight", "Arithmetic", "number times mass", "worked", names="plate, verdict",
    rows=[("6134 lb", "inside"), ("6133.9 lb", "outside")],
    what="212 bricks of 24.6 lb and 74 of 12.415 lb on the bridge, plate {plate}", value="6133.91 lb: {verdict}",
)  # fmt: skip
def test_stored_bricks_are_counted_weighed_and_set_against_the_plate(plate: str, verdict: str) -> None:
    """212 x 24.6 = 5215.2 and 74 x 12.415 = 918.71: 6133.91 lb."""
    answer = asked(brick_count="212", brick="24.6 lb", half_count="74", half="12.415 lb", capacity_kg=plate)
    stored, against = answer.outcomes
    assert stored.value == "6134 lb (2782 kg)"
    assert against.tone == verdict
    assert against.words == (INSIDE_WORDS if verdict == "inside" else next(iter(OUTSIDE_WORDS.values())))


def test_exactly_the_plate_is_inside_and_a_bridge_without_one_is_not_judged() -> None:
    assert asked(brick_count="100", brick="25 lb", capacity_kg="2500 lb").outcomes[1].tone == "inside"
    none = asked(brick_count="100", brick="25 lb").outcomes[1]
    assert (none.value, none.tone) == ("not known", "not_judged")
    assert "no capacity is posted" in none.words


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({}, "brick_count"),
        ({"brick_count": "5"}, "brick"),
        ({"half": "12 lb"}, "half_count"),
        ({"brick_count": "5", "brick": "24 lb", "third_count": "2"}, "third"),
    ],
)
def test_a_number_without_a_mass_is_asked_for(typed: dict[str, str], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        asked(**typed)
    assert refused.value.field == field


@pytest.mark.parametrize("bad", ["NaN", "-1", "1.5", "99999", "many"])
def test_a_number_of_bricks_that_makes_no_sense_is_named(bad: str) -> None:
    _, problems = read_inputs(SHEET, {"brick_count": bad, "brick": "24 lb"}, "imperial")
    assert list(problems) == ["brick_count"]


def test_a_loading_bridge_begins_the_sheet_with_its_own_plate() -> None:
    assert SHEET in sheets_about(PartKind.LOADING_BRIDGE)
    assert begun_with(SHEET, {"capacity_kg": "1360.77711"}, "imperial") == {"capacity_kg": "3000 lb"}
