"""Bringing in a saved file: once or twice, before or after the phone sends, also from a phone that was shut out."""

import base64
import hashlib
import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlite_utils import Database
from werkzeug.test import TestResponse

from inspect_app import clock
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.store.photo import read_photo
from inspect_app.web import field_limit, unsent
from tests.walk_builder import add_person
from tests.web.test_field import Phone, a_photo

Bring = Callable[..., TestResponse]


@pytest.fixture(autouse=True)
def _fresh_limits() -> Iterator[None]:
    field_limit.forget_all()
    yield
    field_limit.forget_all()


@pytest.fixture
def phone(app: Flask, db: Database, house: House, pair: Callable[..., tuple[str, str]]) -> Phone:
    person = add_person(db, house, "Pat Quill", Role.HELPER)
    return Phone(app.test_client(), house, person, *pair(person))


@pytest.fixture
def td(client: FlaskClient, sign_in: Callable[..., Person]) -> Person:
    return sign_in(client, Role.TD)


@pytest.fixture
def bring(client: FlaskClient, csrf: Callable[[FlaskClient], str], house: House) -> Bring:
    def send(*contents: bytes, where: House | None = None) -> TestResponse:
        # Laid out by hand: the test client would leave a temporary file of a large form behind.
        token = f'--cut\r\nContent-Disposition: form-data; name="csrf_token"\r\n\r\n{csrf(client)}\r\n'
        body = token.encode()
        for n, content in enumerate(contents):
            file = f'--cut\r\nContent-Disposition: form-data; name="file"; filename="file-{n}.json"\r\n\r\n'
            body += file.encode() + content + b"\r\n"
        body += b"--cut--\r\n"
        path = f"/houses/{(where or house).id}/unsent"
        return client.post(path, data=body, content_type="multipart/form-data; boundary=cut")

    return send


def texts_of(phone: Phone, photo: str) -> list[str]:
    """Entries as a phone froze them: no two programs lay JSON out the same way."""
    entries = [phone.opening(), phone.look("LB 1-1", photos=[photo]), phone.look("LB 1-2")]
    return [json.dumps(one, indent=1) + " " for one in entries]


def file_of(phone: Phone, texts: list[Any], photos: dict[str, bytes], **given: Any) -> bytes:
    rows = [
        {"id": key, "sha256": hashlib.sha256(content).hexdigest(), "mime": "image/jpeg",
         "data": base64.b64encode(content).decode()}
        for key, content in photos.items()
    ]  # fmt: skip
    file = {"format": "inspect-log/unsent/1", "house": phone.house.id, "device": phone.device,
            "made_at": "2026-03-04T21:00:00Z", "entries": texts, "photos": rows, **given}  # fmt: skip
    return json.dumps(file).encode()


def raws(db: Database) -> list[bytes]:
    return [raw for (raw,) in db.execute("SELECT raw FROM entry ORDER BY arrival")]


def figures(page: str) -> list[int]:
    """Entries and photos: stored, here before, held, not taken in."""
    table = page.partition("<tbody>")[2].partition("</tbody>")[0]
    return [int(cell.partition("</td>")[0]) for cell in table.split("<td>")[1:]]


def test_a_file_is_stored_to_the_letter_and_a_second_time_changes_nothing(
    db: Database, settings: Settings, phone: Phone, td: Person, bring: Bring
) -> None:
    photo, content = clock.new_id(), a_photo()
    texts = texts_of(phone, photo)
    file = file_of(phone, texts, {photo: content})
    page = bring(file)
    assert page.status_code == 200
    assert figures(page.text) == [3, 1, 0, 0, 0, 0, 0, 0]
    assert raws(db) == [text.encode() for text in texts]
    assert read_photo(settings, hashlib.sha256(content).hexdigest()) == content
    again = bring(file)
    assert figures(again.text) == [0, 0, 3, 1, 0, 0, 0, 0]
    assert len(raws(db)) == 3
    actors = db.execute("SELECT actor, action FROM journal WHERE action LIKE '%.import'").fetchall()
    assert actors == [(td.id, "entry.import"), (td.id, "photo.import")]


def test_what_the_phone_sends_before_or_after_is_known(db: Database, phone: Phone, td: Person, bring: Bring) -> None:
    photo, content = clock.new_id(), a_photo()
    texts = texts_of(phone, photo)
    headers = {"Content-Type": "application/json"}
    body = f'{{"entries":[{texts[0]}]}}'
    # The text of an entry is what stands between the commas: blanks around it are the batch's, not the entry's.
    file = file_of(phone, [one.strip() for one in texts], {photo: content})
    assert phone.call("POST", "entries", data=body, headers=headers).get_json()["verdicts"][0]["verdict"] == "stored"
    assert figures(bring(file).text) == [2, 1, 1, 0, 0, 0, 0, 0]
    body = f'{{"entries":[{",".join(texts)}]}}'
    verdicts = phone.call("POST", "entries", data=body, headers=headers).get_json()["verdicts"]
    assert [one["verdict"] for one in verdicts] == ["duplicate"] * 3
    assert phone.put(photo, content).status_code == 200
    assert len(raws(db)) == 3


