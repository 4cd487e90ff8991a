"""The load page of a line set: begun from the record, nothing guessed; and its counterweight."""

import json
import re
from dataclasses import replace
from html import unescape
from urllib.parse import urlencode

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.house import House, LineSet
from inspect_app.domain.ids import to_key
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.store.db import write_transaction
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.part import (
    add_lives,
    add_parts,
    find_part_by_tag,
    list_parts,
    list_present_lives,
    set_life,
    set_part,
)
from tests.set_builder import FACTOR, ROPE, ask, build_full_set, words


@pytest.fixture
def full_set(db: Database, house: House) -> LineSet:
    return build_full_set(db, house)


def test_the_form_begins_with_the_record_and_names_what_it_lacks(
    client: FlaskClient, house: House, full_set: LineSet, sign_in
) -> None:
    sign_in(client)
    answer = client.get(f"/houses/{house.id}/line-sets/{full_set.id}/load")
    assert answer.status_code == 200
    page = unescape(answer.text)
    assert "5'-0\"\n25'-0\"" in page
    assert 'value="30\'-0""' in page
    said = words(answer.text)
    assert "outside diameter 1.9 in is recorded, its wall is not" in said
    assert "Grade of the rope: not recorded" in said
    assert "Tread of the loft blocks: not recorded for every one" in said
    assert 'id="answer"' not in answer.text


def test_a_set_without_geometry_says_that_no_load_can_be_worked_out(
    client: FlaskClient, house: House, db, sign_in
) -> None:
    sign_in(client)
    line_set = list_line_sets(db, house.id)[1]
    said = words(client.get(f"/houses/{house.id}/line-sets/{line_set.id}/load").text)
    assert said.count("the load cannot be worked out until it") >= 4
    assert "Place of the loft block of" in said


def test_lines_carry_their_names_and_share_a_load_in_the_middle(
    client: FlaskClient, house: House, full_set: LineSet, sign_in
) -> None:
    sign_in(client)
    said = ask(client, house, full_set, own="1 kg")
    assert "(line 1 of 2)" in said
    assert "51.1 lbf" in said
    assert FACTOR.search(said)


def attributes(db: Database, tag: str, house: House, **changed: str) -> None:
    part = find_part_by_tag(db, house.id, tag)
    assert part is not None
    life = list_present_lives(db, house.id)[part.id]
    with write_transaction(db):
        set_life(db, replace(life, attributes={**life.attributes, **changed}))


def test_mule_blocks_are_said_to_be_left_out_and_no_wrap_is_taken_from_places(
    client: FlaskClient, house: House, full_set: LineSet, db: Database, sign_in
) -> None:
    sign_in(client)
    area = list_areas(db, house.id)[0].id
    with write_transaction(db):
        add_parts(db, [Part(clock.new_id(), house.id, area, PartKind.MULE_BLOCK, "MB 1", full_set.id)])
    said = words(client.get(f"/houses/{house.id}/line-sets/{full_set.id}/load").text)
    assert "Mule blocks: MB 1 turn lines once more; their pull is not in these figures" in said
    assert "by the middles of the blocks" not in said


def test_core_mass_and_length_of_the_lines_are_filled_in_where_they_are_recorded(
    client: FlaskClient, house: House, full_set: LineSet, db: Database, sign_in
) -> None:
    sign_in(client)
    for tag in ("LL 1-1", "LL 1-2"):
        attributes(db, tag, house, rope_core="steel", rope_mass="11 lb per 100 ft")
    travel = Part(clock.new_id(), house.id, list_areas(db, house.id)[0].id, PartKind.SET_TRAVEL, "TV 1", full_set.id)
    with write_transaction(db):
        add_parts(db, [travel])
        add_lives(db, [Life(clock.new_id(), travel.id, attributes={"travel_mm": "15240", "batten_side_mm": "1524"})])
    page = unescape(client.get(f"/houses/{house.id}/line-sets/{full_set.id}/load").text)
    assert re.search(r'name="drop"[^>]*value="55\'-0""', page)
    assert re.search(r'name="rope_mass"[^>]*value="11 lb per 100 ft"', page)
    assert re.search(r'<select[^>]*name="rope_core".*?<option selected value="steel"', page, re.DOTALL)
    said = ask(client, house, full_set, drop="55 ft", rope_mass="11", rope_core="steel", own="40 kg")
    assert re.search(r"100\.1 lbf", said), "(88.18 + 100) / 2 + 6.05"
    assert "No design factor: no document" in ask(client, house, full_set, rope_core="fibre", drop="55 ft")


