"""A stop shows on every page that shows the set, in the pack of every phone, on the plan and on each paper."""

import json
from datetime import timedelta
from typing import Any

from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.event import allow_approach, record_event
from inspect_app.actions.pack import prepare_pack
from inspect_app.actions.restriction import set_restriction
from inspect_app.actions.seal import draft_data
from inspect_app.config import Settings
from inspect_app.domain.event import Danger, EventKind
from inspect_app.domain.house import House
from inspect_app.domain.plan import plan_of
from inspect_app.domain.rail_card import NOTHING_KNOWN, OUT_OF_USE
from inspect_app.domain.restriction import RestrictionKind
from inspect_app.domain.role import Role
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.device import list_devices
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.set_state import list_set_states
from tests.walk_builder import START, BuiltWalk


def test_a_stop_shows_on_every_view_of_the_set(
    client: FlaskClient, sign_in: Any, db: Database, settings: Settings, house: House
) -> None:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("LB 1-1", "stop_use", note="cracked cheek")
    sign_in(client, Role.HELPER)
    line_set, part = list_line_sets(db, house.id)[0].id, walk.part("LB 1-1").id
    other = walk.part("HB 1").id
    (row,) = list_deficiencies(db, house.id)
    for path in (
        "", f"line-sets/{line_set}/", f"parts/{part}/", f"parts/{other}/", f"deficiencies/{row.id}", "walks",
        f"walks/{walk.id}", "tag-outs", "rail",
    ):  # fmt: skip
        page = client.get(f"/houses/{house.id}/{path}").text
        assert "cracked cheek" in page, path
        assert any(words in page.lower() for words in ("out of use", "not to be used", "stop use")), path
    assert "stopped" in client.get(f"/houses/{house.id}/line-sets/").text.lower()


def test_a_stop_is_in_the_pack_of_every_phone_and_on_the_plan(db: Database, settings: Settings, house: House) -> None:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("LB 1-1", "stop_use", note="cracked cheek")
    for device in list_devices(db, house.id):
        pack = json.loads(prepare_pack(db, settings, at=START, device=device, roles=frozenset({Role.HELPER})).body)
        assert [one["number"] for one in pack["line_sets"] if one["stopped"]] == ["1"]
    plan = plan_of(json.loads(draft_data(db, house.id, walk.id, walk.criteria)), "Plan")
    assert [one.number for one in plan.sets if one.stopped] == ["1"]


def test_a_phone_is_told_the_limits_of_a_set_and_where_nobody_may_approach_yet(
    db: Database, settings: Settings, house: House
) -> None:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    one, two = (row.id for row in list_line_sets(db, house.id))
    set_restriction(
        db, at=START, today=START.date(), actor=walk.td.id, house=house.id, kind=RestrictionKind.LIMIT, line_set=two,
        texts={"what": "bent", "load_limit": "100 kg", "who": "Ines"}, until=START.date() + timedelta(days=3),
    )  # fmt: skip
    args = {"at": START, "actor": walk.td.id, "house": house.id}
    event = record_event(db, kind=EventKind.SHOCK, danger=Danger.YES, what="snagged", line_set=one, **args)

    def sets() -> list[tuple[bool, bool, list[str]]]:
        device = list_devices(db, house.id)[0]
        pack = json.loads(prepare_pack(db, settings, at=START, device=device, roles=frozenset({Role.TD})).body)
        return [(row["stopped"], row["keep_off"], row["limits"]) for row in pack["line_sets"]]

    limit = [f"bent: load 100 kg; used only by Ines; until {START.date() + timedelta(days=3)}"]
    assert sets() == [(True, True, []), (True, True, limit)]
    allow_approach(db, event=event, name="M. Vance", credential="inspector", who="Ines", how="harness", **args)
    assert sets() == [(True, False, []), (True, False, limit)]


def test_what_stands_on_an_area_shows_on_every_view_of_the_sets_that_hang_there(
    client: FlaskClient, sign_in: Any, db: Database, settings: Settings, house: House
) -> None:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    grid = next(area.id for area in list_areas(db, house.id) if area.name == "Grid")
    args = {"at": START, "actor": walk.td.id, "house": house.id}
    set_restriction(
        db, today=START.date(), kind=RestrictionKind.LIMIT, area=grid, until=clock.now().date() + timedelta(days=99),
        texts={"what": "deck rusted", "load_limit": "two people", "who": "Ines"}, **args,
    )  # fmt: skip
    line_set, part = list_line_sets(db, house.id)[0].id, walk.part("LB 1-1").id
    pages = (f"line-sets/{line_set}/", f"parts/{part}/", "rail")
    sign_in(client, Role.HELPER)

    def phone() -> list[tuple[bool, bool]]:
        device = list_devices(db, house.id)[0]
        pack = json.loads(prepare_pack(db, settings, at=START, device=device, roles=frozenset({Role.TD})).body)
        return [(one["stopped"], one["keep_off"]) for one in pack["line_sets"]]

    for path in pages:
        assert "Grid: deck rusted: load two people" in client.get(f"/houses/{house.id}/{path}").text, path
    for one in list_set_states(db, house.id, START.date()):
        assert (one.word, one.around[0].startswith("Grid: deck rusted: load two people")) == (NOTHING_KNOWN, True)
    assert phone() == [(False, False)] * 2
    event = record_event(db, kind=EventKind.WATER, danger=Danger.YES, what="roof leak", area=grid, **args)
    for path in (*pages, f"line-sets/{line_set}/history", f"parts/{part}/story"):
        assert "roof leak" in client.get(f"/houses/{house.id}/{path}").text, path
    assert "Out of use: Grid" in client.get(f"/houses/{house.id}/line-sets/{line_set}/history").text
    assert "stop use" in client.get(f"/houses/{house.id}/line-sets/").text
    assert [one.word for one in list_set_states(db, house.id, START.date())] == [OUT_OF_USE] * 2
    assert phone() == [(True, True)] * 2
    allow_approach(db, event=event, name="M. Vance", credential="inspector", who="Ines", how="harness", **args)
    assert phone() == [(True, False)] * 2
