"""Settling with proof by another person, no fault, found again, and conditions accepted for a time."""

from itertools import product

import pytest

from inspect_app.actions.deficiency import accept_condition, end_condition, find_no_fault, settle_deficiency
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import TRANSITIONS, Deficiency, DeficiencyState, check_move
from inspect_app.domain.entry import finding_id
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.domain.tag_out import Group
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.deficiency import list_deficiencies, list_deficiency_events
from inspect_app.store.look import list_part_states
from tests.walk_builder import START, BuiltWalk, add_person


def the_one(walk: BuiltWalk) -> Deficiency:
    (found,) = list_deficiencies(walk.db, walk.house.id)
    return found


def settle(walk: BuiltWalk, person: Person, role: Role, **fields: str) -> None:
    given = {"put_right_by": "Joan Pell", "put_right_by_id": "", "done_on": "2026-03-01", "what": "new bolt, torqued"}
    settle_deficiency(
        walk.db, at=walk.at, actor=person.id, house=walk.house.id, deficiency=the_one(walk).id, role=role,
        **{**given, **fields},
    )  # fmt: skip


@pytest.fixture
def inspector(walk: BuiltWalk) -> Person:
    return add_person(walk.db, walk.house, "Mara Okafor", Role.INSPECTOR)


def test_a_repair_is_settled_by_another_person_with_proof(walk: BuiltWalk, inspector: Person) -> None:
    walk.finding("LB 1-1", "restrict")
    settle(walk, inspector, Role.INSPECTOR)
    assert the_one(walk).state is DeficiencyState.SETTLED
    (event,) = list_deficiency_events(walk.db, the_one(walk).id)
    assert (event.by_name, event.role, event.proof["put_right_by"]) == ("Mara Okafor", Role.INSPECTOR, "Joan Pell")
    assert list_part_states(walk.db, walk.house.id)[walk.part("LB 1-1").id].open_findings == 0


def test_nobody_settles_their_own_work(walk: BuiltWalk, inspector: Person) -> None:
    walk.finding("LB 1-1", "restrict")
    with pytest.raises(NotAllowed, match="other than"):
        settle(walk, inspector, Role.INSPECTOR, put_right_by_id=inspector.id)
    assert the_one(walk).open


@pytest.mark.parametrize("field", ["put_right_by", "done_on", "what"])
def test_proof_that_is_missing_is_asked_for(walk: BuiltWalk, inspector: Person, field: str) -> None:
    walk.finding("LB 1-1", "restrict")
    with pytest.raises(BadValue) as caught:
        settle(walk, inspector, Role.INSPECTOR, **{field: ""})
    assert caught.value.field == field


@pytest.mark.parametrize("day", ["2027-01-01", "yesterday"])
def test_a_repair_is_not_dated_ahead_or_in_words(walk: BuiltWalk, inspector: Person, day: str) -> None:
    walk.finding("LB 1-1", "restrict")
    with pytest.raises(BadValue):
        settle(walk, inspector, Role.INSPECTOR, done_on=day)


def test_the_load_path_is_checked_by_a_qualified_inspector_what_is_only_watched_by_a_director_too(
    walk: BuiltWalk,
) -> None:
    walk.finding("LB 1-1", "repair_by")
    with pytest.raises(NotAllowed, match="qualified inspector"):
        settle(walk, walk.td, Role.TD)
    check_move(the_one_at(walk, Grade.WATCH), DeficiencyState.SETTLED, by="x", role=Role.TD, held={Role.TD},
               proof={"put_right_by": "J", "done_on": "d", "what": "w"}, group=Group.LOAD_PATH)  # fmt: skip


def the_one_at(walk: BuiltWalk, grade: Grade) -> Deficiency:
    one = the_one(walk)
    return Deficiency(one.id, one.house, one.number, one.part, one.what, grade, one.state, one.found_at)


PROOF = {"put_right_by": "J", "done_on": "2026-03-01", "what": "w", "reason": "r"}


@pytest.mark.parametrize(("role", "move"), list(product(Role, product(DeficiencyState, DeficiencyState))))
def test_every_move_by_every_role_is_what_the_table_says(
    role: Role, move: tuple[DeficiencyState, DeficiencyState]
) -> None:
    one = Deficiency("d", "h", 1, "p", "w", Grade.WATCH, move[0], START)
    row = next((t for t in TRANSITIONS if (t.from_state, t.to_state) == move), None)
    allowed = row is not None and role in row.roles
    try:
        check_move(one, move[1], by="x", role=role, held={role}, proof=PROOF)
    except (NotAllowed, Conflict):
        assert not allowed
    else:
        assert allowed


def test_no_fault_needs_a_reason(walk: BuiltWalk) -> None:
    walk.finding("LB 1-1", "watch")
    args = {"at": walk.at, "actor": walk.td.id, "house": walk.house.id, "deficiency": the_one(walk).id, "role": Role.TD}
    with pytest.raises(BadValue):
        find_no_fault(walk.db, **args, reason="")
    find_no_fault(walk.db, **args, reason="a paint run")
    assert the_one(walk).state is DeficiencyState.NO_FAULT


def test_what_was_settled_and_is_seen_again_is_open_again_with_its_number(walk: BuiltWalk, inspector: Person) -> None:
    first = walk.finding("LB 1-1", "restrict")
    settle(walk, inspector, Role.INSPECTOR)
    walk.finding("LB 1-1", "restrict", answer="still_there", of=finding_id(first, 0))
    assert (the_one(walk).state, the_one(walk).number) == (DeficiencyState.FOUND, 1)
    assert [e.to_state for e in list_deficiency_events(walk.db, the_one(walk).id)] == ["settled", "found"]


def accept(walk: BuiltWalk, tag: str = "HB 1", **fields: str) -> str:
    given = {
        "what": "old slot width", "accepted_by": "R. Abara", "role": "Facility manager", "reason": "chain and sign",
        "paper": "letter of 3 May", "review_by": "2027-05-03",
    }  # fmt: skip
    return accept_condition(
        walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, part=walk.part(tag).id, **{**given, **fields}
    )


def test_a_condition_is_accepted_until_a_date_and_ended(walk: BuiltWalk) -> None:
    condition = accept(walk)
    assert [row.review_by for row in list_accepted(walk.db, walk.house.id)] == ["2027-05-03"]
    end_condition(walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, condition=condition)
    assert list_accepted(walk.db, walk.house.id) == []


def test_stop_use_is_never_accepted(walk: BuiltWalk) -> None:
    walk.finding("LB 1-1", "stop_use")
    for tag in ("LB 1-1", "HB 1"):  # the part itself, and another of the stopped set
        with pytest.raises(Conflict, match="never accepted"):
            accept(walk, tag)
    accept(walk, "HB 2")


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("review_by", "2026-01-01"),
        ("review_by", "soon"),
        ("reason", ""),
        ("accepted_by", ""),
        ("role", ""),
        ("what", " "),
    ],
)
def test_an_acceptance_names_who_why_and_a_date_ahead(walk: BuiltWalk, field: str, text: str) -> None:
    with pytest.raises(BadValue):
        accept(walk, **{field: text})


def test_worse_ends_the_acceptance(walk: BuiltWalk) -> None:
    first = walk.finding("HB 1", "watch")
    accept(walk)
    walk.finding("HB 1", "restrict", answer="worse", of=finding_id(first, 0))
    assert list_accepted(walk.db, walk.house.id) == []
