from datetime import UTC, date, datetime

import pytest
from sqlite_utils import Database

from inspect_app.actions.account import insert_person
from inspect_app.actions.house import (
    add_area,
    change_area,
    change_house,
    create_house,
    generate_house,
    name_lines,
    retire_area,
)
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.house import AreaKind, House, LineSetKind, Side
from inspect_app.domain.house_answers import Answers
from inspect_app.domain.line_names import names_for
from inspect_app.domain.part import PartKind
from inspect_app.domain.role import Role
from inspect_app.store.db import write_transaction
from inspect_app.store.house import get_house, list_areas, list_line_sets
from inspect_app.store.journal import list_journal
from inspect_app.store.membership import get_membership
from inspect_app.store.part import count_parts, list_parts, list_present_lives

AT = datetime(2026, 3, 4, 12, tzinfo=UTC)
ANSWERS = Answers(
    *(40, 203, 600, 6, (-7500, -4500, -1500, 1500, 4500, 7500)),
    kinds={5: LineSetKind.MOTOR, 20: LineSetKind.DOUBLE, 40: LineSetKind.ROPE},
    grid_mm=18_000,
    bridge_mm=15_000,
    galleries=((Side.RIGHT, 8000), (Side.LEFT, 8000)),
)


@pytest.fixture
def actor(db: Database) -> str:
    with write_transaction(db):
        return insert_person(db, "Alex Fly").id


@pytest.fixture
def own(db: Database, actor: str) -> House:
    return create_house(db, at=AT, actor=actor, name="Mill", tz="America/Chicago", units="imperial")


def journalled(db: Database) -> list[str]:
    return [row.action for row in list_journal(db)]


def test_who_makes_a_house_administers_and_directs_it(db: Database, actor: str, own: House) -> None:
    standing = get_membership(db, own.id, actor)
    assert standing is not None
    assert standing[1] == {Role.ADMIN, Role.TD}
    assert journalled(db) == ["house.create"]


@pytest.mark.parametrize(
    ("change", "field"),
    [({"name": " "}, "name"), ({"tz": "Mars"}, "tz"), ({"units": "x"}, "units"), ({"datum": ""}, "datum")],
)
def test_a_house_that_cannot_be_is_refused_by_field(
    db: Database, actor: str, change: dict[str, str], field: str
) -> None:
    with pytest.raises(BadValue) as caught:
        create_house(db, at=AT, actor=actor, **({"name": "Mill", "tz": "UTC", "units": "metric"} | change))
    assert caught.value.field == field
    assert journalled(db) == []


def test_a_generated_house_is_in_the_database_as_it_was_made(db: Database, actor: str, own: House) -> None:
    made = generate_house(db, at=AT, actor=actor, house=own.id, answers=ANSWERS)
    assert {part.id: part for part in list_parts(db, own.id)} == {part.id: part for part in made.parts}
    assert list_present_lives(db, own.id) == dict(made.lives)
    assert tuple(list_line_sets(db, own.id)) == made.line_sets
    assert tuple(list_areas(db, own.id)) == made.areas
    assert count_parts(db, own.id)[PartKind.LOFT_BLOCK] == 240
    assert journalled(db)[-1:] == ["house.generate"]


def test_a_house_is_generated_once(db: Database, actor: str, own: House) -> None:
    generate_house(db, at=AT, actor=actor, house=own.id, answers=ANSWERS)
    with pytest.raises(Conflict):
        generate_house(db, at=AT, actor=actor, house=own.id, answers=ANSWERS)
    assert journalled(db).count("house.generate") == 1


def test_line_names_are_the_presets_and_the_houses_own(db: Database, actor: str, own: House) -> None:
    name_lines(db, at=AT, actor=actor, house=own.id, preset="numbered", own={3: ("near", "middle", "far")})
    kept = get_house(db, own.id)
    assert names_for(kept, 3) == ("near", "middle", "far")
    assert names_for(kept, 2) == ("line 1", "line 2")
    with pytest.raises(BadValue):
        name_lines(db, at=AT, actor=actor, house=own.id, preset="mid", own={3: ("a", "a", "b")})


def test_a_house_can_be_renamed_and_keeps_its_line_names(db: Database, actor: str, own: House) -> None:
    name_lines(db, at=AT, actor=actor, house=own.id, preset="center", own={})
    change_house(db, at=AT, actor=actor, house=own.id, name="Mill 2", tz="UTC", units="metric", datum="setting line")
    kept = get_house(db, own.id)
    assert (kept.name, kept.datum, kept.settings["line_names"]) == ("Mill 2", "setting line", "center")


def test_an_area_with_parts_is_not_retired_an_empty_one_is(db: Database, actor: str, own: House) -> None:
    made = generate_house(db, at=AT, actor=actor, house=own.id, answers=ANSWERS)
    with pytest.raises(Conflict):
        retire_area(db, at=AT, actor=actor, house=own.id, area=made.areas[0].id, on=date(2026, 3, 4))
    loose = add_area(db, at=AT, actor=actor, house=own.id, kind=AreaKind.GALLERY, name="Spot gallery", z_mm=9000)
    retire_area(db, at=AT, actor=actor, house=own.id, area=loose.id, on=date(2026, 3, 4))
    assert loose.id not in {area.id for area in list_areas(db, own.id)}
    assert loose.id in {area.id for area in list_areas(db, own.id, retired=True)}


def test_two_areas_of_a_name_are_refused(db: Database, actor: str, own: House) -> None:
    first = add_area(db, at=AT, actor=actor, house=own.id, kind=AreaKind.GRID, name="Grid", z_mm=18_000)
    with pytest.raises(BadValue):
        add_area(db, at=AT, actor=actor, house=own.id, kind=AreaKind.GRID, name="GRID", z_mm=1)
    change_area(db, at=AT, actor=actor, house=own.id, area=first.id, kind=AreaKind.GRID, name="grid", z_mm=18_100)
    assert [area.name for area in list_areas(db, own.id)] == ["grid"]


def test_an_area_of_another_house_is_not_found(db: Database, actor: str, own: House, other_house: House) -> None:
    foreign = list_areas(db, other_house.id)[0]
    with pytest.raises(NotFound):
        change_area(db, at=AT, actor=actor, house=own.id, area=foreign.id, kind=AreaKind.GRID, name="x", z_mm=0)
    with pytest.raises(NotFound):
        retire_area(db, at=AT, actor=actor, house=own.id, area=foreign.id, on=date(2026, 3, 4))
