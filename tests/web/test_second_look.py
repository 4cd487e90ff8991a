"""Pages of second looks, and what the walk pages say of them and of countersignatures."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.web import static_files
from tests.walk_builder import BuiltWalk, Phone, add_person


@pytest.fixture
def drawn(db: Database, settings: Settings, house: House, monkeypatch: pytest.MonkeyPatch) -> BuiltWalk:
    """A signed walk of today with two entries, both drawn."""
    monkeypatch.setattr("inspect_app.actions.second_look.percent_of", lambda settings: "100")
    walk = BuiltWalk(db, settings, house)
    walk.at = clock.now()
    walk.open()
    walk.look("HB 1")
    walk.look("LB 1-1")
    walk.close()
    walk.sign()
    return walk


def test_the_list_names_parts_and_points_but_not_what_was_answered(
    client: FlaskClient, sign_in: Callable[..., object], house: House, drawn: BuiltWalk
) -> None:
    sign_in(client, Role.HELPER)
    page = client.get(f"/houses/{house.id}/second-looks").text
    assert "HB 1: head block" in page
    assert "Not by Ines Halloran" in page
    assert "no finding" not in page.lower()
    assert "How often two people said the same" not in page  # for those who sign
    assert 'name="percent"' not in page


def test_the_walk_page_of_a_phone_shows_nobodys_earlier_answer() -> None:
    """The pack has the last look at each part; were a screen to show it, the second look would not be blind."""
    scripts = sorted(Path(static_files.__file__).parent.glob("static/js/field/*.js"))
    assert len(scripts) > 20
    shown = [one.name for one in scripts if re.search(r"[\w\])]\??\.last\b", one.read_text())]
    assert shown == []


def test_those_who_sign_see_agreement_draws_and_share(
    client: FlaskClient, sign_in: Callable[..., object], house: House, drawn: BuiltWalk
) -> None:
    sign_in(client, Role.TD)
    page = client.get(f"/houses/{house.id}/second-looks").text
    assert "Nothing has been compared yet." in page
    assert "Drawn again just now, with the same result." in page
    assert "There is no figure for each person" in page
    assert "Second looks wanted</a> at 2 parts" in client.get(f"/houses/{house.id}/walks").text


def test_the_share_is_set_and_a_wrong_one_is_said_beside_its_field(
    client: FlaskClient, sign_in: Callable[..., object], csrf: Callable[[FlaskClient], str], house: House
) -> None:
    sign_in(client, Role.TD)
    path = f"/houses/{house.id}/second-looks"
    wrong = client.post(path, data={"percent": "many", "csrf_token": csrf(client)})
    assert wrong.status_code == 422
    assert 'value="many"' in wrong.text
    assert "0 draws nothing." in wrong.text
    assert client.post(path, data={"percent": "3,5", "csrf_token": csrf(client)}).status_code == 303
    assert 'value="3.5"' in client.get(path).text


def test_a_helper_reads_that_the_entries_count_after_a_countersignature(
    client: FlaskClient, sign_in: Callable[..., object], db: Database, settings: Settings, house: House
) -> None:
    helper = sign_in(client, Role.HELPER)
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.look("HB 1", phone=Phone(db, house, helper, "Helper phone"))  # type: ignore[arg-type]
    page = client.get(f"/houses/{house.id}/walks/{walk.id}").text
    assert "What you recorded as a helper is kept and waits for a" in page
    review = client.get(f"/houses/{house.id}/walks/{walk.id}/review").text
    assert "This is your own work." in review
    other = add_person(db, house, "Tom Quill", Role.TD)
    assert other.id not in review


def test_the_director_is_told_that_a_stretch_waits(
    client: FlaskClient, sign_in: Callable[..., object], db: Database, settings: Settings, house: House
) -> None:
    sign_in(client, Role.TD)
    helper = add_person(db, house, "Kit Moss", Role.HELPER)
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.look("HB 1", phone=Phone(db, house, helper, "Helper phone"))
    assert "1 stretch recorded by helpers" in client.get(f"/houses/{house.id}/walks/{walk.id}").text
    review = client.get(f"/houses/{house.id}/walks/{walk.id}/review").text
    assert "it counts only when a technical director or a qualified inspector" in review


def test_the_desk_form_of_the_next_walk_asks_for_the_second_look(
    client: FlaskClient, sign_in: Callable[..., object], house: House, drawn: BuiltWalk
) -> None:
    sign_in(client, Role.TD)
    drawn.id, drawn.sent = clock.new_id(), {}
    drawn.open()
    page = client.get(f"/houses/{house.id}/walks/{drawn.id}")
    assert "Second looks wanted on this walk" in page.text
    base = f"/houses/{house.id}/walks/{drawn.id}/desk"
    places = client.get(base, follow_redirects=True).text
    assert "Type in a paper form" in places
    stretches = sorted(set(re.findall(rf'href="({base}/form[^"]*)"', places)))
    assert stretches
    shown = [client.get(one.replace("&amp;", "&")).text for one in stretches]
    assert any("A second look is wanted here" in text for text in shown)
