"""One-time codes: for the first account, an invitation, a forgotten password, or pairing a phone."""

from datetime import datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key


class OneTimeCode(NamedTuple):
    """A code that can still be used. `purpose` is setup, invite, reset or pair; '' where not said."""

    hash: bytes
    purpose: str
    house: str
    person: str


def add_code(
    db: Database, code_hash: bytes, purpose: str, expires_at: datetime, house: str = "", person: str = ""
) -> None:
    """Keep a code's SHA-256; earlier unused codes for the same purpose and person end."""
    who = to_key(person) if person else None
    db.execute("DELETE FROM one_time_code WHERE purpose = ? AND person IS ? AND used_at IS NULL", (purpose, who))
    db.execute(
        "INSERT INTO one_time_code(hash, purpose, house, person, expires_at) VALUES (?,?,?,?,?)",
        (code_hash, purpose, to_key(house) if house else None, who, expires_at.isoformat(timespec="milliseconds")),
    )


def find_code(db: Database, code_hash: bytes, at: datetime) -> OneTimeCode | None:
    """A code that is neither used nor too old."""
    row = db.execute(
        "SELECT hash, purpose, house, person, expires_at FROM one_time_code WHERE hash = ? AND used_at IS NULL",
        (code_hash,),
    ).fetchone()
    if row is None or at >= datetime.fromisoformat(row[4]):
        return None
    return OneTimeCode(row[0], row[1], from_key(row[2]) if row[2] else "", from_key(row[3]) if row[3] else "")


def set_used(db: Database, code_hash: bytes, at: datetime) -> None:
    """Mark a code as used."""
    stamp = at.isoformat(timespec="milliseconds")
    db.execute("UPDATE one_time_code SET used_at = ? WHERE hash = ?", (stamp, code_hash))


def end_codes(db: Database, person: str) -> None:
    """Withdraw the unused codes of a person."""
    db.execute("DELETE FROM one_time_code WHERE person = ? AND used_at IS NULL", (to_key(person),))
