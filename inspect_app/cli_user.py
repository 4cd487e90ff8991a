"""`inspect-app user`: accounts and roles from the command line, for whoever has the data folder."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions import member as members
from inspect_app.domain.errors import NotFound
from inspect_app.domain.house import House
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db
from inspect_app.store.house import list_houses
from inspect_app.store.membership import list_members
from inspect_app.store.person import find_account

_CONSOLE = "system"
_ROLE = click.Choice([role.value for role in Role])


@contextmanager
def opened(data: Path) -> Iterator[Database]:
    """The database of a data folder, closed at the end."""
    db = open_db(database_path(open_data_folder(data).settings))
    try:
        yield db
    finally:
        db.conn.close()


@click.group()
def user() -> None:
    """Add people, list them, close accounts, set roles."""


@user.command("list")
@click.pass_obj
def list_people(data: Path) -> None:
    """List everyone by house, with roles."""
    with opened(data) as db:
        for house in list_houses(db):
            click.echo(house.name)
            for member in list_members(db, house.id):
                roles = ", ".join(ROLE_TITLES[role] for role in sorted(member.roles)) or "no member any more"
                state = " (closed)" if member.disabled else "" if member.username else " (no account yet)"
                click.echo(f"  {member.username or '-':20} {member.person.name}: {roles}{state}")


@user.command()
@click.argument("name")
@click.option("--house", "house_name", help="Name of the house; may be left out when there is one.")
@click.option("--role", "roles", multiple=True, required=True, type=_ROLE, help="A role; repeat for more.")
@click.option("--credential", default="", help="What qualifies the person, in their words.")
@click.pass_obj
def add(data: Path, name: str, house_name: str | None, roles: tuple[str, ...], credential: str) -> None:
    """Add the person NAME and print the one-time code with which they choose user name and password."""
    with opened(data) as db:
        house = _house(db, house_name)
        _, code = members.invite(
            db,
            at=clock.now(),
            actor=_CONSOLE,
            house=house.id,
            name=name,
            credential=credential,
            roles=[Role(role) for role in roles],
        )
        click.echo(f"{name} joins {house.name} with this code, at the page /code, within seven days:")
        click.echo(code)


@user.command()
@click.argument("username")
@click.option("--open", "reopen", is_flag=True, help="Open the account again.")
@click.pass_obj
def disable(data: Path, username: str, reopen: bool) -> None:
    """Close the account USERNAME; its sessions end at once."""
    with opened(data) as db:
        person = _person(db, username)
        members.set_account_closed(db, at=clock.now(), actor=_CONSOLE, person=person, closed=not reopen)
        click.echo(f"{username} is {'open again' if reopen else 'closed'}.")


@user.command()
@click.argument("username")
@click.pass_obj
def code(data: Path, username: str) -> None:
    """Print a one-time code with which USERNAME sets a new password."""
    with opened(data) as db:
        click.echo(members.make_reset_code(db, at=clock.now(), actor=_CONSOLE, person=_person(db, username)))


@user.command("roles")
@click.argument("username")
@click.argument("roles", nargs=-1, type=_ROLE)
@click.option("--house", "house_name", help="Name of the house; may be left out when there is one.")
@click.pass_obj
def set_roles(data: Path, username: str, roles: tuple[str, ...], house_name: str | None) -> None:
    """Make ROLES the roles of USERNAME in the house; none ends the membership."""
    with opened(data) as db:
        house = _house(db, house_name)
        members.change_roles(
            db,
            at=clock.now(),
            actor=_CONSOLE,
            house=house.id,
            person=_person(db, username),
            roles=[Role(role) for role in roles],
        )
        click.echo(f"{username} in {house.name}: {', '.join(roles) or 'no member any more'}")


def _house(db: Database, name: str | None) -> House:
    houses = [house for house in list_houses(db) if name in (None, house.name, house.id)]
    if len(houses) != 1:
        known = ", ".join(house.name for house in list_houses(db)) or "none yet"
        raise NotFound(f"Name one house with --house. There are: {known}.")
    return houses[0]


def _person(db: Database, username: str) -> str:
    account = find_account(db, username)
    if account is None:
        raise NotFound(f"There is no account {username}.")
    return account.person.id
