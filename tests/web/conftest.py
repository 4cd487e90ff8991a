"""The route map for tests that walk it: an object for every variable in an address, and requests by any actor.

A route with a variable that has no builder here fails `test_every_variable_in_an_address_has_a_builder`. To add one:
write `def make_x(db, house, person) -> str` that puts a fresh object into that house (acting as that person where it
matters) and returns what stands in the address, and list it in BUILDERS under the variable's name. Variables that name
nothing of a house (a file, a checklist) go into NOT_OF_A_HOUSE as well.
"""

import secrets
from collections.abc import Callable
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlite_utils import Database
from werkzeug.test import TestResponse

from inspect_app import clock
from inspect_app.actions import hand_over, report
from inspect_app.actions.account import insert_person
from inspect_app.config import settings_for
from inspect_app.domain.errors import Conflict
from inspect_app.domain.house import House
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.store.db import write_transaction
from inspect_app.store.device import add_device
from inspect_app.store.membership import set_roles
from inspect_app.store.person import get_account_of
from inspect_app.store.photo import COPIES, keep_photo_files
from inspect_app.store.session import add_session
from inspect_app.web import sheet_job
from tests.database_digest import digest_of, when_changed
from tests.route_map import IN_MEMORY, Route, routes_of

Builder = Callable[[Database, House, Person], str]


def make_person(db: Database, house: House, person: Person) -> str:
    with write_transaction(db):
        made = insert_person(db, "Kit Member")
        set_roles(db, house.id, made.id, frozenset({Role.HELPER}), clock.now())
    return made.id


def make_device(db: Database, house: House, person: Person) -> str:
    device, digest = clock.new_id(), secrets.token_bytes(32)
    with write_transaction(db):
        add_device(
            db, device, house=house.id, person=person.id, name="P", kind="phone", token_hash=digest, at=clock.now()
        )
    return device


def make_session(db: Database, house: House, person: Person) -> str:
    digest, account = secrets.token_bytes(32), get_account_of(db, person.id)
    assert account is not None
    with write_transaction(db):
        add_session(db, digest, account.id, "another browser", clock.now())
    return digest.hex()


def first_of(table: str) -> Builder:
    """A row that every house of the fixtures has."""

    def find(db: Database, house: House, person: Person) -> str:
        row = db.execute(f"SELECT id FROM {table} WHERE house = ? ORDER BY id LIMIT 1", (to_key(house.id),)).fetchone()
        return from_key(row[0])

    return find


def insert(table: str, **values: object) -> Builder:
    """A fresh row with an id and a house; callables are given (db, house, person)."""

    def add(db: Database, house: House, person: Person) -> str:
        made = clock.new_id()
        row = {name: value(db, house, person) if callable(value) else value for name, value in values.items()}
        row |= {"id": to_key(made), "house": to_key(house.id)}
        marks = ",".join("?" * len(row))
        db.execute(f"INSERT INTO {table}({','.join(row)}) VALUES ({marks})", tuple(row.values()))
        return made

    return add


def key_of(builder: Builder) -> Callable[[Database, House, Person], bytes]:
    return lambda db, house, person: to_key(builder(db, house, person))


def own_key(db: Database, house: House, person: Person) -> bytes:
    return to_key(person.id)


def unique(db: Database, house: House, person: Person) -> int:
    return secrets.randbelow(2**31)


AT = "2026-03-04T12:00:00.000+00:00"
make_walk = insert(
    "walk", title="A walk", date_local="2026-03-04", state="open", scope="{}", opened_by=own_key, opened_at=AT
)
make_document = insert(
    "document",
    walk=key_of(make_walk),
    number=lambda *_: f"2026-{secrets.randbelow(2**31)}",
    revision=1,
    paper="A4",
    sha256=b"1" * 32,
    data_sha256=b"1" * 32,
    file="2026-001.pdf",
    bytes=1,
    made_at=AT,
)
make_tag_out = insert(
    "tag_out", line_set=key_of(first_of("line_set")), why="frayed", raised_by=own_key, raised_at=AT, state="standing"
)
make_event = insert(
    "event", kind="shock", line_set=key_of(first_of("line_set")), what="snagged", danger="no", by=own_key, at=AT
)
make_restriction = insert(
    "restriction", kind="limit", line_set=key_of(first_of("line_set")), what="bent", load_limit="9 kg", travel_limit="",
    who="Ines", until="2099-01-01", by=own_key, at=AT,
)  # fmt: skip
make_deficiency = insert(
    "deficiency",
    number=unique,
    part=key_of(first_of("part")),
    what="frayed",
    grade="repair_by",
    state="found",
    found_at=AT,
)


def keep_file(db: Database, house: House, person: Person) -> bytes:
    """The digest of a photo whose files stand in the data folder (the pages send bytes on and never decode them)."""
    settings = settings_for(Path(db.execute("PRAGMA database_list").fetchone()[2]).parent)
    content = secrets.token_bytes(64)
    return bytes.fromhex(keep_photo_files(settings, content, {name: content for name in COPIES}))


