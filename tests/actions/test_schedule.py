from datetime import UTC, datetime

import pytest
from sqlite_utils import Database

from inspect_app.actions.account import insert_person
from inspect_app.actions.house import create_house, generate_house
from inspect_app.actions.schedule import import_schedule
from inspect_app.domain.house import House, LineSetKind
from inspect_app.domain.house_answers import Answers
from inspect_app.domain.part import PartKind
from inspect_app.domain.schedule_columns import find_columns
from inspect_app.domain.schedule_import import Defaults, ScheduleLine, read_schedule
from inspect_app.store.db import write_transaction
from inspect_app.store.house import list_line_sets
from inspect_app.store.journal import list_journal
from inspect_app.store.part import count_parts, find_part_by_tag, list_lives, list_part_changes, list_parts

AT = datetime(2026, 3, 4, 12, tzinfo=UTC)


@pytest.fixture
def actor(db: Database) -> str:
    with write_transaction(db):
        return insert_person(db, "Alex Fly").id


@pytest.fixture
def own(db: Database, actor: str) -> House:
    house = create_house(db, at=AT, actor=actor, name="Mill", tz="UTC", units="metric")
    answers = Answers(2, 200, 600, 3, (-3000, 0, 3000), grid_mm=15_000)
    generate_house(db, at=AT, actor=actor, house=house.id, answers=answers)
    return house


def lines(text: str) -> list[ScheduleLine]:
    rows = [line.split("|") for line in text.strip().splitlines()]
    return [row.line for row in read_schedule(rows, find_columns(rows), Defaults("mm", "kg", lines=3)) if row.line]


def test_new_sets_come_with_parts_and_known_ones_change_only_what_was_given(
    db: Database, actor: str, own: House
) -> None:
    given = lines("Set|Distance|Use|Type\n2|810|Scrim|\n3|1000|Legs|motor\n4|bad||")
    done = import_schedule(db, at=AT, actor=actor, house=own.id, lines=given, with_parts=True)
    assert (done.added, done.changed, done.without_parts) == (("3",), ("2",), ())
    sets = {line_set.number: line_set for line_set in list_line_sets(db, own.id)}
    assert (sets["2"].y_mm, sets["2"].label, sets["2"].lines, sets["2"].kind) == (810, "Scrim", 3, LineSetKind.SINGLE)
    assert sets["3"].kind is LineSetKind.MOTOR
    assert count_parts(db, own.id)[PartKind.LOFT_BLOCK] == 9
    assert {part.y_mm for part in list_parts(db, own.id, line_set=sets["2"].id)} == {810}
    assert [row.action for row in list_journal(db)].count("schedule.import") == 1


def test_a_set_with_more_lines_than_wells_is_added_without_parts_and_named(
    db: Database, actor: str, own: House
) -> None:
    done = import_schedule(
        db, at=AT, actor=actor, house=own.id, lines=lines("Set|Distance|Lines\n3|1000|7"), with_parts=True
    )
    assert [number for number, _ in done.without_parts] == ["3"]
    assert [line_set.lines for line_set in list_line_sets(db, own.id)] == [3, 3, 7]


def test_capacities_of_the_schedule_go_to_the_parts_with_the_old_values_kept(
    db: Database, actor: str, own: House
) -> None:
    for capacity in ("500", "545"):
        given = lines(f"Set|Distance|Cradle capacity\n1|600|{capacity}")
        import_schedule(db, at=AT, actor=actor, house=own.id, lines=given, with_parts=False)
    arbor = find_part_by_tag(db, own.id, "AR 1")
    assert arbor is not None
    assert list_lives(db, own.id, arbor.id)[0].attributes["capacity_kg"] == "545"
    assert [(c.old, c.new) for c in list_part_changes(db, own.id, arbor.id)] == [("500", "545"), ("", "500")]


def test_an_import_twice_over_changes_nothing_the_second_time(db: Database, actor: str, own: House) -> None:
    given = lines("Set|Distance|Use\n1|650|House curtain\n3|1000|Legs")
    import_schedule(db, at=AT, actor=actor, house=own.id, lines=given, with_parts=True)
    before = list_line_sets(db, own.id), list_parts(db, own.id)
    done = import_schedule(db, at=AT, actor=actor, house=own.id, lines=given, with_parts=True)
    assert done.added == ()
    assert (list_line_sets(db, own.id), list_parts(db, own.id)) == before
