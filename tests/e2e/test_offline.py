"""A walk with no signal: server gone, browser killed, connection bad; every entry and photo arrives exactly once."""

import hashlib
import io
import json
import os
import re
import signal
import sqlite3
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import BrowserContext, Page, Playwright, expect

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-offline")]
LOFT = "button.stretch[data-stop=loft-and-line][data-state=static]"
QUARTERLY = "Quarterly grid and gallery walk"
PHONE = {"viewport": {"width": 390, "height": 844}, "is_mobile": True, "has_touch": True}
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
]


class PocketPhone:
    """A browser with a profile of its own that can be killed and started again."""

    def __init__(self, playwright: Playwright, profile: Path) -> None:
        self.playwright = playwright
        self.profile = profile
        self.context: BrowserContext | None = None

    def start(self) -> Page:
        """Open the browser on its profile."""
        self.context = self.playwright.chromium.launch_persistent_context(
            str(self.profile), executable_path="/usr/bin/chromium", args=FLAGS, **PHONE
        )
        return self.context.pages[0] if self.context.pages else self.context.new_page()

    def kill(self) -> None:
        """Kill it as a dead battery does."""
        for folder in Path("/proc").glob("[0-9]*"):
            try:
                command = (folder / "cmdline").read_bytes().split(b"\0")
            except OSError:
                continue
            if f"--user-data-dir={self.profile}".encode() in command and not any(
                c.startswith(b"--type=") for c in command
            ):
                os.kill(int(folder.name), signal.SIGKILL)
        time.sleep(1)


@pytest.fixture
def pocket(driver: Playwright, tmp_path: Path) -> PocketPhone:
    return PocketPhone(driver, tmp_path / "profile")


