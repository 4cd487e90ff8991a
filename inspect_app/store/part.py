"""Parts, the lives of what hangs in them, and every change of an attribute with the value before."""

import json
from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.errors import NotFound
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.walk import names_of
from inspect_app.store.house import day_text, to_day
from inspect_app.store.recording import recordings_by_entry
from inspect_app.store.seal import COVERED

_PART = "SELECT id, area, kind, tag, line_set, line, well, x_mm, y_mm, z_mm, retired_on FROM part WHERE house = ?"
_LIFE = "SELECT id, part, installed_on, retired_on, lot, attributes FROM part_life"
LIVES_AT_ONCE = 400  # an older SQLite takes at most 999 values in one statement


class PartChange(NamedTuple):
    """One change: what was changed, the value before and after, who did it and why."""

    at: datetime
    by: str
    what: str
    old: str
    new: str
    reason: str


class PartLook(NamedTuple):
    """A look at a part as a list shows it."""

    at: datetime
    result: str
    ways: tuple[str, ...]
    note: str
    by: str
    walk: str | None
    walk_title: str
    sealed: bool
    replaced: bool
    recordings: tuple[str, ...] = ()


def list_parts(
    db: Database, house: str, *, line_set: str | None = None, area: str | None = None, retired: bool = False
) -> list[Part]:
    """Parts of the house, of one line set or of one area if named, in the order they were made."""
    where, values = "", [to_key(house)]
    for column, wanted in (("line_set", line_set), ("area", area)):
        if wanted is not None:
            where += f" AND {column} = ?"
            values.append(to_key(wanted))
    if not retired:
        where += " AND retired_on IS NULL"
    rows = db.execute(f"{_PART}{where} ORDER BY rowid", tuple(values)).fetchall()
    return [_to_part(house, row) for row in rows]


def get_part(db: Database, house: str, part: str) -> Part:
    """One part of the house. Raises NotFound."""
    row = db.execute(f"{_PART} AND id = ?", (to_key(house), to_key(part))).fetchone()
    if row is None:
        raise NotFound("There is no such part in this house.")
    return _to_part(house, row)


def find_part_by_tag(db: Database, house: str, tag: str) -> Part | None:
    """The part with this tag, retired or not, upper or lower case."""
    row = db.execute(f"{_PART} AND tag = ? COLLATE NOCASE", (to_key(house), tag)).fetchone()
    return _to_part(house, row) if row else None


def count_parts(db: Database, house: str) -> dict[PartKind, int]:
    """Present parts by kind, in the order of the kinds."""
    rows = db.execute(
        "SELECT kind, count(*) FROM part WHERE house = ? AND retired_on IS NULL GROUP BY kind", (to_key(house),)
    )
    counts = dict(rows.fetchall())
    return {kind: counts[kind.value] for kind in PartKind if kind.value in counts}


def add_parts(db: Database, parts: Iterable[Part]) -> None:
    """Add parts; wells must come before the parts that stand at them."""
    db.conn.executemany(
        "INSERT INTO part(area, kind, tag, line_set, line, well, x_mm, y_mm, z_mm, retired_on, id, house) "
        "VALUES (?,?,?,?,?,?,?,?,?,?,?,?)",
        [_part_values(part) for part in parts],
    )


def set_part(db: Database, part: Part) -> None:
    """Change a part's place, tag or retirement."""
    db.execute(
        "UPDATE part SET area = ?, kind = ?, tag = ?, line_set = ?, line = ?, well = ?, x_mm = ?, y_mm = ?, z_mm = ?, "
        "retired_on = ? WHERE id = ? AND house = ?",
        _part_values(part),
    )


def list_lives(db: Database, house: str, part: str) -> list[Life]:
    """Every life of a part of the house, the present one first. Raises NotFound."""
    get_part(db, house, part)
    rows = db.execute(
        f"{_LIFE} WHERE part = ? ORDER BY retired_on IS NOT NULL, retired_on DESC, rowid DESC", (to_key(part),)
    )
    return [_to_life(row) for row in rows.fetchall()]


def list_present_lives(db: Database, house: str, *, line_set: str | None = None) -> dict[str, Life]:
    """The present life of each part by part id; of one line set if named."""
    where, values = "WHERE part IN (SELECT id FROM part WHERE house = ?", [to_key(house)]
    if line_set is not None:
        where += " AND line_set = ?"
        values.append(to_key(line_set))
    rows = db.execute(f"{_LIFE} {where}) AND retired_on IS NULL", tuple(values)).fetchall()
    return {from_key(row[1]): _to_life(row) for row in rows}


def list_lives_named(db: Database, house: str, lives: Collection[str]) -> dict[str, Life]:
    """Some lives of parts of the house by their own ids, ended ones too; unknown ids are passed over."""
    found: dict[str, Life] = {}
    wanted = sorted(lives)
    for start in range(0, len(wanted), LIVES_AT_ONCE):
        keys = [to_key(life) for life in wanted[start : start + LIVES_AT_ONCE]]
        marks = ",".join("?" * len(keys))
        rows = db.execute(
            f"{_LIFE} WHERE id IN ({marks}) AND part IN (SELECT id FROM part WHERE house = ?)", (*keys, to_key(house))
        ).fetchall()
        found |= {from_key(row[0]): _to_life(row) for row in rows}
    return found


