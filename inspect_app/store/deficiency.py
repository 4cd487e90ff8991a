"""Deficiencies, their events and the findings that point at them."""

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any, NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import (
    Deficiency,
    DeficiencyEvent,
    DeficiencyState,
)
from inspect_app.domain.ids import from_key, to_key
from inspect_app.store.risen_grade import with_risen_grades


def add_event(
    db: Database, key: bytes, old: str, new: str, by: bytes, role: str, at: datetime, note: str, proof: str = "{}"
) -> None:
    """Write one event of a deficiency, and the state it leaves it in."""
    db.execute(
        "INSERT INTO deficiency_event(id, deficiency, from_state, to_state, by, role, at, note, proof) "
        "VALUES (?,?,?,?,?,?,?,?,?)",
        (to_key(clock.new_id()), key, old, new, by, role, at.isoformat(timespec="milliseconds"), note, proof),
    )
    db.execute("UPDATE deficiency SET state = ? WHERE id = ?", (new, key))


def add_deficiency_event(
    db: Database,
    *,
    deficiency: Deficiency,
    to_state: DeficiencyState,
    by: str,
    role: str,
    at: datetime,
    note: str,
    proof: Mapping[str, str],
) -> None:
    """Move a deficiency on and keep who did it with what proof; a remark keeps the state it has."""
    text = json.dumps(dict(proof), ensure_ascii=False, sort_keys=True)
    key = to_key(deficiency.id)
    add_event(db, key, deficiency.state.value, to_state.value, to_key(by), role, at, note, text)


def set_deficiency_grade(db: Database, deficiency: str, grade: Grade) -> None:
    """Give a deficiency the grade that a person decided."""
    db.execute("UPDATE deficiency SET grade = ? WHERE id = ?", (grade.value, to_key(deficiency)))


_COLUMNS = (
    "d.id, d.house, d.number, d.part, d.what, d.grade, d.state, d.found_at, coalesce(d.due_on, ''), q.tag, q.kind, "
    "coalesce(s.number, '') FROM deficiency d JOIN part q ON q.id = d.part LEFT JOIN line_set s ON s.id = q.line_set"
)


def list_deficiencies(db: Database, house: str, open_only: bool = False) -> list[Deficiency]:
    """The deficiencies of a house by number, each with the findings that point at it."""
    rows = db.execute(f"SELECT {_COLUMNS} WHERE d.house = ? ORDER BY d.number", (to_key(house),)).fetchall()
    links: dict[bytes, list[str]] = {}
    for deficiency, finding in db.execute(
        "SELECT f.deficiency, f.finding FROM deficiency_finding f JOIN deficiency d ON d.id = f.deficiency "
        "WHERE d.house = ? ORDER BY f.rowid",
        (to_key(house),),
    ).fetchall():
        links.setdefault(deficiency, []).append(from_key(finding))
    found = with_risen_grades(db, house, [_to_deficiency(row, links.get(row[0], [])) for row in rows])
    return [row for row in found if row.open] if open_only else found


def get_deficiency(db: Database, house: str, deficiency: str) -> Deficiency | None:
    """One deficiency of the house."""
    row = db.execute(
        f"SELECT {_COLUMNS} WHERE d.house = ? AND d.id = ?", (to_key(house), to_key(deficiency))
    ).fetchone()
    if row is None:
        return None
    links = db.execute("SELECT finding FROM deficiency_finding WHERE deficiency = ? ORDER BY rowid", (row[0],))
    return with_risen_grades(db, house, [_to_deficiency(row, [from_key(key) for (key,) in links.fetchall()])])[0]


def _to_deficiency(row: tuple[Any, ...], findings: list[str]) -> Deficiency:
    return Deficiency(
        id=from_key(row[0]),
        house=from_key(row[1]),
        number=row[2],
        part=from_key(row[3]),
        what=row[4],
        grade=Grade(row[5]),
        state=DeficiencyState(row[6]),
        found_at=datetime.fromisoformat(row[7]),
        due_on=row[8],
        part_tag=row[9],
        part_kind=row[10],
        line_set=row[11],
        findings=tuple(findings),
    )


