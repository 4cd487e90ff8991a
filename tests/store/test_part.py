from datetime import date

import pytest
from sqlite_utils import Database
from sqlite_utils.utils import sqlite3

from inspect_app import clock
from inspect_app.domain.errors import NotFound
from inspect_app.domain.house import House
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.store.db import write_transaction
from inspect_app.store.house import get_area, get_house, get_line_set, list_areas, list_houses, list_line_sets
from inspect_app.store.part import (
    Change,
    add_lives,
    add_part_change,
    add_parts,
    count_parts,
    end_life,
    find_part_by_tag,
    get_part,
    list_latest_looks,
    list_lives,
    list_part_changes,
    list_parts,
)


@pytest.fixture
def block(db: Database, house: House) -> Part:
    found = find_part_by_tag(db, house.id, "lb 1-2")
    assert found is not None
    return found


def test_a_tag_is_found_whatever_its_case_and_in_its_own_house_only(
    db: Database, block: Part, other_house: House
) -> None:
    assert block.tag == "LB 1-2"
    other = find_part_by_tag(db, other_house.id, "LB 1-2")
    assert other is not None
    assert other.id != block.id


def test_reads_of_another_house_find_nothing(db: Database, block: Part, house: House, other_house: House) -> None:
    for read in (
        lambda: get_part(db, other_house.id, block.id),
        lambda: list_lives(db, other_house.id, block.id),
        lambda: list_part_changes(db, other_house.id, block.id),
        lambda: get_area(db, other_house.id, list_areas(db, house.id)[0].id),
        lambda: get_line_set(db, other_house.id, list_line_sets(db, house.id)[0].id),
    ):
        with pytest.raises(NotFound):
            read()
    assert list_latest_looks(db, other_house.id, block.id) == []


def test_a_house_that_is_not_there_is_not_found(db: Database, house: House) -> None:
    assert get_house(db, house.id) == house
    with pytest.raises(NotFound):
        get_house(db, clock.new_id())


def test_all_houses_are_listed_by_name(db: Database, house: House, other_house: House) -> None:
    assert [one.name for one in list_houses(db)] == ["Harbour Hall", "Old Mill Playhouse"]


def test_parts_are_counted_by_kind(db: Database, house: House) -> None:
    assert count_parts(db, house.id) == {PartKind.HEAD_BLOCK: 2, PartKind.LOFT_BLOCK: 4}


def test_a_part_has_one_present_life(db: Database, block: Part) -> None:
    with pytest.raises(sqlite3.IntegrityError), write_transaction(db):
        add_lives(db, [Life(clock.new_id(), block.id)])
    with write_transaction(db):
        end_life(db, block.id, date(2026, 3, 4))
        add_lives(db, [Life(clock.new_id(), block.id, date(2026, 3, 4), attributes={"groove_type": "round"})])
    present, past = list_lives(db, block.house, block.id)
    assert (present.retired_on, past.retired_on) == (None, date(2026, 3, 4))
    assert present.attributes == {"groove_type": "round"}


def test_a_tag_stands_once_in_a_house(db: Database, block: Part) -> None:
    with pytest.raises(sqlite3.IntegrityError), write_transaction(db):
        add_parts(db, [Part(clock.new_id(), block.house, block.area, PartKind.SIGN, block.tag)])


def test_the_record_of_a_change_is_never_altered(db: Database, block: Part) -> None:
    with write_transaction(db):
        add_part_change(db, clock.new_id(), Change(block.id, None, "tag", "a", "b"), clock.now(), "system")
    for statement in ("UPDATE part_change SET old = 'x'", "DELETE FROM part_change"):
        with pytest.raises(sqlite3.IntegrityError, match="written once"), write_transaction(db):
            db.execute(statement)


def test_parts_of_a_set_and_of_an_area_are_listed_apart(db: Database, house: House, block: Part) -> None:
    tags = [part.tag for part in list_parts(db, house.id, line_set=block.line_set)]
    assert tags == ["HB 1", "LB 1-1", "LB 1-2"]
    assert len(list_parts(db, house.id, area=block.area)) == 6
