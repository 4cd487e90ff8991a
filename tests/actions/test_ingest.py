"""Batches of entries: the same record in any order, nothing lost, nothing twice, stops that act at once."""

import hashlib
import json
import random
from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlite_utils import Database
from sqlite_utils.utils import sqlite3

from inspect_app import clock
from inspect_app.actions.device import desk_device, pair_device
from inspect_app.actions.entry_effect import apply_effects
from inspect_app.actions.ingest import Verdict, ingest_entries, problems_of, record_entries
from inspect_app.config import settings_for
from inspect_app.domain.checklist import Checklist
from inspect_app.domain.entry import finding_id
from inspect_app.domain.errors import NotSaved
from inspect_app.domain.ids import from_key, uuid7
from inspect_app.domain.journal import first_break
from inspect_app.domain.role import Role
from inspect_app.domain.strict_json import read_batch
from inspect_app.domain.walk import WalkState
from inspect_app.store.checklist import Shelf, load_shelf
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db, write_transaction
from inspect_app.store.device import Device, list_devices
from inspect_app.store.entry import list_held, list_sequence_numbers
from inspect_app.store.journal import list_journal
from inspect_app.store.look import list_part_states, rebuild_projections
from inspect_app.store.tag_out import list_standing
from inspect_app.store.walk import set_walk_state
from tests.conftest import make_house
from tests.walk_builder import add_person

AT = datetime(2026, 3, 4, 19, 30, tzinfo=UTC)


class Stage(NamedTuple):
    """A small house with a technical director's and a helper's phone, ready to take entries."""

    db: Database
    shelf: Shelf
    checklist: Checklist
    house: str
    td: Device
    helper: Device
    parts: dict[str, str]  # id by tag
    sets: dict[str, str]  # id by number


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = open_data_folder(tmp_path_factory.mktemp("stage") / "data")
    db = open_db(database_path(folder.settings))
    house = make_house(db, "Old Mill Playhouse")
    for name, role in (("Ines Halloran", Role.TD), ("Pat Quill", Role.HELPER)):
        person = add_person(db, house, name, role)
        pair_device(db, at=AT, actor=person.id, house=house.id, label=name)
    make_house(db, "Harbour Hall")
    db.conn.close()
    return folder.settings.data


class Quiet:
    """A shelf that prints short, so that a failing example can be read."""

    def __init__(self, shelf: Shelf) -> None:
        self.shelf = shelf

    def __repr__(self) -> str:
        return "the shelf"


@pytest.fixture(scope="module")
def shelf(base: Path) -> Quiet:
    return Quiet(load_shelf(settings_for(base)))


def staged(base: Path, shelf: Quiet) -> Stage:
    """A copy in memory of the prepared database."""
    source = open_db(base / "inspect.db")
    connection = sqlite3.connect(":memory:", isolation_level=None)
    source.conn.backup(connection)
    source.conn.close()
    connection.execute("PRAGMA foreign_keys=ON")
    connection.execute("PRAGMA recursive_triggers=ON")
    db = Database(connection, execute_plugins=False)
    house = from_key(db.execute("SELECT id FROM house WHERE name = 'Old Mill Playhouse'").fetchone()[0])
    phones = {device.name: device for device in list_devices(db, house)}
    parts = db.execute(
        "SELECT tag, id FROM part WHERE house = (SELECT id FROM house WHERE name = 'Old Mill Playhouse')"
    )
    sets = db.execute(
        "SELECT number, id FROM line_set WHERE house = (SELECT id FROM house WHERE name = 'Old Mill Playhouse')"
    )
    return Stage(
        db,
        shelf.shelf,
        shelf.shelf.checklists["grid-quarterly"],
        house,
        phones["Ines Halloran"],
        phones["Pat Quill"],
        {tag: from_key(key) for tag, key in parts},
        {number: from_key(key) for number, key in sets},
    )


@pytest.fixture
def stage(base: Path, shelf: Quiet) -> Stage:
    return staged(base, shelf)


WALK = uuid7(1_772_650_000_000, 1)


