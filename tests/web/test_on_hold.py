"""What a phone records where an event keeps everyone off is kept, and shown as recorded while on hold."""

from datetime import timedelta
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app.actions.event import allow_approach, record_event
from inspect_app.config import Settings
from inspect_app.domain.event import Danger, EventKind
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.store.event import list_held_by
from inspect_app.store.house import list_areas
from inspect_app.store.on_hold import list_looks_on_hold
from inspect_app.store.tag_out import add_withdrawal
from tests.walk_builder import BuiltWalk, add_person


@pytest.fixture
def walk(db: Database, settings: Settings, house: House) -> BuiltWalk:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    return walk


def happened(walk: BuiltWalk, danger: Danger = Danger.NOT_KNOWN, area: str | None = None) -> str:
    walk.at += timedelta(minutes=1)
    line_set = None if area else walk.part("LB 2-1").line_set
    return record_event(
        walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, kind=EventKind.OVERLOAD, danger=danger,
        what="batten fouled", line_set=line_set, area=area,
    )  # fmt: skip


def held(walk: BuiltWalk) -> list[str]:
    return [look.part_tag for look in list_looks_on_hold(walk.db, walk.house.id)]


def test_looks_are_marked_from_the_hold_until_somebody_says_who_may_approach(walk: BuiltWalk) -> None:
    walk.look("LB 2-1")
    event = happened(walk)
    assert held(walk) == []
    walk.look("LB 2-1")
    walk.look("LB 1-1")  # a neighbour, on hold as well
    walk.look("LB 2-1", "not_reached")  # says that nobody was there
    assert held(walk) == ["LB 2-1", "LB 1-1"]
    walk.at += timedelta(minutes=1)
    allow_approach(
        walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, event=event, name="A. Hale", credential="P.E.",
        who="the crew", how="from the grid",
    )  # fmt: skip
    walk.look("LB 2-1")
    assert held(walk) == ["LB 2-1", "LB 1-1"]


def test_a_hold_without_danger_keeps_nobody_off_and_one_on_an_area_marks_its_parts(walk: BuiltWalk) -> None:
    happened(walk, Danger.NO)
    walk.look("LB 2-1")
    assert held(walk) == []
    part = walk.part("LB 2-1")
    assert part.area in {area.id for area in list_areas(walk.db, walk.house.id)}
    event = happened(walk, Danger.YES, area=part.area)
    assert len(list_held_by(walk.db, walk.house.id, event)) == 1
    walk.look("LB 2-1")
    assert held(walk) == ["LB 2-1"]


def test_nothing_is_marked_once_the_hold_was_withdrawn(walk: BuiltWalk) -> None:
    event = happened(walk)
    walk.look("LB 2-1")
    walk.at += timedelta(minutes=1)
    second = add_person(walk.db, walk.house, "Kit Doran", Role.TD)
    for hold in list_held_by(walk.db, walk.house.id, event):
        add_withdrawal(walk.db, hold, by=walk.td.id, second=second.id, at=walk.at, reason="another house")
    walk.look("LB 2-1")
    assert held(walk) == ["LB 2-1"]


@pytest.mark.parametrize("role", [Role.HELPER, Role.MANAGER, Role.INSPECTOR])
def test_walk_review_part_and_event_show_it_to_everyone(
    client: FlaskClient, sign_in: Any, walk: BuiltWalk, role: Role
) -> None:
    event = happened(walk)
    walk.look("LB 2-1")
    sign_in(client, role)
    for path in (f"walks/{walk.id}", f"walks/{walk.id}/review", f"parts/{walk.part('LB 2-1').id}/", f"events/{event}"):
        page = client.get(f"/houses/{walk.house.id}/{path}").text
        assert "Recorded while on hold:</strong> 1 look at LB 2-1" in page, path
        assert "who may approach and how" in page
    assert "ecorded while on hold" not in client.get(f"/houses/{walk.house.id}/parts/{walk.part('LB 1-1').id}/").text
