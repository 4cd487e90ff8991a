"""Countersigning, deciding between looks, grading and confirming at review."""

from datetime import timedelta

import pytest

from inspect_app.actions.walk import confirm_not_applicable, countersign_entries, decide_between, decide_grade
from inspect_app.domain.checklist import Grade
from inspect_app.domain.entry import finding_id
from inspect_app.domain.errors import BadValue, NotAllowed, NotFound
from inspect_app.domain.part_result import PartOutcome
from inspect_app.domain.person import Person
from inspect_app.domain.review import WalkReview, review_of
from inspect_app.domain.role import Role
from inspect_app.domain.walk import How
from inspect_app.store.deficiency import list_deficiencies, list_deficiency_events
from inspect_app.store.deficiency_story import list_worse
from inspect_app.store.look import list_part_states
from inspect_app.store.tag_out import list_standing
from tests.walk_builder import BuiltWalk, Phone, add_person


def review(walk: BuiltWalk) -> WalkReview:
    return review_of(walk.record, walk.criteria)


def outcome(walk: BuiltWalk, tag: str) -> PartOutcome:
    return next(row.outcome for row in review(walk).results if row.part.tag == tag)


def a_phone(walk: BuiltWalk, name: str, role: Role) -> Phone:
    return Phone(walk.db, walk.house, add_person(walk.db, walk.house, name, role), f"{name}'s phone")


def countersign(walk: BuiltWalk, entries: list[str], how: How, actor: Person | None = None) -> int:
    return countersign_entries(
        walk.db, at=walk.at, actor=(actor or walk.td).id, house=walk.house.id, walk=walk.id, entries=entries, how=how
    )


def decide(walk: BuiltWalk, keep: str, reason: str = "", actor: Person | None = None) -> None:
    decide_between(
        walk.db, at=walk.at, actor=(actor or walk.td).id, house=walk.house.id, walk=walk.id, keep=keep, reason=reason
    )


def grade(walk: BuiltWalk, entry: str, to: Grade, reason: str = "", actor: Person | None = None) -> None:
    decide_grade(
        walk.db, at=walk.at, actor=(actor or walk.td).id, house=walk.house.id, walk=walk.id,
        finding=finding_id(entry, 0), grade=to, reason=reason,
    )  # fmt: skip


def test_what_a_qualified_inspector_graded_is_lowered_by_one_alone(walk: BuiltWalk) -> None:
    inspector = add_person(walk.db, walk.house, "Mara Okafor", Role.INSPECTOR)
    entry = walk.finding("LB 1-1", "restrict", Phone(walk.db, walk.house, inspector))
    with pytest.raises(NotAllowed, match="Mara Okafor is a qualified inspector"):
        grade(walk, entry, Grade.WATCH, "a scratch")
    (row,) = list_deficiencies(walk.db, walk.house.id)
    assert row.grade is Grade.RESTRICT
    grade(walk, entry, Grade.STOP_USE)
    (row,) = list_deficiencies(walk.db, walk.house.id)
    assert row.grade is Grade.STOP_USE
    walk.at += timedelta(minutes=1)
    grade(walk, entry, Grade.RESTRICT, "raised by mistake: it is what the inspector said")
    (row,) = list_deficiencies(walk.db, walk.house.id)
    assert row.grade is Grade.RESTRICT


def test_what_a_qualified_inspector_decided_at_review_is_lowered_by_one_alone(walk: BuiltWalk) -> None:
    inspector = add_person(walk.db, walk.house, "Mara Okafor", Role.INSPECTOR)
    entry = walk.finding("LB 1-1", "watch")
    grade(walk, entry, Grade.RESTRICT, actor=inspector)
    walk.at += timedelta(minutes=1)
    with pytest.raises(NotAllowed, match="Mara Okafor is a qualified inspector"):
        grade(walk, entry, Grade.WATCH, "a scratch")
    grade(walk, entry, Grade.WATCH, "seen again: a scratch", actor=inspector)
    (row,) = list_deficiencies(walk.db, walk.house.id)
    assert row.grade is Grade.WATCH


def test_what_a_qualified_inspector_called_by_radio_is_lowered_by_one_alone(walk: BuiltWalk) -> None:
    inspector = add_person(walk.db, walk.house, "Mara Okafor", Role.INSPECTOR)
    entry = walk.finding("LB 1-1", "restrict", called_by=inspector.id)
    with pytest.raises(NotAllowed, match=r"^Mara Okafor is a qualified inspector"):
        grade(walk, entry, Grade.WATCH, "a scratch")


