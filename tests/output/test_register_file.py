"""The register as a file: nothing in it is taken for a formula."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import load_workbook

from inspect_app.output.register_file import harmless, write_register

SIGNS = "=+-@\t\r\n"


@pytest.mark.parametrize("cell", ["=1+1", "+44 20", "-2+3", "@SUM(A1)", "\t=1", "\r=1", " =1", "＝1", "\ufeff=1"])
def test_what_an_office_program_would_run_begins_with_an_apostrophe(cell: str) -> None:
    assert harmless(cell) == "'" + cell


@pytest.mark.parametrize("cell", ["", "-5", "-12.50", "-12.50 USD", "worn", "3=3", "2026-03-04", "'=1"])
def test_numbers_and_plain_words_stay_as_they_are(cell: str) -> None:
    assert harmless(cell) == cell


@given(st.lists(st.lists(st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Cn"])), max_size=4)))
def test_no_cell_of_either_file_starts_like_a_formula(table: list[list[str]]) -> None:
    text = write_register(table, "csv", "T").decode("utf-8-sig")
    cells = [cell for row in csv.reader(io.StringIO(text, newline="")) for cell in row]
    assert all(not cell.lstrip().startswith(tuple("=+@")) for cell in cells)
    for row in load_workbook(io.BytesIO(write_register(table, "xlsx", "T"))).active.iter_rows():
        assert all(cell.data_type in ("s", "n", "inlineStr") and cell.data_type != "f" for cell in row)
