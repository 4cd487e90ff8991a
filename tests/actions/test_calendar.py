"""What is due in a house: worked out from sealed walks, by rules and the house, between its blackouts."""

import random
from datetime import UTC, date, datetime, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from sqlite_utils import Database

from inspect_app.actions.blackout import add_typed, end_one, import_blackouts
from inspect_app.actions.calendar import HouseCalendar, house_calendar, known_of
from inspect_app.actions.interval import choose_rule, drop_scope, enter_examination, save_scope, set_walking_days
from inspect_app.actions.relook import ask_relook, move_relook, take_back_relook
from inspect_app.config import Settings
from inspect_app.domain.calendar_item import CalendarItem
from inspect_app.domain.dark_day import Blackout
from inspect_app.domain.due import PartDue, Standing
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed, NotFound
from inspect_app.domain.house import House
from inspect_app.domain.interval_scope import HouseScope
from inspect_app.domain.role import Role
from inspect_app.domain.rule_choice import Examination
from inspect_app.store.house import list_line_sets
from inspect_app.store.part import list_parts
from inspect_app.store.relook import list_relooks
from tests.walk_builder import START, BuiltWalk, add_person

QUARTERLY, ANNUAL = "checklist:grid-quarterly", "checklist:annual-hands-on"
MET_BY = {
    "handled": {"handled"},
    "seen_close": {"handled", "seen_close"},
    "seen_from_afar": {"handled", "seen_close", "seen_from_afar"},
    "heard": {"heard"},
}
TAGS = ("HB 1", "LB 1-1", "LB 1-2", "HB 2", "LB 2-1", "LB 2-2")


def calendar(walk: BuiltWalk, at: datetime) -> HouseCalendar:
    return house_calendar(walk.db, walk.settings, walk.house.id, at)


def item(walk: BuiltWalk, key: str, at: datetime) -> CalendarItem:
    return next(one for one in calendar(walk, at).items if one.key == key)


def dues(walk: BuiltWalk, key: str, at: datetime) -> dict[str, PartDue]:
    (plan,) = (plan for plan in calendar(walk, at).plans if plan.key == key)
    return {due.part: due for due in plan.dues}


def walked(db: Database, settings: Settings, house: House, at: datetime, looks: dict[str, list[str]]) -> BuiltWalk:
    """A sealed walk at a moment: by tag of a part, the ways in which every tap point of it was looked at."""
    walk = BuiltWalk(db, settings, house)
    walk.at = at
    walk.open()
    for tag, ways in looks.items():
        walk.look(tag, ways=ways, recorded_at=at.isoformat())
    walk.close()
    walk.sign()
    return walk


@pytest.fixture
def walk(db: Database, settings: Settings, house: House) -> BuiltWalk:
    return walked(db, settings, house, START, {tag: ["handled", "seen_close"] for tag in TAGS})


@pytest.mark.parametrize("seed", range(5))
def test_no_date_is_later_than_an_interval_after_the_last_look_that_was_as_asked(
    db: Database, settings: Settings, house: House, seed: int
) -> None:
    """Random walks around month ends and clock changes; python-dateutil says what three months after a day are."""
    chance = random.Random(seed)
    starts = ["2024-02-29T18:00", "2025-08-31T23:50", "2026-03-08T07:59", "2025-11-30T05:30", "2026-10-31T04:59"]
    moments = [datetime.fromisoformat(start).replace(tzinfo=UTC) for start in sorted(chance.sample(starts, 3))]
    last: dict[tuple[str, str], date] = {}
    for at in moments:
        looks = {tag: [chance.choice(["handled", "seen_close", "seen_from_afar"])] for tag in chance.sample(TAGS, 4)}
        walk = walked(db, settings, house, at, looks)
        day = (at - timedelta(hours=_offset(at))).date()
        for tag, ways in looks.items():
            for point in walk.checklist.points_for(walk.part(tag).kind):
                is_tap = point.in_pass == "grid/static" and point.method not in ("measure", "operate")
                if is_tap and point.photo != "always" and MET_BY[point.way] & set(ways):
                    last[tag, point.id] = day
    now = moments[-1] + timedelta(days=200)
    found = dues(walk, QUARTERLY, now)
    for tag in TAGS:
        points = [point.id for point in walk.checklist.points_for(walk.part(tag).kind)]
        known = [last[tag, point] for point in points if (tag, point) in last]
        due = found[walk.part(tag).id]
        assert due.due_on == (min(known) + relativedelta(months=3) if known else None)
        assert set(due.missing) == {point for point in points if (tag, point) not in last}
    scope = item(walk, QUARTERLY, now)
    assert scope.due_on == min(due.due_on for due in found.values() if due.due_on)
    assert scope.standing is Standing.OVERDUE
    assert scope.day == _today(now), "overdue: the first free day, and that is today"