def test_a_batten_that_is_no_pipe_is_taken_as_a_section_that_no_table_has(
    client: FlaskClient, house: House, full_set: LineSet, db: Database, sign_in
) -> None:
    sign_in(client)
    attributes(db, "BT 1", house, batten_kind="box truss")
    page = unescape(client.get(f"/houses/{house.id}/line-sets/{full_set.id}/load").text)
    assert re.search(r'<select[^>]*name="pipe".*?<option selected value="other"', page, re.DOTALL)
    assert "Stiffness of the batten (box truss): in no table here" in page


def test_a_dead_hung_batten_is_asked_about_no_block_and_takes_its_rope_from_its_hangers(
    client: FlaskClient, house: House, full_set: LineSet, db: Database, sign_in
) -> None:
    sign_in(client)
    rope = {"hanger_kind": "wire rope", **ROPE, "termination": "clips"}
    with write_transaction(db):
        db.execute("UPDATE line_set SET kind = 'dead_hung' WHERE id = ?", (to_key(full_set.id),))
        db.execute("UPDATE part SET retired_on = '2026-01-01' WHERE line IS NOT NULL")
        area = list_areas(db, house.id)[0].id
        for line, x_mm in ((1, -3048), (2, 3048)):
            hanger = Part(
                clock.new_id(), house.id, area, PartKind.HANGER, f"HG 1-{line}", full_set.id, line=line, x_mm=x_mm
            )
            add_parts(db, [hanger])
            add_lives(db, [Life(clock.new_id(), hanger.id, attributes=rope)])
    page = unescape(client.get(f"/houses/{house.id}/line-sets/{full_set.id}/load").text)
    assert "5'-0\"\n25'-0\"" in page
    assert not re.search(r'name="(wrap|head_wrap|tread|hand_line)"', page)
    said = ask(client, house, full_set, kind="", wrap="")
    assert FACTOR.search(said)
    assert "no loft block" in said
    assert "Head block" not in said
    attributes(db, "HG 1-2", house, hanger_kind="chain")
    said = ask(client, house, full_set, kind="", wrap="")
    assert "withheld: the hangers are not all recorded as wire rope" in said


def test_a_line_that_is_no_part_of_the_set_yet_is_not_taken_to_be_like_the_others(
    client: FlaskClient, house: House, full_set: LineSet, db: Database, sign_in
) -> None:
    sign_in(client)
    assert FACTOR.search(ask(client, house, full_set))
    db.execute("UPDATE part SET retired_on = '2026-01-01' WHERE tag = 'TA 1-2'")
    db.conn.commit()
    said = ask(client, house, full_set)
    assert "the kind of line end is not recorded for every line of this set" in said
    assert not FACTOR.search(said)


def test_a_place_given_otherwise_than_recorded_is_said_and_keeps_its_factor(
    client: FlaskClient, house: House, full_set: LineSet, sign_in
) -> None:
    sign_in(client)
    assert "otherwise than recorded" not in ask(client, house, full_set)
    said = ask(client, house, full_set, lines="4 ft\n25 ft")
    assert "Given otherwise than recorded for this set: Lift lines, from the left end of the batten (recorded: " in said
    assert FACTOR.search(said)


def test_wraps_come_from_the_places_of_the_blocks_and_the_largest_is_filled_in(
    client: FlaskClient, house: House, full_set: LineSet, db: Database, sign_in
) -> None:
    sign_in(client)
    with write_transaction(db):
        for part in list_parts(db, house.id, line_set=full_set.id):
            if part.kind is PartKind.HEAD_BLOCK:
                set_part(db, replace(part, x_mm=-9048, z_mm=19000))
            elif part.kind is PartKind.LOFT_BLOCK:
                set_part(db, replace(part, z_mm=18000))
    page = unescape(client.get(f"/houses/{house.id}/line-sets/{full_set.id}/load").text)
    # 1 m higher over 6 m and 12.096 m: atan gives 9.46 and 4.73 degrees.
    assert re.search(r'name="wrap"[^>]*value="85.3"', page)
    assert re.search(r'name="head_wrap"[^>]*value="99.5"', page)
    assert "80.5 to 85.3°; the largest is taken for all" in page
    assert "Left end of the batten" in page
    assert "stage right" in page
    assert "loft blocks 59'-11/16\" above the deck)" in page


def test_the_counterweight_begins_with_what_is_recorded_and_names_the_rest(
    client: FlaskClient, house: House, full_set: LineSet, sign_in
) -> None:
    sign_in(client)
    answer = client.get(f"/houses/{house.id}/line-sets/{full_set.id}/balance")
    page = unescape(answer.text)
    assert 'value="40 kg"' in page
    assert 'value="6\'-0""' in page
    assert "The arbor itself: not recorded" in page
    assert "Bare batten" not in page