class Writer:
    """Writes entries as a phone would; ids and times follow from the count, so that a run can be repeated."""

    def __init__(self, stage: Stage) -> None:
        self.stage, self.n = stage, 0
        self.seq = {stage.td.id: 0, stage.helper.id: 0}

    def entry(self, kind: str, device: Device | None = None, **given: Any) -> dict[str, Any]:
        device = device or self.stage.td
        self.n += 1
        self.seq[device.id] += 1
        at = AT - timedelta(minutes=20) + timedelta(seconds=self.n)
        return {
            "schema": 1, "kind": kind, "id": uuid7(int(at.timestamp() * 1000), self.n), "house": self.stage.house,
            "walk": WALK, "device": device.id, "seq": self.seq[device.id], "recorded_at": at.isoformat(),
            "by": device.person.id, **given,
        }  # fmt: skip

    def opening(self, **given: Any) -> dict[str, Any]:
        c = self.stage.checklist
        return self.entry(
            "opening", title="Spring walk", date_local="2026-03-04", hangs={}, cautions_read=True,
            scope={"checklists": [{"id": c.id, "revision": c.revision}], "line_sets": None, "areas": None},
            people={"aloft": ["Ines"], "deck": "Joan", "radio": "4", "rescue": "house kit", "down_at": "22:00"},
            **given,
        )  # fmt: skip

    def look(self, tag: str, result: str = "no_finding", device: Device | None = None, **given: Any) -> dict[str, Any]:
        c, kind = self.stage.checklist, "loft_block" if tag.startswith("LB") else "head_block"
        points = [p.id for p in c.points() if kind in p.parts and p.in_pass == "grid/static"]
        return self.entry(
            "look", device,
            **{"part": self.stage.parts[tag], "checklist": c.id, "revision": c.revision, "pass": "grid/static",
               "points": points[:2] if result == "no_finding" else [], "result": result, "ways": ["handled"],
               "reason": "dark" if result.startswith("not") else None, **given},
        )  # fmt: skip

    def finding(self, tag: str, grade: str = "watch", device: Device | None = None, point: int = 0, answer: str = "new",
                of: str | None = None, **given: Any) -> dict[str, Any]:  # fmt: skip
        kind = "loft_block" if tag.startswith("LB") else "head_block"
        asked = [p for p in self.stage.checklist.points() if kind in p.parts and p.in_pass == "grid/static"][point]
        row = {"point": asked.id, "point_text": asked.ask, "answer": answer, "of": of, "grade": grade, "wear": 2,
               "note": "worn", "grade_reason": "seen in good light"}  # fmt: skip
        return self.look(tag, "finding", device, points=[asked.id], findings=[row], **given)

    def closing(self, device: Device | None = None) -> dict[str, Any]:
        device = device or self.stage.td
        return self.entry(
            "closing", device, count=self.seq[device.id], last_seq=self.seq[device.id], ids_sha256="0" * 64,
            people_down=[{"name": "Ines", "at": "21:40"}], tools_counted=True, sets_locked=True, locks_left="none",
        )  # fmt: skip


def send(
    stage: Stage, entries: Sequence[dict[str, Any]], device: Device | None = None, at: datetime = AT
) -> list[Verdict]:
    return list(record_entries(stage.db, at=at, device=device or stage.td, entries=entries, shelf=stage.shelf))


def one(stage: Stage, entry: dict[str, Any], device: Device | None = None) -> Verdict:
    (verdict,) = send(stage, [entry], device)
    return verdict


PROJECTIONS = ("look", "finding", "measure", "look_replaced", "part_state", "walk", "photo_use")


def dump(db: Database, tables: Sequence[str] = PROJECTIONS) -> dict[str, list[tuple[Any, ...]]]:
    return {table: sorted(db.execute(f"SELECT * FROM {table}").fetchall(), key=repr) for table in tables}


def consequences(db: Database) -> dict[str, list[tuple[Any, ...]]]:
    """What follows from the entries, without the ids and numbers that are given out in order of arrival."""
    queries = {
        "deficiency": "SELECT part, what, grade, state, found_at FROM deficiency WHERE state <> 'same'",
        "tag_out": "SELECT line_set, area, part, from_entry, why, raised_by, raised_at, state FROM tag_out",
        "tag_step": "SELECT t.from_entry, s.step, s.who, s.by, s.at FROM tag_step s JOIN tag_out t ON t.id = s.tag_out",
        "device": "SELECT id, last_seq FROM device",
        "held": "SELECT sha256 FROM held",
    }
    return {name: sorted(db.execute(sql).fetchall(), key=repr) for name, sql in queries.items()}


TAGS = ("HB 1", "LB 1-1", "LB 1-2", "LB 2-1")


