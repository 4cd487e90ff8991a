"""Walking orders of generated houses."""

from itertools import count

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.config import checklists_dir, settings_for
from inspect_app.domain.checklist import Checklist, Stop
from inspect_app.domain.generator import generate
from inspect_app.domain.house import House, Inventory, Side
from inspect_app.domain.house_answers import Answers
from inspect_app.domain.ids import uuid7
from inspect_app.domain.part import PartKind
from inspect_app.domain.stretch import MOST_PARTS, ORDERS, screens, tag_key
from inspect_app.store.checklist import load_checklists

WELLS = {5: (-6000, -3000, 0, 3000, 6000), 6: (-7200, -4400, -1500, 1500, 4400, 7200)}


@pytest.fixture(scope="module")
def checklists() -> dict[str, Checklist]:
    return load_checklists(settings_for(checklists_dir() / "no data folder"))[0]


def a_house(sets: int, lines: int, **answers: object) -> Inventory:
    number = count(1)
    given = Answers(
        sets=sets, spacing_mm=200, first_mm=300, lines=lines, well_x_mm=WELLS[lines], grid_mm=18000, bridge_mm=14000,
        **answers,  # type: ignore[arg-type]
    )  # fmt: skip
    return generate(House(uuid7(1, 1), "Old Mill Playhouse"), given, lambda: uuid7(1_700_000_000_000 + next(number), 7))


def the_stop(checklist: Checklist, name: str) -> Stop:
    return next(stop for stop in checklist.stops if stop.id == name)


def loft_blocks(checklist: Checklist, inventory: Inventory, order: str) -> list[list[str]]:
    kinds = {part.id: part.kind for part in inventory.parts}
    return [
        [part for row in screen.rows for part in row.part_ids if kinds[part] is PartKind.LOFT_BLOCK]
        for screen in screens(checklist, the_stop(checklist, "loft-and-line"), inventory, order)
    ]


def test_along_the_wells_of_48_sets_240_blocks_are_visited_once_each(checklists: dict[str, Checklist]) -> None:
    inventory = a_house(48, 5)
    by_well = loft_blocks(checklists["grid-quarterly"], inventory, "well")
    assert [len(well) for well in by_well] == [48] * 5
    walked = [block for well in by_well for block in well]
    assert len(walked) == len(set(walked)) == 240
    assert set(walked) == {part.id for part in inventory.parts if part.kind is PartKind.LOFT_BLOCK}


@pytest.mark.parametrize(("sets", "lines"), [(48, 5), (40, 6), (1, 5)])
def test_set_by_set_is_the_transpose_of_along_the_wells(
    checklists: dict[str, Checklist], sets: int, lines: int
) -> None:
    inventory = a_house(sets, lines)
    by_well = loft_blocks(checklists["grid-quarterly"], inventory, "well")
    by_set = loft_blocks(checklists["grid-quarterly"], inventory, "set")
    assert by_set == [list(row) for row in zip(*by_well, strict=True)]


@pytest.mark.parametrize("side", list(Side))
def test_the_first_well_is_the_one_nearest_to_the_head_blocks(checklists: dict[str, Checklist], side: Side) -> None:
    inventory = a_house(8, 6, head_side=side)
    blocks = {part.id: part for part in inventory.parts}
    first = loft_blocks(checklists["grid-quarterly"], inventory, "well")[0]
    assert {blocks[block].line for block in first} == {1}
    assert {blocks[block].x_mm for block in first} == {-7200 if side is Side.RIGHT else 7200}


def test_a_row_keeps_its_key_in_both_orders_so_that_nothing_moves(checklists: dict[str, Checklist]) -> None:
    inventory, checklist = a_house(12, 6), checklists["grid-quarterly"]
    rows = []
    for order in ORDERS:
        shown = screens(checklist, the_stop(checklist, "loft-and-line"), inventory, order)
        rows.append({row.key: row.part_ids for screen in shown for row in screen.rows})
    assert rows[0] == rows[1]
    assert len(rows[0]) == 72


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 30), st.sampled_from([5, 6]), st.sampled_from(list(Side)), st.data())
def test_each_order_of_each_stop_visits_the_same_parts_once(
    sets: int, lines: int, side: Side, data: st.DataObject
) -> None:
    lists = load_cached()
    inventory = a_house(sets, lines, head_side=side)
    checklist = data.draw(st.sampled_from(sorted(lists.values(), key=lambda one: one.id)))
    stop = data.draw(st.sampled_from(checklist.stops))
    visits = []
    for order in ORDERS:
        shown = screens(checklist, stop, inventory, order)
        parts = [part for screen in shown for row in screen.rows for part in row.part_ids]
        assert len(parts) == len(set(parts))
        assert all(1 <= len(row.part_ids) <= MOST_PARTS for screen in shown for row in screen.rows)
        assert len({screen.key for screen in shown}) == len(shown)
        visits.append(set(parts))
    assert visits[0] == visits[1]
    asked = {kind for point in checklist.points() if point.vantage is stop.vantage for kind in point.parts}
    wanted = {part.id for part in inventory.parts if part.kind in asked and part.kind in stop.parts}
    assert visits[0] == wanted


_cache: dict[str, Checklist] = {}


def load_cached() -> dict[str, Checklist]:
    if not _cache:
        _cache.update(load_checklists(settings_for(checklists_dir() / "no data folder"))[0])
    return _cache


def test_an_order_that_is_none_is_an_error_of_the_caller(checklists: dict[str, Checklist]) -> None:
    checklist = checklists["grid-quarterly"]
    with pytest.raises(ValueError, match="no walking order"):
        screens(checklist, checklist.stops[0], a_house(1, 5), "swiped")


def test_numbers_in_tags_sort_as_numbers() -> None:
    assert sorted(["LB 12-1", "LB 2-1", "LB 2-10", "LB 2-9"], key=tag_key) == ["LB 2-1", "LB 2-9", "LB 2-10", "LB 12-1"]
