"""Entries as they were sent, and what could not be understood, held with its raw text."""

from collections.abc import Iterable
from datetime import datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key

_ENTRY = (
    "SELECT id, house, walk, kind, device, seq, part, by, recorded_at, received_at, skew_ms, late, flags, raw, sha256 "
    "FROM entry"
)
_HELD = (
    "SELECT id, house, device, raw, sha256, why, received_at, entry, walk, kind, seq, coalesce(resolved_as, '') "
    "FROM held"
)


class EntryRow(NamedTuple):
    """One stored entry. `raw` holds the bytes as sent, `flags` (JSON text) what was found out about it on arrival."""

    id: str
    house: str
    walk: str | None
    kind: str
    device: str
    seq: int
    part: str | None
    by: str
    recorded_at: datetime
    received_at: datetime
    skew_ms: int
    late: bool
    flags: str
    raw: bytes
    sha256: bytes


class HeldRow(NamedTuple):
    """One held text. `entry`, `walk`, `kind` and `seq` are as far as they could be read."""

    id: str
    house: str
    device: str
    raw: bytes
    sha256: bytes
    why: str
    received_at: datetime
    entry: str | None
    walk: str | None
    kind: str
    seq: int | None
    resolved_as: str = ""


class DeviceTally(NamedTuple):
    """What has come from one device for one walk; `ids` without its closing."""

    device: str
    name: str
    ids: tuple[str, ...]
    last_seq: int


def insert_entry(db: Database, row: EntryRow) -> bool:
    """Store an entry; False when its id is there already. Nothing is ever overwritten."""
    cursor = db.execute(
        "INSERT INTO entry(id, house, walk, kind, device, seq, part, by, recorded_at, received_at, skew_ms, late, "
        "flags, raw, sha256) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?) ON CONFLICT(id) DO NOTHING",
        (
            to_key(row.id),
            to_key(row.house),
            _key(row.walk),
            row.kind,
            to_key(row.device),
            row.seq,
            _key(row.part),
            to_key(row.by),
            _stamp(row.recorded_at),
            _stamp(row.received_at),
            row.skew_ms,
            int(row.late),
            row.flags,
            row.raw,
            row.sha256,
        ),
    )
    return bool(cursor.rowcount)


def find_entry_digest(db: Database, entry: str) -> bytes | None:
    """The SHA-256 of the entry with this id, in whichever house."""
    row = db.execute("SELECT sha256 FROM entry WHERE id = ?", (to_key(entry),)).fetchone()
    return bytes(row[0]) if row else None


def find_entry(db: Database, house: str, entry: str) -> EntryRow | None:
    """One stored entry of the house."""
    row = db.execute(f"{_ENTRY} WHERE house = ? AND id = ?", (to_key(house), to_key(entry))).fetchone()
    return _to_entry(row) if row else None


def list_entries(db: Database, kind: str = "") -> Iterable[EntryRow]:
    """All entries of a kind (or all) in order of arrival, one by one."""
    rows = db.execute(f"{_ENTRY} WHERE ? IN ('', kind) ORDER BY arrival", (kind,))
    return (_to_entry(row) for row in rows.fetchall())


def insert_held(db: Database, row: HeldRow) -> bool:
    """Hold a text; False when this device has sent the same bytes before."""
    cursor = db.execute(
        "INSERT INTO held(id, house, device, raw, sha256, why, received_at, entry, walk, kind, seq) "
        "VALUES (?,?,?,?,?,?,?,?,?,?,?) ON CONFLICT(device, sha256) DO NOTHING",
        (
            to_key(row.id),
            to_key(row.house),
            to_key(row.device),
            row.raw,
            row.sha256,
            row.why,
            _stamp(row.received_at),
            _key(row.entry),
            _key(row.walk),
            row.kind,
            row.seq,
        ),
    )
    return bool(cursor.rowcount)


