"""The pack of a whole house: limits against published figures, screens for every stop, the same for the same house."""

import json
import re
import shutil
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlite_utils import Database

from inspect_app.actions.device import pair_device
from inspect_app.actions.event import record_event
from inspect_app.actions.house import generate_house
from inspect_app.actions.pack import prepare_pack
from inspect_app.actions.restriction import set_restriction
from inspect_app.actions.tag_out import stop_thing
from inspect_app.config import Settings
from inspect_app.domain.checklist import Basis
from inspect_app.domain.event import Danger, EventKind
from inspect_app.domain.house import House
from inspect_app.domain.house_answers import Answers
from inspect_app.domain.part import PartKind
from inspect_app.domain.restriction import RestrictionKind
from inspect_app.domain.role import Role
from inspect_app.domain.units import convert
from inspect_app.output.pack_limits import plain_decimal
from inspect_app.store.checklist import load_shelf
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db, write_transaction
from inspect_app.store.device import Device, list_devices
from inspect_app.store.house import add_house
from tests.walk_builder import add_person

AT = datetime(2026, 3, 4, 19, 30, tzinfo=UTC)
WELLS = (-7200, -4400, -1500, 1500, 4400, 7200)


@pytest.fixture
def device(db: Database) -> Device:
    return paired_phone(db)


def paired_phone(db: Database) -> Device:
    """A phone of a house of forty sets of six lines."""
    house = House("017f22e2-79b0-7cc3-98c4-dc0c0c07398f", "Old Mill Playhouse")
    with write_transaction(db):
        add_house(db, house, AT)
    person = add_person(db, house, "Ines Halloran", Role.TD)
    rope = {"rope_diameter_mm": "6.35", "rope_construction": "7x19"}
    answers = Answers(
        sets=40, spacing_mm=200, first_mm=300, lines=6, well_x_mm=WELLS, grid_mm=18000, bridge_mm=14000,
        attributes={PartKind.LIFT_LINE: rope},
    )  # fmt: skip
    generate_house(db, at=AT, actor=person.id, house=house.id, answers=answers)
    pair_device(db, at=AT, actor=person.id, house=house.id, label="Grid phone")
    return list_devices(db, house.id)[0]


