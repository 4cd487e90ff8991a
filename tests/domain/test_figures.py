"""Looking up figures: exact sizes only, all documents side by side, rows from memory out until signed."""

import copy
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.errors import BadValue
from inspect_app.domain.figure_reader import KINDS, parse_figures
from inspect_app.domain.source import Source
from inspect_app.store.reference import reference_at

REFERENCE = reference_at(shared_dir())
FIGURES = REFERENCE.figures
IN = Fraction("25.4")
SOURCES = {"doc": Source("doc", "A document", "DOC 1", "2020", "law", "read")}
TABLE: dict[str, Any] = {
    "id": "t1", "kind": "rope_strength", "title": "T", "of": {"construction": "7x19", "grade": "g", "core": "steel"},
    "unit": "lbf", "source": "doc", "clause": "1", "mark": "read", "applies_to": "all",
    "rows": [{"at": "1/4 in", "value": "5"}],
}  # fmt: skip


def parsed(change: dict[str, Any]) -> Any:
    return parse_figures({"figures": [copy.deepcopy(TABLE | change)]}, SOURCES)


@pytest.mark.parametrize("size", ["0.2", "6", "6.4", "7", "9", "100"])
def test_a_size_between_rows_or_beyond_them_has_no_strength(size: str) -> None:
    assert FIGURES.rope_strength("7x19", "carbon", Decimal(size)) == ()


@pytest.mark.parametrize(("size", "pounds"), [("6.35", 7000), ("6.34", 7000), ("7.94", 9800), ("9.5", 14400)])
def test_a_size_as_it_is_usually_rounded_is_found(size: str, pounds: int) -> None:
    assert [figure.value for figure in FIGURES.rope_strength("7x19", "carbon", Decimal(size))] == [pounds]


def test_eight_millimetres_is_not_five_sixteenths() -> None:
    assert FIGURES.rope_strength("7x19", "carbon", 8) == ()


def test_documents_that_differ_stand_side_by_side() -> None:
    found = FIGURES.rope_strength("7x19", "stainless", Decimal("6.35"))
    assert [figure.value for figure in found] == [6400, 4900]
    assert len({figure.citation for figure in found}) == 2


def test_an_open_grade_gives_every_grade() -> None:
    found = FIGURES.rope_strength("7x19", None, Decimal("6.35"))
    assert {figure.value for figure in found} == {7000, 6400, 4900}
    assert FIGURES.rope_grades("7x19") == ("carbon", "stainless")


@pytest.mark.parametrize("value", ["0", "-1", "NaN", "Infinity"])
def test_an_impossible_size_or_ratio_is_refused(value: str) -> None:
    with pytest.raises(BadValue):
        FIGURES.rope_strength("7x19", "carbon", Decimal(value))
    with pytest.raises(BadValue):
        FIGURES.sheave_efficiency(Decimal(value))


@pytest.mark.parametrize("kind", ["swaged", "wedge", "spliced", "knot", "anything"])
def test_an_unknown_efficiency_stays_unknown(kind: str) -> None:
    assert FIGURES.termination_efficiency(kind) == ()


@pytest.mark.parametrize(
    ("ratio", "percent", "row"), [("22", 91, "D/d 20"), ("29.99", 91, "D/d 20"), ("99", 95, "D/d 40")]
)
def test_between_ratios_the_lower_row_is_read_and_said(ratio: str, percent: int, row: str) -> None:
    (figure,) = FIGURES.sheave_efficiency(Decimal(ratio))
    assert (figure.value, figure.row) == (percent, row)
    assert f"next lower row, {row}" in figure.note


def test_at_a_row_nothing_is_said_of_lower_rows_and_below_the_table_there_is_nothing() -> None:
    assert "lower row" not in FIGURES.sheave_efficiency(20)[0].note
    assert FIGURES.sheave_efficiency(Decimal("0.5")) == ()
    assert FIGURES.fatigue_ratio(11) == ()


@given(st.fractions(min_value=1, max_value=200), st.fractions(min_value=0, max_value=50))
def test_a_larger_sheave_never_reads_worse(ratio: Fraction, more: Fraction) -> None:
    assert FIGURES.sheave_efficiency(ratio)[0].value <= FIGURES.sheave_efficiency(ratio + more)[0].value


@given(st.sampled_from([t for t in FIGURES.tables if t.rows[0].by == "size"]), st.fractions(min_value=1, max_value=40))
def test_a_lookup_gives_a_number_of_the_table_or_nothing(table: Any, size: Fraction) -> None:
    printed = {row.value for row in table.rows}
    assert {f.value for f in FIGURES.by_size(table.kind, size, **table.of) if f.id == table.id} <= printed