def _offset(at: datetime) -> int:
    """Hours that Chicago is behind UTC, by the dates on which its clocks were changed (15 U.S.C. 260a)."""
    summer = {2024: ("2024-03-10T08", "2024-11-03T07"), 2025: ("2025-03-09T08", "2025-11-02T07"),
              2026: ("2026-03-08T08", "2026-11-01T07"), 2027: ("2027-03-14T08", "2027-11-07T07")}  # fmt: skip
    start, end = (datetime.fromisoformat(text).replace(tzinfo=UTC) for text in summer[at.year])
    return 5 if start <= at < end else 6


def _today(at: datetime) -> date:
    return (at - timedelta(hours=_offset(at))).date()


def test_before_any_walk_everything_is_never_recorded_and_the_first_free_day_is_proposed(
    db: Database, settings: Settings, house: House
) -> None:
    walk = BuiltWalk(db, settings, house)
    found = item(walk, QUARTERLY, START)
    assert (found.due_on, found.standing, found.day) == (None, Standing.NEVER_RECORDED, date(2026, 3, 4))
    assert found.bare == found.total == 6


def test_an_unsealed_walk_moves_no_date(walk: BuiltWalk) -> None:
    before = item(walk, QUARTERLY, START + timedelta(days=80)).due_on
    second = BuiltWalk(walk.db, walk.settings, walk.house)
    second.at = START + timedelta(days=70)
    second.open()
    second.look("LB 1-1")
    second.close()
    assert item(walk, QUARTERLY, START + timedelta(days=80)).due_on == before == date(2026, 6, 4)


def test_a_chosen_rule_shortens_and_the_house_s_tolerance_never_reaches_beyond_it(walk: BuiltWalk) -> None:
    known, at = known_of(walk.settings), START + timedelta(days=10)
    scope = HouseScope("", walk.house.id, "annual-hands-on", interval="P5Y", late_days=60, reason="said so")
    save_scope(walk.db, at=at, actor=walk.td.id, scope=scope, known=known)
    annual = BuiltWalk(walk.db, walk.settings, walk.house, "annual-hands-on")
    inspector = add_person(walk.db, walk.house, "Mara Okafor", Role.INSPECTOR)
    annual.open()
    annual.look("LB 1-1")
    annual.close()
    annual.sign(actor=inspector, role=Role.INSPECTOR)
    year = date(2027, 3, 4)
    before = item(walk, ANNUAL, at)
    assert (before.due_on, before.last_day) == (year, year + timedelta(days=60)), "the checklist's year, not five"
    choose_rule(walk.db, at=at, actor=walk.td.id, house=walk.house.id, what="set:us", applies=True, reason="",
                known=known)  # fmt: skip
    after = item(walk, ANNUAL, at)
    assert (after.due_on, after.last_day) == (year, year), "a rule has no days of grace"
    assert any("ANSI E1.4-1" in reason for reason in after.reasons)


def test_a_house_may_shorten_for_some_sets_and_the_rest_keeps_its_interval(walk: BuiltWalk) -> None:
    known, at = known_of(walk.settings), START + timedelta(days=1)
    first = list_line_sets(walk.db, walk.house.id)[0]
    scope = HouseScope("", walk.house.id, "grid-quarterly", "set 1", frozenset({first.id}), None, "P1M", reason="use")
    kept = save_scope(walk.db, at=at, actor=walk.td.id, scope=scope, known=known)
    assert item(walk, kept.id, at).due_on == date(2026, 4, 4)
    assert item(walk, kept.id, at).total == 3
    assert (item(walk, QUARTERLY, at).due_on, item(walk, QUARTERLY, at).total) == (date(2026, 6, 4), 3)
    drop_scope(walk.db, at=at, actor=walk.td.id, house=walk.house.id, scope=kept.id)
    assert item(walk, QUARTERLY, at).total == 6


def test_what_a_house_sets_for_itself_is_checked(walk: BuiltWalk) -> None:
    known = known_of(walk.settings)

    def save(**fields: object) -> HouseScope:
        given = {"checklist": "grid-quarterly", "interval": "P1M", "reason": "use", **fields}
        scope = HouseScope("", walk.house.id, **given)  # type: ignore[arg-type]
        return save_scope(walk.db, at=START, actor=walk.td.id, scope=scope, known=known)

    for fields, field in (
        ({"checklist": "nothing"}, "checklist"),
        ({"interval": "3 months"}, "interval"),
        ({"reason": " "}, "reason"),
        ({"areas": frozenset({"x"})}, "name"),
        ({"late_days": -1}, "late_days"),
        ({"interval": "", "checklist": "pre-use-look", "reason": ""}, "interval"),
    ):
        with pytest.raises(BadValue) as caught:
            save(**fields)
        assert caught.value.field == field, fields
    save()
    with pytest.raises(Conflict):
        save()
    manager = add_person(walk.db, walk.house, "Kit Poe", Role.MANAGER)
    other = HouseScope("", walk.house.id, "fire-curtain", interval="P1M", reason="x")
    with pytest.raises(NotAllowed):
        save_scope(walk.db, at=START, actor=manager.id, known=known, scope=other)


