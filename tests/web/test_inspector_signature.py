"""An inspector signs at the desk: what was typed is kept, and nothing that was typed is left out in silence."""

from collections.abc import Callable
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.domain.seal import STATEMENT, root_of
from inspect_app.store.house import list_line_sets
from inspect_app.store.restriction import list_restrictions
from tests.walk_builder import BuiltWalk

pytestmark = pytest.mark.usefixtures("papers_left_out")


@pytest.fixture
def send(
    client: FlaskClient, sign_in: Any, csrf: Any, db: Database, settings: Settings, house: House
) -> Callable[..., Any]:
    sign_in(client, Role.INSPECTOR)
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.look("LB 1-1")
    walk.close()
    given = {
        "csrf_token": csrf(client), "role": "qualified_inspector", "name": "Mara Okafor", "credential": "inspector",
        "statement": STATEMENT, "reviewed_root": root_of(walk.record.entries), "gaps_reason": "a sample", "drawn": "",
        "body": "Invented Board", "remarks": "Seen in dust.",
    }  # fmt: skip
    return lambda **fields: client.post(f"/houses/{house.id}/walks/{walk.id}/sign", data={**given, **fields})


def condition(what: str = "", place: str = "", until: str = "") -> dict[str, str]:
    return {"conditions-0-what": what, "conditions-0-place": place, "conditions-0-until": until}


def test_a_condition_with_a_place_or_a_day_and_no_words_is_asked_for_and_not_left_out(
    send: Callable[..., Any], db: Database, house: House
) -> None:
    place = f"set:{list_line_sets(db, house.id)[0].id}"
    for wrong in (condition(place=place, until="2099-09-30"), condition(place=place), condition(until="2099-09-30")):
        answer = send(**wrong)
        assert answer.status_code == 422
        assert "Condition 1: say what it is" in answer.text
        assert "Seen in dust." in answer.text
    area = condition("Not above 90 kg", place.replace("set:", "area:"), "2099-09-30")
    assert "no such line set or area" in send(**area).text
    assert list_restrictions(db, house.id) == []
    assert send(**condition("Not above 90 kg", place, "2099-09-30")).status_code == 303
    (row,) = list_restrictions(db, house.id)
    assert (row.what, row.until.isoformat()) == ("Not above 90 kg", "2099-09-30")


def test_an_empty_row_is_no_condition(send: Callable[..., Any], db: Database, house: House) -> None:
    assert send(**condition()).status_code == 303
    assert list_restrictions(db, house.id) == []