def list_held(db: Database, house: str, resolved: bool = False) -> list[HeldRow]:
    """What is held for a house and waits for a person (or was resolved), oldest first."""
    rows = db.execute(
        f"{_HELD} WHERE house = ? AND (resolved_at IS NOT NULL) = ? ORDER BY received_at, id",
        (to_key(house), int(resolved)),
    )
    return [_to_held(row) for row in rows.fetchall()]


def get_held(db: Database, house: str, held: str) -> HeldRow | None:
    """One held text of the house."""
    row = db.execute(f"{_HELD} WHERE house = ? AND id = ?", (to_key(house), to_key(held))).fetchone()
    return _to_held(row) if row else None


def set_held_resolved(db: Database, held: str, *, by: str, at: datetime, resolved_as: str) -> None:
    """Note who dealt with a held text, when and how; the text stays."""
    db.execute(
        "UPDATE held SET resolved_at = ?, resolved_by = ?, resolved_as = ? WHERE id = ? AND resolved_at IS NULL",
        (_stamp(at), to_key(by), resolved_as, to_key(held)),
    )


def list_sequence_numbers(db: Database, device: str) -> list[int]:
    """Every sequence number that has come from a device, in entries or held texts, ascending."""
    rows = db.execute(
        "SELECT seq FROM entry WHERE device = ? UNION SELECT seq FROM held WHERE device = ? AND seq IS NOT NULL "
        "ORDER BY 1",
        (to_key(device), to_key(device)),
    )
    return [seq for (seq,) in rows.fetchall()]


def list_tallies(db: Database, house: str, walk: str) -> list[DeviceTally]:
    """What has come from each device for a walk, its closings left out of the count."""
    rows = db.execute(
        "SELECT e.device, d.name, e.id, e.seq FROM entry e JOIN device d ON d.id = e.device "
        "WHERE e.house = ? AND e.walk = ? AND e.kind <> 'closing' ORDER BY e.device, e.id",
        (to_key(house), to_key(walk)),
    )
    found: dict[bytes, DeviceTally] = {}
    for device, name, entry, seq in rows.fetchall():
        so_far = found.get(device) or DeviceTally(from_key(device), name, (), 0)
        found[device] = so_far._replace(ids=(*so_far.ids, from_key(entry)), last_seq=max(so_far.last_seq, seq))
    return list(found.values())


def list_stop_steps(db: Database, house: str, of: str) -> list[EntryRow]:
    """The stored stop entries that add a step to the stop that entry `of` raised, in order of arrival."""
    rows = db.execute(
        f"{_ENTRY} WHERE house = ? AND kind = 'stop' AND json_extract(CAST(raw AS TEXT), '$.of') = ? ORDER BY arrival",
        (to_key(house), of),
    )
    return [_to_entry(row) for row in rows.fetchall()]


def _to_entry(row: tuple) -> EntryRow:  # type: ignore[type-arg]
    return EntryRow(
        from_key(row[0]),
        from_key(row[1]),
        _text(row[2]),
        row[3],
        from_key(row[4]),
        row[5],
        _text(row[6]),
        from_key(row[7]),
        datetime.fromisoformat(row[8]),
        datetime.fromisoformat(row[9]),
        row[10],
        bool(row[11]),
        *row[12:],
    )


def _to_held(row: tuple) -> HeldRow:  # type: ignore[type-arg]
    return HeldRow(
        id=from_key(row[0]),
        house=from_key(row[1]),
        device=from_key(row[2]),
        raw=row[3],
        sha256=row[4],
        why=row[5],
        received_at=datetime.fromisoformat(row[6]),
        entry=_text(row[7]),
        walk=_text(row[8]),
        kind=row[9],
        seq=row[10],
        resolved_as=row[11],
    )


def _key(text: str | None) -> bytes | None:
    return to_key(text) if text else None


def _text(key: bytes | None) -> str | None:
    return from_key(key) if key else None


def _stamp(at: datetime) -> str:
    return at.isoformat(timespec="milliseconds")
