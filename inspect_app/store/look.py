"""Projections of the looks: look, finding, measure, look_replaced and the present state of each part.

They are written in the transaction that stores the entry and can be made again from the entries alone, with the same
result whatever the order in which the entries came.
"""

import json
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.checklist import GRADE_RANK, Grade, Way
from inspect_app.domain.deficiency import OPEN_STATES
from inspect_app.domain.entry import LookEntry, finding_id
from inspect_app.domain.entry_reader import parse_entry
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.walk import COUNTING
from inspect_app.store.entry import list_entries
from inspect_app.store.risen_grade import grades_risen, worst_risen


class LookFacts(NamedTuple):
    """What was found out about a look on arrival and is kept in the entry's flags."""

    counted: tuple[str, ...]
    proposed: tuple[str, ...]
    needs_countersign: bool


class PartState(NamedTuple):
    """The last standing, counted look at a part, and its open deficiencies. `result` is '' where nobody has looked."""

    result: str
    ways: tuple[str, ...]
    at: str
    worst_grade: str
    open_findings: int


class OpenFinding(NamedTuple):
    """An open deficiency of a part: the finding that made it, what it says, and since when."""

    part: str
    finding: str
    point: str
    what: str
    grade: str
    at: str


def insert_look(db: Database, look: LookEntry, facts: LookFacts) -> None:
    """Write the projections of one look and bring the state of its part up to date."""
    _insert_look_row(db, look, facts)
    _insert_findings(db, look, facts)
    _insert_measures(db, look)
    _insert_replaced(db, look)
    update_part_state(db, look.envelope.house, look.part, "" if look.replaces else look.envelope.id)


@lru_cache(maxsize=4096)
def _list(words: tuple[str, ...]) -> str:
    """Words as a JSON list; a walk repeats the same few hundreds of times."""
    return json.dumps(list(words), ensure_ascii=False)


@lru_cache(maxsize=256)
def _ways(ways: frozenset[Way]) -> str:
    return json.dumps(sorted(ways))


def _insert_look_row(db: Database, look: LookEntry, facts: LookFacts) -> None:
    envelope = look.envelope
    db.execute(
        "INSERT INTO look(entry, house, walk, part, life, pass, checklist, revision, points, result, ways, reason, "
        "note, tap, by, with_people, called_by, at, adds_to, needs_countersign) "
        "VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
        (
            to_key(envelope.id),
            to_key(envelope.house),
            _key(envelope.walk),
            to_key(look.part),
            _key(look.life),
            look.in_pass,
            look.checklist,
            bytes.fromhex(look.revision),
            _list(facts.counted),
            look.result.value,
            _ways(look.ways),
            look.reason,
            look.note,
            _key(look.tap),
            to_key(envelope.by),
            json.dumps(list(envelope.with_people)),
            _key(envelope.called_by),
            envelope.recorded_at.isoformat(timespec="milliseconds"),
            _key(look.adds_to),
            int(facts.needs_countersign),
        ),
    )


def _insert_findings(db: Database, look: LookEntry, facts: LookFacts) -> None:
    envelope = look.envelope
    for n, (finding, proposed) in enumerate(zip(look.findings, facts.proposed, strict=True)):
        db.execute(
            "INSERT INTO finding(id, entry, n, house, part, point, point_text, defect, answer, of, grade, "
            "proposed_grade, grade_reason, wear, note) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
            (
                to_key(finding_id(envelope.id, n)),
                to_key(envelope.id),
                n,
                to_key(envelope.house),
                to_key(look.part),
                finding.point,
                finding.point_text,
                finding.defect,
                finding.answer.value,
                _key(finding.of),
                finding.grade.value,
                proposed or (finding.proposed_grade or ""),
                finding.grade_reason,
                finding.wear,
                finding.note,
            ),
        )


