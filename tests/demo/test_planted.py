"""The table of planted defects fits the invented house and the shipped checklists."""

from datetime import date
from pathlib import Path

import pytest

from inspect_app import clock
from inspect_app.config import Settings
from inspect_app.demo.calendar import QUARTERS, RAIL_WALKS
from inspect_app.demo.house import NAME, TZ, describe_house
from inspect_app.demo.pictures import SCENES
from inspect_app.demo.planted import AFTER_COLLISION, PLANTED, Planted, standing
from inspect_app.domain.checklist import Checklist, Point
from inspect_app.domain.house import House, Inventory
from inspect_app.store.checklist import load_checklists, read_checklist_file


@pytest.fixture(scope="module")
def inventory() -> Inventory:
    return describe_house(House(clock.new_id(), NAME, TZ, demo=True), date(2026, 3, 4), clock.new_id, 7)


@pytest.fixture
def checklists(settings: Settings) -> dict[str, Checklist]:
    return load_checklists(settings)[0]


def points_of(planted: Planted, inventory: Inventory, checklists: dict[str, Checklist]) -> list[Point]:
    part = next(part for part in inventory.parts if part.tag == planted.tag)
    asked = [point for checklist in checklists.values() for point in checklist.points_for(part.kind)]
    return [point for point in asked if point.id in planted.points]


@pytest.mark.parametrize("planted", PLANTED, ids=lambda p: p.key)
def test_each_planted_defect_is_at_a_part_that_a_checklist_asks_about(
    planted: Planted, inventory: Inventory, checklists: dict[str, Checklist]
) -> None:
    points = points_of(planted, inventory, checklists)
    assert planted.points[0] in {point.id for point in points}
    assert {defect.id for point in points for defect in point.defects} >= {planted.defect}
    assert planted.scene in SCENES


@pytest.mark.parametrize("planted", PLANTED, ids=lambda p: p.key)
def test_a_defect_is_noticed_while_it_is_there(planted: Planted) -> None:
    if planted.until is not None:
        assert planted.noticed is not None, "what nobody noticed cannot have been repaired"
    if planted.noticed is None:
        return
    walks = [
        days for days in (*QUARTERS, *RAIL_WALKS, AFTER_COLLISION) if days <= planted.noticed and planted.there(days)
    ]
    assert walks, "no walk comes by between its being noticed and its end"
    assert planted.noticed <= planted.since


def test_keys_are_unique_and_something_is_left_to_find() -> None:
    assert len({planted.key for planted in PLANTED}) == len(PLANTED)
    assert len(list(standing())) > 15
    assert {planted.today for planted in standing()} == set(type(PLANTED[0].today))


def test_the_houses_own_checklist_has_no_mistakes(settings: Settings) -> None:
    path = Path(__file__).parents[2] / "inspect_app" / "demo" / "gauge-round.yaml"
    checklist, problems = read_checklist_file(path, settings)
    assert not problems
    assert checklist is not None
    assert all(point.measures for point in checklist.points())
