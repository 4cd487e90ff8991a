"""Pairing a phone by a code: short-lived, once, for one person in one house; a known phone keeps its id and count."""

import re
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlite_utils import Database
from werkzeug.test import TestResponse

from inspect_app import clock
from inspect_app.domain.house import House
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.web import field_limit

AT = datetime(2026, 3, 4, 19, 0, tzinfo=UTC)
Made = Callable[..., str]


@pytest.fixture(autouse=True)
def _fresh_limits() -> Iterator[None]:
    field_limit.forget_all()
    yield
    field_limit.forget_all()


@pytest.fixture
def make_code(csrf: Callable[[FlaskClient], str], house: House) -> Made:
    """A code as its person reads it off the page."""

    def make(client: FlaskClient, where: House | None = None) -> str:
        form = {"csrf_token": csrf(client), "house": (where or house).id}
        page = client.post("/account/phone", data=form)
        assert page.status_code == 200
        found = re.search(r'<strong class="mono code">([0-9A-Z]{4}-[0-9A-Z]{4})</strong>', page.text)
        assert found
        return found[1]

    return make


def use(app: Flask, code: object, **given: Any) -> TestResponse:
    """What a phone without any session sends."""
    return app.test_client().post("/api/v1/devices", json={"code": code, "label": "Grid phone", **given})


def test_a_code_pairs_one_phone_for_its_person_without_any_session(
    app: Flask, client: FlaskClient, db: Database, house: House, sign_in: Callable[..., Person], make_code: Made
) -> None:
    person = sign_in(client, Role.HELPER)
    code = make_code(client)
    answer = use(app, code.lower().replace("-", " "))
    assert answer.status_code == 201
    said = answer.get_json()
    assert (said["person"]["id"], said["house"], said["house_name"]) == (person.id, house.id, house.name)
    assert said["last_seq"] == 0
    assert "Set-Cookie" not in answer.headers
    bearer = {"Authorization": f"Bearer {said['token']}"}
    assert app.test_client().get(f"/api/v1/houses/{house.id}/pack", headers=bearer).status_code == 200
    assert use(app, code).status_code == 422
    kept = repr(db.execute("SELECT * FROM one_time_code").fetchall()) + repr(
        db.execute("SELECT * FROM journal").fetchall()
    )
    assert code not in kept
    assert "device.code" in kept
    assert "device.pair" in kept


@pytest.mark.parametrize(("minutes", "status"), [(9, 201), (10, 422), (60, 422)])
def test_a_code_lasts_ten_minutes(
    app: Flask, client: FlaskClient, sign_in: Callable[..., Person], make_code: Made,
    clock_at: Callable[[datetime], None], minutes: int, status: int,
) -> None:  # fmt: skip
    clock_at(AT)
    sign_in(client)
    code = make_code(client)
    clock_at(AT + timedelta(minutes=minutes))
    assert use(app, code).status_code == status


def test_a_newer_code_ends_the_older_one(
    app: Flask, client: FlaskClient, sign_in: Callable[..., Person], make_code: Made
) -> None:
    sign_in(client)
    first, second = make_code(client), make_code(client)
    assert use(app, first).status_code == 422
    assert use(app, second).status_code == 201


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE membership SET ended_at = '2026-01-01T00:00:00.000+00:00'",
        "UPDATE account SET disabled_at = '2026-01-01T00:00:00.000+00:00'",
    ],
    ids=["member no more", "account closed"],
)
def test_a_code_is_worth_no_more_than_its_person(
    app: Flask, client: FlaskClient, db: Database, sign_in: Callable[..., Person], make_code: Made, statement: str
) -> None:
    sign_in(client)
    code = make_code(client)
    db.execute(statement)
    answer = use(app, code)
    assert answer.status_code == 422
    assert "Make a new one" in answer.get_json()["message"]