def test_rows_from_memory_are_not_returned() -> None:
    assert FIGURES.rope_mass("7x19", Decimal("6.35")) == ()
    assert FIGURES.termination_efficiency("swaged") == ()


def test_every_row_from_memory_waits_and_no_other_does() -> None:
    assert {table.id for table in FIGURES.waiting()} == {table.id for table in FIGURES.tables if table.mark == "memory"}


def test_a_row_is_never_marked_better_read_than_its_document() -> None:
    order = ["read", "secondary", "memory"]
    better = [t.id for t in FIGURES.tables if order.index(t.mark) < order.index(t.source.how_read)]
    assert better == []


@pytest.mark.parametrize("name", ["1 1/2", "1-1/2", '1 1/2"', "1.5", "1 1/2 in"])
def test_a_pipe_is_found_however_its_name_is_written(name: str) -> None:
    pipe = FIGURES.pipe(name)
    assert pipe is not None
    assert pipe.outside_diameter is not None
    assert pipe.outside_diameter.value == Fraction("1.9")


def test_a_pipe_or_schedule_without_a_row_is_none_and_a_name_that_is_none_is_refused() -> None:
    assert FIGURES.pipe("7") is None
    assert FIGURES.pipe("1 1/2", "80") is None
    with pytest.raises(BadValue):
        FIGURES.pipe("batten")


def test_spreaders_are_the_same_as_the_criterion() -> None:
    (rule,) = (one for one in REFERENCE.criteria["spreader-spacing"].rules if one.mark != "recorded")
    (figure,) = FIGURES.single("spreader_spacing", bound="most")
    assert getattr(rule.form, "value", None) == figure.value
    assert rule.unit == figure.unit


def test_every_kind_of_figure_is_shipped() -> None:
    assert {table.kind for table in FIGURES.tables} == set(KINDS)


# Mistakes


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"kind": "rope_colour"}, "“rope_colour” is not allowed here"),
        ({"source": "nowhere"}, "“nowhere” is not a key of sources.yaml"),
        ({"clause": " "}, "clause is empty"),
        ({"mark": "hearsay"}, "“hearsay” is not allowed here"),
        ({"by_analogy": "perhaps"}, "“perhaps” is not allowed here"),
        ({"of": {"construction": "7x19"}}, "grade is missing"),
        ({"of": {"construction": ["7x19"], "grade": "g", "core": "steel"}}, "construction is text"),
        ({"colour": "red"}, "colour is not a key of this place"),
        ({"unit": "stone"}, "“stone” is not allowed here"),
        ({"unit": "mm"}, "mm is a length; a rope_strength is given as force"),
        ({"rows": []}, "a table needs value, or rows"),
        ({"value": "5"}, "either value or rows"),
        ({"rows": [{"at": "half in", "value": "5"}]}, "cannot be read as a length"),
        ({"rows": [{"at": "1/4 in", "value": "five"}]}, "“five” is not a number"),
        ({"rows": [{"at": "1/4 in", "value": "NaN"}]}, "not a finite number"),
        ({"rows": [{"at": "1/4 in"}]}, "value is missing"),
        ({"rows": [{"at": "1/4 in", "to": "1/2 in", "value": "5"}]}, "a row is placed by"),
        ({"rows": [{"ratio": "4", "value": "5"}]}, "is looked up by size"),
        ({"rows": ["x"]}, "this must be a mapping"),
        ({"mark": "memory"}, "carries reviewed"),
        ({"mark": "memory", "reviewed": {"by": "", "credential": "", "on": ""}}, "stays active: false"),
    ],
)
def test_a_mistake_is_named_and_the_table_left_out(change: dict[str, Any], said: str) -> None:
    figures, problems = parsed(change)
    assert figures.tables == ()
    assert any(said in problem.message for problem in problems), problems
    assert all(problem.path[:2] == ("figures", "0") for problem in problems)


def test_a_good_table_survives_a_bad_one_and_a_repeated_id() -> None:
    figures, problems = parse_figures({"figures": [TABLE, TABLE, "x", TABLE | {"id": "t2", "rows": "y"}]}, SOURCES)
    assert [table.id for table in figures.tables] == ["t1"]
    assert len(problems) == 3
    assert "t1 is used twice" in problems[0].message


@pytest.mark.parametrize("data", [{}, {"figures": "x"}, {"figures": {"a": "b"}}])
def test_a_file_without_figures_is_a_problem_and_no_crash(data: dict[str, Any]) -> None:
    figures, problems = parse_figures(data, SOURCES)
    assert figures.tables == ()
    assert len(problems) == 1
