"""Two phones and a desk on one walk: whatever comes first, late, twice or in pieces, the record is the same."""

import hashlib
import json
import random
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from itertools import permutations
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
from inspect_app.domain.deficiency import Deficiency, DeficiencyState
from inspect_app.domain.entry import finding_id
from inspect_app.domain.ids import from_key, uuid7
from inspect_app.domain.journal import first_break
from inspect_app.domain.role import Role
from inspect_app.domain.sequence import ids_digest
from inspect_app.domain.strict_json import read_item
from inspect_app.store.checklist import Shelf, freeze_revision, load_shelf
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db, write_transaction
from inspect_app.store.deficiency import add_deficiency_event, list_deficiencies, list_deficiency_events
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


KINDS = {"fine": 2, "finding": 2, "answered": 2, "corrected": 3, "not reached": 1}
KINDS |= {"withdrawn": 1, "added": 1, "stop": 1, "step": 1}
WHAT = st.sampled_from([kind for kind, often in KINDS.items() for _ in range(often)])
WHERE = st.sampled_from((*TAGS, "LB 1-1", "LB 1-1"))  # one part more often, so that chains grow long
STEPS = st.lists(
    st.builds(Step, st.integers(0, 2), WHAT, WHERE, st.integers(0, 99)),
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

    def finding(self, step: Step, of: str | None = None, at: Any = None, **given: Any) -> None:
        """`at` are the findings that this one corrects: it is about the same point."""
        grade = ("watch", "repair_by", "restrict", "stop_use")[step.pick % 4]
        kind = "loft_block" if step.tag.startswith("LB") else "head_block"
        points = [point for point in self.checklist.points() if kind in point.parts and point.in_pass == "grid/static"]
        answer = ("still_there", "worse", "not_seen_now")[step.pick // 4 % 3]
        row = {
            "point": at[0]["point"] if at else points[step.pick % 3].id, "point_text": "as seen", "of": of,
            "answer": answer if of else "new", "grade": grade, "wear": 2, "note": f"worn {len(self.told)}",
            "grade_reason": "seen in good light",
        }  # fmt: skip
        self.look(step, "finding", findings=[row], **given)

    def happen(self, step: Step) -> None:
        part = self.place.parts[step.tag]
        looks = [e for _, e in self.told if e.get("part") == part and e["result"] in ("no_finding", "finding")]
        found = [e for e in looks if e["result"] == "finding"]
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
            others = [e["id"] for e in looks if e is not earlier and step.pick % 5 == 0][:1]  # one may resolve two
            self.finding(step, at=earlier.get("findings"), replaces=[earlier["id"], *others])
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
    if chance.random() < 0.3:  # as from a file put together by hand: not even one device's own order holds
        texts = [text for _, pieces in batches for text in pieces]
        senders = [device for device, pieces in batches for _ in pieces]
        batches = [(device, [text]) for device, text in zip(senders, texts, strict=True)]
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
    """All that a signature would seal now, which findings are one fault, what is out of use, what each device told."""
    data = json.loads(draft_data(db, place.house, WALK, place.criteria))
    stops = db.execute("SELECT line_set, part, from_entry, why, raised_at, state FROM tag_out").fetchall()
    states = db.execute("SELECT * FROM part_state").fetchall()
    faults = []
    for row in list_deficiencies(db, place.house):
        if row.state is not DeficiencyState.SAME:
            faults.append((sorted(row.findings), row.what, row.grade, row.state, row.found_at))
    counts = [(row.device.id, row.entries, row.gaps, row.short) for row in list_device_counts(db, place.house)]
    steps = db.execute(
        "SELECT t.from_entry, s.step, s.who, s.at FROM tag_step s JOIN tag_out t ON t.id = s.tag_out"
    ).fetchall()
    held = db.execute("SELECT count(*) FROM held").fetchone()
    return (
        settled(data), sorted(faults, key=repr), sorted(stops, key=repr), sorted(steps, key=repr),
        sorted(states, key=repr), sorted(counts), held,
    )  # fmt: skip


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


@pytest.mark.parametrize("order", list(permutations(range(3))), ids=lambda order: "".join("ABC"[n] for n in order))
def test_a_correction_of_a_correction_leaves_one_fault_whichever_arrives_first(
    place: Place, order: tuple[int, ...]
) -> None:
    story, step = Story(place), Step(0, "finding", "LB 1-1", 2)
    story.open()
    story.finding(step)
    for _ in range(2):
        story.finding(step._replace(pick=8), replaces=[story.told[-1][1]["id"]])
    opening, *findings = story.told
    batches = [(device, [json.dumps(entry)]) for device, entry in (opening, *(findings[n] for n in order))]
    with office(place) as db:
        arrive(db, place, batches, START + timedelta(hours=2), timedelta(minutes=1))
        rows = list_deficiencies(db, place.house)
        (fault,) = (row for row in rows if row.state is not DeficiencyState.SAME)
        assert fault.number == 1
        assert fault.what.endswith("worn 3")  # the last correction speaks
        assert fault.grade.value == "watch"
        assert fault.found_at == START + timedelta(seconds=60)  # when the slip was made, not when it was mended
        assert sorted(fault.findings) == sorted(finding_id(entry["id"], 0) for _, entry in findings)
        for other in rows[1:]:  # a number that was given out is not given out again, and says where its fault went on
            (event,) = list_deficiency_events(db, other.id)
            assert "same fault as deficiency 1" in event.note


def settle_as_it_is(db: Database, place: Place, row: Deficiency, at: datetime) -> None:
    """Move a deficiency from found to settled, whatever the rules ask of those who do so."""
    for state in ("decided", "work_done", "checked", "settled"):
        with write_transaction(db):
            add_deficiency_event(
                db, deficiency=row, to_state=DeficiencyState(state), by=place.devices[0].person.id, role="inspector",
                at=at, note="", proof={},
            )  # fmt: skip
        row = next(one for one in list_deficiencies(db, place.house) if one.id == row.id)


@pytest.mark.parametrize("order", list(permutations(range(4))), ids=lambda order: "".join("ABCD"[n] for n in order))
def test_what_was_told_before_and_after_a_settling_gives_two_numbers_whichever_arrives_first(
    place: Place, order: tuple[int, ...]
) -> None:
    story, step = Story(place), Step(0, "finding", "LB 1-1", 1)
    story.open()
    story.finding(step)
    root = finding_id(story.told[-1][1]["id"], 0)
    story.finding(step._replace(pick=1), of=root)  # A: still there, before it was settled
    before = len(story.told)
    story.finding(step._replace(pick=1), of=root)  # B: still there, after it was settled
    again = finding_id(story.told[-1][1]["id"], 0)
    story.finding(step._replace(pick=6), of=again)  # C: worse than B, now *restrict*
    story.finding(step._replace(pick=1), of=root)  # D: still there, as the phone offers it that knows only the first
    told = [(device, [json.dumps(entry)]) for device, entry in story.told]
    between = datetime.fromisoformat(story.told[before - 1][1]["recorded_at"]) + timedelta(seconds=5)
    with office(place) as db:
        arrive(db, place, told[:2], between, timedelta())
        (row,) = list_deficiencies(db, place.house)
        settle_as_it_is(db, place, row, between)
        arrive(db, place, [told[2 + n] for n in order], START + timedelta(days=1), timedelta(minutes=1))
        rows = [one for one in list_deficiencies(db, place.house) if one.state is not DeficiencyState.SAME]
        ids = [finding_id(entry["id"], 0) for _, entry in story.told[1:]]
        assert [(one.number, one.state, set(one.findings)) for one in rows[:1]] == [
            (1, DeficiencyState.SETTLED, set(ids[:2]))
        ]
        (new,) = rows[1:]
        assert (new.state, set(new.findings), new.grade.value) == (DeficiencyState.FOUND, set(ids[2:]), "restrict")
        assert (new.again_of, new.recurring) == (1, True)


def test_a_fault_that_was_settled_is_open_again_when_it_proves_to_be_one_that_stands_open(place: Place) -> None:
    story, step = Story(place), Step(0, "finding", "LB 1-1", 1)
    story.open()
    story.finding(step)
    story.finding(step, replaces=[story.told[-1][1]["id"]])
    story.finding(step, replaces=[story.told[-1][1]["id"]])
    opening, first, middle, last = [(device, [json.dumps(entry)]) for device, entry in story.told]
    with office(place) as db:
        evening = START + timedelta(hours=2)
        arrive(db, place, [opening, first], evening, timedelta())
        (row,) = list_deficiencies(db, place.house)
        settle_as_it_is(db, place, row, evening)
        arrive(db, place, [last, middle], evening + timedelta(days=1), timedelta())
        kept, other = list_deficiencies(db, place.house)
        assert (kept.state, other.state) == (DeficiencyState.FOUND, DeficiencyState.SAME)
