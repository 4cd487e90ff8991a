"""Two phones and a desk on one walk: whatever comes first, late, twice or in pieces, the record is the same."""

import hashlib
import json
import random
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlite_utils import Database
from sqlite_utils.utils import sqlite3

from inspect_app.actions.device import desk_device, pair_device
from inspect_app.actions.ingest import ingest_entries
from inspect_app.actions.seal import draft_data
from inspect_app.config import settings_for
from inspect_app.domain.entry import finding_id
from inspect_app.domain.ids import from_key, uuid7
from inspect_app.domain.journal import first_break
from inspect_app.domain.role import Role
from inspect_app.domain.sequence import ids_digest
from inspect_app.domain.strict_json import read_item
from inspect_app.store.checklist import Shelf, freeze_revision, load_shelf
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db, write_transaction
from inspect_app.store.device import Device, list_devices
from inspect_app.store.device_count import list_device_counts
from inspect_app.store.journal import list_journal
from inspect_app.store.reference import reference_at
from inspect_app.store.walk import list_closings, list_devices_of_walk
from tests.conftest import make_house
from tests.walk_builder import START, add_person

FIRST_MS = int(START.timestamp() * 1000)
WALK = uuid7(FIRST_MS, 1)
TAGS = ("HB 1", "LB 1-1", "LB 1-2", "LB 2-1")
PHONE_OFF = timedelta(days=2)  # the second phone's clock is that far behind


class Place(NamedTuple):
    """A house with a technical director's phone, an inspector's phone and the director's desk."""

    data: Path
    shelf: Shelf
    criteria: Any
    house: str
    devices: tuple[Device, ...]
    parts: dict[str, str]
    line_set: str

    def __repr__(self) -> str:
        return "the place"


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Place:
    folder = open_data_folder(tmp_path_factory.mktemp("order") / "data").settings
    db = open_db(database_path(folder))
    shelf = load_shelf(settings_for(folder.data))
    house = make_house(db, "Old Mill Playhouse")
    people = [add_person(db, house, "Ines Halloran", Role.TD), add_person(db, house, "Pat Quill", Role.INSPECTOR)]
    for person in people:
        pair_device(db, at=START, actor=person.id, house=house.id, label=f"Phone of {person.name}")
    desk = desk_device(db, at=START, actor=people[0].id, house=house.id)
    with write_transaction(db):
        freeze_revision(db, shelf.checklists["grid-quarterly"], shelf.sources["grid-quarterly"], START)
    phones = sorted(list_devices(db, house.id), key=lambda device: device.name)
    parts = {tag: from_key(key) for tag, key in db.execute("SELECT tag, id FROM part")}
    line_set = from_key(db.execute("SELECT id FROM line_set WHERE number = '2'").fetchone()[0])
    db.conn.close()
    criteria = reference_at(folder.shared).criteria
    return Place(folder.data, shelf, criteria, house.id, (*phones, desk), parts, line_set)


@contextmanager
def office(place: Place) -> Iterator[Database]:
    """A copy in memory of the prepared database."""
    source = open_db(place.data / "inspect.db")
    connection = sqlite3.connect(":memory:", isolation_level=None)
    source.conn.backup(connection)
    source.conn.close()
    connection.execute("PRAGMA foreign_keys=ON")
    connection.execute("PRAGMA recursive_triggers=ON")
    yield Database(connection, execute_plugins=False)
    connection.close()


class Step(NamedTuple):
    """One thing that happens on the walk: on which device, what, at which part, upon which earlier entry."""

    device: int
    what: str
    tag: str
    pick: int


KINDS = ("fine", "fine", "finding", "finding", "answered", "answered", "not reached", "withdrawn", "corrected", "added",
         "stop", "step")  # fmt: skip
STEPS = st.lists(
    st.builds(Step, st.integers(0, 2), st.sampled_from(KINDS), st.sampled_from(TAGS), st.integers(0, 99)),
    min_size=4,
    max_size=18,
)


