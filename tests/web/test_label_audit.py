"""The pages of the label audit, and what a signed walk with its checklist says there."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.part import replace_part
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.store.house import list_line_sets
from inspect_app.store.label_audit import list_label_readings, list_walked_labels
from tests.walk_builder import START, BuiltWalk


@pytest.fixture
def td(client: FlaskClient, sign_in: Callable[..., object], house: House) -> FlaskClient:
    sign_in(client)
    return client


def test_what_was_read_is_written_down_and_stands_against_the_schedule(
    td: FlaskClient, csrf: Callable[[FlaskClient], str], db: Database, house: House
) -> None:
    first = list_line_sets(db, house.id)[0]
    base = f"/houses/{house.id}/label-audit"
    form = {"head_block": "99", "loft_blocks": "1-2", "read_on": "2026-03-04", "csrf_token": csrf(td)}
    answer = td.post(f"{base}/{first.id}", data=form)
    assert answer.status_code == 303
    page = td.get(base).text
    assert "differs: 99" in page
    assert "agrees: 1-2" in page
    untouched = page[page.index("Never read at any place") :]
    assert "differs" not in untouched
    assert all(f"{base}/{one.id}" in untouched for one in list_line_sets(db, house.id)[1:])
    assert f"{base}/{first.id}" not in untouched
    assert len(list_label_readings(db, house.id, first.id)) == 2


@pytest.mark.parametrize(
    ("form", "words"),
    [
        ({}, "at one place at least"),
        ({"head_block": "1", "head_block-state": "missing"}, "has no words"),
        ({"head_block": "1", "read_on": "yesterday"}, "YYYY-MM-DD"),
        ({"head_block": "1", "read_on": "2999-01-01"}, "has not come yet"),
    ],
)
def test_a_mistake_is_said_beside_its_field_and_nothing_is_kept(
    td: FlaskClient, csrf: Callable[[FlaskClient], str], db: Database, house: House, form: dict[str, str], words: str
) -> None:
    first = list_line_sets(db, house.id)[0]
    given = {"read_on": "2026-03-04", "csrf_token": csrf(td), **form}
    answer = td.post(f"/houses/{house.id}/label-audit/{first.id}", data=given)
    assert answer.status_code == 422
    assert words in answer.text
    assert list_label_readings(db, house.id) == []


def test_a_signed_walk_with_the_checklist_answers_too(
    td: FlaskClient, db: Database, settings: Settings, house: House
) -> None:
    walk = BuiltWalk(db, settings, house, "label-audit")
    walk.open()
    walk.finding("HB 1", point="labels-head-block", note="says 11", wear=None)
    walk.look("HB 2")
    walk.close()
    assert "says 11" not in td.get(f"/houses/{house.id}/label-audit").text
    walk.sign()
    page = td.get(f"/houses/{house.id}/label-audit").text
    assert "differs: HB 1: says 11" in page
    assert "never read" in page


def read_again(walk: BuiltWalk, days: int) -> None:
    """Another walk of the audit, some days later in the evening by the house's clock."""
    walk.id, walk.at, walk.sent = clock.new_id(), START + timedelta(days=days, hours=8), {}
    walk.open()


def test_only_what_stands_on_the_newest_signed_walk_is_told_of_a_label_with_the_houses_own_day(
    db: Database, settings: Settings, house: House
) -> None:
    def told() -> dict[str, tuple[str, str]]:
        return {one.tag: (one.says, one.on.isoformat()) for one in list_walked_labels(db, house.id)}

    walk = BuiltWalk(db, settings, house, "label-audit")
    read_again(walk, 0)  # 03:00 of the next day by UTC
    wrong = walk.finding("HB 1", point="labels-head-block", note="says 11", wear=None)
    walk.look("HB 1", replaces=[wrong])
    walk.finding("HB 2", point="labels-head-block", note="says 20", wear=None)
    walk.look("HB 2")  # the same walk found it sound as well: the worse counts
    walk.close()
    walk.sign()
    assert told() == {"HB 1": ("", "2026-03-04"), "HB 2": ("says 20", "2026-03-04")}
    read_again(walk, 10)
    walk.finding("HB 1", point="labels-head-block", note="says 7", wear=None)
    walk.look("HB 2")
    walk.close()
    assert told() == {"HB 1": ("", "2026-03-04"), "HB 2": ("says 20", "2026-03-04")}  # not signed yet
    walk.sign()
    assert told() == {"HB 1": ("says 7", "2026-03-14"), "HB 2": ("", "2026-03-14")}


def test_a_label_of_what_was_taken_out_says_nothing_of_what_hangs_there_now(
    db: Database, settings: Settings, house: House
) -> None:
    walk = BuiltWalk(db, settings, house, "label-audit")
    read_again(walk, 0)
    walk.look("HB 1")
    walk.close()
    walk.sign()
    assert [one.tag for one in list_walked_labels(db, house.id)] == ["HB 1"]
    replace_part(
        db, at=walk.at + timedelta(days=3), actor=walk.td.id, house=house.id, part=walk.part("HB 1").id,
        on=(walk.at + timedelta(days=2)).date(), lot="", attributes={}, reason="cracked",
    )  # fmt: skip
    assert list_walked_labels(db, house.id) == []
