"""A house with history and a client signed in as its inspector, made once for the tests of a module."""

import secrets
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

from inspect_app import clock
from inspect_app.actions.session import hash_token
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db, write_transaction
from inspect_app.store.house import get_house
from inspect_app.store.person import get_account_of
from inspect_app.store.session import add_session
from inspect_app.web import create_app
from inspect_app.web.session_cookie import cookie_name
from tests.e2e.conftest import make_world
from tests.history_builder import make_history


def history_place(folder: Path) -> Iterator[SimpleNamespace]:
    """db, settings, house (its id), history, client and url of the house, until the tests are done."""
    settings = open_data_folder(folder / "data").settings
    house = make_world(settings.data, sets=4)
    db = open_db(database_path(settings))
    history = make_history(db, settings, get_house(db, house), clock.now())
    token, client = secrets.token_urlsafe(32), create_app(settings).test_client()
    account = get_account_of(db, history.inspector.id)
    assert account is not None
    with write_transaction(db):
        add_session(db, hash_token(token), account.id, "a test", clock.now())
    client.set_cookie(cookie_name(client.application.config["SESSION_COOKIE_SECURE"]), token)
    yield SimpleNamespace(db=db, settings=settings, house=house, history=history, client=client, url=f"/houses/{house}")
    db.conn.close()
