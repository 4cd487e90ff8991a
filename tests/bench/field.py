"""The walk page on a slow phone: its first load on the wire, opened again with no server, a tap until it is kept.

Debian's Chromium with a phone's screen. The page's main thread is slowed four times (CDP's
Emulation.setCPUThrottlingRate), which Chromium does for no worker and for none of its own processes, so a real phone of
that speed would be somewhat slower. A machine that others keep busy is slower too: the lines say how much of a
processor one busy loop got meanwhile.
"""

import hashlib
import math
import os
import secrets
import statistics
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import BrowserContext, CDPSession, Page, sync_playwright

from inspect_app import clock
from inspect_app.actions.house import generate_house
from inspect_app.store.db import write_transaction
from inspect_app.store.person import get_account_of
from inspect_app.store.session import add_session
from inspect_app.web.session_cookie import cookie_name
from tests.bench.measure import Line
from tests.bench.place import FORTY_SETS, make_place
from tests.bench.relay import Answer, Relay
from tests.e2e.conftest import CHROMIUM, FLAGS, PHONE, Server

SLOWED = 4
LOAD_BUDGET_BYTES, REOPEN_BUDGET_S, TAP_BUDGET_S = 60_000, 0.5, 0.1
WORKER = "/walk-worker.js"
TWICE_MS = 720  # two taps closer together are taken for a trembling hand
OPENING_MS = 1_500
LOFT = "button.stretch[data-stop=loft-and-line][data-state=static]"
FREE = ".tap:not([disabled]):not(.recorded)"

# When the first screen that can be used is painted, and how long each tap takes from the finger's leaving the glass to
# the frame in which the row says that it is kept; the row says so only once its transaction has completed.
WATCH = """(() => {
  window.usableAt = 0;
  window.taps = [];
  let left = 0;
  const painted = (act) => requestAnimationFrame(() => {
    const line = new MessageChannel();
    line.port1.onmessage = act;
    line.port2.postMessage(0);
  });
  addEventListener("pointerup", (event) => {
    if (event.target.closest?.(".tap")) left = event.timeStamp;
  }, true);
  new MutationObserver((changes) => {
    if (!window.usableAt && document.querySelector("#field button.target")) {
      window.usableAt = -1;
      painted(() => { window.usableAt = performance.now(); });
    }
    const says = (node) => node.querySelector?.(".tap.recorded");
    const kept = () => changes.some((change) => [...change.addedNodes].some(says));
    if (left && kept()) {
      const began = left;
      const held = performance.now() - began;
      left = 0;
      painted(() => window.taps.push([held, performance.now() - began]));
    }
  }).observe(document, { childList: true, subtree: true });
})()"""


