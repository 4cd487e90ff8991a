"""The trust page, its file, and the answer to whoever comes by another name than the one address."""

import re
from dataclasses import replace

import pytest
from flask import Flask

from inspect_app import clock
from inspect_app.actions.lan import keep_certificates, read_authority
from inspect_app.domain.lan import LanAddress, vouched_for
from inspect_app.domain.role import Role
from inspect_app.web import create_app
from inspect_app.web.trust import plain_files

ADDRESS = LanAddress("grid.local", 8137, 8138)
HERE = "https://grid.local:8137"


@pytest.fixture
def lan_app(settings) -> Flask:
    keep_certificates(settings, ADDRESS, vouched_for("grid.local", None), clock.now())
    return create_app(replace(settings, lan=ADDRESS, secure_cookies=True, trusted_hosts=("grid.local",)))


@pytest.fixture
def phone(lan_app):
    return lan_app.test_client()


def test_the_page_says_address_fingerprint_and_what_each_phone_needs(phone, settings) -> None:
    page = phone.get("/trust", base_url=HERE).text
    text = re.sub(r"<[^>]+>|\s+", "", page)
    assert read_authority(settings).fingerprint in text
    for words in ("https://grid.local:8137", "http://grid.local:8138/trust", "CertificateTrustSettings"):
        assert words in text
    for words in ("FirefoxforAndroid", "CAcertificate", "DNS-01"):
        assert words in text
    assert page.index("The better choice") < page.index("/trust/ca.crt")
    assert page.count("<svg") == 2


def test_the_file_is_the_certificate_alone(phone, settings) -> None:
    response = phone.get("/trust/ca.crt", base_url=HERE)
    assert response.mimetype == "application/x-x509-ca-cert"
    assert response.data == read_authority(settings).der
    assert b"PRIVATE" not in response.data


def test_without_a_house_network_there_is_nothing_to_trust(client) -> None:
    for path in ("/trust", "/trust/ca.crt"):
        assert client.get(path).status_code == 404


@pytest.mark.parametrize("host", ["192.168.7.20:8137", "other.local", "localhost:8137", "127.0.0.1", "grid.local.evil"])
@pytest.mark.parametrize("path", ["/", "/walk", "/walk-worker.js", "/sign-in", "/set-up", "/nowhere"])
def test_under_another_name_a_page_says_where_to_go_and_nothing_starts(phone, host: str, path: str) -> None:
    response = phone.get(path, base_url=f"https://{host}")
    assert response.status_code == 421
    assert 'href="https://grid.local:8137/"' in response.text
    assert "<form" not in response.text
    assert "<script" not in response.text
    assert "Set-Cookie" not in response.headers


def test_under_another_name_nothing_is_recorded(phone, db, house, sign_in) -> None:
    sign_in(phone, Role.TD)
    rows = db.execute("SELECT count(*) FROM device").fetchone()
    for path in ("/api/v1/devices", "/api/v1/entries"):
        response = phone.post(path, json={"house": house.id, "label": "x", "entries": []}, base_url="https://a.local")
        assert response.status_code == 421
        assert response.json["error"] == "misdirected"
        assert "https://grid.local:8137" in response.json["message"]
    assert db.execute("SELECT count(*) FROM device").fetchone() == rows


def test_the_page_of_another_name_still_has_its_style_and_the_way_to_trust(phone) -> None:
    page = phone.get("/walk", base_url="https://192.168.7.20:8137").text
    style = re.search(r'href="(/static/css/app\.css[^"]*)"', page)
    assert style
    for path in (style[1], "/trust", "/trust/ca.crt"):
        assert phone.get(path, base_url="https://192.168.7.20:8137").status_code == 200


def test_cookies_are_bound_to_tls_and_no_browser_is_held_to_it_for_ever(phone) -> None:
    """A phone must reach the plain page again when it has to trust a new authority."""
    response = phone.get("/code", base_url=HERE)
    assert response.headers["Set-Cookie"].startswith("__Host-messages=")
    assert "Secure" in response.headers["Set-Cookie"]
    assert "Strict-Transport-Security" not in response.headers


def test_the_plain_page_leads_only_to_what_the_plain_listener_has(lan_app, settings) -> None:
    files = plain_files(lan_app, replace(settings, lan=ADDRESS))
    kind, page = files["/trust"]
    assert kind.startswith("text/html")
    assert "This page is not encrypted" in page.decode()
    targets = set(re.findall(r'(?:href|src)="(/[^"]*)"', page.decode()))
    assert {target.partition("?")[0] for target in targets} == {
        "/trust/ca.crt",
        "/static/css/app.css",
        "/static/icon.svg",
    }
    assert {target.partition("?")[0] for target in targets} <= set(files)
    for never in (b"<form", b"<script", b"<input", b"csrf"):
        assert never not in page
