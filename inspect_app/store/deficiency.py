"""Deficiencies as they stand, their events, and who and what is set for them."""

import json
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import Deficiency, DeficiencyEvent, DeficiencyState
from inspect_app.domain.ids import from_key, to_key
from inspect_app.store.risen_grade import with_risen_grades


def add_event(
    db: Database, key: bytes, old: str, new: str, by: bytes, role: str, at: datetime, note: str, proof: str = "{}"
) -> None:
    """Write one event of a deficiency, and the state it leaves it in; the guards refuse a state without an event."""
    db.execute(
        "INSERT INTO deficiency_event(id, deficiency, from_state, to_state, by, role, at, note, proof) "
        "VALUES (?,?,?,?,?,?,?,?,?)",
        (to_key(clock.new_id()), key, old, new, by, role, at.isoformat(timespec="milliseconds"), note, proof),
    )
    if new != old:
        db.execute("UPDATE deficiency SET state = ?, own_check = 0 WHERE id = ?", (new, key))


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


_SETTABLE = {
    "responsible": True,  # whether the value is an id
    "contractor": False,
    "due_on": False,
    "order_number": False,
    "put_off_until": False,
    "repairer": True,
    "put_right_by": False,
    "done_on": False,
    "own_check": False,
    "severity": False,
    "probability": False,
    "same_as": True,
}


def set_deficiency_facts(db: Database, deficiency: str, facts: Mapping[str, str | int | None]) -> None:
    """Set what is known beside the state: who sees to it, until when, who put it right. Raises KeyError on others."""
    for name, value in facts.items():
        kept = (to_key(str(value)) if value else None) if _SETTABLE[name] else value
        db.execute(f"UPDATE deficiency SET {name} = ? WHERE id = ?", (kept, to_key(deficiency)))


def set_deficiency_grade(db: Database, deficiency: str, grade: Grade, decided_at: datetime | None = None) -> None:
    """Give a deficiency the grade that a person decided; with `decided_at` it holds until something later raises it."""
    db.execute("UPDATE deficiency SET grade = ? WHERE id = ?", (grade.value, to_key(deficiency)))
    if decided_at is not None:
        stamp = decided_at.isoformat(timespec="milliseconds")
        db.execute(
            "UPDATE deficiency SET decided_grade = ?, graded_at = ? WHERE id = ?",
            (grade.value, stamp, to_key(deficiency)),
        )


def add_deficiency(
    db: Database, *, house: str, part: str, what: str, grade: Grade, found_at: datetime, made_by: str
) -> str:
    """Open a deficiency by hand, without a finding; returns its id. The grade given holds as a person's decision."""
    new, stamp = clock.new_id(), found_at.isoformat(timespec="milliseconds")
    db.execute(
        "INSERT INTO deficiency(id, house, number, part, what, grade, state, found_at, made_by, decided_grade, "
        "graded_at) VALUES (?, ?, (SELECT coalesce(max(number), 0) + 1 FROM deficiency WHERE house = ?), ?, ?, ?, "
        "'found', ?, ?, ?, ?)",
        (
            *(to_key(new), to_key(house), to_key(house), to_key(part), what, grade.value, stamp),
            *(to_key(made_by), grade.value, stamp),
        ),
    )
    return new


def add_findings(db: Database, deficiency: str, findings: tuple[str, ...]) -> None:
    """Let findings point at a deficiency as well."""
    for finding in findings:
        db.execute(
            "INSERT INTO deficiency_finding(deficiency, finding) VALUES (?,?) ON CONFLICT DO NOTHING",
            (to_key(deficiency), to_key(finding)),
        )


_COLUMNS = (
    "d.id, d.house, d.number, d.part, d.what, d.grade, d.state, d.found_at, coalesce(d.due_on, ''), q.tag, q.kind, "
    "coalesce(s.number, ''), s.id, q.area, coalesce(a.name, ''), coalesce(d.severity, ''), "
    "coalesce(d.probability, ''), d.responsible, coalesce(p.name, ''), d.contractor, d.order_number, "
    "d.put_off_until, d.repairer, d.put_right_by, d.done_on, d.own_check, g.number, d.again_of, d.recurring, "
    "d.made_by, iif(d.made_by IS NULL, (SELECT min(e.received_at) FROM deficiency_finding x "
    "JOIN finding f ON f.id = x.finding JOIN entry e ON e.id = f.entry WHERE x.deficiency = d.id), d.found_at) "
    "FROM deficiency d JOIN part q ON q.id = d.part LEFT JOIN line_set s ON s.id = q.line_set "
    "LEFT JOIN area a ON a.id = q.area LEFT JOIN person p ON p.id = d.responsible "
    "LEFT JOIN deficiency g ON g.id = d.again_of"
)


# findings alone: what was entered by hand also stands for one, under its own id (deficiency_link.py)
_FOUND = "NOT EXISTS (SELECT 1 FROM deficiency h WHERE h.id = f.finding)"


