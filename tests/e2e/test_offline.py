"""A walk with no signal: server gone, browser killed, connection bad; every entry and photo arrives exactly once."""

import hashlib
import io
import json
import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from tests.e2e.conftest import (
    LOFT,
    UNHURRIED,
    PocketPhone,
    Server,
    World,
    as_taken,
    in_the_office,
    local_digests,
    local_rows,
    make_world,
    noisy_picture,
    start_walk,
    wait_until,
)

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-offline")]
SETS, LINES = 30, 5
ALL_PARTS = SETS * LINES * 2  # a loft block and a lift line at each place: one tap records both
SCALED = """async () => {
  const db = await import('/static/js/field/db.js');
  const photos = await db.all('photos');
  return photos.length > 0 && photos.every((photo) => photo.state !== 'raw');
}"""


def hexed(text: str) -> str:
    return text.replace("-", "")


@pytest.fixture(scope="module")
def large_world(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    """A house of thirty sets: three hundred parts on the grid alone."""
    data = tmp_path_factory.mktemp("large") / "data"
    house = make_world(data, sets=SETS)
    server = Server(data)
    server.start()
    yield World(server, house)
    server.stop()


@pytest.fixture(scope="module")
def camera(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Twenty photos of about 3 MB and 12 megapixels, held upright, each with its own time of capture."""
    folder = tmp_path_factory.mktemp("camera")
    scenes = [noisy_picture(seed) for seed in range(5)]
    paths = []
    for n in range(20):
        paths.append(folder / f"photo-{n:02d}.jpg")
        paths[-1].write_bytes(as_taken(scenes[n % 5], f"2026:03:04 19:22:{n:02d}"))
    assert all(2_500_000 < path.stat().st_size < 4_000_000 for path in paths)
    return paths


def killed_in_the_middle(world: World, query: str, least: int, all_of_them: int) -> int:
    """Kill the server once it has taken some in; how many it has. The phone goes on meanwhile."""
    until = time.monotonic() + 60
    while world.rows(query)[0][0] < least and time.monotonic() < until:
        time.sleep(0.003)
    world.server.kill()
    (done,) = world.rows(query)[0]
    assert least <= done < all_of_them, f"killed too early or too late to say anything: {done} of {all_of_them}"
    return done


def walk_every_part(page: Page) -> None:
    """One tap at each place of every well: real touches, with a second between them for the page."""
    page.evaluate(UNHURRIED)
    for well in range(LINES):
        places = page.locator("#rows .tap")
        expect(places).to_have_count(SETS)
        for n in range(SETS):
            places.nth(n).tap()
        expect(page.locator("#rows .tap.recorded")).to_have_count(SETS)
        if well < LINES - 1:
            page.get_by_role("button", name="Next", exact=True).tap()


def take_photos(page: Page, paths: list[Path]) -> None:
    """Five findings with four photos each, through the file field as a camera hands them over."""
    for n in range(5):
        page.locator("[data-row]").nth(n).get_by_role("button", name="Finding at").tap()
        page.locator("button.point[data-point=loft-block-groove]").first.tap()
        page.set_input_files("input[type=file]", [str(path) for path in paths[4 * n : 4 * n + 4]])
        expect(page.locator(".photos li", has_text="on this phone")).to_have_count(4, timeout=30_000)
        page.locator("textarea[name=note]").fill(f"note {n}")
        page.get_by_role("button", name="Save the finding").tap()
        page.locator("#rows").wait_for()


def test_three_hundred_parts_and_twenty_photos_survive_a_dead_battery_and_three_dead_servers_exactly_once(
    pocket: PocketPhone, large_world: World, camera: list[Path]
) -> None:
    world = large_world
    page = pocket.start()
    start_walk(page, world)
    wait_until(page, "navigator.serviceWorker.controller !== null")  # the page itself is on the phone
    world.server.kill()
    pocket.context.set_offline(True)  # the browser's own word for it, beside a server that is really gone
    page.reload()  # the page comes from the phone
    page.locator(LOFT).tap()
    walk_every_part(page)
    take_photos(page, camera)
    here = {entry["id"]: entry["text"] for entry in local_rows(page)}
    looks = [json.loads(text) for text in here.values() if json.loads(text)["kind"] == "look"]
    assert len({look["part"] for look in looks}) == ALL_PARTS
    assert len(looks) == ALL_PARTS + 5
    assert sorted(entry["seq"] for entry in local_rows(page)) == list(range(1, len(here) + 1))
    expect(page.locator("#not-saved")).to_be_hidden()
    digests = local_digests(page)  # read before the states: what is raw afterwards was raw then
    raw = {photo["id"] for photo in local_rows(page, "photos") if photo["state"] == "raw"}
    taken = {hashlib.sha256(path.read_bytes()).hexdigest() for path in camera}
    assert {digest for key, digest in digests.items() if key in raw} <= taken

    pocket.kill()
    page = pocket.start()
    pocket.context.set_offline(True)
    page.goto(world.url("/walk?house={house}"))  # still no server
    page.get_by_role("button", name="Go on with").first.tap()
    page.locator("#rows").wait_for()  # at the place where the battery died
    expect(page.locator("#rows .tap.recorded")).to_have_count(SETS)
    # all but the opening, which went before the signal did
    expect(page.locator("#queue")).to_contain_text(f"{len(here) - 1 + 20} not yet sent")
    assert {entry["id"]: entry["text"] for entry in local_rows(page)} == here
    wait_until(page, SCALED)
    digests = local_digests(page)
    assert len(digests) == 20

    world.server.start()
    pocket.context.set_offline(False)  # the page sends by itself
    killed_in_the_middle(world, "SELECT count(*) FROM entry", 2, len(here))
    expect(page.locator("#queue")).to_contain_text("No connection to the office", timeout=40_000)
    world.server.start()
    page.locator("#send").tap()
    killed_in_the_middle(world, "SELECT count(*) FROM photo", 3, 20)
    expect(page.locator("#queue")).to_contain_text("No connection to the office", timeout=40_000)
    world.server.start()
    page.locator("#send").tap()
    in_the_office(page, 90)

    kept = {row[0]: bytes(row[1]).decode() for row in world.rows("SELECT lower(hex(id)), raw FROM entry")}
    assert kept == {hexed(key): text for key, text in here.items()}  # each exactly once, byte for byte
    assert world.rows("SELECT count(*) FROM held") == [(0,)]
    photos = {row[0]: row[1] for row in world.rows("SELECT lower(hex(id)), lower(hex(sha256)) FROM photo")}
    assert photos == {hexed(key): digest for key, digest in digests.items()}
    (uses,) = world.rows("SELECT count(DISTINCT photo) FROM photo_use")[0]
    assert uses == 20
    check_files(world, set(digests.values()))
    assert local_digests(page) == {}  # and they leave the phone only then
    assert {entry["state"] for entry in local_rows(page)} == {"office"}
    pocket.close()


def check_files(world: World, digests: set[str]) -> None:
    """The bytes in the office's folder are those that the phone held, upright, with the time of capture."""
    files = {}
    for path in (world.server.data / "photos").rglob("*"):
        if path.is_file():
            files[hashlib.sha256(path.read_bytes()).hexdigest()] = path
    assert digests <= set(files)
    times = []
    for digest in digests:
        picture = Image.open(io.BytesIO(files[digest].read_bytes()))
        assert picture.size == (1536, 2048)
        times.append(picture.getexif().get_ifd(0x8769)[0x9003])
    assert sorted(times) == [f"2026:03:04 19:22:{n:02d}" for n in range(20)]
    shown = sorted(row[0][:19] for row in world.rows("SELECT taken_at FROM photo"))
    assert shown == [f"2026-03-04T19:22:{n:02d}" for n in range(20)]


def test_typed_words_and_a_photo_without_entry_are_there_after_the_page_was_killed(
    pocket: PocketPhone, world: World, tmp_path: Path
) -> None:
    page = pocket.start()
    start_walk(page, world)
    wait_until(page, "navigator.serviceWorker.controller !== null")  # the page itself is on the phone
    world.server.stop()
    page.locator(LOFT).tap()
    page.locator("[data-row]").first.get_by_role("button", name="Finding at").tap()
    page.locator("button.point[data-point=loft-block-groove]").first.tap()
    page.locator("textarea[name=note]").fill("half a sentence")
    path = tmp_path / "loose.jpg"
    path.write_bytes(as_taken(noisy_picture(1, 1200, 900), "2026:03:04 19:22:00"))
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
    look = json.loads([entry for entry in local_rows(page) if entry["kind"] == "look"][-1]["text"])
    assert look["note"] == "half a sentence"
    assert look["photos"] == [photo["id"] for photo in local_rows(page, "photos")]
    pocket.close()


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
    assert world.rows("SELECT count(*) FROM device WHERE kind = 'phone'") == [(1,)]