def list_deficiency_events(db: Database, deficiency: str) -> list[DeficiencyEvent]:
    """The moves and remarks in the life of a deficiency, oldest first."""
    rows = db.execute(
        "SELECT e.from_state, e.to_state, e.by, coalesce(p.name, ''), e.role, e.at, e.note, e.proof "
        "FROM deficiency_event e LEFT JOIN person p ON p.id = e.by WHERE e.deficiency = ? ORDER BY e.at, e.id",
        (to_key(deficiency),),
    )
    return [
        DeficiencyEvent(old, new, from_key(by), name, role, datetime.fromisoformat(at), note, json.loads(proof))
        for old, new, by, name, role, at, note, proof in rows.fetchall()
    ]


class FindingOfDeficiency(NamedTuple):
    """A finding in the history of a deficiency; `withdrawn` when its look was replaced or taken back."""

    finding: str
    answer: str
    grade: str
    point: str
    point_text: str
    note: str
    wear: int | None
    by_name: str
    at: datetime
    walk: str
    walk_title: str
    date_local: str
    withdrawn: bool
    photos: tuple[str, ...]


def list_findings_of_deficiency(db: Database, house: str, deficiency: str) -> list[FindingOfDeficiency]:
    """Every finding that points at a deficiency, oldest first."""
    rows = db.execute(
        "SELECT f.id, f.answer, f.grade, f.point, f.point_text, f.note, f.wear, coalesce(p.name, ''), l.at, l.walk, "
        "coalesce(w.title, ''), coalesce(w.date_local, ''), "
        "EXISTS (SELECT 1 FROM look_replaced r WHERE r.entry = f.entry), f.entry FROM deficiency_finding d "
        "JOIN finding f ON f.id = d.finding JOIN look l ON l.entry = f.entry LEFT JOIN walk w ON w.id = l.walk "
        "LEFT JOIN person p ON p.id = l.by WHERE d.deficiency = ? AND f.house = ? ORDER BY l.at, f.id",
        (to_key(deficiency), to_key(house)),
    ).fetchall()
    return [
        FindingOfDeficiency(
            from_key(key), answer, grade, point, text, note, wear, by_name, datetime.fromisoformat(at),
            from_key(walk) if walk else "", title, day, bool(withdrawn), _photos_of(db, entry),
        )
        for key, answer, grade, point, text, note, wear, by_name, at, walk, title, day, withdrawn, entry in rows
    ]  # fmt: skip


def _photos_of(db: Database, entry: bytes) -> tuple[str, ...]:
    rows = db.execute("SELECT photo FROM photo_use WHERE entry = ? ORDER BY photo", (entry,))
    return tuple(from_key(key) for (key,) in rows.fetchall())


def list_numbers_of_findings(db: Database, house: str) -> dict[str, int]:
    """The number of its deficiency for every finding of the house that points at one; the one that carries on."""
    rows = db.execute(
        "SELECT f.finding, d.number FROM deficiency_finding f JOIN deficiency d ON d.id = f.deficiency "
        "WHERE d.house = ? AND d.state <> 'same'",
        (to_key(house),),
    )
    return {from_key(finding): number for finding, number in rows.fetchall()}


def find_deficiency_of_finding(db: Database, house: str, finding: str) -> str | None:
    """The id of the deficiency that a finding points at."""
    row = db.execute(
        "SELECT d.id FROM deficiency_finding f JOIN deficiency d ON d.id = f.deficiency "
        "WHERE f.finding = ? AND d.house = ? AND d.state <> 'same'",
        (to_key(finding), to_key(house)),
    ).fetchone()
    return from_key(row[0]) if row else None
