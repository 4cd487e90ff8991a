"""Who may open what, over the whole route map: every rule, method and role."""

import pytest
from flask import Flask
from flask.testing import FlaskClient

from inspect_app.domain.role import PERMISSIONS, Role, allows
from inspect_app.web import access, create_app
from inspect_app.web.access import OPEN_NAMES, permission
from tests.answer_headers import faulty_headers

pytestmark = pytest.mark.usefixtures("papers_left_out")


def test_every_variable_in_an_address_has_a_builder(routes, web_builders) -> None:
    missing = {name: route.rule.rule for route in routes for name in route.rule.arguments if name not in web_builders}
    assert not missing, f"add builders to tests/web/conftest.py for {missing}"


def test_every_route_declares_its_permission(routes) -> None:
    assert not [
        route.name for route in routes if route.permission not in PERMISSIONS and route.permission not in OPEN_NAMES
    ]


def test_a_route_without_a_permission_stops_the_program(settings) -> None:
    app = create_app(settings)
    app.add_url_rule("/forgotten", view_func=lambda: "")
    with pytest.raises(RuntimeError, match="declares no permission"):
        access.check_declared(app)


def test_a_permission_of_a_house_needs_the_house_in_the_address(settings) -> None:
    app = create_app(settings)
    app.add_url_rule("/walks", endpoint="walks", view_func=permission("walk.view")(lambda: ""))
    with pytest.raises(RuntimeError, match="must start with"):
        access.check_declared(app)


def test_an_unknown_permission_is_refused_where_it_is_written() -> None:
    with pytest.raises(ValueError, match="not in the table"):
        permission("walk.veiw")


def turned_away(route, response) -> bool:
    """Answered as to somebody who is not signed in."""
    if route.is_api:
        return response.status_code == 401
    return response.status_code == 303 and response.headers["Location"].startswith("/sign-in")


def test_nobody_and_the_disabled_see_only_what_is_public(
    newcomer, routes, address, ask, content, house, sign_in, csrf
) -> None:
    wrong = []
    for disabled in (False, True):
        visitor = newcomer()
        person = sign_in(visitor if disabled else newcomer(), Role.ADMIN, disabled=disabled)
        token = csrf(visitor)
        for route in routes:
            if route.permission == "public":
                visitor_of_page = newcomer()
                known = sign_in(visitor_of_page if disabled else newcomer(), Role.ADMIN, disabled=disabled)
                response = ask(visitor_of_page, route, address(route, house, known))
                fine = response.status_code < 500 and response.status_code not in (401, 403)
            else:
                path, before = address(route, house, person, kept=True), content()
                response = ask(visitor, route, path, token=token)
                shut = response.status_code == 401 if route.permission == "device" else turned_away(route, response)
                fine = shut and content() == before
            if not fine:
                wrong.append((route.name, "disabled" if disabled else "nobody", response.status_code))
    assert not wrong


@pytest.mark.parametrize("role", Role)
def test_each_role_may_do_what_the_table_says_and_nothing_else(
    role: Role, newcomer, routes, address, ask, content, house, sign_in, csrf, may_be_missing
) -> None:
    """And looking changes nothing, and every answer carries the headers.

    Who is refused or only looks does so from one session at the same objects; each change is tried by somebody new.
    """
    wrong = []
    client = newcomer()
    person, token = sign_in(client, role), csrf(client)
    for route in routes:
        if route.permission not in PERMISSIONS:
            continue
        allowed = allows(route.permission, {role})
        if allowed and route.changes:
            actor = newcomer()
            response = ask(actor, route, address(route, house, sign_in(actor, role)))
            changed = False  # as it may
        else:
            path, before = address(route, house, person, kept=True), content()
            response = ask(client, route, path, token=token)
            changed = content() != before and not (allowed and route.on_record)
        if allowed:
            refused = (401, 403) if may_be_missing(route) else (401, 403, 404)
            fine = response.status_code not in refused and response.status_code < 500
        else:
            fine = response.status_code == 403
        headers = faulty_headers(route, response)
        if not fine or changed or headers:
            wrong.append((route.name, role.value, response.status_code, "changed" * changed, headers))
    assert not wrong


def test_everyone_signed_in_may_open_the_pages_of_their_own(newcomer, routes, address, ask, house, sign_in) -> None:
    wrong = []
    for route in routes:
        if route.permission == "signed_in":
            client = newcomer()
            response = ask(client, route, address(route, house, sign_in(client, Role.HELPER)))
            if response.status_code in (401, 403) or response.status_code >= 500:
                wrong.append((route.name, response.status_code))
    assert not wrong


