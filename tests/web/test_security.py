"""Form tokens, headers and hostile requests, over the whole route map."""

import re
import time
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from inspect_app import clock
from inspect_app.domain.role import PERMISSIONS, Role
from inspect_app.web import create_app
from inspect_app.web.security import CONTENT_SECURITY_POLICY, HEADERS
from tests.answer_headers import faulty_headers

pytestmark = pytest.mark.usefixtures("papers_left_out")

WEB = Path(__file__).parent.parent.parent / "inspect_app" / "web"
TEMPLATES = sorted(WEB.rglob("*.html"))
SCRIPTS = sorted(WEB.rglob("*.js"))


def a_role_for(route) -> Role:
    return sorted(PERMISSIONS.get(route.permission, {Role.ADMIN}))[0]


ATTACKS = {
    "no token": ("", {}),
    "wrong token": ("IjEyMyI.abc.def", {}),
    "token of another session": (None, {}),
    "page of another site": (None, {"Sec-Fetch-Site": "cross-site"}),
    "page of a sister site": (None, {"Sec-Fetch-Site": "same-site"}),
    "foreign origin": (None, {"Origin": "https://elsewhere.example"}),
    "hidden origin": (None, {"Origin": "null"}),
}


@pytest.mark.parametrize("attack", ATTACKS)
def test_a_forged_change_is_refused_on_every_route_and_changes_nothing(
    attack: str, newcomer, routes, address, ask, content, house, sign_in, csrf, signed_in_as
) -> None:
    stranger = newcomer()
    sign_in(stranger, Role.ADMIN)
    foreign = csrf(stranger)
    wrong, clients = [], set()
    for route in routes:
        if not route.changes or route.permission == "device":
            continue
        client, person, good = signed_in_as(a_role_for(route))
        clients.add((client, good))
        token, headers = ATTACKS[attack]
        if token is None:
            token = foreign if attack == "token of another session" else good
        path, before = address(route, house, person, kept=True), content()
        response = ask(client, route, path, token=token, headers=headers)
        if response.status_code not in (400, 403) or content() != before:
            wrong.append((route.name, response.status_code))
    assert not wrong
    for client, good in clients:  # what was refused was the attack and not a session that had ended
        assert client.post("/theme", data={"csrf_token": good, "theme": "dark"}).status_code == 303
        assert client.get("/account").status_code == 200


def test_cookies_do_nothing_on_routes_of_devices(routes, address, ask, content, house, signed_in_as) -> None:
    client, person, token = signed_in_as(Role.TD)
    for route in routes:
        if route.permission == "device":
            path, before = address(route, house, person, kept=True), content()
            assert ask(client, route, path, token=token).status_code == 401, route.name
            assert content() == before


def test_a_form_left_open_for_a_day_can_still_be_sent(client, house, sign_in, csrf, clock_at, monkeypatch) -> None:
    start = clock.now()
    sign_in(client, Role.ADMIN)
    token = csrf(client)
    for hours in (8, 16, 24):  # other pages are used meanwhile, or the session would end
        clock_at(start + timedelta(hours=hours))
        assert client.get("/account").status_code == 200
    later = time.time() + 25 * 3600  # the clock that dates the token itself
    monkeypatch.setattr("itsdangerous.timed.time.time", lambda: later)
    form = {"csrf_token": token, "name": "Alex Doe", "roles": "helper"}
    response = client.post(f"/houses/{house.id}/members/", data=form)
    assert response.status_code == 200
    assert "One-time code for Alex Doe" in response.text


def test_every_answer_carries_the_headers(newcomer, routes, address, ask, house, sign_in, csrf) -> None:
    """What members get on the pages of a house is looked at in test_access.py, for every role."""
    wrong = []
    nobody, member = newcomer(), newcomer()
    person, token = sign_in(member, Role.ADMIN), csrf(nobody)
    for route in routes:
        answers = {"nobody": ask(nobody, route, address(route, house, person, kept=True), token=token)}
        if route.permission not in PERMISSIONS:
            own = newcomer()
            answers["member"] = ask(own, route, address(route, house, sign_in(own, Role.ADMIN)))
        wrong += [(route.name, who, bad) for who, answer in answers.items() if (bad := faulty_headers(route, answer))]
    assert not wrong


def test_errors_carry_the_headers_too(app, client) -> None:
    app.view_functions["auth.code"] = _broken
    answers = {
        404: client.get("/nowhere"),
        405: client.put("/sign-in"),
        400: client.post("/sign-in", data={"username": "x"}),
        413: client.post("/sign-in", data=b"x" * (17 * 1024 * 1024), content_type="text/plain"),
        500: client.get("/code"),
    }
    for status, response in answers.items():
        assert response.status_code == status
        assert {name: response.headers.get(name) for name in HEADERS} == HEADERS
        assert response.headers["Cache-Control"] == "no-store"
        assert "Traceback" not in response.text
        assert "RuntimeError" not in response.text


