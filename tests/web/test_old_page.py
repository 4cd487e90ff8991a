"""Old pages: pinned to a set and a year, shown as unverified, counted nowhere, taken back with a reason."""

import io
from collections.abc import Callable

import pytest
from flask.testing import FlaskClient
from PIL import Image
from sqlite_utils import Database
from werkzeug.http import parse_options_header

from inspect_app.actions.verify import verify_data
from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import House
from inspect_app.domain.old_page import UNVERIFIED, read_year
from inspect_app.domain.role import Role
from inspect_app.store.house import list_line_sets
from inspect_app.store.old_page import old_pages


def a_photo() -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (640, 480), "white").save(file, "JPEG")
    return file.getvalue()


@pytest.fixture
def send(
    client: FlaskClient, sign_in: Callable[..., object], csrf: Callable[[FlaskClient], str], house: House
) -> Callable[..., object]:
    sign_in(client)

    def post(content: bytes, name: str = "log.jpg", **form: str) -> object:
        given = {"file": (io.BytesIO(content), name), "year": "1998", "line_set": "", "says": "new hand line", **form}
        return client.post(
            f"/houses/{house.id}/old-pages", data={**given, "csrf_token": csrf(client)},
            content_type="multipart/form-data",
        )  # fmt: skip

    return post


def test_a_page_pinned_to_a_set_stands_on_its_page_as_unverified(
    client: FlaskClient, send: Callable[..., object], db: Database, settings: Settings, house: House
) -> None:
    first, second = list_line_sets(db, house.id)[:2]
    assert send(a_photo(), line_set=first.id).status_code == 303  # type: ignore[attr-defined]
    assert send(b"%PDF-1.4 scan", "log.pdf").status_code == 303  # type: ignore[attr-defined]
    page = client.get(f"/houses/{house.id}/line-sets/{first.id}/").text
    assert f'<span class="state-word">{UNVERIFIED}</span>' in page
    assert "new hand line" in page
    assert "new hand line" not in client.get(f"/houses/{house.id}/line-sets/{second.id}/").text
    assert [one.line_set for one in old_pages(db, house.id)] == [first.id, None]
    assert len(old_pages(db, house.id, first.id)) == 1
    picture = client.get(f"/houses/{house.id}/old-pages/{old_pages(db, house.id, first.id)[0].id}/thumb")
    assert (picture.status_code, picture.mimetype) == (200, "image/jpeg")
    assert any("all 2" in check.says for check in verify_data(db, settings.data).checks if "old pages" in check.says)


@pytest.mark.parametrize("name", ["log 1998.pdf", "Übersicht – 舞台 “alt”.pdf", "İ.pdf"])
def test_a_file_goes_out_under_its_own_name_in_plain_ascii_headers(
    client: FlaskClient, send: Callable[..., object], db: Database, house: House, name: str
) -> None:
    assert send(b"%PDF-1.4 scan", name).status_code == 303  # type: ignore[attr-defined]
    (page,) = old_pages(db, house.id)
    answer = client.get(f"/houses/{house.id}/old-pages/{page.id}/file")
    told = answer.headers["Content-Disposition"]
    assert told.isascii()
    kind, names = parse_options_header(told)
    assert (kind, names["filename"]) == ("attachment", page.name)
    assert page.name == name


def test_a_page_starts_no_clock_and_enters_no_trend(send: Callable[..., object], db: Database, house: House) -> None:
    before = {t: db.execute(f"SELECT count(*) FROM {t}").fetchone() for t in ("look", "measure", "point_clock")}
    send(a_photo(), line_set=list_line_sets(db, house.id)[0].id)
    assert before == {t: db.execute(f"SELECT count(*) FROM {t}").fetchone() for t in before}


@pytest.mark.parametrize(
    ("content", "form", "words"),
    [
        (b"MZ not a picture", {}, "no PDF, JPEG or PNG"),
        (b"\xff\xd8\xff\xe0 broken", {}, "cannot be read whole"),
        (None, {"year": "98"}, "four digits"),
        (None, {"year": "2999"}, "A year from"),
        (None, {"line_set": "0198a000-0000-7000-8000-000000000000"}, "Not a valid choice"),
    ],
)
def test_a_mistake_is_said_and_nothing_is_kept(
    send: Callable[..., object], db: Database, house: House, content: bytes | None, form: dict[str, str], words: str
) -> None:
    answer = send(content if content is not None else a_photo(), **form)
    assert answer.status_code == 422  # type: ignore[attr-defined]
    assert words in answer.text  # type: ignore[attr-defined]
    assert old_pages(db, house.id) == []


def test_a_page_pinned_wrongly_is_taken_back_with_a_reason_and_kept(
    client: FlaskClient, send: Callable[..., object], csrf: Callable[[FlaskClient], str], db: Database, house: House
) -> None:
    send(a_photo())
    (page,) = old_pages(db, house.id)
    path = f"/houses/{house.id}/old-pages/{page.id}/withdraw"
    client.post(path, data={"reason": " ", "csrf_token": csrf(client)})
    assert len(old_pages(db, house.id)) == 1
    client.post(path, data={"reason": "other house", "csrf_token": csrf(client)})
    assert old_pages(db, house.id) == []
    assert [one.withdrawn for one in old_pages(db, house.id, withdrawn=True)] == ["other house"]


def test_a_helper_may_add_a_page_and_not_take_one_back(
    client: FlaskClient, sign_in: Callable[..., object], house: House
) -> None:
    sign_in(client, Role.HELPER)
    page = client.get(f"/houses/{house.id}/old-pages").text
    assert "Keep the page" in page
    assert "Pinned wrongly" not in page


@pytest.mark.parametrize("text", ["", "nine", "1899", "2027", "-200", "２０２０"])
def test_a_year_that_cannot_be_is_refused(text: str) -> None:
    with pytest.raises(BadValue):
        read_year(text, 2026)