def add_lives(db: Database, lives: Iterable[Life]) -> None:
    """Start lives."""
    db.conn.executemany(
        "INSERT INTO part_life(id, part, installed_on, retired_on, lot, attributes) VALUES (?,?,?,?,?,?)",
        [
            (to_key(x.id), to_key(x.part), day_text(x.installed_on), day_text(x.retired_on), x.lot, _json(x.attributes))
            for x in lives
        ],
    )


def set_life(db: Database, life: Life) -> None:
    """Change a life's dates, lot and attributes."""
    db.execute(
        "UPDATE part_life SET installed_on = ?, retired_on = ?, lot = ?, attributes = ? WHERE id = ?",
        (day_text(life.installed_on), day_text(life.retired_on), life.lot, _json(life.attributes), to_key(life.id)),
    )


def end_life(db: Database, part: str, on: date) -> None:
    """End the present life of a part, if it has one."""
    db.execute(
        "UPDATE part_life SET retired_on = ? WHERE part = ? AND retired_on IS NULL", (on.isoformat(), to_key(part))
    )


class Change(NamedTuple):
    """A change to be kept: of a part, or of a life when one is named."""

    part: str
    life: str | None
    what: str
    old: str
    new: str


def add_part_change(db: Database, row: str, change: Change, at: datetime, by: str, reason: str = "") -> None:
    """Keep what an attribute or the place of a part was before; `row` is the id of the row."""
    db.execute(
        "INSERT INTO part_change(id, part, life, at, by, what, old, new, reason) VALUES (?,?,?,?,?,?,?,?,?)",
        (
            to_key(row),
            to_key(change.part),
            to_key(change.life) if change.life else None,
            at.isoformat(timespec="milliseconds"),
            None if by == "system" else to_key(by),
            change.what,
            change.old,
            change.new,
            reason,
        ),
    )


def list_part_changes(db: Database, house: str, part: str) -> list[PartChange]:
    """All changes of a part of the house, newest first. Raises NotFound."""
    get_part(db, house, part)
    rows = db.execute(
        "SELECT c.at, coalesce(p.name, ''), c.what, c.old, c.new, c.reason FROM part_change c "
        "LEFT JOIN person p ON p.id = c.by WHERE c.part = ? ORDER BY c.at DESC, c.rowid DESC",
        (to_key(part),),
    )
    return [PartChange(datetime.fromisoformat(row[0]), *row[1:]) for row in rows.fetchall()]


def list_latest_looks(db: Database, house: str, part: str, most: int = 20) -> list[PartLook]:
    """The latest looks at a part of the house, newest first; withdrawn and replaced ones are marked, not left out."""
    rows = db.execute(
        "SELECT l.at, l.result, l.ways, l.note, coalesce(p.name, ''), l.walk, coalesce(w.title, ''), "
        f"{COVERED}, EXISTS (SELECT 1 FROM look_replaced r WHERE r.entry = l.entry), l.entry, "
        "coalesce(c.name, '') "
        "FROM look l LEFT JOIN person p ON p.id = l.by LEFT JOIN person c ON c.id = l.called_by "
        "LEFT JOIN walk w ON w.id = l.walk "
        "WHERE l.house = ? AND l.part = ? ORDER BY l.at DESC, l.rowid DESC LIMIT ?",
        (to_key(house), to_key(part), most),
    )
    spoken = recordings_by_entry(db, house, part)
    return [
        PartLook(
            *(datetime.fromisoformat(at), result, tuple(json.loads(ways)), note, names_of(by, caller)),
            from_key(walk) if walk else None,
            *(title, bool(sealed), bool(replaced), spoken.get(from_key(entry), ())),
        )
        for at, result, ways, note, by, walk, title, sealed, replaced, entry, caller in rows.fetchall()
    ]


def _part_values(part: Part) -> tuple[object, ...]:
    return (
        to_key(part.area),
        part.kind.value,
        part.tag,
        to_key(part.line_set) if part.line_set else None,
        part.line,
        to_key(part.well) if part.well else None,
        part.x_mm,
        part.y_mm,
        part.z_mm,
        day_text(part.retired_on),
        to_key(part.id),
        to_key(part.house),
    )


def _to_part(house: str, row: tuple) -> Part:  # type: ignore[type-arg]
    return Part(
        id=from_key(row[0]),
        house=house,
        area=from_key(row[1]),
        kind=PartKind(row[2]),
        tag=row[3],
        line_set=from_key(row[4]) if row[4] else None,
        line=row[5],
        well=from_key(row[6]) if row[6] else None,
        x_mm=row[7],
        y_mm=row[8],
        z_mm=row[9],
        retired_on=to_day(row[10]),
    )


def _to_life(row: tuple[bytes, bytes, str | None, str | None, str, str]) -> Life:
    return Life(from_key(row[0]), from_key(row[1]), to_day(row[2]), to_day(row[3]), row[4], json.loads(row[5]))


def _json(attributes: Mapping[str, str]) -> str:
    return json.dumps(dict(attributes), sort_keys=True)
