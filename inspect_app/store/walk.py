"""Walks: the list of a house, one walk, and what its openings, closings and devices say."""

import json
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any, NamedTuple

from sqlite_utils import Database

from inspect_app.domain.entry_check import SKEW_LIMIT
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.sequence import sequence_gaps
from inspect_app.domain.walk import Scope, WalkState, scope_from_json
from inspect_app.domain.walk_record import (
    Closing,
    DeviceUse,
    Opening,
    Walk,
    closing_from_json,
    opening_from_json,
)
from inspect_app.store.entry import list_sequence_numbers

_COLUMNS = (
    "w.id, w.house, w.title, w.date_local, w.state, w.scope, w.opened_by, coalesce(p.name, ''), w.opened_at, "
    "w.sealed_at FROM walk w LEFT JOIN person p ON p.id = w.opened_by"
)


class WalkRow(NamedTuple):
    """A walk in the list of a house: how many entries arrived, how many late, and its report's number once signed."""

    walk: Walk
    entries: int
    late: int
    number: str
    revision: int


def list_walks(db: Database, house: str) -> list[WalkRow]:
    """All walks of a house, newest first."""
    rows = db.execute(
        f"SELECT (SELECT count(*) FROM entry e WHERE e.walk = w.id), "
        "(SELECT count(*) FROM entry e WHERE e.walk = w.id AND NOT EXISTS "
        "(SELECT 1 FROM sealed_entry s WHERE s.walk = w.id AND s.entry = e.id) AND w.state = 'sealed'), "
        "(SELECT s.number FROM seal s WHERE s.walk = w.id ORDER BY s.n DESC LIMIT 1), "
        f"(SELECT max(s.n) FROM seal s WHERE s.walk = w.id), {_COLUMNS} "
        "WHERE w.house = ? ORDER BY w.date_local DESC, w.opened_at DESC, w.id",
        (to_key(house),),
    )
    return [WalkRow(_to_walk(row[4:]), row[0], row[1], row[2] or "", row[3] or 0) for row in rows.fetchall()]


def get_walk(db: Database, house: str, walk: str) -> Walk | None:
    """One walk of the house."""
    row = db.execute(f"SELECT {_COLUMNS} WHERE w.house = ? AND w.id = ?", (to_key(house), to_key(walk))).fetchone()
    return _to_walk(row) if row else None


def _to_walk(row: tuple[Any, ...]) -> Walk:
    return Walk(
        id=from_key(row[0]),
        house=from_key(row[1]),
        title=row[2],
        date_local=row[3],
        state=WalkState(row[4]),
        scope=_scope(row[5]),
        opened_by=from_key(row[6]),
        opened_by_name=row[7],
        opened_at=datetime.fromisoformat(row[8]),
        sealed_at=datetime.fromisoformat(row[9]) if row[9] else None,
    )


def _scope(text: str) -> Scope:
    return scope_from_json(json.loads(text))


def set_walk_state(db: Database, walk: str, state: WalkState, sealed_at: datetime | None = None) -> None:
    """Move a walk on; `sealed_at` is set once, at the first signature."""
    stamp = sealed_at.isoformat(timespec="milliseconds") if sealed_at else None
    db.execute(
        "UPDATE walk SET state = ?, sealed_at = coalesce(sealed_at, ?) WHERE id = ?", (state.value, stamp, to_key(walk))
    )


def get_opening(db: Database, house: str, walk: str) -> Opening:
    """What the opening says; empty when it has not arrived."""
    bodies = _bodies(db, house, walk, "opening")
    return opening_from_json(bodies[0][0]) if bodies else Opening()


def list_closings(db: Database, house: str, walk: str) -> list[Closing]:
    """The closings of a walk in order of arrival."""
    return [
        closing_from_json(body, from_key(device), name, datetime.fromisoformat(at))
        for body, device, name, at in _bodies(db, house, walk, "closing")
    ]


