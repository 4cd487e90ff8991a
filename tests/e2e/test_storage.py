"""What a phone keeps: packs changed piece by piece, several houses, originals, room left, and files in parts."""

import hashlib
import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, Request, expect
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.house import change_house, create_house, generate_house
from inspect_app.domain.ids import from_key
from inspect_app.store.db import open_db
from inspect_app.store.house import get_house
from tests.bench.place import FORTY_SETS
from tests.e2e.conftest import (
    LOFT,
    PHONE,
    QUARTERLY,
    ROOT,
    PocketPhone,
    Server,
    World,
    as_taken,
    in_the_office,
    local_digests,
    local_rows,
    make_world,
    noisy_picture,
    sign_in_at,
    start_walk,
    tap,
    wait_until,
)

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-storage")]


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    """One house and server for all of these; each test pairs a phone of its own."""
    data = tmp_path_factory.mktemp("storage") / "data"
    house = make_world(data)
    server = Server(data)
    server.start()
    yield World(server, house)
    server.stop()


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    made = browser.new_context(**PHONE, service_workers="block", accept_downloads=True)
    yield made
    made.close()


@pytest.fixture
def page(context: BrowserContext) -> Page:
    return context.new_page()


def set_house(world: World, **change: object) -> None:
    """Change the house as its settings page does."""
    db = open_db(world.server.data / "inspect.db")
    house = get_house(db, world.house)
    given = {"name": house.name, "tz": house.tz, "units": house.units, "datum": house.datum} | change
    change_house(db, at=clock.now(), actor=robin(db), house=world.house, **given)  # type: ignore[arg-type]
    db.conn.close()


def robin(db: Database) -> str:
    """The id of the technical director."""
    return from_key(db.execute("SELECT person FROM account WHERE username = 'robin'").fetchone()[0])


def packs_asked(page: Page) -> list[Request]:
    """The requests for a pack from here on, as they are made."""
    asked: list[Request] = []
    page.on("request", lambda request: asked.append(request) if re.search(r"/pack(\?|$)", request.url) else None)
    return asked


KEPT = """async (house) => {
  const { packs } = await import('/static/js/field/memory.js');
  const { etagOf } = await import('/static/js/field/pack_delta.js');
  const { pack, etag } = await packs.get(house);
  await pack.whole();
  return { etag: etag.replace(/^W\\//, '').replaceAll('"', ''), own: await etagOf(pack), pack: JSON.stringify(pack) };
}"""
WHOLE = """async (house) => {
  const { pairing } = await import('/static/js/field/memory.js');
  const { token } = await pairing.get(house);
  const answer = await fetch(`/api/v1/houses/${house}/pack`, { headers: { Authorization: `Bearer ${token}` } });
  return await answer.text();
}"""


AS_EARLIER = """async ([house, form]) => {
  const { transact } = await import('/static/js/field/db.js');
  const { packs } = await import('/static/js/field/memory.js');
  const kept = await packs.get(house);
  await kept.pack.whole();
  const { etag, kept_at } = kept;
  const pack = JSON.parse(JSON.stringify(kept.pack));
  const bulk = ['limits', 'not_judged'];
  const texts = Object.fromEntries(Object.entries(pack).map(([name, value]) => [name, JSON.stringify(value)]));
  const beside = Object.fromEntries(bulk.map((name) => [name, texts[name]]));
  for (const name of [...bulk, 'checklists']) texts[name] = '';
  const lists = pack.checklists.map((list) => [list.revision, JSON.stringify(list)]);
  await transact(['packs', 'meta'], 'readwrite', (t) => {
    t.objectStore('meta').delete(IDBKeyRange.bound(`pack-list/${house}/`, `pack-list/${house}/\uffff`));
    t.objectStore('meta').delete(`pack-bulk/${house}`);
    if (form === 'texts') t.objectStore('meta').put(beside, `pack-bulk/${house}`);
    const kept_now = form === 'texts' ? { texts, lists } : { pack };
    t.objectStore('packs').put({ house, etag, kept_at, ...kept_now });
  });
}"""


def same_pack(one: str, other: str) -> bool:
    """Whether two packs are the same but for the time at which they were made."""
    return {**json.loads(one), "made_at": 0} == {**json.loads(other), "made_at": 0}


