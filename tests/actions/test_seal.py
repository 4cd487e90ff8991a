"""Signing and amending: numbers, gaps, what is covered, and that nothing sealed changes."""

import json
from datetime import timedelta

import pytest
import rfc8785
from sqlite_utils import Database
from sqlite_utils.utils import sqlite3

from inspect_app.actions.seal import draft_data
from inspect_app.actions.walk import countersign_entries, decide_grade
from inspect_app.domain.checklist import Grade
from inspect_app.domain.entry import finding_id
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed
from inspect_app.domain.role import Role
from inspect_app.domain.seal import root_of
from inspect_app.domain.walk import How, WalkState
from inspect_app.store.journal import list_journal
from inspect_app.store.seal import get_seal_data, list_sealed_entries
from inspect_app.store.tag_out import list_standing
from tests.walk_builder import START, BuiltWalk, Phone, add_person


def data_of(walk: BuiltWalk, n: int | None = None) -> dict:  # type: ignore[type-arg]
    data = get_seal_data(walk.db, walk.house.id, walk.id, n)
    assert data is not None
    return json.loads(data)


def test_a_signed_walk_is_numbered_sealed_and_journalled(walk: BuiltWalk) -> None:
    walk.look("HB 1")
    walk.finding("LB 1-1", "restrict")
    walk.close()
    signature = walk.sign()
    assert (signature.number, signature.n) == ("2026-001", 1)
    assert walk.record.walk.state is WalkState.SEALED
    data = data_of(walk)
    assert data["report"] == {"number": "2026-001", "revision": 1, "kind": "signed"}
    assert {row["tag"]: row["result"] for row in data["parts"]} == {
        "HB 1": "no_finding", "LB 1-1": "finding", "LB 1-2": "not_looked_at",
        "HB 2": "not_looked_at", "LB 2-1": "not_looked_at", "LB 2-2": "not_looked_at",
    }  # fmt: skip
    assert list(list_journal(walk.db))[-1].action == "walk.sign"
    assert set(list_sealed_entries(walk.db, walk.id)) == {entry for entry, _ in walk.record.entries}


def test_the_sealed_data_are_canonical_and_their_root_can_be_recomputed(walk: BuiltWalk) -> None:
    walk.look("HB 1")
    walk.close()
    walk.sign()
    raw = get_seal_data(walk.db, walk.house.id, walk.id)
    data = json.loads(raw or b"")
    assert rfc8785.dumps(data) == raw
    stored = walk.db.execute("SELECT lower(hex(id)), lower(hex(sha256)) FROM entry").fetchall()
    lines = {(f"{i[:8]}-{i[8:12]}-{i[12:16]}-{i[16:20]}-{i[20:]}", sha) for i, sha in stored}
    assert root_of(lines) == data["root_sha256"]
    heads = {row.hash.hex() for row in list_journal(walk.db)}
    assert data["journal_head"] in heads


def test_a_walk_that_nobody_closed_is_not_signed(walk: BuiltWalk) -> None:
    walk.look("HB 1")
    with pytest.raises(Conflict, match="down"):
        walk.sign()


def test_signing_twice_is_refused_and_the_first_seal_stays(walk: BuiltWalk) -> None:
    walk.close()
    walk.sign()
    with pytest.raises(Conflict, match="signed already"):
        walk.sign()
    assert len(walk.record.signatures) == 1


def test_entries_that_came_after_the_review_keep_the_signature_back(walk: BuiltWalk) -> None:
    walk.close()
    old = root_of(walk.record.entries)
    walk.look("HB 1")
    with pytest.raises(Conflict, match="arrived while"):
        walk.sign(reviewed_root=old)


def test_a_gap_in_what_a_phone_counted_needs_a_reason_that_is_kept(walk: BuiltWalk) -> None:
    walk.phone.seq += 3
    walk.look("HB 1")
    walk.close()
    with pytest.raises(BadValue, match="missing"):
        walk.sign()
    walk.sign(gaps_reason="the phone fell")
    data = data_of(walk)
    assert data["signatures"][0]["gaps_reason"] == "the phone fell"
    assert data["walk"]["devices"][0]["gaps"] == [[2, 4]]


