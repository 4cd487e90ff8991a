"""`inspect-app house`: list, make, generate, import and export houses from the command line."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.house import create_house, generate_house
from inspect_app.actions.schedule import exported_attributes, import_schedule
from inspect_app.domain.answer_text import DECKS, read_answers
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.generator import count_by_kind, generate
from inspect_app.domain.house import House, LineSetKind, Side
from inspect_app.domain.part_kind import KIND_WORDS
from inspect_app.domain.schedule_columns import find_columns
from inspect_app.domain.schedule_import import LENGTH_UNITS, Defaults, export_schedule, read_schedule
from inspect_app.output.schedule_file import read_table, write_csv, write_xlsx
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db
from inspect_app.store.house import list_houses, list_line_sets
from inspect_app.store.part import count_parts
from inspect_app.store.person import find_account

_CONSOLE = "system"
_SIDE = click.Choice([side.value for side in Side])


@contextmanager
def opened(data: Path) -> Iterator[Database]:
    """The database of a data folder, closed at the end."""
    db = open_db(database_path(open_data_folder(data).settings))
    try:
        yield db
    finally:
        db.conn.close()


def named_house(db: Database, name: str) -> House:
    """The house of a name or an id; the only one when '' is given. Raises NotFound, Conflict."""
    houses = list_houses(db)
    found = [one for one in houses if not name or name.casefold() in (one.name.casefold(), one.id)]
    if not found:
        known = ", ".join(one.name for one in houses) or "none yet"
        raise NotFound(f"There is no house “{name}”. Known: {known}.")
    if len(found) > 1:
        raise Conflict("Name the house by its id: " + ", ".join(f"{one.name} ({one.id})" for one in found))
    return found[0]


@click.group()
def house() -> None:
    """Make and list houses, import and export line-set schedules."""


@house.command("list")
@click.pass_obj
def list_command(data: Path) -> None:
    """List the houses with their sets and parts."""
    with opened(data) as db:
        for one in list_houses(db):
            parts = sum(count_parts(db, one.id).values())
            click.echo(f"{one.id}  {len(list_line_sets(db, one.id)):4} sets {parts:6} parts  {one.name}")


@house.command("new")
@click.argument("name")
@click.option("--tz", required=True, help="Time zone, such as America/Chicago.")
@click.option("--units", type=click.Choice(["imperial", "metric"]), default="imperial", show_default=True)
@click.option("--datum", default="plaster line", show_default=True, help="What distances are measured from.")
@click.option("--for", "username", required=True, help="User name of its administrator and technical director.")
@click.pass_obj
def new_command(data: Path, name: str, tz: str, units: str, datum: str, username: str) -> None:
    """Make an empty house called NAME."""
    with opened(data) as db:
        account = find_account(db, username)
        if account is None:
            raise NotFound(f"There is no account “{username}”. See `inspect-app user list`.")
        made = create_house(
            db, at=clock.now(), actor=_CONSOLE, name=name, tz=tz, units=units, datum=datum, keeper=account.person.id
        )
        click.echo(f"{made.id}  {made.name}")


@house.command("generate")
@click.option("--house", "name", default="", help="Name or id; may be left out when there is only one.")
@click.option("--sets", required=True, help="Number of line sets.")
@click.option("--first", required=True, help="Distance of the first set from the datum.")
@click.option("--spacing", required=True, help="Spacing of the sets.")
@click.option("--lines", required=True, help="Lift lines of a set.")
@click.option("--wells", default="", help="Place of each well: 25' SR, 15' SR, ...")
@click.option("--wells-apart", default="", help="Or the distance between neighbouring wells.")
@click.option("--head-side", type=_SIDE, default=Side.RIGHT.value, show_default=True)
@click.option("--other-side", default="", help="Sets with the head on the other side: 3, 10-12.")
@click.option("--line-counts", default="", help="Sets with another number of lines: 12=5.")
@click.option("--motorised", default="", help="Sets: 5, 12, 20-23.")
@click.option("--double-purchase", default="", help="Sets.")
@click.option("--rope", default="", help="Sets.")
@click.option("--dead-hung", default="", help="Sets.")
@click.option("--electrics", default="", help="Sets that carry cable.")
@click.option("--grid-height", required=True, help="Grid above the deck.")
@click.option("--bridge-height", default="", help="Loading bridge above the deck.")
@click.option("--galleries", default="", help="SR 28', SL 28'.")
@click.option("--deck", type=click.Choice(list(DECKS)), default="channels", show_default=True)
@click.option("--ladders", default="1", show_default=True, help="How many ladders.")
@click.option("--hatches", default="1", show_default=True, help="How many hatches.")
@click.option("--fire-curtain", is_flag=True, help="There is a fire safety curtain.")
@click.option("--check", is_flag=True, help="Only say what would be made.")
@click.pass_obj
def generate_command(data: Path, /, name: str, check: bool, fire_curtain: bool, **typed: str) -> None:
    """Make the whole inventory of an empty house from a few answers."""
    with opened(data) as db:
        one = named_house(db, name)
        answers, problems = read_answers({**typed, "fire_curtain": "y" if fire_curtain else ""}, one.units)
        for problem in problems:
            click.echo(f"--{(problem.field or '').replace('_', '-')}: {problem.message}", err=True)
        if answers is None:
            raise click.exceptions.Exit(1)
        if check:
            made = generate(one, answers, clock.new_id)
        else:
            made = generate_house(db, at=clock.now(), actor=_CONSOLE, house=one.id, answers=answers)
        click.echo(f"{len(made.line_sets)} line sets, {len(made.parts)} parts" + (" would be made" if check else ""))
        for kind, count in count_by_kind(made.parts).items():
            click.echo(f"{count:6}  {KIND_WORDS[kind].many}")


@house.command("import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.option("--house", "name", default="", help="Name or id; may be left out when there is only one.")
@click.option("--unit", type=click.Choice(list(LENGTH_UNITS)), help="Unit of bare distances; by the house's units.")
@click.option("--lines", type=click.IntRange(0, 12), default=0, help="Lift lines where the file gives none.")
@click.option("--head-side", type=_SIDE, default=Side.RIGHT.value, help="Head side where the file gives none.")
@click.option("--without-parts", is_flag=True, help="Add new sets without their usual parts.")
@click.option("--check", is_flag=True, help="Only say what is read.")
@click.pass_obj
def import_command(
    data: Path, file: Path, name: str, unit: str | None, lines: int, head_side: str, without_parts: bool, check: bool
) -> None:
    """Import the line-set schedule FILE (CSV or XLSX). Exit status 1 when a row could not be read."""
    with opened(data) as db:
        one = named_house(db, name)
        table = read_table(file.read_bytes())
        length, mass = ("ft", "lb") if one.units == "imperial" else ("m", "kg")
        defaults = Defaults(unit or length, mass, LineSetKind.SINGLE, lines, Side(head_side))
        rows = read_schedule(table, find_columns(table), defaults)
        good = [row.line for row in rows if row.line]
        problems = [problem for row in rows for problem in row.problems]
        for problem in problems:
            click.echo(str(problem), err=True)
        if check:
            click.echo(f"{len(good)} rows can be imported, {len(rows) - len(good)} cannot")
        elif good:
            done = import_schedule(
                db, at=clock.now(), actor=_CONSOLE, house=one.id, lines=good, with_parts=not without_parts
            )
            click.echo(f"{len(done.added)} sets added, {len(done.changed)} brought up to date")
            for number, why in done.without_parts:
                click.echo(f"set {number} has no parts yet: {why}", err=True)
        if problems:
            raise click.exceptions.Exit(1)


@house.command("export")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--house", "name", default="", help="Name or id; may be left out when there is only one.")
@click.pass_obj
def export_command(data: Path, file: Path, name: str) -> None:
    """Write the line-set schedule to FILE, as XLSX or CSV by its ending."""
    if file.suffix.lower() not in (".csv", ".xlsx"):
        raise BadValue("Let the file end in .csv or .xlsx.")
    with opened(data) as db:
        one = named_house(db, name)
        sets = list_line_sets(db, one.id)
        table = export_schedule(sets, exported_attributes(db, one.id), one.datum, one.units)
        file.write_bytes(write_csv(table) if file.suffix.lower() == ".csv" else write_xlsx(table, "Line sets"))
        click.echo(f"{len(sets)} sets written to {file}")
