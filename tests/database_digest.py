"""What a database holds, in one digest, worked out anew only when something was written."""

import hashlib
from collections.abc import Callable

from sqlite_utils import Database

# Tables that a refused request or a look may touch: uses of sessions and devices, counters of tries, kept forms.
# What the calendar said last, and when an address was asked last.
_FLEETING = {"session", "device", "throttle", "kept_post", "sqlite_sequence", "calendar_entry", "calendar_link"}


def digest_of(db: Database) -> str:
    """SHA-256 over every row of every table that is not fleeting."""
    total = hashlib.sha256()
    for table in sorted(set(db.table_names()) - _FLEETING):
        total.update(table.encode())
        for row in db.execute(f"SELECT * FROM [{table}]"):
            total.update(repr(row).encode())
    return total.hexdigest()


def when_changed(db: Database, work_out: Callable[[], str]) -> Callable[[], str]:
    """`work_out`, called again only when SQLite knows of a change, by other connections or by this one."""
    kept: dict[tuple[int, int], str] = {}

    def digest() -> str:
        changes = (int(db.execute("PRAGMA data_version").fetchone()[0]), int(db.conn.total_changes))
        if changes not in kept:
            kept[changes] = work_out()
        return kept[changes]

    return digest
