"""Originals: the camera's own bytes of a photo whose scaled picture is what is looked at. The bytes lie beside it."""

from datetime import datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key


class Original(NamedTuple):
    """One original that has arrived, under its photo's id; that may still be on its way. `bytes` is its length."""

    photo: str
    house: str
    device: str
    sha256: str
    mime: str
    bytes: int
    received_at: datetime


def add_original(db: Database, original: Original) -> bool:
    """Add the row of an original whose bytes are in their file; False when the photo has one already."""
    cursor = db.execute(
        "INSERT INTO original(id, house, device, sha256, mime, bytes, received_at) VALUES (?,?,?,?,?,?,?) "
        "ON CONFLICT(id) DO NOTHING",
        (
            to_key(original.photo),
            to_key(original.house),
            to_key(original.device),
            bytes.fromhex(original.sha256),
            original.mime,
            original.bytes,
            original.received_at.isoformat(timespec="milliseconds"),
        ),
    )
    return bool(cursor.rowcount)


def find_original(db: Database, photo: str) -> Original | None:
    """The original of a photo, in whichever house."""
    row = db.execute(
        "SELECT id, house, device, sha256, mime, bytes, received_at FROM original WHERE id = ?", (to_key(photo),)
    ).fetchone()
    if row is None:
        return None
    key, house, device, sha256, mime, size, at = row
    return Original(
        *(from_key(key), from_key(house), from_key(device), sha256.hex(), mime, size), datetime.fromisoformat(at)
    )


def sum_originals_since(db: Database, device: str, since: datetime) -> int:
    """How many bytes of originals a device has sent since a time."""
    row = db.execute(
        "SELECT coalesce(sum(bytes), 0) FROM original WHERE device = ? AND received_at >= ?",
        (to_key(device), since.isoformat(timespec="milliseconds")),
    ).fetchone()
    return int(row[0])
