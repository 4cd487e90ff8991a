"""What has come from each device of a house and what has not: numbers, closings, photos, voice notes."""

from collections.abc import Mapping
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.sequence import sequence_gaps
from inspect_app.store.device import Device, list_all_devices
from inspect_app.store.entry import list_sequence_numbers


class Short(NamedTuple):
    """A walk for which a device, when it closed, had counted more entries than are here."""

    walk: str
    title: str
    date_local: str
    counted: int
    here: int


class DeviceCount(NamedTuple):
    """A device with all its entries and held texts counted. `gaps` are the runs of numbers that never came."""

    device: Device
    entries: int
    gaps: tuple[tuple[int, int], ...]
    short: tuple[Short, ...]
    photos_missing: int = 0
    recordings_missing: int = 0

    @property
    def whole(self) -> bool:
        """Whether all that the device is known to have recorded is here."""
        return not (self.gaps or self.short or self.photos_missing or self.recordings_missing)


def list_device_counts(db: Database, house: str) -> list[DeviceCount]:
    """Every phone and browser that is or was paired in the house, those in use first."""
    closings = _closings(db, house)
    photos, recordings = _missing(db, house, "photo"), _missing(db, house, "recording")
    counts = [_count(db, device, closings) for device in list_all_devices(db, house)]
    return [
        one._replace(photos_missing=photos.get(one.device.id, 0), recordings_missing=recordings.get(one.device.id, 0))
        for one in counts
    ]


def _count(db: Database, device: Device, closings: Mapping[str, list[tuple[Short, int]]]) -> DeviceCount:
    seen, said = list_sequence_numbers(db, device.id), closings.get(device.id, [])
    last = max([device.highest_seq, *(last for _, last in said)])
    short = tuple(one for one, _ in said if one.counted > one.here)
    return DeviceCount(device, len(seen), sequence_gaps(seen, last), short)


def _closings(db: Database, house: str) -> dict[str, list[tuple[Short, int]]]:
    """By device, the last closing of each walk with the highest number it states."""
    rows = db.execute(
        "SELECT e.device, e.walk, coalesce(w.title, ''), coalesce(w.date_local, ''), "
        "coalesce(json_extract(CAST(e.raw AS TEXT), '$.count'), 0), "
        "coalesce(json_extract(CAST(e.raw AS TEXT), '$.last_seq'), 0), "
        "(SELECT count(*) FROM entry x WHERE x.walk = e.walk AND x.device = e.device AND x.kind <> 'closing') "
        "FROM entry e LEFT JOIN walk w ON w.id = e.walk WHERE e.house = ? AND e.kind = 'closing' ORDER BY e.arrival",
        (to_key(house),),
    )
    last = {(device, walk): rest for device, walk, *rest in rows.fetchall()}
    found: dict[str, list[tuple[Short, int]]] = {}
    for (device, walk), (title, date_local, counted, last_seq, here) in last.items():
        row = Short(from_key(walk) if walk else "", title, date_local, counted, here)
        found.setdefault(from_key(device), []).append((row, last_seq))
    return found


def _missing(db: Database, house: str, what: str) -> dict[str, int]:
    """By device, how many photos or recordings (`what`) its entries name whose bytes are not here."""
    rows = db.execute(
        f"SELECT e.device, count(DISTINCT u.{what}) FROM {what}_use u JOIN entry e ON e.id = u.entry WHERE e.house = ? "
        f"AND NOT EXISTS (SELECT 1 FROM {what} p WHERE p.id = u.{what} AND p.house = e.house) GROUP BY e.device",
        (to_key(house),),
    )
    return {from_key(device): count for device, count in rows.fetchall()}