class Walker:
    """A phone that is signed in, with its page slowed down."""

    def __init__(self, context: BrowserContext, address: str, house: str) -> None:
        self.context, self.address, self.house = context, address, house
        self.page, self.line = self._new_page()

    def _new_page(self) -> tuple[Page, CDPSession]:
        page = self.context.new_page()
        page.add_init_script(WATCH)
        line = self.context.new_cdp_session(page)
        line.send("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
        return page, line

    def first_load(self) -> float:
        """Open the page for the first time; seconds until it can be used."""
        self.page.goto(f"{self.address}/walk?house={self.house}")
        self.page.get_by_role("button", name="Begin a new walk").wait_for()
        _until(self.page, "navigator.serviceWorker.controller !== null")
        _until(self.page, "document.getElementById('queue').textContent === 'All in the office'")
        return float(self.page.evaluate("usableAt / 1000"))

    def begin(self) -> None:
        """Open a walk along the wells."""
        page = self.page
        page.get_by_role("button", name="Begin a new walk").click()
        page.get_by_label("Quarterly grid and gallery walk", exact=True).check()
        page.get_by_label("Who keeps the deck clear").fill("Kim Deck")
        page.get_by_label("Who to call for rescue").fill("Kim Deck")
        page.get_by_label("Read out").check()
        page.get_by_role("button", name="Begin the walk").click()
        page.locator(LOFT).tap()

    def tap(self, count: int) -> list[tuple[float, float]]:
        """Tap one row after another; seconds until kept, and until the frame that shows it, for each."""
        for _ in range(count):
            if not self.page.locator(FREE).count():
                self.page.get_by_role("button", name="Next", exact=True).tap()
            self.page.locator(FREE).first.tap()
            self.page.wait_for_timeout(TWICE_MS)
        return [(kept / 1000, shown / 1000) for kept, shown in self.page.evaluate("taps")]

    def reopen(self) -> float:
        """Open the page again in a new tab, its worker asleep; seconds until it can be used.

        The page's own observer takes the time; nothing asks the page meanwhile, which would keep it busy with that.
        """
        where = self.page.url
        self.page.close()
        self.page, self.line = self._new_page()
        self.line.send("ServiceWorker.enable")
        self.line.send("ServiceWorker.stopAllWorkers")
        self.page.goto(where, wait_until="commit")
        self.page.wait_for_timeout(OPENING_MS)
        _until(self.page, "usableAt > 0")
        if not self.page.locator("#rows .tap").count():
            raise RuntimeError("the page was opened, and its rows are not there")
        return float(self.page.evaluate("usableAt / 1000"))


def _until(page: Page, script: str) -> None:
    for _ in range(300):
        if page.evaluate(script):
            return
        page.wait_for_timeout(100)
    raise RuntimeError(f"never true: {script}")


@contextmanager
def _walker(folder: Path) -> Iterator[tuple[Walker, Relay, Callable[[], None], str]]:
    """A server with a large house behind a relay, and a browser signed in to it."""
    place, token = make_place(folder / "data"), secrets.token_urlsafe(32)
    generate_house(place.db, at=clock.now(), actor=place.person.id, house=place.house.id, answers=FORTY_SETS)
    account = get_account_of(place.db, place.person.id)
    if account is None:
        raise RuntimeError("the account is not there")
    with write_transaction(place.db):
        add_session(place.db, hashlib.sha256(token.encode()).digest(), account.id, "bench", clock.now())
    server = Server(folder / "data")
    server.start()
    relay = Relay(server.port)
    address = f"http://127.0.0.1:{relay.port}"

    def gone() -> None:
        relay.close()
        server.kill()

    try:
        with sync_playwright() as driver:
            profile: dict[str, Any] = {**PHONE, "device_scale_factor": 2, "executable_path": CHROMIUM, "args": FLAGS}
            context = driver.chromium.launch_persistent_context(str(folder / "profile"), **profile)
            context.add_cookies([{"name": cookie_name(False), "value": token, "url": address}])
            version = context.new_cdp_session(context.pages[0]).send("Browser.getVersion")["product"]
            yield Walker(context, address, place.house.id), relay, gone, str(version)
            context.close()
    finally:
        server.stop()


def is_app(answer: Answer) -> bool:
    """Whether an answer is of the app itself, and not of the API, which is pack, pairing and pictures."""
    return not answer.path.startswith("/api/")


def on_a_slow_phone(folder: Path, taps: int = 220, reopenings: int = 12) -> list[Line]:
    with _walker(folder) as (walker, relay, gone, browser):
        usable = walker.first_load()
        fetched = [answer for answer in relay.answers if is_app(answer)]
        walker.begin()
        shares = [_share()]
        times = walker.tap(taps)
        shares.append(_share())
        gone()
        opened = []
        for _ in range(reopenings):
            opened.append(walker.reopen())
            shares.append(_share())
    if len(times) < taps * 0.95:
        raise RuntimeError(f"only {len(times)} of {taps} taps were kept")
    where = (
        f"{browser}, phone screen, main thread slowed {SLOWED} times, {os.cpu_count()} processors of which a busy loop "
        f"got {min(shares):.0%} to {max(shares):.0%} of one"
    )
    return [_load_line(fetched, usable, where), _reopen_line(opened, len(times), where), _tap_line(times, where)]


def _share() -> float:
    """How much of a processor a busy loop gets just now; far from all of it means that others are at work."""
    wall, own = time.perf_counter(), time.process_time()
    while time.process_time() - own < 0.1:
        pass
    return min(1.0, 0.1 / (time.perf_counter() - wall))


def _load_line(fetched: list[Answer], usable: float, where: str) -> Line:
    first = next(n for n, answer in enumerate(fetched) if answer.path == WORKER)
    page, behind = fetched[:first], fetched[first:]
    body, head = sum(one.body for one in page), sum(one.head for one in page)
    return Line(
        "field page: first load",
        f"page, styles, scripts and icon until the first screen can be used, counted on the wire without the pack and "
        f"the API: {len(page)} answers; {where}",
        f"the budget of {LOAD_BUDGET_BYTES / 1000:.0f} kB compressed",
        f"compressed bodies; with their headers {_kb(page)}, {(body + head) / LOAD_BUDGET_BYTES:.2f} of the budget; "
        f"usable after {usable:.2f} s, pairing and pack among it. Behind the screen the service worker fetches the "
        f"rest, {len(behind)} answers, {sum(one.body for one in behind) / 1000:.1f} kB, with headers {_kb(behind)}; "
        f"all in all {sum(one.body for one in fetched) / 1000:.1f} kB, with headers {_kb(fetched)}, until it works off "
        "line",
        body,
        LOAD_BUDGET_BYTES,
        "bytes",
    )


def _kb(answers: list[Answer]) -> str:
    return f"{sum(one.head + one.body for one in answers) / 1000:.1f} kB"


def _reopen_line(opened: list[float], looks: int, where: str) -> Line:
    return Line(
        "field page: reopened",
        "server killed, worker asleep, a new tab: from the navigation to the painted rows that fill the screen, of a "
        f"walk with {looks} places recorded, {len(opened)} times; {where}",
        "the budget of 500 ms",
        f"median; fastest {min(opened) * 1000:.0f} ms, worst {max(opened) * 1000:.0f} ms, "
        f"{max(opened) / REOPEN_BUDGET_S:.2f} of the budget",
        statistics.median(opened),
        REOPEN_BUDGET_S,
    )


def _tap_line(times: list[tuple[float, float]], where: str) -> Line:
    kept, shown = sorted(kept for kept, _ in times), sorted(shown for _, shown in times)
    return Line(
        "field page: tap to saved",
        f"{len(times)} taps by touch on rows of a walk of 40 sets of 6 lines, from the finger's leaving the glass to "
        f"the row that says so, which waits for the transaction; {where}",
        "the budget of 100 ms at the 95th percentile",
        f"95th percentile; median {_at(kept, 0.5) * 1000:.0f} ms, worst {kept[-1] * 1000:.0f} ms; until that row is "
        f"painted {_at(shown, 0.5) * 1000:.0f} ms, at the 95th {_at(shown, 0.95) * 1000:.0f} ms",
        _at(kept, 0.95),
        TAP_BUDGET_S,
    )


def _at(ordered: list[float], share: float) -> float:
    """The value that `share` of them do not pass (nearest rank)."""
    return ordered[max(0, math.ceil(share * len(ordered)) - 1)]