def _broken() -> str:
    raise RuntimeError("a fault in the program")


_broken.permission = "public"  # type: ignore[attr-defined]


def test_the_policy_allows_nothing_inline() -> None:
    assert "unsafe" not in CONTENT_SECURITY_POLICY
    assert CONTENT_SECURITY_POLICY.startswith("default-src 'none'")


def test_no_cross_origin_header_is_ever_sent(client) -> None:
    response = client.get("/sign-in", headers={"Origin": "https://elsewhere.example"})
    assert not [name for name, _ in response.headers if name.startswith("Access-Control-")]


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(WEB)))
def test_templates_hold_no_inline_script_or_style_and_always_escape(path: Path) -> None:
    text = path.read_text()
    assert not re.search(r"<script(?![^>]*\bsrc=)[^>]*>(?!\s*</script>)", text), "inline script"
    assert not re.search(r"<style\b", text), "inline style sheet"
    assert not re.search(r"\sstyle\s*=", text), "inline style"
    assert not re.search(r"\son[a-z]+\s*=\s*[\"']", text), "inline handler"
    assert not re.search(r"\|\s*safe\b|autoescape\s+false|javascript:", text), "unescaped text"


@pytest.mark.parametrize("path", SCRIPTS, ids=lambda path: path.name)
def test_scripts_never_build_markup_from_text(path: Path) -> None:
    text = path.read_text()
    assert not re.search(r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\(|new Function\(", text)
    assert not re.search(r"\.style\.|setAttribute\([\"']style", text), "styles come from the style sheet"


def test_python_never_marks_text_as_safe() -> None:
    for path in WEB.rglob("*.py"):
        assert not re.search(r"\bMarkup\(|render_template_string|shell=True", path.read_text()), path


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1.evil.example", "localhost.evil.example", "127.0.0.1@evil.example", ""]
)
def test_only_known_host_names_are_answered(client, host: str) -> None:
    assert client.get("/sign-in", headers={"Host": host}).status_code == 400


def test_known_hosts_are_answered_on_any_port(client) -> None:
    for host in ("127.0.0.1:8137", "localhost:8137", "[::1]:8137"):
        assert client.get("/code", headers={"Host": host}).status_code == 200


def test_forwarded_headers_count_only_behind_a_proxy(client) -> None:
    forged = {"X-Forwarded-Host": "evil.example", "X-Forwarded-Proto": "https", "X-Forwarded-For": "10.0.0.1"}
    response = client.get("/", headers=forged)
    assert "evil.example" not in response.headers["Location"]
    assert "Strict-Transport-Security" not in response.headers


@pytest.fixture
def proxied(settings):
    behind = replace(settings, proxies=1, secure_cookies=True, trusted_hosts=("grid.example",))
    return create_app(behind).test_client()


FORWARDED = {"X-Forwarded-Host": "grid.example", "X-Forwarded-Proto": "https", "X-Forwarded-For": "6.6.6.6, 10.0.0.7"}


def test_behind_a_proxy_its_word_counts_and_cookies_are_bound_to_the_host(proxied) -> None:
    response = proxied.get("/code", headers=FORWARDED)
    assert response.status_code == 200
    assert response.headers["Strict-Transport-Security"] == "max-age=31536000"
    cookie = response.headers["Set-Cookie"]
    assert cookie.startswith("__Host-messages=")
    assert {"Secure", "HttpOnly", "Path=/", "SameSite=Lax"} <= set(cookie.split("; "))
    assert "Domain" not in cookie
    assert proxied.get("/code", headers={**FORWARDED, "X-Forwarded-Host": "evil.example"}).status_code == 400


def test_over_tls_a_form_must_come_from_a_page_of_this_site(proxied) -> None:
    page = proxied.get("/code", headers=FORWARDED, base_url="https://grid.example").text
    form = {"csrf_token": re.search(r'name="csrf_token"[^>]*value="([^"]+)"', page)[1], "theme": "dark"}  # type: ignore[index]

    def send(referrer: str | None) -> int:
        headers = {**FORWARDED, **({"Referer": referrer} if referrer else {})}
        return proxied.post("/theme", data=form, headers=headers, base_url="https://grid.example").status_code

    assert send("https://grid.example/code") == 303
    assert send(None) == 400
    assert send("https://evil.example/code") == 400


HOSTILE = {
    "NUL in the address": lambda c: c.get("/static/%00"),
    "NUL in the query": lambda c: c.get("/sign-in?next=%00"),
    "bytes that are no text": lambda c: c.get("/%ff%fe/%c0%80"),
    "a very long address": lambda c: c.get("/" + "a/" * 30_000),
    "a path upwards": lambda c: c.get("/static/../../secret.key"),
    "a path upwards, encoded": lambda c: c.get("/static/%2e%2e/%2e%2e/auth.py"),
    "a cookie of nonsense": lambda c: c.get("/account", headers={"Cookie": "inspect-session=\xff\x00;;=;\u00e9"}),
    "a bad message cookie": lambda c: c.get("/code", headers={"Cookie": "inspect-messages=eyJ.x.y"}),
    "an odd method": lambda c: c.open("/sign-in", method="BREW"),
    "a broken form": lambda c: c.post(
        "/sign-in", data=b"--x\r\nnonsense", content_type="multipart/form-data; boundary=x"
    ),
    "no boundary": lambda c: c.post("/sign-in", data=b"zzz", content_type="multipart/form-data"),
    "an unknown charset": lambda c: c.post("/sign-in", data=b"a=b", content_type="text/plain; charset=none-such"),
    "deep JSON": lambda c: c.post("/sign-in", data=b"[" * 100_000, content_type="application/json"),
    "a length that is no number": lambda c: c.post("/sign-in", data=b"a=b", headers={"Content-Length": "-5"}),
    "an odd range": lambda c: c.get("/static/css/app.css", headers={"Range": "bytes=9999999999999999999-"}),
    "odd dates": lambda c: c.get("/static/css/app.css", headers={"If-Modified-Since": "x", "If-None-Match": '"'}),
    "a bearer of nonsense": lambda c: c.get("/account", headers={"Authorization": "Bearer \xff\xfe"}),
    "thousands of fields": lambda c: c.post("/sign-in", data={f"f{n}": "x" for n in range(5000)}),
}


@pytest.mark.parametrize("case", HOSTILE)
def test_no_bad_request_is_a_server_error(client, sign_in, case: str) -> None:
    for signed_in in (False, True):
        if signed_in:
            sign_in(client, Role.TD)
        response = HOSTILE[case](client)
        assert response.status_code < 500, response.text[:200]


@pytest.mark.parametrize(
    "text", ["a\x00b", "\ud800", "\u202e" * 50, "x" * 150_000, "9" * 400, "-1e999", "'; DROP TABLE x--"]
)
def test_odd_text_in_any_form_is_no_server_error(
    newcomer, routes, address, house, sign_in, csrf, signed_in_as, text: str
) -> None:
    quoted = _quote(text)
    body = "&".join(f"{name}={quoted}" for name in _field_names())
    kept = set()
    for route in routes:
        if not route.changes or route.permission == "device":
            continue
        if route.permission in PERMISSIONS:
            client, person, token = signed_in_as(a_role_for(route))
            kept.add(client)
        else:  # such as signing out
            client = newcomer()
            person, token = sign_in(client, Role.ADMIN), csrf(client)
        response = client.open(
            address(route, house, person),
            method=route.method,
            data=body,
            content_type="application/x-www-form-urlencoded",
            headers={"X-CSRF-Token": token},
        )
        assert response.status_code < 500, (route.name, response.text[:300])
    assert {client.get("/account").status_code for client in kept} == {200}  # nobody was signed out on the way


def _field_names() -> set[str]:
    found: set[str] = set()
    for path in WEB.glob("*.py"):
        found |= set(re.findall(r"^    (\w+) = \w*Field\(", path.read_text(), re.MULTILINE))
        found |= set(re.findall(r"request\.form(?:\.get|\.getlist)?[\[(][\"'](\w+)", path.read_text()))
    return found - {"csrf_token"}


def _quote(text: str) -> str:
    from urllib.parse import quote

    return quote(text.encode("utf-8", "surrogatepass"))


def test_static_files_are_kept_for_ever_by_digest_and_never_mixed(app, client) -> None:
    with app.test_request_context():
        from flask import url_for

        address = url_for("static", filename="css/app.css")
    assert "?v=" in address
    assert client.get(address).headers["Cache-Control"] == "public, max-age=31536000, immutable"
    assert client.get("/static/css/app.css?v=0123456789abcdef").status_code == 404
    plain = client.get("/static/css/app.css")
    assert plain.headers["Cache-Control"] == "no-cache"
    again = client.get("/static/css/app.css", headers={"If-None-Match": plain.headers["ETag"]})
    assert again.status_code == 304


def test_text_typed_by_a_person_comes_back_escaped(client, house, sign_in, csrf) -> None:
    sign_in(client, Role.ADMIN)
    nasty = "<script>alert(1)</script>\"'><img src=x onerror=alert(1)>"
    page = client.post(
        f"/houses/{house.id}/members/", data={"csrf_token": csrf(client), "name": nasty, "roles": "helper"}
    ).text
    assert "<script>alert" not in page
    assert "<img src=x" not in page
    assert "&lt;script&gt;" in page
