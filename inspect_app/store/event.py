"""Events, and who said that a place may be approached."""

from datetime import datetime
from typing import Any

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.event import Approach, Danger, Event, EventAsk, EventKind, EventWithdrawal
from inspect_app.domain.ids import from_key, to_key

_COLUMNS = (
    "e.id, e.house, e.kind, e.line_set, e.area, e.what, e.danger, coalesce(p.name, ''), e.at, e.walk, s.number, "
    "a.name, e.by "
    "FROM event e LEFT JOIN person p ON p.id = e.by LEFT JOIN line_set s ON s.id = e.line_set "
    "LEFT JOIN area a ON a.id = e.area"
)


def add_event(
    db: Database,
    *,
    house: str,
    kind: EventKind,
    line_set: str | None,
    area: str | None,
    what: str,
    danger: Danger,
    by: str,
    at: datetime,
    from_entry: str | None = None,
) -> str:
    """Keep an event and return its id; inside the caller's transaction. An entry makes one event only."""
    if from_entry:
        known = db.execute("SELECT id FROM event WHERE from_entry = ?", (to_key(from_entry),)).fetchone()
        if known:
            return from_key(known[0])
    new = clock.new_id()
    db.execute(
        "INSERT INTO event(id, house, kind, line_set, area, what, danger, by, at, from_entry) "
        "VALUES (?,?,?,?,?,?,?,?,?,?)",
        (
            *(to_key(new), to_key(house), kind.value, _key(line_set), _key(area), what, danger.value, to_key(by)),
            *(_stamp(at), _key(from_entry)),
        ),
    )
    return new


def find_same_event(
    db: Database,
    house: str,
    *,
    kind: EventKind,
    line_set: str | None,
    area: str | None,
    what: str,
    danger: Danger,
    by: str,
    since: datetime,
) -> str | None:
    """The event that the same person recorded since then by hand, at the same place in the same words."""
    row = db.execute(
        "SELECT id FROM event WHERE house = ? AND kind = ? AND line_set IS ? AND area IS ? AND what = ? AND danger = ? "
        "AND by = ? AND at > ? AND from_entry IS NULL "
        "AND NOT EXISTS (SELECT 1 FROM event_withdrawal w WHERE w.event = event.id)",
        (to_key(house), kind.value, _key(line_set), _key(area), what, danger.value, to_key(by), _stamp(since)),
    ).fetchone()
    return from_key(row[0]) if row else None


def add_approach(
    db: Database, event: str, *, name: str, credential: str, who: str, how: str, by: str, at: datetime
) -> str:
    """Keep what a named qualified person said; returns the row's id."""
    new = clock.new_id()
    db.execute(
        "INSERT INTO event_approach(id, event, name, credential, who, how, by, at) VALUES (?,?,?,?,?,?,?,?)",
        (to_key(new), to_key(event), name, credential, who, how, to_key(by), _stamp(at)),
    )
    return new


def set_event_walk(db: Database, event: str, walk: str) -> None:
    """Name the walk that was opened after an event."""
    db.execute("UPDATE event SET walk = ? WHERE id = ?", (to_key(walk), to_key(event)))


def add_event_ask(db: Database, event: str, *, by: str, at: datetime, reason: str) -> None:
    """Note that who recorded an event says it was a mistake. It stands until somebody else confirms it."""
    db.execute(
        "INSERT INTO event_withdrawal_ask(event, by, at, reason) VALUES (?,?,?,?)",
        (to_key(event), to_key(by), _stamp(at), reason),
    )


def add_event_withdrawal(db: Database, event: str, *, by: str, second: str, at: datetime, reason: str) -> None:
    """Withdraw an event, both people named; its row and its holds' rows stay."""
    db.execute(
        "INSERT INTO event_withdrawal(event, by, second, at, reason) VALUES (?,?,?,?,?)",
        (to_key(event), to_key(by), to_key(second), _stamp(at), reason),
    )


def list_events(db: Database, house: str) -> list[Event]:
    """All events of a house, newest first."""
    rows = db.execute(f"SELECT {_COLUMNS} WHERE e.house = ? ORDER BY e.at DESC, e.id DESC", (to_key(house),))
    return [_to_event(db, row) for row in rows.fetchall()]


def get_event(db: Database, house: str, event: str) -> Event | None:
    """One event of the house."""
    row = db.execute(f"SELECT {_COLUMNS} WHERE e.house = ? AND e.id = ?", (to_key(house), to_key(event))).fetchone()
    return _to_event(db, row) if row else None


def list_held_by(db: Database, house: str, event: str) -> list[str]:
    """The ids of the tag-outs that an event put on hold, whether they still stand or not."""
    rows = db.execute(
        "SELECT id FROM tag_out WHERE house = ? AND event = ? ORDER BY id", (to_key(house), to_key(event))
    )
    return [from_key(key) for (key,) in rows.fetchall()]


def _key(text: str | None) -> bytes | None:
    return to_key(text) if text else None


def _stamp(at: datetime) -> str:
    return at.isoformat(timespec="milliseconds")


def _to_event(db: Database, row: tuple[Any, ...]) -> Event:
    key, house, kind, line_set, area, what, danger, by, at, walk, number, area_name, by_key = row
    said = db.execute(
        "SELECT x.name, x.credential, x.who, x.how, coalesce(p.name, ''), x.at FROM event_approach x "
        "LEFT JOIN person p ON p.id = x.by WHERE x.event = ? ORDER BY x.at, x.id",
        (key,),
    )
    return Event(
        id=from_key(key),
        house=from_key(house),
        kind=EventKind(kind),
        line_set=from_key(line_set) if line_set else None,
        area=from_key(area) if area else None,
        what=what,
        danger=Danger(danger),
        by_name=by,
        at=datetime.fromisoformat(at),
        walk=from_key(walk) if walk else None,
        scope=f"Set {number}" if number else area_name or "The house",
        approaches=tuple(
            Approach(name, credential, who, how, teller, datetime.fromisoformat(when))
            for name, credential, who, how, teller, when in said.fetchall()
        ),
        by=from_key(by_key),
        ask=_ask(db, key),
        withdrawn=_withdrawal(db, key),
    )


def _ask(db: Database, event: bytes) -> EventAsk | None:
    row = db.execute(
        "SELECT x.by, coalesce(p.name, ''), x.at, x.reason FROM event_withdrawal_ask x "
        "LEFT JOIN person p ON p.id = x.by WHERE x.event = ?",
        (event,),
    ).fetchone()
    return EventAsk(from_key(row[0]), row[1], datetime.fromisoformat(row[2]), row[3]) if row else None


def _withdrawal(db: Database, event: bytes) -> EventWithdrawal | None:
    row = db.execute(
        "SELECT coalesce(p.name, ''), coalesce(s.name, ''), x.at, x.reason FROM event_withdrawal x "
        "LEFT JOIN person p ON p.id = x.by LEFT JOIN person s ON s.id = x.second WHERE x.event = ?",
        (event,),
    ).fetchone()
    return EventWithdrawal(row[0], row[1], datetime.fromisoformat(row[2]), row[3]) if row else None