@pytest.mark.parametrize("form", ["texts", "one object"])
def test_a_pack_that_an_earlier_page_kept_opens_the_walk_with_no_office_in_reach(
    page: Page, world: World, form: str
) -> None:
    start_walk(page, world, "Annual hands-on inspection")
    page.locator(LOFT).tap()
    page.locator("#rows .tap").first.wait_for()
    page.evaluate(AS_EARLIER, [world.house, form])
    page.route("**/api/**", lambda route: route.abort())
    page.reload()
    page.locator("#rows .tap").first.wait_for()
    page.locator("[data-row]").nth(0).get_by_role("button", name="Finding at").tap()
    page.locator("button.point[data-point=lift-line-diameter]").first.tap()
    figure = page.locator(".figure").first
    figure.locator("input").first.fill("0.2372")
    expect(figure.locator(".verdict")).to_contain_text("outside when less than 0.2375 in: 29 CFR 1926.1413")


@pytest.mark.parametrize("spoilt", [False, True], ids=["as sent", "spoilt on the way"])
def test_a_changed_house_comes_as_its_changes_and_is_exactly_what_the_office_has(
    page: Page, world: World, spoilt: bool
) -> None:
    sign_in_at(page, world)
    asked = packs_asked(page)
    page.goto(world.url("/walk?house={house}"))
    page.get_by_role("button", name="Begin a new walk").wait_for()
    while len(asked) < 2 or not asked[1].response():  # fetched, and asked behind the screen whether it is the newest
        page.wait_for_timeout(50)
    first = page.evaluate(KEPT, world.house)
    assert first["own"] == first["etag"]  # what the browser makes of every section is the server's text of it
    asked.clear()
    set_house(world, datum=f"the setting line {spoilt}")
    if spoilt:
        page.route("**/pack?since=*", spoil)
    page.reload()
    page.get_by_role("button", name="Begin a new walk").wait_for()
    wait_until(page, f"({KEPT})('{world.house}').then((kept) => kept.etag !== '{first['etag']}')")
    asked = [*asked]  # what follows is the test's own asking
    now = page.evaluate(KEPT, world.house)
    assert now["own"] == now["etag"]
    assert same_pack(now["pack"], page.evaluate(WHOLE, world.house))
    assert json.loads(now["pack"])["house"]["datum"] == f"the setting line {spoilt}"
    assert ["?since=" in one.url for one in asked][:2] == ([True, False] if spoilt else [True])
    delta = asked[0].response()
    assert delta is not None
    if not spoilt:
        assert set(delta.json()["changed"]) == {"house"}
        assert int(delta.headers["content-length"]) < 1_000


def spoil(route) -> None:  # type: ignore[no-untyped-def]
    answer = route.fetch()
    said = answer.json()
    said["changed"]["house"]["datum"] = "something else"
    route.fulfill(response=answer, json=said)


def test_two_houses_on_one_phone_keep_apart_offline_and_both_arrive(driver: Playwright, tmp_path: Path) -> None:
    first = make_world(tmp_path / "data")
    server = Server(tmp_path / "data")
    server.start()
    pocket = PocketPhone(driver, tmp_path / "profile")
    page = pocket.start()
    sign_in_at(page, World(server, first))
    db = open_db(tmp_path / "data" / "inspect.db")
    second = create_house(db, at=clock.now(), actor=robin(db), name="Annex", tz="UTC", units="metric").id
    generate_house(db, at=clock.now(), actor=robin(db), house=second, answers=FORTY_SETS)
    db.conn.close()
    worlds = {"Trial House": World(server, first), "Annex": World(server, second)}
    for world in worlds.values():
        page.goto(world.url("/walk?house={house}"))
        page.get_by_role("button", name="Begin a new walk").wait_for()
        wait_until(page, "navigator.serviceWorker.controller !== null")  # takes no page that is on its way just then
    server.kill()
    for name, count in (("Trial House", 1), ("Annex", 2)):
        page.goto(f"{server.address}/walk")  # as from the home screen: no house in the address, and no server
        expect(page.locator("#houses")).to_contain_text("as of")  # how old each pack is
        page.locator("#houses button", has_text=name).tap()
        expect(page.locator("#house-name")).to_have_text(name)
        begin_walk_here(page)
        page.locator(LOFT).tap()
        tap(page, count)
    page.goto(f"{server.address}/walk")
    expect(page.locator("#houses button", has_text="Trial House")).to_contain_text("not yet sent")
    expect(page.locator("#houses button", has_text="Annex")).to_contain_text("not yet sent")
    entries = local_rows(page)
    assert {row["house"] for row in entries} == {first, second}
    assert len({row["walk"] for row in entries}) == 2
    page.locator("#houses button", has_text="Trial House").tap()
    expect(page.locator("#queue")).to_contain_text(f"{len(entries)} not yet sent")  # of both houses
    page.get_by_role("button", name="What is on this phone").tap()
    expect(page.locator("#field")).to_contain_text("Annex: ")
    server.start()
    page.locator("#send").tap()
    in_the_office(page)
    kept = worlds["Annex"].rows("SELECT lower(hex(e.id)), lower(hex(e.house)) FROM entry e")
    assert sorted(kept) == sorted((row["id"].replace("-", ""), row["house"].replace("-", "")) for row in entries)
    assert worlds["Annex"].rows("SELECT count(*) FROM held") == [(0,)]
    pocket.close()
    server.stop()


