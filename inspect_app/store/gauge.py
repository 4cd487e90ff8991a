"""The gauges of a house, and the named places at which its parts are measured."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from sqlite_utils import Database

from inspect_app.domain.errors import NotFound
from inspect_app.domain.gauge import Doubt, Gauge, Station, plain
from inspect_app.domain.ids import from_key, to_key
from inspect_app.store.house import day_text, to_day

_GAUGE = (
    "SELECT id, name, kind, resolution, unit, serial, calibrated_on, calibration_due, retired_on FROM gauge "
    "WHERE house = ?"
)
_STATION = "SELECT s.id, s.part, s.name, s.retired_on FROM station s JOIN part p ON p.id = s.part WHERE p.house = ?"


def list_gauges(db: Database, house: str, *, retired: bool = False) -> list[Gauge]:
    """The gauges of a house by name; those that are retired only when asked for."""
    where = "" if retired else " AND retired_on IS NULL"
    rows = db.execute(f"{_GAUGE}{where} ORDER BY name COLLATE NOCASE, id", (to_key(house),)).fetchall()
    doubts = _doubts(db, house)
    return [_to_gauge(house, row, doubts) for row in rows]


def get_gauge(db: Database, house: str, gauge: str) -> Gauge:
    """One gauge of the house. Raises NotFound."""
    row = db.execute(f"{_GAUGE} AND id = ?", (to_key(house), to_key(gauge))).fetchone()
    if row is None:
        raise NotFound("There is no such gauge in this house.")
    return _to_gauge(house, row, _doubts(db, house))


def add_doubt(db: Database, gauge: str, doubt: Doubt, by: str, at: datetime) -> None:
    """Note days on which a gauge read wrong."""
    db.execute(
        "INSERT INTO gauge_doubt(id, gauge, first, last, why, by, at) VALUES (?,?,?,?,?,?,?)",
        (
            to_key(doubt.id), to_key(gauge), doubt.first.isoformat(), doubt.last.isoformat(), doubt.why, to_key(by),
            at.isoformat(timespec="milliseconds"),
        ),
    )  # fmt: skip


def end_doubt(db: Database, doubt: str, at: datetime) -> None:
    """Take back what was noted by mistake."""
    db.execute(
        "UPDATE gauge_doubt SET ended_at = ? WHERE id = ?", (at.isoformat(timespec="milliseconds"), to_key(doubt))
    )


def _doubts(db: Database, house: str) -> dict[bytes, list[Doubt]]:
    found: dict[bytes, list[Doubt]] = defaultdict(list)
    for gauge, key, first, last, why in db.execute(
        "SELECT d.gauge, d.id, d.first, d.last, d.why FROM gauge_doubt d JOIN gauge g ON g.id = d.gauge "
        "WHERE g.house = ? AND d.ended_at IS NULL ORDER BY d.first, d.id",
        (to_key(house),),
    ):
        found[gauge].append(Doubt(from_key(key), date.fromisoformat(first), date.fromisoformat(last), why))
    return found


def add_gauge_row(db: Database, gauge: Gauge) -> None:
    """Add a gauge."""
    db.execute(
        "INSERT INTO gauge(name, kind, resolution, unit, serial, calibrated_on, calibration_due, retired_on, id, "
        "house) VALUES (?,?,?,?,?,?,?,?,?,?)",
        _gauge_values(gauge),
    )


def set_gauge(db: Database, gauge: Gauge) -> None:
    """Change what is recorded of a gauge."""
    db.execute(
        "UPDATE gauge SET name = ?, kind = ?, resolution = ?, unit = ?, serial = ?, calibrated_on = ?, "
        "calibration_due = ?, retired_on = ? WHERE id = ? AND house = ?",
        _gauge_values(gauge),
    )


def list_stations(db: Database, house: str, part: str | None = None) -> list[Station]:
    """The measuring places in use, of one part or of all parts of the house, in the order they were named."""
    where, values = "", [to_key(house)]
    if part is not None:
        where, values = " AND s.part = ?", [*values, to_key(part)]
    rows = db.execute(f"{_STATION} AND s.retired_on IS NULL{where} ORDER BY s.rowid", tuple(values)).fetchall()
    return [_to_station(row) for row in rows]


def list_given_up(db: Database, house: str) -> dict[str, frozenset[str]]:
    """By part, the plain names of its measuring places that are given up and that no place in use bears."""
    names: dict[tuple[str, str], bool] = {}
    for row in db.execute(f"{_STATION} ORDER BY s.rowid", (to_key(house),)).fetchall():
        station = _to_station(row)
        key = station.part, plain(station.name)
        names[key] = names.get(key, False) or station.retired_on is None
    found: dict[str, set[str]] = defaultdict(set)
    for (part, name), used in names.items():
        if not used:
            found[part].add(name)
    return {part: frozenset(some) for part, some in found.items()}


def get_station(db: Database, house: str, station: str) -> Station:
    """One measuring place of the house. Raises NotFound."""
    row = db.execute(f"{_STATION} AND s.id = ?", (to_key(house), to_key(station))).fetchone()
    if row is None:
        raise NotFound("There is no such measuring place in this house.")
    return _to_station(row)


def add_station_row(db: Database, station: Station) -> None:
    """Name a measuring place."""
    db.execute(
        "INSERT INTO station(id, part, name) VALUES (?,?,?)", (to_key(station.id), to_key(station.part), station.name)
    )


def set_station_retired(db: Database, station: Station) -> None:
    """Give a measuring place up on its `retired_on`."""
    db.execute("UPDATE station SET retired_on = ? WHERE id = ?", (day_text(station.retired_on), to_key(station.id)))


def _gauge_values(gauge: Gauge) -> tuple[object, ...]:
    return (
        gauge.name, gauge.kind, gauge.resolution, gauge.unit, gauge.serial, day_text(gauge.calibrated_on),
        day_text(gauge.calibration_due), day_text(gauge.retired_on), to_key(gauge.id), to_key(gauge.house),
    )  # fmt: skip


def _to_gauge(house: str, row: Iterable[Any], doubts: Mapping[bytes, Sequence[Doubt]]) -> Gauge:
    key, name, kind, resolution, unit, serial, calibrated, due, retired = row
    return Gauge(
        from_key(key), house, name, kind, resolution, unit, serial, to_day(calibrated), to_day(due), to_day(retired),
        tuple(doubts.get(key, ())),
    )  # fmt: skip


def _to_station(row: Iterable[Any]) -> Station:
    key, part, name, retired = row
    return Station(from_key(key), from_key(part), name, to_day(retired))
