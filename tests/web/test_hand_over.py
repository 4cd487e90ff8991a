"""Pages of the hand-over packs: asking, progress, the filed ones, answers, and what a guest gets of it."""

import re
import time
import zipfile
from collections.abc import Callable

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.guest_link import make_guest_link
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.web import hand_over_job
from tests.conftest import token_in


@pytest.fixture
def at(house: House) -> str:
    return f"/houses/{house.id}/hand-over"


@pytest.fixture
def post(client: FlaskClient, csrf) -> Callable[..., object]:
    return lambda path, **fields: client.post(path, data={"csrf_token": csrf(client), **fields})


def test_a_pack_is_asked_for_watched_and_fetched(app: Flask, client, db: Database, sign_in, house, at, post) -> None:
    td = sign_in(client, Role.TD)
    asked = post(at, first="2025-01-01", last="", paper="A4", with_costs="y")
    assert asked.status_code == 303
    place = asked.headers["Location"]
    for _ in range(600):
        page = client.get(place)
        assert "was not made" not in page.text, page.text
        if "ready and filed" in page.text:
            break
        assert page.headers["Refresh"] == "1"
        time.sleep(0.05)
    assert page.headers["Refresh"].endswith(at)
    shelf = client.get(at).text
    assert "2025-01-01 to the day it was made" in shelf
    fetch = re.search(r"/houses/[^\"]+\.zip", shelf)
    assert fetch
    with client.get(fetch[0]) as answer:
        path = next((app.extensions["inspect_app_settings"].data / "reports").glob("*.zip"))
        assert answer.get_data() == path.read_bytes()
    with zipfile.ZipFile(path) as packed:
        assert "hand-over.pdf" in packed.namelist()
    with client.get(fetch[0].replace(".zip", ".pdf")) as answer:
        assert answer.get_data().startswith(b"%PDF-")
    for with_costs in (False, True):  # this pack holds amounts
        _, secret = make_guest_link(
            db,
            at=clock.now(),
            actor=td.id,
            house=house.id,
            guest="Odo",
            purpose="annual",
            days=3,
            with_costs=with_costs,
        )
        visitor = app.test_client()
        visitor.post(f"/guest/{secret}", data={"csrf_token": token_in(visitor.get(f"/guest/{secret}").text)})
        assert (fetch[0] in visitor.get(at).text) == with_costs
        with visitor.get(fetch[0]) as answer:
            assert answer.status_code == (200 if with_costs else 404)
        assert "Make a pack" not in visitor.get(at).text


@pytest.mark.parametrize(
    "fields", [{"first": "soon"}, {"first": "2026-02-02", "last": "2026-01-01"}, {"paper": "A7"}, {"paper": ""}]
)
def test_a_pack_that_cannot_be_is_refused_with_what_was_typed(client, sign_in, at, post, fields: dict) -> None:
    sign_in(client, Role.TD)
    answer = post(at, **{"first": "", "last": "", "paper": "A4", **fields})
    assert answer.status_code == 422
    for value in fields.values():
        assert not value or value == "A7" or f'value="{value}"' in answer.text


def test_too_many_at_once_are_told_to_wait(client, sign_in, at, post, monkeypatch) -> None:
    sign_in(client, Role.TD)
    monkeypatch.setattr(hand_over_job, "MOST_WAITING", 0)
    assert "ask again" in post(at, first="", last="", paper="A4").text


def test_answers_are_kept_and_what_is_missing_is_named(client, sign_in, at, post) -> None:
    sign_in(client, Role.MANAGER)
    assert "When was the house built" in client.get(at).text
    assert post(f"{at}/answers", built="1931").status_code == 303
    assert "When was the house built" not in client.get(at).text
    page = client.get(f"{at}/answers").text
    assert "1931" in page
    assert "Last: Robin facility manager" in page
    assert post(f"{at}/answers", built="x" * 2001).status_code == 422
