"""The life of a deficiency through its actions: moves with proof, found again, sent back, put off, joined."""

from datetime import timedelta

import pytest
from sqlite_utils.utils import sqlite3

from inspect_app.actions.deficiency import (
    find_no_fault,
    move_deficiency,
    record_checked_repair,
    settle_deficiency,
)
from inspect_app.actions.repair_plan import regrade_deficiency
from inspect_app.actions.verify import verify_data
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import Deficiency, DeficiencyState
from inspect_app.domain.entry import finding_id
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed, NotFound
from inspect_app.domain.ids import to_key
from inspect_app.domain.journal import first_break
from inspect_app.domain.person import Person
from inspect_app.domain.repair_policy import policy_of
from inspect_app.domain.role import Role
from inspect_app.store.deficiency import list_deficiencies, list_deficiency_events
from inspect_app.store.journal import list_journal
from inspect_app.store.look import list_open_findings, list_part_states
from inspect_app.store.relook import list_relooks
from inspect_app.store.tag_out import list_standing
from tests.walk_builder import BuiltWalk, Phone, add_person

S = DeficiencyState


def the_one(walk: BuiltWalk, number: int = 1) -> Deficiency:
    return next(row for row in list_deficiencies(walk.db, walk.house.id) if row.number == number)


def move(walk: BuiltWalk, to: DeficiencyState, person: Person, role: Role, number: int = 1, **proof: str) -> None:
    given = {
        "decision": "replace the bolt", "contractor": "Harbour Rigging", "due_on": "2026-04-01",
        "put_right_by": "Harbour Rigging", "done_on": "2026-03-01", "what": "new bolt, torqued", "looked_at": "tried",
        "reason": "seen again", "decided_by": "R. Abara", "until": "2026-06-01", **proof,
    }  # fmt: skip
    move_deficiency(
        walk.db, at=walk.at, actor=person.id, house=walk.house.id, deficiency=the_one(walk, number).id, to_state=to,
        role=role, proof=given,
    )  # fmt: skip


def to_work_done(walk: BuiltWalk, number: int = 1, **proof: str) -> None:
    move(walk, S.DECIDED, walk.td, Role.TD, number)
    move(walk, S.WORK_DONE, walk.td, Role.TD, number, **proof)


def settled(walk: BuiltWalk, inspector: Person, number: int = 1) -> None:
    to_work_done(walk, number)
    move(walk, S.CHECKED, inspector, Role.INSPECTOR, number)
    move(walk, S.SETTLED, inspector, Role.INSPECTOR, number)


@pytest.fixture
def inspector(walk: BuiltWalk) -> Person:
    return add_person(walk.db, walk.house, "Mara Okafor", Role.INSPECTOR)


def test_a_finding_is_decided_repaired_checked_by_another_and_settled(walk: BuiltWalk, inspector: Person) -> None:
    walk.finding("LB 1-1", "restrict")
    move(walk, S.DECIDED, walk.td, Role.TD, order_number="PO 17")
    row = the_one(walk)
    assert (row.contractor, row.due_on, row.order_number) == ("Harbour Rigging", "2026-04-01", "PO 17")
    move(walk, S.IN_HAND, walk.td, Role.TD)
    move(walk, S.WORK_DONE, walk.td, Role.TD, parts_used="M12 8.8")
    assert list_part_states(walk.db, walk.house.id)[walk.part("LB 1-1").id].open_findings == 1
    move(walk, S.CHECKED, inspector, Role.INSPECTOR)
    assert the_one(walk).open
    move(walk, S.SETTLED, inspector, Role.INSPECTOR, re_look_on="2026-04-10")
    events = list_deficiency_events(walk.db, the_one(walk).id)
    assert [e.to_state for e in events] == ["decided", "in_hand", "work_done", "checked", "settled"]
    assert (events[3].by_name, events[3].role) == ("Mara Okafor", Role.INSPECTOR)
    assert events[2].proof["parts_used"] == "M12 8.8"
    assert list_part_states(walk.db, walk.house.id)[walk.part("LB 1-1").id].open_findings == 0
    (relook,) = list_relooks(walk.db, walk.house.id)
    assert (relook.look_on.isoformat(), relook.deficiency) == ("2026-04-10", the_one(walk).id)


