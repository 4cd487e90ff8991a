"""The `checklist` command: list what can be used, or check one file."""

from pathlib import Path

import click

from inspect_app.config import settings_for
from inspect_app.domain.source_tree import Problem
from inspect_app.store.checklist import load_shelf, read_checklist_file


@click.command()
@click.argument("file", required=False, type=click.Path(exists=True, dir_okay=False, path_type=Path))
@click.pass_obj
def checklist(data: Path, file: Path | None) -> None:
    """List the checklists, or check FILE. Exit status 1 when any has a mistake."""
    problems = _check(data, file) if file else _list(data)
    for problem in problems:
        click.echo(str(problem), err=True)
    if problems:
        raise click.exceptions.Exit(1)


def _check(data: Path, file: Path) -> list[Problem]:
    read, problems = read_checklist_file(file, settings_for(data))
    if not problems:
        click.echo(f"{file}: no mistakes" + (f"; {len(list(read.points()))} points" if read else ""))
    return problems


def _list(data: Path) -> list[Problem]:
    shelf = load_shelf(settings_for(data))
    for item in shelf.checklists.values():
        interval = "on occasion" if item.interval == "none" else item.interval
        own = " (the house's own)" if item.house_own else ""
        points = len(list(item.points()))
        click.echo(f"{item.id:20} {interval:12} {points:4} points  {item.revision[:12]}  {item.title}{own}")
    return list(shelf.problems)