def _bodies(db: Database, house: str, walk: str, kind: str) -> list[tuple[dict[str, Any], bytes, str, str]]:
    rows = db.execute(
        "SELECT e.raw, e.device, d.name, e.recorded_at FROM entry e JOIN device d ON d.id = e.device "
        "WHERE e.house = ? AND e.walk = ? AND e.kind = ? ORDER BY e.arrival",
        (to_key(house), to_key(walk), kind),
    )
    return [(json.loads(raw), device, name, at) for raw, device, name, at in rows.fetchall()]


def list_devices_of_walk(db: Database, house: str, walk: str, closings: Iterable[Closing]) -> list[DeviceUse]:
    """Each device that recorded on the walk: its entries without closings, and which numbers between never arrived.

    Where a device has not closed, and the walk is the last that anything came for, what it says it has recorded since
    is taken to belong to the walk.
    """
    said = {closing.device: closing for closing in closings}
    rows = db.execute(
        "SELECT d.id, d.name, p.name, sum(e.kind <> 'closing'), min(e.seq), max(e.seq), "
        "CASE WHEN d.last_seq = max(e.seq) THEN d.told_seq ELSE 0 END, min(e.skew_ms), max(e.skew_ms), "
        "d.kind = 'desk' "
        "FROM entry e JOIN device d ON d.id = e.device JOIN person p ON p.id = d.person "
        "WHERE e.house = ? AND e.walk = ? GROUP BY d.id ORDER BY min(e.arrival)",
        (to_key(house), to_key(walk)),
    ).fetchall()
    return [_use(db, row, said.get(from_key(row[0]))) for row in rows]


def _use(
    db: Database, row: tuple[bytes, str, str, int, int, int, int, int, int, int], closing: Closing | None
) -> DeviceUse:
    key, name, person, count, first, last, told, fast, slow, at_desk = row
    last = max(last, (closing.last_seq or 0) if closing is not None else told)
    seen = (seq for seq in list_sequence_numbers(db, from_key(key)) if first <= seq <= last)
    gaps = sequence_gaps(seen, last, first)
    closing_count = closing.entry_count if closing is not None else None
    skew_ms = slow if slow >= -fast else fast
    flagged = skew_ms if abs(skew_ms) > SKEW_LIMIT / timedelta(milliseconds=1) else 0
    return DeviceUse(from_key(key), name, person, count, last, closing_count, gaps, flagged, bool(at_desk))


def list_entries_of_walk(db: Database, house: str, walk: str) -> list[tuple[str, str]]:
    """(id, SHA-256 in hex) of every entry of a walk, in order of arrival."""
    rows = db.execute(
        "SELECT id, sha256 FROM entry WHERE house = ? AND walk = ? ORDER BY arrival", (to_key(house), to_key(walk))
    )
    return [(from_key(entry), sha256.hex()) for entry, sha256 in rows.fetchall()]


def list_known_before(db: Database, house: str, walk: str) -> frozenset[str]:
    """The parts that any other walk of the house has a look at."""
    rows = db.execute(
        "SELECT DISTINCT part FROM look WHERE house = ? AND (walk IS NULL OR walk <> ?)", (to_key(house), to_key(walk))
    )
    return frozenset(from_key(part) for (part,) in rows.fetchall())


def find_line_set_of_part(db: Database, house: str, part: str) -> tuple[str | None, str | None]:
    """(line set, area) of a part of the house; (None, None) when it is not there."""
    row = db.execute(
        "SELECT line_set, area FROM part WHERE house = ? AND id = ?", (to_key(house), to_key(part))
    ).fetchone()
    if row is None:
        return None, None
    return (from_key(row[0]) if row[0] else None), from_key(row[1])


def list_uncounted(db: Database, house: str) -> dict[str, int]:
    """By walk, how many looks a helper recorded that nobody has given a word for, and nothing has replaced."""
    rows = db.execute(
        "SELECT l.walk, count(*) FROM look l WHERE l.house = ? AND l.needs_countersign AND l.walk IS NOT NULL "
        "AND l.result <> 'withdrawn' AND NOT EXISTS (SELECT 1 FROM countersign c WHERE c.entry = l.entry) "
        "AND NOT EXISTS (SELECT 1 FROM look_replaced r WHERE r.entry = l.entry) GROUP BY l.walk",
        (to_key(house),),
    )
    return {from_key(walk): count for walk, count in rows.fetchall()}