@st.composite
def stories(draw: st.DrawFn) -> Callable[[Stage], list[dict[str, Any]]]:
    """A walk as two people may record it, with corrections, withdrawals, answers, late notes, stops and steps."""
    what = st.sampled_from([0, 1, 2, 3, 3, 4, 4, 5, 6, 6, 7, 7, 7, 8, 9, 10, 10])
    step = st.tuples(what, st.sampled_from([0, 0, 1, 1, 2, 3]), st.booleans(), st.integers(0, 99))
    steps = draw(st.lists(step, min_size=3, max_size=14))

    def tell(stage: Stage) -> list[dict[str, Any]]:
        writer = Writer(stage)
        told = [writer.opening()]
        for what, tag, helper, pick in steps:
            told.append(_step(writer, told, what, TAGS[tag], stage.helper if helper else stage.td, pick))
        return [*told, writer.closing()]

    return tell


def _step(writer: Writer, told: list[dict[str, Any]], what: int, tag: str, device: Device, pick: int) -> dict[str, Any]:
    earlier = [
        e for e in told if e["kind"] == "look" and e["part"] == writer.stage.parts[tag] and e["result"] != "withdrawn"
    ]
    target = earlier[pick % len(earlier)] if earlier else None
    photos = [uuid7(1_772_650_000_000, pick)]
    if target and what == 0:
        return writer.look(tag, "withdrawn", device, replaces=[target["id"]], ways=[])
    if target and what == 1 and not target.get("findings"):
        return writer.look(tag, "not_reached", device, replaces=[target["id"]], ways=[])
    if target and what == 2:
        return writer.look(tag, device=device, points=[], adds_to=target["id"], photos=photos, note="and a picture")
    if target and target.get("findings") and what in (3, 4):
        root, answer = target["findings"][0], ("still_there", "worse")[what == 4]
        grade = "stop_use" if what == 4 else root["grade"]
        of = root["of"] or finding_id(target["id"], 0)
        return writer.finding(tag, grade, device, answer=answer, of=of) if root["answer"] == "new" else writer.look(tag)
    if target and target.get("findings") and what == 10:
        return writer.finding(tag, "restrict", device, replaces=[target["id"]])
    if what == 5:
        return writer.entry("stop", device, line_set=writer.stage.sets["1"], why="frayed")
    stops = [e for e in told if e["kind"] == "stop" and "line_set" in e]
    if what == 6 and stops:
        return writer.entry("stop", device, of=stops[pick % len(stops)]["id"], step="told_rail", who="Joan")
    if what == 7:
        grade = ("watch", "repair_by", "restrict", "stop_use")[pick % 4]
        return writer.finding(tag, grade, device, point=pick % 2)
    if what == 8:
        return writer.look(tag, "not_reached", device, ways=[])
    figure = {"point": "p", "quantity": "q", "value": "0.128", "unit": "in", "readings": ["0.128", "0.129"]}
    return writer.look(tag, device=device, measures=[figure], photos=photos)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    story=stories(),
    repeats=st.lists(st.integers(0, 99), max_size=6),
    seed=st.integers(0, 2**32),
    cuts=st.sets(st.integers(1, 20), max_size=4),
)
def test_shuffled_repeated_and_split_batches_give_the_same_record(
    base: Path,
    shelf: Quiet,
    story: Callable[[Stage], list[dict[str, Any]]],
    repeats: list[int],
    seed: int,
    cuts: set[int],
) -> None:
    plain = staged(base, shelf)
    entries = story(plain)
    for entry in entries:
        assert one(plain, entry).verdict == "stored"
    mixed = staged(base, shelf)
    order = [*entries, *(entries[n % len(entries)] for n in repeats)]
    random.Random(seed).shuffle(order)
    verdicts = []
    for low, high in pairwise([0, *sorted(cuts), len(order) + 20]):
        verdicts += send(mixed, order[low:high])
    assert {verdict.verdict for verdict in verdicts} <= {"stored", "duplicate"}
    assert [v.verdict for v in verdicts].count("stored") == len(entries)
    assert dump(mixed.db) == dump(plain.db)
    assert consequences(mixed.db) == consequences(plain.db)
    with write_transaction(mixed.db):
        rebuild_projections(mixed.db)
    assert dump(mixed.db) == dump(plain.db)
    assert first_break(list_journal(mixed.db)) is None


