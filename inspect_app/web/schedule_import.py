"""Importing a line-set schedule: the file, the columns, what is read of each row, and the rows still to be mended."""

import json
from dataclasses import replace
from typing import Any, NamedTuple

from flask import Blueprint, Response, flash, g, redirect, render_template, request, url_for
from flask_wtf import FlaskForm
from flask_wtf.file import FileField
from wtforms import HiddenField
from wtforms.validators import InputRequired

from inspect_app import clock
from inspect_app.actions.schedule import exported_attributes, import_schedule
from inspect_app.domain.errors import BadValue, DomainError
from inspect_app.domain.house import LineSetKind, Side
from inspect_app.domain.line_set import MOST_LINES
from inspect_app.domain.schedule_columns import FIELD_TITLES, Columns, choose_columns, find_columns, letter_of
from inspect_app.domain.schedule_import import LENGTH_UNITS, Defaults, ScheduleRow, export_schedule, read_schedule
from inspect_app.output.schedule_file import Table, read_table, write_csv, write_xlsx
from inspect_app.store.house import list_line_sets
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.house_form import KIND_CHOICES, SIDE_CHOICES, units

blueprint = Blueprint("schedule_import", __name__, url_prefix="/houses/<house_id>/schedule")
LARGEST_FORM = 120_000  # bytes of the table as it travels in the form; the server takes forms up to 200 kB
_MIME = {"csv": "text/csv; charset=utf-8", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}


class FileForm(FlaskForm):
    """A schedule as a file."""

    file = FileField(
        "Schedule as CSV or XLSX",
        [InputRequired("Choose a file: a line-set schedule as CSV or XLSX.")],
        description="As you keep it: one row for each set, with headings such as Set, Distance, Use.",
        render_kw={"accept": ".csv,.xlsx,.tsv,.txt"},
    )


class TableForm(FlaskForm):
    """A schedule on its way: the table travels with the form, nothing is kept before it is imported."""

    table = HiddenField()


class Sheet(NamedTuple):
    """A table with the meaning of its columns and what holds where it says nothing."""

    table: Table
    columns: Columns
    defaults: Defaults
    with_parts: bool


@blueprint.route("/", methods=["GET", "POST"])
@permission("house.edit")
def upload(house_id: str) -> Any:
    """Choose the file."""
    form = FileForm()
    if form.validate_on_submit():
        try:
            table = read_table(form.file.data.read() if form.file.data else b"")
            return _check(house_id, Sheet(table, find_columns(table), _house_defaults(house_id), True))
        except BadValue as error:
            form.file.errors = [error.message]
    return render_template("house/schedule.html", form=form), 422 if form.errors else 200


@blueprint.post("/check")
@permission("house.edit")
def check(house_id: str) -> Any:
    """Read the table again after columns or cells were put right, and import the good rows if asked."""
    form = TableForm()
    try:
        sheet = _sheet_of_form(house_id, form)
    except BadValue as error:
        upload_form = FileForm(formdata=None)
        upload_form.file.errors = [error.message]
        return render_template("house/schedule.html", form=upload_form), 422
    if request.form.get("do") != "import":
        return _check(house_id, sheet)
    try:
        rows = read_schedule(sheet.table, sheet.columns, sheet.defaults)
        return _import(house_id, sheet, rows)
    except DomainError as error:
        return _check(house_id, sheet, error.message)


def _house_defaults(house_id: str) -> Defaults:
    sets = list_line_sets(get_db(), house_id)
    usual = max((one.lines for one in sets), key=[one.lines for one in sets].count, default=0)
    imperial = units() == "imperial"
    side = sets[0].head_side if sets else Side.RIGHT
    return Defaults("ft" if imperial else "m", "lb" if imperial else "kg", LineSetKind.SINGLE, usual, side)


def _sheet_of_form(house_id: str, form: TableForm) -> Sheet:
    table = _table_of(form.table.data or "")
    for name, text in request.form.items():
        row, _, column = name.removeprefix("cell-").partition("-")
        if name.startswith("cell-") and row.isascii() and row.isdigit() and column.isascii() and column.isdigit():
            _put(table, int(row[:6]) - 1, int(column[:3]), text)
    chosen = {
        int(name.removeprefix("column-")[:3]): text
        for name, text in request.form.items()
        if name.startswith("column-")
        and name.removeprefix("column-").isascii()
        and name.removeprefix("column-").isdigit()
    }
    columns = choose_columns(find_columns(table), chosen)
    return Sheet(table, columns, _typed_defaults(house_id), bool(request.form.get("with_parts")))


