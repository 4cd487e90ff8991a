"""Quantiles of Student's t distribution, read from shared/student_t.yaml."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Any

from inspect_app.domain.errors import BadValue
from inspect_app.domain.source import READINGS, KeyPath, KeyProblem, Source, known_keys, one_of

_KEYS = {"source", "clause", "mark", "probability", "rows"}


@dataclass(frozen=True, slots=True)
class StudentT:
    """The quantiles of one probability: (degrees of freedom, t), ascending. `citation` names the table."""

    probability: Fraction
    rows: tuple[tuple[int, Fraction], ...]
    citation: str = ""
    mark: str = ""

    def quantile(self, freedom: int) -> Fraction:
        """t for these degrees of freedom; between two rows the one with fewer, whose t is the larger.

        Raises BadValue below the first row.
        """
        fits = [t for nu, t in self.rows if nu <= freedom]
        if not fits:
            raise BadValue(f"The table of Student's t has no row for {freedom} degrees of freedom.", "rows")
        return fits[-1]


def parse_student_t(data: Mapping[str, Any], sources: Mapping[str, Source]) -> tuple[StudentT | None, list[KeyProblem]]:
    """The table from the mapping of the file, all scalars text; None with what is wrong."""
    top: KeyPath = ("student_t",)
    table = data.get("student_t")
    problems = known_keys(table, _KEYS, {"title", "note"}, top)
    if problems or not isinstance(table, Mapping):
        return None, problems
    source = sources.get(str(table["source"]))
    if source is None:
        problems.append(KeyProblem((*top, "source"), f"“{table['source']}” is not in sources.yaml."))
    problems += one_of(str(table["mark"]), READINGS, (*top, "mark"))
    probability = _number(table["probability"], (*top, "probability"), problems)
    rows = _rows(table["rows"], (*top, "rows"), problems)
    if problems or source is None or probability is None:
        return None, problems
    citation = f"{source.document} {table['clause']}"
    return StudentT(probability, rows, citation, str(table["mark"])), []


def _rows(given: object, path: KeyPath, problems: list[KeyProblem]) -> tuple[tuple[int, Fraction], ...]:
    if not isinstance(given, Sequence) or isinstance(given, str) or not given:
        problems.append(KeyProblem(path, "rows is a list of rows with nu and t."))
        return ()
    rows: list[tuple[int, Fraction]] = []
    for n, row in enumerate(given):
        here = (*path, str(n))
        wrong = known_keys(row, {"nu", "t"}, set(), here)
        problems += wrong
        if wrong:
            continue
        nu, t = (_number(row[key], (*here, key), problems) for key in ("nu", "t"))
        if nu is not None and t is not None:
            rows.append((int(nu), t))
    if any(a[0] >= b[0] or a[1] < b[1] for a, b in pairwise(rows)):
        problems.append(KeyProblem(path, "nu must rise from row to row, and t must not."))
    return tuple(rows)


def _number(text: object, path: KeyPath, problems: list[KeyProblem]) -> Fraction | None:
    try:
        number = Fraction(str(text))
    except (ValueError, ZeroDivisionError):
        number = Fraction(0)
    if number <= 0:
        problems.append(KeyProblem(path, f"“{text}” is not a number above zero."))
        return None
    return number
