"""Answers in both encodings: the same content, an ETag for each form, and nothing compressed that holds a secret."""

import gzip
from collections.abc import Callable

import pytest
from flask.testing import FlaskClient

from inspect_app.domain.house import House
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.web.compression import LEAST_BYTES

TEXTS = ["/static/js/field/walk.js", "/static/css/app.css", "/walk", "/walk-worker.js", "/walk/scale.js"]
GZIP = {"Accept-Encoding": "gzip, deflate, br, zstd"}  # what Chromium sends to an address it trusts


@pytest.mark.parametrize("path", TEXTS)
def test_a_client_that_takes_gzip_gets_the_same_bytes_in_fewer(client: FlaskClient, path: str) -> None:
    plain, packed = client.get(path), client.get(path, headers=GZIP)
    assert "Content-Encoding" not in plain.headers
    assert packed.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(packed.data) == plain.data
    assert int(packed.headers["Content-Length"]) == len(packed.data) < len(plain.data)
    assert packed.content_type == plain.content_type
    for answer in (plain, packed):
        assert "Accept-Encoding" in answer.headers["Vary"]


@pytest.mark.parametrize("path", TEXTS)
def test_each_form_has_its_own_etag_and_is_known_again_by_it_alone(client: FlaskClient, path: str) -> None:
    plain, packed = client.get(path).headers["ETag"], client.get(path, headers=GZIP).headers["ETag"]
    assert plain != packed
    assert not plain.startswith("W/")
    again = client.get(path, headers=GZIP | {"If-None-Match": packed})
    assert (again.status_code, again.data) == (304, b"")
    assert "Accept-Encoding" in again.headers["Vary"]
    assert client.get(path, headers={"If-None-Match": plain}).status_code == 304
    # The other form's ETag names other bytes, so they are sent.
    assert client.get(path, headers=GZIP | {"If-None-Match": plain}).status_code == 200
    assert client.get(path, headers={"If-None-Match": packed}).status_code == 200


@pytest.mark.parametrize("accepted", ["", "identity", "gzip;q=0", "br", "gzip;q=0, *;q=0.5"])
def test_a_client_that_does_not_take_gzip_gets_none(client: FlaskClient, accepted: str) -> None:
    answer = client.get("/static/js/field/walk.js", headers={"Accept-Encoding": accepted})
    assert "Content-Encoding" not in answer.headers
    assert b"export class Walk" in answer.data


@pytest.mark.parametrize("path", ["/static/icons/walk-192.png", "/static/icon.svg"])
def test_pictures_and_small_answers_go_as_they_are(client: FlaskClient, path: str) -> None:
    answer = client.get(path, headers=GZIP)
    assert "Content-Encoding" not in answer.headers
    assert answer.mimetype != "image/svg+xml" or len(answer.data) < LEAST_BYTES


def test_no_page_that_holds_a_form_token_is_compressed(
    client: FlaskClient, house: House, sign_in: Callable[..., Person]
) -> None:
    sign_in(client, Role.TD)
    for path in ("settings", "walks", "unsent", "line-names"):
        answer = client.get(f"/houses/{house.id}/{path}", headers=GZIP)
        assert len(answer.data) > LEAST_BYTES
        assert "Content-Encoding" not in answer.headers, path
    assert "csrf_token" in answer.text
    token = client.get("/api/v1/pairing", headers=GZIP)
    assert "csrf" in token.get_json()
    assert "Content-Encoding" not in token.headers
