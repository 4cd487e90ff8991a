"""The hash chain of the journal: canonical bytes of one row and the check of many."""

import hashlib
import json
from collections.abc import Iterable
from typing import NamedTuple

GENESIS = bytes(32)


class JournalItem(NamedTuple):
    """A row that an action wrote: table, id as text, SHA-256 of its content in hex."""

    table: str
    id: str
    sha256: str


class JournalRow(NamedTuple):
    """One action. `at` is UTC in ISO 8601; `actor` a person's id or 'system'; `house` an id or ''."""

    n: int
    at: str
    actor: str
    action: str
    house: str
    items: tuple[JournalItem, ...]
    prev: bytes
    hash: bytes


def canonical_items(items: Iterable[JournalItem]) -> str:
    """The items as compact JSON text, the form in which they are stored and hashed."""
    return json.dumps([list(item) for item in items], ensure_ascii=False, separators=(",", ":"))


def row_hash(n: int, at: str, actor: str, action: str, house: str, items: str, prev: bytes) -> bytes:
    """SHA-256 over the row's fields and the hash before it. Fields are joined by 0x1f, which none may hold."""
    text = "\x1f".join((str(n), at, actor, action, house, items))
    return hashlib.sha256(prev + text.encode()).digest()


def first_break(rows: Iterable[JournalRow]) -> int | None:
    """The number of the first row that does not follow from the one before it, or None when the chain holds."""
    prev, expected = GENESIS, 1
    for row in rows:
        want = row_hash(row.n, row.at, row.actor, row.action, row.house, canonical_items(row.items), prev)
        if row.n != expected or row.prev != prev or row.hash != want:
            return expected
        prev, expected = row.hash, expected + 1
    return None
