"""Paired devices: phones and browsers that may send entries with a bearer token."""

from datetime import datetime, timedelta
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.person import Person

IDLE = timedelta(days=180)


class Device(NamedTuple):
    """A paired device of one person in one house.

    `last_seq` is the highest number that has come from it, `told_seq` the highest that it says it has given out.
    """

    id: str
    house: str
    person: Person
    name: str
    kind: str
    last_seq: int
    paired_at: datetime
    last_seen: datetime | None
    revoked: bool
    told_seq: int

    @property
    def highest_seq(self) -> int:
        """The number after which the device goes on counting when it has forgotten its own count."""
        return max(self.last_seq, self.told_seq)


_COLUMNS = (
    "d.id, d.house, d.name, d.kind, d.last_seq, d.paired_at, d.last_seen, d.revoked_at, p.id, p.name, p.credential, "
    "d.told_seq FROM device d JOIN person p ON p.id = d.person"
)


def _to_device(row: tuple) -> Device:  # type: ignore[type-arg]
    return Device(
        id=from_key(row[0]),
        house=from_key(row[1]),
        person=Person(from_key(row[8]), row[9], row[10]),
        name=row[2],
        kind=row[3],
        last_seq=row[4],
        paired_at=datetime.fromisoformat(row[5]),
        last_seen=datetime.fromisoformat(row[6]) if row[6] else None,
        revoked=row[7] is not None,
        told_seq=row[11],
    )


def find_device(db: Database, token_hash: bytes, at: datetime) -> Device | None:
    """The device whose token has this SHA-256: not revoked, used within 180 days, its account not disabled."""
    row = db.execute(
        f"SELECT {_COLUMNS} JOIN account a ON a.person = p.id "
        "WHERE d.token_hash = ? AND d.revoked_at IS NULL AND a.disabled_at IS NULL",
        (token_hash,),
    ).fetchone()
    device = _to_device(row) if row else None
    if device is None or at - (device.last_seen or device.paired_at) >= IDLE:
        return None
    return device


def get_device(db: Database, house: str, device: str) -> Device | None:
    """A device that is or was paired in the house, also a desk and one whose pairing was withdrawn."""
    row = db.execute(f"SELECT {_COLUMNS} WHERE d.house = ? AND d.id = ?", (to_key(house), to_key(device))).fetchone()
    return _to_device(row) if row else None


def list_devices(db: Database, house: str = "", person: str = "") -> list[Device]:
    """Phones and browsers in use, of a house, a person or both, newest first; desks are no devices to withdraw."""
    rows = db.execute(
        f"SELECT {_COLUMNS} WHERE d.revoked_at IS NULL AND d.kind <> 'desk' "
        "AND (? = '' OR d.house = ?) AND (? = '' OR d.person = ?) ORDER BY d.paired_at DESC",
        (house, to_key(house) if house else b"", person, to_key(person) if person else b""),
    )
    return [_to_device(row) for row in rows.fetchall()]


def list_all_devices(db: Database, house: str) -> list[Device]:
    """Every phone and browser that is or was paired in the house: those in use first, then by last contact."""
    rows = db.execute(
        f"SELECT {_COLUMNS} WHERE d.house = ? AND d.kind <> 'desk' "
        "ORDER BY d.revoked_at IS NOT NULL, coalesce(d.last_seen, d.paired_at) DESC, d.id",
        (to_key(house),),
    )
    return [_to_device(row) for row in rows.fetchall()]


def add_device(
    db: Database, device: str, *, house: str, person: str, name: str, kind: str, token_hash: bytes, at: datetime
) -> None:
    """Pair a device; only the SHA-256 of its token is kept."""
    stamp = at.isoformat(timespec="milliseconds")
    db.execute(
        "INSERT INTO device(id, house, person, name, kind, token_hash, paired_at) VALUES (?,?,?,?,?,?,?)",
        (to_key(device), to_key(house), to_key(person), name, kind, token_hash, stamp),
    )


def set_device_paired(db: Database, device: str, *, name: str, token_hash: bytes, at: datetime) -> None:
    """Pair a known device anew: it keeps its id and its count, the token it had before ends."""
    db.execute(
        "UPDATE device SET name = ?, token_hash = ?, last_seen = ?, revoked_at = NULL WHERE id = ?",
        (name, token_hash, at.isoformat(timespec="milliseconds"), to_key(device)),
    )


def set_device_seen(db: Database, device: str, at: datetime) -> None:
    """Note that the device was heard from."""
    db.execute("UPDATE device SET last_seen = ? WHERE id = ?", (at.isoformat(timespec="milliseconds"), to_key(device)))


def end_device(db: Database, device: str, at: datetime) -> bool:
    """Revoke a device's token; False when it was revoked already or is not there."""
    cursor = db.execute(
        "UPDATE device SET revoked_at = ? WHERE id = ? AND revoked_at IS NULL",
        (at.isoformat(timespec="milliseconds"), to_key(device)),
    )
    return bool(cursor.rowcount)


def set_last_seq(db: Database, device: str, seq: int) -> None:
    """Note the highest sequence number that has come from the device; it never goes down."""
    db.execute("UPDATE device SET last_seq = max(last_seq, ?) WHERE id = ?", (seq, to_key(device)))


def find_desk_device(db: Database, house: str, person: str) -> Device | None:
    """The device that stands for a person's desk in a house: what is typed there is recorded like a phone's entries."""
    row = db.execute(
        f"SELECT {_COLUMNS} WHERE d.house = ? AND d.person = ? AND d.kind = 'desk' ORDER BY d.paired_at LIMIT 1",
        (to_key(house), to_key(person)),
    ).fetchone()
    return _to_device(row) if row else None


def set_told_seq(db: Database, device: str, seq: int) -> None:
    """Note the highest sequence number that the device says it has given out; it never goes down."""
    db.execute("UPDATE device SET told_seq = max(told_seq, ?) WHERE id = ?", (seq, to_key(device)))
