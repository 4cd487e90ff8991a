"""Opening the database, its pragmas, and the one helper that owns every write."""

import logging
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlite_utils import Database
from sqlite_utils.utils import sqlite3

from inspect_app.domain.errors import NotSaved

log = logging.getLogger(__name__)

APPLICATION_ID = 0x47474C31  # "GGL1", so that a foreign file is told from ours
_write_lock = threading.Lock()  # SQLite's own busy handler is unfair between threads of one process


def journal_mode_for(version: str) -> tuple[str, str]:
    """(journal_mode, synchronous) for a SQLite version: WAL only where the WAL-reset fault is mended.

    Fixed in 3.51.3 and in the branches 3.50.7 and 3.44.6 (sqlite.org/wal.html); older ones get a rollback journal
    with synchronous=EXTRA, so that an acknowledged commit also survives a power cut.
    """
    parts = tuple(int(piece) for piece in version.split("."))[:3]
    mended = parts >= (3, 51, 3) or (3, 50, 7) <= parts < (3, 51) or (3, 44, 6) <= parts < (3, 45)
    return ("wal", "FULL") if mended else ("delete", "EXTRA")


def open_db(path: Path, any_thread: bool = False) -> Database:
    """A connection with foreign keys, recursive triggers and durable commits switched on.

    It is for one thread; with `any_thread`, for one thread at a time.
    """
    connection = sqlite3.connect(str(path), isolation_level=None, timeout=10, check_same_thread=not any_thread)
    db = Database(connection, execute_plugins=False)
    mode, synchronous = journal_mode_for(sqlite3.sqlite_version)
    for pragma in (
        "foreign_keys=ON",
        "recursive_triggers=ON",  # else REPLACE slips past the guards against deleting
        "trusted_schema=OFF",
        "cell_size_check=ON",
        f"journal_mode={mode}",
        f"synchronous={synchronous}",
        "cache_size=-16000",
    ):
        connection.execute(f"PRAGMA {pragma}").fetchall()
    return db


@contextmanager
def write_transaction(db: Database) -> Iterator[Database]:
    """One immediate transaction: all of it or nothing. Nested calls join as savepoints.

    Raises NotSaved when the disk is full, read-only or damaged; nothing was written then.
    """
    if db.conn.in_transaction:
        with db.atomic():
            yield db
        return
    with _write_lock:
        try:
            db.execute("BEGIN IMMEDIATE")
            yield db
            db.execute("COMMIT")
        except sqlite3.OperationalError as error:
            _roll_back(db)
            raise NotSaved(_why_not_saved(error)) from error
        except BaseException:
            _roll_back(db)
            raise


def _roll_back(db: Database) -> None:
    if db.conn.in_transaction:  # SQLite has already rolled back by itself after FULL and IOERR
        db.execute("ROLLBACK")


def _why_not_saved(error: sqlite3.OperationalError) -> str:
    text = str(error)
    if "full" in text:
        return "Not saved: the disk is full. Free some space and send again; nothing was lost on your side."
    if "readonly" in text or "read-only" in text:
        return "Not saved: the data folder is read-only. Make it writable and send again."
    if "locked" in text or "busy" in text:
        return "Not saved: the database was busy for too long. Send again; nothing was lost on your side."
    log.error("write failed: %s", text)
    return "Not saved: the database could not be written. Run `inspect-app verify` before going on."


def log_mode(db: Database) -> str:
    """Log and return the running SQLite version with its journal mode and synchronous setting."""
    mode = db.execute("PRAGMA journal_mode").fetchone()[0]
    synchronous = db.execute("PRAGMA synchronous").fetchone()[0]
    names = {0: "OFF", 1: "NORMAL", 2: "FULL", 3: "EXTRA"}
    text = f"SQLite {sqlite3.sqlite_version}, journal_mode={mode}, synchronous={names.get(synchronous, synchronous)}"
    log.info("%s", text)
    return text


def copy_database(source: Path, target: Path) -> None:
    """A whole copy of a database as it is at one moment, by SQLite's online backup; others may go on writing."""
    old, new = sqlite3.connect(str(source), timeout=10), sqlite3.connect(str(target))
    try:
        old.backup(new)
    finally:
        new.close()
        old.close()


def is_sound(path: Path) -> bool:
    """Whether a file is a database of this program in which SQLite finds no damage."""
    connection = sqlite3.connect(str(path))
    try:
        mark = connection.execute("PRAGMA application_id").fetchone()[0]
        return bool(mark == APPLICATION_ID and connection.execute("PRAGMA integrity_check(1)").fetchall() == [("ok",)])
    except sqlite3.DatabaseError:
        return False
    finally:
        connection.close()
