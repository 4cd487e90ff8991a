"""Data folders to measure in, and the yardstick of most lines: the same rows by plain executemany."""

import hashlib
import shutil
from collections.abc import Iterable
from pathlib import Path
from typing import Any, NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.account import insert_account, insert_person
from inspect_app.actions.house import create_house
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.house_answers import Answers
from inspect_app.domain.person import Person
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db, write_transaction
from inspect_app.store.device import Device, add_device, find_device

Rows = dict[str, list[tuple[Any, ...]]]
FORTY_SETS = Answers(
    sets=40,
    spacing_mm=200,
    first_mm=600,
    lines=6,
    well_x_mm=(-7200, -4400, -1500, 1500, 4400, 7200),
    grid_mm=18_000,
    bridge_mm=15_000,
)


class Place(NamedTuple):
    """An opened data folder with one empty house and its technical director's phone."""

    settings: Settings
    db: Database
    house: House
    person: Person
    device: Device


def make_place(folder: Path) -> Place:
    settings = open_data_folder(folder).settings
    db = open_db(database_path(settings))
    at = clock.now()
    with write_transaction(db):
        person = insert_person(db, "Robin Bench")
        insert_account(db, at, person.id, "robin", "not a hash")
    house = create_house(db, at=at, actor=person.id, name="Bench House", tz="UTC", units="metric")
    digest = hashlib.sha256(b"bench").digest()
    with write_transaction(db):
        add_device(
            db, clock.new_id(), house=house.id, person=person.id, name="phone", kind="phone", token_hash=digest, at=at
        )
    device = find_device(db, digest, at)
    if device is None:
        raise RuntimeError("the device is not there")
    return Place(settings, db, house, person, device)


def copies(place: Place, folder: Path, count: int) -> list[Database]:
    """Databases that hold just what this one holds now, one for each round."""
    place.db.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    source = database_path(place.settings)
    made = []
    for n in range(count):
        target = folder / f"copy-{n}-{clock.new_id()}.db"
        shutil.copyfile(source, target)
        made.append(open_db(target))
    return made


def rows_of(db: Database, tables: Iterable[str], after: dict[str, int] | None = None) -> Rows:
    """All rows of some tables, or those with a rowid above the one given for the table."""
    found: Rows = {}
    for table in tables:
        least = (after or {}).get(table, -1)
        found[table] = db.execute(f"SELECT * FROM {table} WHERE rowid > ?", (least,)).fetchall()
    return found


def last_rows(db: Database, tables: Iterable[str]) -> dict[str, int]:
    return {table: db.execute(f"SELECT coalesce(max(rowid), -1) FROM {table}").fetchone()[0] for table in tables}


def insert_plainly(db: Database, rows: Rows) -> None:
    """The same rows in one transaction with the same durability: no check, no journal, no digest."""
    db.execute("PRAGMA foreign_keys=OFF")
    db.execute("BEGIN IMMEDIATE")
    for table, some in rows.items():
        if some:
            marks = ",".join("?" * len(some[0]))
            db.conn.executemany(f"INSERT INTO {table} VALUES ({marks})", some)
    db.execute("COMMIT")


def count(rows: Rows) -> int:
    return sum(len(some) for some in rows.values())
