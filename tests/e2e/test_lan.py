"""Chromium on the house's own network: what a phone that trusts the authority may do, and what a stolen key may not."""

import contextlib
import http.server
import os
import ssl
import subprocess
import sys
import threading
from collections.abc import Iterator
from ipaddress import IPv4Address
from pathlib import Path
from typing import NamedTuple

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import BrowserContext, Error, Page, Playwright

from inspect_app import clock
from inspect_app.domain.lan import Vouched
from inspect_app.output.certificate import make_leaf
from tests.e2e.conftest import CHROMIUM, DESK, FLAGS, PASSWORD, PHONE, ROOT, make_world, no_noise
from tests.test_lan import await_port, two_free_ports

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("lan")]

NAME = "grid.local"
OTHERS = ("bank.example", "notgrid.local")
MAPPED = ", ".join(f"MAP {name} 127.0.0.1" for name in (NAME, *OTHERS))


class Lan(NamedTuple):
    """A running `serve --lan` with a house in it, and a folder for browsers."""

    data: Path
    port: int
    house: str
    folder: Path

    @property
    def origin(self) -> str:
        return f"https://{NAME}:{self.port}"

    @property
    def plain(self) -> str:
        return f"http://{NAME}:{self.port + 1}"


@pytest.fixture(scope="module")
def lan(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Lan]:
    folder = tmp_path_factory.mktemp("lan")
    data, port = folder / "data", two_free_ports()
    house = make_world(data)
    said = folder / "said.txt"
    command = [sys.executable, "-m", "inspect_app", "--data", str(data), "serve", "--host", "127.0.0.1"]
    with said.open("wb") as out:
        process = subprocess.Popen(
            [*command, "--port", str(port), "--lan-name", NAME], cwd=ROOT, stdout=out, stderr=subprocess.STDOUT
        )
    try:
        for place in (port, port + 1):
            await_port(process, place, said)
        yield Lan(data, port, house, folder)
    finally:
        process.terminate()
        process.wait(20)


@contextlib.contextmanager
def browsing(
    driver: Playwright, lan: Lan, authority: Path | None, screen: dict[str, object]
) -> Iterator[BrowserContext]:
    """A browser with a trust store of its own, which holds the authority if one is given."""
    home = lan.folder / f"home-{len(list(lan.folder.iterdir()))}"
    store = home / ".pki" / "nssdb"
    store.mkdir(parents=True)
    certutil = ["certutil", "-d", f"sql:{store}"]
    subprocess.run([*certutil, "-N", "--empty-password"], check=True, capture_output=True)
    if authority is not None:
        trust = [*certutil, "-A", "-t", "C,,", "-n", "house", "-i", str(authority)]
        subprocess.run(trust, check=True, capture_output=True)
    context = driver.chromium.launch_persistent_context(
        home / "profile",
        executable_path=CHROMIUM,
        args=[*FLAGS, f"--host-resolver-rules={MAPPED}"],
        env={**os.environ, "HOME": str(home)},
        **screen,
    )
    yield context
    context.close()


@pytest.fixture(scope="module")
def authority(driver: Playwright, lan: Lan) -> Path:
    """The certificate as a phone gets it: downloaded from the plain page."""
    with browsing(driver, lan, None, PHONE) as context:
        page = context.pages[0]
        page.goto(f"{lan.plain}/trust")
        with page.expect_download() as waiting:
            page.get_by_role("link", name="Download the certificate").click()
        path = lan.folder / "downloaded.crt"
        waiting.value.save_as(path)
    return path


def sign_in(page: Page, lan: Lan) -> None:
    page.goto(f"{lan.origin}/sign-in")
    page.locator("input[name=username]").fill("robin")
    page.locator("input[type=password]").fill(PASSWORD)
    page.locator("main button[type=submit]").first.click()
    page.wait_for_url("**/houses/**")


def test_a_phone_that_trusts_the_house_has_a_secure_page_and_its_worker(
    driver: Playwright, lan: Lan, authority: Path
) -> None:
    with browsing(driver, lan, authority, PHONE) as context:
        page = context.pages[0]
        complaints = no_noise(page)
        sign_in(page, lan)
        cookies = {cookie["name"]: cookie["secure"] for cookie in context.cookies()}
        assert cookies["__Host-session"]
        assert all(cookies.values())
        page.goto(f"{lan.origin}/walk?house={lan.house}")
        assert page.evaluate("isSecureContext")
        state = page.evaluate(
            """async () => {
                await navigator.serviceWorker.register("/walk-worker.js");
                return (await navigator.serviceWorker.ready).active.scriptURL;
            }"""
        )
        assert state == f"{lan.origin}/walk-worker.js"
        assert page.evaluate("typeof crypto.subtle.digest") == "function"
        assert complaints == []


