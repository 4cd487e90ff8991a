"""`inspect-app due`: what is stopped, overdue, due and waiting, printed; with --mail the daily digest is sent."""

import sys
from datetime import datetime
from pathlib import Path

import click
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.digest import digest_text, queue_digests, send_waiting
from inspect_app.actions.today import today_of
from inspect_app.cli_user import opened
from inspect_app.config import Settings, mail_server, public_address, settings_for
from inspect_app.domain.errors import BadValue, NotFound
from inspect_app.domain.house import House
from inspect_app.domain.today import is_pressing
from inspect_app.store.data_folder import mail_lock
from inspect_app.store.house import list_houses
from inspect_app.store.point_clock import zone_of


@click.command()
@click.option("--house", "house_name", help="Name or id of one house; all of them when left out.")
@click.option("--mail", is_flag=True, help="Queue today's digest for everyone who asked, and send what waits.")
@click.pass_obj
def due(data: Path, house_name: str | None, mail: bool) -> None:
    """Print what is stopped, overdue, due and waiting, house by house, as the digest says it.

    Exit status 1 when anything is stopped or overdue, else 0.

    With --mail nothing is printed but what was sent; exit status 1 when mail still waits. Run it once or more a day
    from a timer: each person gets one message a day, and what could not be sent goes with the next run. Mail is off
    until INSPECT_APP_SMTP_HOST and INSPECT_APP_SMTP_FROM are set; further INSPECT_APP_SMTP_PORT, _SECURITY (starttls,
    tls, none), _USER, _PASSWORD or _PASSWORD_FILE, _CA_FILE, and INSPECT_APP_ADDRESS for links.
    """
    at = clock.now()
    with opened(data) as db:
        if mail:
            sys.exit(0 if _send(db, settings_for(data), at) else 1)
        sys.exit(1 if _print(db, settings_for(data), _picked(list_houses(db), house_name), at) else 0)


def _picked(houses: list[House], name: str | None) -> list[House]:
    found = [house for house in houses if name in (None, house.id, house.name)]
    if name is not None and not found:
        raise NotFound(f"There is no house “{name}”. There are: {', '.join(one.name for one in houses) or 'none'}.")
    return found


def _print(db: Database, settings: Settings, houses: list[House], at: datetime) -> bool:
    """Print each house; whether anything is stopped or overdue."""
    pressing = False
    for house in houses:
        sentences = today_of(db, settings, house.id, at)
        today = at.astimezone(zone_of(house.tz)).date()
        click.echo(digest_text(house, sentences, today) or f"{house.name}, {today}: nothing is due.\n")
        pressing = pressing or is_pressing(sentences)
    return pressing


def _send(db: Database, settings: Settings, at: datetime) -> bool:
    server = mail_server()
    if server is None:
        raise BadValue("Mail is off: set INSPECT_APP_SMTP_HOST and INSPECT_APP_SMTP_FROM first.")
    with mail_lock(settings.data):
        queued = queue_digests(db, settings, server.sender, at, public_address())
        done = send_waiting(db, server, at)
    click.echo(f"queued {queued}, sent {done.sent}, refused {done.refused}, waiting {done.waiting}")
    if done.why and done.waiting + done.refused:
        click.echo(f"the mail server: {done.why}", err=True)
    return not done.waiting
