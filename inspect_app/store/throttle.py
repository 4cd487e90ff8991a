"""Counters of wrong passwords and codes; they outlive a restart."""

from datetime import datetime

from sqlite_utils import Database


def get_failures(db: Database, key: str) -> tuple[int, datetime | None]:
    """How many tries failed, and the moment from which a further one is taken (None: never tried)."""
    row = db.execute("SELECT failures, blocked_until FROM throttle WHERE key = ?", (key,)).fetchone()
    return (int(row[0]), datetime.fromisoformat(row[1])) if row else (0, None)


def set_failures(db: Database, key: str, failures: int, blocked_until: datetime) -> None:
    """Write a counter."""
    db.execute(
        "INSERT INTO throttle(key, failures, blocked_until) VALUES (?,?,?) ON CONFLICT(key) DO UPDATE "
        "SET failures = excluded.failures, blocked_until = excluded.blocked_until",
        (key, failures, blocked_until.isoformat(timespec="milliseconds")),
    )


def delete_old_failures(db: Database, before: datetime) -> None:
    """Forget the counters whose wait was over before a moment, so that made-up names do not fill the table."""
    db.execute("DELETE FROM throttle WHERE blocked_until < ?", (before.isoformat(timespec="milliseconds"),))


def delete_failures(db: Database, key: str) -> None:
    """Forget a counter, after a try that was right."""
    db.execute("DELETE FROM throttle WHERE key = ?", (key,))