class Story:
    """The walk as its people record it: entries by device, each with a count of its own."""

    def __init__(self, place: Place) -> None:
        self.place, self.told, self.seq = place, [], [0, 0, 0]  # type: ignore[var-annotated]
        self.checklist = place.shelf.checklists["grid-quarterly"]

    def add(self, device: int, kind: str, **given: Any) -> dict[str, Any]:
        """One entry; its id, number and time follow from the count."""
        n = len(self.told) + 2
        self.seq[device] += 1
        at = START + timedelta(seconds=20 * n) - (PHONE_OFF if device == 1 else timedelta())
        sender = self.place.devices[device]
        entry = {
            "schema": 1, "kind": kind, "id": uuid7(FIRST_MS + n, n), "house": self.place.house, "walk": WALK,
            "device": sender.id, "seq": self.seq[device], "recorded_at": at.isoformat(), "by": sender.person.id,
            **given,
        }  # fmt: skip
        self.told.append((device, entry))
        return entry

    def open(self) -> None:
        scope = {"id": self.checklist.id, "revision": self.checklist.revision}
        people = {"aloft": ["Ines"], "deck": "Joan", "radio": "4", "rescue": "house kit", "down_at": "22:00"}
        self.add(
            0, "opening", title="Spring walk", date_local="2026-03-04", people=people, hangs={}, cautions_read=True,
            scope={"checklists": [scope], "line_sets": None, "areas": None},
        )  # fmt: skip

    def look(self, step: Step, result: str, **given: Any) -> None:
        kind = "loft_block" if step.tag.startswith("LB") else "head_block"
        points = [point for point in self.checklist.points() if kind in point.parts and point.in_pass == "grid/static"]
        claimed = [points[step.pick % 3].id] if result == "finding" else [point.id for point in points]
        self.add(
            step.device, "look",
            **{"part": self.place.parts[step.tag], "checklist": self.checklist.id, "revision": self.checklist.revision,
               "pass": "grid/static", "points": claimed if result in ("finding", "no_finding") else [],
               "result": result, "ways": [] if result in ("withdrawn", "not_reached") else ["handled"],
               "reason": "dark" if result == "not_reached" else None, **given},
        )  # fmt: skip

    def finding(self, step: Step, of: str | None = None, **given: Any) -> None:
        grade = ("watch", "repair_by", "restrict", "stop_use")[step.pick % 4]
        kind = "loft_block" if step.tag.startswith("LB") else "head_block"
        points = [point for point in self.checklist.points() if kind in point.parts and point.in_pass == "grid/static"]
        row = {"point": points[step.pick % 3].id, "point_text": "as seen", "answer": "still_there" if of else "new",
               "of": of, "grade": grade, "wear": 2, "note": "worn", "grade_reason": "seen in good light"}  # fmt: skip
        self.look(step, "finding", findings=[row], **given)

    def happen(self, step: Step) -> None:
        part = self.place.parts[step.tag]
        looks = [e for _, e in self.told if e.get("part") == part and e["result"] in ("no_finding", "finding")]
        # A phone offers for an answer what its pack lists as open, so nothing that was corrected or taken back since.
        replaced = {key for _, e in self.told for key in e.get("replaces", ())}
        roots = [e for e in looks if e["result"] == "finding" and not e["findings"][0]["of"]]
        found = [e for e in roots if e["id"] not in replaced and not e.get("replaces")]
        answered = {finding["of"] for _, e in self.told for finding in e.get("findings", ())}
        # Nor is a correction corrected again here: in the worst order that leaves a deficiency under two numbers.
        taken = {e["id"] for e in looks if e.get("findings") and (e["id"] in replaced or e.get("replaces"))}
        looks = [e for e in looks if finding_id(e["id"], 0) not in answered and e["id"] not in taken]
        earlier = looks[step.pick % len(looks)] if looks else None
        stops = [entry["id"] for _, entry in self.told if "why" in entry]
        if step.what == "answered" and found:
            self.finding(step, of=finding_id(found[step.pick % len(found)]["id"], 0))
        elif step.what == "step" and stops:
            self.add(step.device, "stop", of=stops[step.pick % len(stops)], step="told_rail", who="Joan")
        elif step.what == "stop":
            self.add(step.device, "stop", line_set=self.place.line_set, why="frayed")
        elif step.what == "not reached":
            self.look(step, "not_reached")
        elif earlier and step.what == "withdrawn":
            self.look(step, "withdrawn", replaces=[earlier["id"]])
        elif earlier and step.what == "corrected":
            self.finding(step, replaces=[earlier["id"]])
        elif earlier and step.what == "added":
            self.look(step, "no_finding", points=[], adds_to=earlier["id"], note="and a note")
        elif step.what == "finding":
            self.finding(step)
        else:
            self.look(step, "no_finding")

    def close(self) -> None:
        for device in range(3):
            own = [entry["id"] for sender, entry in self.told if sender == device]
            self.add(
                device, "closing", count=len(own), last_seq=self.seq[device], ids_sha256=ids_digest(own),
                people_down=[{"name": "Ines", "at": "21:40"}], tools_counted=True, sets_locked=True, locks_left="none",
            )  # fmt: skip


