"""`inspect-app serve`: open the data folder and serve it."""

import logging
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import click

from inspect_app import clock
from inspect_app.actions.account import make_setup_code
from inspect_app.actions.photo import decode_again
from inspect_app.cli_lan import keep_lan, lan_listen
from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue
from inspect_app.server import Listen, check_listen, refuse_taken_port, run
from inspect_app.store.data_folder import DataFolder, check_integrity, database_path, open_data_folder, server_lock
from inspect_app.store.db import open_db
from inspect_app.store.photo import sweep_part_files

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command()
@click.option("--host", show_default="127.0.0.1; with --lan 0.0.0.0", help="The address to listen on.")
@click.option("--port", default=8137, show_default=True, type=click.IntRange(1, 65535), help="The port to listen on.")
@click.option(
    "--tls-cert", type=_FILE, help="Certificate (PEM) with its chain; needed on any but the loopback address."
)
@click.option("--tls-key", type=_FILE, help="Private key (PEM) of the certificate.")
@click.option(
    "--behind-proxy",
    default=0,
    metavar="N",
    type=click.IntRange(0, 5),
    help="So many own proxies stand in front, speak TLS and set X-Forwarded-*.",
)
@click.option(
    "--name",
    "names",
    multiple=True,
    metavar="HOST",
    help="A host name that browsers use for this server; repeat for more.",
)
@click.option("--lan", is_flag=True, help="Serve the house's own network with certificates made here.")
@click.option("--lan-name", metavar="HOST", help="The one name or private address that phones use; implies --lan.")
@click.pass_obj
def serve(
    data: Path,
    host: str | None,
    port: int,
    tls_cert: Path | None,
    tls_key: Path | None,
    behind_proxy: int,
    names: tuple[str, ...],
    lan: bool,
    lan_name: str | None,
) -> None:
    """Serve the log to browsers until stopped with Ctrl-C."""
    lan = lan or lan_name is not None
    if lan and (tls_cert or tls_key or behind_proxy or names):
        raise click.UsageError("--lan makes its own certificate for one name: leave --tls-*, --name and proxies out.")
    with _wrong_usage():
        listen = Listen(host or "127.0.0.1", port, tls_cert, tls_key, behind_proxy, names)
        if not lan:
            check_listen(listen)
    folder = open_data_folder(data)
    if lan:
        with _wrong_usage():
            listen = lan_listen(folder.settings, host or "0.0.0.0", port, lan_name)  # noqa: S104 (what --lan is for)
    _serve(folder, listen)
    click.echo("Stopped.")


@contextmanager
def _wrong_usage() -> Iterator[None]:
    """A bad value among the options is told as wrong usage."""
    try:
        yield
    except BadValue as error:
        raise click.UsageError(error.message) from None


def _serve(folder: DataFolder, listen: Listen) -> None:
    refuse_taken_port(listen)
    if listen.lan is not None:
        refuse_taken_port(replace(listen, port=listen.lan.trust_port))
    with server_lock(folder.settings.data):
        check_integrity(folder.settings)
        _tend_photos(folder.settings)
        click.echo(f"Data folder {folder.settings.data}")
        click.echo(folder.mode)
        renew = keep_lan(folder.settings, listen.lan) if listen.lan is not None else None
        _tell_setup_code(folder.settings, listen)
        click.echo(f"Open {listen.address} in a browser. Stop with Ctrl-C.")
        logging.getLogger("inspect_app").setLevel(logging.INFO)
        run(folder.settings, listen, renew)


def _tend_photos(settings: Settings) -> None:
    """Remove what a crash left half written, and make the copies that a busy server put off."""
    sweep_part_files(settings)
    db = open_db(database_path(settings))
    try:
        decode_again(db, settings, at=clock.now())
    finally:
        db.conn.close()


def _tell_setup_code(settings: Settings, listen: Listen) -> None:
    db = open_db(database_path(settings))
    try:
        code = make_setup_code(db, at=clock.now())
    finally:
        db.conn.close()
    if code:
        click.echo(f"There is no account yet. Make the first one at {listen.address}/set-up with the code")
        click.echo(f"\n    {code}\n")
        click.echo("It works once, within 30 minutes; a restart gives another.")