def test_the_bytes_of_each_entry_are_kept_as_they_stood_in_the_request(stage: Stage) -> None:
    entry = Writer(stage).look("LB 1-1", note="grün — ✓")
    text = json.dumps(entry, indent=3, ensure_ascii=True).replace('"seq"', '"\\u0073eq"')
    body = f'{{ "sent_at": "x", "entries": [\n{text}\t] }}'
    batch = read_batch(body, "entries")
    (verdict,) = ingest_entries(stage.db, at=AT, device=stage.td, items=batch.items, shelf=stage.shelf)
    raw, digest = stage.db.execute("SELECT raw, sha256 FROM entry").fetchone()
    assert verdict.verdict == "stored"
    assert raw == text.encode()
    assert digest == hashlib.sha256(text.encode()).digest()


def test_one_journal_row_for_a_batch_names_each_entry(stage: Stage) -> None:
    writer = Writer(stage)
    entries = [writer.opening(), writer.look("LB 1-1"), writer.look("LB 1-2"), {"kind": "odd"}]
    send(stage, entries)
    rows = [row for row in list_journal(stage.db) if row.action == "entry.receive"]
    assert len(rows) == 1
    named = {(item.table, item.id) for item in rows[0].items}
    assert {("entry", entry["id"]) for entry in entries[:3]} <= named
    assert [table for table, _ in named].count("held") == 1
    send(stage, entries)
    assert len([row for row in list_journal(stage.db) if row.action == "entry.receive"]) == 1, "a repeat writes nothing"


HOLD = {
    "no object": (lambda w: 3, "JSON object"),
    "future schema": (lambda w: {**w.look("LB 1-1"), "schema": 2}, "schema"),
    "unknown kind": (lambda w: w.entry("dance"), "kind"),
    "unknown part": (lambda w: w.look("LB 1-1", part=uuid7(1, 1)), "part"),
    "unknown revision": (lambda w: w.look("LB 1-1", revision="ab" * 32), "revision"),
    "unknown device": (lambda w: w.look("LB 1-1") | {"device": uuid7(1, 2)}, "device"),
    "another house": (lambda w: w.look("LB 1-1") | {"house": uuid7(1, 3)}, "house"),
    "unknown set": (lambda w: w.entry("stop", why="x", line_set=uuid7(1, 4)), "line_set"),
    "contradiction": (lambda w: w.look("LB 1-1", "finding"), "findings"),
}  # fmt: skip


@pytest.mark.parametrize("name", sorted(HOLD))
def test_what_is_not_understood_is_held_with_its_text_and_blocks_nothing(stage: Stage, name: str) -> None:
    make, why = HOLD[name]
    writer = Writer(stage)
    odd, plain = make(writer), writer.look("LB 1-2")
    verdicts = send(stage, [odd, plain])
    assert [verdict.verdict for verdict in verdicts] == ["held", "stored"]
    assert why in verdicts[0].reason
    (held,) = list_held(stage.db, stage.house)
    assert json.loads(held.raw) == odd
    assert [verdict.verdict for verdict in send(stage, [odd])] == ["held"], "sent again it is held once"
    assert len(list_held(stage.db, stage.house)) == 1


def test_the_same_id_with_other_content_is_held_and_the_first_stays(stage: Stage) -> None:
    first = Writer(stage).look("LB 1-1")
    assert one(stage, first).verdict == "stored"
    before = dump(stage.db)
    verdict = one(stage, {**first, "note": "changed"})
    assert verdict == Verdict(first["id"], "held", "another entry with this id is here, with other content")
    assert dump(stage.db) == before


def test_part_of_another_house_is_as_unknown_as_none(stage: Stage) -> None:
    (other,) = stage.db.execute(
        "SELECT id FROM part WHERE house <> (SELECT house FROM device LIMIT 1) LIMIT 1"
    ).fetchone()
    assert one(stage, Writer(stage).look("LB 1-1", part=from_key(other))).verdict == "held"


def test_claimed_points_that_do_not_fit_are_not_counted_and_the_entry_is_kept(stage: Stage) -> None:
    writer = Writer(stage)
    asked = [p for p in stage.checklist.points() if "loft_block" in p.parts and p.in_pass == "grid/static"]
    good = next(p.id for p in asked if p.method == "look" and p.way == "seen_close")
    handled = next(p.id for p in asked if p.way == "handled")
    look = writer.look("LB 1-1", points=[good, handled, "never-heard-of"], ways=["seen_close"])
    verdict = one(stage, look)
    assert verdict.verdict == "stored"
    assert handled in verdict.reason
    (points,) = stage.db.execute("SELECT points FROM look").fetchone()
    assert json.loads(points) == [good]
    (flags,) = stage.db.execute("SELECT flags FROM entry").fetchone()
    assert {point for point, _ in json.loads(flags)["not_counted"]} == {handled, "never-heard-of"}