def _insert_measures(db: Database, look: LookEntry) -> None:
    envelope = look.envelope
    for n, measure in enumerate(look.measures):
        db.execute(
            "INSERT INTO measure(entry, n, house, part, life, point, quantity, value, unit, typed, readings, station, "
            "gauge, resolution, load_state, hint) VALUES (?,?,?,?,?,?,?,?,?,?,?,?,?,?,?,?)",
            (
                to_key(envelope.id),
                n,
                to_key(envelope.house),
                to_key(look.part),
                _key(look.life),
                measure.point,
                measure.quantity,
                measure.value,
                measure.unit,
                measure.typed or measure.value,
                json.dumps(list(measure.readings)),
                measure.station,
                measure.gauge,
                measure.resolution,
                measure.load_state,
                measure.hint.value,
            ),
        )


def _insert_replaced(db: Database, look: LookEntry) -> None:
    """Note what the look replaces; only a look at the same part in the same walk can be replaced.

    What it names may not have arrived: the row is written all the same, and taken out again when the look that then
    arrives turns out to be at another part.
    """
    entry, part, walk = to_key(look.envelope.id), to_key(look.part), _key(look.envelope.walk)
    for old in look.replaces:
        db.execute(
            "INSERT INTO look_replaced(entry, by_entry) SELECT ?, ? WHERE NOT EXISTS (SELECT 1 FROM look l "
            "WHERE l.entry = ? AND (l.part <> ? OR l.walk IS NOT ?)) ON CONFLICT(entry, by_entry) DO NOTHING",
            (to_key(old), entry, to_key(old), part, walk),
        )
    db.execute(
        "DELETE FROM look_replaced WHERE entry = ? AND EXISTS (SELECT 1 FROM look l "
        "WHERE l.entry = look_replaced.by_entry AND (l.part <> ? OR l.walk IS NOT ?))",
        (entry, part, walk),
    )


_COUNTS = (
    "({look}.needs_countersign = 0 OR EXISTS (SELECT 1 FROM countersign c WHERE c.entry = {look}.entry "
    f"AND c.how IN ({', '.join(repr(how.value) for how in sorted(COUNTING))})))"
)
# A clock that was wrong when the entry was sent must not decide which look is the last one; the time itself is kept as
# it was told. Within the five minutes that are flagged (domain/entry_check.py) it is taken at its word.
_BY_TRUE_TIME = "julianday(l.at) + CASE WHEN abs(e.skew_ms) > 300000 THEN e.skew_ms / 86400000.0 ELSE 0 END"
_AMONG = "AND l.entry IN (?, (SELECT s.entry FROM part_state s WHERE s.part = l.part)) "
_LAST = (
    "SELECT l.entry, l.result, l.ways, l.at FROM look l JOIN entry e ON e.id = l.entry "
    "WHERE l.part = ? {among}"
    f"AND l.result <> 'withdrawn' AND l.adds_to IS NULL AND {_COUNTS.format(look='l')} AND NOT EXISTS "
    "(SELECT 1 FROM look_replaced r JOIN look b ON b.entry = r.by_entry WHERE r.entry = l.entry "
    f"AND {_COUNTS.format(look='b')}) ORDER BY {_BY_TRUE_TIME} DESC, l.entry DESC LIMIT 1"
)
_OPEN = ", ".join(repr(state.value) for state in sorted(OPEN_STATES))


def update_part_state(db: Database, house: str, part: str, arrived: str = "") -> None:
    """Bring the row of one part up to date: also after a countersign, and after a deficiency of the part has moved.

    `arrived` names a look that has just come and replaces no other: the last look is then that one or the one that was
    the last before it, and the years of others need not be read.
    """
    key = to_key(part)
    if arrived:
        last = db.execute(_LAST.replace("{among}", _AMONG), (key, to_key(arrived))).fetchone()
    else:
        last = db.execute(_LAST.replace("{among}", ""), (key,)).fetchone()
    grades = [
        Grade(grade)
        for (grade,) in db.execute(
            f"SELECT grade FROM deficiency WHERE part = ? AND state IN ({_OPEN})", (key,)
        ).fetchall()
    ]
    if last is None and not grades:
        db.execute("DELETE FROM part_state WHERE part = ?", (key,))
        return
    entry, result, ways, at = last or (None, "", "[]", "")
    worst = max(grades, key=GRADE_RANK.__getitem__).value if grades else ""
    db.execute(
        "INSERT INTO part_state(part, house, entry, result, ways, at, worst_grade, open_findings) "
        "VALUES (?,?,?,?,?,?,?,?) ON CONFLICT(part) DO UPDATE SET entry = excluded.entry, "
        "result = excluded.result, ways = excluded.ways, at = excluded.at, "
        "worst_grade = excluded.worst_grade, open_findings = excluded.open_findings",
        (key, to_key(house), entry, result, ways, at, worst, len(grades)),
    )


