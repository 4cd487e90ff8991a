"""Voice notes: their rows, and which entries name them. The bytes lie beside the photos, under their SHA-256."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain import walk_record
from inspect_app.domain.ids import from_key, to_key


class Recording(NamedTuple):
    """One voice note that has arrived; `bytes` is its length."""

    id: str
    house: str
    device: str
    sha256: str
    mime: str
    bytes: int
    received_at: datetime


_COLUMNS = "SELECT id, house, device, sha256, mime, bytes, received_at FROM recording"


def add_recording(db: Database, recording: Recording) -> bool:
    """Add the row of a voice note whose bytes are in their file; False when the id is there already."""
    cursor = db.execute(
        "INSERT INTO recording(id, house, device, sha256, mime, bytes, received_at) VALUES (?,?,?,?,?,?,?) "
        "ON CONFLICT(id) DO NOTHING",
        (
            to_key(recording.id),
            to_key(recording.house),
            to_key(recording.device),
            bytes.fromhex(recording.sha256),
            recording.mime,
            recording.bytes,
            recording.received_at.isoformat(timespec="milliseconds"),
        ),
    )
    return bool(cursor.rowcount)


def add_recording_uses(db: Database, entry: str, recordings: Iterable[str]) -> None:
    """Note that an entry names these voice notes, whether their bytes are here or not."""
    for recording in recordings:
        db.execute(
            "INSERT INTO recording_use(recording, entry) VALUES (?,?) ON CONFLICT(recording, entry) DO NOTHING",
            (to_key(recording), to_key(entry)),
        )


def get_recording(db: Database, house: str, recording: str) -> Recording | None:
    """One voice note of the house."""
    row = db.execute(f"{_COLUMNS} WHERE house = ? AND id = ?", (to_key(house), to_key(recording))).fetchone()
    return _to_recording(row) if row else None


def find_recording(db: Database, recording: str) -> Recording | None:
    """The voice note with this id, in whichever house."""
    row = db.execute(f"{_COLUMNS} WHERE id = ?", (to_key(recording),)).fetchone()
    return _to_recording(row) if row else None


def list_missing_recordings(db: Database, house: str, recordings: Iterable[str]) -> list[str]:
    """Those of the ids that the house has no voice note for, in the order given."""
    return [one for one in dict.fromkeys(recordings) if get_recording(db, house, one) is None]


def list_recordings_of_walk(db: Database, house: str, walk: str) -> list[walk_record.Recording]:
    """Every voice note that an entry of the walk names, also those whose bytes have not arrived."""
    rows = db.execute(
        "SELECT u.recording, u.entry, r.sha256, r.mime FROM recording_use u JOIN entry e ON e.id = u.entry "
        "LEFT JOIN recording r ON r.id = u.recording AND r.house = e.house "
        "WHERE e.house = ? AND e.walk = ? ORDER BY e.arrival, u.recording",
        (to_key(house), to_key(walk)),
    )
    uses: dict[bytes, list[str]] = defaultdict(list)
    facts: dict[bytes, tuple[bytes | None, str | None]] = {}
    for recording, entry, sha256, mime in rows.fetchall():
        uses[recording].append(from_key(entry))
        facts[recording] = (sha256, mime)
    return [
        walk_record.Recording(from_key(key), sha256.hex() if sha256 else "", mime or "", tuple(uses[key]))
        for key, (sha256, mime) in facts.items()
    ]


def list_recordings_missing_of_walk(db: Database, house: str, walk: str) -> list[str]:
    """The voice notes that entries of a walk name and whose bytes have not arrived."""
    return sorted(one.id for one in list_recordings_of_walk(db, house, walk) if not one.here)


def recordings_by_entry(db: Database, house: str, part: str) -> dict[str, tuple[str, ...]]:
    """For each entry about a part, the voice notes it names that are here."""
    rows = db.execute(
        "SELECT u.entry, u.recording FROM recording_use u JOIN look l ON l.entry = u.entry "
        "JOIN recording r ON r.id = u.recording AND r.house = l.house WHERE l.house = ? AND l.part = ? "
        "ORDER BY u.entry, u.recording",
        (to_key(house), to_key(part)),
    )
    found: dict[str, tuple[str, ...]] = {}
    for entry, recording in rows.fetchall():
        found[from_key(entry)] = (*found.get(from_key(entry), ()), from_key(recording))
    return found


def count_recordings_since(db: Database, device: str, since: datetime) -> int:
    """How many voice notes a device has sent since a time."""
    row = db.execute(
        "SELECT count(*) FROM recording WHERE device = ? AND received_at >= ?",
        (to_key(device), since.isoformat(timespec="milliseconds")),
    ).fetchone()
    return int(row[0])


def _to_recording(row: tuple) -> Recording:  # type: ignore[type-arg]
    return Recording(
        id=from_key(row[0]),
        house=from_key(row[1]),
        device=from_key(row[2]),
        sha256=row[3].hex(),
        mime=row[4],
        bytes=row[5],
        received_at=datetime.fromisoformat(row[6]),
    )