def test_a_helpers_looks_wait_for_a_countersign_and_do_not_move_the_state(stage: Stage) -> None:
    writer = Writer(stage)
    send(stage, [writer.look("LB 1-1")])
    send(stage, [writer.look("LB 1-1", "not_reached", stage.helper)], stage.helper)
    assert stage.db.execute("SELECT needs_countersign FROM look ORDER BY at").fetchall() == [(0,), (1,)]
    assert list_part_states(stage.db, stage.house)[stage.parts["LB 1-1"]].result == "no_finding"


def test_an_entry_sent_through_another_persons_phone_is_kept_and_marked(stage: Stage) -> None:
    look = Writer(stage).look("LB 1-1")
    verdict = one(stage, look, stage.helper)
    assert verdict.verdict == "stored"
    (flags,) = stage.db.execute("SELECT flags FROM entry").fetchone()
    assert {code for code, _, _ in json.loads(flags)["remarks"]} >= {"other_device"}
    assert json.loads(flags)["countersign"] is True


def test_a_look_for_a_signed_walk_is_kept_as_late(stage: Stage) -> None:
    writer = Writer(stage)
    send(stage, [writer.opening(), writer.look("LB 1-1")])
    with write_transaction(stage.db):
        set_walk_state(stage.db, WALK, WalkState.SEALED, AT)
    late = writer.finding("LB 1-2", "stop_use")
    assert one(stage, late).verdict == "stored"
    assert stage.db.execute("SELECT late FROM entry ORDER BY arrival").fetchall() == [(0,), (0,), (1,)]
    assert [tag_out.from_entry for tag_out in list_standing(stage.db, stage.house)] == [late["id"]]
    assert stage.db.execute("SELECT state FROM walk").fetchone() == ("sealed",)


def test_a_finding_of_stop_use_takes_its_whole_line_set_out_of_use_at_once(stage: Stage) -> None:
    finding = Writer(stage).finding("LB 2-1", "stop_use", stage.helper)
    one(stage, finding, stage.helper)
    (tag_out,) = list_standing(stage.db, stage.house)
    assert tag_out.scope == "Line set 2"
    assert tag_out.part == stage.parts["LB 2-1"]
    assert tag_out.raised_by == stage.helper.person.id
    (deficiency,) = stage.db.execute("SELECT grade, state FROM deficiency").fetchall()
    assert deficiency == ("stop_use", "found")


def test_an_answer_to_a_stopped_finding_raises_no_second_stop_while_the_first_stands(stage: Stage) -> None:
    writer = Writer(stage)
    first = writer.finding("LB 2-1", "stop_use")
    one(stage, first)
    root = finding_id(first["id"], 0)
    one(stage, writer.finding("LB 2-1", "stop_use", answer="still_there", of=root))
    one(stage, writer.finding("LB 2-1", "stop_use", answer="not_seen_now", of=root))
    assert len(list_standing(stage.db, stage.house)) == 1
    stage.db.execute("UPDATE tag_out SET state = 'released'")
    one(stage, writer.finding("LB 2-1", "stop_use", answer="not_seen_now", of=root))
    assert list_standing(stage.db, stage.house) == []
    one(stage, writer.finding("LB 2-1", "stop_use", answer="still_there", of=root))
    assert len(list_standing(stage.db, stage.house)) == 1


def test_withdrawing_the_look_does_not_lift_the_stop(stage: Stage) -> None:
    writer = Writer(stage)
    finding = writer.finding("LB 2-1", "stop_use")
    send(stage, [finding, writer.look("LB 2-1", "withdrawn", replaces=[finding["id"]], ways=[])])
    assert len(list_standing(stage.db, stage.house)) == 1


@pytest.mark.parametrize("change", [{"schema": 9}, {"seq": "one"}, {"ways": ["licked"]}, {"revision": None}])
def test_a_stop_in_an_entry_that_is_held_acts_all_the_same(stage: Stage, change: dict[str, Any]) -> None:
    finding = {**Writer(stage).finding("LB 2-1", "stop_use"), **change}
    assert one(stage, finding).verdict == "held"
    assert one(stage, finding).verdict == "held"
    (tag_out,) = list_standing(stage.db, stage.house)
    assert tag_out.scope == "Line set 2"
    assert "worn" in tag_out.why


