"""The risk matrix cell by cell."""

from collections import Counter

import pytest

from inspect_app.config import shared_dir
from inspect_app.domain.errors import BadValue
from inspect_app.domain.risk import (
    NOT_ASSESSED,
    PROBABILITIES,
    SEVERITIES,
    RiskMatrix,
    check_open_risk,
    parse_risk_matrix,
    risk_level,
    risk_order,
)
from inspect_app.domain.worksheet import Reference
from inspect_app.domain.worksheets.risk import SHEETS
from inspect_app.store.reference import reference_at
from tests.published import published

# MIL-STD-882E (11 May 2012), Table III, rows A to F, columns 1 to 4.
TABLE_III = {
    "A": ["High", "High", "Serious", "Medium"],
    "B": ["High", "High", "Serious", "Medium"],
    "C": ["High", "Serious", "Medium", "Low"],
    "D": ["Serious", "Medium", "Medium", "Low"],
    "E": ["Medium", "Medium", "Medium", "Low"],
    "F": ["Eliminated"] * 4,
}


@pytest.fixture
def matrix() -> RiskMatrix:
    risk = reference_at(shared_dir()).risk
    assert risk is not None
    return risk


@published(
    "Risk matrix", "MIL-STD-882E", "Table III", "secondary",
    names="severity, probability, level",
    rows=[(str(n), row, level) for row, levels in TABLE_III.items() for n, level in enumerate(levels, start=1)],
    what="severity {severity}, probability {probability}", value="{level}",
)  # fmt: skip
def test_each_of_the_24_cells_is_that_of_the_standard(
    matrix: RiskMatrix, severity: str, probability: str, level: str
) -> None:
    assert risk_level(matrix, severity, probability) == level


@published(
    "Risk matrix", "MIL-STD-882E", "Table III", "secondary",
    names="level, count", rows=[("High", 5), ("Serious", 4), ("Medium", 8), ("Low", 3), ("Eliminated", 4)],
    what="cells that read {level}", value="{count}",
)  # fmt: skip
def test_the_levels_are_as_many_as_in_the_standard(matrix: RiskMatrix, level: str, count: int) -> None:
    assert Counter(matrix.cells.values())[level] == count


@published(
    "Risk matrix", "MIL-STD-882E", "Table I", "secondary",
    names="category, name",
    rows=[("1", "Catastrophic"), ("2", "Critical"), ("3", "Marginal"), ("4", "Negligible")],
    what="severity category {category}", value="{name}",
)  # fmt: skip
def test_categories_bear_the_names_of_the_standard(matrix: RiskMatrix, category: str, name: str) -> None:
    assert matrix.severities[category] == name


@published(
    "Risk matrix", "MIL-STD-882E", "Table II", "secondary",
    names="level, name",
    rows=[("A", "Frequent"), ("B", "Probable"), ("C", "Occasional"), ("D", "Remote"), ("E", "Improbable"),
          ("F", "Eliminated")],
    what="probability level {level}", value="{name}",
)  # fmt: skip
def test_probabilities_bear_the_names_of_the_standard(matrix: RiskMatrix, level: str, name: str) -> None:
    assert matrix.probabilities[level] == name


def test_order_is_by_level_then_severity_then_probability(matrix: RiskMatrix) -> None:
    cells = [("4", "A"), ("1", "E"), ("2", "C"), ("1", "B"), ("1", "A"), ("4", "F"), ("3", "E"), ("4", "C")]
    ordered = sorted(cells, key=lambda cell: risk_order(matrix, *cell))
    assert ordered == [
        ("1", "A"), ("1", "B"), ("2", "C"), ("1", "E"), ("3", "E"), ("4", "A"), ("4", "C"), ("4", "F"),
    ]  # fmt: skip


def test_what_nobody_assessed_stands_behind_what_is_grave_and_before_what_is_small(matrix: RiskMatrix) -> None:
    cells = [(severity, probability) for probability in PROBABILITIES for severity in SEVERITIES]
    before = {risk_level(matrix, *cell) for cell in cells if risk_order(matrix, *cell) < NOT_ASSESSED}
    after = {risk_level(matrix, *cell) for cell in cells if risk_order(matrix, *cell) > NOT_ASSESSED}
    assert (before, after) == ({"High", "Serious"}, {"Medium", "Low", "Eliminated"})


def test_an_open_deficiency_is_never_eliminated_and_the_reason_names_what_does_not_eliminate(
    matrix: RiskMatrix,
) -> None:
    """MIL-STD-882E, Table II, level F: training, warnings and protective equipment never move a hazard there."""
    with pytest.raises(BadValue, match="warnings, training and protective equipment never eliminate"):
        check_open_risk("F")
    for probability in PROBABILITIES[:-1]:
        check_open_risk(probability)
    assert "Training, warnings and protective equipment never make it so" in matrix.words("F")


def test_what_can_be_chosen_is_told_with_its_meaning_on_the_workbench_as_in_the_data(matrix: RiskMatrix) -> None:
    (sheet,) = SHEETS
    asked = {key: words for one in sheet.inputs for key, words in one.choices}
    assert asked == {key: matrix.words(key) for key in (*SEVERITIES, *PROBABILITIES)}


@pytest.mark.parametrize("severity", SEVERITIES)
@pytest.mark.parametrize("probability", PROBABILITIES)
def test_the_worksheet_tells_the_level_as_a_word_and_never_as_a_number(
    matrix: RiskMatrix, severity: str, probability: str
) -> None:
    (sheet,) = SHEETS
    answer = sheet.run({"severity": severity, "probability": probability}, Reference(risk=matrix))
    (said,) = answer.outcomes
    assert said.value == TABLE_III[probability][int(severity) - 1]
    assert not any(sign.isdigit() for sign in said.value + said.unit + said.words)
    assert answer.assumptions[0].startswith("Tailored: judged by injury alone")


@pytest.mark.parametrize(("severity", "probability"), [("5", "A"), ("1", "G"), ("", ""), ("A", "1")])
def test_a_cell_that_the_standard_lacks_is_refused(matrix: RiskMatrix, severity: str, probability: str) -> None:
    with pytest.raises(BadValue, match="not in the matrix"):
        risk_level(matrix, severity, probability)


def test_a_matrix_with_a_cell_missing_is_not_used() -> None:
    data = {"risk": {"severities": {}, "probabilities": {}, "levels": ["High"], "cells": {"A": {"1": "High"}}}}
    risk, problems = parse_risk_matrix(data)
    assert risk is None
    assert len(problems) == 23
