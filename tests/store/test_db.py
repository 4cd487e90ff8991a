"""How the database is opened and written."""

import threading
from pathlib import Path

import pytest
from sqlite_utils.utils import sqlite3

from inspect_app.domain.errors import NotSaved
from inspect_app.store.db import journal_mode_for, open_db, write_transaction


@pytest.mark.parametrize(
    ("version", "mode"),
    [
        ("3.40.1", ("delete", "EXTRA")),
        ("3.44.5", ("delete", "EXTRA")),
        ("3.44.6", ("wal", "FULL")),
        ("3.45.0", ("delete", "EXTRA")),
        ("3.50.7", ("wal", "FULL")),
        ("3.51.2", ("delete", "EXTRA")),
        ("3.51.3", ("wal", "FULL")),
        ("3.53.4", ("wal", "FULL")),
    ],
)
def test_wal_is_used_only_where_its_reset_fault_is_mended(version: str, mode: tuple[str, str]) -> None:
    # sqlite.org/wal.html: fixed in 3.51.3, 3.50.7 and 3.44.6
    assert journal_mode_for(version) == mode


def test_the_connection_runs_in_the_mode_picked_for_its_sqlite(tmp_path: Path) -> None:
    db = open_db(tmp_path / "a.db")
    mode, synchronous = journal_mode_for(sqlite3.sqlite_version)
    assert db.execute("PRAGMA journal_mode").fetchone()[0] == mode
    assert db.execute("PRAGMA synchronous").fetchone()[0] == {"FULL": 2, "EXTRA": 3}[synchronous]
    assert db.execute("PRAGMA foreign_keys").fetchone()[0] == 1


def test_a_transaction_is_whole_or_absent(tmp_path: Path) -> None:
    db = open_db(tmp_path / "a.db")
    db.execute("CREATE TABLE t (n INTEGER) STRICT")
    with pytest.raises(ZeroDivisionError), write_transaction(db):  # noqa: PT012 (the transaction is the point)
        db.execute("INSERT INTO t VALUES (1)")
        _ = 1 / 0
    assert db.execute("SELECT count(*) FROM t").fetchone()[0] == 0


@pytest.mark.parametrize("pages", range(3, 12))
def test_a_full_disk_leaves_nothing_half_written(pages: int, tmp_path: Path) -> None:
    db = open_db(tmp_path / "a.db")
    db.execute("CREATE TABLE t (b BLOB) STRICT")
    db.execute(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(NotSaved, match="disk is full"), write_transaction(db):  # noqa: PT012 (as above)
        for _ in range(pages + 2):
            db.execute("INSERT INTO t VALUES (zeroblob(4000))")
    assert db.execute("SELECT count(*) FROM t").fetchone()[0] == 0


def test_many_threads_that_read_then_write_all_succeed(tmp_path: Path) -> None:
    path = tmp_path / "a.db"
    open_db(path).execute("CREATE TABLE t (n INTEGER) STRICT").connection.close()
    failures: list[Exception] = []

    def work() -> None:
        db = open_db(path)
        try:
            for _ in range(20):
                with write_transaction(db):
                    n = db.execute("SELECT count(*) FROM t").fetchone()[0]
                    db.execute("INSERT INTO t VALUES (?)", (n,))
        except Exception as error:
            failures.append(error)
        finally:
            db.conn.close()

    threads = [threading.Thread(target=work) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    db = open_db(path)
    assert db.execute("SELECT count(*), count(DISTINCT n) FROM t").fetchone() == (120, 120)
