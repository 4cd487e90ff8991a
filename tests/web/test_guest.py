"""Read-only links: what a guest may open, over the whole route map, and how a link ends."""

import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.guest_link import VISIT, end_guest_link, make_guest_link
from inspect_app.domain.errors import BadValue, NotAllowed
from inspect_app.domain.house import House
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.role import PERMISSIONS, Role
from inspect_app.store.house import list_line_sets
from inspect_app.store.journal import list_journal
from inspect_app.web import guest_pass
from inspect_app.web.access import permission_of
from tests.conftest import token_in
from tests.walk_builder import BuiltWalk, add_person

NOW = datetime(2026, 3, 4, 12, tzinfo=UTC)


@pytest.fixture
def td(db: Database, house: House):
    return add_person(db, house, "Ines Halloran", Role.TD)


@pytest.fixture
def link(db: Database, house: House, td) -> Callable[..., tuple[str, str]]:
    def make(**fields: object) -> tuple[str, str]:
        given = {"guest": "Odo Brandt", "purpose": "annual inspection", "days": 30, "with_costs": False, **fields}
        made, secret = make_guest_link(db, at=clock.now(), actor=td.id, house=house.id, **given)
        return made.id, secret

    return make


def enter(client: FlaskClient, secret: str) -> FlaskClient:
    door = client.get(f"/guest/{secret}")
    assert door.status_code == 200
    response = client.post(f"/guest/{secret}", data={"csrf_token": token_in(door.text)})
    assert response.status_code == 303, response.text
    return client


@pytest.fixture
def guest(app: Flask, link) -> FlaskClient:
    return enter(app.test_client(), link()[1])


def test_every_page_of_the_list_only_reads_one_house(app: Flask) -> None:
    for rule in app.url_map.iter_rules():
        if rule.endpoint in guest_pass.PAGES:
            assert permission_of(app, rule.endpoint) in PERMISSIONS
            assert rule.rule.startswith("/houses/<house_id>/")
            assert rule.methods is not None
            assert rule.methods <= {"GET", "HEAD", "OPTIONS"}, rule.rule
    forbidden = re.compile(
        r"member|device|journal|calendar|settings|repair_paper|figures|export|original|download|held"
    )
    assert not [page for page in guest_pass.PAGES if forbidden.search(page)]


def test_a_guest_opens_the_pages_of_the_list_and_nothing_else(
    guest, routes, address, ask, content, house, td, may_be_missing
) -> None:
    wrong = []
    for route in routes:
        path, before = address(route, house, td, kept=True), content()  # a guest changes nothing, so objects may stay
        response = ask(guest, route, path, token="" if route.changes else None)
        status, listed = response.status_code, route.rule.endpoint in guest_pass.PAGES
        if route.rule.endpoint in guest_pass.OPEN_POSTS or (route.permission == "public" and not route.changes):
            fine = status < 500
        elif listed and not route.changes:
            fine = status in (200, 303, 304) or (status == 404 and (may_be_missing(route) or _draft(route)))
            fine = fine or (
                status == 409 and route.rule.endpoint in ("report.filed", "hand_over.filed_pdf", "hand_over.filed_zip")
            )
        elif route.permission == "device":
            fine = status == 401  # takes no cookie at all
        else:
            fine = status in (404, 405)
        if not fine or content() != before:
            wrong.append((route.name, status))
    assert not wrong


def _draft(route) -> bool:
    """A walk of the builders is not signed: it and the draft of its report are not for a guest."""
    return route.rule.endpoint in ("report.pdf", "walk.one")


def test_a_guest_reads_a_signed_walk_and_no_open_one(app: Flask, db: Database, settings, house: House, guest) -> None:
    walk = BuiltWalk(db, settings, house)
    walk.open()
    walk.finding("LB 1-1")
    walk.close()
    page = f"/houses/{house.id}/walks/{walk.id}"
    assert [guest.get(page).status_code, guest.get(f"{page}/report.pdf").status_code] == [404, 404]
    assert "not signed yet" in guest.get(page).text, "the link still works: what leads here must not say it ended"
    walk.sign()
    assert "signed and sealed" in guest.get(page).text
    assert guest.get(f"{page}/review").status_code == 404


def test_a_guest_is_led_to_the_story_of_a_set_from_its_page_and_to_no_form(db: Database, house: House, guest) -> None:
    path = f"/houses/{house.id}/line-sets/{list_line_sets(db, house.id)[0].id}/"
    page = guest.get(path).text
    for rest in ("story", "history"):
        assert f'href="{path}{rest}"' in page
        assert guest.get(f"{path}{rest}").status_code == 200
    assert "Stop this set" not in page
    assert "Something happened" not in page


