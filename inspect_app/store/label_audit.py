"""What was read on the labels of sets: typed readings, and the answers of signed walks to the audit's points."""

from collections.abc import Mapping
from datetime import date, datetime

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.label_audit import PLACE_KINDS, PLACE_POINTS, LabelPlace, Reading, ReadState, WalkedLabel

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
    """What signed walks say of each labelled part: the newest look at its audit point, with what was found then."""
    rows = db.execute(
        "SELECT p.line_set, c.point, p.id, p.tag, max(c.at), "
        "(SELECT f.note || char(10) || coalesce(f.defect, '') || char(10) || l.at FROM finding f JOIN look l "
        "ON l.entry = f.entry WHERE f.part = c.part AND f.point = c.point AND f.answer <> 'not_seen_now' "
        "ORDER BY l.at DESC LIMIT 1) "
        f"FROM point_clock c JOIN part p ON p.id = c.part WHERE c.house = ? AND c.point IN ({_POINTS}) "
        "AND p.retired_on IS NULL AND p.line_set IS NOT NULL GROUP BY p.id, c.point ORDER BY p.tag",
        (to_key(house),),
    )
    return [_to_walked(row) for row in rows.fetchall()]


def _to_walked(row: tuple[bytes, str, bytes, str, str, str | None]) -> WalkedLabel:
    line_set, point, part, tag, at, found = row
    note, defect, found_at = (found or "\n\n").split("\n")[-3:]
    agrees = not found_at or found_at < at
    says = "" if agrees else note or defect.replace("-", " ") or "not as the schedule says"
    on = datetime.fromisoformat(at).date()
    return WalkedLabel(from_key(line_set), PLACE_POINTS[point], from_key(part), tag, agrees, says, on)


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
