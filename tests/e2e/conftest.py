"""A real browser and a real server for the tests that tap through pages; a phone that can be killed, its photos."""

import io
import os
import random
import re
import shutil
import signal
import socket
import sqlite3
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, expect

from inspect_app import clock
from inspect_app.actions.account import insert_account, insert_person
from inspect_app.actions.house import create_house, generate_house
from inspect_app.actions.password import hash_password
from inspect_app.domain.house_answers import Answers
from inspect_app.domain.part import PartKind
from inspect_app.domain.role import Role
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db, write_transaction
from inspect_app.store.membership import set_roles
from tests.e2e.forked_program import ForkedPrograms, is_running

CHROMIUM = "/usr/bin/chromium"
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PHONE = {"viewport": {"width": 390, "height": 844}, "is_mobile": True, "has_touch": True}
DESK = {"viewport": {"width": 1280, "height": 800}}
ROOT = Path(__file__).parent.parent.parent
QUARTERLY = "Quarterly grid and gallery walk"
# Two taps within 700 ms are one: here a second passes between them without waiting for it.
UNHURRIED = """() => {
  const now = performance.now.bind(performance);
  let passed = 0;
  performance.now = () => now() + (passed += 1000);
}"""
A_SECOND_PASSES = "() => { const now = performance.now.bind(performance); performance.now = () => now() + 1000; }"
LOFT = "button.stretch[data-stop=loft-and-line][data-state=static]"


@pytest.fixture(scope="session")
def browser(driver: Playwright) -> Iterator[Browser]:
    """Debian's Chromium. A missing browser is a failure, never a skip."""
    assert Path(CHROMIUM).exists(), "Chromium is missing: run `sh .ci/prepare test`"
    browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
    yield browser
    browser.close()


def wait_until(page: Page, script: str, seconds: int = 60) -> None:
    """Ask the page until it says yes; the page's policy forbids the browser tool's own way of waiting."""
    for _ in range(seconds * 10):
        if page.evaluate(script):
            return
        page.wait_for_timeout(100)
    pytest.fail(f"never true: {script}")


def in_the_office(page: Page, seconds: int = 30) -> None:
    """Wait until the office has all that the phone holds, and the bar says so."""
    wait_until(page, SENT, seconds)  # a save that is under way comes before this reading of the same stores
    expect(page.locator("#queue")).to_have_text("All in the office", timeout=seconds * 1000)


SENT = """async () => {
  const db = await import('/static/js/field/db.js');
  const rows = [...(await db.all('entries')), ...(await db.all('photos'))];
  return rows.length > 0 && rows.every(({ state }) => !['here', 'raw', 'original'].includes(state));
}"""


def local_rows(page: Page, store: str = "entries") -> list[dict]:
    """What the phone itself holds, straight from its database."""
    return page.evaluate("(store) => import('/static/js/field/db.js').then((db) => db.all(store))", store)


def local_digests(page: Page) -> dict[str, str]:
    """SHA-256 of the bytes of each photo that the phone still holds, by the photo's id."""
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