@pytest.mark.parametrize(
    "typed", [" mara  okafor ", "Mara", "Okafor, Mara", "Mára Okafor", "Mara Okafor and a helper", "Ma\u00adra Okafor"]
)
def test_nobody_checks_their_own_work_also_when_their_name_was_typed(
    walk: BuiltWalk, inspector: Person, typed: str
) -> None:
    walk.finding("LB 1-1", "restrict")
    to_work_done(walk, put_right_by=typed)
    with pytest.raises(NotAllowed, match="other than"):
        move(walk, S.CHECKED, inspector, Role.INSPECTOR)
    assert the_one(walk).state is S.WORK_DONE


def test_of_two_people_with_one_name_neither_checks_what_stands_under_that_name(
    walk: BuiltWalk, inspector: Person
) -> None:
    walk.finding("LB 1-1", "restrict")
    twin = add_person(walk.db, walk.house, inspector.name, Role.INSPECTOR)
    to_work_done(walk, put_right_by=inspector.name)
    for person in (inspector, twin):
        with pytest.raises(NotAllowed, match="other than"):
            move(walk, S.CHECKED, person, Role.INSPECTOR)
    move(walk, S.SENT_BACK, twin, Role.INSPECTOR)
    move(walk, S.WORK_DONE, walk.td, Role.TD, put_right_by_id=inspector.id)
    move(walk, S.CHECKED, twin, Role.INSPECTOR)


def test_the_load_path_waits_for_an_inspector(walk: BuiltWalk) -> None:
    walk.finding("LB 1-1", "repair_by")
    to_work_done(walk)
    with pytest.raises(NotAllowed, match="qualified inspector"):
        move(walk, S.CHECKED, walk.td, Role.TD)


def test_the_mark_of_a_check_by_the_repairer_alone_leaves_it_open_until_a_second_person_comes(
    walk: BuiltWalk, inspector: Person
) -> None:
    walk.finding("LB 1-1", "restrict")
    walk.db.execute("UPDATE part SET kind = 'guardrail' WHERE tag = 'LB 1-1'")  # not in the load path
    to_work_done(walk, put_right_by_id=walk.td.id)
    move(walk, S.WORK_DONE, walk.td, Role.TD)
    assert (the_one(walk).state, the_one(walk).own_check, the_one(walk).open) == (S.WORK_DONE, True, True)
    assert [e.to_state for e in list_deficiency_events(walk.db, the_one(walk).id)][-1] == "work_done"
    move(walk, S.CHECKED, inspector, Role.INSPECTOR)
    assert not the_one(walk).own_check


def test_work_that_is_sent_back_is_done_again(walk: BuiltWalk, inspector: Person) -> None:
    walk.finding("LB 1-1", "restrict")
    to_work_done(walk)
    move(walk, S.SENT_BACK, inspector, Role.INSPECTOR)
    move(walk, S.WORK_DONE, walk.td, Role.TD)
    move(walk, S.CHECKED, inspector, Role.INSPECTOR)


def test_a_person_outside_the_house_moves_nothing(walk: BuiltWalk, other_house) -> None:  # type: ignore[no-untyped-def]
    walk.finding("LB 1-1", "watch")
    stranger = add_person(walk.db, other_house, "Sam Pike", Role.TD)
    with pytest.raises(NotAllowed):
        move(walk, S.DECIDED, stranger, Role.TD)
    with pytest.raises(NotFound):
        settle_deficiency(
            walk.db, at=walk.at, actor=stranger.id, house=other_house.id, deficiency=the_one(walk).id, role=Role.TD
        )


def test_a_stop_that_stands_keeps_it_from_being_settled(walk: BuiltWalk, inspector: Person) -> None:
    walk.finding("LB 1-1", "stop_use")
    assert len(list_standing(walk.db, walk.house.id)) == 1
    to_work_done(walk)
    move(walk, S.CHECKED, inspector, Role.INSPECTOR)
    with pytest.raises(Conflict, match="still stands"):
        move(walk, S.SETTLED, inspector, Role.INSPECTOR)
    walk.db.execute("UPDATE tag_out SET state = 'released'")
    move(walk, S.SETTLED, inspector, Role.INSPECTOR)


def test_another_fault_of_a_stopped_part_is_settled_on_its_own(walk: BuiltWalk, inspector: Person) -> None:
    walk.finding("LB 1-1", "stop_use")
    walk.finding("LB 1-1", "watch", point=walk.points("LB 1-1")[1])
    settled(walk, inspector, 2)
    assert the_one(walk, 2).state is S.SETTLED