@pytest.mark.parametrize(
    ("how", "expected"),
    [
        (How.BESIDE_THEM, PartOutcome.NO_FINDING),
        (How.LOOKED_AGAIN, PartOutcome.NO_FINDING),
        (How.DID_NOT_SEE, PartOutcome.NOT_LOOKED_AT),
    ],
)
def test_a_helpers_look_counts_once_somebody_stood_by_or_looked_again(
    walk: BuiltWalk, how: How, expected: PartOutcome
) -> None:
    entry = walk.look("HB 1", phone=a_phone(walk, "Sam", Role.HELPER))
    assert outcome(walk, "HB 1") is PartOutcome.NOT_LOOKED_AT
    assert countersign(walk, [entry], how) == 1
    assert outcome(walk, "HB 1") is expected
    state = list_part_states(walk.db, walk.house.id).get(walk.part("HB 1").id)
    assert bool(state) is (expected is PartOutcome.NO_FINDING)


def test_nobody_countersigns_their_own_entries_and_a_helper_countersigns_none(walk: BuiltWalk) -> None:
    phone = a_phone(walk, "Sam", Role.HELPER)
    entry = walk.look("HB 1", phone=phone)
    with pytest.raises(NotAllowed):
        countersign(walk, [entry], How.BESIDE_THEM, actor=phone.person)
    with pytest.raises(NotAllowed):
        countersign(walk, [entry], How.BESIDE_THEM, actor=add_person(walk.db, walk.house, "Kim", Role.HELPER))


def test_an_entry_that_needs_no_countersign_or_is_of_another_walk_cannot_be_countersigned(walk: BuiltWalk) -> None:
    own = walk.look("HB 1")
    other = BuiltWalk(walk.db, walk.settings, walk.house)
    other.open()
    elsewhere = other.look("HB 1", phone=a_phone(other, "Sam", Role.HELPER))
    for entry in (own, elsewhere):
        with pytest.raises(NotFound):
            countersign(walk, [entry], How.BESIDE_THEM)


def test_the_worse_of_two_looks_counts_until_a_person_decides_with_a_reason(walk: BuiltWalk) -> None:
    point = walk.points("LB 1-1")[0]
    good = walk.look("LB 1-1", points=[point])
    walk.finding("LB 1-1", "restrict", a_phone(walk, "Tomas", Role.TD), point=point)
    assert outcome(walk, "LB 1-1") is PartOutcome.FINDING
    assert len(review(walk).undecided) == 1
    with pytest.raises(BadValue):
        decide(walk, good)
    decide(walk, good, "we looked together: a paint run")
    assert outcome(walk, "LB 1-1") is PartOutcome.NO_FINDING
    assert review(walk).undecided == ()


def test_what_was_told_as_worse_waits_for_nobody_once_its_look_is_set_aside(walk: BuiltWalk) -> None:
    before = BuiltWalk(walk.db, walk.settings, walk.house)
    before.open()
    point = walk.points("LB 1-1")[0]
    known = before.finding("LB 1-1", "watch", point=point)
    walk.at = before.at
    good = walk.look("LB 1-1", points=[point])
    phone = a_phone(walk, "Tomas", Role.TD)
    walk.finding("LB 1-1", "watch", phone, point=point, answer="worse", of=finding_id(known, 0))
    assert [one.by_name for one in list_worse(walk.db, walk.house.id).values()] == ["Tomas"]
    decide(walk, good, "we looked together: a paint run")
    assert list_worse(walk.db, walk.house.id) == {}


def test_a_decision_for_the_worse_look_needs_no_reason_and_can_be_turned_round(walk: BuiltWalk) -> None:
    point = walk.points("LB 1-1")[0]
    good = walk.look("LB 1-1", points=[point])
    bad = walk.finding("LB 1-1", "restrict", a_phone(walk, "Tomas", Role.TD), point=point)
    decide(walk, good, "a paint run")
    walk.at = walk.at.replace(minute=walk.at.minute + 1)
    decide(walk, bad)
    assert outcome(walk, "LB 1-1") is PartOutcome.FINDING


