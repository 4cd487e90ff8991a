"""`inspect-app demo`: build the invented house, walk it, show its report and accounts, and serve it."""

from pathlib import Path

import click
from click.core import ParameterSource

from inspect_app.config import PACKAGE
from inspect_app.demo import Demo, accounts_of, build_demo, copy_report, report_of
from inspect_app.demo.compare import comparison_lines
from inspect_app.domain.errors import NotFound
from inspect_app.server import Listen, refuse_taken_port, run
from inspect_app.store.data_folder import database_path, open_data_folder, server_lock
from inspect_app.store.db import open_db
from inspect_app.store.document import list_walk_names
from inspect_app.store.walk_record import get_walk_record


@click.command()
@click.option("--no-serve", is_flag=True, help="Do all but serve.")
@click.option("--fresh", is_flag=True, help="Make the demonstration anew, with new passwords.")
@click.option(
    "--planted",
    metavar="WALK",
    help="Set what is planted in the house beside what a walk recorded (report number, date, id, or `today`).",
)
@click.option("--port", default=8137, show_default=True, type=click.IntRange(1, 65535), help="The port to listen on.")
@click.pass_context
def demo(ctx: click.Context, no_serve: bool, fresh: bool, planted: str | None, port: int) -> None:
    """Show the log with an invented house: three years of history and a full walk of today, with its dated PDF.

    It lives in a data folder of its own: demo-data beside the program's source, or the folder given with --data.
    INSPECT_APP_DATA names the folder of a real house and is left alone here.
    """
    folder = _folder(ctx)
    made = build_demo(folder, _say, fresh=fresh)
    if planted is not None:
        _compare(folder, made, planted)
        return
    _tell(folder, made)
    if not no_serve:
        _serve(folder, port)


def _folder(ctx: click.Context) -> Path:
    """The folder given with --data, else demo-data in a checkout, else one beside the usual data folder."""
    if ctx.parent is not None and ctx.parent.get_parameter_source("data") is ParameterSource.COMMANDLINE:
        given: Path = ctx.obj
        return given.resolve()
    if (PACKAGE.parent / "pyproject.toml").is_file():
        return PACKAGE.parent / "demo-data"
    return Path.home() / ".local" / "share" / "inspect-app-demo"


def _say(text: str) -> None:
    click.echo(text)


def _tell(folder: Path, made: Demo) -> None:
    pdf = report_of(folder, made)
    copied = copy_report(pdf)
    click.echo("\nDemonstration, invented house. Accounts (new with every fresh build, kept in accounts.txt there):")
    for line in accounts_of(folder):
        click.echo(line)
    click.echo(f"\nReport {made.number} of today's walk: {copied or pdf}")
    if copied is not None:
        click.echo(f"filed as {pdf}")


def _compare(folder: Path, made: Demo, wanted: str) -> None:
    db = open_db(database_path(open_data_folder(folder).settings))
    try:
        names = list_walk_names(db, made.house)
        ids = [made.walk] if wanted == "today" else [w.id for w in names if wanted in (w.id, w.number, w.date_local)]
        record = get_walk_record(db, made.house, ids[0]) if ids else None
        if record is None:
            known = ", ".join(name.number or name.date_local for name in names)
            raise NotFound(f"There is no walk “{wanted}” in the demonstration. There are: {known}.")
        for line in comparison_lines(record):
            click.echo(line)
    finally:
        db.conn.close()


def _serve(folder: Path, port: int) -> None:
    listen = Listen(port=port)
    settings = open_data_folder(folder).settings
    refuse_taken_port(listen)
    with server_lock(folder):
        click.echo(f"\nOpen {listen.address} in a browser. Stop with Ctrl-C.")
        run(settings, listen)
    click.echo("Stopped.")