def _table_of(text: str) -> Table:
    try:
        table: Table = json.loads(text)
    except (ValueError, RecursionError):
        table = []
    good = isinstance(table, list) and all(
        isinstance(row, list) and all(isinstance(c, str) for c in row) for row in table
    )
    if not good or not table:
        raise BadValue("The table did not arrive whole. Choose the file again.", "file")
    return table


def _put(table: Table, row: int, column: int, text: str) -> None:
    if 0 <= row < len(table) and column < 60:
        cells = table[row]
        cells += [""] * (column + 1 - len(cells))
        cells[column] = text


def _typed_defaults(house_id: str) -> Defaults:
    usual, typed = _house_defaults(house_id), request.form
    unit, lines = typed.get("length_unit", ""), typed.get("lines", "")
    if lines.isascii() and lines.isdigit() and int(lines[:4]) <= MOST_LINES:
        usual = replace(usual, lines=int(lines))
    if typed.get("head_side") in set(Side):
        usual = replace(usual, head_side=Side(typed["head_side"]))
    if typed.get("kind") in set(LineSetKind):
        usual = replace(usual, kind=LineSetKind(typed["kind"]))
    return replace(usual, length_unit=unit) if unit in LENGTH_UNITS else usual


def _check(house_id: str, sheet: Sheet, error: str = "") -> Any:
    """The page on which columns and bad rows are put right."""
    rows: list[ScheduleRow] = []
    if not sheet.table:
        raise BadValue("The file holds no rows. Save the sheet with the schedule first, or as CSV.", "file")
    as_text = json.dumps(sheet.table, ensure_ascii=False, separators=(",", ":"))
    if len(as_text.encode()) > LARGEST_FORM:
        raise BadValue("The table is too large. Save a copy with the schedule's rows and columns only.", "file")
    try:
        rows = read_schedule(sheet.table, sheet.columns, sheet.defaults)
    except BadValue as problem:
        error = error or problem.message
    known = {one.number.casefold() for one in list_line_sets(get_db(), house_id)}
    page = render_template(
        "house/schedule_check.html",
        form=TableForm(formdata=None, data={"table": as_text}),
        sheet=sheet,
        good=[row for row in rows if row.line],
        bad=[row for row in rows if row.problems],
        known=known,
        error=error,
        fields=FIELD_TITLES,
        letter_of=letter_of,
        unit_choices=LENGTH_UNITS,
        kind_choices=KIND_CHOICES,
        side_choices=SIDE_CHOICES,
        sample=_sample(sheet),
    )
    return page, 422 if error else 200


def _sample(sheet: Sheet) -> list[list[str]]:
    first = 0 if sheet.columns.heading_row is None else sheet.columns.heading_row + 1
    width = len(sheet.columns.columns)
    rows = [row for row in sheet.table[first:] if any(cell.strip() for cell in row)][:4]
    return [(row + [""] * width)[:width] for row in rows]


def _import(house_id: str, sheet: Sheet, rows: list[ScheduleRow]) -> Any:
    lines = [row.line for row in rows if row.line is not None]
    if not lines:
        raise BadValue("No row can be imported yet. Mend the rows below.")
    done = import_schedule(
        get_db(), at=clock.now(), actor=g.person.id, house=house_id, lines=lines, with_parts=sheet.with_parts
    )
    flash(f"{len(done.added)} sets are added, {len(done.changed)} known ones brought up to date.")
    for number, why in done.without_parts:
        flash(f"Set {number} has no parts yet: {why}.")
    bad = [row for row in rows if row.problems]
    if not bad:
        return redirect(url_for("line_set.shelf", house_id=house_id))
    first = 0 if sheet.columns.heading_row is None else sheet.columns.heading_row + 1
    kept = [*sheet.table[:first], *(list(row.cells) for row in bad)]
    left = f"{len(bad)} rows could not be read. They are kept below for you to mend and import."
    flash(left)
    return _check(house_id, sheet._replace(table=kept))


@blueprint.get("/line-sets.<any(csv, xlsx):form>")
@permission("house.view")
def export(house_id: str, form: str) -> Response:
    """The line sets as a file that can be read back."""
    db = get_db()
    sets = list_line_sets(db, house_id)
    table = export_schedule(sets, exported_attributes(db, house_id), g.house.datum, units())
    data = write_csv(table) if form == "csv" else write_xlsx(table, "Line sets")
    name = "".join(sign if sign.isascii() and sign.isalnum() else "-" for sign in g.house.name)[:60]
    response = Response(data, mimetype=_MIME[form])
    response.headers["Content-Disposition"] = f'attachment; filename="line-sets-{name}.{form}"'
    return response
