"""The history of a set, and where it is led to from the pages of the set and its parts."""

from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.domain.tag_out import Step
from inspect_app.store.tag_out import list_standing
from tests.walk_builder import BuiltWalk


@pytest.fixture
def built(db: Database, settings: Settings, house: House) -> BuiltWalk:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    cracked = walk.finding("LB 1-1", "stop_use", note="cracked cheek")
    walk.send("stop", of=cracked, step=Step.TOLD_RAIL.value, who="Joan Pell")
    return walk


def test_the_history_of_a_set_tells_its_own_things_in_order(
    client: FlaskClient, sign_in: Any, built: BuiltWalk, house: House
) -> None:
    built.finding("LB 2-1", "watch", note="paint worn")
    sign_in(client, Role.HELPER)
    line_set = built.part("LB 1-1").line_set
    page = client.get(f"/houses/{house.id}/line-sets/{line_set}/history").text
    told = page[page.index('<ol class="story">') :]
    places = [told.index(words) for words in ("Found", "Out of use: Line set 1", "The rail was told: Joan Pell")]
    assert places == sorted(places)
    assert "LB 1-1, deficiency 1" in told
    assert "paint worn" not in told  # that is on another set
    (stop,) = list_standing(built.db, house.id)
    assert f"/tag-outs/{stop.id}" in page[: page.index('<ol class="story">')]  # what stands now is on top


def test_set_and_part_lead_to_history_stop_and_open_deficiencies(
    client: FlaskClient, sign_in: Any, built: BuiltWalk, house: House
) -> None:
    sign_in(client, Role.MANAGER)
    (stop,) = list_standing(built.db, house.id)
    part = built.part("LB 1-1")
    for path in (f"line-sets/{part.line_set}/", f"parts/{part.id}/"):
        page = client.get(f"/houses/{house.id}/{path}", follow_redirects=True).text
        assert "LB 1-1, number 1: cracked cheek" in page
        assert f"/tag-outs/{stop.id}" in page
    assert f"{part.line_set}/history" in client.get(f"/houses/{house.id}/line-sets/{part.line_set}/").text


def test_a_set_of_which_nothing_is_told_says_so(
    client: FlaskClient, sign_in: Any, built: BuiltWalk, house: House
) -> None:
    sign_in(client, Role.TD)
    page = client.get(f"/houses/{house.id}/line-sets/{built.part('LB 2-1').line_set}/history").text
    assert "says nothing about what has not been looked at" in page
