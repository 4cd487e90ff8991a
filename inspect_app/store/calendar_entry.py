"""What the calendar of a house said last, so that each entry keeps its identity while it is the same thing."""

from datetime import date, datetime
from typing import Any, NamedTuple

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key

MOST_GONE = 400  # cancelled entries that stay in the feed, the newest, so that a calendar read seldom hears of them


class EntryRow(NamedTuple):
    """One entry as it was said last. `sequence` counts its changes, `stamp` is the moment of the last."""

    id: str
    key: str
    anchor: str
    day: date
    summary: str
    words: str
    sequence: int
    stamp: datetime
    made_at: datetime
    gone: bool


_COLUMNS = "SELECT id, key, anchor, day, summary, words, sequence, stamp, made_at, gone FROM calendar_entry"


def list_calendar_entries(db: Database, house: str, *, gone_too: bool = False) -> list[EntryRow]:
    """The entries that stand, in the order they were made; with the newest cancelled ones if asked."""
    rows = db.execute(f"{_COLUMNS} WHERE house = ? AND NOT gone ORDER BY id", (to_key(house),)).fetchall()
    if gone_too:
        rows += db.execute(
            f"{_COLUMNS} WHERE house = ? AND gone ORDER BY stamp DESC, id DESC LIMIT ?", (to_key(house), MOST_GONE)
        ).fetchall()
    return sorted((_to_row(row) for row in rows), key=lambda row: row.id)


def set_calendar_entry(db: Database, house: str, row: EntryRow) -> None:
    """Write an entry, new or changed."""
    db.execute(
        "INSERT INTO calendar_entry(id, house, key, anchor, day, summary, words, sequence, stamp, made_at, gone) "
        "VALUES (?,?,?,?,?,?,?,?,?,?,?) ON CONFLICT(id) DO UPDATE SET anchor = excluded.anchor, day = excluded.day, "
        "summary = excluded.summary, words = excluded.words, sequence = excluded.sequence, stamp = excluded.stamp, "
        "gone = excluded.gone",
        (
            to_key(row.id),
            to_key(house),
            row.key,
            row.anchor,
            row.day.isoformat(),
            row.summary,
            row.words,
            row.sequence,
            _stamp(row.stamp),
            _stamp(row.made_at),
            int(row.gone),
        ),
    )


def _stamp(at: datetime) -> str:
    return at.isoformat(timespec="seconds")


def _to_row(row: tuple[Any, ...]) -> EntryRow:
    key, name, anchor, day, summary, words, sequence, stamp, made, gone = row
    return EntryRow(
        *(from_key(key), name, anchor, date.fromisoformat(day), summary, words, sequence),
        *(datetime.fromisoformat(stamp), datetime.fromisoformat(made), bool(gone)),
    )
