"""What was entered by hand is answered from a walk as what was found on one: it joins, rises, is found again."""

from datetime import timedelta

import pytest
from sqlite_utils import Database

from inspect_app.actions.deficiency import find_no_fault, move_deficiency
from inspect_app.actions.repair_plan import make_deficiency
from inspect_app.actions.verify import verify_data
from inspect_app.config import Settings
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import Deficiency, DeficiencyState
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.deficiency_story import list_findings_of_deficiency
from inspect_app.store.look import list_open_findings
from inspect_app.store.tag_out import list_standing
from tests.walk_builder import BuiltWalk

S = DeficiencyState


@pytest.fixture
def walk(db: Database, settings: Settings, house: House) -> BuiltWalk:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    return walk


def by_hand(walk: BuiltWalk, what: str = "crew says it grinds", grade: Grade = Grade.WATCH) -> str:
    walk.at += timedelta(minutes=1)
    return make_deficiency(
        walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, part=walk.part("LB 2-1").id, what=what, grade=grade
    )


def answer(walk: BuiltWalk, of: str, answer: str, grade: str = "watch") -> str:
    """As the phone sends it: no point, the words of what is answered, and its id."""
    said = {"point": "", "point_text": "crew says it grinds", "answer": answer, "of": of, "grade": grade, "note": ""}
    return walk.look("LB 2-1", "finding", points=[], findings=[said])


def rows(walk: BuiltWalk) -> list[Deficiency]:
    return list_deficiencies(walk.db, walk.house.id)


def test_a_phone_is_told_of_it_with_the_id_to_answer(walk: BuiltWalk) -> None:
    key = by_hand(walk)
    assert [(one.finding, one.point, one.what) for one in list_open_findings(walk.db, walk.house.id)] == [
        (key, "", "crew says it grinds")
    ]


@pytest.mark.parametrize("said", ["still_there", "not_seen_now"])
def test_an_answer_joins_it_and_makes_no_second_one(walk: BuiltWalk, said: str) -> None:
    key = by_hand(walk)
    answer(walk, key, said)
    (row,) = rows(walk)
    assert (row.id, row.what, row.grade, row.state) == (key, "crew says it grinds", Grade.WATCH, S.FOUND)
    told = list_findings_of_deficiency(walk.db, walk.house.id, key)
    assert [one.answer for one in told] == [said]
    assert row.findings == (told[0].finding,)
    assert verify_data(walk.db, walk.settings.data).holds


def test_worse_raises_it_and_stop_use_stops_the_set(walk: BuiltWalk) -> None:
    key = by_hand(walk)
    answer(walk, key, "worse", "stop_use")
    (row,) = rows(walk)
    assert (row.id, row.grade) == (key, Grade.STOP_USE)
    (stop,) = list_standing(walk.db, walk.house.id)
    assert stop.scope == "Line set 2"


def test_answers_of_two_walks_stay_with_it_also_when_they_answer_each_other(walk: BuiltWalk) -> None:
    key = by_hand(walk)
    answer(walk, key, "still_there")
    (first,) = rows(walk)[0].findings
    answer(walk, first, "still_there")
    (row,) = rows(walk)
    assert len(row.findings) == 2


def test_what_is_still_there_after_it_was_dismissed_is_found_again_under_a_new_number(walk: BuiltWalk) -> None:
    key = by_hand(walk)
    find_no_fault(
        walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, deficiency=key, role=Role.TD, reason="no grinding"
    )
    walk.at += timedelta(minutes=5)
    answer(walk, key, "still_there")
    old, new = rows(walk)
    assert (old.state, new.state, new.again_of) == (S.NO_FAULT, S.FOUND, old.number)


def test_a_late_answer_to_one_that_is_the_same_as_another_goes_to_the_other(walk: BuiltWalk) -> None:
    walk.finding("LB 2-1", "repair_by", note="bearing dry")
    key = by_hand(walk)
    move_deficiency(
        walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, deficiency=key, to_state=S.SAME, role=Role.TD,
        proof={"same_as": "1"},
    )  # fmt: skip
    answer(walk, key, "still_there")
    kept, same = rows(walk)
    assert (kept.state, same.state) == (S.FOUND, S.SAME)
    assert len(kept.findings) == 2
    assert kept.what.endswith("bearing dry")


def test_two_entered_by_hand_on_one_part_stay_two(walk: BuiltWalk) -> None:
    first, second = by_hand(walk), by_hand(walk, "label gone", Grade.REPAIR_BY)
    answer(walk, second, "still_there", "repair_by")
    answer(walk, first, "worse", "restrict")
    assert [(row.id, row.grade, row.recurring) for row in rows(walk)] == [
        (first, Grade.RESTRICT, False), (second, Grade.REPAIR_BY, False),
    ]  # fmt: skip


def test_a_form_that_is_sent_twice_makes_one(walk: BuiltWalk) -> None:
    first = by_hand(walk, grade=Grade.STOP_USE)
    walk.at -= timedelta(seconds=30)
    assert by_hand(walk, grade=Grade.STOP_USE) == first
    assert len(list_standing(walk.db, walk.house.id)) == 1
    walk.at += timedelta(seconds=30)
    assert by_hand(walk, grade=Grade.STOP_USE) != first
