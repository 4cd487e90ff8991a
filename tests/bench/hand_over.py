"""A hand-over pack of ten years in a house of sixty sets by seven lines, its rows made here, against a budget."""

import json
import secrets
import subprocess
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

from inspect_app import clock
from inspect_app.actions.hand_over import Wanted, make_pack
from inspect_app.actions.house import generate_house
from inspect_app.domain.hand_over import Period
from inspect_app.domain.house_answers import Answers
from inspect_app.domain.ids import to_key
from inspect_app.domain.part import Part, PartKind
from inspect_app.store.db import write_transaction
from inspect_app.store.deficiency import add_event
from inspect_app.store.photo import COPIES, keep_photo_files
from tests.bench.measure import Line, seconds
from tests.bench.place import Place, make_place

BUDGET_S = 180.0
QUARTERLY, MONTHLY = 4, 12  # walks in a year
PHOTO_BYTES = 200_000
SIXTY_SETS = Answers(
    sets=60, spacing_mm=180, first_mm=600, lines=7, well_x_mm=(-8400, -5600, -2800, 0, 2800, 5600, 8400),
    grid_mm=20_000, bridge_mm=16_000,
)  # fmt: skip


class Size(NamedTuple):
    """How much there is to hand over."""

    years: int
    sets: int
    deficiencies: int
    photos: int


WHOLE = Size(10, 60, 400, 1500)
STEPS = ("found", "decided", "in_hand", "work_done", "checked", "settled")
_MEASURED = {PartKind.LIFT_LINE: ("rope_diameter", "mm", "6.3"), PartKind.HAND_LINE: ("rope_diameter", "mm", "19.0")}


def pack_of_ten_years(folder: Path, size: Size = WHOLE) -> list[Line]:
    """Seconds for one whole pack: rows, pages, photos, manifest, filed and journalled."""
    place = make_place(folder / "data")
    looks = _fill(place, size)
    made: list[Any] = []
    taken = seconds(
        lambda: made.append(
            make_pack(place.db, place.settings, place.house.id, Wanted(Period()), clock.now(), actor=place.person.id)
        )
    )
    shown = subprocess.run(["pdfinfo", str(made[0].pdf_path)], capture_output=True, check=True, text=True).stdout
    pages = next(line.split()[1] for line in shown.splitlines() if line.startswith("Pages:"))
    weight = f"{pages} pages, {made[0].pack.zip_bytes / 1e6:.0f} MB"
    did = f"made a pack of {looks} looks, {size.deficiencies} deficiencies, {size.photos} photos: {weight}"
    return [Line("hand-over pack", did, "the budget for it", "one pack", taken, BUDGET_S)]


def _fill(place: Place, size: Size) -> int:
    """The years of walks straight into the tables; returns the number of looks."""
    house = place.house.id
    inventory = generate_house(
        place.db, at=clock.now(), actor=place.person.id, house=house, answers=replace(SIXTY_SETS, sets=size.sets)
    )
    rail = [part for part in inventory.parts if part.kind in (PartKind.ARBOR, PartKind.HAND_LINE, PartKind.ROPE_LOCK)]
    start, count = datetime(2016, 1, 11, 18, tzinfo=UTC), 0
    with write_transaction(place.db):
        entries: list[bytes] = []
        walks = size.years * (QUARTERLY + MONTHLY)
        for n in range(walks):
            quarterly = n % 4 == 0
            at = start + timedelta(days=365 * size.years * n / walks)
            parts = inventory.parts if quarterly else rail
            entries += _walk(place, n, at, parts, inventory.lives, quarterly)
            count += len(parts)
        _deficiencies(place, inventory.parts, start, size)
        _photos(place, entries, size.photos)
    return count


