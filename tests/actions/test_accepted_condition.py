"""Conditions that a house accepts for a time, never for stop use, and back when they get worse."""

from datetime import timedelta

import pytest

from inspect_app.actions.accepted_condition import accept_condition, end_condition
from inspect_app.actions.calendar import house_calendar
from inspect_app.actions.tag_out import stop_thing
from inspect_app.actions.today import today_of
from inspect_app.actions.walk import decide_grade
from inspect_app.domain.calendar_item import ItemKind
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency_register import accepted_until
from inspect_app.domain.entry import finding_id
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.today import Matter
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.house import list_areas
from tests.walk_builder import BuiltWalk


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


def test_what_is_accepted_has_its_review_in_the_calendar_and_waits_for_nobody_until_then(walk: BuiltWalk) -> None:
    walk.finding("HB 1", "restrict")

    def kinds() -> set[ItemKind]:
        return {item.kind for item in house_calendar(walk.db, walk.settings, walk.house.id, walk.at).items}

    def waits() -> bool:
        told = today_of(walk.db, walk.settings, walk.house.id, walk.at)
        return any("Deficiency 1, HB 1" in one.text and one.matter is Matter.WAITS for one in told)

    assert (ItemKind.REPAIR in kinds(), waits()) == (True, True)
    condition = accept(walk)
    assert (ItemKind.REPAIR in kinds(), ItemKind.ACCEPTED in kinds(), waits()) == (False, True, False)
    end_condition(walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, condition=condition)
    assert (ItemKind.REPAIR in kinds(), waits()) == (True, True)


def test_what_is_found_later_on_the_part_hides_behind_no_acceptance(walk: BuiltWalk) -> None:
    points = walk.points("HB 1")
    walk.finding("HB 1", "restrict", point=points[0], note="slot too wide")
    accept(walk)
    walk.finding("HB 1", "restrict", point=points[1], note="flange cracked")
    told = [one.text for one in today_of(walk.db, walk.settings, walk.house.id, walk.at) if one.matter is Matter.WAITS]
    assert [any(f"Deficiency {n}, HB 1" in text for text in told) for n in (1, 2)] == [False, True]


def test_what_a_phone_out_of_reach_held_back_hides_behind_no_acceptance(walk: BuiltWalk) -> None:
    points = walk.points("HB 1")
    walk.finding("HB 1", "restrict", point=points[0], note="slot too wide")
    seen = walk.at.isoformat()
    walk.at += timedelta(hours=1)
    accept(walk)
    walk.finding("HB 1", "restrict", point=points[1], note="flange cracked", recorded_at=seen)
    first, second = list_deficiencies(walk.db, walk.house.id)
    accepted = list_accepted(walk.db, walk.house.id)
    assert second.found_at < accepted[0].at
    assert [accepted_until(row, accepted, walk.at.date()) for row in (first, second)] == ["2027-05-03", ""]


def test_stop_use_is_never_accepted(walk: BuiltWalk) -> None:
    walk.finding("LB 1-1", "stop_use")
    for tag in ("LB 1-1", "HB 1"):  # the part itself, and another of the stopped set
        with pytest.raises(Conflict, match="never accepted"):
            accept(walk, tag)
    accept(walk, "HB 2")
    grid = next(area.id for area in list_areas(walk.db, walk.house.id) if area.name == "Grid")
    stop_thing(walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, why="beam cracked", area=grid)
    with pytest.raises(Conflict, match="never accepted"):
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
    (ended,) = list_accepted(walk.db, walk.house.id, ended_too=True)
    assert ended.ended_why == "worse"


def test_another_fault_that_stops_the_part_ends_the_acceptance(walk: BuiltWalk) -> None:
    accept(walk)
    walk.finding("HB 1", "stop_use")
    assert list_accepted(walk.db, walk.house.id) == []


def test_stop_use_decided_at_review_ends_the_acceptance(walk: BuiltWalk) -> None:
    found = walk.finding("HB 1", "watch")
    accept(walk)
    decide_grade(
        walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, walk=walk.id, finding=finding_id(found, 0),
        grade=Grade.STOP_USE, reason="",
    )  # fmt: skip
    assert list_accepted(walk.db, walk.house.id) == []


def test_an_acceptance_may_cover_one_deficiency_of_the_part(walk: BuiltWalk) -> None:
    walk.finding("HB 1", "watch")
    (row,) = list_deficiencies(walk.db, walk.house.id)
    accept(walk, deficiency=row.id)
    assert [one.deficiency for one in list_accepted(walk.db, walk.house.id)] == [row.id]
    with pytest.raises(NotFound):
        accept(walk, "HB 2", deficiency=row.id)
