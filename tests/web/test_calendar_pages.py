"""Today, the year, blackouts, re-looks, intervals, and how the calendar goes out: the pages as people use them."""

import io
import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.web import calendar_cache
from tests.walk_builder import BuiltWalk

TODAY = clock.now().date()
SHOW = TODAY + timedelta(days=40)
ICS = (
    "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:x\r\nBEGIN:VEVENT\r\nUID:1\r\nSUMMARY:Gala <b>night</b>\r\n"
    f"DTSTART;VALUE=DATE:{SHOW:%Y%m%d}\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:Broken\r\nDTSTART:x\r\nEND:VEVENT\r\n"
    "END:VCALENDAR\r\n"
)
Csrf = Callable[[FlaskClient], str]


@pytest.fixture
def at(house: House) -> str:
    return f"/houses/{house.id}"


@pytest.fixture
def post(client: FlaskClient, csrf: Csrf) -> Callable[..., object]:
    return lambda path, **fields: client.post(path, data={"csrf_token": csrf(client), **fields})


def test_whoever_signs_in_to_one_house_sees_today_first(client: FlaskClient, sign_in, at: str) -> None:
    sign_in(client, Role.HELPER)
    assert client.get("/").headers["Location"] == f"{at}/today/"


def test_today_tells_what_is_stopped_and_what_waits_for_whom(
    client: FlaskClient, sign_in, at: str, db: Database, settings: Settings, house: House
) -> None:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("LB 1-1", "stop_use", note="flange cracked")
    walk.close()
    sign_in(client, Role.TD)
    page = client.get(f"{at}/today/").text
    assert "flange cracked" in page
    main = page[page.index("<main") :]
    assert main.index("Out of use") < main.index("Search everything") < main.index("Waits for you")
    assert main.index("Waits for you") < main.index("Never recorded")
    assert f"{at}/walks/{walk.id}" in page
    sign_in(client, Role.HELPER)
    page = client.get(f"{at}/today/").text
    assert page.index("Waits for others") < page.index("reviewed and signed")
    assert "Waits for you" not in page


def test_a_page_made_anew_shows_what_changed_since(client: FlaskClient, sign_in, post, at: str) -> None:
    calendar_cache.forget_all()
    sign_in(client, Role.TD)
    first = client.get(f"{at}/calendar/").text
    assert "No rule set is chosen" in first
    assert post(f"{at}/intervals/rules", what="set:us", applies="yes").status_code == 303
    assert "No rule set is chosen" not in client.get(f"{at}/calendar/").text
    shown = client.get(f"{at}/intervals/").text
    assert "binds this house" in shown
    refused = post(f"{at}/intervals/rules", what="set:us", applies="no", reason="")
    assert refused.status_code == 303
    assert "Say why it does not apply" in client.get(f"{at}/intervals/").text
    assert "binds this house" in client.get(f"{at}/intervals/").text


def test_a_blackout_is_typed_listed_and_taken_out(client: FlaskClient, sign_in, post, at: str) -> None:
    sign_in(client, Role.MANAGER)
    wrong = post(f"{at}/blackouts/add", first=str(SHOW), last=str(TODAY), why="Tour of the house")
    assert wrong.status_code == 422
    assert "before the first" in wrong.text
    assert 'value="Tour of the house"' in wrong.text, "what was typed is still there"
    assert post(f"{at}/blackouts/add", first=str(SHOW), last="", why="Tour of the house").status_code == 303
    page = client.get(f"{at}/blackouts/").text
    assert "Tour of the house" in page
    assert "Tour of the house" in client.get(f"{at}/calendar/").text
    end = re.search(r'action="([^"]+/blackouts/[0-9a-f-]{36}/end)"', page)
    assert end
    assert post(end.group(1)).status_code == 303
    assert "Tour of the house" not in client.get(f"{at}/blackouts/").text.split("From today on")[1]


def test_a_calendar_file_is_read_and_what_was_left_out_is_named(
    client: FlaskClient, sign_in, csrf: Csrf, at: str
) -> None:
    sign_in(client, Role.MANAGER)

    def send(data: bytes, name: str) -> object:
        fields = {"csrf_token": csrf(client), "file-file": (io.BytesIO(data), name)}
        return client.post(f"{at}/blackouts/import", data=fields, content_type="multipart/form-data")

    page = send(ICS.encode(), "season.ics")
    assert (page.status_code, "Broken: " in page.text) == (200, True)
    assert "Gala &lt;b&gt;night&lt;/b&gt;" in page.text
    for data, name, says in (
        (b"%PDF-1.7", "season.pdf", "no calendar file"),
        (b"", "empty.ics", "Choose a file"),
    ):
        bad = send(data, name)
        assert bad.status_code == 422
        assert says in bad.text
    assert "Gala" in client.get(f"{at}/blackouts/").text, "a bad file takes nothing out"