def test_a_checklist_that_a_chosen_rule_asks_for_cannot_be_left_out(walk: BuiltWalk) -> None:
    known = known_of(walk.settings)
    quarterly = HouseScope("", walk.house.id, "grid-quarterly", interval="none", reason="done by the house next door")
    save_scope(walk.db, at=START, actor=walk.td.id, scope=quarterly, known=known)
    assert QUARTERLY not in {one.key for one in calendar(walk, START).items}
    choose_rule(walk.db, at=START, actor=walk.td.id, house=walk.house.id, what="set:us", applies=True, reason="",
                known=known)  # fmt: skip
    with pytest.raises(BadValue, match="rule"):
        save_scope(
            walk.db, at=START, actor=walk.td.id, known=known,
            scope=HouseScope("", walk.house.id, "annual-hands-on", interval="none", reason="no"),
        )  # fmt: skip


def test_a_rule_set_is_taken_back_only_with_a_reason_that_is_kept(walk: BuiltWalk) -> None:
    known = known_of(walk.settings)

    def choose(applies: bool, reason: str = "") -> None:
        choose_rule(walk.db, at=START, actor=walk.td.id, house=walk.house.id, what="set:de", applies=applies,
                    reason=reason, known=known)  # fmt: skip

    choose(True)
    assert [one.id for one in calendar(walk, START).sets] == ["de"]
    with pytest.raises(BadValue):
        choose(False)
    with pytest.raises(Conflict):
        choose(True)
    choose(False, "the house moved")
    assert calendar(walk, START).sets == ()


def test_an_examination_by_others_is_due_an_interval_after_the_last_that_was_entered(walk: BuiltWalk) -> None:
    """DGUV Vorschrift 17 paragraph 34(1): at least every four years, from 29 February to 29 February."""
    known, at = known_of(walk.settings), START
    choose_rule(walk.db, at=at, actor=walk.td.id, house=walk.house.id, what="set:de", applies=True, reason="",
                known=known)  # fmt: skip
    key = "rule:de-expert-four-yearly"
    assert item(walk, key, at).standing is Standing.NEVER_RECORDED
    made = Examination("", walk.house.id, "de-expert-four-yearly", date(2024, 2, 29), "K. Rieger", "report 7")
    enter_examination(walk.db, at=at, actor=walk.td.id, examination=made, known=known)
    assert (item(walk, key, at).due_on, item(walk, key, at).standing) == (date(2028, 2, 29), Standing.DONE)
    late = datetime(2028, 3, 2, tzinfo=UTC)
    assert item(walk, key, late).standing is Standing.OVERDUE
    for fields, field in (
        ({"held_on": date(2030, 1, 1)}, "held_on"),
        ({"paper": ""}, "paper"),
        ({"rule": "x"}, "rule"),
    ):
        wrong = Examination(**{**{n: getattr(made, n) for n in made.__slots__}, **fields})  # type: ignore[arg-type]
        with pytest.raises(BadValue) as caught:
            enter_examination(walk.db, at=at, actor=walk.td.id, examination=wrong, known=known)
        assert caught.value.field == field


def test_blackouts_move_the_proposal_and_one_over_everything_is_told(walk: BuiltWalk) -> None:
    at, house = START + timedelta(days=60), walk.house.id

    def closed(first: date, last: date, why: str) -> str:
        return add_typed(walk.db, at=at, actor=walk.td.id, house=house, blackout=Blackout(first, last, why)).id

    assert item(walk, QUARTERLY, at).day == date(2026, 6, 4)
    closed(date(2026, 6, 1), date(2026, 6, 8), "festival")
    assert item(walk, QUARTERLY, at).day == date(2026, 5, 31)
    everything = closed(date(2026, 5, 1), date(2026, 9, 30), "the grid is painted")
    found = item(walk, QUARTERLY, at)
    assert found.day is None
    assert "the grid is painted" in found.words
    assert "2026-10-01" in found.words
    end_one(walk.db, at=at, actor=walk.td.id, house=house, blackout=everything)
    assert item(walk, QUARTERLY, at).day == date(2026, 5, 31)
    with pytest.raises(NotFound):
        end_one(walk.db, at=at, actor=walk.td.id, house=house, blackout=everything)


