"""A grade rises by itself on the day after the last day of what was put in place, wherever the grade is read."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from sqlite_utils import Database

from inspect_app.actions.restriction import end_restriction, set_restriction
from inspect_app.actions.tag_out import stop_thing
from inspect_app.actions.today import today_of
from inspect_app.config import Settings
from inspect_app.domain.checklist import Grade
from inspect_app.domain.errors import NotAllowed
from inspect_app.domain.house import House
from inspect_app.domain.restriction import RestrictionKind
from inspect_app.domain.role import Role
from inspect_app.domain.today import Matter
from inspect_app.store.deficiency import get_deficiency, list_deficiencies
from inspect_app.store.house import list_line_sets
from inspect_app.store.look import list_open_findings, list_part_states
from inspect_app.store.set_state import list_other_bars
from tests.walk_builder import START, BuiltWalk, add_person


def grades(db: Database, house: House, part: str) -> set[str]:
    """The grade of the only deficiency of a house, from each place where it is read."""
    (row,) = list_deficiencies(db, house.id)
    one = get_deficiency(db, house.id, row.id)
    assert one is not None
    (found,) = list_open_findings(db, house.id)
    return {row.grade, one.grade, found.grade, list_part_states(db, house.id)[part].worst_grade}


def test_an_expired_measure_raises_the_grade_everywhere_and_nothing_has_to_run(
    db: Database, settings: Settings, house: House, clock_at: Callable[[datetime], None]
) -> None:
    clock_at(START)
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("LB 1-1", "repair_by", note="cheek bent")
    part, until = walk.part("LB 1-1").id, START.date() + timedelta(days=10)
    (row,) = list_deficiencies(db, house.id)
    inspector = add_person(db, house, "Mara", Role.INSPECTOR)
    texts = {"what": "second keeper fitted", "load_limit": "none", "who": "Ines Halloran"}
    made = set_restriction(
        db, at=START, today=START.date(), actor=inspector.id, house=house.id, kind=RestrictionKind.MEASURE,
        texts=texts, until=until, recheck_on=until, deficiency=row.id,
    )  # fmt: skip
    clock_at(START + timedelta(days=10))
    assert grades(db, house, part) == {Grade.REPAIR_BY}
    clock_at(START + timedelta(days=11))
    assert grades(db, house, part) == {Grade.RESTRICT}
    assert told_out_of_use(walk, START + timedelta(days=11)) == []
    with pytest.raises(NotAllowed, match="only a qualified inspector lowers"):  # a loft block is in the load path
        end_restriction(db, at=START, actor=walk.td.id, house=house.id, restriction=made, reason="looks well")
    assert grades(db, house, part) == {Grade.RESTRICT}
    end_restriction(db, at=START, actor=inspector.id, house=house.id, restriction=made, reason="cheek replaced")
    assert grades(db, house, part) == {Grade.REPAIR_BY}


def test_what_rose_to_stop_use_by_itself_is_told_as_out_of_use_also_where_no_set_is(
    db: Database, settings: Settings, house: House, clock_at: Callable[[datetime], None]
) -> None:
    clock_at(START)
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("LB 1-1", "restrict", note="rung bent")
    db.execute("UPDATE part SET kind = 'ladder', line_set = NULL WHERE tag = 'LB 1-1'")
    (row,) = list_deficiencies(db, house.id)
    set_restriction(
        db, at=START, today=START.date(), actor=walk.td.id, house=house.id, kind=RestrictionKind.MEASURE,
        texts={"what": "rung lashed", "load_limit": "one person", "who": "Ines"}, until=START.date(),
        recheck_on=START.date(), deficiency=row.id,
    )  # fmt: skip
    assert list_other_bars(db, house.id) == []
    clock_at(START + timedelta(days=1))
    assert list_other_bars(db, house.id) == [("LB 1-1", "Deficiency 1 is graded stop use: rung bent")]


def told_out_of_use(walk: BuiltWalk, at: datetime) -> list[str]:
    rows = today_of(walk.db, walk.settings, walk.house.id, at)
    return [row.text for row in rows if row.matter is Matter.STOPPED]


def test_a_set_that_no_stop_keeps_out_of_use_is_told_today_until_it_is_stopped(
    db: Database, settings: Settings, house: House, clock_at: Callable[[datetime], None]
) -> None:
    clock_at(START)
    walk, line_set = BuiltWalk(db, settings, house), list_line_sets(db, house.id)[0].id
    args = {"at": START, "actor": walk.td.id, "house": house.id, "line_set": line_set}
    set_restriction(
        db, today=START.date(), kind=RestrictionKind.LIMIT, until=START.date(),
        texts={"what": "bent pipe", "load_limit": "100 kg", "who": "Ines"}, **args,
    )  # fmt: skip
    assert told_out_of_use(walk, START) == []
    later = START + timedelta(days=1)
    clock_at(later)
    (text,) = told_out_of_use(walk, later)
    assert text.startswith("Line set 1 is not to be used: Restriction expired after 2026-03-04 (bent pipe)")
    stop_thing(db, why="limit ran out", **args)
    (text,) = told_out_of_use(walk, later)
    assert text.startswith("Line set 1 is stopped since")
