"""The looks of a walk with their findings, measures, photos, voice notes, countersigns and decisions."""

import json
from collections import defaultdict
from dataclasses import replace
from datetime import datetime
from functools import lru_cache
from typing import Any

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.checklist import Grade, Way
from inspect_app.domain.gauge import gauges_by_name, plain, resolution_in
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.walk import (
    Countersign,
    Decision,
    DecisionKind,
    Finding,
    How,
    Look,
    LookResult,
    Measure,
    names_of,
)
from inspect_app.domain.walk_record import Photo
from inspect_app.store.gauge import list_gauges

_OF_WALK = "FROM look l WHERE l.house = ? AND l.walk = ?"
_OF_PART = "FROM look l WHERE l.house = ? AND l.part = ?"


def list_looks_of_walk(db: Database, house: str, walk: str) -> list[Look]:
    """Every look of a walk in order of arrival, replaced and late ones too."""
    return _list_looks(db, _OF_WALK, (to_key(house), to_key(walk)))


def list_looks_of_part(db: Database, house: str, part: str) -> list[Look]:
    """Every look at a part in order of arrival, replaced and late ones too."""
    return _list_looks(db, _OF_PART, (to_key(house), to_key(part)))


def _list_looks(db: Database, of: str, keys: tuple[bytes, bytes]) -> list[Look]:
    findings, measures = _findings(db, of, keys), _measures(db, of, keys)
    replaced, signs = _replaced(db, of, keys), _countersigns(db, of, keys)
    photos, recordings = _uses(db, "photo", of, keys), _uses(db, "recording", of, keys)
    rows = db.execute(
        "SELECT l.entry, l.part, l.pass, l.checklist, l.points, l.result, l.ways, l.by, coalesce(p.name, ''), l.at, "
        "e.device, d.name, l.reason, l.note, l.tap, l.adds_to, l.needs_countersign, e.late, "
        "coalesce(c.name, ''), l.called_by "
        "FROM look l JOIN entry e ON e.id = l.entry JOIN device d ON d.id = e.device "
        "LEFT JOIN person p ON p.id = l.by LEFT JOIN person c ON c.id = l.called_by "
        f"WHERE l.entry IN (SELECT l.entry {of}) ORDER BY e.arrival",
        keys,
    )
    return [
        Look(
            entry=from_key(row[0]),
            part=from_key(row[1]),
            in_pass=row[2],
            checklist=row[3],
            points=_words(row[4]),
            result=_RESULTS[row[5]],
            ways=_ways(row[6]),
            by=from_key(row[7]),
            by_name=names_of(row[8], row[18]),
            at=datetime.fromisoformat(row[9]),
            device=from_key(row[10]),
            device_name=row[11],
            reason=row[12],
            note=row[13],
            tap=_text(row[14]),
            adds_to=_text(row[15]),
            needs_countersign=bool(row[16]),
            late=bool(row[17]),
            replaced_by=tuple(replaced[row[0]]),
            countersigns=tuple(signs[row[0]]),
            findings=tuple(findings[row[0]]),
            measures=tuple(measures[row[0]]),
            photos=tuple(photos[row[0]]),
            recordings=tuple(recordings[row[0]]),
            called_by=_text(row[19]) or "",
        )
        for row in rows.fetchall()
    ]


_RESULTS = {result.value: result for result in LookResult}


@lru_cache(maxsize=4096)
def _words(text: str) -> tuple[str, ...]:
    """A JSON list of words; a walk repeats the same few hundreds of times."""
    return tuple(json.loads(text))


@lru_cache(maxsize=256)
def _ways(text: str) -> frozenset[Way]:
    return frozenset(Way(way) for way in json.loads(text))


def _text(key: bytes | None) -> str | None:
    return from_key(key) if key else None


def _findings(db: Database, of: str, keys: tuple[bytes, bytes]) -> dict[bytes, list[Finding]]:
    rows = db.execute(
        "SELECT f.entry, f.id, f.part, f.point, f.point_text, f.defect, f.answer, f.of, f.grade, f.proposed_grade, "
        "f.grade_reason, f.wear, f.note FROM finding f "
        f"WHERE f.entry IN (SELECT l.entry {of}) ORDER BY f.entry, f.n",
        keys,
    )
    found: dict[bytes, list[Finding]] = defaultdict(list)
    for entry, key, part, point, text, defect, answer, root, grade, proposed, reason, wear, note in rows.fetchall():
        found[entry].append(
            Finding(from_key(key), from_key(entry), from_key(part), point, text, defect, answer, _text(root),
                    Grade(grade), proposed, reason, wear, note)
        )  # fmt: skip
    return found


def _measures(db: Database, of: str, keys: tuple[bytes, bytes]) -> dict[bytes, list[Measure]]:
    rows = db.execute(
        "SELECT m.entry, m.part, m.point, m.quantity, m.value, m.unit, m.typed, m.station, m.gauge, m.resolution, "
        "m.hint, m.readings, m.load_state, coalesce(m.life, l.life) FROM measure m JOIN look l ON l.entry = m.entry "
        f"WHERE m.entry IN (SELECT l.entry {of}) ORDER BY m.entry, m.n",
        keys,
    )
    gauges = gauges_by_name(list_gauges(db, from_key(keys[0]), retired=True))
    found: dict[bytes, list[Measure]] = defaultdict(list)
    for entry, part, *texts, readings, load_state, life in rows.fetchall():
        measure = Measure(from_key(entry), from_key(part), *texts)
        step = measure.resolution or resolution_in(gauges.get(plain(measure.gauge)), measure.unit)
        read = tuple(json.loads(readings))
        found[entry].append(
            replace(measure, resolution=step, readings=read, load_state=load_state, life=from_key(life) if life else "")
        )
    return found