def test_no_page_leads_a_guest_to_what_is_not_theirs(app: Flask, guest, address, routes, house, td) -> None:
    places = app.url_map.bind("localhost")
    checked = 0
    for route in routes:
        if route.rule.endpoint in guest_pass.PAGES and "pdf" not in route.rule.rule:
            response = guest.get(address(route, house, td, kept=True))
            if response.mimetype != "text/html" or response.status_code != 200:
                continue
            for link in re.findall(r'<a\b[^>]*href="(/[^"#?]*)', response.text):
                endpoint = places.match(link, method="GET")[0]
                assert endpoint in guest_pass.PAGES, (route.name, link)
                checked += 1
            forms = re.findall(r'<form[^>]*method="post"[^>]*action="([^"]*)', response.text)
            assert set(forms) <= {"/guest/visit/end", "/theme"}, route.name
    assert checked > 50


def test_a_guest_of_one_house_gets_404_for_all_of_another(
    guest, routes, address, ask, content, house, other_house, td, own_objects
) -> None:
    wrong = []
    for route in routes:
        if route.permission not in PERMISSIONS:
            continue
        for foreign in (False, True):
            if foreign and not own_objects(route):
                continue
            where = (house, td, other_house) if foreign else (other_house, td)
            path, before = address(route, *where, kept=True), content()
            response = ask(guest, route, path, token="" if route.changes else None)
            if response.status_code not in (404, 405) or content() != before:
                wrong.append((route.name, foreign, response.status_code))
    assert not wrong


def refused(client: FlaskClient, path: str) -> str:
    response = client.get(path)
    assert response.status_code == 404
    return re.sub(r'(value|name="back")[^>]*', "", response.text)


@pytest.mark.parametrize("how", ["expired", "revoked", "altered", "maker left", "maker closed"])
def test_a_link_that_does_not_hold_any_more_gets_nothing(
    how: str, app: Flask, db: Database, house: House, td, link, clock_at
) -> None:
    clock_at(NOW)
    made, secret = link(days=2)
    visitor = enter(app.test_client(), secret)
    page = f"/houses/{house.id}/restrictions"
    assert visitor.get(page).status_code == 200
    if how == "expired":
        clock_at(NOW + timedelta(days=2))
    elif how == "revoked":
        end_guest_link(db, at=NOW, actor=td.id, house=house.id, link=made)
    elif how == "maker left":
        db.execute("UPDATE membership SET ended_at = '2026-01-01T00:00:00.000+00:00'")
    elif how == "maker closed":
        db.execute("UPDATE account SET disabled_at = '2026-01-01T00:00:00.000+00:00'")
    else:
        secret = secret[:-1] + ("A" if secret[-1] != "A" else "B")
        visitor.set_cookie("inspect-guest", "x" + secret)
    rows = len(list(list_journal(db)))
    pages = {refused(visitor, page), refused(visitor, f"/houses/{house.id}/members/")}
    pages |= {refused(app.test_client(), f"/guest/{secret}"), refused(app.test_client(), f"/guest/{'x' * 900}")}
    assert len(pages) == 1
    token = app.test_client()
    answer = token.post(f"/guest/{secret}", data={"csrf_token": token_in(token.get("/code").text)})
    assert answer.status_code == 404
    assert "Set-Cookie" not in answer.headers or "inspect-guest" not in answer.headers["Set-Cookie"]
    assert len(list(list_journal(db))) == rows


def test_a_visit_ends_by_itself_and_the_link_opens_another(
    app: Flask, db: Database, house: House, link, clock_at
) -> None:
    clock_at(NOW)
    _, secret = link()
    visitor = enter(app.test_client(), secret)
    clock_at(NOW + VISIT)
    assert visitor.get(f"/houses/{house.id}/restrictions").status_code == 404
    enter(visitor, secret)
    assert visitor.get(f"/houses/{house.id}/restrictions").status_code == 200


