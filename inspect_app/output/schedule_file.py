"""Line-set schedules as files: CSV and XLSX bytes read into a table of text, and a table written as either."""

import csv
import io
import zipfile
from collections.abc import Sequence
from typing import Any

from inspect_app.domain.errors import BadValue

MOST_BYTES = 2_000_000
MOST_UNPACKED = 60_000_000  # of an XLSX, against a packed bomb
MOST_ROWS, MOST_COLUMNS, LONGEST_CELL = 2000, 60, 400
_ZIP, _OLD_OFFICE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
_NO_FILE = "Choose a file: a line-set schedule as CSV or XLSX."

Table = list[list[str]]


def read_table(data: bytes) -> Table:
    """The cells of a CSV or XLSX file as text, row by row. Raises BadValue that says how to save the file instead.

    Cells over 400 characters are cut to a note that `read_schedule` refuses by row and column.
    """
    if not data.strip():
        raise BadValue(_NO_FILE, "file")
    if len(data) > MOST_BYTES:
        raise BadValue(f"The file has {len(data) // 1000} kB; a schedule here has up to 2000 kB.", "file")
    if data.startswith(_OLD_OFFICE):
        raise BadValue("This is an old or protected office file. Save it as .xlsx or CSV, without a password.", "file")
    table = _read_xlsx(data) if data.startswith(_ZIP) else _read_csv(decode(data))
    return [[_short(cell) for cell in row[:MOST_COLUMNS]] for row in table[:MOST_ROWS]]


def _short(cell: str) -> str:
    return cell if len(cell) <= LONGEST_CELL else cell[:LONGEST_CELL]


def decode(data: bytes) -> str:
    """Text of a file from any program: UTF-8 or UTF-16 with or without mark, else Windows-1252."""
    for mark, coding in ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if data.startswith(mark):
            return data.decode(coding, errors="replace")
    half = data[:2000]
    for zeros, coding in ((half[1::2], "utf-16-le"), (half[::2], "utf-16-be")):
        if zeros.count(0) > len(zeros) * 0.6:
            return data.decode(coding, errors="replace")
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def _read_csv(text: str) -> Table:
    csv.field_size_limit(MOST_BYTES)  # else one long field would lose the whole file
    clean = text.replace("\x00", "").replace("\r\n", "\n").replace("\r", "\n")
    if clean.startswith("sep=") and "\n" in clean:
        first, _, clean = clean.partition("\n")
        return list(csv.reader(io.StringIO(clean), delimiter=first[4:5] or ","))
    delimiter = _delimiter(clean)
    try:
        if _quote_left_open(clean, delimiter):  # else one stray quote would swallow all rows below it
            return [row for line in clean.split("\n") for row in csv.reader([line], delimiter=delimiter)]
        return list(csv.reader(io.StringIO(clean, newline=""), delimiter=delimiter))
    except csv.Error as error:
        raise BadValue(f"The file cannot be read as CSV ({error}). Save it as .xlsx instead.", "file") from None


def _quote_left_open(text: str, delimiter: str) -> bool:
    try:
        for _ in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True):
            pass
    except csv.Error as error:
        return "end of data" in str(error)
    return False


def _delimiter(text: str) -> str:
    """The sign that parts most of the first rows into the same number of cells."""

    def score(sign: str) -> tuple[int, int]:
        rows = [row for row in csv.reader(io.StringIO(text[:20_000], newline=""), delimiter=sign) if any(row)][:30]
        widths = [len(row) for row in rows]
        usual = max(set(widths), key=widths.count, default=1)
        return (widths.count(usual) if usual > 1 else 0, usual)

    return max((",", ";", "\t", "|"), key=score)


def _read_xlsx(data: bytes) -> Table:
    from openpyxl import load_workbook  # slow to load, seldom asked for
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            if sum(entry.file_size for entry in packed.infolist()) > MOST_UNPACKED:
                raise BadValue("The file unpacks to more than 60 MB. Save the schedule's sheet alone.", "file")
        values = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
        formulas = load_workbook(io.BytesIO(data), read_only=True, data_only=False)
    except BadValue:
        raise
    except (zipfile.BadZipFile, InvalidFileException, KeyError, ValueError, OSError, EOFError, TypeError, SyntaxError):
        raise BadValue("The file cannot be read as XLSX. Open it, save it anew as .xlsx or as CSV.", "file") from None
    try:
        for sheet in values.worksheets:
            table = _sheet(sheet, formulas[sheet.title])
            if sum(any(row) for row in table) >= 2:
                return table
        return []
    finally:
        values.close()
        formulas.close()


def _sheet(values: Any, formulas: Any) -> Table:
    """The cells of a sheet; a formula shows its kept result, or itself when none is kept."""
    limits = {"max_row": MOST_ROWS, "max_col": MOST_COLUMNS, "values_only": True}
    rows = zip(values.iter_rows(**limits), formulas.iter_rows(**limits), strict=False)
    table = [
        [_cell_text(kept if kept is not None else typed) for kept, typed in zip(kept_row, typed_row, strict=False)]
        for kept_row, typed_row in rows
    ]
    while table and not any(table[-1]):
        table.pop()
    width = max((n for row in table for n, cell in enumerate(row, start=1) if cell), default=0)
    return [row[:width] for row in table]


def _cell_text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return repr(int(value)) if value.is_integer() and abs(value) < 1e15 else f"{value:.10g}"
    return str(value)


def write_csv(table: Sequence[Sequence[str]]) -> bytes:
    """A table as CSV in UTF-8 with a mark, so that office programs read accents aright."""
    out = io.StringIO(newline="")
    csv.writer(out).writerows(table)
    return out.getvalue().encode("utf-8-sig")


def write_xlsx(table: Sequence[Sequence[str]], title: str) -> bytes:
    """A table as XLSX; every cell is text, so that none is taken for a formula, a date or a number."""
    from openpyxl import Workbook  # slow to load, seldom asked for

    book = Workbook()
    sheet = book.active
    if sheet is None:
        raise RuntimeError("a new workbook has a sheet")
    sheet.title = "".join(sign for sign in title if sign not in "[]:*?/\\")[:31] or "Line sets"
    for row, cells in enumerate(table, start=1):
        for column, text in enumerate(cells, start=1):
            cell = sheet.cell(row=row, column=column)
            cell.value = text
            cell.data_type = "s"
            cell.number_format = "@"
    sheet.freeze_panes = "A2"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()
