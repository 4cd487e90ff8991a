"""Secret addresses of calendars: who made each, for which house; only the SHA-256 of the secret is kept."""

from datetime import datetime
from typing import Any, NamedTuple

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key


class CalendarLink(NamedTuple):
    """One address in use or ended."""

    id: str
    house: str
    person: str
    person_name: str
    label: str
    made_at: datetime
    last_used: datetime | None
    ended: bool


_COLUMNS = (
    "SELECT l.id, l.house, l.person, p.name, l.label, l.made_at, l.last_used, l.ended_at FROM calendar_link l "
    "JOIN person p ON p.id = l.person"
)
# the person must belong to the house and have an account in use: whoever leaves takes no address along
_LIVE = (
    "l.ended_at IS NULL AND EXISTS (SELECT 1 FROM membership m JOIN account a ON a.person = m.person "
    "WHERE m.house = l.house AND m.person = l.person AND m.ended_at IS NULL AND a.disabled_at IS NULL)"
)


def find_calendar_link(db: Database, token_hash: bytes) -> CalendarLink | None:
    """The address with this SHA-256, as long as it is in use and its maker belongs to the house."""
    row = db.execute(f"{_COLUMNS} WHERE l.token_hash = ? AND {_LIVE}", (token_hash,)).fetchone()
    return _to_link(row) if row else None


def list_calendar_links(db: Database, house: str, *, person: str | None = None) -> list[CalendarLink]:
    """The addresses in use of a house, or of one person there, newest first."""
    rows = db.execute(
        f"{_COLUMNS} WHERE l.house = ? AND l.ended_at IS NULL AND (? IS NULL OR l.person = ?) "
        "ORDER BY l.made_at DESC, l.id DESC",
        (to_key(house), person, to_key(person) if person else None),
    )
    return [_to_link(row) for row in rows.fetchall()]


def add_calendar_link(db: Database, link: CalendarLink, token_hash: bytes) -> None:
    """Keep a new address."""
    db.execute(
        "INSERT INTO calendar_link(id, house, person, label, token_hash, made_at) VALUES (?,?,?,?,?,?)",
        (
            to_key(link.id),
            to_key(link.house),
            to_key(link.person),
            link.label,
            token_hash,
            link.made_at.isoformat(timespec="milliseconds"),
        ),
    )


def end_calendar_link(db: Database, link: str, at: datetime) -> None:
    """End an address at once."""
    db.execute(
        "UPDATE calendar_link SET ended_at = ? WHERE id = ? AND ended_at IS NULL",
        (at.isoformat(timespec="milliseconds"), to_key(link)),
    )


def set_calendar_link_used(db: Database, link: str, at: datetime) -> None:
    """Note that an address was read."""
    db.execute(
        "UPDATE calendar_link SET last_used = ? WHERE id = ?", (at.isoformat(timespec="milliseconds"), to_key(link))
    )


def _to_link(row: tuple[Any, ...]) -> CalendarLink:
    key, house, person, name, label, made, used, ended = row
    return CalendarLink(
        *(from_key(key), from_key(house), from_key(person), name, label, datetime.fromisoformat(made)),
        *(datetime.fromisoformat(used) if used else None, ended is not None),
    )
