"""The house as a walk needs it: areas, line sets, parts and the present life of each."""

import json
from datetime import date

from sqlite_utils import Database

from inspect_app.domain.errors import NotFound
from inspect_app.domain.house import Area, AreaKind, House, Inventory, LineSet, LineSetKind, Side
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.part import Life, Part, PartKind


def get_inventory(db: Database, house: str) -> Inventory:
    """The whole house. Raises NotFound."""
    key = to_key(house)
    row = db.execute(
        "SELECT name, tz, units, datum, demo, line_names, settings FROM house WHERE id = ?", (key,)
    ).fetchone()
    if row is None:
        raise NotFound("There is no such house.")
    names = {int(count): tuple(names) for count, names in json.loads(row[5]).items()}
    sets = db.execute(
        "SELECT id, number, sort_key, kind, y_mm, head_side, axis, lines, label, retired_on FROM line_set "
        "WHERE house = ? ORDER BY sort_key, number",
        (key,),
    ).fetchall()
    areas = db.execute("SELECT id, kind, name, z_mm FROM area WHERE house = ? ORDER BY rowid", (key,)).fetchall()
    parts = db.execute(
        "SELECT id, area, kind, tag, line_set, line, well, x_mm, y_mm, z_mm, retired_on FROM part WHERE house = ? "
        "ORDER BY rowid",
        (key,),
    ).fetchall()
    return Inventory(
        house=House(house, row[0], row[1], row[2], row[3], bool(row[4]), names, json.loads(row[6])),
        areas=tuple(Area(from_key(r[0]), house, AreaKind(r[1]), r[2], r[3]) for r in areas),
        line_sets=tuple(
            LineSet(from_key(r[0]), house, r[1], r[2], LineSetKind(r[3]), r[4], Side(r[5]), r[6], r[7], r[8], _day(r[9]))
            for r in sets
        ),
        parts=tuple(
            Part(
                from_key(r[0]), house, from_key(r[1]), PartKind(r[2]), r[3], _id(r[4]), r[5], _id(r[6]), r[7], r[8], r[9],
                _day(r[10]),
            )
            for r in parts
        ),
        lives=_lives(db, key),
    )  # fmt: skip


def _lives(db: Database, house: bytes) -> dict[str, Life]:
    rows = db.execute(
        "SELECT l.id, l.part, l.installed_on, l.lot, l.attributes FROM part_life l JOIN part q ON q.id = l.part "
        "WHERE q.house = ? AND l.retired_on IS NULL",
        (house,),
    ).fetchall()
    return {
        from_key(r[1]): Life(from_key(r[0]), from_key(r[1]), _day(r[2]), None, r[3], json.loads(r[4])) for r in rows
    }


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def _id(key: bytes | None) -> str | None:
    return from_key(key) if key else None
