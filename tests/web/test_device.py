"""The devices page: who, since when, and in words what a phone recorded that never came."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.store.device import get_device
from inspect_app.web import field_limit
from tests.conftest import token_in
from tests.walk_builder import BuiltWalk

Post = Callable[..., Any]


@pytest.fixture(autouse=True)
def _fresh_limits() -> Iterator[None]:
    field_limit.forget_all()
    yield
    field_limit.forget_all()


@pytest.fixture
def walk(db: Database, settings: Settings, house: House) -> BuiltWalk:
    """A walk of which entries 3 to 5 of the phone have not come."""
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.look("LB 1-1")
    walk.phone.seq += 3
    walk.look("LB 1-2")
    return walk


def devices(client: FlaskClient, house: House) -> str:
    page = client.get(f"/houses/{house.id}/devices")
    assert page.status_code == 200
    return page.text


def test_a_gap_is_told_in_words_on_the_pages_of_devices_and_walk(
    client: FlaskClient, house: House, walk: BuiltWalk, sign_in: Callable[..., Person]
) -> None:
    sign_in(client)
    assert "Grid phone: entries 3 to 5 never came." in devices(client, house)
    for page in ("", "/review"):
        assert "entries 3 to 5 never came" in client.get(f"/houses/{house.id}/walks/{walk.id}{page}").text


def test_nothing_missing_is_said_as_carefully(
    client: FlaskClient, house: House, db: Database, settings: Settings, sign_in: Callable[..., Person]
) -> None:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    sign_in(client)
    page = devices(client, house)
    assert "Nothing is known to be missing." in page
    assert "entries" not in page.partition("Paired now")[2].partition("<h2>")[0].replace("0 entries", "")


def test_a_closing_that_counted_more_and_photos_on_the_way_are_told(
    client: FlaskClient, house: House, walk: BuiltWalk, sign_in: Callable[..., Person]
) -> None:
    walk.look("HB 1", photos=[clock.new_id()])
    walk.close(count=9)
    sign_in(client)
    page = devices(client, house)
    assert "it had counted 9 entries; 4 are here" in page
    assert "1 photo named in its entries is not here" in page


def tell(app: Flask, token: str, last_seq: object, entries: tuple[Any, ...] = ()) -> Any:
    body = {"entries": list(entries), "last_seq": last_seq}
    return app.test_client().post("/api/v1/entries", json=body, headers={"Authorization": f"Bearer {token}"})


def test_what_a_phone_says_it_recorded_is_known_also_after_it_was_wiped_and_paired_again(
    app: Flask, client: FlaskClient, db: Database, house: House, sign_in: Callable[..., Person],
    pair: Callable[..., tuple[str, str]],
) -> None:  # fmt: skip
    person = sign_in(client)
    device, token = pair(person)
    assert tell(app, token, 57).status_code == 200
    assert "a phone: entries 1 to 57 never came." in devices(client, house)
    headers = {"X-CSRF-Token": client.get("/api/v1/pairing").get_json()["csrf"]}
    body = {"house": house.id, "label": "a phone", "device": device}
    again = client.post("/api/v1/devices", json=body, headers=headers).get_json()
    assert (again["device"], again["last_seq"]) == (device, 57)
    bearer = {"Authorization": f"Bearer {again['token']}"}
    assert app.test_client().get(f"/api/v1/houses/{house.id}/pack", headers=bearer).get_json()["last_seq"] == 57
    assert "a phone: entries 1 to 57 never came." in devices(client, house)


@pytest.mark.parametrize("odd", [-1, 0, "57", True, 2**70, 10**9, None, [3], 1.5])
def test_an_odd_count_told_by_a_phone_is_passed_over(
    app: Flask, client: FlaskClient, db: Database, house: House, sign_in: Callable[..., Person],
    pair: Callable[..., tuple[str, str]], odd: object,
) -> None:  # fmt: skip
    device, token = pair(sign_in(client))
    assert tell(app, token, odd).status_code in (200, 400)
    kept = get_device(db, house.id, device)
    assert kept is not None
    assert kept.told_seq == 0


def test_a_walk_is_not_whole_while_its_phone_holds_more(db: Database, walk: BuiltWalk) -> None:
    walk.phone.seq = 5
    for tag in ("LB 2-1", "LB 2-2"):
        walk.look(tag)
    db.execute("UPDATE device SET told_seq = 12")
    (use,) = walk.record.devices
    assert use.gaps == ((3, 5), (8, 12))
    walk.phone.seq = 12
    walk.close()
    (use,) = walk.record.devices
    assert use.gaps == ((3, 5), (8, 12))


def test_withdrawing_a_device_leaves_it_on_the_page_with_its_gaps(
    client: FlaskClient, house: House, walk: BuiltWalk, sign_in: Callable[..., Person]
) -> None:
    sign_in(client, Role.ADMIN)
    page = devices(client, house)
    answer = client.post(
        f"/houses/{house.id}/devices/{walk.phone.device.id}/end",
        data={"csrf_token": token_in(page)},
        follow_redirects=True,
    )
    assert answer.status_code == 200
    assert "withdrawn" in answer.text
    assert "entries 3 to 5 never came" in answer.text
    assert "Bring in a saved file" not in answer.text, "an administrator leaves that to the technical director"
