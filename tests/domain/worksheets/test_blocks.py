"""What the worksheets on blocks and line ends answer: the worst document leads, whatever unit was typed."""

from collections.abc import Iterable

import pytest

from inspect_app.config import shared_dir
from inspect_app.domain.worksheet import Answer, Outcome, Reference
from inspect_app.domain.worksheet_input import read_inputs
from inspect_app.domain.worksheets.all_worksheets import WORKSHEETS
from inspect_app.store.reference import reference_at

DATA = reference_at(shared_dir())


def answer(key: str, *, units: str = "imperial", **typed: str) -> Answer:
    sheet = WORKSHEETS[key]
    reference = Reference(DATA.criteria, DATA.sources, DATA.figures, DATA.risk, units)
    values, problems = read_inputs(sheet, typed, units)
    assert not problems, problems
    return sheet.run(values, reference)


def leading(found: Answer, title: str) -> Outcome:
    """The first outcome under a criterion's title that carries a verdict."""
    return next(one for one in found.outcomes if one.label == title and one.tone != "plain")


def cited(outcomes: Iterable[Outcome], words: str) -> Outcome:
    return next(one for one in outcomes if words in one.citation)


@pytest.mark.parametrize(("offset", "tone"), [("3 in", "inside"), ("3.001 in", "outside"), ("76.2 mm", "inside")])
def test_a_line_inside_the_angle_and_outside_1_in_40_leads_with_outside(offset: str, tone: str) -> None:
    """*Rigging Math (Made Simple)*, lesson 12: 1.5 degrees, and 1 in 40, which is 1.432 degrees."""
    found = answer("fleet-angle", offset=offset, distance="10 ft", fleet_at="block")
    assert leading(found, "Fleet angle").tone == tone
    assert cited(found.outcomes, "1 in 40").value == "outside when more than 1 in 40"
    assert cited(found.outcomes, "lesson 12 (text read)").tone == "inside"


@pytest.mark.parametrize(
    ("at", "offset", "tone"),
    [
        ("drum_smooth", "10 in", "outside"), ("drum_smooth", "9 in", "inside"), ("drum_smooth", "3 in", "outside"),
        ("drum_grooved", "12.5 in", "inside"), ("drum_grooved", "13 in", "outside"),
    ],
)  # fmt: skip
def test_a_drum_has_limits_of_its_own_above_and_below(at: str, offset: str, tone: str) -> None:
    """Handbook page on fleet angles: smooth drums at most 1.5, grooved at most 2, none under half a degree."""
    found = answer("fleet-angle", offset=offset, distance="30 ft", fleet_at=at)
    assert leading(found, "Fleet angle at a drum").tone == tone
    assert "lesson 12" not in " ".join(found.all_citations())