def test_a_photo_that_is_still_on_a_phone_needs_a_reason_too(walk: BuiltWalk) -> None:
    walk.look("HB 1", photos=["0195a000-0000-7000-8000-00000000aaaa"])
    walk.close()
    with pytest.raises(BadValue, match="missing"):
        walk.sign()
    walk.sign(gaps_reason="photo lost")
    assert data_of(walk)["photos"][0]["state"] == "missing"


@pytest.mark.parametrize("field", ["name", "credential", "statement"])
def test_a_signature_says_who_with_what_and_to_what(walk: BuiltWalk, field: str) -> None:
    walk.close()
    with pytest.raises(BadValue) as caught:
        walk.sign(**{field: "  "})
    assert caught.value.field == field


@pytest.mark.parametrize("role", [Role.HELPER, Role.MANAGER, Role.ADMIN])
def test_only_a_director_or_inspector_signs(walk: BuiltWalk, role: Role) -> None:
    walk.close()
    with pytest.raises(NotAllowed):
        walk.sign(actor=add_person(walk.db, walk.house, "Sam", role), role=role)


def test_an_annual_inspection_is_signed_by_a_qualified_inspector(db: Database, walk: BuiltWalk) -> None:
    annual = BuiltWalk(db, walk.settings, walk.house, "annual-hands-on")
    annual.open()
    annual.close()
    with pytest.raises(NotAllowed, match="qualified inspector"):
        annual.sign()
    inspector = add_person(db, walk.house, "Mara Okafor", Role.INSPECTOR)
    assert annual.sign(actor=inspector, role=Role.INSPECTOR).role == "Qualified inspector"


def test_numbers_run_on_by_year_of_the_house_without_a_gap(db: Database, walk: BuiltWalk) -> None:
    walk.close()
    walk.sign()
    for expected, at in (
        ("2026-002", START),
        ("2026-003", START + timedelta(days=1)),
        ("2027-001", START.replace(year=2027)),
    ):
        other = BuiltWalk(db, walk.settings, walk.house)
        other.at = at
        other.open()
        other.close()
        assert other.sign().number == expected


def test_the_year_of_a_number_is_that_of_the_house_not_of_utc(walk: BuiltWalk) -> None:
    walk.close()
    walk.at = START.replace(year=2027, month=1, day=1, hour=3)  # still 31 December in Chicago
    assert walk.sign().number == "2026-001"


def test_a_grade_below_the_proposal_without_a_reason_keeps_the_signature_back(walk: BuiltWalk) -> None:
    point = next(p for p in walk.checklist.points_for(walk.part("HB 1").kind) if p.grade is Grade.RESTRICT)
    entry = walk.finding("HB 1", "watch", point=point.id, grade_reason="")
    walk.close()
    with pytest.raises(Conflict, match="HB 1"):
        walk.sign()
    finding = finding_id(entry, 0)
    with pytest.raises(BadValue, match="why"):
        decide_grade(walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, walk=walk.id, finding=finding,
                     grade=Grade.WATCH, reason="")  # fmt: skip
    decide_grade(walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, walk=walk.id, finding=finding,
                 grade=Grade.WATCH, reason="measured again")  # fmt: skip
    walk.sign()
    (row,) = data_of(walk)["findings"]
    assert (row["grade"], row["proposed_grade"]) == ("watch", "restrict")
    assert "measured again" in row["grade_reason"]


def test_a_late_entry_changes_nothing_sealed_and_waits_for_an_amendment(walk: BuiltWalk) -> None:
    walk.look("HB 1")
    walk.close()
    walk.sign()
    before = get_seal_data(walk.db, walk.house.id, walk.id, 1)
    late = walk.look("LB 1-1", "not_reached")
    assert walk.record.late == (late,)
    assert get_seal_data(walk.db, walk.house.id, walk.id, 1) == before
    amendment = walk.amend(gaps_reason="sent a day later")
    assert (amendment.number, amendment.n) == ("2026-001", 2)
    assert get_seal_data(walk.db, walk.house.id, walk.id, 1) == before
    data = data_of(walk)
    assert data["report"] == {"number": "2026-001", "revision": 2, "kind": "amendment"}
    assert [row["part"] for row in data["not_reached"]] == ["LB 1-1"]
    assert [row["n"] for row in data["signatures"]] == [1, 2]
    assert walk.record.late == ()