def begin_walk_here(page: Page) -> None:
    page.get_by_role("button", name="Begin a new walk").tap()
    page.get_by_label(QUARTERLY, exact=True).check()
    page.get_by_label("Who keeps the deck clear").fill("Kim Osei")
    page.get_by_label("Who to call for rescue").fill("House desk")
    page.get_by_label("Read out").check()
    page.get_by_role("button", name="Begin the walk").tap()


def take_photo(page: Page, path: Path) -> None:
    page.locator("[data-row]").first.get_by_role("button", name="Finding at").tap()
    page.locator("button.point[data-point=loft-block-groove]").first.tap()
    page.set_input_files("input[type=file]", str(path))


def test_a_house_that_keeps_originals_gets_the_picture_and_the_cameras_own_bytes(
    page: Page, world: World, tmp_path: Path
) -> None:
    set_house(world, keep_originals=True)
    start_walk(page, world)
    page.locator(LOFT).tap()
    taken = as_taken(noisy_picture(7), "2026:03:04 19:22:05")
    (tmp_path / "p.jpg").write_bytes(taken)
    page.route("**/api/v1/photos/**", lambda route: route.abort())  # so that what the phone holds can be looked at
    take_photo(page, tmp_path / "p.jpg")
    wait_until(
        page, "import('/static/js/field/db.js').then((db) => db.all('photos')).then((all) => all.some((one) => one.of))"
    )
    (picture,) = [row for row in local_rows(page, "photos") if "of" not in row]
    scaled = local_digests(page)[picture["id"]]
    page.unroute("**/api/v1/photos/**")
    page.get_by_role("button", name="Save the finding").tap()
    page.locator("#send").tap()
    in_the_office(page)
    key = picture["id"].replace("-", "")
    assert world.rows(f"SELECT lower(hex(sha256)), max(width, height) FROM photo WHERE lower(hex(id)) = '{key}'") == [
        (scaled, 2048)
    ]
    (original,) = world.rows(f"SELECT lower(hex(sha256)), bytes FROM original WHERE lower(hex(id)) = '{key}'")
    assert original == (hashlib.sha256(taken).hexdigest(), len(taken))
    assert local_digests(page) == {}  # the phone has its room back
    command = [sys.executable, "-m", "inspect_app", "--data", str(world.server.data), "verify"]
    said = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert said.returncode == 0, said.stdout
    assert "originals: all 1 fit their digests" in said.stdout
    set_house(world, keep_originals=False)


LITTLE = "navigator.storage.estimate = async () => ({ usage: 180e6, quota: 210e6 })"


def test_little_room_is_said_in_time_and_an_entry_is_kept_when_its_photo_is_not(
    page: Page, world: World, tmp_path: Path
) -> None:
    page.add_init_script(LITTLE)
    start_walk(page, world)
    expect(page.locator("#room")).to_contain_text("about 22 more photos")
    page.get_by_role("button", name="What is on this phone").tap()
    expect(page.locator("#room-left")).to_contain_text(
        "Used by this page: 180 MB. Left: about 30 MB, room for 22 photos"
    )
    page.get_by_role("button", name="Back").tap()
    page.locator("#room").tap()
    expect(page.locator("#room")).to_be_hidden()
    page.locator(LOFT).tap()
    page.evaluate(
        """() => {
          const put = IDBObjectStore.prototype.put;
          IDBObjectStore.prototype.put = function (value, key) {
            if (this.name === 'bytes') throw new DOMException('full', 'QuotaExceededError');
            return put.call(this, value, key);
          };
        }"""
    )
    (tmp_path / "p.jpg").write_bytes(noisy_picture(1, 400, 300))
    take_photo(page, tmp_path / "p.jpg")
    expect(page.locator(".photos li")).to_contain_text(
        "the phone's storage is full. The entry can be saved without it."
    )
    assert local_rows(page, "photos") == []  # nothing is left half kept
    page.get_by_role("button", name="Save the finding").tap()
    page.locator("#rows").wait_for()
    in_the_office(page)
    assert [row["kind"] for row in local_rows(page)] == ["opening", "look"]