def test_each_visit_is_in_the_journal_and_only_digests_are_kept(app: Flask, db: Database, house: House, link) -> None:
    made, secret = link()
    app.test_client().get(f"/guest/{secret}")  # a preview of the address begins nothing
    assert [row.action for row in list_journal(db)].count("guest.visit") == 0
    clients = [enter(app.test_client(), secret) for _ in range(2)]
    rows = [row for row in list_journal(db) if row.action == "guest.visit"]
    assert [(row.actor, row.house) for row in rows] == [(made, house.id)] * 2
    visits = db.execute("SELECT id, link FROM guest_visit ORDER BY id").fetchall()
    assert {from_key(key) for key, _ in visits} == {row.items[0].id for row in rows}
    cookies = [client.get_cookie("inspect-guest") for client in clients]
    path = Path(db.execute("PRAGMA database_list").fetchone()[2])
    db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    dump = b"".join(file.read_bytes() for file in path.parent.glob("inspect.db*"))
    for word in (secret, *(cookie.value for cookie in cookies if cookie)):
        assert word.encode() not in dump


def test_the_cookie_and_the_address_tell_nobody(app: Flask, link) -> None:
    _, secret = link()
    client = app.test_client()
    door = client.get(f"/guest/{secret}")
    assert door.headers["Referrer-Policy"] == "strict-origin"
    assert door.headers["Cache-Control"] == "no-store"
    answer = client.post(f"/guest/{secret}", data={"csrf_token": token_in(door.text)})
    cookie = next(text for text in answer.headers.getlist("Set-Cookie") if text.startswith("inspect-guest="))
    assert "HttpOnly" in cookie
    assert "SameSite=Lax" in cookie
    assert "Max-Age" not in cookie
    assert "Expires" not in cookie
    assert secret not in cookie
    assert secret not in answer.headers["Location"]
    assert len(secret) >= 43  # 256 bits in base64


def test_a_post_to_enter_needs_the_form(app: Flask, db: Database, link) -> None:
    _, secret = link()
    assert app.test_client().post(f"/guest/{secret}").status_code == 400
    assert not db.execute("SELECT count(*) FROM guest_visit").fetchone()[0]


@pytest.mark.parametrize("with_costs", [False, True])
def test_amounts_are_shown_only_by_a_link_with_costs(
    with_costs: bool, app: Flask, db: Database, house: House, td, link, web_builders
) -> None:
    deficiency = web_builders["deficiency_id"](db, house, td)
    db.execute(
        "INSERT INTO deficiency_cost(id, deficiency, kind, amount, currency, what, by, at) VALUES (?,?,?,?,?,?,?,?)",
        (*(to_key(clock.new_id()), to_key(deficiency), "estimate", "7231.50", "USD", "new block", to_key(td.id)),
         "2026-03-04T12:00:00.000+00:00"),
    )  # fmt: skip
    visitor = enter(app.test_client(), link(with_costs=with_costs)[1])
    page = visitor.get(f"/houses/{house.id}/deficiencies/{deficiency}").text
    assert ("Costs" in page) == with_costs
    assert bool(re.search(r"7[, ]?231", page)) == with_costs
    assert "csrf_token" in page  # of the colours of the screen
    assert not re.search(r'action="/houses/', page)


def test_links_are_made_listed_and_ended_by_who_may(client, db: Database, house: House, sign_in, csrf) -> None:
    sign_in(client, Role.MANAGER)
    at = f"/houses/{house.id}/guests"
    made = client.post(at, data={"csrf_token": csrf(client), "guest": "Odo", "purpose": "annual", "days": "10"})
    secret = re.search(r"/guest/([\w-]{43})", made.text)
    assert secret
    assert secret[1] not in client.get(at).text
    assert "Odo" in client.get(at).text
    for fields in ({"days": "181"}, {"days": "0"}, {"guest": " "}, {"purpose": ""}):
        sent = {"csrf_token": csrf(client), "guest": "Odo", "purpose": "annual", "days": "10", **fields}
        assert client.post(at, data=sent).status_code == 422
    key = from_key(db.execute("SELECT id FROM guest_link").fetchone()[0])
    assert client.post(f"{at}/{key}/end", data={"csrf_token": csrf(client)}).status_code == 303
    assert client.get(f"/guest/{secret[1]}").status_code == 404
    assert "No link is in use" in client.get(at).text
    assert [row.action for row in list_journal(db) if row.action.startswith("guest")] == ["guest.link", "guest.end"]


def test_the_rules_hold_below_the_page(db: Database, house: House, td) -> None:
    common = {"at": NOW, "house": house.id, "guest": "Odo", "purpose": "annual", "with_costs": False}
    for days in (0, 181, -1):
        with pytest.raises(BadValue):
            make_guest_link(db, actor=td.id, days=days, **common)
    for role in (Role.HELPER, Role.INSPECTOR):
        with pytest.raises(NotAllowed):
            make_guest_link(db, actor=add_person(db, house, "Sam", role).id, days=30, **common)
