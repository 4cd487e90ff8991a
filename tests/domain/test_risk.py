"""The risk matrix cell by cell."""

from collections import Counter

import pytest

from inspect_app.config import shared_dir
from inspect_app.domain.errors import BadValue
from inspect_app.domain.risk import RiskMatrix, parse_risk_matrix, risk_level, risk_order
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


@pytest.mark.parametrize(("severity", "probability"), [("5", "A"), ("1", "G"), ("", ""), ("A", "1")])
def test_a_cell_that_the_standard_lacks_is_refused(matrix: RiskMatrix, severity: str, probability: str) -> None:
    with pytest.raises(BadValue, match="not in the matrix"):
        risk_level(matrix, severity, probability)


def test_a_matrix_with_a_cell_missing_is_not_used() -> None:
    data = {"risk": {"severities": {}, "probabilities": {}, "levels": ["High"], "cells": {"A": {"1": "High"}}}}
    risk, problems = parse_risk_matrix(data)
    assert risk is None
    assert len(problems) == 23