def _uses(db: Database, what: str, of: str, keys: tuple[bytes, bytes]) -> dict[bytes, list[str]]:
    """The photos or recordings (`what`) that each look names."""
    rows = db.execute(
        f"SELECT entry, {what} FROM {what}_use WHERE entry IN (SELECT l.entry {of}) ORDER BY entry, {what}", keys
    )
    found: dict[bytes, list[str]] = defaultdict(list)
    for entry, key in rows.fetchall():
        found[entry].append(from_key(key))
    return found


def _replaced(db: Database, of: str, keys: tuple[bytes, bytes]) -> dict[bytes, list[str]]:
    rows = db.execute(
        f"SELECT entry, by_entry FROM look_replaced WHERE entry IN (SELECT l.entry {of}) ORDER BY by_entry", keys
    )
    found: dict[bytes, list[str]] = defaultdict(list)
    for entry, by_entry in rows.fetchall():
        found[entry].append(from_key(by_entry))
    return found


def _countersigns(db: Database, of: str, keys: tuple[bytes, bytes]) -> dict[bytes, list[Countersign]]:
    rows = db.execute(
        "SELECT c.entry, c.by, coalesce(p.name, ''), c.how, c.at FROM countersign c LEFT JOIN person p ON p.id = c.by "
        f"WHERE c.entry IN (SELECT l.entry {of}) ORDER BY c.at",
        keys,
    )
    found: dict[bytes, list[Countersign]] = defaultdict(list)
    for entry, by, name, how, at in rows.fetchall():
        found[entry].append(Countersign(from_key(by), name, How(how), datetime.fromisoformat(at)))
    return found


def list_decisions(db: Database, walk: str) -> list[Decision]:
    """What was decided at review, oldest first."""
    rows = db.execute(
        "SELECT d.kind, d.entry, d.finding, d.choice, d.reason, coalesce(p.name, ''), d.at, d.by FROM decision d "
        "LEFT JOIN person p ON p.id = d.by WHERE d.walk = ? ORDER BY d.at, d.id",
        (to_key(walk),),
    )
    return [
        Decision(
            *(DecisionKind(kind), _text(entry), _text(finding), choice, reason, name, datetime.fromisoformat(at)),
            from_key(by),
        )
        for kind, entry, finding, choice, reason, name, at, by in rows.fetchall()
    ]


def add_decision(
    db: Database,
    *,
    walk: str,
    part: str,
    kind: DecisionKind,
    choice: str,
    reason: str,
    by: str,
    at: datetime,
    entry: str | None = None,
    finding: str | None = None,
) -> str:
    """Keep a decision; returns its id."""
    new = clock.new_id()
    db.execute(
        "INSERT INTO decision(id, walk, part, entry, finding, kind, choice, reason, by, at) "
        "VALUES (?,?,?,?,?,?,?,?,?,?)",
        (
            to_key(new),
            to_key(walk),
            to_key(part),
            to_key(entry) if entry else None,
            to_key(finding) if finding else None,
            kind.value,
            choice,
            reason,
            to_key(by),
            at.isoformat(timespec="milliseconds"),
        ),
    )
    return new


def add_countersign(db: Database, *, entry: str, by: str, how: How, at: datetime) -> bool:
    """Keep a person's word for an entry; False when that person has given it already."""
    cursor = db.execute(
        "INSERT INTO countersign(entry, by, at, how) VALUES (?,?,?,?) ON CONFLICT(entry, by) DO NOTHING",
        (to_key(entry), to_key(by), at.isoformat(timespec="milliseconds"), how.value),
    )
    return bool(cursor.rowcount)


def list_photos_of_walk(db: Database, house: str, walk: str) -> list[Photo]:
    """Every photo that an entry of the walk names, also those whose bytes have not arrived."""
    rows = db.execute(
        "SELECT u.photo, u.entry, p.sha256, p.mime, p.taken_at, p.state FROM photo_use u "
        "JOIN entry e ON e.id = u.entry LEFT JOIN photo p ON p.id = u.photo AND p.house = e.house "
        "WHERE e.house = ? AND e.walk = ? ORDER BY e.arrival, u.photo",
        (to_key(house), to_key(walk)),
    )
    uses: dict[bytes, list[str]] = defaultdict(list)
    facts: dict[bytes, tuple[Any, ...]] = {}
    for photo, entry, *rest in rows.fetchall():
        uses[photo].append(from_key(entry))
        facts[photo] = tuple(rest)
    return [
        Photo(
            from_key(key), sha256.hex() if sha256 else "", mime or "", taken or "", state or "missing", tuple(uses[key])
        )
        for key, (sha256, mime, taken, state) in facts.items()
    ]
