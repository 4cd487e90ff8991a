"""The load page of a line set: begun from the record, nothing guessed, no factor while something stands against it."""

import re
from html import unescape
from urllib.parse import urlencode

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.config import Settings
from inspect_app.domain.house import House, LineSet
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.store.db import write_transaction
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.part import add_lives, add_parts, find_part_by_tag, list_parts, set_part
from inspect_app.store.tag_out import raise_tag_out
from tests.walk_builder import BuiltWalk

ROPE = {"rope_diameter_mm": "6.35", "rope_construction": "7x19"}


def words(text: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", text)).split())


@pytest.fixture
def full_set(db: Database, house: House) -> LineSet:
    """Set 1 with two lines 20 ft apart on a batten of 30 ft, its rope, line ends and arbor recorded."""
    line_set = list_line_sets(db, house.id)[0]
    area = list_areas(db, house.id)[0].id
    made = [
        Part(clock.new_id(), house.id, area, PartKind.BATTEN, "BT 1", line_set.id, x_mm=0),
        Part(clock.new_id(), house.id, area, PartKind.ARBOR, "AR 1", line_set.id),
        Part(clock.new_id(), house.id, area, PartKind.ROPE_LOCK, "RL 1", line_set.id),
    ]
    had = [
        {"length_mm": "9144", "own_mass_kg": "40", "tube_diameter_mm": "48.26"},
        {"arbor_length_mm": "1828.8", "capacity_kg": "500"},
        {"imbalance_kg": "22.5"},
    ]
    for line in (1, 2):
        for kind, tag in ((PartKind.LIFT_LINE, "LL"), (PartKind.TERMINATION_BATTEN, "TB")):
            made.append(Part(clock.new_id(), house.id, area, kind, f"{tag} 1-{line}", line_set.id, line))
            had.append(ROPE if tag == "LL" else {"termination": "clips", "rope_diameter_mm": "6.35"})
    with write_transaction(db):
        add_parts(db, made)
        add_lives(db, [Life(clock.new_id(), part.id, attributes=has) for part, has in zip(made, had, strict=True)])
        for part in list_parts(db, house.id, line_set=line_set.id):
            if part.kind is PartKind.LOFT_BLOCK:
                x_mm = -3048 if part.line == 1 else 3048
                set_part(db, Part(part.id, house.id, part.area, part.kind, part.tag, line_set.id, part.line, x_mm=x_mm))
    return line_set


TYPED = {
    "length": "30 ft", "lines": "5 ft\n25 ft", "pipe": "1 1/2", "own": "40 kg", "wrap": "90",
    "loads": "100 lb at 15 ft",
    "kind": "single_purchase", "rope_diameter_mm": "1/4 in", "rope_construction": "7x19", "grade": "carbon",
    "termination": "clips",
}  # fmt: skip


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
    assert "outside diameter 48.26 mm is recorded, its wall is not" in said
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


def ask(client: FlaskClient, house: House, line_set: LineSet, **change: str) -> str:
    answer = client.get(f"/houses/{house.id}/line-sets/{line_set.id}/load?{urlencode(TYPED | change)}")
    assert answer.status_code == 200, words(answer.text)
    return words(answer.text)


def test_lines_carry_their_names_and_share_a_load_in_the_middle(
    client: FlaskClient, house: House, full_set: LineSet, sign_in
) -> None:
    sign_in(client)
    said = ask(client, house, full_set, own="0.01 kg")
    assert "(line 1 of 2)" in said
    assert "50.01 lbf" in said
    assert re.search(r"\d : 1", said)


def test_an_open_stop_withholds_the_factor_and_says_why(
    client: FlaskClient, house: House, full_set: LineSet, db: Database, sign_in
) -> None:
    person = sign_in(client)
    assert "withheld" not in ask(client, house, full_set)
    with write_transaction(db):
        raise_tag_out(
            db, house=house.id, line_set=full_set.id, area=None, part=None, from_entry=None, why="kink in line 2",
            by=person.id, at=clock.now(),
        )  # fmt: skip
    said = ask(client, house, full_set)
    assert "an open stop stands on" in said
    assert "kink in line 2" in said
    assert not re.search(r"\d : 1", said)


@pytest.mark.parametrize(("value", "withheld"), [("0.1", True), ("0.13", False)])
def test_a_measure_outside_withholds_the_factor_though_nobody_has_signed_it(
    client: FlaskClient, house: House, full_set: LineSet, db: Database, settings: Settings, sign_in, value: str,
    withheld: bool,
) -> None:  # fmt: skip
    sign_in(client)
    block = find_part_by_tag(db, house.id, "LB 1-2")
    assert block is not None
    db.execute(
        "UPDATE part_life SET attributes = ? WHERE part = ?",
        ('{"rope_diameter_mm": "6.35"}', bytes.fromhex(block.id.replace("-", ""))),
    )
    db.conn.commit()
    walk = BuiltWalk(db, settings, house, "annual-hands-on")
    walk.open()
    point = next(
        p for p in walk.checklist.points_for(block.kind) if any(m.quantity == "groove_radius" for m in p.measures)
    )
    figure = {"point": point.id, "quantity": "groove_radius", "value": value, "unit": "in", "typed": value}
    walk.look("LB 1-2", points=[point.id], measures=[figure], **{"pass": point.in_pass})
    said = ask(client, house, full_set)
    assert ("withheld" in said) is withheld
    if withheld:
        assert "LB 1-2: groove radius of 0.1 in on" in said
        assert "is outside" in said


@pytest.mark.parametrize(("tread_mm", "withheld"), [("120", True), ("203.2", False)])
def test_a_block_too_small_for_its_rope_by_the_record_withholds_the_factor(
    client: FlaskClient, house: House, full_set: LineSet, db: Database, sign_in, tread_mm: str, withheld: bool
) -> None:
    sign_in(client)
    block = find_part_by_tag(db, house.id, "LB 1-2")
    db.execute(
        "UPDATE part_life SET attributes = ? WHERE part = ?",
        (
            f'{{"rope_diameter_mm": "6.35", "tread_diameter_mm": "{tread_mm}"}}',
            bytes.fromhex(block.id.replace("-", "")),
        ),
    )
    db.conn.commit()
    said = ask(client, house, full_set)
    assert ("LB 1-2: Tread diameter over rope diameter: about 18.9 is outside US Navy" in said) is withheld
    assert ("withheld" in said) is withheld


def test_the_counterweight_begins_with_arbor_and_lock(
    client: FlaskClient, house: House, full_set: LineSet, sign_in
) -> None:
    sign_in(client)
    answer = client.get(f"/houses/{house.id}/line-sets/{full_set.id}/balance")
    page = unescape(answer.text)
    assert 'value="88.18 lb"' in page
    assert 'value="6\'-0""' in page
    assert "Mass of the arbor itself: not recorded" in page


def test_another_house_sees_nothing_of_a_set(
    client: FlaskClient, house: House, other_house: House, db: Database, sign_in
) -> None:
    sign_in(client)
    foreign = list_line_sets(db, other_house.id)[0].id
    for page in ("load", "balance", "load/sheet.pdf", "balance/sheet.pdf"):
        assert client.get(f"/houses/{house.id}/line-sets/{foreign}/{page}").status_code == 404
        assert client.get(f"/houses/{other_house.id}/line-sets/{foreign}/{page}").status_code == 404