def test_the_file_of_a_phone_that_was_shut_out_is_taken_in(
    db: Database, phone: Phone, td: Person, bring: Bring
) -> None:
    texts = texts_of(phone, clock.new_id())
    db.execute("UPDATE device SET revoked_at = '2026-01-01T00:00:00.000+00:00'")
    assert phone.call("POST", "entries", json={"entries": []}).status_code == 401
    page = bring(file_of(phone, texts, {}))
    assert figures(page.text) == [3, 0, 0, 0, 0, 0, 0, 0]
    assert "withdrawn" in page.text


def test_odd_entries_are_held_and_odd_photos_told_and_the_rest_goes_in(
    db: Database, phone: Phone, td: Person, bring: Bring
) -> None:
    good, wrong = clock.new_id(), clock.new_id()
    texts = texts_of(phone, good)
    content = a_photo()
    odd = ['{"cut": ', '{"schema": 99, "kind": "look"}', {"no": "text"}]
    file = json.loads(file_of(phone, [*odd, *texts], {good: content, wrong: content, "x": content}))
    file["photos"][1]["sha256"] = "0" * 64
    file["photos"].append({"id": clock.new_id(), "data": base64.b64encode(b"no picture").decode()})
    page = bring(json.dumps(file).encode())
    assert page.status_code == 200
    assert figures(page.text) == [3, 1, 0, 0, 3, 0, 0, 3]
    assert "Keep the file" in page.text
    assert "arrived damaged" in page.text
    held = {raw.decode() for (raw,) in db.execute("SELECT raw FROM held")}
    assert held == {odd[0], odd[1], '{"no":"text"}'}
    bring(json.dumps(file).encode())
    assert db.execute("SELECT count(*) FROM held").fetchone()[0] == 3


def test_more_than_one_batch_of_entries_is_taken_in(db: Database, phone: Phone, td: Person, bring: Bring) -> None:
    looks = [json.dumps(phone.look("LB 1-1")) for _ in range(620)]
    page = bring(file_of(phone, [json.dumps(phone.opening()), *looks], {}))
    assert figures(page.text)[0] == 621


def test_a_file_of_another_house_or_an_unknown_phone_is_refused_in_words(
    db: Database, phone: Phone, td: Person, bring: Bring, other_house: House
) -> None:
    texts = texts_of(phone, clock.new_id())
    for given, words in (
        ({"house": other_house.id}, "from another house"),
        ({"device": clock.new_id()}, "never paired with this house"),
    ):
        page = bring(file_of(phone, texts, {}, **given))
        assert page.status_code == 422
        assert words in page.text
        assert other_house.name not in page.text
    assert raws(db) == []


def test_a_file_beyond_the_limit_is_refused_in_words_and_one_below_it_is_read(
    db: Database, phone: Phone, td: Person, bring: Bring
) -> None:
    large = bring(b" " * (unsent.LARGEST_FILE + 2 * 1024 * 1024))
    assert large.status_code == 422
    assert "larger than 64 MB" in large.text
    below = bring(file_of(phone, texts_of(phone, clock.new_id()), {}) + b" " * (20 * 1024 * 1024))
    assert figures(below.text)[0] == 3


def test_parts_come_together_in_any_order_and_again_and_a_wrong_file_keeps_none_of_them_out(
    db: Database, settings: Settings, phone: Phone, td: Person, bring: Bring
) -> None:
    photo, content = clock.new_id(), a_photo()
    first, *rest = texts_of(phone, photo)
    parts = [
        file_of(phone, rest, {}, part=2, parts=3),
        b"{cut short",
        file_of(phone, [], {photo: content}, part=3, parts=3),
        file_of(phone, [first], {}, part=1, parts=3),
    ]
    page = bring(*parts)
    assert page.status_code == 422
    assert "file-1.json: This file cannot be read" in page.text
    assert [words for words in ("part 2 of 3", "part 3 of 3", "part 1 of 3") if words in page.text]
    assert figures(page.text)[:1] == [2]
    assert len(raws(db)) == 3
    assert read_photo(settings, hashlib.sha256(content).hexdigest()) == content
    again = bring(*reversed([parts[0], *parts[2:]]))
    assert again.status_code == 200
    assert "part 1 of 3" in again.text
    assert len(raws(db)) == 3
    assert db.execute("SELECT count(*) FROM photo").fetchone() == (1,)


def test_an_original_in_the_file_goes_beside_its_photo(
    db: Database, settings: Settings, phone: Phone, td: Person, bring: Bring
) -> None:
    photo, picture, original = clock.new_id(), a_photo(), a_photo((900, 90))
    file = json.loads(file_of(phone, texts_of(phone, photo), {photo: picture}))
    row = {"id": photo, "original": True, "sha256": "", "data": base64.b64encode(original).decode()}
    file["photos"].append(row)
    for expected in ([3, 2, 0, 0, 0, 0, 0, 0], [0, 0, 3, 2, 0, 0, 0, 0]):
        assert figures(bring(json.dumps(file).encode()).text) == expected
    kept = db.execute("SELECT sha256 FROM photo UNION ALL SELECT sha256 FROM original").fetchall()
    assert kept == [(hashlib.sha256(one).digest(),) for one in (picture, original)]


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.TD])
def test_only_a_technical_director_brings_files_in(
    client: FlaskClient, phone: Phone, bring: Bring, sign_in: Callable[..., Person], role: Role
) -> None:
    sign_in(client, role)
    assert bring(file_of(phone, [], {})).status_code == 403
