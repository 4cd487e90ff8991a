"""What was read on the labels of sets: typed readings, and the answers of signed walks to the audit's points."""

from collections.abc import Mapping
from datetime import date, datetime

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.label_audit import PLACE_KINDS, PLACE_POINTS, LabelPlace, Reading, ReadState, WalkedLabel
from inspect_app.store.blind_spot import STANDS, counts_sql, not_aside_sql
from inspect_app.store.house import get_house
from inspect_app.store.point_clock import zone_of

_POINTS = ", ".join(repr(point) for point in PLACE_POINTS)


def add_label_reading(db: Database, reading_id: str, house: str, reading: Reading, by: str, at: datetime) -> None:
    """Keep what was read at one place."""
    db.execute(
        "INSERT INTO label_reading(id, house, line_set, place, state, label, read_on, by, at) "
        "VALUES (?,?,?,?,?,?,?,?,?)",
        (
            to_key(reading_id), to_key(house), to_key(reading.line_set), reading.place.value, reading.state.value,
            reading.label, reading.read_on.isoformat(), to_key(by), at.isoformat(timespec="milliseconds"),
        ),
    )  # fmt: skip


def list_label_readings(db: Database, house: str, line_set: str | None = None) -> list[Reading]:
    """Every reading of a house, or of one set, in the order in which they were written down."""
    rows = db.execute(
        "SELECT r.line_set, r.place, r.state, r.label, r.read_on, coalesce(p.name, '') FROM label_reading r "
        "LEFT JOIN person p ON p.id = r.by WHERE r.house = ? AND (? IS NULL OR r.line_set = ?) ORDER BY r.at, r.id",
        (to_key(house), line_set, to_key(line_set) if line_set else None),
    )
    return [
        Reading(from_key(key), LabelPlace(place), ReadState(state), label, date.fromisoformat(on), name)
        for key, place, state, label, on, name in rows.fetchall()
    ]


def list_walked_labels(db: Database, house: str) -> list[WalkedLabel]:
    """What the newest signed walk that read it says of the label of each part that hangs there now, by its point.

    Whatever stands and counts on that walk is told: a finding is, also where another person found the label sound.
    """
    zone = zone_of(get_house(db, house).tz)
    rows = db.execute(
        "WITH n AS (SELECT c.part, c.point, c.walk, max(c.at) AS at FROM point_clock c "
        "JOIN part_life v ON v.id = c.life AND v.retired_on IS NULL "
        f"WHERE c.house = ? AND c.point IN ({_POINTS}) GROUP BY c.part, c.point) "
        "SELECT p.line_set, n.point, p.id, p.tag, n.at, (SELECT coalesce(nullif(f.note, ''), "
        "nullif(replace(f.defect, '-', ' '), ''), 'not as the schedule says') FROM finding f "
        "JOIN look l ON l.entry = f.entry JOIN sealed_entry q ON q.walk = l.walk AND q.entry = l.entry "
        "WHERE f.part = n.part AND f.point = n.point AND l.walk = n.walk AND f.answer <> 'not_seen_now' "
        f"AND {STANDS} AND {counts_sql('l')} AND {not_aside_sql(db, house)} ORDER BY l.at DESC LIMIT 1) "
        "FROM n JOIN part p ON p.id = n.part WHERE p.retired_on IS NULL AND p.line_set IS NOT NULL ORDER BY p.tag",
        (to_key(house),),
    )
    return [
        WalkedLabel(
            from_key(line_set), PLACE_POINTS[point], from_key(part), tag, found is None, found or "",
            datetime.fromisoformat(at).astimezone(zone).date(),
        )
        for line_set, point, part, tag, at, found in rows.fetchall()
    ]  # fmt: skip


def count_labelled_parts(db: Database, house: str) -> Mapping[str, Mapping[LabelPlace, int]]:
    """By set and place, how many parts carry a label there."""
    places = {kind.value: place for place, kind in PLACE_KINDS.items()}
    marks = ", ".join("?" * len(places))
    found: dict[str, dict[LabelPlace, int]] = {}
    rows = db.execute(
        f"SELECT line_set, kind, count(*) FROM part WHERE house = ? AND retired_on IS NULL AND line_set IS NOT NULL "
        f"AND kind IN ({marks}) GROUP BY line_set, kind",
        (to_key(house), *places),
    )
    for line_set, kind, count in rows.fetchall():
        found.setdefault(from_key(line_set), {})[places[kind]] = count
    return found
