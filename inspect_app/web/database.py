"""One database connection per request."""

from typing import cast

from flask import Flask, current_app, g
from sqlite_utils import Database

from inspect_app.config import Settings
from inspect_app.store.data_folder import database_path
from inspect_app.store.db import open_db


def get_settings() -> Settings:
    """The settings of the running application."""
    return cast(Settings, current_app.extensions["inspect_app_settings"])


def get_db() -> Database:
    """The request's own connection, opened at first use and closed with the request."""
    if "db" not in g:
        g.db = open_db(database_path(get_settings()))
    return cast(Database, g.db)


def _close(_: BaseException | None) -> None:
    db = g.pop("db", None)
    if db is not None:
        db.conn.close()


def init_app(app: Flask, settings: Settings) -> None:
    """Make `get_db` and `get_settings` work in `app`."""
    app.extensions["inspect_app_settings"] = settings
    app.teardown_appcontext(_close)