def test_the_readiness_page_says_how_much_room_there_is_and_that_storage_is_kept(page: Page, world: World) -> None:
    page.add_init_script(LITTLE)
    sign_in_at(page, world)
    page.goto(world.url("/walk?house={house}"))
    page.get_by_role("button", name="Is this phone ready?").tap()
    expect(page.locator("#ready li", has_text="Left: about 30 MB")).to_contain_text("Not yet.")
    expect(page.locator("#ready li", has_text="House and checklists of")).to_contain_text("as of")
    expect(page.locator("#pack-age")).to_contain_text("as of")


def test_the_entry_ballast_is_what_a_browser_cannot_press_together(page: Page, world: World) -> None:
    sign_in_at(page, world)
    page.goto(world.url("/walk?house={house}"))
    page.get_by_role("button", name="Begin a new walk").wait_for()
    wait_until(page, "import('/static/js/field/db.js').then((db) => db.all('ballast')).then((all) => all.length === 4)")
    shares = page.evaluate(
        """async () => {
          const db = await import('/static/js/field/db.js');
          const sizes = [];
          for (const { bytes } of await db.all('ballast')) {
            const pressed = new Blob([bytes]).stream().pipeThrough(new CompressionStream('deflate'));
            sizes.push((await new Response(pressed).arrayBuffer()).byteLength / bytes.byteLength);
          }
          return sizes;
        }"""
    )
    assert all(share > 0.99 for share in shares)


# Eight photos of 8 MB that wait, as a walk with large originals leaves them; small ones of that size do not compress.
SEED = """async ([house, count, size]) => {
  const db = await import('/static/js/field/db.js');
  const { uuid7 } = await import('/static/js/field/ids.js');
  for (let n = 0; n < count; n += 1) {
    const bytes = new Uint8Array(size);
    bytes.set([0xff, 0xd8, 0xff, 0xe0, n]);
    for (let at = 8; at + 65536 <= size; at += 65536) crypto.getRandomValues(bytes.subarray(at, at + 65536));
    const id = uuid7();
    const facts = { house, state: 'here', mime: 'image/jpeg', size, name: '', taken: Date.now(), about: null, why: '' };
    await db.put('photos', { id, ...facts });
    await db.put('bytes', { id, buffer: bytes.buffer, mime: 'image/jpeg' });
  }
}"""


def test_a_large_rest_is_saved_in_parts_that_are_brought_in_together(
    page: Page, desk: Page, world: World, tmp_path: Path
) -> None:
    start_walk(page, world)
    page.route("**/api/v1/entries", lambda route: route.abort())
    page.route("**/api/v1/photos/**", lambda route: route.abort())
    page.locator(LOFT).tap()
    tap(page, 2)
    page.evaluate(SEED, [world.house, 8, 8_000_000])
    digests = local_digests(page)
    page.get_by_role("button", name="Whole walk").tap()
    page.get_by_role("button", name="What is on this phone").tap()
    page.get_by_role("button", name="Save a file").tap()
    parts = page.locator("#parts li")
    expect(parts).to_have_count(2)
    saved = []
    for n in (1, 0):  # in any order
        with page.expect_download(timeout=60_000) as download:
            parts.nth(n).get_by_role("button").tap()
        expect(parts.nth(n)).to_contain_text(f"Part {n + 1} of 2: saved", timeout=30_000)
        saved.append(tmp_path / download.value.suggested_filename)
        download.value.save_as(saved[-1])
    assert [path.name.partition("-part-")[2] for path in saved] == ["2-of-2.json", "1-of-2.json"]
    assert all(path.stat().st_size < 60_000_000 for path in saved)
    texts = [text for path in saved for text in json.loads(path.read_text())["entries"]]
    assert sorted(texts) == sorted(row["text"] for row in local_rows(page) if row["state"] == "here")

    sign_in_at(desk, world)
    for again in (False, True):
        desk.goto(world.url("/houses/{house}/unsent"))
        desk.set_input_files("input[type=file]", [str(path) for path in saved])
        desk.get_by_role("button", name="Bring it in").click()
        expect(desk.locator("section h2")).to_have_text(
            ["All of it is in the office: part 2 of 2", "All of it is in the office: part 1 of 2"], timeout=120_000
        )
        photos = world.rows("SELECT lower(hex(id)), lower(hex(sha256)) FROM photo WHERE bytes = 8000000")
        assert dict(photos) == {key.replace("-", ""): digest for key, digest in digests.items()}
        assert again or len(photos) == 8
    looks = {row["id"].replace("-", "") for row in local_rows(page)}
    there = [row[0] for row in world.rows("SELECT lower(hex(id)) FROM entry") if row[0] in looks]
    assert len(there) == len(looks)
