"""Risk level by severity and probability (MIL-STD-882E, Tables I to III), only to order deficiencies inside a grade.

The level is never multiplied into a number and never shown as a score.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from inspect_app.domain.errors import BadValue
from inspect_app.domain.source import KeyProblem

SEVERITIES = ("1", "2", "3", "4")
PROBABILITIES = ("A", "B", "C", "D", "E", "F")


@dataclass(frozen=True, slots=True)
class RiskMatrix:
    """Names and cells as the standard's tables give them. `cells` is keyed by (probability, severity): ("E", "3")."""

    severities: Mapping[str, str]
    probabilities: Mapping[str, str]
    levels: tuple[str, ...]  # gravest first
    cells: Mapping[tuple[str, str], str]


def risk_level(matrix: RiskMatrix, severity: str, probability: str) -> str:
    """The level of one cell. Raises BadValue for a category or level the standard does not have."""
    level = matrix.cells.get((probability, severity))
    if level is None:
        raise BadValue(
            f"Severity “{severity}” with probability “{probability}” is not in the matrix. "
            f"Severity: {', '.join(SEVERITIES)}; probability: {', '.join(PROBABILITIES)}.",
            "severity",
        )
    return level


def risk_order(matrix: RiskMatrix, severity: str, probability: str) -> tuple[int, str, str]:
    """A sort key, gravest first: by level, inside a level by severity, then by probability."""
    return matrix.levels.index(risk_level(matrix, severity, probability)), severity, probability


def parse_risk_matrix(data: Mapping[str, Any]) -> tuple[RiskMatrix | None, list[KeyProblem]]:
    """The matrix from `risk` of shared/trade.yaml. All 24 cells must be there and name a known level."""
    risk = data.get("risk")
    names = ("severities", "probabilities", "cells")
    if not isinstance(risk, Mapping) or not all(isinstance(risk.get(name), Mapping) for name in names):
        return None, [KeyProblem(("risk",), "risk needs severities, probabilities, levels and cells.")]
    levels = tuple(str(level) for level in risk.get("levels", ()))
    cells: dict[tuple[str, str], str] = {}
    problems: list[KeyProblem] = []
    for probability in PROBABILITIES:
        row = risk["cells"].get(probability)
        for severity in SEVERITIES:
            level = row.get(severity) if isinstance(row, Mapping) else None
            if level in levels:
                cells[probability, severity] = str(level)
            else:
                problems.append(
                    KeyProblem(("risk", "cells", probability), f"cell {severity}{probability} is missing or unknown.")
                )
    if problems:
        return None, problems
    return RiskMatrix(_titles(risk["severities"]), _titles(risk["probabilities"]), levels, cells), []


def _titles(rows: Mapping[str, Any]) -> dict[str, str]:
    return {str(key): str(row.get("name", key)) for key, row in rows.items() if isinstance(row, Mapping)}
