"""Re-looks: parts, sets and areas to be looked at again by a date, and the sealed looks that did so."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from sqlite_utils import Database

from inspect_app.domain.checklist import Way
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.part_result import part_results
from inspect_app.domain.point_clock import WalkFacts
from inspect_app.domain.relook import Answered, Relook, answers_relook

_COLUMNS = (
    "SELECT r.id, r.house, r.part, r.look_on, r.reason, r.way, r.at, r.deficiency, r.tag_out, coalesce(p.name, ''), "
    "q.tag, r.done_entry, r.done_walk, r.done_at, r.ended_at, r.end_reason FROM relook r JOIN part q ON q.id = r.part "
    "LEFT JOIN person p ON p.id = r.by WHERE r.house = ?"
)


def list_relooks(db: Database, house: str, *, part: str | None = None, open_only: bool = True) -> list[Relook]:
    """The re-looks of a house, or those that ask for one part, by date."""
    key = to_key(part) if part else None
    rows = db.execute(
        f"{_COLUMNS} AND (? IS NULL OR r.part = ? OR EXISTS "
        "(SELECT 1 FROM relook_part x WHERE x.relook = r.id AND x.part = ?)) ORDER BY r.look_on, r.id",
        (to_key(house), key, key, key),
    )
    found = [_with_scope(db, _to_relook(row)) for row in rows.fetchall()]
    return [one for one in found if one.open or not open_only]


def get_relook(db: Database, house: str, relook: str) -> Relook | None:
    """One re-look of the house."""
    row = db.execute(f"{_COLUMNS} AND r.id = ?", (to_key(house), to_key(relook))).fetchone()
    return _with_scope(db, _to_relook(row)) if row else None


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
    if relook.whole:
        db.execute(
            "INSERT INTO relook_scope(relook, line_set, area) VALUES (?,?,?)",
            (to_key(relook.id), _key(relook.line_set), _key(relook.area)),
        )
        db.conn.executemany(
            "INSERT INTO relook_part(relook, part) VALUES (?,?)",
            [(to_key(relook.id), to_key(part)) for part in relook.parts],
        )


def list_scope_parts(db: Database, house: str, *, line_set: str | None, area: str | None) -> dict[str, str]:
    """By id, the tags of the parts in use of a set, or of an area."""
    rows = db.execute(
        "SELECT id, tag FROM part WHERE house = ? AND retired_on IS NULL "
        "AND (line_set = ? OR (? IS NULL AND area = ?)) ORDER BY tag",
        (to_key(house), _key(line_set), _key(line_set), _key(area)),
    )
    return {from_key(key): tag for key, tag in rows.fetchall()}


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
    db.execute(
        "DELETE FROM relook_answer WHERE walk = ? AND relook IN (SELECT id FROM relook WHERE house = ?)",
        (to_key(walk), to_key(house)),
    )
    waiting: dict[str, list[Relook]] = defaultdict(list)
    whole = [one for one in list_relooks(db, house, open_only=False) if one.whole and one.ended_at is None]
    for one in (*(each for each in list_relooks(db, house) if not each.whole), *whole):
        for part in one.parts if one.whole else (one.part,):
            waiting[part].append(one)
    parts = [part for part in facts.parts if part.id in waiting]
    for row in part_results(parts, facts.checklists, facts.looks, facts.decisions):
        looks = sorted((look for look in row.looks if look.adds_to is None), key=lambda look: (look.at, look.entry))
        for relook in waiting[row.part.id]:
            done = next((look for look in looks if answers_relook(relook, look)), None)
            if done is not None and relook.whole:
                db.execute(
                    "INSERT INTO relook_answer(relook, part, walk, entry, at) VALUES (?,?,?,?,?)",
                    (to_key(relook.id), to_key(row.part.id), to_key(walk), to_key(done.entry), _stamp(done.at)),
                )
            elif done is not None:
                _set_done(db, relook.id, Answered(done.entry, walk, done.at))
    for one in whole:
        _set_done(db, one.id, _with_scope(db, one).last_answer)


def _set_done(db: Database, relook: str, done: Answered | None) -> None:
    values = (to_key(done.entry), to_key(done.walk), _stamp(done.at)) if done else (None, None, None)
    db.execute("UPDATE relook SET done_entry = ?, done_walk = ?, done_at = ? WHERE id = ?", (*values, to_key(relook)))


def _with_scope(db: Database, relook: Relook) -> Relook:
    """The re-look with its set or area, the parts of it still in use and the first adequate look at each."""
    key = to_key(relook.id)
    scope = db.execute(
        "SELECT x.line_set, x.area, s.number, a.name FROM relook_scope x LEFT JOIN line_set s ON s.id = x.line_set "
        "LEFT JOIN area a ON a.id = x.area WHERE x.relook = ?",
        (key,),
    ).fetchone()
    if scope is None:
        return relook
    parts = db.execute(
        "SELECT p.id, p.tag FROM relook_part x JOIN part p ON p.id = x.part WHERE x.relook = ? "
        "AND p.retired_on IS NULL ORDER BY p.tag",
        (key,),
    )
    looks = db.execute(
        "SELECT part, entry, walk, at FROM relook_answer WHERE relook = ? ORDER BY at DESC, entry DESC", (key,)
    )
    return replace(
        relook,
        line_set=_text(scope[0]),
        area=_text(scope[1]),
        scope=f"Set {scope[2]}" if scope[2] else scope[3] or "",
        parts={from_key(part): tag for part, tag in parts.fetchall()},
        answers={
            from_key(part): Answered(from_key(entry), from_key(walk), datetime.fromisoformat(at))
            for part, entry, walk, at in looks.fetchall()
        },
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