def list_deficiencies(db: Database, house: str, open_only: bool = False) -> list[Deficiency]:
    """The deficiencies of a house by number, each with the findings that point at it."""
    rows = db.execute(f"SELECT {_COLUMNS} WHERE d.house = ? ORDER BY d.number", (to_key(house),)).fetchall()
    links: dict[bytes, list[str]] = {}
    for deficiency, finding in db.execute(
        "SELECT f.deficiency, f.finding FROM deficiency_finding f JOIN deficiency d ON d.id = f.deficiency "
        f"WHERE d.house = ? AND {_FOUND} ORDER BY f.rowid",
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
    links = db.execute(
        f"SELECT f.finding FROM deficiency_finding f WHERE f.deficiency = ? AND {_FOUND} ORDER BY f.rowid",
        (row[0],),
    )
    return with_risen_grades(db, house, [_to_deficiency(row, [from_key(key) for (key,) in links.fetchall()])])[0]


def find_deficiency_by_number(db: Database, house: str, number: int) -> Deficiency | None:
    """The deficiency of the house with this number."""
    row = db.execute("SELECT id FROM deficiency WHERE house = ? AND number = ?", (to_key(house), number)).fetchone()
    return get_deficiency(db, house, from_key(row[0])) if row else None


def _id(key: bytes | None) -> str:
    return from_key(key) if key else ""


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
        line_set_id=_id(row[12]),
        area=_id(row[13]),
        area_name=row[14],
        severity=str(row[15]),
        probability=row[16],
        responsible=_id(row[17]),
        responsible_name=row[18],
        contractor=row[19],
        order_number=row[20],
        put_off_until=row[21],
        repairer=_id(row[22]),
        put_right_by=row[23],
        done_on=row[24],
        own_check=bool(row[25]),
        again_of=row[26],
        again_of_id=_id(row[27]),
        recurring=bool(row[28]),
        made_by=_id(row[29]),
        known_at=datetime.fromisoformat(row[30]) if row[30] else None,
    )


def list_deficiency_events(db: Database, deficiency: str) -> list[DeficiencyEvent]:
    """The moves and remarks in the life of a deficiency, oldest first."""
    rows = db.execute(
        "SELECT e.from_state, e.to_state, e.by, coalesce(p.name, ''), e.role, e.at, e.note, e.proof, e.id "
        "FROM deficiency_event e LEFT JOIN person p ON p.id = e.by WHERE e.deficiency = ? ORDER BY e.at, e.rowid",
        (to_key(deficiency),),
    )
    return [
        DeficiencyEvent(
            *(old, new, from_key(by), name, role, datetime.fromisoformat(at), note, json.loads(proof), from_key(key))
        )
        for old, new, by, name, role, at, note, proof, key in rows.fetchall()
    ]


def find_checked_as(db: Database, deficiency: str) -> str:
    """The role under which a deficiency was checked last; '' when it never was."""
    row = db.execute(
        "SELECT role FROM deficiency_event WHERE deficiency = ? AND to_state = 'checked' AND from_state <> to_state "
        "ORDER BY rowid DESC LIMIT 1",
        (to_key(deficiency),),
    ).fetchone()
    return str(row[0]) if row else ""


def list_house_events(db: Database, house: str) -> dict[str, list[DeficiencyEvent]]:
    """The moves of every deficiency of the house, oldest first, by deficiency; remarks are left out."""
    rows = db.execute(
        "SELECT e.deficiency, e.from_state, e.to_state, e.by, '', e.role, e.at, e.note, e.proof "
        "FROM deficiency_event e JOIN deficiency d ON d.id = e.deficiency "
        "WHERE d.house = ? AND e.from_state <> e.to_state ORDER BY e.rowid",
        (to_key(house),),
    )
    found: dict[str, list[DeficiencyEvent]] = {}
    for key, old, new, by, name, role, at, note, proof in rows.fetchall():
        event = DeficiencyEvent(old, new, from_key(by), name, role, datetime.fromisoformat(at), note, json.loads(proof))
        found.setdefault(from_key(key), []).append(event)
    return found


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


def list_states_unlike_events(db: Database) -> list[tuple[int, str]]:
    """(number, house) of every deficiency whose state is not where its events lead, one after the other."""
    events: dict[bytes, list[tuple[str, str]]] = {}
    for key, old, new in db.execute(
        "SELECT deficiency, from_state, to_state FROM deficiency_event ORDER BY rowid"
    ).fetchall():
        events.setdefault(key, []).append((old, new))
    wrong = []
    for key, house, number, state in db.execute("SELECT id, house, number, state FROM deficiency").fetchall():
        now = "found"
        for old, new in events.get(key, []):
            now = new if old == now else ""
        if now != state:
            wrong.append((number, from_key(house)))
    return wrong
