"""Figures on the desk form: the house's unit first, read as people write them, refused where they could be misread."""

from collections.abc import Mapping
from typing import Any

import pytest
from flask import Flask

from inspect_app.config import Settings
from inspect_app.domain.checklist import Checklist
from inspect_app.domain.part import Part, PartKind
from inspect_app.store.checklist import load_shelf
from inspect_app.web.desk_form import PartOnForm, form_for, looks_of

RAIL, RUNGS = "guardrails-measures", "access-rung-measures"


@pytest.fixture
def annual(settings: Settings) -> Checklist:
    return load_shelf(settings).checklists["annual-hands-on"]


def place(annual: Checklist, point: str, kind: PartKind) -> PartOnForm:
    asked = next(one for one in annual.points() if one.id == point)
    return PartOnForm(Part("p", "h", "a", kind, "GR 1"), "GR 1", None, (asked,), ())


def filled(app: Flask, annual: Checklist, point: str, typed: Mapping[str, str]) -> tuple[Any, list[dict[str, Any]]]:
    rows = [place(annual, point, PartKind.GUARDRAIL)]
    data = {
        "by": "me",
        "on": "2026-03-04",
        "clock": "14:05",
        "outcome": "looked",
        "ways": "handled",
        "p0-0-m1-unit": "in",
        **typed,
    }
    with app.test_request_context("/", method="POST", data=data):
        form = form_for(rows, [("me", "Me")], "imperial")(meta={"csrf": False})
        assert form.validate(), form.errors
        return form, looks_of(form, rows, annual, "access/static", "tap")


@pytest.mark.parametrize("point", [RAIL, RUNGS])  # one lists millimetres first, the other inches
@pytest.mark.parametrize(("system", "unit"), [("imperial", "in"), ("metric", "mm")])
def test_the_unit_of_the_house_is_offered_first_however_the_checklist_lists_them(
    app: Flask, annual: Checklist, point: str, system: str, unit: str
) -> None:
    with app.test_request_context("/"):
        form = form_for([place(annual, point, PartKind.LADDER)], [], system)(meta={"csrf": False})
        assert form["p0-0-m0-unit"].choices[0].value == unit


@pytest.mark.parametrize(
    ("typed", "value"), [("41 1/2", "41.5"), ("41½", "41.5"), ("3'-5 1/2\"", "41.5"), ("41,5", "41.5"), ("42", "42")]
)
def test_a_height_read_off_a_tape_is_kept_as_typed_and_as_a_decimal(
    app: Flask, annual: Checklist, typed: str, value: str
) -> None:
    _, looks = filled(app, annual, RAIL, {"p0-0-m0": typed, "p0-0-m0-unit": "in"})
    (measure,) = looks[0]["measures"]
    assert (measure["typed"], measure["value"], measure["unit"]) == (typed, value, "in")


@pytest.mark.parametrize(
    ("typed", "unit", "said"),
    [
        ("1,067", "mm", "two things"),
        ("1e3", "mm", "not a number"),
        ("-42", "in", "negative"),
        ("41 1/2", "mm", "not a"),
    ],
)
def test_a_height_that_could_be_misread_is_refused_beside_its_field_and_nothing_is_recorded(
    app: Flask, annual: Checklist, typed: str, unit: str, said: str
) -> None:
    form, looks = filled(app, annual, RAIL, {"p0-0-m0": typed, "p0-0-m0-unit": unit})
    assert looks == []
    assert said in " ".join(form["p0-0-m0"].errors)
    assert form["p0-0-m0"].data == typed


def test_two_readings_of_a_figure_are_kept_with_their_mean(app: Flask, annual: Checklist) -> None:
    typed = {"p0-0-m0": "41.5", "p0-0-m0-unit": "in", "p0-0-m0-more": "41 1/4; 41 3/4"}
    _, looks = filled(app, annual, RAIL, typed)
    (measure,) = looks[0]["measures"]
    assert measure["readings"] == ["41.5", "41.25", "41.75"]
    form, looks = filled(app, annual, RAIL, typed | {"p0-0-m0-more": "41.2 thick"})
    assert looks == []
    assert "not a number" in " ".join(form["p0-0-m0-more"].errors)
