"""The original of a photo over the field API, and who gets to see it."""

import hashlib
from collections.abc import Callable, Iterator

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.house import House
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.store.house import get_house
from inspect_app.web import field_limit
from tests.walk_builder import add_person
from tests.web.test_field import Phone, a_photo, digest_of


@pytest.fixture(autouse=True)
def _fresh_limits() -> Iterator[None]:
    field_limit.forget_all()
    yield
    field_limit.forget_all()


@pytest.fixture
def phone(app: Flask, db: Database, house: House, pair: Callable[..., tuple[str, str]]) -> Phone:
    person = add_person(db, house, "Pat Quill", Role.HELPER)
    return Phone(app.test_client(), house, person, *pair(person))


def put(phone: Phone, photo: str, content: bytes, digest: str = "") -> tuple[int, dict[str, str]]:
    headers = {"Content-Type": "image/jpeg", "Content-Digest": digest or digest_of(content)}
    answer = phone.call("PUT", f"photos/{photo}/original", data=content, headers=headers)
    return answer.status_code, answer.get_json()


def test_an_original_is_kept_once_and_larger_ones_than_photos_are_taken(phone: Phone) -> None:
    photo, content = clock.new_id(), a_photo()
    large = content + b"\0" * 20_000_000  # beyond what a photo may have and what the server takes by default
    assert put(phone, photo, large) == (
        201,
        {"id": photo, "state": "stored", "sha256": hashlib.sha256(large).hexdigest(), "reason": ""},
    )
    assert put(phone, photo, large)[0] == 200
    assert put(phone, photo, content)[1]["state"] == "held"
    assert put(phone, clock.new_id(), content, digest_of(b"other"))[0] == 422
    assert put(phone, clock.new_id(), b"no picture")[0] == 415
    assert put(phone, clock.new_id(), content + b"\0" * 40_000_000)[0] == 413


def test_who_may_sees_the_original_and_the_copies_stay_of_the_picture(
    client: FlaskClient, phone: Phone, house: House, sign_in: Callable[..., Person]
) -> None:
    photo, picture, original = clock.new_id(), a_photo(), a_photo((1000, 800))
    assert phone.put(photo, picture).status_code == 201
    put(phone, photo, original)
    sign_in(client, Role.TD)
    assert client.get(f"/houses/{house.id}/photos/{photo}/original").data == original
    assert client.get(f"/houses/{house.id}/photos/{photo}/print").status_code == 200
    sign_in(client, Role.HELPER)
    assert client.get(f"/houses/{house.id}/photos/{photo}/original").status_code == 403


@pytest.mark.parametrize("role", list(Role))
def test_the_house_asks_for_originals_when_who_may_edit_it_says_so_and_phones_learn_of_it(
    client: FlaskClient, db: Database, phone: Phone, house: House, sign_in: Callable[..., Person],
    csrf: Callable[[FlaskClient], str], role: Role,
) -> None:  # fmt: skip
    sign_in(client, role)
    first = phone.call("GET", f"houses/{house.id}/pack")
    assert first.get_json()["house"]["keep_originals"] is False
    fields = {"name": house.name, "tz": house.tz, "units": house.units, "datum": house.datum, "keep_originals": "y"}
    answer = client.post(f"/houses/{house.id}/settings", data=fields | {"csrf_token": csrf(client)})
    allowed = role in (Role.TD, Role.ADMIN)
    assert answer.status_code == (302 if allowed else 403)
    assert get_house(db, house.id).keep_originals is allowed
    since = phone.call("GET", f"houses/{house.id}/pack?since={first.headers['ETag']}").get_json()
    assert since["same"] is not allowed
    if allowed:
        assert set(since["changed"]) == {"house"}
        assert since["changed"]["house"]["keep_originals"] is True
        del fields["keep_originals"]
        client.post(f"/houses/{house.id}/settings", data=fields | {"csrf_token": csrf(client)})
        assert get_house(db, house.id).keep_originals is False