def test_a_stop_that_names_nothing_here_stops_nothing(stage: Stage) -> None:
    for stop in ({"line_set": "twelve"}, {"line_set": uuid7(1, 9)}, {"area": 4}):
        assert one(stage, Writer(stage).entry("stop", why="x", **stop)).verdict == "held"
    assert list_standing(stage.db, stage.house) == []


def test_a_stop_without_a_reason_still_stops(stage: Stage) -> None:
    assert one(stage, {**Writer(stage).entry("stop", line_set=stage.sets["1"]), "walk": None}).verdict == "stored"
    (tag_out,) = list_standing(stage.db, stage.house)
    assert tag_out.why == "Stopped; no reason was given"


def test_a_look_at_another_part_cannot_replace_whatever_comes_first(base: Path, shelf: Quiet) -> None:
    for order in (1, -1):
        stage = staged(base, shelf)
        writer = Writer(stage)
        first = writer.look("LB 1-1")
        wrong = writer.look("LB 1-2", "withdrawn", replaces=[first["id"]], ways=[])
        send(stage, [first, wrong][::order])
        assert stage.db.execute("SELECT count(*) FROM look_replaced").fetchone() == (0,)
        assert list_part_states(stage.db, stage.house)[stage.parts["LB 1-1"]].result == "no_finding"


def test_the_opening_makes_the_walk_and_keeps_its_revision_for_good(stage: Stage) -> None:
    assert one(stage, Writer(stage).opening()).verdict == "stored"
    assert stage.db.execute("SELECT title, date_local, state FROM walk").fetchone() == (
        "Spring walk",
        "2026-03-04",
        "open",
    )
    kept = stage.db.execute("SELECT sha256, sources FROM checklist_revision").fetchall()
    assert [sha256.hex() for sha256, _ in kept] == [stage.checklist.revision]
    assert "grid-quarterly.yaml" in json.loads(kept[0][1])


def test_a_correction_of_the_grade_regrades_its_deficiency_and_makes_no_second_one(stage: Stage) -> None:
    writer = Writer(stage)
    slip = writer.finding("LB 1-1", "watch")
    send(stage, [slip, writer.finding("LB 1-1", "restrict", replaces=[slip["id"]])])
    assert stage.db.execute("SELECT grade FROM deficiency").fetchall() == [("restrict",)]


def test_a_full_disk_keeps_nothing_of_a_batch_and_says_so(stage: Stage) -> None:
    writer = Writer(stage)
    stage.db.execute(f"PRAGMA max_page_count = {stage.db.execute('PRAGMA page_count').fetchone()[0]}")
    long = [writer.look("LB 1-1", note="x" * 4000) for _ in range(60)]
    with pytest.raises(NotSaved, match="disk is full"):
        send(stage, long)
    assert stage.db.execute("SELECT count(*) FROM entry").fetchone() == (0,)
    stage.db.execute("PRAGMA max_page_count = 1000000")
    assert {verdict.verdict for verdict in send(stage, long)} == {"stored"}


def test_what_cannot_be_stored_for_an_unforeseen_reason_is_held_and_the_rest_goes_in(
    stage: Stage, monkeypatch: pytest.MonkeyPatch
) -> None:
    writer = Writer(stage)
    bad, good = writer.look("LB 1-1"), writer.look("LB 1-2")

    def fail(db: Database, entry: Any, row: Any, revisions: Any) -> list[Any]:
        if row.id == bad["id"]:
            db.execute("INSERT INTO look_replaced(entry, by_entry) VALUES (NULL, NULL)")
        return []

    monkeypatch.setattr("inspect_app.actions.ingest.apply_effects", fail)
    assert [verdict.verdict for verdict in send(stage, [bad, good])] == ["held", "stored"]
    assert [from_key(key) for (key,) in stage.db.execute("SELECT id FROM entry").fetchall()] == [good["id"]]


