from datetime import UTC, date, datetime

import pytest
from sqlite_utils import Database

from inspect_app.actions.account import insert_person
from inspect_app.actions.house import create_house, generate_house
from inspect_app.actions.line_set import Described, add_line_set, add_missing_parts, change_line_set, retire_line_set
from inspect_app.actions.part import retire_part
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.house import House, LineSet, LineSetKind, Side
from inspect_app.domain.house_answers import Answers
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.site import surplus_parts
from inspect_app.store.db import write_transaction
from inspect_app.store.house import get_line_set, list_line_sets
from inspect_app.store.journal import list_journal
from inspect_app.store.part import list_lives, list_part_changes, list_parts

AT = datetime(2026, 3, 4, 12, tzinfo=UTC)
TODAY = date(2026, 3, 4)
ANSWERS = Answers(4, 200, 600, 3, (-3000, 0, 3000), grid_mm=15_000)


@pytest.fixture
def actor(db: Database) -> str:
    with write_transaction(db):
        return insert_person(db, "Alex Fly").id


@pytest.fixture
def own(db: Database, actor: str) -> House:
    house = create_house(db, at=AT, actor=actor, name="Mill", tz="UTC", units="metric")
    generate_house(db, at=AT, actor=actor, house=house.id, answers=ANSWERS)
    return house


def described(line_set: LineSet, **change: object) -> Described:
    base = Described(
        *(
            line_set.number,
            line_set.kind,
            line_set.y_mm,
            line_set.head_side,
            line_set.axis,
            line_set.lines,
            line_set.label,
        )
    )
    return base._replace(**change)  # type: ignore[arg-type]


def tags(parts: list[Part]) -> dict[str, Part]:
    return {part.tag: part for part in parts}


def test_a_new_set_between_two_others_comes_with_its_parts_at_the_known_wells(
    db: Database, actor: str, own: House
) -> None:
    new = Described("2A", LineSetKind.SINGLE, 900, Side.RIGHT, "across", 3, "Scrim")
    made = add_line_set(db, at=AT, actor=actor, house=own.id, described=new, with_parts=True)
    assert [line_set.number for line_set in list_line_sets(db, own.id)] == ["1", "2", "2A", "3", "4"]
    parts = tags(list_parts(db, own.id, line_set=made.id))
    neighbour = tags(list_parts(db, own.id))["LB 2-3"]
    assert (parts["LB 2A-3"].x_mm, parts["LB 2A-3"].well) == (neighbour.x_mm, neighbour.well)
    assert parts["HB 2A"].area == tags(list_parts(db, own.id))["HB 2"].area


def test_a_number_is_used_once_even_after_retiring(db: Database, actor: str, own: House) -> None:
    first = list_line_sets(db, own.id)[0]
    retire_line_set(db, at=AT, actor=actor, house=own.id, line_set=first.id, on=TODAY)
    new = Described("1", LineSetKind.SINGLE, 900, Side.RIGHT, "across", 3)
    with pytest.raises(BadValue, match="retired"):
        add_line_set(db, at=AT, actor=actor, house=own.id, described=new, with_parts=False)


def test_retiring_a_set_retires_its_parts_and_ends_their_lives(db: Database, actor: str, own: House) -> None:
    first = list_line_sets(db, own.id)[0]
    parts = list_parts(db, own.id, line_set=first.id)
    retire_line_set(db, at=AT, actor=actor, house=own.id, line_set=first.id, on=TODAY)
    assert list_parts(db, own.id, line_set=first.id) == []
    assert len(list_parts(db, own.id, line_set=first.id, retired=True)) == len(parts)
    assert all(life.retired_on == TODAY for part in parts for life in list_lives(db, own.id, part.id))
    with pytest.raises(Conflict):
        retire_line_set(db, at=AT, actor=actor, house=own.id, line_set=first.id, on=TODAY)


def test_a_new_number_is_written_on_the_tags_and_the_old_tag_is_kept(db: Database, actor: str, own: House) -> None:
    first = list_line_sets(db, own.id)[0]
    change_line_set(db, at=AT, actor=actor, house=own.id, line_set=first.id, described=described(first, number="1A"))
    parts = tags(list_parts(db, own.id, line_set=first.id))
    assert "LB 1A-2" in parts
    changes = list_part_changes(db, own.id, parts["LB 1A-2"].id)
    assert [(change.what, change.old, change.new) for change in changes] == [("tag", "LB 1-2", "LB 1A-2")]


