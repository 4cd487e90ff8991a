"""Deficiencies, their events and the findings that point at them."""

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any, NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import (
    FINDS_AGAIN,
    OPEN_STATES,
    Answer,
    Deficiency,
    DeficiencyEvent,
    DeficiencyState,
    worse_grade,
)
from inspect_app.domain.errors import Conflict
from inspect_app.domain.ids import from_key, to_key


def note_finding(
    db: Database,
    *,
    house: str,
    part: str,
    finding: str,
    answer: str,
    of: str | None,
    what: str,
    grade: str,
    at: datetime,
) -> None:
    """Let a finding make a deficiency or point at the one it answers; inside the caller's transaction.

    Call it once the finding, its look and the rows of `look_replaced` are written. A new finding makes a deficiency
    with the next number of the house; one that corrects an earlier look on the same point keeps the earlier number.
    *Still there* and *worse* find again what was settled; *worse* raises the grade; *not seen now* settles nothing.
    """
    if db.execute("SELECT 1 FROM deficiency_finding WHERE finding = ?", (to_key(finding),)).fetchone():
        return
    said = Answer(answer)
    known = _deficiency_of(db, house, of) if of else None
    if known is None and said is Answer.NEW:
        known = _corrected(db, finding)
        if known is not None:
            _regrade(db, known, finding, Grade(grade))
    if known is None:
        if said is Answer.NOT_SEEN_NOW:
            return
        known = _open_new(db, house, part, what, grade, at)
    elif said in FINDS_AGAIN:
        _find_again(db, known, finding, said, Grade(grade), at)
    db.execute("INSERT INTO deficiency_finding(deficiency, finding) VALUES (?,?)", (known, to_key(finding)))


def _open_new(db: Database, house: str, part: str, what: str, grade: str, at: datetime) -> bytes:
    key = to_key(clock.new_id())
    db.execute(
        "INSERT INTO deficiency(id, house, number, part, what, grade, state, found_at) VALUES "
        "(?, ?, (SELECT coalesce(max(number), 0) + 1 FROM deficiency WHERE house = ?), ?, ?, ?, 'found', ?)",
        (key, to_key(house), to_key(house), to_key(part), what, grade, at.isoformat(timespec="milliseconds")),
    )
    return key


def _deficiency_of(db: Database, house: str, finding: str) -> bytes | None:
    """The deficiency that a finding points at, followed to the root of a chain of answers; one that has not arrived
    points where another answer to it does."""
    key: bytes | None = to_key(finding)
    seen: set[bytes] = set()
    while key is not None and key not in seen:
        seen.add(key)
        row = db.execute(
            "SELECT d.id FROM deficiency_finding f JOIN deficiency d ON d.id = f.deficiency WHERE d.house = ?2 "
            "AND (f.finding = ?1 OR f.finding IN (SELECT id FROM finding WHERE of = ?1)) "
            "ORDER BY f.finding = ?1 DESC, d.number LIMIT 1",
            (key, to_key(house)),
        ).fetchone()
        if row:
            return bytes(row[0])
        row = db.execute("SELECT of FROM finding WHERE id = ? AND house = ?", (key, to_key(house))).fetchone()
        key = row[0] if row else None
    return None


def _corrected(db: Database, finding: str) -> bytes | None:
    """The deficiency of the finding that this one corrects: same part and point, in a look that its look replaces."""
    row = db.execute(
        "SELECT d.deficiency FROM finding f JOIN look_replaced r ON r.by_entry = f.entry "
        "JOIN finding old ON old.entry = r.entry AND old.part = f.part AND old.point = f.point "
        "JOIN deficiency_finding d ON d.finding = old.id WHERE f.id = ? ORDER BY old.n LIMIT 1",
        (to_key(finding),),
    ).fetchone()
    return bytes(row[0]) if row else None


def _regrade(db: Database, key: bytes, finding: str, grade: Grade) -> None:
    """The grade of a correction holds for what it corrects; beside findings of other looks it can only raise."""
    others = db.execute(
        "SELECT d.grade FROM deficiency d JOIN deficiency_finding x ON x.deficiency = d.id "
        "JOIN finding g ON g.id = x.finding WHERE d.id = ? AND g.entry NOT IN (SELECT r.entry FROM look_replaced r "
        "JOIN finding f ON f.entry = r.by_entry WHERE f.id = ?) LIMIT 1",
        (key, to_key(finding)),
    ).fetchone()
    set_deficiency_grade(db, from_key(key), worse_grade(Grade(others[0]), grade) if others else grade)