def test_a_checklist_is_kept_with_the_entry_that_goes_in_when_the_one_before_it_could_not(
    stage: Stage, monkeypatch: pytest.MonkeyPatch
) -> None:
    writer = Writer(stage)
    bad, good = writer.look("LB 1-1"), writer.look("LB 1-2")
    kept = "SELECT count(*) FROM checklist_revision WHERE lower(hex(sha256)) = ?"
    assert stage.db.execute(kept, (good["revision"],)).fetchone() == (0,)

    def fail_late(db: Database, entry: Any, row: Any, revisions: Any) -> list[Any]:
        done = apply_effects(db, entry, row, revisions)
        if row.id == bad["id"]:
            db.execute("INSERT INTO look_replaced(entry, by_entry) VALUES (NULL, NULL)")
        return done

    monkeypatch.setattr("inspect_app.actions.ingest.apply_effects", fail_late)
    assert [verdict.verdict for verdict in send(stage, [bad, good])] == ["held", "stored"]
    assert stage.db.execute(kept, (good["revision"],)).fetchone() == (1,)


def test_held_texts_leave_no_gap_in_the_numbers_of_a_device(stage: Stage) -> None:
    writer = Writer(stage)
    send(stage, [writer.look("LB 1-1"), {**writer.look("LB 1-2"), "schema": 7}, writer.look("LB 1-2")])
    assert list_sequence_numbers(stage.db, stage.td.id) == [1, 2, 3]
    assert stage.db.execute("SELECT last_seq FROM device WHERE name = 'Ines Halloran'").fetchone() == (3,)


def test_the_desk_records_through_a_device_of_its_own_and_is_told_what_is_wrong(stage: Stage) -> None:
    desk = desk_device(stage.db, at=AT, actor=stage.td.person.id, house=stage.house)
    assert desk_device(stage.db, at=AT, actor=stage.td.person.id, house=stage.house) == desk
    assert desk.kind == "desk"
    look = Writer(stage).look("LB 1-1") | {"device": desk.id, "seq": 1}
    wrong = {**look, "result": "not_reached", "reason": " "}
    assert [p.field for p in problems_of(stage.db, at=AT, device=desk, data=wrong, shelf=stage.shelf)] == ["reason"]
    assert problems_of(stage.db, at=AT, device=desk, data=look, shelf=stage.shelf) == ()
    assert one(stage, look, desk).verdict == "stored"


def test_ids_of_this_program_are_not_touched_by_a_phone_with_a_wrong_clock(stage: Stage) -> None:
    look = Writer(stage).look("LB 1-1") | {"recorded_at": "1970-01-01T00:00:00Z", "id": uuid7(0, 5)}
    assert one(stage, look).verdict == "stored"
    assert clock.new_id() > look["id"]


@pytest.mark.parametrize("order", [(0, 1, 2), (1, 0, 2), (2, 1, 0), (2, 0, 1)])
def test_one_stop_stands_for_a_finding_and_its_answers_whichever_comes_first(
    stage: Stage, order: tuple[int, int, int]
) -> None:
    writer = Writer(stage)
    first = writer.finding("LB 2-1", "stop_use")
    root = finding_id(first["id"], 0)
    answers = [writer.finding("LB 2-1", "stop_use", answer="still_there", of=root) for _ in range(2)]
    entries = [first, *answers]
    for n in order:
        one(stage, entries[n])
        assert len(list_standing(stage.db, stage.house)) == 1, "it stops from the first that arrives"
    one(stage, writer.entry("stop", of=answers[1]["id"], step="told_rail", who="Joan"))
    (stop,) = list_standing(stage.db, stage.house)
    assert stop.from_entry == first["id"]
    assert [step.who for step in stop.steps] == ["Joan"], "a step after an answer belongs to the stop that stands"


@pytest.mark.parametrize("schema", [0, 2, 99])
def test_an_entry_of_another_age_is_kept_and_told_what_to_do(stage: Stage, schema: int) -> None:
    verdict = one(stage, {**Writer(stage).look("LB 1-1"), "schema": schema})
    assert verdict.verdict == "held"
    assert ("newer" if schema > 1 else "older") in verdict.reason
    assert "kept" in verdict.reason


def test_a_withdrawn_look_gives_the_part_back_to_the_look_before_it(stage: Stage) -> None:
    writer = Writer(stage)
    first = writer.look("LB 2-1")
    second = writer.look("LB 2-1", "not_reached", ways=[], reason="Bundle in the way")
    send(stage, [first])
    send(stage, [second])
    part = stage.parts["LB 2-1"]
    assert list_part_states(stage.db, stage.house)[part].result == "not_reached"
    send(stage, [writer.look("LB 2-1", "withdrawn", replaces=[second["id"]], ways=[])])
    assert list_part_states(stage.db, stage.house)[part].result == "no_finding"
