"""Voice notes from the phone to the page that plays them: same permission and headers as photos."""

import base64
import hashlib
import json
from collections.abc import Callable, Iterator

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.web import field_limit
from tests.walk_builder import add_person
from tests.web.test_field import Phone, digest_of

SOUND = b"OggS\x00\x02" + bytes(range(256)) * 4


@pytest.fixture(autouse=True)
def _fresh_limits() -> Iterator[None]:
    field_limit.forget_all()
    yield
    field_limit.forget_all()


@pytest.fixture
def phone(client: FlaskClient, db: Database, house: House, pair: Callable[..., tuple[str, str]]) -> Phone:
    person = add_person(db, house, "Pat Quill", Role.TD)
    return Phone(client, house, person, *pair(person))


def put(phone: Phone, key: str, content: bytes = SOUND, **headers: str):
    return phone.call("PUT", f"recordings/{key}", data=content, content_type="audio/ogg", headers=headers)


def test_a_voice_note_is_missing_until_it_came_and_is_taken_once(phone: Phone, house: House) -> None:
    key = clock.new_id()
    assert [
        one["verdict"]
        for one in phone.send(phone.opening(), phone.look("LB 1-1", recordings=[key])).get_json()["verdicts"]
    ] == ["stored"] * 2

    def missing() -> list[list[str]]:
        asked = phone.call("POST", "photos/missing", json={"ids": [key]}).get_json()["missing"]
        return [asked, phone.call("GET", f"walks/{phone.walk}/tally").get_json()["recordings_missing"]]

    assert missing() == [[key], [key]]
    damaged = put(phone, key, SOUND[:-1], **{"Content-Digest": digest_of(SOUND)})
    assert damaged.status_code == 422
    assert missing() == [[key], [key]]
    first = put(phone, key, **{"Content-Digest": digest_of(SOUND)})
    assert (first.status_code, first.get_json()["sha256"]) == (201, hashlib.sha256(SOUND).hexdigest())
    assert put(phone, key).status_code == 200
    assert missing() == [[], []]
    other = put(phone, key, SOUND + b"x")
    assert (other.status_code, other.get_json()["state"]) == (200, "held")
    looks = phone.call("GET", f"walks/{phone.walk}/looks").get_json()["looks"]
    assert looks[0]["recordings"] == [key]


@pytest.mark.parametrize(
    ("content", "status"),
    [(b"", 422), (b"<script>", 415), (b"\xff\xd8\xff\xe0" + bytes(90), 415), (b"OggS" + bytes(4_000_001), 413)],
)
def test_what_is_no_voice_note_is_refused_in_json(phone: Phone, content: bytes, status: int) -> None:
    answer = put(phone, clock.new_id(), content)
    assert answer.status_code == status
    assert answer.get_json()["message"]


@pytest.mark.parametrize("role", list(Role))
def test_every_member_may_hear_it_whole_or_in_part(
    client: FlaskClient, house: House, phone: Phone, sign_in: Callable[..., Person], role: Role
) -> None:
    key = clock.new_id()
    put(phone, key)
    sign_in(client, role)
    address = f"/houses/{house.id}/recordings/{key}"
    answer = client.get(address)
    assert (answer.status_code, answer.mimetype, answer.data) == (200, "audio/ogg", SOUND)
    assert answer.headers["Content-Security-Policy"] == "sandbox; default-src 'none'"
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Cache-Control"] == "private, no-cache"
    part = client.get(address, headers={"Range": "bytes=100-199"})
    assert (part.status_code, part.data) == (206, SOUND[100:200])
    assert part.headers["Content-Range"] == f"bytes 100-199/{len(SOUND)}"
    assert client.get(address, headers={"If-None-Match": answer.headers["ETag"]}).status_code == 304


def test_a_voice_note_is_not_there_for_another_house_or_nobody(
    client: FlaskClient, house: House, other_house: House, phone: Phone, sign_in: Callable[..., Person]
) -> None:
    key = clock.new_id()
    put(phone, key)
    assert client.get(f"/houses/{house.id}/recordings/{key}").status_code == 303
    sign_in(client, Role.TD, other_house)
    assert client.get(f"/houses/{house.id}/recordings/{key}").status_code == 404
    assert client.get(f"/houses/{other_house.id}/recordings/{key}").status_code == 404


def test_pages_of_walk_review_part_and_devices_tell_of_it(
    client: FlaskClient, house: House, phone: Phone, sign_in: Callable[..., Person]
) -> None:
    here, gone = clock.new_id(), clock.new_id()
    phone.send(phone.opening(), phone.look("LB 1-1", recordings=[here]), phone.look("LB 1-2", recordings=[gone]))
    put(phone, here)
    sign_in(client, Role.TD)
    player = f'src="/houses/{house.id}/recordings/{here}"'
    for path in (f"walks/{phone.walk}", f"walks/{phone.walk}/review", f"parts/{phone.part('LB 1-1')}/"):
        page = client.get(f"/houses/{house.id}/{path}").text
        assert player in page, path
        assert f"recordings/{gone}" not in page
    assert "Has not arrived" in client.get(f"/houses/{house.id}/walks/{phone.walk}/review").text
    assert "1 voice note that did not arrive" in client.get(f"/houses/{house.id}/walks/{phone.walk}/review").text
    assert "1 voice note named in its entries is not here" in client.get(f"/houses/{house.id}/devices").text


def test_a_saved_file_brings_voice_notes_in_and_twice_does_no_harm(
    client: FlaskClient,
    db: Database,
    settings: Settings,
    house: House,
    phone: Phone,
    sign_in: Callable[..., Person],
    csrf: Callable[[FlaskClient], str],
) -> None:
    key = clock.new_id()
    sign_in(client, Role.TD)
    row = {"id": key, "kind": "recording", "sha256": "", "mime": "audio/ogg", "data": base64.b64encode(SOUND).decode()}
    file = {"format": "inspect-log/unsent/1", "house": house.id, "device": phone.device, "made_at": "",
            "entries": [json.dumps(phone.look("LB 1-1", recordings=[key]))], "photos": [row]}  # fmt: skip

    def bring() -> str:
        token = f'--cut\r\nContent-Disposition: form-data; name="csrf_token"\r\n\r\n{csrf(client)}\r\n'
        head = '--cut\r\nContent-Disposition: form-data; name="file"; filename="unsent.json"\r\n\r\n'
        body = token.encode() + head.encode() + json.dumps(file).encode() + b"\r\n--cut--\r\n"
        return client.post(
            f"/houses/{house.id}/unsent", data=body, content_type="multipart/form-data; boundary=cut"
        ).text

    for _ in range(2):
        assert "All of it is in the office" in bring()
    assert client.get(f"/houses/{house.id}/recordings/{key}").data == SOUND
    assert db.execute("SELECT count(*) FROM recording").fetchone() == (1,)


def test_the_walk_page_alone_may_ask_for_camera_and_microphone(client: FlaskClient) -> None:
    assert client.get("/walk").headers["Permissions-Policy"] == "camera=(self), geolocation=(), microphone=(self)"
    assert client.get("/sign-in").headers["Permissions-Policy"] == "camera=(), geolocation=(), microphone=()"