def adopt_finding(db: Database, *, house: str, finding: str, what: str, grade: str, at: datetime) -> bool:
    """Let a finding join the deficiency that answers to it made when they arrived before it; False without such.

    The deficiency then reads as if the finding had come first: found then, in its words, with its grade unless an
    answer of *worse* has raised it.
    """
    row = db.execute(
        "SELECT x.deficiency FROM finding f JOIN deficiency_finding x ON x.finding = f.id "
        "JOIN deficiency d ON d.id = x.deficiency WHERE f.of = ? AND d.house = ? ORDER BY d.number LIMIT 1",
        (to_key(finding), to_key(house)),
    ).fetchone()
    if row is None:
        return False
    worse = db.execute(
        "SELECT f.grade FROM deficiency_finding x JOIN finding f ON f.id = x.finding "
        "WHERE x.deficiency = ? AND f.answer = ?",
        (row[0], Answer.WORSE.value),
    )
    raised = Grade(grade)
    for (other,) in worse.fetchall():
        raised = worse_grade(raised, Grade(other))
    db.execute(
        "UPDATE deficiency SET what = ?, grade = ?, found_at = ? WHERE id = ?",
        (what, raised.value, at.isoformat(timespec="milliseconds"), row[0]),
    )
    db.execute(
        "INSERT INTO deficiency_finding(deficiency, finding) VALUES (?,?) ON CONFLICT DO NOTHING",
        (row[0], to_key(finding)),
    )
    return True


def date_back(db: Database, *, finding: str, at: datetime) -> None:
    """Let a deficiency that a correction made count from the finding that it corrects, which arrived after it."""
    db.execute(
        "UPDATE deficiency SET found_at = ? WHERE id IN (SELECT x.deficiency FROM finding f "
        "JOIN look_replaced r ON r.entry = f.entry JOIN finding newer ON newer.entry = r.by_entry "
        "AND newer.point = f.point JOIN deficiency_finding x ON x.finding = newer.id WHERE f.id = ?)",
        (at.isoformat(timespec="milliseconds"), to_key(finding)),
    )


def _find_again(db: Database, key: bytes, finding: str, said: Answer, grade: Grade, at: datetime) -> None:
    state, known = db.execute("SELECT state, grade FROM deficiency WHERE id = ?", (key,)).fetchone()
    if said is Answer.WORSE:
        raised = worse_grade(Grade(known), grade)
        db.execute("UPDATE deficiency SET grade = ? WHERE id = ?", (raised.value, key))
        db.execute(  # a condition that got worse is not the one the house accepted
            "UPDATE accepted_condition SET ended_at = ? WHERE ended_at IS NULL "
            "AND part = (SELECT part FROM deficiency WHERE id = ?)",
            (at.isoformat(timespec="milliseconds"), key),
        )
    if DeficiencyState(state) not in OPEN_STATES:
        _add_event(
            db, key, state, DeficiencyState.FOUND.value, _recorder(db, finding), "", at, "Found again on a walk."
        )


def _recorder(db: Database, finding: str) -> bytes:
    row = db.execute(
        "SELECT e.by FROM finding f JOIN entry e ON e.id = f.entry WHERE f.id = ?", (to_key(finding),)
    ).fetchone()
    if row is None:
        raise Conflict("The finding must be written before it can point at a deficiency.")
    return bytes(row[0])


def _add_event(
    db: Database, key: bytes, old: str, new: str, by: bytes, role: str, at: datetime, note: str, proof: str = "{}"
) -> None:
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
    _add_event(db, key, deficiency.state.value, to_state.value, to_key(by), role, at, note, text)


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
    found = [_to_deficiency(row, links.get(row[0], [])) for row in rows]
    return [row for row in found if row.open] if open_only else found


def get_deficiency(db: Database, house: str, deficiency: str) -> Deficiency | None:
    """One deficiency of the house."""
    row = db.execute(
        f"SELECT {_COLUMNS} WHERE d.house = ? AND d.id = ?", (to_key(house), to_key(deficiency))
    ).fetchone()
    if row is None:
        return None
    links = db.execute("SELECT finding FROM deficiency_finding WHERE deficiency = ? ORDER BY rowid", (row[0],))
    return _to_deficiency(row, [from_key(key) for (key,) in links.fetchall()])


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
    """The number of its deficiency for every finding of the house that points at one."""
    rows = db.execute(
        "SELECT f.finding, d.number FROM deficiency_finding f JOIN deficiency d ON d.id = f.deficiency "
        "WHERE d.house = ?",
        (to_key(house),),
    )
    return {from_key(finding): number for finding, number in rows.fetchall()}


def find_deficiency_of_finding(db: Database, house: str, finding: str) -> str | None:
    """The id of the deficiency that a finding points at."""
    key = _deficiency_of(db, house, finding)
    return from_key(key) if key else None
