"""`inspect-app export` makes a hand-over pack; `backup` keeps a data folder in one file, `restore` makes it again."""

import shutil
from pathlib import Path

import click

from inspect_app import clock
from inspect_app.actions.backup import make_backup, restore_backup
from inspect_app.actions.hand_over import Wanted, make_pack
from inspect_app.actions.report import PAPERS
from inspect_app.cli_report import pick_house
from inspect_app.cli_user import opened
from inspect_app.config import settings_for
from inspect_app.domain.errors import Conflict
from inspect_app.domain.hand_over import read_period
from inspect_app.store.house import list_houses


def _tell(text: str) -> None:
    click.echo(text, err=True)


@click.command()
@click.option("--house", "house_name", help="Name or id of the house; may be left out when there is one.")
@click.option("--out", required=True, type=click.Path(path_type=Path, dir_okay=False), help="The ZIP file to write.")
@click.option("--from", "first", default="", help="First day of the history, as 2024-01-01; else from the start.")
@click.option("--to", "last", default="", help="Last day; else up to today.")
@click.option("--paper", type=click.Choice(PAPERS, case_sensitive=False), default="A4", show_default=True)
@click.option("--with-costs", is_flag=True, help="With estimates and amounts paid; else they are left out.")
@click.pass_obj
def export(data: Path, house_name: str | None, out: Path, first: str, last: str, paper: str, with_costs: bool) -> None:
    """Make a hand-over pack of a house, file it, and copy its ZIP to FILE.

    The ZIP holds the pages as PDF, every table as CSV, all as one JSON document with its schema, copies of the photos
    of the period, and SHA256SUMS.
    """
    if out.exists():
        raise Conflict(f"{out} is there already. Name another file.")
    with opened(data) as db:
        house = pick_house(list_houses(db), house_name)
        wanted = Wanted(read_period(first, last), paper, with_costs)
        made = make_pack(db, settings_for(data), house.id, wanted, clock.now(), say=_tell)
    shutil.copyfile(made.zip_path, out)
    click.echo(f"{out} (hand-over pack {made.pack.number})")


@click.command()
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="The file; else a dated one in backups/.")
@click.pass_obj
def backup(data: Path, out: Path | None) -> None:
    """Keep database, photos, reports and checklists in one ZIP file; a server may go on running.

    Private keys stay behind: secret.key is made anew by a restored folder, lan/ is copied by hand.
    """
    click.echo(str(make_backup(data, out, clock.now(), _tell)))


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False, exists=True))
@click.pass_obj
def restore(data: Path, file: Path) -> None:
    """Make the data folder again from a backup FILE; the folder must be empty or not there. Each digest is checked."""
    count = restore_backup(file, data, _tell)
    click.echo(f"{data}: {count} files, each as it was kept. Check the record with `inspect-app verify`.")
