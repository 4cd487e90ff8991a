"""Re-looks: parts to be looked at again by a date, and the sealed looks that did so."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from sqlite_utils import Database

from inspect_app.domain.checklist import Way
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.part_result import part_results
from inspect_app.domain.point_clock import WalkFacts
from inspect_app.domain.relook import Relook, answers_relook

_COLUMNS = (
    "SELECT r.id, r.house, r.part, r.look_on, r.reason, r.way, r.at, r.deficiency, r.tag_out, coalesce(p.name, ''), "
    "q.tag, r.done_entry, r.done_walk, r.done_at, r.ended_at, r.end_reason FROM relook r JOIN part q ON q.id = r.part "
    "LEFT JOIN person p ON p.id = r.by WHERE r.house = ?"
)


def list_relooks(db: Database, house: str, *, part: str | None = None, open_only: bool = True) -> list[Relook]:
    """The re-looks of a house, or of one part, by date."""
    rows = db.execute(
        f"{_COLUMNS} AND (? IS NULL OR r.part = ?) ORDER BY r.look_on, r.id",
        (to_key(house), part, to_key(part) if part else None),
    )
    found = [_to_relook(row) for row in rows.fetchall()]
    return [one for one in found if one.open or not open_only]


def get_relook(db: Database, house: str, relook: str) -> Relook | None:
    """One re-look of the house."""
    row = db.execute(f"{_COLUMNS} AND r.id = ?", (to_key(house), to_key(relook))).fetchone()
    return _to_relook(row) if row else None


def add_relook(db: Database, relook: Relook, by: str) -> None:
    """Ask for a re-look; inside the caller's transaction."""
    db.execute(
        "INSERT INTO relook(id, house, part, look_on, reason, way, deficiency, tag_out, by, at) "
        "VALUES (?,?,?,?,?,?,?,?,?,?)",
        (
            to_key(relook.id), to_key(relook.house), to_key(relook.part), relook.look_on.isoformat(), relook.reason,
            relook.way.value, _key(relook.deficiency), _key(relook.tag_out), to_key(by), _stamp(relook.asked_at),
        ),
    )  # fmt: skip


def set_relook_day(db: Database, relook: str, look_on: date, reason: str) -> None:
    """Move a re-look to another day."""
    db.execute("UPDATE relook SET look_on = ?, reason = ? WHERE id = ?", (look_on.isoformat(), reason, to_key(relook)))


def end_relook(db: Database, relook: str, reason: str, at: datetime) -> None:
    """Ask no more for a re-look that nobody has done."""
    db.execute("UPDATE relook SET ended_at = ?, end_reason = ? WHERE id = ?", (_stamp(at), reason, to_key(relook)))


def update_relooks(db: Database, house: str, walk: str, facts: WalkFacts) -> None:
    """Note which re-looks the counted looks of a sealed walk answered; an amendment may take an answer back."""
    db.execute(
        "UPDATE relook SET done_entry = NULL, done_walk = NULL, done_at = NULL WHERE house = ? AND done_walk = ?",
        (to_key(house), to_key(walk)),
    )
    waiting: dict[str, list[Relook]] = defaultdict(list)
    for one in list_relooks(db, house):
        waiting[one.part].append(one)
    parts = [part for part in facts.parts if part.id in waiting]
    for row in part_results(parts, facts.checklists, facts.looks, facts.decisions):
        looks = sorted((look for look in row.looks if look.adds_to is None), key=lambda look: (look.at, look.entry))
        for relook in waiting[row.part.id]:
            done = next((look for look in looks if answers_relook(relook, look)), None)
            if done is not None:
                db.execute(
                    "UPDATE relook SET done_entry = ?, done_walk = ?, done_at = ? WHERE id = ?",
                    (to_key(done.entry), to_key(walk), _stamp(done.at), to_key(relook.id)),
                )


def _stamp(at: datetime) -> str:
    return at.isoformat(timespec="milliseconds")


def _key(text: str | None) -> bytes | None:
    return to_key(text) if text else None


def _text(key: bytes | None) -> str | None:
    return from_key(key) if key else None


def _moment(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None


def _to_relook(row: Sequence[Any]) -> Relook:
    return Relook(
        id=from_key(row[0]),
        house=from_key(row[1]),
        part=from_key(row[2]),
        look_on=date.fromisoformat(row[3]),
        reason=row[4],
        way=Way(row[5]),
        asked_at=datetime.fromisoformat(row[6]),
        deficiency=_text(row[7]),
        tag_out=_text(row[8]),
        asked_by_name=row[9],
        part_tag=row[10],
        done_entry=_text(row[11]),
        done_walk=_text(row[12]),
        done_at=_moment(row[13]),
        ended_at=_moment(row[14]),
        end_reason=row[15],
    )