def test_a_repair_from_before_is_written_down_in_one_go(walk: BuiltWalk, inspector: Person) -> None:
    walk.finding("LB 1-1", "restrict")
    args = {"at": walk.at, "actor": inspector.id, "house": walk.house.id, "deficiency": the_one(walk).id}
    repair = {"put_right_by": "Joan Pell", "put_right_by_id": "", "done_on": "2026-03-01", "what": "new bolt"}
    with pytest.raises(NotAllowed):
        record_checked_repair(walk.db, **args, role=Role.INSPECTOR, **{**repair, "put_right_by_id": inspector.id})
    assert the_one(walk).state is S.FOUND  # all of it or nothing
    record_checked_repair(walk.db, **args, role=Role.INSPECTOR, **repair)
    settle_deficiency(walk.db, **args, role=Role.INSPECTOR)
    assert the_one(walk).state is S.SETTLED


@pytest.mark.parametrize(("field", "day"), [("done_on", "2027-01-01"), ("done_on", "yesterday"), ("done_on", "")])
def test_a_repair_is_not_dated_ahead_or_in_words(walk: BuiltWalk, field: str, day: str) -> None:
    walk.finding("LB 1-1", "restrict")
    move(walk, S.DECIDED, walk.td, Role.TD)
    with pytest.raises(BadValue) as caught:
        move(walk, S.WORK_DONE, walk.td, Role.TD, **{field: day})
    assert caught.value.field == field


def test_today_is_the_day_in_the_house(walk: BuiltWalk) -> None:
    walk.finding("LB 1-1", "watch")
    move(walk, S.DECIDED, walk.td, Role.TD)
    walk.at = walk.at.replace(day=5, hour=3)  # still the fourth of March in Chicago
    with pytest.raises(BadValue, match="ahead"):
        move(walk, S.WORK_DONE, walk.td, Role.TD, done_on="2026-03-05")


def test_a_day_later_than_the_houses_days_is_marked(walk: BuiltWalk) -> None:
    walk.finding("LB 1-1", "restrict")
    policy = policy_of({}, {Grade.STOP_USE: 0, Grade.RESTRICT: 30, Grade.REPAIR_BY: 180, Grade.WATCH: 365})
    proof = {"decision": "wait for parts", "responsible_id": walk.td.id, "due_on": "2026-05-01"}
    move_deficiency(
        walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, deficiency=the_one(walk).id, to_state=S.DECIDED,
        role=Role.TD, proof=proof, policy=policy,
    )  # fmt: skip
    (event,) = list_deficiency_events(walk.db, the_one(walk).id)
    assert event.proof["usual_due_on"] == "2026-04-03"
    assert the_one(walk).responsible == walk.td.id


# -- found again ------------------------------------------------------------------------------------------------------


def test_what_is_found_after_it_was_settled_has_a_new_number_and_is_recurring(
    walk: BuiltWalk, inspector: Person
) -> None:
    first = walk.finding("LB 1-1", "restrict")
    settled(walk, inspector)
    again = walk.finding("LB 1-1", "restrict", answer="still_there", of=finding_id(first, 0))
    assert (the_one(walk).state, the_one(walk).findings) == (S.SETTLED, (finding_id(first, 0),))
    new = the_one(walk, 2)
    assert (new.state, new.again_of, new.recurring) == (S.FOUND, 1, True)
    walk.finding("LB 1-1", "stop_use", answer="worse", of=finding_id(again, 0))  # joins the new one
    assert (len(list_deficiencies(walk.db, walk.house.id)), the_one(walk, 2).grade) == (2, Grade.STOP_USE)


def test_a_finding_reported_as_new_at_the_same_point_is_recurring_too(walk: BuiltWalk, inspector: Person) -> None:
    walk.finding("LB 1-1", "watch")
    settled(walk, inspector)
    walk.finding("LB 1-1", "watch")
    walk.finding("LB 1-1", "watch", point=walk.points("LB 1-1")[1])
    walk.finding("LB 1-2", "watch")
    assert [the_one(walk, n).again_of for n in (2, 3, 4)] == [1, None, None]


def test_what_was_no_fault_and_is_found_again_is_linked_but_not_recurring(walk: BuiltWalk, inspector: Person) -> None:
    first = walk.finding("LB 1-1", "watch")
    find_no_fault(walk.db, at=walk.at, actor=inspector.id, house=walk.house.id, deficiency=the_one(walk).id,
                  role=Role.INSPECTOR, reason="a paint run")  # fmt: skip
    walk.finding("LB 1-1", "watch", answer="still_there", of=finding_id(first, 0))
    assert (the_one(walk, 2).again_of, the_one(walk, 2).recurring) == (1, False)


