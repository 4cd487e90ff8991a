"""The data folder: making it, locking it, its marker and secret key, and bringing its database up to date."""

import fcntl
import json
import logging
import os
import secrets
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from sqlite_utils import Database
from sqlite_utils.utils import sqlite3

from inspect_app import clock
from inspect_app.config import Settings, settings_for
from inspect_app.domain.errors import Conflict, NotSaved
from inspect_app.store.db import log_mode, open_db
from inspect_app.store.migrations import apply_migrations, is_up_to_date

log = logging.getLogger(__name__)

DATABASE, MARKER, SECRET = "inspect.db", "house.marker", "secret.key"
SERVER_LOCK, SETUP_LOCK, MAIL_LOCK = "server.lock", "setup.lock", "mail.lock"
_CHECKED_BYTES = 2 * 1024**3
FOLDERS = ("photos", "reports", "checklists", "backups")


@dataclass(frozen=True, slots=True)
class DataFolder:
    """An opened data folder: its settings, the line that tells the SQLite mode, and the id of this installation."""

    settings: Settings
    mode: str
    install: str


def database_path(settings: Settings) -> Path:
    """Where the database of these settings is."""
    return settings.data / DATABASE


def open_data_folder(data: Path) -> DataFolder:
    """Make the folder if it is new, check what is there, and bring the database to the newest schema.

    Raises Conflict when the folder cannot be used as it is, with what to do; NotSaved when it cannot be written.
    """
    try:
        data.mkdir(mode=0o700, parents=True, exist_ok=True)
        for name in FOLDERS:
            (data / name).mkdir(mode=0o700, exist_ok=True)
        with _held(data / SETUP_LOCK, wait=True):
            _check_database(data)
            mode = _migrate(data)
            _make_secret(data / SECRET)
            install = _make_marker(data / MARKER)
    except OSError as error:
        raise NotSaved(f"The data folder {data} cannot be used: {error.strerror or error}.") from error
    return DataFolder(settings_for(data), mode, install)


@contextmanager
def server_lock(data: Path) -> Iterator[None]:
    """Hold the folder for one server. Raises Conflict when another server has it."""
    with _held(data / SERVER_LOCK, wait=False) as taken:
        if taken is None:
            raise Conflict(f"Another server is already running on {data}. Stop it first, or name another folder.")
        yield


@contextmanager
def mail_lock(data: Path) -> Iterator[None]:
    """Hold the outbox for one run, so that two at once send nothing twice. Raises Conflict when another run has it."""
    with _held(data / MAIL_LOCK, wait=False) as taken:
        if taken is None:
            raise Conflict("Another run is sending mail from this folder. It will send what waits.")
        yield


@contextmanager
def _held(path: Path, wait: bool) -> Iterator[IO[str] | None]:
    """An exclusive lock on a file; yields None when it is taken and `wait` is false."""
    fd = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    with os.fdopen(fd, "r+") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
        except BlockingIOError:
            yield None
            return
        yield file


def _check_database(data: Path) -> None:
    database, marker = data / DATABASE, data / MARKER
    if not marker.exists():
        return
    if not database.exists() or database.stat().st_size == 0:
        what = "is empty" if database.exists() else "is missing"
        raise Conflict(
            f"The database {database} {what}, yet this folder has held one before. Nothing was touched: "
            f"restore the last backup, or remove {marker} if the folder shall start anew."
        )


def _open(path: Path) -> Database:
    """The database of a path. Raises Conflict when the file is none, or is damaged at its head."""
    try:
        return open_db(path)
    except sqlite3.DatabaseError as error:
        raise Conflict(f"{path} is damaged ({error}). It was left alone: restore the last backup.") from error


def _migrate(data: Path) -> str:
    db = _open(data / DATABASE)
    try:
        os.chmod(data / DATABASE, 0o600)
        if not is_up_to_date(db):
            with _held(data / SERVER_LOCK, wait=False) as free:
                if free is None:
                    raise Conflict("The database needs a newer schema, but a server is running on it. Stop it first.")
                apply_migrations(db)
        return log_mode(db)
    finally:
        db.conn.close()


def check_integrity(settings: Settings) -> None:
    """Read the whole database for damage, up to 2 GB. Raises Conflict with what was found."""
    path = database_path(settings)
    if path.stat().st_size > _CHECKED_BYTES:
        log.warning("the database is over 2 GB and was not checked; run `inspect-app verify` now and then")
        return
    db = _open(path)
    try:
        found = [row[0] for row in db.execute("PRAGMA integrity_check(5)").fetchall()]
    except sqlite3.DatabaseError as error:
        found = [str(error)]
    finally:
        db.conn.close()
    if found != ["ok"]:
        raise Conflict(f"The database {path} is damaged ({found[0]}). It was left alone: restore the last backup.")


def _make_secret(path: Path) -> None:
    if path.exists():
        if path.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO):
            raise Conflict(f"{path} can be read by others. Run `chmod 600 {path}`, then start again.")
        return
    write_private(path, secrets.token_bytes(32))


def _make_marker(path: Path) -> str:
    if not path.exists():
        made = {"install": clock.new_id(), "made_at": clock.now().isoformat(timespec="seconds")}
        write_private(path, json.dumps(made).encode() + b"\n")
    try:
        return str(json.loads(path.read_text(encoding="utf-8"))["install"])
    except (ValueError, KeyError, TypeError):
        raise Conflict(f"{path} cannot be read. Restore it from the last backup, or remove it.") from None


def write_private(path: Path, content: bytes) -> None:
    """Write a file that only this account can read, as a whole or not at all, and make it last."""
    part = path.with_name(path.name + ".part")
    part.unlink(missing_ok=True)
    fd = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(fd, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    os.rename(part, path)
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


def read_secret(settings: Settings) -> bytes:
    """The 32 bytes that sign cookies. Raises Conflict when they are not there or too short."""
    path = settings.data / SECRET
    secret = path.read_bytes() if path.exists() else b""
    if len(secret) < 32:
        raise Conflict(f"{path} is missing or cut short. Open the data folder with `inspect-app serve` first.")
    return secret
