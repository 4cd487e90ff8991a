"""The service worker in Chromium: the walk page without a server, all files or none, one version at a time."""

import re
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from socketserver import ThreadingMixIn
from wsgiref.simple_server import WSGIRequestHandler, WSGIServer, make_server

import pytest
from playwright.sync_api import Browser, Page

from inspect_app.store.data_folder import open_data_folder
from inspect_app.web import create_app
from tests.e2e.conftest import PHONE, free_port

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser")]

REGISTER = """async () => {
  const made = await navigator.serviceWorker.register("/walk-worker.js", { scope: "/walk", updateViaCache: "none" });
  const worker = made.installing ?? made.waiting ?? made.active;
  await new Promise((done) => {
    const look = () => ["installed", "activated", "redundant"].includes(worker.state) && done();
    worker.addEventListener("statechange", look);
    look();
  });
  return worker.state;
}"""
CONTROLLED = "() => navigator.serviceWorker.controller !== null"
CACHES = "async () => (await caches.keys()).sort()"
# A worker takes over its pages first and clears away next.
SETTLED = """async () => {
  const worker = (await navigator.serviceWorker.getRegistration("/walk")).active;
  if (worker.state !== "activated") await new Promise((done) => { worker.onstatechange = done; });
}"""
ASK = """() => new Promise((done) => {
  const line = new MessageChannel();
  line.port1.onmessage = (event) => done(event.data);
  navigator.serviceWorker.controller.postMessage("what is kept", [line.port2]);
})"""


class Quiet(WSGIRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        pass


class Server(ThreadingMixIn, WSGIServer):
    """One thread for each connection, as a browser opens some that it does not use yet."""

    daemon_threads = True


class Site:
    """The application behind a switch: answers can be replaced, and the server can go away and come back."""

    def __init__(self, data: Path) -> None:
        self.app = create_app(open_data_folder(data).settings)
        self.port = free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self.changed: dict[str, Callable[[bytes], tuple[str, bytes]]] = {}
        self.asked: list[str] = []
        self.server: WSGIServer | None = None

    def __call__(self, environ, start_response):  # type: ignore[no-untyped-def]
        path, said = environ["PATH_INFO"], []
        self.asked.append(path)
        if path in self.changed:
            environ.pop("HTTP_ACCEPT_ENCODING", None)  # so that there is text to change
        content = b"".join(self.app(environ, lambda status, headers, *rest: said.extend((status, headers))))
        status, headers = said
        if path in self.changed:
            status, content = self.changed[path](content)
            headers = [(name, value) for name, value in headers if name.lower() != "content-length"]
        start_response(status, headers)
        return [content]

    def start(self) -> None:
        self.server = make_server("127.0.0.1", self.port, self, Server, Quiet)
        threading.Thread(target=self.server.serve_forever, args=(0.05,), daemon=True).start()

    def stop(self) -> None:
        if self.server:
            self.server.shutdown()
            self.server.server_close()
            self.server = None


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Site]:
    site = Site(tmp_path / "data")
    site.start()
    yield site
    site.stop()


@pytest.fixture
def page(browser: Browser, site: Site) -> Iterator[Page]:
    context = browser.new_context(**PHONE)
    page = context.new_page()
    # What the page's own scripts do with the worker is not the matter here.
    own = re.compile(r"/static/js/field/main\.js")
    page.route(own, lambda route: route.fulfill(body="", content_type="text/javascript"))
    page.goto(f"{site.address}/walk")
    yield page
    context.close()


def newer(content: bytes) -> tuple[str, bytes]:
    """The worker of the next release: the same files under another version."""
    return "200 OK", re.sub(rb'VERSION = "[0-9a-f]+"', b'VERSION = "0123456789abcdef"', content)


def test_the_page_and_all_its_files_open_with_no_server_at_all(page: Page, site: Site) -> None:
    assert page.evaluate(REGISTER) in ("installed", "activated")
    page.wait_for_function(CONTROLLED)
    kept = page.evaluate(ASK)
    assert kept["kept"] == kept["files"] > 20
    site.stop()
    fetched = page.evaluate(
        """async () => (await Promise.all(
             ["/static/css/app.css", "/static/js/field/dom.js", "/static/js/field/dom.js?v=0123456789abcdef"]
             .map((path) => fetch(path)))).map((answer) => answer.status)"""
    )
    assert fetched == [200, 200, 200]
    for path in ("/walk", "/walk?house=x", "/walk/anything"):
        page.goto(site.address + path)
        assert page.title() == "Walk"
    with pytest.raises(Exception, match="ERR_CONNECTION_REFUSED"):
        page.goto(f"{site.address}/account")


