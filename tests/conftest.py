"""Fixtures for everyone: a data folder, the application on it, a house, and people signed in with a role.

settings            Settings of an opened, empty data folder below tmp_path
db                  a connection to its database
app, client         the web application on it and a test client (CSRF is on; `csrf(client)` gives a token)
house               a small house in the database: two areas, two line sets, six parts
other_house         a second one, for tests that houses stay apart
sign_in             sign_in(client, role=Role.TD, house=None, disabled=False) -> Person; sets the session cookie
pair                pair(person, house=None) -> (device id, bearer token)
driver              Playwright, started once: it cannot be started a second time in one process
clock_at            clock_at(moment) makes clock.now() answer that moment until the next call or the test's end
"""

import hashlib
import re
import secrets
import shutil
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import HealthCheck
from hypothesis import settings as examples
from playwright.sync_api import Playwright, sync_playwright
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions import password
from inspect_app.actions.account import insert_account, insert_person
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.ids import to_key
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db, write_transaction
from inspect_app.store.device import add_device
from inspect_app.store.house import add_house
from inspect_app.store.membership import set_roles
from inspect_app.store.person import get_account_of, set_disabled
from inspect_app.store.session import add_session
from inspect_app.web import create_app
from inspect_app.web.session_cookie import cookie_name
from tests.compiled_once import compiled_once
from tests.warm_render import warm_renders

PASSWORD = "nine lanterns under plaster"

# How long an example takes says how busy the machine is: no test fails by it.
examples.register_profile("untimed", examples(), deadline=None, suppress_health_check=[HealthCheck.too_slow])
examples.load_profile("untimed")


def pytest_make_parametrize_id(val: object) -> str | None:
    """A long text or file as a parameter is named by its beginning: names go through all that collect and report."""
    if isinstance(val, str | bytes) and len(val) > 200:
        return f"{val[:40]!a}... of {len(val)}"
    return None


@pytest.fixture(scope="session", autouse=True)
def _quick_hashes() -> Iterator[None]:
    """Hash passwords with the least setting allowed, so that tests stay quick."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(password, "hasher", password.make_hasher(password.FLOOR_KIB, password.FLOOR_PASSES, 1))
        patch.setattr(password, "_nobody", [])
        yield


@pytest.fixture(scope="session", autouse=True)
def _compiled_once() -> Iterator[None]:
    with compiled_once():
        yield


@pytest.fixture(scope="session", autouse=True)
def _warm_renders() -> Iterator[None]:
    with warm_renders():
        yield


@pytest.fixture(scope="session")
def driver() -> Iterator[Playwright]:
    with sync_playwright() as playwright:
        yield playwright


@pytest.fixture(scope="session")
def _empty_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder as the program makes it; the steps of its schema are what takes the time."""
    return open_data_folder(tmp_path_factory.mktemp("empty") / "data").settings.data


@pytest.fixture
def settings(_empty_folder: Path, tmp_path: Path) -> Settings:
    return open_data_folder(shutil.copytree(_empty_folder, tmp_path / "data")).settings


@pytest.fixture
def db(settings: Settings) -> Iterator[Database]:
    database = open_db(database_path(settings))
    yield database
    database.conn.close()


@pytest.fixture
def app(settings: Settings) -> Flask:
    return create_app(settings)


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()


def make_house(db: Database, name: str) -> House:
    """A small house as rows: deck and grid, sets 1 and 2, a head block and two loft blocks on each."""
    made = House(clock.new_id(), name, "America/Chicago")
    deck, grid = clock.new_id(), clock.new_id()
    with write_transaction(db):
        add_house(db, made, clock.now())
        for area, kind, title, z_mm in ((deck, "deck_rail", "Deck and rail", 0), (grid, "grid", "Grid", 18000)):
            db.execute(
                "INSERT INTO area(id, house, kind, name, z_mm) VALUES (?,?,?,?,?)",
                (to_key(area), to_key(made.id), kind, title, z_mm),
            )
        for number in (1, 2):
            _add_line_set(db, made.id, grid, number)
    return made


def _add_line_set(db: Database, house: str, grid: str, number: int) -> None:
    line_set = clock.new_id()
    db.execute(
        "INSERT INTO line_set(id, house, number, sort_key, kind, y_mm, head_side, lines) VALUES (?,?,?,?,?,?,?,?)",
        (to_key(line_set), to_key(house), str(number), number * 10, "single_purchase", number * 200, "stage_right", 2),
    )
    for tag, kind, line in (
        (f"HB {number}", "head_block", None),
        *((f"LB {number}-{n}", "loft_block", n) for n in (1, 2)),
    ):
        part = clock.new_id()
        db.execute(
            "INSERT INTO part(id, house, area, kind, tag, line_set, line) VALUES (?,?,?,?,?,?,?)",
            (to_key(part), to_key(house), to_key(grid), kind, tag, to_key(line_set), line),
        )
        db.execute("INSERT INTO part_life(id, part) VALUES (?,?)", (to_key(clock.new_id()), to_key(part)))


@pytest.fixture
def house(db: Database) -> House:
    return make_house(db, "Old Mill Playhouse")


@pytest.fixture
def other_house(db: Database) -> House:
    return make_house(db, "Harbour Hall")


SignIn = Callable[..., Person]


@pytest.fixture
def sign_in(db: Database, request: pytest.FixtureRequest) -> SignIn:
    def enter(
        client: FlaskClient, role: Role | None = Role.TD, house: House | None = None, disabled: bool = False
    ) -> Person:
        at, token = clock.now(), secrets.token_urlsafe(32)
        where = house or request.getfixturevalue("house")
        with write_transaction(db):
            person = insert_person(db, f"Robin {role.value.replace('_', ' ') if role else 'Nobody'}")
            insert_account(db, at, person.id, f"user{secrets.token_hex(6)}", "not a hash")
            if role is not None:
                set_roles(db, where.id, person.id, frozenset({role}), at)
            account = get_account_of(db, person.id)
            assert account is not None
            add_session(db, hashlib.sha256(token.encode()).digest(), account.id, "a test", at)
            if disabled:
                set_disabled(db, account.id, at)
        client.set_cookie(cookie_name(client.application.config["SESSION_COOKIE_SECURE"]), token)
        return person

    return enter


@pytest.fixture
def pair(db: Database, request: pytest.FixtureRequest) -> Callable[..., tuple[str, str]]:
    def make(person: Person, house: House | None = None) -> tuple[str, str]:
        where = house or request.getfixturevalue("house")
        device, token = clock.new_id(), secrets.token_urlsafe(32)
        digest = hashlib.sha256(token.encode()).digest()
        with write_transaction(db):
            add_device(
                db,
                device,
                house=where.id,
                person=person.id,
                name="a phone",
                kind="phone",
                token_hash=digest,
                at=clock.now(),
            )
        return device, token

    return make


def token_in(page: str) -> str:
    """The form token in a page."""
    found = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', page)
    assert found, page[:400]
    return found.group(1)


@pytest.fixture
def csrf() -> Callable[[FlaskClient], str]:
    """A form token of the client's present session, read from a page everyone may open."""
    return lambda client: token_in(client.get("/code").text)


@pytest.fixture
def clock_at(monkeypatch: pytest.MonkeyPatch) -> Callable[[datetime], None]:
    return lambda moment: monkeypatch.setattr(clock, "now", lambda: moment)
