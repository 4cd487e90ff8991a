"""Rows that a check of the whole record reads: entries with their bytes, seals and what they cover, files."""

from collections.abc import Iterator
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.ids import from_key


class StoredEntry(NamedTuple):
    """An entry's raw bytes beside the SHA-256 (hex) that was stored for them."""

    id: str
    raw: bytes
    sha256: str


class StoredSeal(NamedTuple):
    """A seal with its data and the entries it covers, as (id, SHA-256 in hex)."""

    walk: str
    n: int
    house: str
    number: str
    root_sha256: str
    journal_head: str
    data: bytes
    entries: tuple[tuple[str, str], ...]


def list_stored_entries(db: Database) -> Iterator[StoredEntry]:
    """Every entry in order of arrival."""
    for key, raw, sha256 in db.execute("SELECT id, raw, sha256 FROM entry ORDER BY arrival"):
        yield StoredEntry(from_key(key), bytes(raw), sha256.hex())


def list_stored_seals(db: Database) -> list[StoredSeal]:
    """Every seal, oldest first."""
    rows = db.execute(
        "SELECT walk, n, house, number, root_sha256, journal_head, data FROM seal ORDER BY at, walk, n"
    ).fetchall()
    return [
        StoredSeal(
            walk=from_key(walk),
            n=n,
            house=from_key(house),
            number=number,
            root_sha256=root.hex(),
            journal_head=head.hex(),
            data=bytes(data),
            entries=tuple(
                (from_key(entry), sha256.hex())
                for entry, sha256 in db.execute(
                    "SELECT entry, sha256 FROM sealed_entry WHERE walk = ? AND n = ?", (walk, n)
                ).fetchall()
            ),
        )
        for walk, n, house, number, root, head, data in rows
    ]


def find_seals_by_data(db: Database, data: bytes) -> list[StoredSeal]:
    """Seals whose data are exactly these bytes."""
    return [seal for seal in list_stored_seals(db) if seal.data == data]


def list_photo_digests(db: Database) -> list[tuple[str, str]]:
    """(photo id, SHA-256 in hex) of every photo whose bytes have arrived."""
    return _digests(db, "photo")


def list_original_digests(db: Database) -> list[tuple[str, str]]:
    """(photo id, SHA-256 in hex) of every original that has arrived."""
    return _digests(db, "original")


def list_recording_digests(db: Database) -> list[tuple[str, str]]:
    """(id, SHA-256 in hex) of every voice note whose bytes have arrived."""
    return _digests(db, "recording")


def list_attachment_digests(db: Database) -> list[tuple[str, str]]:
    """(id, SHA-256 in hex) of every file that belongs to a deficiency."""
    return _digests(db, "attachment")


def list_old_page_digests(db: Database) -> list[tuple[str, str]]:
    """(id, SHA-256 in hex) of every page of an old log."""
    return _digests(db, "old_page")


def list_set_sound_digests(db: Database) -> list[tuple[str, str]]:
    """(id, SHA-256 in hex) of every sound of a set."""
    return _digests(db, "set_sound")


def _digests(db: Database, table: str) -> list[tuple[str, str]]:
    rows = db.execute(f"SELECT id, sha256 FROM {table} ORDER BY received_at, id").fetchall()
    return [(from_key(key), sha256.hex()) for key, sha256 in rows]
