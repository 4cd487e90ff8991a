"""Blackouts: days on which a house cannot be walked, typed in or taken from a calendar file."""

from datetime import date, datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.dark_day import Blackout
from inspect_app.domain.ids import from_key, to_key


class BlackoutRow(NamedTuple):
    """A blackout with its id, and the file it came from ('' when it was typed in)."""

    id: str
    blackout: Blackout
    source: str


def list_blackouts(db: Database, house: str, *, since: date | None = None) -> list[BlackoutRow]:
    """The blackouts in use that end on or after a day, by their first day."""
    rows = db.execute(
        "SELECT id, first, last, why, source FROM blackout WHERE house = ? AND ended_at IS NULL AND last >= ? "
        "ORDER BY first, last, id",
        (to_key(house), since.isoformat() if since else ""),
    )
    return [
        BlackoutRow(from_key(key), Blackout(date.fromisoformat(first), date.fromisoformat(last), why), source)
        for key, first, last, why, source in rows.fetchall()
    ]


def add_blackout(db: Database, house: str, row: BlackoutRow, by: str, at: datetime) -> None:
    """Add a blackout."""
    db.execute(
        "INSERT INTO blackout(id, house, first, last, why, source, by, at) VALUES (?,?,?,?,?,?,?,?)",
        (
            to_key(row.id),
            to_key(house),
            row.blackout.first.isoformat(),
            row.blackout.last.isoformat(),
            row.blackout.why,
            row.source,
            to_key(by),
            at.isoformat(timespec="milliseconds"),
        ),
    )


def end_blackout(db: Database, house: str, blackout: str, at: datetime) -> bool:
    """Take a blackout out of use; False when it is not there."""
    cursor = db.execute(
        "UPDATE blackout SET ended_at = ? WHERE house = ? AND id = ? AND ended_at IS NULL",
        (at.isoformat(timespec="milliseconds"), to_key(house), to_key(blackout)),
    )
    return bool(cursor.rowcount)


def end_blackouts_of(db: Database, house: str, source: str, at: datetime) -> int:
    """Take all blackouts that came from a file out of use; returns how many."""
    cursor = db.execute(
        "UPDATE blackout SET ended_at = ? WHERE house = ? AND source = ? AND ended_at IS NULL",
        (at.isoformat(timespec="milliseconds"), to_key(house), source),
    )
    return int(cursor.rowcount)