def test_nothing_new_is_nothing_to_amend(walk: BuiltWalk) -> None:
    walk.close()
    walk.sign()
    with pytest.raises(Conflict, match="nothing to amend"):
        walk.amend()


def test_a_stop_in_a_late_entry_acts_on_arrival(walk: BuiltWalk) -> None:
    walk.close()
    walk.sign()
    walk.finding("LB 1-1", "stop_use")
    (stop,) = list_standing(walk.db, walk.house.id)
    assert (stop.scope, stop.part_tag) == ("Line set 1", "LB 1-1")


def test_a_countersign_after_the_signature_counts_only_through_an_amendment(walk: BuiltWalk) -> None:
    helper = Phone(walk.db, walk.house, add_person(walk.db, walk.house, "Sam Idris", Role.HELPER))
    entry = walk.look("HB 1", phone=helper)
    walk.close()
    walk.close(helper)
    walk.sign()
    assert data_of(walk)["coverage"]["parts"]["looked_at"] == 0
    assert [row["why"] for row in data_of(walk)["not_counted"]] == ["no countersign yet"]
    countersign_entries(walk.db, at=walk.at + timedelta(minutes=1), actor=walk.td.id, house=walk.house.id, walk=walk.id,
                        entries=[entry], how=How.BESIDE_THEM)  # fmt: skip
    walk.at += timedelta(minutes=2)
    walk.amend()
    assert data_of(walk, 1)["coverage"]["parts"]["looked_at"] == 0
    assert data_of(walk, 2)["coverage"]["parts"]["looked_at"] == 1


SEALED = ("seal", "sealed_entry", "entry", "decision", "countersign", "journal")


@pytest.mark.parametrize("table", SEALED)
def test_sql_cannot_change_or_delete_what_is_sealed(walk: BuiltWalk, table: str) -> None:
    helper = Phone(walk.db, walk.house, add_person(walk.db, walk.house, "Sam Idris", Role.HELPER))
    entry = walk.look("HB 1", phone=helper)
    countersign_entries(walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, walk=walk.id, entries=[entry],
                        how=How.BESIDE_THEM)  # fmt: skip
    found = walk.finding("LB 1-1")
    decide_grade(walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, walk=walk.id, finding=finding_id(found, 0),
                 grade=Grade.RESTRICT, reason="")  # fmt: skip
    walk.close()
    walk.close(helper)
    walk.sign()
    column = walk.db.execute(f"SELECT name FROM pragma_table_info('{table}') LIMIT 1").fetchone()[0]
    before = walk.db.execute(f"SELECT * FROM {table}").fetchall()
    assert before
    for statement in (
        f"UPDATE {table} SET {column} = {column}",
        f"DELETE FROM {table}",
        f"REPLACE INTO {table} SELECT * FROM {table}",
    ):
        with pytest.raises(sqlite3.IntegrityError, match="written once"):
            walk.db.execute(statement)
    assert walk.db.execute(f"SELECT * FROM {table}").fetchall() == before


def test_an_empty_walk_signs_to_correct_data(walk: BuiltWalk) -> None:
    walk.close()
    signature = walk.sign()
    parts = data_of(walk)["coverage"]["parts"]
    assert (parts["in_scope"], parts["not_looked_at"], parts["never_recorded"]) == (6, 6, 6)
    assert not signature.complete


def test_a_draft_says_so_and_gives_out_no_number(walk: BuiltWalk) -> None:
    walk.look("HB 1")
    data = json.loads(draft_data(walk.db, walk.house.id, walk.id, walk.criteria))
    assert data["report"]["kind"] == "draft"
    assert (data["report"]["number"], data["signatures"]) == ("", [])


def test_a_drawn_signature_that_holds_anything_but_lines_is_refused(walk: BuiltWalk) -> None:
    walk.close()
    with pytest.raises(BadValue):
        walk.sign(drawn='M 1 1"/><script>alert(1)</script>')
    assert walk.sign(drawn="M 1 1 L 2 2").drawn == "M 1 1 L 2 2"
