"""What the worksheet on wear answers: the early end with the next look, in either unit, or the reason for none."""

from datetime import date, timedelta

import pytest

from inspect_app.config import shared_dir
from inspect_app.domain.worksheet import Answer, Reference
from inspect_app.domain.worksheet_input import read_inputs
from inspect_app.domain.worksheets.all_worksheets import WORKSHEETS
from inspect_app.store.reference import reference_at, student_t_at

DATA = reference_at(shared_dir())
ROPE = "2022-03-01 0.256 in\n2022-08-28 0.2545 in\n2023-03-01 0.2535 in\n2023-08-28 0.2520 in\n2024-02-29 0.2510 in"


def answer(readings: str, *, units: str = "imperial", **typed: str) -> Answer:
    sheet = WORKSHEETS["trend"]
    reference = Reference(
        DATA.criteria, DATA.sources, DATA.figures, DATA.risk, units, student_t=student_t_at(shared_dir())
    )
    given = {"readings": readings, "resolution": "0.0005 in", "limit": "0.2480 in", "side": "below", **typed}
    values, problems = read_inputs(sheet, given, units)
    assert not problems, problems
    return sheet.run(values, reference)


def said(found: Answer, label: str) -> str:
    return next((one.value for one in found.outcomes if one.label == label), "")


def test_the_next_look_leaves_room_for_a_second_before_the_early_end() -> None:
    """The rope worked out beforehand with another program: -0.00250 in a year, by either line."""
    found = answer(ROPE)
    before = date.fromisoformat(said(found, "Look again").removeprefix("look again before "))
    by = date.fromisoformat(said(found, "Next look").removeprefix("by "))
    last = date(2024, 2, 29)
    assert by + (by - last) < before <= last + timedelta(730)
    assert said(found, "Change in a year").startswith("−0.00250")


def test_the_unit_of_the_house_moves_no_date() -> None:
    assert said(answer(ROPE), "Look again") == said(answer(ROPE, units="metric"), "Look again")


@pytest.mark.parametrize("order", [("0.2490", "0.2400"), ("0.2400", "0.2490")])
def test_of_two_measures_on_the_last_day_the_one_outside_leads(order: tuple[str, str]) -> None:
    readings = ROPE + "".join(f"\n2024-09-01 {value} in" for value in order)
    found = answer(readings)
    assert "the verdict stands" in said(found, "Look again")
    assert said(found, "Next look") == ""
    above = answer("\n".join([*ROPE.splitlines()[::-1], "2024-09-01 0.2490 in", "2024-09-01 0.2700 in"]),
                   side="above", limit="0.2650 in")  # fmt: skip
    assert "the verdict stands" in said(above, "Look again")


def test_measures_of_one_day_count_as_one_look() -> None:
    twice = answer(ROPE + "\n" + ROPE)
    assert next(step for step in twice.steps if step.formula.startswith("t(")).formula == "t(3)"
    few = answer("\n".join(ROPE.splitlines()[:3] * 3))
    assert "3 looks so far" in few.outcomes[0].words


def test_a_change_lost_in_the_scatter_says_so() -> None:
    found = answer("2022-01-01 0.250 in\n2022-07-01 0.256 in\n2023-01-01 0.249 in\n2023-07-01 0.254 in",
                   limit="0.2 in")  # fmt: skip
    change = next(one for one in found.outcomes if one.label == "Change in a year")
    assert "no clear direction" in change.words