make_condition = insert(
    "accepted_condition",
    part=key_of(first_of("part")),
    what="open well",
    accepted_by="Kit Poe",
    role="facility_manager",
    reason="rail is being made",
    review_by="2027-01-01",
    by=own_key,
    at=AT,
)
make_held = insert(
    "held",
    device=key_of(make_device),
    raw=b"{}",
    sha256=lambda *_: secrets.token_bytes(32),
    why="unreadable",
    received_at=AT,
)
make_recording = insert(
    "recording", device=key_of(make_device), sha256=keep_file, mime="audio/webm", bytes=64, received_at=AT
)
make_attachment = insert(
    "attachment", deficiency=key_of(make_deficiency), name="quote.jpg", shows="after", note="", mime="image/jpeg",
    bytes=64, sha256=keep_file, by=own_key, received_at=AT,
)  # fmt: skip
make_photo = insert("photo", sha256=keep_file, mime="image/jpeg", bytes=64, received_at=AT, state="stored")

make_gauge = insert("gauge", name=lambda *_: f"C{secrets.randbelow(2**31)}", kind="caliper")


def make_doubt(db: Database, house: House, person: Person) -> str:
    """A doubt about a gauge of its own, which `gauge_in_address` then finds."""
    made, gauge = clock.new_id(), make_gauge(db, house, person)
    values = (to_key(made), to_key(gauge), "2026-01-01", "2026-01-02", "dropped", to_key(person.id), AT)
    db.execute("INSERT INTO gauge_doubt(id, gauge, first, last, why, by, at) VALUES (?,?,?,?,?,?,?)", values)
    return made


def gauge_in_address(db: Database, house: House, person: Person) -> str:
    """The gauge of a doubt that was just made and still stands, for an address that names both; else a new one."""
    newest = "SELECT id FROM gauge WHERE house = ? ORDER BY rowid DESC LIMIT 1"
    doubted = f"SELECT gauge FROM gauge_doubt WHERE ended_at IS NULL AND gauge = ({newest})"
    row = db.execute(doubted, (to_key(house.id),)).fetchone()
    return from_key(row[0]) if row else make_gauge(db, house, person)


def make_station(db: Database, house: House, person: Person) -> str:
    made, part = clock.new_id(), first_of("part")(db, house, person)
    values = (to_key(made), to_key(part), f"mark {secrets.randbelow(2**31)}")
    db.execute("INSERT INTO station(id, part, name) VALUES (?,?,?)", values)
    return made


make_blackout = insert("blackout", first="2099-01-01", last="2099-01-02", why="tour", source="", by=own_key, at=AT)
make_scope = insert(
    "interval_scope", checklist="rail-deck-monthly", name="", interval="P2W", reason="heavy use", by=own_key, at=AT
)
make_relook = insert(
    "relook", part=key_of(first_of("part")), look_on="2099-01-01", reason="new", way="seen_close", by=own_key, at=AT
)
make_calendar_link = insert(
    "calendar_link", person=own_key, label="phone", token_hash=lambda *_: secrets.token_bytes(32), made_at=AT
)
make_guest_link = insert(
    "guest_link", guest="Odo Brandt", purpose="annual", with_costs=0, by=own_key, made_at=AT,
    expires_at="2099-01-01T00:00:00.000+00:00", token_hash=lambda *_: secrets.token_bytes(32),
)  # fmt: skip
make_pack = insert(
    "hand_over_pack", number=lambda *_: f"2026-H{secrets.randbelow(2**31)}", first="", last="", paper="A4",
    with_costs=0, pdf_file="a.pdf", pdf_sha256=b"1" * 32, data_sha256=b"1" * 32, zip_file="a.zip",
    zip_sha256=b"1" * 32, zip_bytes=1, by=own_key, made_at=AT,
)  # fmt: skip
make_old_page = insert(
    "old_page", year=1998, says="new hand line", name="log.jpg", mime="image/jpeg", bytes=64, sha256=keep_file,
    by=own_key, received_at=AT,
)  # fmt: skip
make_sound = insert(
    "set_sound", line_set=key_of(first_of("line_set")), place="at the rail", recorded_on="2026-03-04", note="",
    mime="audio/wav", bytes=64, sha256=keep_file, by=own_key, received_at=AT,
)  # fmt: skip


