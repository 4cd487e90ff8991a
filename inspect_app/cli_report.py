"""`inspect-app report` makes the PDF of a walk; `inspect-app verify` says whether the record or one PDF holds."""

import shutil
import sys
from pathlib import Path

import click

from inspect_app import clock
from inspect_app.actions.report import PAPERS, file_report
from inspect_app.actions.verify import Verification, verify_data, verify_pdf
from inspect_app.cli_user import opened
from inspect_app.domain.errors import NotFound
from inspect_app.domain.house import House
from inspect_app.store.document import WalkNamed, list_walk_names
from inspect_app.store.house import list_houses


@click.command()
@click.option("--house", "house_name", help="Name or id of the house; may be left out when there is one.")
@click.option(
    "--walk", "walk_name", required=True, help="Report number (2026-004), date (2026-03-04) or id of the walk."
)
@click.option("--paper", type=click.Choice(PAPERS, case_sensitive=False), default="A4", show_default=True)
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), help="Also copy the PDF to this file.")
@click.pass_obj
def report(data: Path, house_name: str | None, walk_name: str, paper: str, out: Path | None) -> None:
    """Make the dated PDF of a walk, or find the one that is filed, and print where it is.

    A walk that nobody has signed gives a draft, marked so on every page.
    """
    with opened(data) as db:
        house = pick_house(list_houses(db), house_name)
        walk = _pick_walk(list_walk_names(db, house.id), walk_name)
        path = file_report(db, data, house.id, walk.id, paper, clock.now(), say=lambda text: click.echo(text, err=True))
    if out is not None:
        shutil.copyfile(path, out)
    click.echo(str(out or path))


@click.command()
@click.argument("pdf", required=False, type=click.Path(path_type=Path, dir_okay=False))
@click.pass_obj
def verify(data: Path, pdf: Path | None) -> None:
    """Recompute digests and answer yes (exit 0) or no (exit 1).

    With PDF: whether that file is a report filed in this data folder, byte for byte, with the data that were sealed.
    Without: the journal's chain, every entry, seal, photo and filed report of the data folder.
    """
    with opened(data) as db:
        result = verify_pdf(db, pdf) if pdf is not None else verify_data(db, data)
    tell(result)
    sys.exit(0 if result.holds else 1)


def tell(result: Verification) -> None:
    """Print each check and the answer."""
    for check in result.checks:
        click.echo(f"{'  ok' if check.holds else '  NO'}  {check.says}")
    click.echo("yes: everything that was checked holds" if result.holds else "no: see the lines marked NO")


def pick_house(houses: list[House], name: str | None) -> House:
    """The house that is named, or the only one. Raises NotFound."""
    if name is None:
        if len(houses) == 1:
            return houses[0]
        raise NotFound(
            "There are several houses, or none; name one with --house." if houses else "There is no house yet."
        )
    for house in houses:
        if name in (house.id, house.name):
            return house
    raise NotFound(f"There is no house “{name}”. There are: {', '.join(house.name for house in houses) or 'none'}.")


def _pick_walk(walks: list[WalkNamed], name: str) -> WalkNamed:
    found = [walk for walk in walks if name in (walk.id, walk.number, walk.date_local)]
    if not found:
        known = ", ".join(walk.number or walk.date_local for walk in walks) or "none"
        raise NotFound(f"There is no walk “{name}” in this house. There are: {known}.")
    if len(found) > 1:
        raise NotFound(f"Several walks are dated {name}. Name one by its id: {', '.join(walk.id for walk in found)}.")
    return found[0]