def photo_bytes(seed: int, side: int = 2600) -> bytes:
    """A noisy picture of about 3 MB with an orientation, as a phone takes it."""
    noise = Image.frombytes(
        "RGB", (side // 4, side // 4), hashlib.shake_256(str(seed).encode()).digest((side // 4) ** 2 * 3)
    )
    exif = Image.Exif()
    exif[0x0112] = 6
    exif.get_ifd(0x8769)[0x9003] = f"2026:03:04 19:22:{seed % 60:02d}"
    out = io.BytesIO()
    noise.resize((side, side * 3 // 4)).save(out, "JPEG", quality=93, exif=exif)
    return out.getvalue()


def local_entries(page: Page) -> list[dict]:
    """What the phone itself holds, straight from its database."""
    return page.evaluate("import('/static/js/field/db.js').then((db) => db.all('entries'))")


def local_photos(page: Page) -> list[dict]:
    return page.evaluate("import('/static/js/field/db.js').then((db) => db.all('photos'))")


def local_photo_digests(page: Page) -> dict[str, str]:
    return page.evaluate(
        """async () => {
          const db = await import('/static/js/field/db.js');
          const found = {};
          for (const { id, buffer } of await db.all('bytes')) {
            const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', buffer));
            found[id] = [...digest].map((byte) => byte.toString(16).padStart(2, '0')).join('');
          }
          return found;
        }"""
    )


def wait_until(page: Page, script: str, seconds: int = 60) -> None:
    """Ask the page until it says yes; the page's policy forbids the browser tool's own way of waiting."""
    for _ in range(seconds * 5):
        if page.evaluate(script):
            return
        page.wait_for_timeout(200)
    pytest.fail(f"never true: {script}")


def in_the_office(page: Page) -> None:
    page.wait_for_timeout(250)  # the tap's own save comes first; only then does the line speak of it
    expect(page.locator("#queue")).to_have_text("All in the office", timeout=30_000)


def office(world, query: str) -> list[tuple]:
    with sqlite3.connect(f"file:{world.server.data / 'inspect.db'}?mode=ro", uri=True) as db:
        return db.execute(query).fetchall()


def hexed(text: str) -> str:
    return text.replace("-", "")


@pytest.fixture
def on_the_grid(pocket: PocketPhone, world, sign_in_on: Callable[..., None], begin_walk: Callable[..., None]) -> Page:
    """Signed in, paired, page and pack on the phone, a walk begun; then the office goes away."""
    page = pocket.start()
    sign_in_on(page)
    page.goto(world.url("/walk?house={house}"))
    wait_until(page, "navigator.serviceWorker.controller !== null")
    begin_walk(page, QUARTERLY)
    in_the_office(page)
    world.server.stop()
    return page


def test_a_walk_without_signal_survives_a_dead_battery_and_is_sent_exactly_once(
    on_the_grid: Page, pocket: PocketPhone, world, tmp_path: Path
) -> None:
    page = on_the_grid
    page.reload()  # the server is gone: the page comes from the phone
    page.locator(LOFT).tap()
    for _ in range(3):
        for _ in range(12):
            page.locator(".tap:not([disabled]):not(.recorded)").first.tap()
            page.wait_for_timeout(720)
        page.get_by_role("button", name="Next", exact=True).tap()
    expect(page.locator("#queue")).to_contain_text("not yet sent")
    for number in range(6):
        page.locator("[data-row]").nth(number).get_by_role("button", name="Finding at").tap()
        page.locator("button.point[data-point=loft-block-groove]").first.tap()
        path = tmp_path / f"p{number}.jpg"
        path.write_bytes(photo_bytes(number))
        page.set_input_files("input[type=file]", str(path))
        expect(page.locator(".photos li")).to_contain_text("on this phone", timeout=15_000)
        page.locator("textarea[name=note]").fill(f"note {number}")
        page.get_by_role("button", name="Save the finding").tap()
        page.locator("#rows").wait_for()
    # the rest of three hundred parts, through the walk's own code and not by thumb
    page.evaluate(FILL, 300 - len(local_entries(page)) + 1)
    here = {entry["id"]: entry["text"] for entry in local_entries(page)}
    assert len(here) >= 300
    assert len({entry["seq"] for entry in local_entries(page)}) == len(here)
    expect(page.locator("#not-saved")).to_be_hidden()

    pocket.kill()
    page = pocket.start()
    page.goto(world.url("/walk?house={house}"))  # still no server
    page.get_by_role("button", name="Go on with").first.tap()
    expect(page.locator("#queue")).to_contain_text("not yet sent")
    assert {entry["id"]: entry["text"] for entry in local_entries(page)} == here
    wait_until(page, SCALED)
    digests = local_photo_digests(page)
    assert len(digests) == 6

    world.server.start()
    page.locator("#send").tap()
    page.wait_for_timeout(700)
    world.server.kill()  # in the middle of sending
    page.wait_for_timeout(500)
    world.server.start()
    page.locator("#send").tap()
    expect(page.locator("#queue")).to_have_text("All in the office", timeout=60_000)

    kept = {row[0]: bytes(row[1]).decode() for row in office(world, "SELECT lower(hex(id)), raw FROM entry")}
    assert kept == {hexed(key): text for key, text in here.items()}  # each exactly once, byte for byte
    assert office(world, "SELECT count(*) FROM held") == [(0,)]
    photos = {row[0]: row[1] for row in office(world, "SELECT lower(hex(id)), lower(hex(sha256)) FROM photo")}
    assert all(photo["mime"] == "image/jpeg" for photo in local_photos(page))
    assert photos == {hexed(key): digest for key, digest in digests.items()}
    taken = [row[0] for row in office(world, "SELECT taken_at FROM photo ORDER BY taken_at")]
    assert all(at and at.startswith("2026-03-04") for at in taken)
    pocket.context.close()


FILL = """async (count) => {
  const db = await import('/static/js/field/db.js');
  const { addEntries } = await import('/static/js/field/outbox.js');
  const { uuid7 } = await import('/static/js/field/ids.js');
  const one = (await db.all('entries')).find((entry) => entry.kind === 'look');
  const model = JSON.parse(one.text);
  const again = (seq) => ({ ...model, id: uuid7(), tap: uuid7(), seq, recorded_at: new Date().toISOString() });
  for (let n = 0; n < count; n += 1) await addEntries(one.house, model.device, [again]);
}"""
SCALED = """async () => {
  const db = await import('/static/js/field/db.js');
  const photos = await db.all('photos');
  return photos.length > 0 && photos.every((photo) => photo.state !== 'raw');
}"""


def test_typed_words_and_a_photo_without_entry_are_there_after_the_page_was_killed(
    on_the_grid: Page, pocket: PocketPhone, world, tmp_path: Path
) -> None:
    page = on_the_grid
    page.locator(LOFT).tap()
    page.locator("[data-row]").first.get_by_role("button", name="Finding at").tap()
    page.locator("button.point[data-point=loft-block-groove]").first.tap()
    page.locator("textarea[name=note]").fill("half a sentence")
    path = tmp_path / "loose.jpg"
    path.write_bytes(photo_bytes(1, 1200))
    page.set_input_files("input[type=file]", str(path))
    expect(page.locator(".photos li")).to_contain_text("on this phone", timeout=15_000)
    page.wait_for_timeout(500)

    pocket.kill()
    page = pocket.start()
    page.goto(world.url("/walk?house={house}"))
    page.get_by_role("button", name="Go on with").first.tap()
    page.locator("#rows").wait_for()  # the place on the walk is kept too
    page.get_by_role("button", name="Whole walk").tap()
    page.get_by_role("button", name="What is on this phone").tap()
    page.get_by_role("button", name="Go to LB 1-1 with it").tap()
    expect(page.locator("textarea[name=note]")).to_have_value("half a sentence")
    page.get_by_role("button", name="Save the finding").tap()
    page.wait_for_timeout(500)
    look = json.loads([entry for entry in local_entries(page) if entry["kind"] == "look"][-1]["text"])
    assert look["note"] == "half a sentence"
    assert look["photos"] == [photo["id"] for photo in local_photos(page)]
    pocket.context.close()


@pytest.mark.parametrize(
    ("status", "content_type", "body"),
    [
        (500, "application/json", '{"message":"The office had an error."}'),
        (403, "text/html", "<h1>Forbidden</h1>"),
        (200, "text/html", "<h1>Sign in to this Wi-Fi</h1>"),
        (200, "application/json", '{"verdicts":[]}'),
        (200, "application/json", "{not json"),
        (413, "application/json", '{"message":"too large"}'),
        (503, "application/json", '{"message":"not saved"}'),
    ],
)
def test_an_answer_that_is_no_verdict_loses_nothing_and_is_told(
    phone_without_checks: Page, world, sign_in_on, begin_walk, status: int, content_type: str, body: str
) -> None:
    page = phone_without_checks
    sign_in_on(page)
    begin_walk(page, QUARTERLY)
    in_the_office(page)
    page.route("**/api/v1/entries", lambda route: route.fulfill(status=status, content_type=content_type, body=body))
    page.locator(LOFT).tap()
    page.locator(".tap").first.tap()
    expect(page.locator("#queue")).to_contain_text("2 not yet sent", timeout=15_000)
    page.unroute("**/api/v1/entries")
    page.locator("#send").tap()
    in_the_office(page)
    assert office(world, "SELECT count(*) FROM look") == [(2,)]
    assert office(world, "SELECT count(*) FROM held") == [(0,)]


def test_a_phone_whose_pairing_was_withdrawn_keeps_its_work_and_saves_it_as_a_file(
    phone_without_checks: Page, world, sign_in_on, begin_walk, tmp_path: Path
) -> None:
    page = phone_without_checks
    sign_in_on(page)
    begin_walk(page, QUARTERLY)
    in_the_office(page)
    with sqlite3.connect(world.server.data / "inspect.db") as db:
        db.execute("UPDATE device SET revoked_at = '2026-01-01T00:00:00.000+00:00'")
    page.locator(LOFT).tap()
    page.locator(".tap").first.tap()
    expect(page.locator("#queue")).to_contain_text("2 not yet sent", timeout=15_000)
    expect(page.locator("#queue")).to_contain_text("not paired")
    page.get_by_role("button", name="Whole walk").tap()
    page.get_by_role("button", name="What is on this phone").tap()
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save a file").tap()
    saved.value.save_as(tmp_path / "unsent.json")
    content = json.loads((tmp_path / "unsent.json").read_text())
    assert content["format"] == "inspect-log/unsent/1"
    texts = {entry["id"]: entry["text"] for entry in local_entries(page) if entry["kind"] == "look"}
    assert sorted(content["entries"]) == sorted(texts.values())
    assert len(texts) == 2


def test_a_full_phone_says_not_saved_and_never_shows_the_tap_as_kept(
    phone_without_checks: Page, world, sign_in_on, begin_walk
) -> None:
    page = phone_without_checks
    sign_in_on(page)
    begin_walk(page, QUARTERLY)
    page.locator(LOFT).tap()
    page.evaluate(
        """() => {
          const put = IDBObjectStore.prototype.put;
          IDBObjectStore.prototype.put = function (value, key) {
            if (this.name === 'entries') throw new DOMException('full', 'QuotaExceededError');
            return put.call(this, value, key);
          };
        }"""
    )
    page.locator(".tap").first.tap()
    expect(page.locator("#not-saved")).to_contain_text("NOT saved: this phone's storage is full")
    assert page.locator(".tap.recorded").count() == 0
    assert [entry["kind"] for entry in local_entries(page)] == ["opening"]


def test_a_phone_on_which_nobody_signed_in_is_paired_by_a_code_and_keeps_its_id(
    phone_without_checks: Page, desk: Page, world, sign_in_on
) -> None:
    def fresh_code() -> str:
        desk.goto(world.url("/account/phone"))
        desk.locator("main button[type=submit]").first.click()
        return re.search(r"\b[A-Z0-9]{4}-[A-Z0-9]{4}\b", desk.locator("main").inner_text()).group(0)

    sign_in_on(desk)
    page = phone_without_checks
    for _ in range(2):
        page.goto(world.url("/walk?house={house}"))
        page.get_by_label("Or type a pairing code").fill(fresh_code())
        page.get_by_role("button", name="Pair this phone").tap()
        page.get_by_role("button", name="Begin a new walk").wait_for()
        forget = "import('/static/js/field/memory.js').then((m) => m.pairing.forget(house))"
        page.evaluate(f"(house) => {forget}", world.house)
    assert office(world, "SELECT count(*) FROM device WHERE kind = 'phone'") == [(1,)]
