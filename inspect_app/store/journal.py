"""Append to the journal and read it back; every action writes one row in its own transaction."""

import hashlib
import json
from collections.abc import Iterable, Iterator
from datetime import datetime

from sqlite_utils import Database

from inspect_app.domain.journal import GENESIS, JournalItem, JournalRow, canonical_items, row_hash


def item(table: str, row_id: str, content: object) -> JournalItem:
    """A journal item for a row: `content` is bytes, or anything JSON can hold (sorted keys, so that it is stable)."""
    raw = content if isinstance(content, bytes) else json.dumps(content, sort_keys=True, default=str).encode()
    return JournalItem(table, row_id, hashlib.sha256(raw).hexdigest())


def append_journal(
    db: Database, *, at: datetime, actor: str, action: str, house: str = "", items: Iterable[JournalItem] = ()
) -> bytes:
    """Add one row and return its hash. Must run inside the write transaction of the change it records."""
    if not db.conn.in_transaction:
        raise RuntimeError("the journal is written only inside write_transaction()")
    last = db.execute("SELECT n, hash FROM journal ORDER BY n DESC LIMIT 1").fetchone()
    n, prev = (last[0] + 1, last[1]) if last else (1, GENESIS)
    text = canonical_items(items)
    stamp = at.isoformat(timespec="milliseconds")
    digest = row_hash(n, stamp, actor, action, house, text, prev)
    db.execute(
        "INSERT INTO journal(n, at, actor, action, house, items, prev, hash) VALUES (?,?,?,?,?,?,?,?)",
        (n, stamp, actor, action, house, text, prev, digest),
    )
    return digest


def list_journal(db: Database, after: int = 0) -> Iterator[JournalRow]:
    """The rows in order, from the one after `after`."""
    rows = db.execute(
        "SELECT n, at, actor, action, house, items, prev, hash FROM journal WHERE n > ? ORDER BY n", (after,)
    )
    for n, at, actor, action, house, items, prev, digest in rows:
        yield JournalRow(n, at, actor, action, house, tuple(JournalItem(*i) for i in json.loads(items)), prev, digest)


def get_journal_head(db: Database) -> bytes:
    """The hash of the last row, or 32 zero bytes."""
    row = db.execute("SELECT hash FROM journal ORDER BY n DESC LIMIT 1").fetchone()
    return row[0] if row else GENESIS
