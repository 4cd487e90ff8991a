"""Re-looks at a whole set or area: done when each part in it was looked at as asked, on one sealed walk or several."""

from datetime import date, timedelta
from typing import Any

import pytest
from sqlite_utils import Database
from sqlite_utils.utils import sqlite3

from inspect_app.actions.relook import ask_relook
from inspect_app.config import Settings
from inspect_app.domain.errors import NotFound
from inspect_app.domain.house import House
from inspect_app.domain.ids import to_key
from inspect_app.domain.relook import Relook
from inspect_app.store.point_clock import rebuild_point_clock
from inspect_app.store.relook import get_relook, list_relooks
from tests.actions.test_calendar import walked
from tests.walk_builder import START, BuiltWalk


class Asked:
    """A re-look of each part of set 1, from close by, asked before any walk."""

    def __init__(self, db: Database, settings: Settings, house: House) -> None:
        self.db, self.settings, self.house = db, settings, house
        self.first = BuiltWalk(db, settings, house)
        self.block = self.first.part("HB 1")
        self.id = self.ask(line_set=self.block.line_set).id
        self.tags = sorted(self.now().parts.values())

    def ask(self, **scope: Any) -> Relook:
        return ask_relook(
            self.db, at=START, actor=self.first.td.id, house=self.house.id, part=self.block.id,
            look_on=date(2026, 4, 1), reason="released", **scope,
        )  # fmt: skip

    def walk(self, days: int, tags: list[str], *ways: str) -> BuiltWalk:
        at = START + timedelta(days=days)
        return walked(self.db, self.settings, self.house, at, {tag: list(ways or ("seen_close",)) for tag in tags})

    def now(self) -> Relook:
        found = get_relook(self.db, self.house.id, self.id)
        assert found is not None
        return found


@pytest.fixture
def asked(db: Database, settings: Settings, house: House) -> Asked:
    return Asked(db, settings, house)


def test_a_set_is_done_only_when_each_of_its_parts_was_looked_at_as_asked(asked: Asked) -> None:
    assert len(asked.tags) > 2, "a set has several parts"
    assert {"HB 1", "LB 1-1"} <= set(asked.tags)
    assert "HB 2" not in asked.tags
    asked.walk(1, ["HB 1"])
    assert asked.now().open, "one part does not answer for the set"
    assert asked.now().waiting_tags == tuple(tag for tag in asked.tags if tag != "HB 1")
    asked.walk(2, asked.tags, "seen_from_afar")
    assert "HB 1" not in asked.now().waiting_tags
    assert len(asked.now().waiting_tags) == len(asked.tags) - 1, "from afar is not what was asked"
    last = asked.walk(3, [tag for tag in asked.tags if tag != "HB 1"])
    done = asked.now()
    assert (done.open, done.waiting_tags, done.done_walk) == (False, (), last.id)
    assert list_relooks(asked.db, asked.house.id) == []


def test_an_amendment_takes_the_answer_of_one_part_back_and_a_second_look_stands_in_for_it(asked: Asked) -> None:
    first = asked.walk(1, ["HB 1"])
    rest = [tag for tag in asked.tags if tag != "HB 1"]
    asked.walk(2, rest)
    assert not asked.now().open
    first.look("HB 1", "withdrawn", replaces=[asked.now().answers[asked.block.id].entry])
    first.amend()
    assert asked.now().waiting_tags == ("HB 1",), "withdrawn: the set waits again"
    assert asked.now().open
    again = asked.walk(3, ["HB 1"])
    assert (asked.now().open, asked.now().done_walk) == (False, again.id)
    before = asked.now()
    rebuild_point_clock(asked.db)
    assert asked.now() == before, "made anew from the seals it is the same"


def test_parts_put_in_later_are_not_asked_for_and_those_taken_out_no_longer(asked: Asked) -> None:
    gone = next(tag for tag in asked.tags if tag != "HB 1")
    asked.db.execute("UPDATE part SET retired_on = '2026-03-06' WHERE id = ?", (to_key(asked.first.part(gone).id),))
    assert gone not in asked.now().waiting_tags
    asked.walk(1, [tag for tag in asked.tags if tag != gone])
    assert not asked.now().open


def test_an_area_asks_for_every_part_in_it_and_a_part_alone_as_before(asked: Asked) -> None:
    area = asked.ask(area=asked.block.area)
    inside = {row[0] for row in asked.db.execute("SELECT tag FROM part WHERE area = ?", (to_key(asked.block.area),))}
    assert set(area.parts.values()) == inside
    alone = asked.ask()
    asked.walk(1, ["HB 1"])
    left = {one.id for one in list_relooks(asked.db, asked.house.id)}
    assert alone.id not in left
    assert {asked.id, area.id} - left == ({area.id} if inside == {"HB 1"} else set())


def test_the_part_must_be_in_the_set_of_this_house_and_its_parts_are_written_once(
    asked: Asked, other_house: House
) -> None:
    with pytest.raises(NotFound):
        asked.ask(line_set=asked.first.part("HB 2").line_set)
    with pytest.raises(sqlite3.IntegrityError, match="written once"):
        asked.db.execute("DELETE FROM relook_part")
    assert get_relook(asked.db, other_house.id, asked.id) is None
