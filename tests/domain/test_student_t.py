"""The table of Student's t, row by row against an independent computation."""

from fractions import Fraction
from typing import Any

import pytest
from scipy import stats

from inspect_app.config import shared_dir
from inspect_app.domain.errors import BadValue
from inspect_app.domain.source import Source
from inspect_app.domain.student_t import StudentT, parse_student_t
from inspect_app.store.reference import student_t_at
from tests.published import published

TABLE = student_t_at(shared_dir()) or StudentT(Fraction(0), ())
SOURCES = {"book": Source("book", "A book", "The Book", "1", "handbook", "read")}


FREEDOMS = (*range(1, 31), 40, 60, 100)


@published(
    "Student's t", "scipy.stats.t", "0.975 quantile", "library",
    names="nu, t", rows=[(nu, float(stats.t.ppf(0.975, nu))) for nu in FREEDOMS],
    what="{nu} degrees of freedom", value="{t:.4f}",
)  # fmt: skip
def test_published_quantile_agrees_with_an_independent_computation(nu: int, t: float) -> None:
    assert float(TABLE.quantile(nu)) == pytest.approx(t, abs=0.000501)


def test_the_table_has_exactly_the_rows_that_are_checked() -> None:
    assert tuple(nu for nu, _ in TABLE.rows) == FREEDOMS


def test_between_two_rows_the_larger_quantile_holds() -> None:
    assert TABLE.quantile(39) == TABLE.quantile(30)
    assert TABLE.quantile(5000) == TABLE.quantile(100)
    for nu in (2, 35, 45, 80, 98):
        assert float(TABLE.quantile(nu)) > stats.t.ppf(0.975, nu) - 0.0006


def test_no_degrees_of_freedom_have_no_quantile() -> None:
    with pytest.raises(BadValue):
        TABLE.quantile(0)


def table(**change: Any) -> dict[str, Any]:
    rows = [{"nu": "1", "t": "12.706"}, {"nu": "2", "t": "4.303"}]
    given = {"source": "book", "clause": "table 1", "mark": "read", "probability": "0.975", "rows": rows}
    return {"student_t": {**given, **change}}


def test_a_sound_table_is_read() -> None:
    found, problems = parse_student_t(table(), SOURCES)
    assert problems == []
    assert found == StudentT(
        Fraction("0.975"), ((1, Fraction("12.706")), (2, Fraction("4.303"))), "The Book table 1", "read"
    )


@pytest.mark.parametrize(
    "change",
    [
        {"source": "nobody"},
        {"mark": "hearsay"},
        {"probability": "much"},
        {"rows": []},
        {"rows": "none"},
        {"rows": [{"nu": "2", "t": "4.303"}, {"nu": "1", "t": "12.706"}]},
        {"rows": [{"nu": "1", "t": "4.303"}, {"nu": "2", "t": "12.706"}]},
        {"rows": [{"nu": "1", "t": "nan"}]},
        {"rows": [{"nu": "1", "t": "1/0"}]},
        {"rows": [{"nu": "1"}]},
        {"extra": "1"},
    ],
)
def test_a_mistake_in_the_table_is_named(change: dict[str, Any]) -> None:
    found, problems = parse_student_t(table(**change), SOURCES)
    assert found is None
    assert problems