def test_a_phone_that_does_not_trust_it_is_refused(driver: Playwright, lan: Lan) -> None:
    with browsing(driver, lan, None, PHONE) as context, pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        context.pages[0].goto(f"{lan.origin}/sign-in")


class _Nothing(http.server.BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        self.send_response(200)
        self.send_header("Content-Length", "2")
        self.end_headers()
        self.wfile.write(b"ok")

    def log_message(self, format: str, *args: object) -> None:
        pass


@contextlib.contextmanager
def impostor(lan: Lan, vouched: Vouched) -> Iterator[int]:
    """A server of somebody who has the authority's key and signs whatever they like with it."""
    signer = (lan.data / "lan" / "authority.pem").read_bytes()
    pem = lan.folder / f"impostor-{len(list(lan.folder.iterdir()))}.pem"
    pem.write_bytes(make_leaf(signer, vouched, clock.now()))
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(pem)
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), _Nothing)
    server.daemon_threads = True
    server.handle_error = lambda *_: None  # type: ignore[method-assign]
    server.socket = context.wrap_socket(server.socket, server_side=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield server.server_port
    finally:
        server.shutdown()
        server.server_close()
        thread.join(10)


def test_a_stolen_key_opens_no_other_site_in_chromium(driver: Playwright, lan: Lan, authority: Path) -> None:
    with browsing(driver, lan, authority, PHONE) as context:
        page = context.pages[0]
        with impostor(lan, Vouched((NAME,))) as port:  # the way there works: within the limits it is taken
            assert page.goto(f"https://{NAME}:{port}/").status == 200  # type: ignore[union-attr]
        for name in ("bank.example", "notgrid.local"):
            with impostor(lan, Vouched((name,))) as port, pytest.raises(Error, match="ERR_CERT"):
                page.goto(f"https://{name}:{port}/")
        with impostor(lan, Vouched((NAME, "bank.example"))) as port, pytest.raises(Error, match="ERR_CERT"):
            page.goto(f"https://bank.example:{port}/")
        with impostor(lan, Vouched((), (IPv4Address("127.0.0.1"),))) as port, pytest.raises(Error, match="ERR_CERT"):
            page.goto(f"https://127.0.0.1:{port}/")


def test_by_another_name_the_phone_is_led_to_the_one_address(driver: Playwright, lan: Lan, authority: Path) -> None:
    with browsing(driver, lan, authority, {**PHONE, "ignore_https_errors": True}) as context:
        page = context.pages[0]
        answer = page.goto(f"https://notgrid.local:{lan.port}/walk?house={lan.house}")
        assert answer is not None
        assert answer.status == 421
        assert page.locator("form, script, input, button").count() == 0
        page.get_by_role("link", name=f"Go to {lan.origin}").click()
        page.wait_for_url(f"{lan.origin}/sign-in**")


@pytest.mark.parametrize("screen", [PHONE, DESK], ids=["phone", "desk"])
@pytest.mark.parametrize("theme", ["light", "dark", "red"])
def test_the_trust_page_fits_and_reads_in_every_theme(
    driver: Playwright, lan: Lan, authority: Path, screen: dict[str, object], theme: str
) -> None:
    with browsing(driver, lan, authority, screen) as context:
        page = context.pages[0]
        complaints = no_noise(page)
        context.add_cookies([{"name": "theme", "value": theme, "url": lan.origin}])
        page.goto(f"{lan.origin}/trust")
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        assert page.locator("html").get_attribute("data-theme") == theme
        assert complaints == []
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()


def test_the_plain_page_reads_and_loads_its_style_without_a_cookie(driver: Playwright, lan: Lan) -> None:
    with browsing(driver, lan, None, PHONE) as context:
        page = context.pages[0]
        complaints = no_noise(page)
        page.goto(f"{lan.plain}/trust")
        assert page.evaluate("getComputedStyle(document.querySelector('.qr')).display") == "block"
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
        assert context.cookies() == []
        assert complaints == []
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()