def test_guessing_is_slowed_down_and_then_stopped(
    app: Flask, client: FlaskClient, sign_in: Callable[..., Person], make_code: Made
) -> None:
    sign_in(client)
    code = make_code(client)
    answers = [use(app, "AAAA-AAAA") for _ in range(8)]
    assert [one.status_code for one in answers][:5] == [422] * 5
    assert answers[-1].status_code == 429
    assert int(answers[-1].headers["Retry-After"]) >= 1
    assert use(app, code).status_code == 429


@pytest.mark.parametrize("code", ["", "X", "AAAA-AAAA-AAAA-AAAA-AAAA", "ÄÄÄÄ-ÄÄÄÄ", "0" * 5000, None, 7, ["A"], {}])
def test_an_odd_code_is_refused_in_words(app: Flask, code: object) -> None:
    answer = use(app, code)
    assert answer.status_code in (400, 422)
    assert answer.get_json()["message"]


def test_a_code_for_signing_up_pairs_nothing(app: Flask, db: Database, client: FlaskClient, house: House) -> None:
    from inspect_app.actions.account import make_code

    answer = use(app, make_code(db, clock.now(), "setup", timedelta(minutes=30)))
    assert answer.status_code == 422


def test_a_page_of_another_site_cannot_pair_with_a_code(
    app: Flask, client: FlaskClient, sign_in: Callable[..., Person], make_code: Made
) -> None:
    sign_in(client)
    body = {"code": make_code(client), "label": "Grid phone"}
    answer = app.test_client().post("/api/v1/devices", json=body, headers={"Origin": "https://elsewhere.test"})
    assert answer.status_code == 403


def test_no_code_is_made_for_a_house_one_does_not_belong_to(
    client: FlaskClient, db: Database, other_house: House, sign_in: Callable[..., Person], csrf: Callable[..., str]
) -> None:
    sign_in(client)
    form = {"csrf_token": csrf(client), "house": other_house.id}
    assert client.post("/account/phone", data=form).status_code == 422
    assert db.execute("SELECT count(*) FROM one_time_code").fetchone()[0] == 0


def test_a_phone_paired_again_keeps_its_id_and_count_and_its_old_token_ends(
    app: Flask, client: FlaskClient, db: Database, house: House, sign_in: Callable[..., Person], make_code: Made
) -> None:
    sign_in(client)
    first = use(app, make_code(client)).get_json()
    db.execute("UPDATE device SET last_seq = 40, revoked_at = '2026-01-01T00:00:00.000+00:00'")
    again = use(app, make_code(client), device=first["device"]).get_json()
    assert (again["device"], again["last_seq"]) == (first["device"], 40)
    pack = f"/api/v1/houses/{house.id}/pack"
    for token, status in ((first["token"], 401), (again["token"], 200)):
        headers = {"Authorization": f"Bearer {token}"}
        assert app.test_client().get(pack, headers=headers).status_code == status


@pytest.mark.parametrize("whose", ["another person's", "another house's", "nobody's", "no id at all"])
def test_an_id_that_was_not_theirs_gives_a_new_phone(
    app: Flask, client: FlaskClient, house: House, other_house: House, sign_in: Callable[..., Person],
    pair: Callable[..., tuple[str, str]], make_code: Made, whose: str,
) -> None:  # fmt: skip
    person = sign_in(client)
    other = sign_in(app.test_client())
    device = {
        "another person's": lambda: pair(other)[0],
        "another house's": lambda: pair(person, other_house)[0],
        "nobody's": clock.new_id,
        "no id at all": lambda: "x' OR 1",
    }[whose]()
    said = use(app, make_code(client), device=device).get_json()
    assert said["device"] != device
    assert said["last_seq"] == 0


def test_a_session_pairs_again_under_the_same_id(
    client: FlaskClient, house: House, sign_in: Callable[..., Person]
) -> None:
    sign_in(client)
    headers = {"X-CSRF-Token": client.get("/api/v1/pairing").get_json()["csrf"]}
    body = {"house": house.id, "label": "Grid phone"}
    first = client.post("/api/v1/devices", json=body, headers=headers).get_json()
    again = client.post("/api/v1/devices", json={**body, "device": first["device"]}, headers=headers).get_json()
    assert again["device"] == first["device"]
    assert again["token"] != first["token"]