BUILDERS: dict[str, Builder] = {
    "old_page_id": make_old_page,
    "sound_id": make_sound,
    "pack_id": make_pack,
    "guest_link_id": make_guest_link,
    "blackout_id": make_blackout,
    "scope_id": make_scope,
    "relook_id": make_relook,
    "calendar_link_id": make_calendar_link,
    "secret": lambda db, house, person: secrets.token_urlsafe(8),
    "house_id": lambda db, house, person: house.id,
    "person_id": make_person,
    "device_id": make_device,
    "session_key": make_session,
    "area_id": first_of("area"),
    "line_set_id": first_of("line_set"),
    "part_id": first_of("part"),
    "gauge_id": gauge_in_address,
    "doubt_id": make_doubt,
    "station_id": make_station,
    "walk_id": make_walk,
    "document_id": make_document,
    "tag_out_id": make_tag_out,
    "restriction_id": make_restriction,
    "event_id": make_event,
    "deficiency_id": make_deficiency,
    "attachment_id": make_attachment,
    "photo_id": make_photo,
    "recording_id": make_recording,
    "held_id": make_held,
    "condition_id": make_condition,
    "job_id": lambda db, house, person: clock.new_id(),
    "size": lambda db, house, person: "thumb",
    "form": lambda db, house, person: "csv",
    "slug": lambda db, house, person: "rail-deck-monthly",
    "rule_key": lambda db, house, person: "iso14122-slot",
    "table_key": lambda db, house, person: "copper-sleeve-efficiency",
    "criterion_key": lambda db, house, person: "rope-diameter",
    "filename": lambda db, house, person: "css/app.css",
    "sheet": lambda db, house, person: "rope-diameter",
    "part_kind": lambda db, house, person: "loft_block",
}
NOT_OF_A_HOUSE = frozenset(
    {"secret", "slug", "filename", "size", "form", "sheet", "rule_key", "criterion_key", "table_key", "part_kind"}
)


@pytest.fixture
def routes(app: Flask) -> list[Route]:
    return routes_of(app)


@pytest.fixture
def address(app: Flask, db: Database) -> Callable[..., str]:
    """address(route, house, person, foreign=None, kept=False): a path with objects; those of `foreign` but the house.

    Objects are fresh, or with `kept` those made before for the same house and person: for requests that change nothing.
    """
    made: dict[tuple[str, str, str], str] = {}

    def find(name: str, house: House, person: Person, kept: bool) -> str:
        key = (name, house.id, person.id)
        if not kept:
            return BUILDERS[name](db, house, person)
        if key not in made:
            made[key] = BUILDERS[name](db, house, person)
        return made[key]

    def build(route: Route, house: House, person: Person, foreign: House | None = None, *, kept: bool = False) -> str:
        values = {
            name: find(name, house if foreign is None or name == "house_id" else foreign, person, kept)
            for name in sorted(route.rule.arguments)
        }
        with app.test_request_context():
            return app.url_map.bind("localhost").build(route.rule.endpoint, values, method=route.method)

    return build


@pytest.fixture
def ask(csrf: Callable[[FlaskClient], str]) -> Callable[..., TestResponse]:
    """ask(client, route, path, token=None, bearer=None, headers=None): a request, its form token good by default."""

    def send(
        client: FlaskClient,
        route: Route,
        path: str,
        token: str | None = None,
        bearer: str | None = None,
        headers: dict[str, str] | None = None,
    ) -> TestResponse:
        given = dict(headers or {})
        if bearer:
            given["Authorization"] = f"Bearer {bearer}"
        if not route.changes:
            return client.open(path, method=route.method, headers=given)
        if route.permission != "device":
            given["X-CSRF-Token"] = csrf(client) if token is None else token
        if route.is_api:
            return client.open(path, method=route.method, headers=given, json={})
        return client.open(path, method=route.method, headers=given, data={})

    return send


@pytest.fixture
def content(db: Database) -> Callable[[], str]:
    """A digest of everything in the database that is not fleeting."""
    return when_changed(db, lambda: digest_of(db))


@pytest.fixture
def newcomer(app: Flask) -> Callable[[], FlaskClient]:
    """A browser without cookies."""
    return app.test_client


@pytest.fixture
def signed_in_as(
    newcomer: Callable[[], FlaskClient], sign_in: Callable[..., Person], csrf: Callable[[FlaskClient], str]
) -> Callable[[Role], tuple[FlaskClient, Person, str]]:
    """signed_in_as(role): client, person and form token of one session per role and test, for what changes nothing."""
    kept: dict[Role, tuple[FlaskClient, Person, str]] = {}

    def enter(role: Role) -> tuple[FlaskClient, Person, str]:
        if role not in kept:
            client = newcomer()
            kept[role] = (client, sign_in(client, role), csrf(client))
        return kept[role]

    return enter


@pytest.fixture
def papers_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """Papers that are made in the background are begun and then given up: for tests that only ask who may begin one.

    That they come out right is for the tests of each paper; here nobody would wait for them.
    """

    def give_up(*_: object) -> bytes:
        raise Conflict("Given up: nobody waits for it.")

    for module in (sheet_job, report, hand_over):
        monkeypatch.setattr(module, "render_report", give_up)


@pytest.fixture
def web_builders() -> dict[str, Builder]:
    return BUILDERS


@pytest.fixture
def may_be_missing() -> Callable[[Route], bool]:
    """Whether 404 is a right answer even to somebody entitled."""
    return lambda route: bool(set(route.rule.arguments) & IN_MEMORY)


@pytest.fixture
def own_objects() -> Callable[[Route], bool]:
    """Whether an address names something that belongs to a house, apart from the house itself."""
    return lambda route: bool(set(route.rule.arguments) - NOT_OF_A_HOUSE - {"house_id"})


@pytest.fixture
def bench(client: FlaskClient, sign_in) -> FlaskClient:
    """A browser of a person of the house, for pages that only work things out."""
    sign_in(client)
    return client