def test_not_seen_now_brings_nothing_back(walk: BuiltWalk, inspector: Person) -> None:
    first = walk.finding("LB 1-1", "watch")
    settled(walk, inspector)
    walk.finding("LB 1-1", "watch", answer="not_seen_now", of=finding_id(first, 0))
    assert [row.state for row in list_deficiencies(walk.db, walk.house.id)] == [S.SETTLED]


def late(walk: BuiltWalk, inspector: Person, grade: str) -> None:
    """An answer that was recorded before it was settled and arrives afterwards, from a second phone."""
    other = Phone(walk.db, walk.house, inspector, "Second phone")
    first = walk.finding("LB 1-1", "watch")
    told = walk.at
    walk.at += timedelta(hours=1)
    settled(walk, inspector)
    walk.at = told + timedelta(minutes=1)
    walk.finding("LB 1-1", grade, other, answer="worse", of=finding_id(first, 0))


def test_a_late_entry_from_before_changes_nothing_that_was_known_and_says_so(
    walk: BuiltWalk, inspector: Person
) -> None:
    late(walk, inspector, "watch")
    assert (the_one(walk).state, len(list_deficiencies(walk.db, walk.house.id))) == (S.SETTLED, 1)
    assert "arrived afterwards" in list_deficiency_events(walk.db, the_one(walk).id)[0].note


def test_a_late_entry_that_makes_it_graver_opens_it_again(walk: BuiltWalk, inspector: Person) -> None:
    late(walk, inspector, "stop_use")
    assert (the_one(walk).state, the_one(walk).grade) == (S.FOUND, Grade.STOP_USE)


@pytest.mark.parametrize("checked", [False, True])
def test_work_that_did_not_hold_is_sent_back_by_the_next_walk(
    walk: BuiltWalk, inspector: Person, checked: bool
) -> None:
    first = walk.finding("LB 1-1", "restrict")
    to_work_done(walk)
    if checked:
        move(walk, S.CHECKED, inspector, Role.INSPECTOR)
    walk.finding("LB 1-1", "restrict", answer="still_there", of=finding_id(first, 0))
    assert the_one(walk).state is S.SENT_BACK


# -- put off, joined --------------------------------------------------------------------------------------------------


def test_what_is_put_off_comes_back_when_its_day_passes_or_when_it_is_worse(walk: BuiltWalk) -> None:
    first = walk.finding("LB 1-1", "watch")
    move(walk, S.PUT_OFF, walk.td, Role.TD)
    row = the_one(walk)
    assert row.open
    assert list_open_findings(walk.db, walk.house.id)
    until = walk.at.date().replace(month=6, day=1)
    assert [row.back_from_put_off(until + timedelta(days=n)) for n in (-1, 0, 1)] == [False, False, True]
    walk.finding("LB 1-1", "watch", answer="still_there", of=finding_id(first, 0))
    assert the_one(walk).state is S.PUT_OFF
    walk.finding("LB 1-1", "restrict", answer="worse", of=finding_id(first, 0))
    assert the_one(walk).state is S.FOUND


def test_stop_use_is_never_put_off(walk: BuiltWalk) -> None:
    walk.finding("LB 1-1", "stop_use")
    with pytest.raises(Conflict, match="never put off"):
        move(walk, S.PUT_OFF, walk.td, Role.TD)


def test_two_numbers_for_one_fault_are_joined_and_stay_joined(walk: BuiltWalk) -> None:
    points = walk.points("LB 1-1")
    first = walk.finding("LB 1-1", "watch", point=points[0])
    second = walk.finding("LB 1-1", "restrict", point=points[1])
    move(walk, S.SAME, walk.td, Role.TD, 2, same_as="1")
    assert (the_one(walk, 2).state, the_one(walk).grade) == (S.SAME, Grade.RESTRICT)
    assert set(the_one(walk).findings) == {finding_id(first, 0), finding_id(second, 0)}
    walk.finding("LB 1-1", "stop_use", point=points[1], answer="worse", of=finding_id(second, 0))
    assert (the_one(walk).grade, len(the_one(walk).findings)) == (Grade.STOP_USE, 3)
    assert len(list_deficiencies(walk.db, walk.house.id)) == 2


