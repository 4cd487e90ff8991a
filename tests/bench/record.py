"""What a phone fetches, taking in what it sends, and verifying it."""

import hashlib
import json
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from inspect_app import clock
from inspect_app.actions.house import generate_house
from inspect_app.actions.ingest import record_entries
from inspect_app.actions.pack import prepare_pack
from inspect_app.actions.verify import verify_data
from inspect_app.domain.checklist import Checklist, Competence, Way
from inspect_app.domain.fitting import fitting_points
from inspect_app.domain.part import Part
from inspect_app.domain.role import Role
from inspect_app.store.checklist import freeze_revision, load_shelf
from inspect_app.store.db import write_transaction
from tests.bench.measure import Line, in_turn
from tests.bench.place import FORTY_SETS, Place, copies, count, insert_plainly, last_rows, make_place, rows_of

BATCH, ROUNDS = 300, 5
CHECKLIST, IN_PASS = "grid-quarterly", "grid/static"
TABLES = ("entry", "look", "part_state", "journal")


class Walk:
    """A walk under way on one phone, which notes looks without a finding as the walk page does."""

    def __init__(self, place: Place) -> None:
        self.place, self.id, self.seq = place, clock.new_id(), 0
        self.began = clock.now() - timedelta(hours=3)
        at = clock.now()
        shelf = load_shelf(place.settings)
        self.checklist: Checklist = shelf.checklists[CHECKLIST]
        with write_transaction(place.db):
            freeze_revision(place.db, self.checklist, shelf.sources[CHECKLIST], at)
        inventory = generate_house(place.db, at=at, actor=place.person.id, house=place.house.id, answers=FORTY_SETS)
        self.asked = [(part, points) for part in inventory.parts if (points := self._points(part))]
        self.lives = inventory.lives
        self.send([self._entry("opening", **self._opening())])

    def _points(self, part: Part) -> list[str]:
        ways = frozenset({Way.SEEN_CLOSE})
        return [point.id for point in fitting_points(self.checklist, part.kind, IN_PASS, ways, Competence.COMPETENT)]

    def _entry(self, kind: str, **body: Any) -> dict[str, Any]:
        self.seq += 1
        moment: datetime = self.began + timedelta(seconds=2 * self.seq)
        return {
            "schema": 1,
            "kind": kind,
            "id": clock.new_id(),
            "house": self.place.house.id,
            "walk": self.id,
            "device": self.place.device.id,
            "seq": self.seq,
            "recorded_at": moment.isoformat(timespec="milliseconds"),
            "tz": "UTC",
            "by": self.place.person.id,
            **body,
        }

    def _opening(self) -> dict[str, Any]:
        scope = {
            "checklists": [{"id": CHECKLIST, "revision": self.checklist.revision}],
            "line_sets": None,
            "areas": None,
        }
        people = {"aloft": ["Robin Bench"], "deck": "Kim Deck", "radio": "1", "rescue": "Kim Deck", "down_at": "18:00"}
        return {
            "title": "Bench walk",
            "date_local": self.began.date().isoformat(),
            "scope": scope,
            "people": people,
            "hangs": {},
            "cautions_read": True,
        }

    def looks(self, number: int) -> list[dict[str, Any]]:
        """Entries of a stretch: the next parts in turn, no finding, seen close."""
        first = self.seq
        made = []
        for n in range(number):
            part, points = self.asked[(first + n) % len(self.asked)]
            made.append(
                self._entry(
                    "look",
                    part=part.id,
                    life=self.lives[part.id].id if part.id in self.lives else None,
                    tag_seen=part.tag,
                    checklist=CHECKLIST,
                    revision=self.checklist.revision,
                    **{"pass": IN_PASS},
                    points=points,
                    result="no_finding",
                    ways=["seen_close"],
                    tap=clock.new_id(),
                )
            )
        return made

    def send(self, entries: list[dict[str, Any]]) -> None:
        verdicts = record_entries(self.place.db, at=clock.now(), device=self.place.device, entries=entries)
        bad = [verdict for verdict in verdicts if verdict.verdict != "stored"]
        if bad:
            raise RuntimeError(f"an entry was {bad[0].verdict}: {bad[0].reason}")


def ingest_against_insert(folder: Path) -> Line:
    place = make_place(folder / "data")
    walk = Walk(place)
    before = last_rows(place.db, TABLES)
    targets = iter(copies(place, folder, ROUNDS + 1))
    batches = [walk.looks(BATCH) for _ in range(ROUNDS + 1)]
    walk.send(walk.looks(BATCH))
    rows = rows_of(place.db, TABLES, before)
    waiting = iter(batches)
    ours, plain = in_turn(lambda: walk.send(next(waiting)), lambda: insert_plainly(next(targets), rows), ROUNDS)
    return Line(
        "entries: take in 300",
        f"{BATCH} looks in one batch: read, checked against house, checklist and roles, stored with their bytes, "
        "their looks and states, and one journal row",
        f"the {count(rows)} rows that such a batch leaves written by plain executemany in one transaction",
        f"one batch; a single entry is {ours / BATCH * 1000:.2f} ms of it",
        ours,
        plain,
    )


def verify_against_digests(folder: Path) -> Line:
    place = make_place(folder / "data")
    walk = Walk(place)
    for _ in range(10):
        walk.send(walk.looks(BATCH))
    journal = place.db.execute("SELECT count(*) FROM journal").fetchone()[0]

    def digests_only() -> None:
        for (raw,) in place.db.execute("SELECT raw FROM entry"):
            hashlib.sha256(raw).digest()
        for row in place.db.execute("SELECT items FROM journal"):
            hashlib.sha256(row[0].encode()).digest()

    def verified() -> None:
        result = verify_data(place.db, place.settings.data)
        if not result.holds:
            raise RuntimeError(str([check.says for check in result.checks if not check.holds]))

    ours, plain = in_turn(verified, digests_only, ROUNDS)
    return Line(
        "verify: a data folder",
        f"the chain of {journal} journal rows and the digests of {walk.seq} entries recomputed and compared",
        "reading the same bytes from the database and digesting them, nothing compared",
        "one verification",
        ours,
        plain,
    )


def pack_against_dump(folder: Path) -> Line:
    place = make_place(folder / "data")
    walk = Walk(place)
    walk.send(walk.looks(BATCH))
    at, roles = clock.now(), frozenset({Role.TD})

    def prepared() -> bytes:
        return prepare_pack(place.db, place.settings, at=at, device=place.device, roles=roles).body

    body = prepared()
    content = json.loads(body)
    ours, plain = in_turn(
        prepared, lambda: json.dumps(content, ensure_ascii=False, separators=(",", ":")).encode(), ROUNDS
    )
    return Line(
        "pack: all a phone needs",
        f"house of 40 sets of 6 lines with {len(content['parts'])} parts, {len(content['checklists'])} checklists with "
        f"their screens, limits and last results, gathered and written: {len(body) / 1e6:.1f} MB",
        "the same content written as JSON by the standard library",
        "one pack",
        ours,
        plain,
    )