def test_a_set_that_moves_takes_its_parts_along(db: Database, actor: str, own: House) -> None:
    first = list_line_sets(db, own.id)[0]
    change_line_set(db, at=AT, actor=actor, house=own.id, line_set=first.id, described=described(first, y_mm=450))
    assert {part.y_mm for part in list_parts(db, own.id, line_set=first.id)} == {450}


def test_with_the_head_on_the_other_side_lines_count_from_there(db: Database, actor: str, own: House) -> None:
    first = list_line_sets(db, own.id)[0]
    change = described(first, head_side=Side.LEFT)
    change_line_set(db, at=AT, actor=actor, house=own.id, line_set=first.id, described=change)
    parts = tags(list_parts(db, own.id, line_set=first.id))
    assert parts["LB 1-1"].x_mm == 3000
    assert (parts["HB 1"].x_mm or 0) > 3000
    assert parts["LB 1-1"].well == tags(list_parts(db, own.id))["LB 2-3"].well


def test_only_the_parts_that_lack_are_made(db: Database, actor: str, own: House) -> None:
    first = list_line_sets(db, own.id)[0]
    assert add_missing_parts(db, at=AT, actor=actor, house=own.id, line_set=first.id) == []
    change = described(first, kind=LineSetKind.DOUBLE)
    change_line_set(db, at=AT, actor=actor, house=own.id, line_set=first.id, described=change)
    made = add_missing_parts(db, at=AT, actor=actor, house=own.id, line_set=first.id)
    assert [part.kind for part in made] == [PartKind.DOUBLE_PURCHASE]


def test_what_does_not_fit_the_new_kind_is_named_and_left(db: Database, actor: str, own: House) -> None:
    first = list_line_sets(db, own.id)[0]
    change = described(first, kind=LineSetKind.MOTOR, lines=2)
    changed = change_line_set(db, at=AT, actor=actor, house=own.id, line_set=first.id, described=change)
    surplus = {part.tag for part in surplus_parts(changed, list_parts(db, own.id, line_set=first.id))}
    assert {"AR 1", "RL 1", "HL 1", "TA 1-1", "LB 1-3", "LL 1-3"} <= surplus
    assert not {"HB 1", "LB 1-2", "BT 1"} & surplus


def test_a_retired_part_keeps_its_tag(db: Database, actor: str, own: House) -> None:
    first = list_line_sets(db, own.id)[0]
    lock = tags(list_parts(db, own.id))["RL 1"]
    retire_part(db, at=AT, actor=actor, house=own.id, part=lock.id, on=TODAY, reason="taken out")
    with pytest.raises(Conflict, match="RL 1"):
        add_missing_parts(db, at=AT, actor=actor, house=own.id, line_set=first.id)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"number": "2"}, "number"),
        ({"number": "a" * 20}, "number"),
        ({"lines": 13}, "lines"),
        ({"y_mm": 99_999}, "y_mm"),
    ],
)
def test_a_change_that_cannot_be_is_refused_whole(
    db: Database, actor: str, own: House, change: dict[str, object], field: str
) -> None:
    first = list_line_sets(db, own.id)[0]
    before = len(list(list_journal(db)))
    with pytest.raises(BadValue) as caught:
        change_line_set(db, at=AT, actor=actor, house=own.id, line_set=first.id, described=described(first, **change))
    assert caught.value.field == field
    assert get_line_set(db, own.id, first.id) == first
    assert len(list(list_journal(db))) == before


def test_a_set_of_another_house_is_not_found(db: Database, actor: str, own: House, other_house: House) -> None:
    foreign = list_line_sets(db, other_house.id)[0]
    with pytest.raises(NotFound):
        change_line_set(db, at=AT, actor=actor, house=own.id, line_set=foreign.id, described=described(foreign))
    with pytest.raises(NotFound):
        retire_line_set(db, at=AT, actor=actor, house=own.id, line_set=foreign.id, on=TODAY)
    with pytest.raises(NotFound):
        add_missing_parts(db, at=AT, actor=actor, house=own.id, line_set=foreign.id)
