"""What can go wrong between phone and office: nothing is lost, each arrives once, and the bar says what goes on."""

import hashlib
import json
import re
import sqlite3
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from tests.e2e.conftest import (
    LOFT,
    PHONE,
    Server,
    World,
    as_taken,
    expect_all_there_once,
    in_the_office,
    local_digests,
    local_rows,
    make_world,
    noisy_picture,
    sign_in_at,
    start_walk,
    tap,
    wait_until,
    walk_of,
)

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-faults")]
ENTRIES = "**/api/v1/entries"
PHOTOS = "**/api/v1/photos/*"
JSON = "application/json"


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    """One house and server for all of these; each test pairs a phone of its own and begins a walk of its own."""
    data = tmp_path_factory.mktemp("faults") / "data"
    house = make_world(data)
    server = Server(data)
    server.start()
    yield World(server, house)
    server.stop()


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """A phone without a service worker, so that what the page asks for can be answered by the test."""
    made = browser.new_context(**PHONE, service_workers="block")
    yield made
    made.close()


@pytest.fixture
def page(context: BrowserContext, world: World) -> Page:
    page = context.new_page()
    start_walk(page, world)
    page.locator(LOFT).tap()
    return page


@pytest.fixture(scope="module")
def picture(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("camera") / "photo.jpg"
    path.write_bytes(as_taken(noisy_picture(1, 1600, 1200), "2026:03:04 19:22:00"))
    return path


def take_photo(page: Page, picture: Path) -> None:
    page.locator("[data-row]").nth(3).get_by_role("button", name="Finding at").tap()
    page.locator("button.point[data-point=loft-block-groove]").first.tap()
    page.set_input_files("input[type=file]", str(picture))
    expect(page.locator(".photos li")).to_contain_text("on this phone", timeout=15_000)
    page.get_by_role("button", name="Save the finding").tap()
    page.locator("#rows").wait_for()


ANSWERS = {
    "500": (500, JSON, '{"message":"The office had an error."}', "The office had an error. Kept here."),
    "500 as a page": (500, "text/html", "<h1>Oops</h1>", "This network did not let the office answer. Kept here."),
    "403 as a page": (403, "text/html", "<h1>Forbidden</h1>", "This network did not let the office answer."),
    "403": (403, JSON, '{"message":"Not for this phone."}', "Not for this phone."),
    "413": (413, JSON, '{"message":"Too large."}', "Too large. Kept here."),
    "503": (503, JSON, '{"message":"Not saved: the disk is full."}', "Not saved: the disk is full."),
    "a sign-in page": (200, "text/html", "<h1>Sign in to this Wi-Fi</h1>", "did not let the office answer"),
    "no verdicts": (200, JSON, '{"verdicts":[]}', "The office did not say that it has them. Kept here."),
    "strange verdicts": (200, JSON, '{"verdicts":[{"id":"x","verdict":"stored"}]}', "did not say that it has them"),
    "broken JSON": (200, JSON, "{not json", "No connection to the office."),
    "garbage": (200, "application/octet-stream", "\x00\x01\x02", "did not let the office answer"),
}


def test_an_answer_that_is_no_verdict_loses_nothing_and_is_told(page: Page, world: World) -> None:
    for status, kind, body, words in ANSWERS.values():
        page.route(ENTRIES, answering(status, kind, body))
        tap(page)
        expect(page.locator("#queue")).to_have_text(re.compile(f"^2 not yet sent: .*{re.escape(words)}"))
        expect(page.locator(".tap.recorded").last).to_contain_text("on this phone")
        page.unroute(ENTRIES)
        page.locator("#send").tap()
        in_the_office(page)
        expect(page.locator(".tap.recorded").last).to_contain_text("in the office")
    expect_all_there_once(page, world)


def answering(status: int, kind: str, body: str) -> Callable[[Route], None]:
    return lambda route: route.fulfill(status=status, content_type=kind, body=body)


def test_what_the_office_could_not_take_goes_by_itself_once_it_can(page: Page, world: World) -> None:
    page.route(ENTRIES, answering(*ANSWERS["500"][:3]))
    tap(page)
    expect(page.locator("#queue")).to_contain_text("2 not yet sent: The office had an error. Kept here.")
    page.unroute(ENTRIES)
    expect(page.locator("#queue")).to_have_text("All in the office", timeout=15_000)
    expect_all_there_once(page, world)


def test_an_answer_to_a_photo_that_is_no_receipt_loses_nothing_and_is_told(
    page: Page, world: World, picture: Path
) -> None:
    said = ["500"]  # what the office says at the moment; the page may ask at any time
    page.route(PHOTOS, lambda route: answering(*ANSWERS[said[0]][:3])(route))
    take_photo(page, picture)
    (photo,) = local_rows(page, "photos")
    expect(page.locator("#queue")).to_contain_text("1 not yet sent: The office had an error.", timeout=15_000)
    digest = local_digests(page)[photo["id"]]
    for name in ("403 as a page", "a sign-in page", "broken JSON", "garbage"):
        said[0] = name
        page.locator("#send").tap()
        expect(page.locator("#queue")).to_have_text(re.compile(f"^1 not yet sent: .*{re.escape(ANSWERS[name][3])}"))
    assert local_digests(page)[photo["id"]] == digest
    page.unroute(PHOTOS)
    page.locator("#send").tap()
    in_the_office(page)
    assert photo_in_office(world, photo["id"]) == [(digest,)]
    expect_all_there_once(page, world)


def photo_in_office(world: World, key: str) -> list[tuple]:
    return world.rows(f"SELECT lower(hex(sha256)) FROM photo WHERE lower(hex(id)) = '{key.replace('-', '')}'")


def test_a_photo_that_is_refused_for_good_stays_on_the_phone_and_a_person_is_asked(page: Page, picture: Path) -> None:
    page.route(PHOTOS, answering(*ANSWERS["413"][:3]))
    take_photo(page, picture)
    (photo,) = local_rows(page, "photos")
    expect(page.locator("#queue")).to_contain_text("1 not yet sent; some need help, see What is on this phone")
    page.get_by_role("button", name="Whole walk").tap()
    page.get_by_role("button", name="What is on this phone").tap()
    expect(page.locator("#field")).to_contain_text("was not sent: Too large.")
    assert photo["id"] in local_digests(page)


def test_a_batch_whose_answer_was_lost_is_sent_again_and_known_again(page: Page, world: World, picture: Path) -> None:
    sent: list[str] = []

    def lose(route: Route) -> None:
        route.fetch()  # the office stores it; nobody hears of that
        sent.append(route.request.method)
        route.abort()

    for path in (ENTRIES, PHOTOS):
        page.route(path, lose, times=1)
    tap(page)
    expect(page.locator("#queue")).to_contain_text("2 not yet sent: No connection to the office.")
    take_photo(page, picture)
    (photo,) = local_rows(page, "photos")
    page.locator("#send").tap()
    in_the_office(page)
    assert sent == ["POST", "PUT"]
    expect_all_there_once(page, world)
    assert len(photo_in_office(world, photo["id"])) == 1


def test_what_arrives_before_its_own_opening_and_an_old_copy_that_comes_last_change_nothing(
    context: BrowserContext, world: World
) -> None:
    page = context.new_page()
    late: list[str] = []

    def hold_back(route: Route) -> None:
        body = route.request.post_data
        if '"kind":"opening"' not in body:
            return route.continue_()
        late.append(body)
        return route.fulfill(status=500, content_type=JSON, body='{"message":"Not now."}')

    sign_in_at(page, world)
    page.route(ENTRIES, hold_back)
    page.goto(world.url("/walk?house={house}"))
    start_walk_without_office(page)
    page.locator(LOFT).tap()
    tap(page, 2)
    page.get_by_role("button", name="Undo the last entry").first.tap()
    expect(page.locator("#queue")).to_contain_text("1 not yet sent: Not now.", timeout=15_000)
    walk = walk_of(page)
    for _ in range(100):
        if world.rows(f"SELECT count(*) FROM look WHERE lower(hex(walk)) = '{walk}'") == [(6,)]:
            break
        page.wait_for_timeout(100)
    assert world.rows(f"SELECT kind, count(*) FROM entry WHERE lower(hex(walk)) = '{walk}'") == [("look", 6)]
    page.unroute(ENTRIES)
    page.locator("#send").tap()
    in_the_office(page)
    token = page.evaluate("(h) => import('/static/js/field/memory.js').then((m) => m.pairing.get(h))", world.house)
    headers = {"Authorization": f"Bearer {token['token']}", "Content-Type": JSON}
    for body in reversed(late):  # delayed on the way until everything else is there
        answer = page.request.post(world.url("/api/v1/entries"), data=body, headers=headers)
        assert {one["verdict"] for one in answer.json()["verdicts"]} == {"duplicate"}
    expect_all_there_once(page, world)
    assert world.rows(f"SELECT title, state FROM walk WHERE lower(hex(id)) = '{walk}'")[0][1] == "open"


def start_walk_without_office(page: Page) -> None:
    """Begin a walk whose opening does not get through."""
    page.get_by_role("button", name="Begin a new walk").click()
    page.locator("input[name=checklist][value=grid-quarterly]").check()
    page.get_by_label("Who keeps the deck clear").fill("Kim Osei")
    page.get_by_label("Who to call for rescue").fill("House desk")
    page.get_by_label("Read out").check()
    page.get_by_role("button", name="Begin the walk").click()
    page.locator(LOFT).wait_for()


def test_an_answer_that_comes_after_the_phone_has_given_up_does_no_harm(context: BrowserContext, world: World) -> None:
    page = context.new_page()
    start_walk(page, world)
    page.locator(LOFT).tap()
    # The thirty seconds that the page waits pass in one from here on.
    page.evaluate(
        "() => { const real = window.setTimeout;"
        " window.setTimeout = (act, ms, ...rest) => real(act, ms >= 30000 ? 1000 : ms, ...rest); }"
    )

    def dawdle(route: Route) -> None:
        answer = route.fetch()
        time.sleep(1.5)
        route.fulfill(response=answer)

    page.route(ENTRIES, dawdle, times=1)
    tap(page)
    expect(page.locator("#queue")).to_contain_text("2 not yet sent: No connection to the office.", timeout=15_000)
    page.locator("#send").tap()
    in_the_office(page)
    expect_all_there_once(page, world)


@pytest.mark.parametrize("days", [-2, 2])
def test_a_clock_two_days_wrong_loses_nothing_and_is_flagged_with_both_times_kept(
    context: BrowserContext, desk: Page, world: World, days: int
) -> None:
    context.add_init_script(
        f"{{ const off = {days} * 86400000, Real = Date;"
        " window.Date = class extends Real {"
        "   constructor(...given) { if (given.length) super(...given); else super(Real.now() + off); }"
        "   static now() { return Real.now() + off; } }; }"
    )
    page = context.new_page()
    start_walk(page, world)
    page.locator(LOFT).tap()
    tap(page, 2)
    page.get_by_role("button", name="Undo the last entry").first.tap()
    in_the_office(page)
    expect_all_there_once(page, world)
    walk = walk_of(page)
    rows = world.rows(
        f"SELECT recorded_at, received_at, skew_ms, flags FROM entry WHERE lower(hex(walk)) = '{walk}' ORDER BY arrival"
    )
    told, came = ([datetime.fromisoformat(row[n]) for row in rows] for n in (0, 1))
    assert told == sorted(told)
    for recorded, received in zip(told, came, strict=True):
        assert abs(recorded - received - timedelta(days=days)) < timedelta(minutes=2)
        assert abs(received - datetime.now(UTC)) < timedelta(minutes=5)
    assert all(abs(row[2] + days * 86_400_000) < 120_000 for row in rows)
    assert all('"clock_skew"' in row[3] for row in rows)
    first, second = page.locator("[data-row]").nth(0), page.locator("[data-row]").nth(1)
    expect(first.locator(".tap")).to_have_text("No finding")  # taken back
    expect(second.locator(".tap.recorded")).to_have_count(1)
    # What the people see: on the phone, before climbing and in its list; in the office, beside the device.
    off = f"2 days {'fast' if days > 0 else 'slow'}"
    page.get_by_role("button", name="Whole walk").tap()
    page.get_by_role("button", name="What is on this phone").tap()
    expect(page.locator("#field")).to_contain_text(f"the device's clock was {off} when this was sent")
    page.get_by_role("button", name="Back").tap()
    page.get_by_role("button", name="Other walks").tap()
    page.get_by_role("button", name="Is this phone ready?").tap()
    expect(page.locator("#ready")).to_contain_text("The phone's clock is 2 days off the office's.")
    sign_in_at(desk, world)
    desk.goto(world.url(f"/houses/{{house}}/walks/{as_id(walk)}"))
    expect(desk.locator("main")).to_contain_text(f"Its clock was {off}")
    # A look by a phone with a true clock is the last one, whatever the first phone's clock says.
    other = context.browser.new_context(**PHONE, service_workers="block")
    second_phone = other.new_page()
    start_walk(second_phone, world)
    second_phone.locator(LOFT).tap()
    part = json.loads([row["text"] for row in local_rows(page) if row["kind"] == "look"][-3])["part"]
    tap(second_phone, 2)
    in_the_office(second_phone)
    (by_whom,) = world.rows(
        "SELECT lower(hex(e.walk)) FROM part_state s JOIN entry e ON e.id = s.entry "
        f"WHERE lower(hex(s.part)) = '{part.replace('-', '')}'"
    )
    assert by_whom == (walk_of(second_phone),)
    other.close()


def as_id(key: str) -> str:
    return f"{key[:8]}-{key[8:12]}-{key[12:16]}-{key[16:20]}-{key[20:]}"


def test_what_is_recorded_after_the_session_has_ended_is_taken_all_the_same(
    page: Page, context: BrowserContext, world: World
) -> None:
    context.clear_cookies()  # and the office has forgotten the session as well
    with sqlite3.connect(world.server.data / "inspect.db") as db:
        db.execute("DELETE FROM session")
    tap(page)
    in_the_office(page)
    expect(page.locator(".tap.recorded").first).to_contain_text("in the office")
    expect_all_there_once(page, world)
    assert page.request.get(world.url("/houses/{house}/"), max_redirects=0).status in (302, 303)


def test_the_unsent_work_of_a_phone_that_was_withdrawn_is_brought_in_by_a_file_once(
    page: Page, desk: Page, world: World, picture: Path, tmp_path: Path
) -> None:
    device = page.evaluate("(h) => import('/static/js/field/memory.js').then((m) => m.pairing.get(h))", world.house)
    sign_in_at(desk, world)
    desk.goto(world.url("/houses/{house}/devices"))
    desk.locator(f"form[action*='{device['device']}'] button").click()
    confirm = desk.locator("main form button[type=submit]", has_text="Withdraw")
    if "devices/" in desk.url and confirm.count():
        confirm.first.click()
    tap(page)
    take_photo(page, picture)
    expect(page.locator("#queue")).to_contain_text("4 not yet sent", timeout=15_000)
    expect(page.locator("#queue")).to_contain_text("not paired")
    (photo,) = local_rows(page, "photos")
    wait_until(
        page,
        "import('/static/js/field/db.js').then(async (db) => (await db.all('photos')).every((p) => p.state !== 'raw'))",
    )
    digest = local_digests(page)[photo["id"]]
    page.get_by_role("button", name="Whole walk").tap()
    page.get_by_role("button", name="What is on this phone").tap()
    expect(page.locator("#field")).to_contain_text("3 on this phone")
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save a file").tap()
    saved.value.save_as(tmp_path / "unsent.json")
    expect(page.locator("#field")).to_contain_text("3 entries and 1 photos. They also stay on this phone.")
    for words in ("3", "0"):
        desk.goto(world.url("/houses/{house}/unsent"))
        desk.set_input_files("input[type=file]", str(tmp_path / "unsent.json"))
        desk.get_by_role("button", name="Bring it in").click()
        expect(desk.locator("main [role=status]")).to_contain_text("All of it is in the office")
        new, before = desk.locator("table.data tbody tr").nth(0), desk.locator("table.data tbody tr").nth(1)
        expect(new.locator("td").first).to_have_text(words)
        expect(before.locator("td").first).to_have_text("3" if words == "0" else "0")
    expect_all_there_once(page, world)
    assert photo_in_office(world, photo["id"]) == [(digest,)]
    stored = [path for path in (world.server.data / "photos").rglob("*") if path.is_file()]
    assert digest in {hashlib.sha256(path.read_bytes()).hexdigest() for path in stored}