def test_a_fault_that_nobody_checked_is_not_joined_to_one_that_was(walk: BuiltWalk) -> None:
    walk.finding("LB 1-1", "watch", point=walk.points("LB 1-1")[0])
    walk.finding("LB 1-1", "restrict", point=walk.points("LB 1-1")[1])
    other = add_person(walk.db, walk.house, "Kit Doran", Role.TD)
    to_work_done(walk)
    move(walk, S.CHECKED, other, Role.TD)
    with pytest.raises(Conflict, match="was checked before"):
        move(walk, S.SAME, walk.td, Role.TD, 2, same_as="1")
    assert (the_one(walk).grade, the_one(walk, 2).state) == (Grade.WATCH, S.FOUND)
    move(walk, S.SENT_BACK, walk.td, Role.TD)
    move(walk, S.SAME, walk.td, Role.TD, 2, same_as="1")
    assert the_one(walk).grade is Grade.RESTRICT


def test_what_is_graver_than_when_a_director_checked_it_waits_for_an_inspector(
    walk: BuiltWalk, inspector: Person
) -> None:
    walk.finding("LB 1-1", "watch")
    to_work_done(walk)
    move(walk, S.CHECKED, add_person(walk.db, walk.house, "Kit Doran", Role.TD), Role.TD)
    regrade_deficiency(
        walk.db, at=walk.at, actor=inspector.id, house=walk.house.id, deficiency=the_one(walk).id,
        role=Role.INSPECTOR, grade=Grade.RESTRICT, reason="a crack, not a scratch",
    )  # fmt: skip
    with pytest.raises(Conflict, match="graver than when it was checked"):
        move(walk, S.SETTLED, walk.td, Role.TD)
    move(walk, S.SENT_BACK, walk.td, Role.TD)
    move(walk, S.WORK_DONE, walk.td, Role.TD)
    move(walk, S.CHECKED, inspector, Role.INSPECTOR)
    move(walk, S.SETTLED, walk.td, Role.TD)


def test_deficiencies_of_two_parts_are_not_joined_nor_into_one_that_is_closed(
    walk: BuiltWalk, inspector: Person
) -> None:
    walk.finding("LB 1-1", "watch")
    walk.finding("LB 1-2", "watch")
    walk.finding("LB 1-1", "watch", point=walk.points("LB 1-1")[1])
    with pytest.raises(Conflict, match="Each part keeps a number of its own"):
        move(walk, S.SAME, walk.td, Role.TD, 2, same_as="1")
    settled(walk, inspector, 3)
    with pytest.raises(Conflict, match="closed"):
        move(walk, S.SAME, walk.td, Role.TD, 1, same_as="3")
    for number in ("1", "9", "one"):
        with pytest.raises(BadValue, match="no other"):
            move(walk, S.SAME, walk.td, Role.TD, 1, same_as=number)


# -- no other path ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE deficiency SET state = 'settled'",
        "UPDATE deficiency SET state = 'decided'",
        "DELETE FROM deficiency",
        "INSERT INTO deficiency_event(id, deficiency, from_state, to_state, by, role, at) "
        "SELECT x'01', id, 'found', 'settled', x'02', '', '2026-03-04' FROM deficiency",
        "INSERT INTO deficiency_event(id, deficiency, from_state, to_state, by, role, at) "
        "SELECT x'01', id, 'checked', 'settled', x'02', '', '2026-03-04' FROM deficiency",
    ],
)
def test_the_database_refuses_a_state_without_its_event_and_a_move_that_is_in_no_row(walk: BuiltWalk, sql: str) -> None:
    walk.finding("LB 1-1", "watch")
    with pytest.raises(sqlite3.IntegrityError):
        walk.db.execute(sql)
    assert the_one(walk).state is S.FOUND


def test_a_state_forced_past_the_guards_is_seen_by_verify(walk: BuiltWalk, inspector: Person) -> None:
    walk.finding("LB 1-1", "watch")
    settled(walk, inspector)
    assert verify_data(walk.db, walk.settings.data).holds
    walk.db.execute("DROP TRIGGER guard_deficiency_state")
    walk.db.execute("UPDATE deficiency SET state = 'found' WHERE id = ?", (to_key(the_one(walk).id),))
    result = verify_data(walk.db, walk.settings.data)
    assert [check.says for check in result.checks if not check.holds] == [
        "deficiencies: the state of number 1 is not where its events lead"
    ]


def test_each_move_is_one_row_of_the_journal_and_the_chain_holds(walk: BuiltWalk, inspector: Person) -> None:
    walk.finding("LB 1-1", "restrict")
    before = len(list(list_journal(walk.db)))
    settled(walk, inspector)
    actions = [row.action for row in list_journal(walk.db)][before:]
    assert actions == [f"deficiency.{state}" for state in ("decided", "work_done", "checked", "settled")]
    assert first_break(list_journal(walk.db)) is None