def test_a_file_of_the_same_name_takes_the_place_of_the_one_before(walk: BuiltWalk) -> None:
    def take(*days: int) -> tuple[int, int]:
        found = [Blackout(date(2026, 6, day), date(2026, 6, day), "show") for day in days]
        return import_blackouts(
            walk.db, at=START, actor=walk.td.id, house=walk.house.id, name="season.ics", found=found
        )

    assert take(1, 2, 3) == (3, 0)
    assert take(4) == (1, 3)
    assert [row.blackout.first for row in calendar(walk, START).blackouts] == [date(2026, 6, 4)]


def test_only_days_of_the_week_that_suit_are_proposed(walk: BuiltWalk) -> None:
    at = START + timedelta(days=60)
    set_walking_days(walk.db, at=at, actor=walk.td.id, house=walk.house.id, weekdays=frozenset({0}), watched="")
    assert item(walk, QUARTERLY, at).day == date(2026, 6, 1)  # the Monday before Thursday, 4 June 2026
    with pytest.raises(BadValue):
        set_walking_days(walk.db, at=at, actor=walk.td.id, house=walk.house.id, weekdays=frozenset(), watched="")


def test_an_open_finding_brings_the_look_at_its_part_forward_if_the_house_says_so(
    db: Database, settings: Settings, house: House
) -> None:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    for tag in TAGS[1:]:
        walk.look(tag)
    walk.finding("HB 1", "watch")
    walk.close()
    walk.sign()
    at = START + timedelta(days=5)
    assert item(walk, QUARTERLY, at).due_on == date(2026, 6, 4)
    set_walking_days(db, at=at, actor=walk.td.id, house=house.id, weekdays=frozenset(range(7)), watched="P1M")
    found = item(walk, QUARTERLY, at)
    assert (found.due_on, found.last_day) == (date(2026, 4, 4), date(2026, 4, 4))
    assert "brought forward for HB 1" in found.reasons[0]


def test_a_re_look_is_done_by_a_later_look_that_counts_in_its_way_on_a_sealed_walk(walk: BuiltWalk) -> None:
    at, house, part = START + timedelta(days=2), walk.house.id, walk.part("LB 1-1").id
    asked = ask_relook(walk.db, at=at, actor=walk.td.id, house=house, part=part, look_on=date(2026, 4, 1),
                       reason="new sheave")  # fmt: skip
    key = f"relook:{asked.id}"
    assert item(walk, key, at).day == date(2026, 4, 1)
    move_relook(walk.db, at=at, actor=walk.td.id, house=house, relook=asked.id, look_on=date(2026, 4, 8), reason="tour")
    assert item(walk, key, at).day == date(2026, 4, 8)
    assert item(walk, key, datetime(2026, 4, 10, tzinfo=UTC)).standing is Standing.OVERDUE
    far = walked(walk.db, walk.settings, walk.house, at + timedelta(days=10), {"LB 1-1": ["seen_from_afar"]})
    assert [one.id for one in list_relooks(walk.db, house)] == [asked.id], "from afar is not what was asked"
    close = walked(walk.db, walk.settings, walk.house, far.at + timedelta(days=1), {"LB 1-1": ["seen_close"]})
    (done,) = list_relooks(walk.db, house, open_only=False)
    assert (done.open, done.done_walk) == (False, close.id)
    close.look("LB 1-1", "withdrawn", replaces=[done.done_entry])
    close.amend()
    assert [one.id for one in list_relooks(walk.db, house)] == [asked.id], "withdrawn: it waits again"
    take_back_relook(walk.db, at=close.at, actor=walk.td.id, house=house, relook=asked.id, reason="block taken out")
    assert list_relooks(walk.db, house) == []
    with pytest.raises(Conflict):
        move_relook(
            walk.db, at=at, actor=walk.td.id, house=house, relook=asked.id, look_on=date(2026, 5, 1), reason="x"
        )


def test_a_re_look_needs_a_day_ahead_a_reason_and_a_part_of_the_house(walk: BuiltWalk, other_house: House) -> None:
    def ask(part: str, day: date, reason: str) -> None:
        ask_relook(walk.db, at=START, actor=walk.td.id, house=walk.house.id, part=part, look_on=day, reason=reason)

    part = walk.part("LB 1-1").id
    with pytest.raises(BadValue, match="passed"):
        ask(part, date(2026, 3, 3), "x")
    with pytest.raises(BadValue, match="why"):
        ask(part, date(2026, 4, 3), " ")
    foreign = list_parts(walk.db, other_house.id)[0].id
    with pytest.raises(NotFound):
        ask(foreign, date(2026, 4, 3), "x")


def test_later_rounds_are_expected_an_interval_after_each_proposed_day(walk: BuiltWalk) -> None:
    at = START + timedelta(days=1)
    rounds = [one for one in calendar(walk, at).expected() if one.key == QUARTERLY]
    assert [one.due_on for one in rounds] == [date(2026, 6, 4) + relativedelta(months=3 * n) for n in (1, 2, 3)]
    assert all(one.day == one.due_on for one in rounds)
