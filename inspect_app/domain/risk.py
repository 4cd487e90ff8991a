"""Risk level by severity and probability (MIL-STD-882E, Tables I to III), only to order deficiencies inside a grade.

The level is never multiplied into a number and never shown as a score.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from inspect_app.domain.errors import BadValue
from inspect_app.domain.source import KeyProblem

SEVERITIES = ("1", "2", "3", "4")
PROBABILITIES = ("A", "B", "C", "D", "E", "F")
ELIMINATED = "F"
NOT_ELIMINATED = (
    "While a deficiency is open its hazard is there: warnings, training and protective equipment never eliminate one. "
    "Choose A to E; once it is put right and checked, it is settled."
)


@dataclass(frozen=True, slots=True)
class RiskMatrix:
    """Names, meanings and cells as the standard's tables give them; `cells` by (probability, severity): ("E", "3")."""

    severities: Mapping[str, str]
    probabilities: Mapping[str, str]
    levels: tuple[str, ...]  # gravest first
    cells: Mapping[tuple[str, str], str]
    means: Mapping[str, str] = field(default_factory=dict)  # of a category or a probability, by its sign

    def words(self, sign: str) -> str:
        """A category or probability to choose: `2 Critical: permanent partial disability, or ...`."""
        name = self.severities.get(sign) or self.probabilities[sign]
        return f"{sign} {name}" + (f": {self.means[sign]}" if self.means.get(sign) else "")


def check_open_risk(probability: str) -> None:
    """Raise BadValue where an open deficiency is called eliminated, which would put it behind all others."""
    if probability == ELIMINATED:
        raise BadValue(NOT_ELIMINATED, "probability")


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


# What nobody has assessed stands behind the two gravest levels and before the others, so that what was found to be
# small never overtakes what nobody has looked into. Our choice, no source.
NOT_ASSESSED = (3, "", "")


def risk_order(matrix: RiskMatrix, severity: str, probability: str) -> tuple[int, str, str]:
    """A sort key, gravest first: by level, inside a level by severity, then by probability; see NOT_ASSESSED."""
    return 2 * matrix.levels.index(risk_level(matrix, severity, probability)), severity, probability


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
    names_of, means = (_column({**risk["severities"], **risk["probabilities"]}, part) for part in ("name", "means"))
    severities, probabilities = ({key: names_of.get(key, key) for key in of} for of in (SEVERITIES, PROBABILITIES))
    return RiskMatrix(severities, probabilities, levels, cells, means), []


def _column(rows: Mapping[str, Any], part: str) -> dict[str, str]:
    return {str(key): str(row[part]) for key, row in rows.items() if isinstance(row, Mapping) and part in row}