@pytest.fixture(scope="module")
def pack(_empty_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """The pack of the house, made once for the tests that only read it."""
    folder = shutil.copytree(_empty_folder, tmp_path_factory.mktemp("pack") / "data")
    settings = open_data_folder(folder).settings
    db = open_db(database_path(settings))
    try:
        return pack_of(db, settings, paired_phone(db))
    finally:
        db.conn.close()


def pack_of(db: Database, settings: Settings, device: Device) -> dict[str, Any]:
    made = prepare_pack(db, settings, at=AT, device=device, roles=frozenset({Role.TD}))
    found: dict[str, Any] = json.loads(made.body)
    return found


def test_a_house_of_forty_sets_is_packed_whole(settings: Settings, pack: dict[str, Any]) -> None:
    kinds = [part["kind"] for part in pack["parts"].values()]
    assert kinds.count("loft_block") == kinds.count("lift_line") == 240
    assert kinds.count("head_block") == len(pack["line_sets"]) == 40
    assert len(pack["checklists"]) == len(load_shelf(settings).checklists) >= 8
    names = {p["line_name"] for p in pack["parts"].values() if p["kind"] == "loft_block"}
    assert names == {"short-short", "short-mid", "mid", "mid-long", "long", "long-long"}
    for checklist in pack["checklists"]:
        assert set(checklist["screens"]) == {stop["id"] for stop in checklist["stops"]}
        for orders in checklist["screens"].values():
            for screen in (*orders["well"], *orders["set"]):
                assert all(set(row["parts"]) <= set(pack["parts"]) for row in screen["rows"])


def test_a_phone_is_told_the_limits_and_stops_of_areas_and_of_parts_of_no_set(
    db: Database, settings: Settings, device: Device
) -> None:
    before = pack_of(db, settings, device)
    assert before["places"] == {"stopped": [], "limits": {}}
    grid = next(area["id"] for area in before["areas"] if area["kind"] == "grid")
    loose = {key: part for key, part in before["parts"].items() if part["line_set"] is None}
    ladder = next(key for key, part in loose.items() if part["kind"] == "ladder")
    hung = next(key for key, part in before["parts"].items() if part["tag"] == "LB 3-1")
    args = {"at": AT, "actor": device.person.id, "house": device.house}
    last = AT.date() + timedelta(days=3)
    for place, load in (({"area": grid}, "two people"), ({"part": ladder}, "one person"), ({"part": hung}, "100 kg")):
        set_restriction(
            db, today=AT.date(), kind=RestrictionKind.LIMIT, until=last, **args, **place,
            texts={"what": "rusted", "load_limit": load, "who": "Ines"},
        )  # fmt: skip
    words = "rusted: load {}; used only by Ines; until " + last.isoformat()
    pack = pack_of(db, settings, device)
    assert pack["places"]["limits"] == {grid: [words.format("two people")], ladder: [words.format("one person")]}
    assert [one["limits"] for one in pack["line_sets"] if one["limits"]] == [[words.format("100 kg")]]
    stop_thing(db, part=ladder, why="rung broken", **args)
    stop_thing(db, part=hung, why="sheave cracked", **args)
    assert pack_of(db, settings, device)["places"]["stopped"] == [ladder]
    record_event(db, kind=EventKind.WATER, danger=Danger.NO, what="roof leak", area=grid, **args)
    there = {key for key, part in loose.items() if part["area"] == grid}
    assert set(pack_of(db, settings, device)["places"]["stopped"]) == {ladder, *there}
    assert len(there) > 40


@given(st.fractions(min_value=-(10**6), max_value=10**6, max_denominator=10**6))
def test_a_limit_is_written_so_that_any_program_reads_the_same_number(value: Fraction) -> None:
    text = plain_decimal(value)
    assert re.fullmatch(r"-?\d+(\.\d*[1-9])?", text)
    assert abs(Fraction(text) - value) <= Fraction(1, 2 * 10**12)


def test_the_etag_does_not_turn_on_the_hour(db: Database, settings: Settings, device: Device) -> None:
    first = prepare_pack(db, settings, at=AT, device=device, roles=frozenset({Role.TD}))
    later = prepare_pack(db, settings, at=AT.replace(hour=23), device=device, roles=frozenset({Role.TD}))
    assert first.etag == later.etag
    assert first.body != later.body


def test_limits_are_numbers_with_their_citation_and_what_cannot_be_judged_says_why(pack: dict[str, Any]) -> None:
    rows = [limit for part in pack["limits"].values() for limits in part.values() for limit in limits]
    assert rows
    for limit in rows:
        assert Decimal(limit["value"]).is_finite()
        assert limit["source"]
        assert limit["clause"]
        assert limit["op"] in ("more_than", "at_least", "less_than", "at_most")
        assert "safe" not in (limit["words_inside"] + limit["words_outside"]).split()
    whys = [why for part in pack["not_judged"].values() for texts in part.values() for why in texts]
    lacking = [why for why in whys if "not recorded for this part" in why]
    assert lacking
    assert all("; needed by " in why and why.endswith(")") for why in lacking)  # which clause, and how it was read


def test_a_pack_has_for_each_rope_the_length_to_count_over_and_each_length_once(pack: dict[str, Any]) -> None:
    counted = pack["counted_over"]
    assert counted["of"]
    assert set(counted["of"].values()) == set(range(len(counted["spans"])))
    assert len({json.dumps(one) for one in counted["spans"]}) == len(counted["spans"])
    eights = {one["lift-line-broken-wires/broken_wires_in_eight_diameters"] for one in counted["spans"]
              if "lift-line-broken-wires/broken_wires_in_eight_diameters" in one}  # fmt: skip
    assert eights == {"2 in (50.8 mm)"}


def test_a_pack_has_each_limit_exactly_in_every_unit_it_may_be_measured_in(pack: dict[str, Any]) -> None:
    every = (limit for part in pack["limits"].values() for limits in part.values() for limit in limits)
    rows = {(limit["bound"], limit["value"]): limit for limit in every}.values()
    assert {"in", "mm", "count"} <= {limit["unit"] for limit in rows}
    for limit in rows:
        bound = pack["bounds"][limit["bound"]]
        assert limit["unit"] in bound
        for unit, one in bound.items():
            back = convert(Fraction(one["at"]), unit, limit["unit"]) if unit in {"in", "ft", "mm", "cm", "m"} else None
            assert back is None or plain_decimal(back) == limit["value"]
            assert any(digit in one["says"] for digit in "0123456789")


def test_the_limits_of_a_figure_come_strictest_first(pack: dict[str, Any]) -> None:
    many = [rows for part in pack["limits"].values() for rows in part.values() if len(rows) > 1]
    assert many
    for rows in many:
        for op, sign in (("less_than", -1), ("more_than", 1), ("at_least", 1)):
            own = [sign * Fraction(pack["bounds"][row["bound"]][rows[0]["unit"]]["at"]) for row in rows
                   if row["op"] == op and rows[0]["unit"] in pack["bounds"][row["bound"]]]  # fmt: skip
            assert own == sorted(own)


def test_a_phone_names_what_a_point_rests_on_as_every_page_does(pack: dict[str, Any]) -> None:
    bases = {p["basis"]["text"] for one in pack["checklists"] for part in one["sections"] for p in part["points"]}
    assert any(text.startswith("29 CFR 1926.1413 (a)") for text in bases)
    assert not any(text.startswith("29cfr") for text in bases)
    unread = Basis("29cfr1926.1413", "(a)", "from memory")
    assert unread.text == "29cfr1926.1413 (a) (from memory: confirm before relying on it)"
