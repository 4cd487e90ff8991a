"""The tables inside the PDF: complete, readable, and harmless in a spreadsheet."""

import csv
import io
import json

import openpyxl
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.output.attachments import attachments_of, cell


@given(st.text())
def test_no_text_can_start_a_formula(text: str) -> None:
    out = cell(text)
    numeric = out.lstrip("-").replace(".", "", 1).isdigit()
    assert numeric or not out.lstrip(" \u00a0\ufeff").startswith(("=", "+", "-", "@", "\t", "\r", "\n", "|", "%"))


@given(st.text())
def test_a_text_is_kept_whole_behind_at_most_one_apostrophe(text: str) -> None:
    assert cell(text).removeprefix("'") in (text.replace("\x00", ""), text.replace("\x00", "").removeprefix("'"))


def test_numbers_stay_numbers_and_lists_are_joined() -> None:
    assert [cell(value) for value in (-3, "-0.5", None, True, False, ["a", "b"], "=1+1", "-x")] == [
        "-3", "-0.5", "", "yes", "no", "a; b", "'=1+1", "'-x",
    ]  # fmt: skip


def test_a_spreadsheet_reads_no_formula_from_hostile_rows(sample) -> None:
    data, _ = sample.hostile()
    data["findings"][0]["note"] = '=HYPERLINK("http://example.invalid")'
    data["parts"][0]["area"] = "@SUM(A1)"
    for file in attachments_of(data, b"{}"):
        if file.name.endswith(".csv"):
            sheet = openpyxl.Workbook().active
            assert sheet is not None
            for row in csv.reader(io.StringIO(file.content.decode("utf-8-sig"))):
                sheet.append([value.replace("\x0b", "") for value in row])
            assert not [c for row in sheet.iter_rows() for c in row if c.data_type == "f"]


def test_each_table_has_every_row_and_names_the_demonstration(sample) -> None:
    data, _ = sample.walk_data(findings=5, photos=0)
    files = {file.name: file for file in attachments_of(data, sample.sealed(data))}
    assert json.loads(files["walk.json"].content) == json.loads(json.dumps(data))
    for name, rows in (
        ("parts.csv", data["parts"]),
        ("findings.csv", data["findings"]),
        ("measures.csv", data["measures"]),
    ):
        read = list(csv.DictReader(io.StringIO(files[name].content.decode("utf-8-sig"))))
        assert len(read) == len(rows)
        assert all(row["Demonstration, invented house"] == "yes" for row in read)
    assert all("Demonstration, invented house" in file.says for file in files.values())


def test_a_figure_goes_with_all_that_it_was_read_with(sample) -> None:
    data, _ = sample.walk_data(findings=1, photos=0)
    data["measures"][0] = {**data["measures"][0], "readings": ["0.251", "0.249"], "load_state": "unloaded"}
    (file,) = (file for file in attachments_of(data, sample.sealed(data)) if file.name == "measures.csv")
    row = next(csv.DictReader(io.StringIO(file.content.decode("utf-8-sig"))))
    assert (row["readings"], row["load_state"]) == ("0.251; 0.249", "unloaded")
    assert {"value", "unit", "typed", "station", "gauge", "resolution"} <= set(row)


def test_a_real_house_is_not_called_a_demonstration(sample) -> None:
    data, _ = sample.tiny()
    data["house"]["demo"] = False
    assert all(b"Demonstration" not in file.content for file in attachments_of(data, b"{}"))
