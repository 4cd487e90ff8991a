from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from sqlite_utils import Database

from inspect_app.actions.account import insert_person
from inspect_app.actions.part import add_part, change_part, replace_part, retire_part
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.house import House
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.store.db import write_transaction
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.journal import list_journal
from inspect_app.store.part import find_part_by_tag, get_part, list_lives, list_part_changes

AT = datetime(2026, 3, 4, 12, tzinfo=UTC)
DAY = date(2026, 3, 1)


@pytest.fixture
def actor(db: Database) -> str:
    with write_transaction(db):
        return insert_person(db, "Alex Fly").id


@pytest.fixture
def block(db: Database, house: House) -> Part:
    found = find_part_by_tag(db, house.id, "LB 1-2")
    assert found is not None
    return found


def life_of(db: Database, part: Part) -> Life:
    return list_lives(db, part.house, part.id)[0]


def change(db: Database, actor: str, part: Part, **values: object) -> Part:
    given = {"installed_on": None, "lot": "", "attributes": {}, "reason": ""} | values
    return change_part(db, at=AT, actor=actor, part=part, **given)  # type: ignore[arg-type]


def test_a_changed_attribute_keeps_the_value_before(db: Database, actor: str, block: Part) -> None:
    change(db, actor, block, attributes={"rope_diameter_mm": "6.35"})
    change(db, actor, block, attributes={"rope_diameter_mm": "7.9375"}, reason="read from the tag")
    assert life_of(db, block).attributes == {"rope_diameter_mm": "7.9375"}
    kept = [(c.what, c.old, c.new, c.by, c.reason) for c in list_part_changes(db, block.house, block.id)]
    assert kept == [
        ("rope_diameter_mm", "6.35", "7.9375", "Alex Fly", "read from the tag"),
        ("rope_diameter_mm", "", "6.35", "Alex Fly", ""),
    ]


def test_saving_without_a_change_keeps_no_change(db: Database, actor: str, block: Part) -> None:
    change(db, actor, block)
    assert list_part_changes(db, block.house, block.id) == []


def test_a_moved_part_keeps_where_it_was(db: Database, actor: str, block: Part) -> None:
    change(db, actor, replace(block, x_mm=1500))
    assert get_part(db, block.house, block.id).x_mm == 1500
    assert [c.what for c in list_part_changes(db, block.house, block.id)] == ["place"]


def test_kind_and_set_of_a_part_never_change(db: Database, actor: str, block: Part) -> None:
    change(db, actor, replace(block, kind=PartKind.HOIST, line_set=None, line=1))
    kept = get_part(db, block.house, block.id)
    assert (kept.kind, kept.line_set) == (block.kind, block.line_set)


def test_replacing_ends_one_life_and_starts_the_next_under_the_same_tag(db: Database, actor: str, block: Part) -> None:
    before = life_of(db, block)
    new = replace_part(
        *(db,),
        at=AT,
        actor=actor,
        house=block.house,
        part=block.id,
        on=DAY,
        lot="L7",
        attributes={},
        reason="worn groove",
    )
    present, past = list_lives(db, block.house, block.id)
    assert (present.id, present.installed_on, present.lot) == (new.id, DAY, "L7")
    assert (past.id, past.retired_on) == (before.id, DAY)
    assert get_part(db, block.house, block.id) == block


@pytest.mark.parametrize(
    ("on", "reason", "field"),
    [(date(2026, 3, 6), "worn", "on"), (DAY, " ", "reason"), (date(1990, 1, 1), "worn", "on")],
)
def test_a_replacement_needs_a_reason_and_a_possible_day(
    db: Database, actor: str, block: Part, on: date, reason: str, field: str
) -> None:
    change(db, actor, block, installed_on=date(2001, 5, 5))
    with pytest.raises(BadValue) as caught:
        replace_part(
            *(db,), at=AT, actor=actor, house=block.house, part=block.id, on=on, lot="", attributes={}, reason=reason
        )
    assert caught.value.field == field
    assert len(list_lives(db, block.house, block.id)) == 1


def test_a_retired_part_stays_readable_and_changes_no_more(db: Database, actor: str, block: Part) -> None:
    retire_part(db, at=AT, actor=actor, house=block.house, part=block.id, on=DAY, reason="line taken out")
    assert get_part(db, block.house, block.id).retired_on == DAY
    assert life_of(db, block).retired_on == DAY
    with pytest.raises(Conflict):
        change(db, actor, block)
    with pytest.raises(Conflict):
        retire_part(db, at=AT, actor=actor, house=block.house, part=block.id, on=DAY, reason="again")


def new_part(house: House, area: str, **values: object) -> Part:
    return replace(Part("", house.id, area, PartKind.MULE_BLOCK, "MB 1-2-1"), **values)  # type: ignore[arg-type]


def test_a_part_is_added_with_its_first_life(db: Database, actor: str, house: House) -> None:
    area, line_set = list_areas(db, house.id)[1], list_line_sets(db, house.id)[0]
    part = new_part(house, area.id, line_set=line_set.id, line=2)
    made = add_part(db, at=AT, actor=actor, part=part, installed_on=DAY, lot="", attributes={"groove_type": "round"})
    assert get_part(db, house.id, made.id) == made
    assert life_of(db, made).attributes == {"groove_type": "round"}
    assert [row.action for row in list_journal(db)] == ["part.add"]


@pytest.mark.parametrize(
    ("values", "field"),
    [({"tag": "lb 1-2"}, "tag"), ({"tag": ""}, "tag"), ({"line": 1}, "line"), ({"x_mm": 200_000}, "x_mm")],
)
def test_a_part_that_cannot_be_is_refused_by_field(
    db: Database, actor: str, house: House, values: dict[str, object], field: str
) -> None:
    part = new_part(house, list_areas(db, house.id)[0].id, **values)
    with pytest.raises(BadValue) as caught:
        add_part(db, at=AT, actor=actor, part=part, installed_on=None, lot="", attributes={})
    assert caught.value.field == field


def test_nothing_of_another_house_is_found(db: Database, actor: str, house: House, other_house: House) -> None:
    foreign_area, foreign_set = list_areas(db, other_house.id)[0].id, list_line_sets(db, other_house.id)[0].id
    foreign = find_part_by_tag(db, other_house.id, "LB 1-2")
    assert foreign is not None
    own_area = list_areas(db, house.id)[0].id
    for part in (
        new_part(house, foreign_area),
        new_part(house, own_area, line_set=foreign_set),
        new_part(house, own_area, well=foreign.id),
    ):
        with pytest.raises(NotFound):
            add_part(db, at=AT, actor=actor, part=part, installed_on=None, lot="", attributes={})
    with pytest.raises(NotFound):
        get_part(db, house.id, foreign.id)
    with pytest.raises(NotFound):
        change(db, actor, replace(foreign, house=house.id))
    with pytest.raises(NotFound):
        retire_part(db, at=AT, actor=actor, house=house.id, part=foreign.id, on=DAY, reason="x")
    with pytest.raises(NotFound):
        replace_part(
            *(db,), at=AT, actor=actor, house=house.id, part=foreign.id, on=DAY, lot="", attributes={}, reason="x"
        )