def noisy_picture(seed: int, width: int = 4000, height: int = 3000) -> bytes:
    """A JPEG as large as a phone's camera makes it (about 3 MB at 12 megapixels), without metadata."""
    noise = Image.frombytes("L", (width // 8, height // 8), random.Random(seed).randbytes(width * height // 64))
    out = io.BytesIO()
    Image.merge("RGB", [noise.rotate(180 * n) for n in (0, 1, 0)]).resize((width, height)).save(out, "JPEG", quality=85)
    return out.getvalue()


def as_taken(jpeg: bytes, when: str, orientation: int = 6) -> bytes:
    """The JPEG with the EXIF block that a phone's camera writes: time of capture (tag 0x9003), held upright."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif.get_ifd(0x8769)[0x9003] = when
    block = exif.tobytes()
    return jpeg[:2] + b"\xff\xe1" + (len(block) + 2).to_bytes(2, "big") + block + jpeg[2:]


def free_port() -> int:
    """A port that nobody listens on just now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Server:
    """The program itself, as `inspect-app serve` runs it."""

    programs: ForkedPrograms | None = None  # started with the first server, ended with the tests

    def __init__(self, data: Path) -> None:
        self.data = data
        self.port = free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self.process: int | None = None

    def start(self) -> None:
        """Start it and wait until it answers."""
        Server.programs = Server.programs or ForkedPrograms()
        log = self.data.parent / "server.log"
        self.process = Server.programs.start(["--data", str(self.data), "serve", "--port", str(self.port)], log)
        for _ in range(600):
            try:
                urllib.request.urlopen(f"{self.address}/api/v1/health", timeout=1)
                return
            except OSError:
                if not is_running(self.process):
                    break
                time.sleep(0.05)
        pytest.fail("the server did not start:\n" + log.read_text()[-3000:])

    def kill(self) -> None:
        """Kill it and what it started, in the middle of whatever it does."""
        if self.process:
            os.killpg(self.process, signal.SIGKILL)
            self._wait()

    def stop(self) -> None:
        """Ask it to stop, and wait."""
        if self.process and is_running(self.process):
            os.kill(self.process, signal.SIGTERM)
            self._wait()

    def _wait(self) -> None:
        for _ in range(1000):
            if self.process is None or not is_running(self.process):
                return
            time.sleep(0.02)
        pytest.fail("the server did not stop")


@pytest.fixture(scope="session", autouse=True)
def _no_server_left() -> Iterator[None]:
    yield
    if Server.programs:
        Server.programs.close()


def no_noise(page: Page) -> list[str]:
    """Collect what the browser complains about: errors, refused scripts or styles, failed requests."""
    complaints: list[str] = []
    page.on("pageerror", lambda error: complaints.append(f"page error: {error}"))
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    return complaints


PASSWORD = "nine lanterns under plaster"


class World:
    """A house of 12 sets and 5 lines; its technical director signs in as `robin`, a qualified inspector as `ines`."""

    def __init__(self, server: Server, house: str) -> None:
        self.server = server
        self.house = house

    def rows(self, query: str) -> list[tuple]:
        """What the office's database answers."""
        with sqlite3.connect(f"file:{self.server.data / 'inspect.db'}?mode=ro", uri=True) as db:
            return db.execute(query).fetchall()

    def url(self, path: str) -> str:
        """An address on the server; `{house}` stands for the house's id."""
        return self.server.address + path.replace("{house}", self.house)


def make_world(data: Path, sets: int = 12) -> str:
    """Fill a new data folder through the program's own actions; returns the house's id."""
    folder = open_data_folder(data)
    db = open_db(database_path(folder.settings))
    at = clock.now()
    with write_transaction(db):
        person = insert_person(db, "Robin Amsel", "technical director")
        insert_account(db, at, person.id, "robin", hash_password(PASSWORD))
    house = create_house(db, at=at, actor=person.id, name="Trial House", tz="America/Chicago", units="imperial").id
    answers = Answers(
        sets=sets,
        spacing_mm=203,
        first_mm=600,
        lines=5,
        well_x_mm=(-6000, -3000, 0, 3000, 6000),
        grid_mm=18_000,
        bridge_mm=14_000,
        attributes={PartKind.LIFT_LINE: {"rope_diameter_mm": "6.35", "rope_construction": "7x19"}},
    )
    generate_house(db, at=at, actor=person.id, house=house, answers=answers)
    with write_transaction(db):
        inspector = insert_person(db, "Ines Vogt", "rigging inspector")
        insert_account(db, at, inspector.id, "ines", hash_password(PASSWORD))
        set_roles(db, house, inspector.id, frozenset({Role.INSPECTOR}), at)
    db.conn.close()
    return house


@pytest.fixture(scope="session")
def made_world(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """The data folder of a world that nobody has opened yet, and its house: each test takes a copy."""
    data = tmp_path_factory.mktemp("made") / "data"
    return data, make_world(data)


@pytest.fixture
def world(made_world: tuple[Path, str], tmp_path: Path) -> Iterator[World]:
    """A running server with a house of its own."""
    data, house = made_world
    shutil.copytree(data, tmp_path / "data")
    server = Server(tmp_path / "data")
    server.start()
    yield World(server, house)
    server.stop()


class PocketPhone:
    """A browser with a profile of its own that can be killed and started again."""

    def __init__(self, playwright: Playwright, profile: Path) -> None:
        self.playwright = playwright
        self.profile = profile
        self.context: BrowserContext | None = None

    def start(self) -> Page:
        """Open the browser on its profile."""
        self.context = self.playwright.chromium.launch_persistent_context(
            str(self.profile), executable_path=CHROMIUM, args=FLAGS, **PHONE
        )
        return self.context.pages[0] if self.context.pages else self.context.new_page()

    def kill(self) -> None:
        """Kill it as a dead battery does: the one process that was started on this profile."""
        mark = f"--user-data-dir={self.profile}".encode()
        for folder in Path("/proc").glob("[0-9]*"):
            try:
                command = (folder / "cmdline").read_bytes().split(b"\0")
            except OSError:
                continue
            if mark in command and not any(word.startswith(b"--type=") for word in command):
                os.kill(int(folder.name), signal.SIGKILL)
        time.sleep(1)

    def close(self) -> None:
        """Close it in the ordinary way."""
        if self.context:
            self.context.close()


@pytest.fixture
def pocket(driver: Playwright, tmp_path: Path) -> PocketPhone:
    return PocketPhone(driver, tmp_path / "profile")


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A page on a phone; whatever the browser complains about fails the test."""
    context = browser.new_context(**PHONE)
    page = context.new_page()
    complaints = no_noise(page)
    yield page
    context.close()
    assert complaints == []


@pytest.fixture
def phone_without_checks(browser: Browser) -> Iterator[Page]:
    """A page on a phone for tests in which the browser has reason to complain."""
    context = browser.new_context(**PHONE, service_workers="block")
    yield context.new_page()
    context.close()


@pytest.fixture
def desk(browser: Browser) -> Iterator[Page]:
    """A page on a desk screen; whatever the browser complains about fails the test."""
    context = browser.new_context(**DESK)
    page = context.new_page()
    complaints = no_noise(page)
    yield page
    context.close()
    assert complaints == []


def sign_in_at(page: Page, world: World, username: str = "robin") -> None:
    """Have the browser signed in: its own requests, without the pages on the way."""
    asked = page.context.request
    token = re.search(r'name="csrf_token"[^>]*value="([^"]+)"', asked.get(world.url("/sign-in")).text())
    assert token
    form = {"username": username, "password": PASSWORD, "csrf_token": token[1]}
    headers = {"Referer": world.url("/sign-in")}
    answer = asked.post(world.url("/sign-in"), form=form, headers=headers, max_redirects=0)
    assert answer.status == 303, answer.text()


def sign_in_by_form(page: Page, world: World, username: str = "robin") -> None:
    """Sign in by the page's own form."""
    page.goto(world.url("/sign-in"))
    page.locator("input[name=username]").fill(username)
    page.locator("input[type=password]").fill(PASSWORD)
    page.locator("main button[type=submit]").first.click()
    page.wait_for_url("**/houses/**")


def begin_walk_at(page: Page, world: World, *titles: str) -> None:
    """Open the walk page and begin a walk with the checklists named."""
    page.goto(world.url("/walk?house={house}"))
    page.get_by_role("button", name="Begin a new walk").click()
    for title in titles:
        page.get_by_label(title, exact=True).check()
    page.get_by_label("Who keeps the deck clear").fill("Kim Osei")
    page.get_by_label("Who to call for rescue").fill("House desk, then the fire brigade")
    page.get_by_label("Expected down at").fill("17:30")
    page.get_by_label("Read out").check()
    page.get_by_role("button", name="Begin the walk").click()
    page.get_by_role("heading", level=1, name=titles[0]).wait_for()


def start_walk(page: Page, world: World, *titles: str) -> None:
    """Signed in, paired, a walk begun and its opening in the office."""
    sign_in_at(page, world)
    begin_walk_at(page, world, *(titles or (QUARTERLY,)))
    in_the_office(page)


def walk_of(page: Page) -> str:
    return re.search(r"walk=([0-9a-f-]+)", page.url).group(1).replace("-", "")


def tap(page: Page, count: int = 1) -> None:
    """Tap targets that are not yet recorded, well apart; each makes two entries."""
    for _ in range(count):
        free = page.locator(".tap:not([disabled]):not(.recorded)").first
        row = free.evaluate("(target) => target.closest('[data-row]').dataset.row")
        free.tap()
        with suppress(AssertionError):  # on a phone that is full it is not recorded
            expect(page.locator(f'[data-row="{row}"] .tap')).to_have_class(re.compile("recorded"), timeout=720)
        page.evaluate(A_SECOND_PASSES)


def expect_all_there_once(page: Page, world: World) -> None:
    """What the phone recorded on its walk and what the office has of it are the same bytes; nothing is held."""
    here = {row["id"].replace("-", ""): row["text"] for row in local_rows(page)}
    walk = walk_of(page)
    kept = world.rows(f"SELECT lower(hex(id)), raw FROM entry WHERE lower(hex(walk)) = '{walk}'")
    assert {key: bytes(raw).decode() for key, raw in kept} == here
    assert len(kept) == len(here)
    assert world.rows(f"SELECT count(*) FROM held WHERE lower(hex(walk)) = '{walk}'") == [(0,)]


@pytest.fixture
def sign_in_on(world: World) -> Callable[..., None]:
    return lambda page, username="robin": sign_in_at(page, world, username)


@pytest.fixture
def begin_walk(world: World) -> Callable[..., None]:
    return lambda page, *titles: begin_walk_at(page, world, *titles)