WEIGHED = {  # by kind of part: what a house has weighed and measured, in the units the record keeps
    PartKind.ARBOR: {"own_mass_kg": "43.54486752", "arbor_length_mm": "2438.4", "capacity_kg": "725.747792"},
    PartKind.COUNTERWEIGHTS: {
        "brick_kg": "11.158372302", "brick_mm": "25.4", "half_brick_kg": "5.624545388", "half_brick_mm": "12.7",
        "pipe_weight_kg": "33.475116906",
    },
    PartKind.SPREADERS: {"plate_mm": "3.175", "collar_mm": "25.4", "spreader_spacing_mm": "609.6"},
    PartKind.SET_TRAVEL: {"travel_mm": "16764", "batten_side_mm": "1524", "arbor_side_mm": "1828.8"},
    PartKind.BATTEN: {"own_mass_kg": "77.1107029", "length_mm": "17068.8", "capacity_kg": "544.310844"},
    PartKind.ROPE_LOCK: {"imbalance_kg": "22.6796185"},
}  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "bare", "needed"),
    [("single_purchase", "0.2 lb batten-heavy", "420 lb"), ("double_purchase", "85.1 lb batten-heavy", "840 lb")],
)
def test_a_weighed_set_asks_for_the_load_alone_and_says_how_its_bare_batten_hangs(
    client: FlaskClient, house: House, full_set: LineSet, db: Database, sign_in, kind: str, bare: str, needed: str
) -> None:
    """170 lb of pipe against 96 lb of arbor and 73.8 lb of pipe weight: single 170 - 169.8, double 170 - 169.8 / 2."""
    sign_in(client)
    parts = {part.kind: part for part in list_parts(db, house.id, line_set=full_set.id)}
    with write_transaction(db):
        for part_kind, attributes in WEIGHED.items():
            part = parts.get(part_kind)
            if part is None:
                part = Part(
                    clock.new_id(), house.id, parts[PartKind.BATTEN].area, part_kind, f"X {part_kind}", full_set.id
                )
                add_parts(db, [part])
                add_lives(db, [Life(clock.new_id(), part.id, attributes=attributes)])
            else:
                text = json.dumps(attributes)
                db.execute("UPDATE part_life SET attributes = ? WHERE part = ?", (text, to_key(part.id)))
        db.execute("UPDATE line_set SET kind = ? WHERE id = ?", (kind, to_key(full_set.id)))
    address = f"/houses/{house.id}/line-sets/{full_set.id}"
    text = client.get(f"{address}/balance").text
    assert bare in words(text)
    assert f"{bare}, lift lines not counted; " in words(client.get(f"{address}/").text)
    begun = dict(re.findall(r'<input[^>]*?name="(\w+)"[^>]*?value="([^"]*)"', text.partition('class="form"')[2]))
    for name, options in re.findall(r'<select[^>]*name="(\w+)"[^>]*>(.*?)</select>', text, re.DOTALL):
        begun[name] = "".join(re.findall(r'<option selected value="([^"]*)"', options))
    typed = {key: unescape(value) for key, value in begun.items()} | {"load": "250 lb"}
    assert {key for key, value in typed.items() if not value} == {"rope_mass", "section", "third", "third_mm"}
    asked = client.get(f"{address}/balance?{urlencode(typed)}")
    assert asked.status_code == 200
    assert f"The loaded arbor must weigh {needed}" in words(asked.text)
    assert "goes between the arbor's plates" in words(asked.text)
    assert "not counted not judged: not given: mass of the rope" in words(asked.text)
    assert "Given otherwise than recorded" not in words(asked.text)
    other = client.get(f"{address}/balance?{urlencode(typed | {'arbor': '69 lb'})}")
    assert "Given otherwise than recorded for this set: The arbor itself (recorded: 96 lb)." in words(other.text)
    run = next(one for one in list_parts(db, house.id, line_set=full_set.id) if one.kind is PartKind.SET_TRAVEL)
    said = words(client.get(f"/houses/{house.id}/parts/{run.id}/").text)
    assert "outside when more than 50 lb Own plate or maker's paper imbalance on the plate of the rope lock" in said
    assert "Below the figure as well: balance the set." in said


def test_another_house_sees_nothing_of_a_set(
    client: FlaskClient, house: House, other_house: House, db: Database, sign_in
) -> None:
    sign_in(client)
    foreign = list_line_sets(db, other_house.id)[0].id
    for page in ("load", "balance", "load/sheet.pdf", "balance/sheet.pdf"):
        assert client.get(f"/houses/{house.id}/line-sets/{foreign}/{page}").status_code == 404
        assert client.get(f"/houses/{other_house.id}/line-sets/{foreign}/{page}").status_code == 404
