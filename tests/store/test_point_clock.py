"""What restarts the clock of a point, and what never does; and that the projection can be made again from the seals."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.part import replace_part
from inspect_app.actions.walk import confirm_not_applicable, countersign_entries
from inspect_app.config import Settings
from inspect_app.domain.checklist import Checklist, Point, Way
from inspect_app.domain.house import House
from inspect_app.domain.ids import to_key
from inspect_app.domain.point_clock import point_clocks
from inspect_app.domain.role import Role
from inspect_app.domain.walk import How
from inspect_app.store.db import write_transaction
from inspect_app.store.point_clock import list_point_looks, rebuild_point_clock
from tests.walk_builder import START, BuiltWalk, Phone, add_person

CHICAGO = ZoneInfo("America/Chicago")


@pytest.fixture
def walk(db: Database, settings: Settings, house: House) -> BuiltWalk:
    built = BuiltWalk(db, settings, house)
    built.open()
    return built


def sealed(walk: BuiltWalk, **fields: object) -> None:
    walk.close()
    walk.sign(**fields)


def clocks(walk: BuiltWalk, tag: str, checklist: Checklist | None = None) -> dict[str, object]:
    asked = checklist or walk.checklist
    part = walk.part(tag)
    looks = list_point_looks(walk.db, walk.house.id).get(part.id, [])
    return dict(point_clocks(asked.points_for(part.kind), asked, looks, CHICAGO))


def ticking(walk: BuiltWalk, tag: str, checklist: Checklist | None = None) -> set[str]:
    return {point for point, on in clocks(walk, tag, checklist).items() if on is not None}


def asked(walk: BuiltWalk, tag: str, way: Way) -> Point:
    """A point of the part in the static pass on the grid that a tap may answer and that asks for this way."""
    return next(
        point
        for point in walk.checklist.points_for(walk.part(tag).kind)
        if point.in_pass == "grid/static" and point.way is way and point.id in tap_points(walk, tag)
    )


def tap_points(walk: BuiltWalk, tag: str) -> set[str]:
    return {
        point.id
        for point in walk.checklist.points_for(walk.part(tag).kind)
        if point.in_pass == "grid/static" and point.method in ("look", "feel", "listen") and point.photo != "always"
    }


def test_a_counted_look_on_a_sealed_walk_starts_the_clocks_of_its_points_and_no_others(walk: BuiltWalk) -> None:
    walk.look("LB 1-1")
    assert ticking(walk, "LB 1-1") == set(), "a walk that is not sealed starts nothing"
    sealed(walk)
    found = clocks(walk, "LB 1-1")
    assert tap_points(walk, "LB 1-1") <= ticking(walk, "LB 1-1")
    assert {on for on in found.values() if on} == {START.astimezone(CHICAGO).date()}
    assert ticking(walk, "LB 1-2") == set()


def test_seen_never_restarts_handled(walk: BuiltWalk) -> None:
    handled, seen = asked(walk, "HB 1", Way.HANDLED), asked(walk, "HB 1", Way.SEEN_CLOSE)
    walk.look("HB 1", ways=["seen_close"], points=[handled.id, seen.id])
    sealed(walk)
    assert seen.id in ticking(walk, "HB 1")
    assert handled.id not in ticking(walk, "HB 1")


def test_a_finding_seen_from_afar_restarts_no_interval_of_a_closer_look(walk: BuiltWalk) -> None:
    """It counts on the walk, since what is found is found; the point was not looked at as asked all the same."""
    handled = asked(walk, "HB 1", Way.HANDLED)
    walk.finding("HB 1", "restrict", point=handled.id, ways=["seen_from_afar"])
    sealed(walk)
    assert handled.id not in ticking(walk, "HB 1")


def test_a_finding_from_another_place_or_state_restarts_nothing(walk: BuiltWalk) -> None:
    point = asked(walk, "HB 1", Way.HANDLED)
    walk.finding("HB 1", "restrict", point=point.id, **{"pass": "deck/moving"})
    sealed(walk)
    assert point.id not in ticking(walk, "HB 1")


@pytest.mark.parametrize("result", ["not_reached", "not_applicable"])
def test_not_reached_and_not_applicable_restart_nothing(walk: BuiltWalk, result: str) -> None:
    entry = walk.look("LB 1-1", result)
    if result == "not_applicable":
        confirm_not_applicable(
            walk.db,
            at=walk.at,
            actor=walk.td.id,
            house=walk.house.id,
            walk=walk.id,
            entry=entry,
            applies=False,
            reason="",
        )
    sealed(walk)
    assert ticking(walk, "LB 1-1") == set()


def test_what_was_withdrawn_or_replaced_restarts_nothing(walk: BuiltWalk) -> None:
    entry = walk.look("LB 1-1")
    walk.look("LB 1-1", "withdrawn", replaces=[entry])
    sealed(walk)
    assert ticking(walk, "LB 1-1") == set()


def test_a_helper_s_look_counts_only_countersigned_and_sealed(walk: BuiltWalk) -> None:
    helper = Phone(walk.db, walk.house, add_person(walk.db, walk.house, "Kit", Role.HELPER), "Kit's phone")
    entry = walk.look("LB 1-1", phone=helper)
    walk.close()
    walk.close(helper)
    walk.sign()
    assert ticking(walk, "LB 1-1") == set()
    walk.at += timedelta(minutes=1)
    countersign_entries(
        walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, walk=walk.id, entries=[entry], how=How.BESIDE_THEM
    )
    assert ticking(walk, "LB 1-1") == set(), "what came after the signature waits for an amendment"
    again(walk.db)
    assert ticking(walk, "LB 1-1") == set()
    walk.amend()
    trained = {p.id for p in walk.checklist.points_for(walk.part("LB 1-1").kind) if p.competence == "trained"}
    assert ticking(walk, "LB 1-1") == tap_points(walk, "LB 1-1") & trained


def test_an_amendment_that_withdraws_takes_the_date_back(walk: BuiltWalk) -> None:
    entry = walk.look("LB 1-1")
    sealed(walk)
    assert ticking(walk, "LB 1-1")
    walk.look("LB 1-1", "withdrawn", replaces=[entry])
    assert ticking(walk, "LB 1-1"), "a late entry changes nothing sealed"
    walk.amend()
    assert ticking(walk, "LB 1-1") == set()


def test_only_the_present_life_counts(walk: BuiltWalk) -> None:
    walk.look("LB 1-1")
    sealed(walk)
    replace_part(
        walk.db, at=walk.at, actor=walk.td.id, house=walk.house.id, part=walk.part("LB 1-1").id,
        on=walk.at.date(), lot="", attributes={}, reason="new block",
    )  # fmt: skip
    assert ticking(walk, "LB 1-1") == set()
    assert ticking(walk, "LB 1-2") == set()


def test_a_walk_signed_by_a_director_does_not_stand_for_the_inspector_s(walk: BuiltWalk) -> None:
    annual = BuiltWalk(walk.db, walk.settings, walk.house, "annual-hands-on").checklist
    walk.look("LB 1-1")
    sealed(walk)
    assert ticking(walk, "LB 1-1")
    assert ticking(walk, "LB 1-1", annual) == set()


def test_an_inspector_s_walk_restarts_the_same_points_of_the_quarterly_walk(
    db: Database, settings: Settings, house: House
) -> None:
    annual = BuiltWalk(db, settings, house, "annual-hands-on")
    inspector = Phone(db, house, add_person(db, house, "Mara Okafor", Role.INSPECTOR))
    annual.open()
    annual.look("LB 1-1", phone=inspector)
    annual.close()
    annual.close(inspector)
    annual.sign(actor=inspector.person, role=Role.INSPECTOR)
    quarterly = BuiltWalk(db, settings, house)
    assert ticking(quarterly, "LB 1-1")
    assert ticking(annual, "LB 1-1") >= ticking(quarterly, "LB 1-1") & {p.id for p in annual.checklist.points()}


def test_a_phone_whose_clock_ran_ahead_puts_no_date_back(walk: BuiltWalk) -> None:
    walk.look("LB 1-1", recorded_at=(walk.at + timedelta(days=400)).isoformat())
    sealed(walk)
    (on,) = {on for on in clocks(walk, "LB 1-1").values() if on}
    assert on == walk.at.astimezone(CHICAGO).date()


@pytest.mark.parametrize(
    ("utc", "day"),
    [
        ("2026-03-08T05:30:00+00:00", "2026-03-07"),  # still winter time: 23:30
        ("2026-03-09T04:30:00+00:00", "2026-03-08"),  # summer time: 23:30
        ("2026-03-09T05:30:00+00:00", "2026-03-09"),  # 00:30, and not 23:30 as in winter
        ("2026-11-01T06:30:00+00:00", "2026-11-01"),  # 01:30 the first time
        ("2024-03-01T05:59:00+00:00", "2024-02-29"),
    ],
)
def test_a_look_is_dated_by_the_house_s_own_clock(walk: BuiltWalk, utc: str, day: str) -> None:
    walk.at = datetime.fromisoformat(utc) + timedelta(hours=2)
    walk.look("LB 1-1", recorded_at=utc)
    sealed(walk)
    assert {str(on) for on in clocks(walk, "LB 1-1").values() if on} == {day}


def again(db: Database) -> None:
    with write_transaction(db):
        rebuild_point_clock(db)


def test_the_projection_made_again_from_the_seals_is_the_one_made_at_signing(
    db: Database, settings: Settings, house: House
) -> None:
    first = BuiltWalk(db, settings, house)
    first.open()
    gone = first.look("LB 1-1")
    first.look("LB 1-2", "not_reached")
    first.finding("HB 1", "restrict")
    sealed(first)
    first.look("LB 2-1")
    first.look("LB 1-1", "withdrawn", replaces=[gone])
    first.amend()
    first.look("LB 2-2")  # late, and not amended in
    second = BuiltWalk(db, settings, house)
    second.at = START + timedelta(days=91)
    second.open()
    helper = Phone(db, house, add_person(db, house, "Kit", Role.HELPER), "Kit's phone")
    second.look("LB 1-1", phone=helper)
    second.look("HB 2")
    second.close()
    second.close(helper)
    second.sign()
    columns = "hex(walk), hex(part), hex(life), point, pass, ways, competence, signer, figure, at"
    rows = f"SELECT {columns} FROM point_clock ORDER BY {columns}"
    live = db.execute(rows).fetchall()
    assert len(live) > 10
    again(db)
    assert db.execute(rows).fetchall() == live


def test_a_file_from_before_gets_the_projection_when_it_is_brought_up(walk: BuiltWalk) -> None:
    from inspect_app.store.migrations import apply_migrations

    walk.look("LB 1-1")
    sealed(walk)
    live = ticking(walk, "LB 1-1")
    walk.db.execute("DELETE FROM point_clock")
    walk.db.execute("INSERT INTO to_rebuild(what) VALUES ('point_clock')")
    apply_migrations(walk.db)
    assert ticking(walk, "LB 1-1") == live
    assert walk.db.execute("SELECT count(*) FROM to_rebuild").fetchone()[0] == 0


def test_a_look_whose_life_cannot_be_told_starts_no_clock(walk: BuiltWalk) -> None:
    part = walk.part("LB 1-1")
    walk.db.execute("UPDATE part_life SET installed_on = NULL WHERE part = ?", (to_key(part.id),))
    walk.db.execute(
        "INSERT INTO part_life(id, part, retired_on) VALUES (?,?,'2026-01-01')",
        (to_key(clock.new_id()), to_key(part.id)),
    )
    walk.look("LB 1-1")
    sealed(walk)
    assert ticking(walk, "LB 1-1") == set()
