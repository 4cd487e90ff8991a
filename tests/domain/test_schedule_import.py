from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSet, LineSetKind, Side
from inspect_app.domain.line_set import clean_label
from inspect_app.domain.schedule_columns import choose_columns, find_columns, letter_of, match_heading
from inspect_app.domain.schedule_import import (
    Defaults,
    ScheduleRow,
    export_schedule,
    guard,
    read_schedule,
    unguard,
)

FEET = Defaults(length_unit="ft", lines=6)


def read(text: str, defaults: Defaults = FEET) -> list[ScheduleRow]:
    """Rows of a table written with | between cells."""
    rows = [[cell.strip() for cell in line.split("|")] for line in text.strip("\n").splitlines()]
    return read_schedule(rows, find_columns(rows), defaults)


def test_a_schedule_with_a_title_above_its_headings_is_read() -> None:
    rows = read("""
        City stage, line-set schedule, 2019 | |
         | |
        Set # | Dist. from Plaster Line | Use | Type | Lift Lines
        1 | 1'-0" | House curtain | Double Purchase | 7
        12A | 12'-6 1/2" | 1st Electric | motorized |
    """)
    first, second = (row.line for row in rows)
    assert first is not None
    assert second is not None
    assert (first.number, first.y_mm, first.kind, first.lines) == ("1", 305, LineSetKind.DOUBLE, 7)
    # 12 ft 6.5 in = 150.5 in x 25.4 = 3822.7 mm (an inch is 25.4 mm exactly, NIST SP 811)
    assert (second.number, second.y_mm) == ("12A", round(Fraction("150.5") * Fraction("25.4")))
    assert (second.kind, second.lines, second.label) == (LineSetKind.MOTOR, 6, "1st Electric")


@pytest.mark.parametrize(
    ("heading", "field", "unit"),
    [
        ("Set #", "number", ""),
        ("LINE SET NO.", "number", ""),
        ("Bar No", "number", ""),
        ("Distance from Plaster Line (ft)", "distance", "ft"),
        ("Distance from setting line [m]", "distance", "m"),
        ("Dist in mm", "distance", "mm"),
        ("Cradle capacity, kg", "arbor_capacity", "kg"),
        ("Barrel length (m)", "batten_length", "m"),
        ("No. of lift-lines", "", ""),
        ("No. of lines", "lines", ""),
        ("Goods", "label", ""),
        ("Weather", "", ""),
    ],
)
def test_headings_are_known_by_us_and_uk_words_with_their_unit(heading: str, field: str, unit: str) -> None:
    found, found_unit = match_heading(heading)
    assert found == field
    if field:
        assert found_unit == unit


def test_a_unit_in_the_heading_wins_over_the_chosen_one() -> None:
    (row,) = read("Bar | Distance (m)\n1 | 1.5")
    assert row.line is not None
    assert row.line.y_mm == 1500


@pytest.mark.parametrize(
    ("unit", "text", "mm"),
    [("ft", "12.5", 3810), ("in", "150.5", 3823), ("m", "3.81", 3810), ("mm", "3810", 3810), ("ft", "3.81 m", 3810)],
)
def test_bare_distances_take_the_chosen_unit(unit: str, text: str, mm: int) -> None:
    (row,) = read(f"Set | Distance\n1 | {text}", Defaults(length_unit=unit))
    assert row.line is not None
    assert row.line.y_mm == mm


def test_a_bad_row_is_named_by_row_and_column_and_the_rest_is_kept() -> None:
    rows = read("""
        Set | Distance | Lines | Side
        1 | 1'-0" | 6 | SR
        2 | about two feet | 6 | SR
        3 | 3'-0" | many | PS
        1 | 4'-0" | 6 | SL
        5 | | 6 | SL
        6 | 5'-0" | 6 | SL
    """)
    assert [row.line.number for row in rows if row.line] == ["1", "6"]
    problems = [str(problem) for row in rows for problem in row.problems]
    assert [text.split(":")[0] for text in problems] == [
        "Row 3, column B (Distance)",
        "Row 4, column C (Lines)",
        "Row 4, column D (Side)",
        "Row 5, column A (Set)",
        "Row 6, column B (Distance)",
    ]
    assert "row 2" in problems[3]
    assert rows[1].cells[1] == "about two feet"