def test_a_member_of_one_house_gets_404_for_all_of_another(
    newcomer, routes, address, ask, content, house, other_house, sign_in, csrf
) -> None:
    wrong, client = [], newcomer()
    person, token = sign_in(client, Role.ADMIN, other_house), csrf(client)
    for route in routes:
        if route.permission in PERMISSIONS:
            path, before = address(route, house, person, kept=True), content()
            response = ask(client, route, path, token=token)
            if response.status_code != 404 or content() != before:
                wrong.append((route.name, response.status_code))
    assert not wrong


def test_objects_of_another_house_are_404_under_the_address_of_ones_own(
    signed_in_as, routes, address, ask, content, house, other_house, own_objects
) -> None:
    wrong = []
    for route in routes:
        if route.permission not in PERMISSIONS or not own_objects(route):
            continue
        client, person, token = signed_in_as(sorted(PERMISSIONS[route.permission])[0])
        path, before = address(route, house, person, foreign=other_house, kept=True), content()
        response = ask(client, route, path, token=token)
        if response.status_code != 404 or content() != before:
            wrong.append((route.name, response.status_code))
    assert not wrong


def test_a_device_reaches_its_own_house_only(
    newcomer, routes, address, ask, content, house, other_house, sign_in, pair, own_objects
) -> None:
    wrong = []
    for route in routes:
        if route.permission != "device":
            continue
        person = sign_in(newcomer(), Role.TD)
        _, bearer = pair(person)
        response = ask(newcomer(), route, address(route, house, person), bearer=bearer)
        if response.status_code in (401, 403, 404) or response.status_code >= 500:
            wrong.append((route.name, "own", response.status_code))
        if "house_id" in route.rule.arguments or own_objects(route):
            path, before = address(route, other_house, person), content()
            response = ask(newcomer(), route, path, bearer=bearer)
            fine = response.status_code == 404 or (route.named_by_phone and 400 <= response.status_code < 500)
            if not fine or content() != before:
                wrong.append((route.name, "other", response.status_code))
    assert not wrong


@pytest.mark.parametrize("end", ["revoked", "member no more", "disabled", "wrong token", "no token"])
def test_a_device_is_shut_out_at_once(end: str, newcomer, routes, address, ask, house, sign_in, pair, db) -> None:
    person = sign_in(newcomer(), Role.TD)
    _, bearer = pair(person)
    statement = {
        "revoked": "UPDATE device SET revoked_at = '2026-01-01T00:00:00.000+00:00'",
        "member no more": "UPDATE membership SET ended_at = '2026-01-01T00:00:00.000+00:00'",
        "disabled": "UPDATE account SET disabled_at = '2026-01-01T00:00:00.000+00:00'",
    }.get(end)
    if statement:
        db.execute(statement)
    if end == "wrong token":
        bearer = bearer[:-1] + ("A" if bearer[-1] != "A" else "B")
    given = "" if end == "no token" else bearer
    for route in routes:
        if route.permission == "device":
            response = ask(newcomer(), route, address(route, house, person), bearer=given)
            assert response.status_code == (404 if end == "member no more" else 401), route.name


def test_looking_at_what_is_of_no_house_changes_nothing(signed_in_as, routes, address, ask, content, house) -> None:
    """The pages of a house are looked at by every role above."""
    wrong = []
    for role in (Role.TD, Role.ADMIN):
        client, person, _ = signed_in_as(role)
        for route in routes:
            if route.changes or route.permission == "device" or route.permission in PERMISSIONS:
                continue
            path, before = address(route, house, person, kept=True), content()
            ask(client, route, path)
            if content() != before and not route.on_record:
                wrong.append((route.name, role.value))
    assert not wrong


def test_rights_withdrawn_count_from_the_next_request(client, house, sign_in, db) -> None:
    sign_in(client, Role.ADMIN)
    assert client.get(f"/houses/{house.id}/members/").status_code == 200
    db.execute("UPDATE membership SET ended_at = '2026-01-01T00:00:00.000+00:00'")
    assert client.get(f"/houses/{house.id}/members/").status_code == 404


def test_odd_ids_are_not_found(client, house, sign_in) -> None:
    sign_in(client, Role.ADMIN)
    for odd in ("x", "0", house.id.upper(), house.id.replace("-", ""), "%00", "%ff%fe", "..%2f", "a" * 4000):
        assert client.get(f"/houses/{odd}/members/").status_code in (404, 308, 422), odd
        assert client.get(f"/houses/{house.id}/members/{odd}").status_code in (404, 422), odd


def test_g_house_is_that_of_the_address(app: Flask, client: FlaskClient, house, other_house, sign_in) -> None:
    seen: list[object] = []

    @permission("house.view")
    def look(house_id: str) -> str:
        from flask import g

        seen.append((g.house.name, g.roles))
        return ""

    app.add_url_rule("/houses/<house_id>/look", view_func=look)
    sign_in(client, Role.HELPER, other_house)
    assert client.get(f"/houses/{other_house.id}/look").status_code == 200
    assert seen == [(other_house.name, frozenset({Role.HELPER}))]