def test_what_is_not_on_the_list_and_the_api_go_to_the_network(page: Page, site: Site) -> None:
    page.evaluate(REGISTER)
    page.wait_for_function(CONTROLLED)
    site.asked.clear()
    for path in ("/api/v1/health", "/sign-in", "/static/css/review.css"):
        assert page.evaluate("async (path) => (await fetch(path)).status", path) == 200 or path == "/sign-in"
        assert path in site.asked
    site.asked.clear()
    assert page.evaluate("async () => (await fetch('/walk', {method: 'POST'})).status") == 405
    assert site.asked == ["/walk"]


@pytest.mark.parametrize(
    "answer",
    [("500 Oops", b"no"), ("200 OK", b"<!doctype html><p>Sign in to this network"), ("200 OK", b"")],
    ids=["failing", "another page", "empty"],
)
def test_one_broken_file_and_nothing_is_installed(page: Page, site: Site, answer: tuple[str, bytes]) -> None:
    site.changed["/static/js/field/brief.js"] = lambda content: answer  # one that the page has not loaded itself
    assert page.evaluate(REGISTER) == "redundant"
    assert page.evaluate(CACHES) == []
    site.changed.clear()
    assert page.evaluate(REGISTER) in ("installed", "activated")
    assert len(page.evaluate(CACHES)) == 1


def test_a_new_version_waits_until_the_page_asks_and_then_clears_only_its_own_elders(page: Page, site: Site) -> None:
    page.evaluate("async () => { await caches.open('somebody else') }")
    page.evaluate(REGISTER)
    page.wait_for_function(CONTROLLED)
    (old, _) = sorted(page.evaluate(CACHES), key=lambda name: not name.startswith("walk-app/"))
    site.changed["/walk-worker.js"] = newer
    page.evaluate(
        """async () => {
          const made = await navigator.serviceWorker.getRegistration("/walk");
          await made.update();
          const worker = made.installing ?? made.waiting;
          if (worker.state === "installing") await new Promise((done) => { worker.onstatechange = done; });
        }"""
    )
    assert len(page.evaluate(CACHES)) == 3
    assert page.evaluate(ASK)["version"] == old.removeprefix("walk-app/")
    page.evaluate(
        """async () => {
          const made = await navigator.serviceWorker.getRegistration("/walk");
          const swapped = new Promise((done) => { navigator.serviceWorker.oncontrollerchange = done; });
          made.waiting.postMessage("skip waiting");
          await swapped;
        }"""
    )
    assert page.evaluate(ASK)["version"] == "0123456789abcdef"
    page.evaluate(SETTLED)
    assert page.evaluate(CACHES) == ["somebody else", "walk-app/0123456789abcdef"]


def test_a_new_version_with_a_broken_file_leaves_the_old_one_at_work(page: Page, site: Site) -> None:
    page.evaluate(REGISTER)
    page.wait_for_function(CONTROLLED)
    before = page.evaluate(CACHES)
    changed = rb'(field\.css": ")[0-9a-f]{64}'  # the next release has another style sheet, which cannot be had
    site.changed = {
        "/walk-worker.js": lambda content: newer(re.sub(changed, rb"\g<1>" + b"0" * 64, content)),
        "/static/css/field.css": lambda content: ("503 Later", b""),
    }
    page.evaluate(
        """async () => {
          const made = await navigator.serviceWorker.getRegistration("/walk");
          const worker = (await made.update().catch(() => made)).installing;
          const gone = (done) => {
            worker.onstatechange = () => worker.state === "redundant" && done();
            worker.onstatechange(); // it may be over already
          };
          if (worker) await new Promise(gone);
        }"""
    )
    assert page.evaluate(CACHES) == before
    site.stop()
    page.goto(f"{site.address}/walk")
    assert page.title() == "Walk"