def test_a_distance_in_the_wrong_unit_is_noticed() -> None:
    (row,) = read("Set | Distance\n1 | 12000", FEET)
    assert "check the unit" in row.problems[0].message


def test_a_formula_without_its_result_is_refused_by_name() -> None:
    (row,) = read("Set | Distance\n1 | =B1+0.5")
    assert "formula" in row.problems[0].message


def test_a_cell_of_200_kb_is_refused_and_the_other_rows_are_kept() -> None:
    rows = [["Set", "Distance", "Use"], ["1", "1", "x" * 200_000], ["2", "2", "legs"]]
    found = read_schedule(rows, find_columns(rows), FEET)
    assert found[0].line is None
    assert "200000 characters" in found[0].problems[0].message
    assert found[1].line is not None


def test_without_known_headings_the_columns_must_be_chosen() -> None:
    rows = [["1", "1'"], ["2", "2'"]]
    columns = find_columns(rows)
    assert columns.heading_row is None
    with pytest.raises(BadValue, match="Choose the column"):
        read_schedule(rows, columns, FEET)
    chosen = choose_columns(columns, {0: "number", 1: "distance"})
    assert [row.line.y_mm for row in read_schedule(rows, chosen, FEET) if row.line] == [305, 610]


def test_a_field_chosen_twice_goes_to_the_first_column() -> None:
    columns = choose_columns(find_columns([["Set", "Distance", "Use"]]), {2: "number"})
    assert [column.field for column in columns.columns] == ["number", "distance", ""]


def test_columns_have_the_letters_a_spreadsheet_shows() -> None:
    assert [letter_of(n) for n in (0, 25, 26, 51, 52, 701, 702)] == ["A", "Z", "AA", "AZ", "BA", "ZZ", "AAA"]


@given(st.text())
def test_guarded_text_begins_no_formula_and_comes_back(text: str) -> None:
    assert not guard(text).startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
    assert unguard(guard(text)) == text


numbers = st.text(st.characters(categories=["Lu", "Ll", "Nd"], max_codepoint=0x24F), min_size=1, max_size=8)
labels = st.text(max_size=60).map(clean_label)


def line_sets() -> st.SearchStrategy[list[LineSet]]:
    one = st.builds(
        LineSet,
        id=st.uuids().map(str),
        house=st.just("h"),
        number=numbers | st.sampled_from(["-1", "LX1", "12A", "+3"]),
        sort_key=st.just(0),
        kind=st.sampled_from(LineSetKind),
        y_mm=st.integers(-5000, 50_000),
        head_side=st.sampled_from(Side),
        axis=st.sampled_from(["across", "along"]),
        lines=st.integers(0, 12),
        label=labels | st.sampled_from(["=1+1", "'=x", "@home", "-legs", "+"]),
    )
    return st.lists(one, max_size=12, unique_by=lambda line_set: line_set.number.casefold())


@given(line_sets(), st.sampled_from(["imperial", "metric"]))
def test_an_exported_schedule_is_read_back_the_same(sets: list[LineSet], units: str) -> None:
    capacity = {line_set.id: {"arbor_capacity": "544.310844", "batten_length": "15240"} for line_set in sets}
    table = export_schedule(sets, capacity, "plaster line", units)
    rows = read_schedule(table, find_columns(table), Defaults())
    assert [problem for row in rows for problem in row.problems] == []
    kept = [(s.number, s.y_mm, s.label, s.kind, s.lines, s.head_side, s.axis) for s in sets]
    read_back = [row.line for row in rows if row.line]
    assert [(r.number, r.y_mm, r.label, r.kind, r.lines, r.head_side, r.axis) for r in read_back] == kept
    assert all(r.attributes == capacity[s.id] for r, s in zip(read_back, sets, strict=True))
    assert not any(cell.startswith(("=", "+", "-", "@")) for row in table for cell in row)