def test_a_re_look_is_asked_moved_and_taken_back(client: FlaskClient, sign_in, post, at: str) -> None:
    sign_in(client, Role.INSPECTOR)
    unknown = post(f"{at}/relooks/ask", part="LB 99-9", look_on=str(SHOW), way="seen_close", reason="x")
    assert (unknown.status_code, "no part with this tag" in unknown.text) == (422, True)
    assert (
        post(f"{at}/relooks/ask", part="lb 1-1", look_on=str(SHOW), way="handled", reason="new sheave").status_code
        == 303
    )
    page = client.get(f"{at}/relooks/").text
    assert "with hands on: new sheave" in page
    move = re.search(r'action="([^"]+/move)"', page)
    assert move
    later = str(SHOW + timedelta(days=3))
    post(move.group(1), look_on=later, reason="on tour")
    assert later in client.get(f"{at}/relooks/").text
    post(move.group(1), end="yes", reason="block taken out")
    assert "Taken back" in client.get(f"{at}/relooks/").text


def test_an_address_is_shown_once_and_ended(client: FlaskClient, sign_in, post, at: str) -> None:
    sign_in(client, Role.HELPER)
    made = post(f"{at}/calendar/addresses", **{"link-label": "my phone"})
    assert (made.status_code, made.headers["Cache-Control"]) == (200, "no-store")
    address = re.search(r'value="(http://localhost/calendar/[\w-]+\.ics)"', made.text)
    assert address
    path = address.group(1).removeprefix("http://localhost")
    assert client.get(path).mimetype == "text/calendar"
    page = client.get(f"{at}/calendar/out").text
    assert address.group(1) not in page
    end = re.search(r'action="([^"]+/end)"', page)
    assert end
    post(end.group(1))
    assert client.get(path).status_code == 404
    file = client.get(f"{at}/calendar.ics")
    assert file.headers["Content-Disposition"] == 'attachment; filename="walks.ics"'


def test_the_digest_is_asked_for_by_each_person(client: FlaskClient, sign_in, post, at: str) -> None:
    sign_in(client, Role.HELPER)
    assert "Mail is off" in client.get(f"{at}/calendar/out").text
    assert post(f"{at}/calendar/digest", **{"digest-address": "nonsense"}).status_code == 422
    assert post(f"{at}/calendar/digest", **{"digest-address": "kit@mill.example"}).status_code == 303
    assert "kit@mill.example" in client.get(f"{at}/calendar/out").text
    post(f"{at}/calendar/digest", stop="yes")
    sign_in(client, Role.HELPER)
    assert "kit@mill.example" not in client.get(f"{at}/calendar/out").text


def test_an_interval_of_the_house_is_set_changed_and_taken_out_of_use(
    client: FlaskClient, sign_in, post, at: str
) -> None:
    sign_in(client, Role.TD)
    bad = post(f"{at}/intervals/new", checklist="grid-quarterly", interval="monthly", reason="use")
    assert (bad.status_code, "not an interval" in bad.text) == (422, True)
    assert post(f"{at}/intervals/new", checklist="grid-quarterly", interval="p2m", reason="use").status_code == 303
    page = client.get(f"{at}/intervals/").text
    assert "every 2 months" in page
    edit = re.search(r'href="([^"]+/intervals/[0-9a-f-]{36})"', page)
    assert edit
    assert 'value="P2M"' in client.get(edit.group(1)).text
    post(edit.group(1), checklist="grid-quarterly", interval="P1M", reason="salt air", late_days="3")
    assert "every 1 month" in client.get(f"{at}/intervals/").text
    post(f"{edit.group(1)}/end")
    assert "salt air" not in client.get(f"{at}/intervals/").text
    days = post(f"{at}/intervals/days", **{"days-weekdays": ["0", "1"], "days-watched": "P1M"})
    assert days.status_code == 303
    assert 'value="P1M"' in client.get(f"{at}/intervals/").text


def test_an_examination_by_others_is_entered(client: FlaskClient, sign_in, post, at: str) -> None:
    sign_in(client, Role.TD)
    post(f"{at}/intervals/rules", what="set:de", applies="yes")
    fields = {"paper-rule": "de-expert-four-yearly", "paper-examiner": "K. Rieger", "paper-paper": "report 7"}
    ahead = post(f"{at}/intervals/examinations", **fields, **{"paper-held_on": str(SHOW)})
    assert (ahead.status_code, "lies ahead" in ahead.text) == (422, True)
    assert post(f"{at}/intervals/examinations", **fields, **{"paper-held_on": "2025-03-01"}).status_code == 303
    assert "K. Rieger" in client.get(f"{at}/intervals/").text
    assert "2029-03-01" in client.get(f"{at}/calendar.ics").text.replace("20290301", "2029-03-01")
