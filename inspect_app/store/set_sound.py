"""Sounds of sets: their rows. The bytes lie beside the photos, under their SHA-256."""

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from sqlite_utils import Database

from inspect_app.domain.by_ear import SetSound
from inspect_app.domain.ids import from_key, to_key

_COLUMNS = (
    "SELECT s.id, s.house, s.line_set, s.place, s.recorded_on, s.note, s.mime, s.bytes, s.sha256, s.tenths, "
    "s.received_at, coalesce(p.name, ''), l.number FROM set_sound s JOIN line_set l ON l.id = s.line_set "
    "LEFT JOIN person p ON p.id = s.by WHERE s.house = ?"
)


def add_set_sound(db: Database, sound: SetSound, by: str) -> None:
    """Keep the row of a sound whose bytes are in their file."""
    db.execute(
        "INSERT INTO set_sound(id, house, line_set, place, recorded_on, note, mime, bytes, sha256, tenths, by, "
        "received_at) VALUES (?,?,?,?,?,?,?,?,?,?,?,?)",
        (
            to_key(sound.id), to_key(sound.house), to_key(sound.line_set), sound.place, sound.recorded_on.isoformat(),
            sound.note, sound.mime, sound.bytes, bytes.fromhex(sound.sha256), sound.tenths, to_key(by),
            sound.received_at.isoformat(timespec="milliseconds"),
        ),
    )  # fmt: skip


def list_set_sounds(db: Database, house: str, line_set: str | None = None) -> list[SetSound]:
    """The sounds of a house, or of one set, newest first."""
    rows = db.execute(
        f"{_COLUMNS} AND (? IS NULL OR s.line_set = ?) ORDER BY s.recorded_on DESC, s.id DESC",
        (to_key(house), line_set, to_key(line_set) if line_set else None),
    )
    return [_to_sound(row) for row in rows.fetchall()]


def get_set_sound(db: Database, house: str, sound: str) -> SetSound | None:
    """One sound of the house."""
    row = db.execute(f"{_COLUMNS} AND s.id = ?", (to_key(house), to_key(sound))).fetchone()
    return _to_sound(row) if row else None


def _to_sound(row: Sequence[Any]) -> SetSound:
    return SetSound(
        from_key(row[0]), from_key(row[1]), from_key(row[2]), row[3], date.fromisoformat(row[4]), row[5], row[6],
        row[7], row[8].hex(), row[9], datetime.fromisoformat(row[10]), row[11], row[12],
    )  # fmt: skip
