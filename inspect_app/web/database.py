"""One database connection per request; while a server runs, a few of them wait for the next requests."""

import os
import weakref
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple, cast

from flask import Flask, current_app, g
from sqlite_utils import Database
from sqlite_utils.utils import sqlite3

from inspect_app.config import Settings
from inspect_app.store.data_folder import database_path
from inspect_app.store.db import open_db

_CONNECTIONS, _AT_REST = "inspect_app_connections", "at_rest"
_MOST_WAITING = 4  # each may hold 16 MB of the database's pages


class _Kept(NamedTuple):
    db: Database
    file: tuple[int, ...]  # which process opened it, and which file it then was


class Connections:
    """Connections for requests. A new one reads the whole schema before its first answer, so `most` may wait."""

    def __init__(self, path: Path) -> None:
        self._path, self.most = path, 0
        self._waiting: list[_Kept] = []
        self._of_parent: list[_Kept] = []  # never used or closed here (sqlite.org/howtocorrupt.html section 2.6)
        weakref.finalize(self, _close_all, self._waiting)  # not before whatever holds them is gone

    def take(self) -> _Kept:
        """One for this thread until it is given back."""
        file = _file_at(self._path)
        with suppress(IndexError):  # none waits, or another thread was quicker
            while True:
                kept = self._waiting.pop()
                if kept.file == file:
                    return kept
                if kept.file[0] == file[0]:
                    kept.db.conn.close()
                else:
                    self._of_parent.append(kept)
        return _Kept(open_db(self._path, any_thread=True), file)

    def give_back(self, kept: _Kept) -> None:
        """Let it wait for the next request, unless that one would find something of this one in it."""
        if len(self._waiting) < self.most and _is_at_rest(kept.db):
            self._waiting.append(kept)
        else:
            kept.db.conn.close()


def _file_at(path: Path) -> tuple[int, ...]:
    with suppress(FileNotFoundError):
        stat = path.stat()
        return os.getpid(), stat.st_dev, stat.st_ino
    return (os.getpid(),)


def _is_at_rest(db: Database) -> bool:
    """Whether no transaction is open and no answer half read, which would show the next request the past.

    SQLite replaces a function only while no statement runs (sqlite.org/c3ref/create_function.html).
    """
    if db.conn.in_transaction:
        return False
    try:
        for _ in range(2):  # the first makes it where it was not yet
            db.conn.create_function(_AT_REST, 0, None)
    except sqlite3.Error:
        return False
    return True


def _close_all(waiting: list[_Kept]) -> None:
    while waiting:
        waiting.pop().db.conn.close()


def keep_connections(app: Flask) -> None:
    """Have a few connections wait between requests, for a program that answers many; they end with it."""
    cast(Connections, app.extensions[_CONNECTIONS]).most = _MOST_WAITING


def get_settings() -> Settings:
    """The settings of the running application."""
    return cast(Settings, current_app.extensions["inspect_app_settings"])


def get_db() -> Database:
    """The request's own connection, taken at first use and given back with the request."""
    if "db" not in g:
        g.db = cast(Connections, current_app.extensions[_CONNECTIONS]).take()
    return cast(_Kept, g.db).db


def _give_back(_: BaseException | None) -> None:
    kept = g.pop("db", None)
    if kept is not None:
        cast(Connections, current_app.extensions[_CONNECTIONS]).give_back(kept)


def init_app(app: Flask, settings: Settings) -> None:
    """Make `get_db` and `get_settings` work in `app`."""
    app.extensions["inspect_app_settings"] = settings
    app.extensions[_CONNECTIONS] = Connections(database_path(settings))
    app.teardown_appcontext(_give_back)