Batch = tuple[int, list[str]]


def cut(story: Story, chance: random.Random) -> list[Batch]:
    """What each device sends, in pieces of its own order, some of them twice."""
    batches: list[Batch] = []
    for device in range(3):
        texts = [json.dumps(entry) for sender, entry in story.told if sender == device]
        while texts:
            size = chance.randint(1, 6)
            batches.append((device, texts[:size]))
            texts = texts[size:]
    return batches + [chance.choice(batches) for _ in range(chance.randint(0, 4))]


def arrive(db: Database, place: Place, batches: list[Batch], at: datetime, every: timedelta) -> list[str]:
    verdicts = []
    for device, texts in batches:
        items = [read_item(text) for text in texts]
        done = ingest_entries(db, at=at, device=place.devices[device], items=items, shelf=place.shelf)
        verdicts += [one.verdict for one in done]
        at += every
    return verdicts


GIVEN_OUT_ON_ARRIVAL = {"journal_head", "number", "deficiency"}


def settled(value: Any) -> Any:
    """A document without numbers that are given out on arrival, its lists in an order that arrival has no part in."""
    if isinstance(value, dict):
        return {key: settled(one) for key, one in value.items() if key not in GIVEN_OUT_ON_ARRIVAL}
    if isinstance(value, list):
        return sorted((settled(one) for one in value), key=lambda one: json.dumps(one, sort_keys=True))
    return value


def record_of(db: Database, place: Place) -> Any:
    """All that a signature would seal now, what is out of use, and what is known of each device."""
    data = json.loads(draft_data(db, place.house, WALK, place.criteria))
    stops = db.execute("SELECT line_set, part, from_entry, why, raised_at, state FROM tag_out").fetchall()
    states = db.execute("SELECT * FROM part_state").fetchall()
    counts = [(row.device.id, row.entries, row.gaps, row.short) for row in list_device_counts(db, place.house)]
    return settled(data), sorted(stops, key=repr), sorted(states, key=repr), sorted(counts)


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(steps=STEPS, seed=st.integers(0, 2**32))
def test_two_phones_and_a_desk_give_one_record_in_whatever_order_they_arrive(
    place: Place, steps: list[Step], seed: int
) -> None:
    chance, story = random.Random(seed), Story(place)
    story.open()
    for step in steps:
        story.happen(step)
    story.close()
    batches = cut(story, chance)
    shuffled = chance.sample(batches, len(batches))
    with office(place) as first, office(place) as second:
        evening = START + timedelta(hours=2)
        as_told = [(device, [json.dumps(entry)]) for device, entry in story.told]
        assert set(arrive(first, place, as_told, evening, timedelta())) == {"stored"}
        verdicts = arrive(second, place, shuffled, evening + timedelta(days=3), timedelta(hours=5))
        assert set(verdicts) <= {"stored", "duplicate"}
        assert verdicts.count("stored") == len(story.told)
        assert record_of(first, place) == record_of(second, place)
        raw = {digest for (digest,) in second.execute("SELECT sha256 FROM entry")}
        assert raw == {hashlib.sha256(json.dumps(entry).encode()).digest() for _, entry in story.told}
        closings = list_closings(second, place.house, WALK)
        assert all(device.whole for device in list_devices_of_walk(second, place.house, WALK, closings))
        assert first_break(list_journal(second)) is None