def _walk(place: Place, n: int, at: datetime, parts: Sequence[Part], lives: Any, quarterly: bool) -> list[bytes]:
    db, house, person, device = place.db, to_key(place.house.id), to_key(place.person.id), to_key(place.device.id)
    walk, stamp = to_key(clock.new_id()), at.isoformat(timespec="milliseconds")
    title = "Quarterly grid and gallery walk" if quarterly else "Monthly rail and deck walk"
    db.execute(
        "INSERT INTO walk(id, house, title, date_local, state, scope, opened_by, opened_at, sealed_at) "
        "VALUES (?,?,?,?,'sealed','{}',?,?,?)",
        (walk, house, title, at.date().isoformat(), person, stamp, stamp),
    )
    coverage = {"in_scope": len(parts), "looked_at": len(parts) - 5, "not_reached": 3, "not_looked_at": 2}
    data = json.dumps({"coverage": {"parts": coverage}, "checklists": [{"title": title}], "pad": "x" * 500_000})
    db.execute(
        "INSERT INTO seal(walk, n, house, number, root_sha256, journal_head, person, name, role, credential, "
        "statement, complete, data, at) "
        "VALUES (?,1,?,?,?,?,?,'Robin Bench','Technical director','TD','As said.',1,?,?)",
        (walk, house, f"{at.year}-{n:03d}", bytes(32), bytes(32), person, data.encode(), stamp),
    )
    keys = [to_key(clock.new_id()) for _ in parts]
    db.conn.executemany(
        "INSERT INTO entry(id, house, walk, kind, device, seq, part, by, recorded_at, received_at, skew_ms, raw, "
        "sha256) VALUES (?,?,?,'look',?,?,?,?,?,?,0,?,?)",
        [
            (key, house, walk, device, n * 10_000 + i, to_key(part.id), person, stamp, stamp, b"{}" * 300, bytes(32))
            for i, (key, part) in enumerate(zip(keys, parts, strict=True))
        ],
    )
    points = json.dumps(["a-point-of-the-list", "another-point", "a-third-point", "and-a-fourth"])
    db.conn.executemany(
        "INSERT INTO look(entry, house, walk, part, life, pass, checklist, points, result, ways, by, at) "
        "VALUES (?,?,?,?,?,'grid/static','grid-quarterly',?,?,'[\"seen_close\"]',?,?)",
        [
            (key, house, walk, to_key(part.id), to_key(lives[part.id].id), points,
             "finding" if i % 150 == n % 150 else "no_finding", person, stamp)
            for i, (key, part) in enumerate(zip(keys, parts, strict=True))
        ],
    )  # fmt: skip
    db.conn.executemany(
        "INSERT INTO finding(id, entry, n, house, part, point, point_text, answer, grade, wear, note) "
        "VALUES (?,?,0,?,?,'a-point','Is it as it was made?','new','watch',2,?)",
        [
            (to_key(clock.new_id()), key, house, to_key(part.id), "Worn to one side, filings on the beam below.")
            for i, (key, part) in enumerate(zip(keys, parts, strict=True)) if i % 150 == n % 150
        ],
    )  # fmt: skip
    db.conn.executemany(
        "INSERT INTO measure(entry, n, house, part, life, point, quantity, value, unit, typed, station) "
        "VALUES (?,0,?,?,?,'a-point',?,?,?,?,'over the block')",
        list(_measures(keys, parts, lives, house, n)),
    )
    return keys


def _measures(
    keys: Sequence[bytes], parts: Sequence[Part], lives: Any, house: bytes, n: int
) -> Iterator[tuple[Any, ...]]:
    for i, (key, part) in enumerate(zip(keys, parts, strict=True)):
        if part.kind in _MEASURED and i % 4 == n % 2:
            quantity, unit, value = _MEASURED[part.kind]
            yield key, house, to_key(part.id), to_key(lives[part.id].id), quantity, value, unit, value


def _deficiencies(place: Place, parts: Sequence[Part], start: datetime, size: Size) -> None:
    person, house = to_key(place.person.id), to_key(place.house.id)
    for n in range(1, size.deficiencies + 1):
        key, found = to_key(clock.new_id()), start + timedelta(days=365 * size.years * n / size.deficiencies)
        place.db.execute(
            "INSERT INTO deficiency(id, house, number, part, what, grade, state, found_at) "
            "VALUES (?,?,?,?,?,?,'found',?)",
            (key, house, n, to_key(parts[n * 7 % len(parts)].id), f"Worn to one side, as seen on walk {n}",
             ("watch", "repair_by", "restrict")[n % 3], found.isoformat(timespec="milliseconds")),
        )  # fmt: skip
        last = 5 if n < size.deficiencies * 0.9 else n % 4
        for step in range(last):
            at = found + timedelta(days=9 * (step + 1))
            add_event(
                place.db, key, STEPS[step], STEPS[step + 1], person, "technical_director", at, "as agreed on the phone"
            )


def _photos(place: Place, entries: Sequence[bytes], photos: int) -> None:
    house, files = to_key(place.house.id), []
    for _ in range(30):
        content = secrets.token_bytes(PHOTO_BYTES)
        files.append(bytes.fromhex(keep_photo_files(place.settings, content, dict.fromkeys(COPIES, content))))
    for n in range(photos):
        key = to_key(clock.new_id())
        place.db.execute(
            "INSERT INTO photo(id, house, sha256, mime, bytes, received_at, state) "
            "VALUES (?,?,?,'image/jpeg',?,?,'stored')",
            (key, house, files[n % len(files)], PHOTO_BYTES, "2025-01-01T00:00:00.000+00:00"),
        )
        place.db.execute("INSERT INTO photo_use(photo, entry) VALUES (?,?)", (key, entries[n * 97 % len(entries)]))
