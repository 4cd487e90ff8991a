"""Houses with their areas and line sets; every read of an object names the house it must belong to."""

import json
from collections.abc import Iterable
from datetime import date, datetime

from sqlite_utils import Database

from inspect_app.domain.errors import NotFound
from inspect_app.domain.house import Area, AreaKind, House, LineSet, LineSetKind, Side
from inspect_app.domain.ids import from_key, to_key

_AREA = "SELECT id, kind, name, z_mm, retired_on FROM area WHERE house = ?"
_LINE_SET = (
    "SELECT id, number, sort_key, kind, y_mm, head_side, axis, lines, label, retired_on FROM line_set WHERE house = ?"
)


def get_house(db: Database, house: str) -> House:
    """A house by id. Raises NotFound."""
    row = db.execute(
        "SELECT name, tz, units, datum, demo, line_names, settings FROM house WHERE id = ?", (to_key(house),)
    ).fetchone()
    if row is None:
        raise NotFound("There is no such house.")
    names = {int(count): tuple(names) for count, names in json.loads(row[5]).items()}
    return House(house, row[0], row[1], row[2], row[3], bool(row[4]), names, json.loads(row[6]))


def list_houses(db: Database) -> list[House]:
    """Every house of the installation by name, for the command line only."""
    rows = db.execute("SELECT id FROM house ORDER BY name COLLATE NOCASE, id").fetchall()
    return [get_house(db, from_key(row[0])) for row in rows]


def add_house(db: Database, house: House, at: datetime) -> None:
    """Add an empty house."""
    db.execute(
        "INSERT INTO house(id, name, tz, units, datum, demo, line_names, settings, created_at) "
        "VALUES (?,?,?,?,?,?,?,?,?)",
        (
            to_key(house.id),
            house.name,
            house.tz,
            house.units,
            house.datum,
            int(house.demo),
            json.dumps({str(count): list(names) for count, names in house.line_names.items()}),
            json.dumps(dict(house.settings)),
            at.isoformat(timespec="milliseconds"),
        ),
    )


def set_house(db: Database, house: House) -> None:
    """Change what is kept about a house itself."""
    db.execute(
        "UPDATE house SET name = ?, tz = ?, units = ?, datum = ?, line_names = ?, settings = ? WHERE id = ?",
        (
            house.name,
            house.tz,
            house.units,
            house.datum,
            json.dumps({str(count): list(names) for count, names in house.line_names.items()}),
            json.dumps(dict(house.settings)),
            to_key(house.id),
        ),
    )


def list_areas(db: Database, house: str, *, retired: bool = False) -> list[Area]:
    """The areas of a house in the order they were made; with the retired ones if asked."""
    rows = db.execute(f"{_AREA} ORDER BY rowid", (to_key(house),)).fetchall()
    areas = [_to_area(house, row) for row in rows]
    return [area for area in areas if retired or area.retired_on is None]


def get_area(db: Database, house: str, area: str) -> Area:
    """One area of the house. Raises NotFound."""
    row = db.execute(f"{_AREA} AND id = ?", (to_key(house), to_key(area))).fetchone()
    if row is None:
        raise NotFound("There is no such area in this house.")
    return _to_area(house, row)


def add_areas(db: Database, areas: Iterable[Area]) -> None:
    """Add areas."""
    db.conn.executemany(
        "INSERT INTO area(id, house, kind, name, z_mm, retired_on) VALUES (?,?,?,?,?,?)",
        [(to_key(a.id), to_key(a.house), a.kind.value, a.name, a.z_mm, day_text(a.retired_on)) for a in areas],
    )


def set_area(db: Database, area: Area) -> None:
    """Change an area."""
    db.execute(
        "UPDATE area SET kind = ?, name = ?, z_mm = ?, retired_on = ? WHERE id = ? AND house = ?",
        (area.kind.value, area.name, area.z_mm, day_text(area.retired_on), to_key(area.id), to_key(area.house)),
    )


def list_line_sets(db: Database, house: str, *, retired: bool = False) -> list[LineSet]:
    """The line sets in walking order from the datum; with the retired ones if asked."""
    rows = db.execute(f"{_LINE_SET} ORDER BY sort_key, number", (to_key(house),)).fetchall()
    sets = [_to_line_set(house, row) for row in rows]
    return [line_set for line_set in sets if retired or line_set.retired_on is None]


def get_line_set(db: Database, house: str, line_set: str) -> LineSet:
    """One line set of the house. Raises NotFound."""
    row = db.execute(f"{_LINE_SET} AND id = ?", (to_key(house), to_key(line_set))).fetchone()
    if row is None:
        raise NotFound("There is no such line set in this house.")
    return _to_line_set(house, row)


def add_line_sets(db: Database, line_sets: Iterable[LineSet]) -> None:
    """Add line sets."""
    db.conn.executemany(
        "INSERT INTO line_set(number, sort_key, kind, y_mm, head_side, axis, lines, label, retired_on, id, house) "
        "VALUES (?,?,?,?,?,?,?,?,?,?,?)",
        [_line_set_values(line_set) for line_set in line_sets],
    )


def set_line_set(db: Database, line_set: LineSet) -> None:
    """Change a line set."""
    db.execute(
        "UPDATE line_set SET number = ?, sort_key = ?, kind = ?, y_mm = ?, head_side = ?, axis = ?, lines = ?, "
        "label = ?, retired_on = ? WHERE id = ? AND house = ?",
        _line_set_values(line_set),
    )


def _line_set_values(line_set: LineSet) -> tuple[object, ...]:
    return (
        line_set.number,
        line_set.sort_key,
        line_set.kind.value,
        line_set.y_mm,
        line_set.head_side.value,
        line_set.axis,
        line_set.lines,
        line_set.label,
        day_text(line_set.retired_on),
        to_key(line_set.id),
        to_key(line_set.house),
    )


def _to_area(house: str, row: tuple[bytes, str, str, int, str | None]) -> Area:
    return Area(from_key(row[0]), house, AreaKind(row[1]), row[2], row[3], to_day(row[4]))


def _to_line_set(house: str, row: tuple[bytes, str, int, str, int, str, str, int, str, str | None]) -> LineSet:
    return LineSet(
        *(from_key(row[0]), house, row[1], row[2], LineSetKind(row[3]), row[4], Side(row[5]), row[6], row[7], row[8]),
        to_day(row[9]),
    )


def day_text(day: date | None) -> str | None:
    """A date as it is kept."""
    return day.isoformat() if day else None


def to_day(text: str | None) -> date | None:
    """A kept date."""
    return date.fromisoformat(text) if text else None
