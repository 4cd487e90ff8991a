"""The schema, and the guards that keep the record append-only."""

from pathlib import Path

import pytest
from sqlite_utils import Database
from sqlite_utils.utils import sqlite3

from inspect_app.domain.errors import Conflict
from inspect_app.domain.ids import from_key
from inspect_app.domain.second_look import percent_of
from inspect_app.store.db import open_db
from inspect_app.store.event import list_events
from inspect_app.store.house import get_house
from inspect_app.store.migrations import INSERT_ONLY, apply_migrations, migrations
from inspect_app.store.relook import list_relooks


@pytest.fixture
def db(tmp_path: Path) -> Database:
    db = open_db(tmp_path / "inspect.db")
    apply_migrations(db)
    return db


def test_every_table_is_strict(db: Database) -> None:
    loose = [row[1] for row in db.execute("PRAGMA table_list") if row[2] == "table" and not row[5]]
    assert set(loose) <= {"sqlite_schema", "sqlite_temp_schema", "sqlite_sequence", "_sqlite_migrations"}


@pytest.mark.parametrize("table", INSERT_ONLY)
@pytest.mark.parametrize("verb", ["UPDATE", "DELETE"])
def test_a_table_that_is_written_once_has_both_guards(db: Database, table: str, verb: str) -> None:
    sql = db.execute(
        "SELECT sql FROM sqlite_master WHERE type = 'trigger' AND name = ?", (f"guard_{table}_{verb.lower()}",)
    )
    assert f"BEFORE {verb} ON {table}" in sql.fetchone()[0]


def test_a_journal_row_cannot_be_changed_deleted_or_replaced(db: Database) -> None:
    db.execute("INSERT INTO journal VALUES (1, 'a', 'b', 'c', '', '[]', x'00', x'00')")
    for statement in (
        "UPDATE journal SET actor = 'x'",
        "DELETE FROM journal",
        "REPLACE INTO journal SELECT * FROM journal",
        "INSERT OR REPLACE INTO journal VALUES (1, 'z', 'b', 'c', '', '[]', x'00', x'00')",
    ):
        with pytest.raises(sqlite3.IntegrityError, match="written once"):
            db.execute(statement)


def test_migrating_again_changes_nothing(db: Database) -> None:
    before = db.schema
    apply_migrations(db)
    assert db.schema == before


def test_the_guards_come_back_after_a_table_was_rebuilt(db: Database) -> None:
    db.table("journal").transform()
    apply_migrations(db)
    db.execute("INSERT INTO journal VALUES (1, 'a', 'b', 'c', '', '[]', x'00', x'00')")
    with pytest.raises(sqlite3.IntegrityError, match="written once"):
        db.execute("DELETE FROM journal")


def test_a_newer_or_foreign_database_is_left_alone(db: Database, tmp_path: Path) -> None:
    db.execute(
        "INSERT INTO _sqlite_migrations(migration_set, name, applied_at) VALUES ('inspect_app', 'm9999_later', '')"
    )
    with pytest.raises(Conflict, match="newer release"):
        apply_migrations(db)
    other = open_db(tmp_path / "other.db")
    other.execute("CREATE TABLE t (n)")
    with pytest.raises(Conflict, match="another program"):
        apply_migrations(other)
    assert other.table_names() == ["t"]


def test_a_file_that_is_no_database_is_refused_in_plain_words(tmp_path: Path) -> None:
    path = tmp_path / "inspect.db"
    path.write_bytes(b"not a database at all" * 100)
    with pytest.raises((Conflict, sqlite3.DatabaseError)) as caught:
        apply_migrations(open_db(path))
    assert path.read_bytes().startswith(b"not a database")
    assert caught.value


def test_an_event_from_before_withdrawals_stands(tmp_path: Path) -> None:
    db = open_db(tmp_path / "older.db")
    migrations.apply(db, stop_before="m0014_event_withdrawal")
    db.execute("PRAGMA foreign_keys=OFF")
    db.execute(
        "INSERT INTO event(id, house, kind, what, danger, by, at) "
        "VALUES (?, ?, 'shock', 'snagged', 'no', ?, '2026-01-05T10:00:00.000+00:00')",
        [bytes([n]) * 16 for n in (1, 2, 3)],
    )
    migrations.apply(db)
    (event,) = list_events(db, from_key(b"\x02" * 16))
    assert (event.what, event.ask, event.withdrawn) == ("snagged", None, None)


def test_a_seal_from_before_inspections_carries_an_empty_one(tmp_path: Path) -> None:
    db = open_db(tmp_path / "older.db")
    migrations.apply(db, stop_before="m0016_hand_over")
    db.execute("PRAGMA foreign_keys=OFF")
    db.execute(
        "INSERT INTO seal(walk, n, house, number, root_sha256, journal_head, person, name, role, credential, "
        "statement, complete, data, at) "
        "VALUES (x'01', 1, x'02', '2025-001', x'00', x'00', x'03', 'Ines', 'TD', 'c', 's', 1, x'', 'a')"
    )
    migrations.apply(db)
    assert db.execute("SELECT inspection, number FROM seal").fetchone() == ("{}", "2025-001")
    assert {"guest_link", "guest_visit", "hand_over_pack", "house_answer"} <= set(db.table_names())
    assert "lifted_name" in {row[1] for row in db.execute("PRAGMA table_info(restriction)")}


def test_a_file_from_before_the_learning_side_has_its_empty_tables_and_draws_the_shipped_share(tmp_path: Path) -> None:
    db = open_db(tmp_path / "older.db")
    migrations.apply(db, stop_before="m0017_learning")
    assert "second_look" not in db.table_names()
    key = b"\x01" * 16
    db.execute(
        "INSERT INTO house(id, name, tz, units, datum, demo, line_names, settings, created_at) "
        "VALUES (?, 'Old', 'UTC', 'metric', 'plaster line', 0, '{}', '{}', '2025-01-01')",
        (key,),
    )
    migrations.apply(db)
    for table in ("second_look_draw", "second_look", "second_look_answer", "label_reading", "old_page", "set_sound"):
        assert db.execute(f"SELECT count(*) FROM {table}").fetchone() == (0,)
    assert percent_of(get_house(db, from_key(key)).settings) == "2"


def test_a_re_look_from_before_scopes_asks_for_its_part_alone(tmp_path: Path) -> None:
    db = open_db(tmp_path / "older.db")
    migrations.apply(db, stop_before="m0018_relook_scope")
    assert "relook_scope" not in db.table_names()
    db.execute("PRAGMA foreign_keys=OFF")
    key = [bytes([n]) * 16 for n in range(1, 5)]
    db.execute(
        "INSERT INTO part(id, house, tag, kind, area) VALUES (?, ?, 'HB 1', 'head_block', x'09')", (key[2], key[1])
    )
    db.execute(
        "INSERT INTO relook(id, house, part, look_on, reason, way, by, at) "
        "VALUES (?, ?, ?, '2026-04-01', 'new', 'seen_close', ?, '2026-03-04T10:00:00.000+00:00')",
        key,
    )
    migrations.apply(db)
    (found,) = list_relooks(db, from_key(key[1]))
    assert (found.name, found.whole, found.open) == ("HB 1", False, True)
