import csv
import io
import zipfile

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.output.schedule_file import decode, read_table, write_csv, write_xlsx

ROWS = [["Set", "Distance", "Use"], ["1", "12'-6 1/2\"", "Rideau é"], ["12A", '150.5"', "Legs; black"]]


def as_csv(delimiter: str = ",") -> str:
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=delimiter).writerows(ROWS)
    return out.getvalue()


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_csv_is_read_whatever_parts_its_cells(delimiter: str) -> None:
    assert read_table(as_csv(delimiter).encode()) == ROWS


@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_csv_is_read_in_the_codings_office_programs_write(coding: str) -> None:
    assert read_table(as_csv().encode(coding)) == ROWS


def test_a_first_line_that_names_the_sign_is_followed() -> None:
    assert read_table(b"sep=;\nSet;Use\n1;a,b\n") == [["Set", "Use"], ["1", "a,b"]]


def test_inch_signs_outside_quotes_stay_as_they_are() -> None:
    assert read_table(b"Set,Distance\n1,12'-6 1/2\"\n2,13'\n") == [
        ["Set", "Distance"],
        ["1", "12'-6 1/2\""],
        ["2", "13'"],
    ]


def test_a_field_of_200_kb_does_not_lose_the_file() -> None:
    table = read_table(b"Set,Use\n1," + b"x" * 200_000 + b"\n2,legs\n")
    assert table[2] == ["2", "legs"]
    assert len(table[1][1]) <= 400


def test_a_quote_left_open_swallows_no_row_below_it() -> None:
    table = read_table(b"Set,Distance\n1,\"12'\n2,13'\n3,14'\n")
    assert [row[0] for row in table if row] == ["Set", "1", "2", "3"]


def test_a_cell_of_two_lines_stays_one_cell() -> None:
    assert read_table(b'Set,Use\n1,"Legs\nblack"\n') == [["Set", "Use"], ["1", "Legs\nblack"]]


def workbook(rows: list[list[object]]) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_xlsx_numbers_are_read_without_trailing_noughts() -> None:
    assert read_table(workbook([["Set", "Distance"], [1, 12.5], [2.0, 13]])) == [
        ["Set", "Distance"],
        ["1", "12.5"],
        ["2", "13"],
    ]


def test_a_formula_without_a_kept_result_shows_itself() -> None:
    table = read_table(workbook([["Set", "Distance"], [1, 12], [2, "=B2+1"]]))
    assert table[2] == ["2", "=B2+1"]


def test_the_first_sheet_that_holds_rows_is_taken() -> None:
    book = openpyxl.Workbook()
    second = book.create_sheet("Schedule")
    second.append(["Set", "Distance"])
    second.append([1, 2])
    out = io.BytesIO()
    book.save(out)
    assert read_table(out.getvalue()) == [["Set", "Distance"], ["1", "2"]]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "Choose a file"),
        (b"\xd0\xcf\x11\xe0" + b"x" * 20, "old or protected"),
        (b"PK\x03\x04 broken", "cannot be read as XLSX"),
        (b"x" * 2_000_001, "kB"),
    ],
)
def test_a_file_that_cannot_be_read_says_what_to_do(data: bytes, says: str) -> None:
    with pytest.raises(BadValue, match=says):
        read_table(data)


def test_a_zip_that_is_no_workbook_or_unpacks_to_too_much_is_refused() -> None:
    for name, content in (("a.txt", b"x"), ("xl/workbook.xml", b"\0" * 61_000_000)):
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
            packed.writestr(name, content)
        with pytest.raises(BadValue):
            read_table(out.getvalue())


cells = st.text(st.characters(exclude_categories=["Cc", "Cs"]), max_size=30).map(lambda text: " ".join(text.split()))


@settings(max_examples=40)
@given(st.lists(st.lists(cells.filter(bool), min_size=3, max_size=3), min_size=2, max_size=5))
def test_what_is_written_is_read_back_from_csv_and_xlsx(rows: list[list[str]]) -> None:
    assert read_table(write_xlsx(rows, "Sets [1]/2")) == rows
    assert list(csv.reader(io.StringIO(decode(write_csv(rows)), newline=""))) == rows


def test_no_cell_of_a_written_workbook_is_a_formula() -> None:
    book = openpyxl.load_workbook(io.BytesIO(write_xlsx([["a"], ["=1+1"]], "x")))
    assert book.active["A2"].data_type == "s"
    assert book.active["A2"].value == "=1+1"