def test_a_director_cannot_set_a_qualified_inspectors_look_aside(walk: BuiltWalk) -> None:
    point = walk.points("LB 1-1")[0]
    good = walk.look("LB 1-1", points=[point])
    phone = a_phone(walk, "Mara", Role.INSPECTOR)
    walk.finding("LB 1-1", "watch", phone, point=point)
    with pytest.raises(NotAllowed, match="Mara"):
        decide(walk, good, "nothing there")
    decide(walk, good, "I looked again", actor=phone.person)


def test_a_grade_is_raised_at_once_and_the_deficiency_follows(walk: BuiltWalk) -> None:
    entry = walk.finding("LB 1-1", "watch")
    grade(walk, entry, Grade.RESTRICT)
    (deficiency,) = list_deficiencies(walk.db, walk.house.id)
    assert deficiency.grade is Grade.RESTRICT
    assert "was watch" in list_deficiency_events(walk.db, deficiency.id)[0].note


def test_lowering_a_grade_needs_a_reason(walk: BuiltWalk) -> None:
    entry = walk.finding("LB 1-1", "restrict")
    with pytest.raises(BadValue):
        grade(walk, entry, Grade.WATCH)
    grade(walk, entry, Grade.WATCH, "only paint")
    (found,) = review(walk).findings
    assert found.finding.grade is Grade.WATCH


def test_grading_a_finding_stop_use_takes_the_set_out_of_use_and_lowering_it_again_lifts_nothing(
    walk: BuiltWalk,
) -> None:
    entry = walk.finding("LB 1-1", "watch")
    grade(walk, entry, Grade.STOP_USE)
    (stop,) = list_standing(walk.db, walk.house.id)
    assert stop.scope == "Line set 1"
    walk.at = walk.at.replace(minute=walk.at.minute + 1)
    grade(walk, entry, Grade.WATCH, "it was a shadow")
    assert len(list_standing(walk.db, walk.house.id)) == 1


def test_not_applicable_is_confirmed_or_refused_with_a_reason(walk: BuiltWalk) -> None:
    entry = walk.look("HB 1", "not_applicable", reason="no such part")
    assert len(review(walk).unconfirmed) == 1
    args = {"at": walk.at, "actor": walk.td.id, "house": walk.house.id, "walk": walk.id, "entry": entry}
    with pytest.raises(BadValue):
        confirm_not_applicable(walk.db, **args, applies=True, reason="")
    confirm_not_applicable(walk.db, **args, applies=False, reason="")
    assert review(walk).unconfirmed == ()
    assert review(walk).counts.not_applicable == 1


def test_what_the_checklist_asks_for_and_a_finding_lacks_is_listed_and_blocks_nothing(walk: BuiltWalk) -> None:
    walk.finding("HB 1", wear=None, note="")
    what = {row.what for row in review(walk).lacking}
    assert {"note", "wear rating"} <= what


def test_a_finding_answered_still_there_points_at_the_same_deficiency_and_not_seen_now_settles_nothing(
    walk: BuiltWalk,
) -> None:
    first = walk.finding("LB 1-1", "watch")
    root = finding_id(first, 0)
    walk.finding("LB 1-1", "restrict", answer="worse", of=root)
    (deficiency,) = list_deficiencies(walk.db, walk.house.id)
    assert (deficiency.number, deficiency.grade, len(deficiency.findings)) == (1, Grade.RESTRICT, 2)
    walk.finding("LB 1-1", "watch", answer="not_seen_now", of=root)
    (deficiency,) = list_deficiencies(walk.db, walk.house.id)
    assert (deficiency.open, deficiency.grade, len(deficiency.findings)) == (True, Grade.RESTRICT, 3)


def test_correcting_a_finding_makes_no_second_deficiency(walk: BuiltWalk) -> None:
    first = walk.finding("LB 1-1", "watch")
    walk.finding("LB 1-1", "restrict", replaces=[first])
    assert len(list_deficiencies(walk.db, walk.house.id)) == 1


def test_a_look_called_by_radio_carries_both_names_on_every_face(walk: BuiltWalk) -> None:
    aloft = add_person(walk.db, walk.house, "Ada Aloft", Role.TD)
    walk.look("LB 1-1", "not_reached", reason="blocked", ways=[], points=[], called_by=aloft.id)
    walk.look("LB 1-2")
    names = {look.by_name for look in walk.record.looks}
    assert names == {f"Ada Aloft, written down by {walk.td.name}", walk.td.name}