def list_part_states(db: Database, house: str) -> dict[str, PartState]:
    """The present state of every part of a house that was ever looked at, by part."""
    rows = db.execute(
        "SELECT part, result, ways, at, worst_grade, open_findings FROM part_state WHERE house = ?", (to_key(house),)
    )
    risen = worst_risen(db, house)
    return {
        (key := from_key(part)): PartState(result, tuple(json.loads(ways)), at, _worse(worst, risen.get(key)), count)
        for part, result, ways, at, worst, count in rows.fetchall()
    }


def _worse(kept: str, risen: Grade | None) -> str:
    """The graver of the grade kept with a part and one that has risen since."""
    if risen is None or (kept and GRADE_RANK[Grade(kept)] >= GRADE_RANK[risen]):
        return kept
    return risen.value


def list_open_findings(db: Database, house: str) -> list[OpenFinding]:
    """The open deficiencies of a house by number, each with the earliest finding that points at it.

    One that was entered by hand, and that nobody has answered yet, is answered by its own id; it belongs to no point.
    """
    rows = db.execute(
        "SELECT d.id, d.part, coalesce(f.id, d.id), coalesce(f.point, ''), d.what, d.grade, d.found_at "
        "FROM deficiency d LEFT JOIN finding f ON f.id = "
        "(SELECT g.id FROM deficiency_finding x JOIN finding g ON g.id = x.finding JOIN look l ON l.entry = g.entry "
        "WHERE x.deficiency = d.id ORDER BY l.at, g.id LIMIT 1) "
        f"WHERE d.house = ? AND d.state IN ({_OPEN}) AND (f.id IS NOT NULL OR d.made_by IS NOT NULL) ORDER BY d.number",
        (to_key(house),),
    )
    risen = grades_risen(db, house)
    return [
        OpenFinding(from_key(part), from_key(finding), point, what, risen.get(from_key(key), grade), at)
        for key, part, finding, point, what, grade, at in rows.fetchall()
    ]


def facts_of(flags: str, look: LookEntry) -> LookFacts:
    """The facts of a look from the flags kept with its entry."""
    kept = json.loads(flags)
    dropped = {point for point, _ in kept.get("not_counted", ())}
    counted = tuple(point for point in look.points if point not in dropped)
    proposed = kept.get("proposed") or [""] * len(look.findings)
    return LookFacts(counted, tuple(proposed), bool(kept.get("countersign")))


def rebuild_projections(db: Database) -> int:
    """Make look, finding, measure, look_replaced and part_state again from the raw entries; returns the count of looks.

    Runs inside the caller's transaction.
    """
    for table in ("look_replaced", "measure", "finding", "look", "part_state"):
        db.execute(f"DELETE FROM {table}")
    done = 0
    for row in list_entries(db, "look"):
        look = parse_entry(json.loads(row.raw)).entry
        if isinstance(look, LookEntry):
            insert_look(db, look, facts_of(row.flags, look))
            done += 1
    _update_states_without_look(db)
    return done


def _update_states_without_look(db: Database) -> None:
    rows = db.execute(f"SELECT DISTINCT house, part FROM deficiency WHERE state IN ({_OPEN})").fetchall()
    for house, part in _pairs(rows):
        update_part_state(db, house, part)


def _pairs(rows: Iterable[tuple[bytes, bytes]]) -> list[tuple[str, str]]:
    return [(from_key(house), from_key(part)) for house, part in rows]


def _key(text: str | None) -> bytes | None:
    return to_key(text) if text else None
