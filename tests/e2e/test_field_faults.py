"""The walk page when parts of it come late, are missing or change under a finger: no tap lost, nothing said falsely."""

import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from inspect_app import clock
from inspect_app.actions.tag_out import stop_thing
from inspect_app.domain.ids import from_key
from inspect_app.store.db import open_db
from tests.e2e.conftest import (
    LOFT,
    PHONE,
    World,
    begin_walk_at,
    in_the_office,
    local_rows,
    sign_in_at,
    start_walk,
    tap,
    wait_until,
)
from tests.e2e.test_field_worker import Site

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-page")]


@pytest.fixture
def page(phone_without_checks: Page, world: World) -> Page:
    """On a stretch of a walk, with no worker to keep the page's files."""
    start_walk(phone_without_checks, world)
    phone_without_checks.locator(LOFT).tap()
    phone_without_checks.locator("#rows .tap").first.wait_for()
    return phone_without_checks


def test_whoever_goes_on_before_the_tap_is_kept_is_told_nothing_false_and_finds_it_kept(page: Page) -> None:
    title = page.locator("h1").inner_text()
    page.evaluate(
        """() => {
          document.querySelector('#rows .tap').click();
          [...document.querySelectorAll('.walk-foot button')].find((one) => one.textContent === 'Next').click();
        }"""
    )
    in_the_office(page)
    expect(page.locator("#not-saved")).to_be_hidden()
    expect(page.locator("h1")).not_to_have_text(title)
    expect(page.locator("#rows .recorded")).to_have_count(0)
    page.get_by_role("button", name="Before").tap()
    expect(page.locator("#rows .recorded")).to_have_count(1)


def test_looks_that_come_in_while_a_finger_is_down_do_not_take_its_tap(page: Page, world: World) -> None:
    waiting: list[Route] = []
    page.route("**/looks", lambda route: waiting.append(route))
    page.reload()
    wait_until(page, "document.querySelectorAll('#rows .tap').length === 12")
    while not waiting:
        page.wait_for_timeout(50)
    own, here = page.locator("[data-row] .tap").nth(0), page.locator("[data-row] .tap").nth(2)
    (look,) = page.evaluate(LOOKS_OF_ANOTHER)
    box = here.bounding_box()
    assert box
    page.locator("h1").click()  # just before: its end must not count as that of the next touch
    page.mouse.move(box["x"] + 9, box["y"] + 9)
    page.mouse.down()
    waiting[0].fulfill(json={"looks": [look]})
    wait_until(
        page, "import('/static/js/field/db.js').then((db) => db.all('walks')).then(([one]) => one.office?.length)"
    )
    page.wait_for_timeout(500)
    page.mouse.up()
    expect(here).to_have_class(re.compile("recorded"))
    expect(own).to_have_class(re.compile("recorded"))  # drawn once the finger was lifted
    assert page.evaluate("document.activeElement.closest('[data-row]') !== null")  # the focus stays on the row


LOOKS_OF_ANOTHER = """async () => {
  const { packs } = await import('/static/js/field/memory.js');
  const house = new URLSearchParams(location.search).get('house');
  const { pack } = await packs.get(house);
  await pack.whole();
  const [part] = Object.entries(pack.parts).find(([, one]) => one.tag === 'LB 1-1');
  return [{ entry: 'other', part, pass: 'grid/static', points: [], result: 'not_reached', tap: 'other', replaces: [],
    findings: [], at: new Date().toISOString() }];
}"""


def test_a_part_of_the_page_that_is_not_there_yet_is_named_and_the_tap_is_kept(
    phone_without_checks: Page, world: World
) -> None:
    page = phone_without_checks
    page.route("**/sending.js", lambda route: route.abort())
    sign_in_at(page, world)
    begin_walk_at(page, world, "Quarterly grid and gallery walk")
    page.locator(LOFT).tap()
    tap(page)
    told = page.locator("#not-saved")
    expect(told).to_contain_text("not on the phone yet. It is fetched when there is a connection. What is marked")
    expect(told).not_to_contain_text("NOT saved")
    assert [row["kind"] for row in local_rows(page)] == ["opening", "look", "look"]
    page.unroute("**/sending.js")
    page.locator("#send").tap()
    in_the_office(page)


def test_a_kept_pack_that_is_no_longer_whole_is_told_and_fetched_anew_with_the_walk_going_on(
    page: Page, world: World
) -> None:
    page.evaluate(
        "(house) => import('/static/js/field/db.js').then((db) => db.drop('meta', `pack-bulk/${house}`))", world.house
    )
    page.route("**/api/**", lambda route: route.abort())
    page.reload()
    page.locator("#rows .tap").first.wait_for()
    tap(page)
    finding = page.locator("[data-row]").nth(1).get_by_role("button", name="Finding at")
    finding.tap()
    expect(page.locator("#field")).to_contain_text("Another page on this phone has just taken up a newer pack")
    expect(page.locator("#not-saved")).to_be_hidden()
    page.unroute("**/api/**")
    page.get_by_role("button", name="Try again").tap()
    finding.wait_for()
    wait_until(page, f"import('/static/js/field/db.js').then((db) => db.get('meta', 'pack-bulk/{world.house}'))")
    finding.tap()
    page.locator("button.point").first.wait_for()
    page.get_by_role("button", name="Back").tap()
    in_the_office(page)


def test_a_stop_of_the_office_acts_on_a_phone_that_has_no_room_for_the_newer_pack(page: Page, world: World) -> None:
    db = open_db(world.server.data / "inspect.db")
    robin = from_key(db.execute("SELECT person FROM account WHERE username = 'robin'").fetchone()[0])
    first = from_key(db.execute("SELECT id FROM line_set WHERE number = '1'").fetchone()[0])
    stop_thing(db, at=clock.now(), actor=robin, house=world.house, line_set=first, why="bent clip")
    db.conn.close()
    page.add_init_script(
        """{
          const put = IDBObjectStore.prototype.put;
          IDBObjectStore.prototype.put = function (value, key) {
            if (this.name === 'packs') throw new DOMException('full', 'QuotaExceededError');
            return put.call(this, value, key);
          };
        }"""
    )
    page.reload()
    page.locator("#rows .tap").first.wait_for()
    expect(page.locator("[data-row]", has_text="STOPPED: not to be flown")).to_have_count(1)  # of this well, at once
    expect(page.locator("#not-saved")).to_be_hidden()


@pytest.fixture
def late_body(tmp_path: Path) -> Iterator[Site]:
    """A site whose walk page comes in two pieces, all scripts before the second."""

    class LateBody(Site):
        def __call__(self, environ, start_response):  # type: ignore[no-untyped-def]
            if environ["PATH_INFO"] != "/walk":
                return super().__call__(environ, start_response)
            environ.pop("HTTP_ACCEPT_ENCODING", None)
            head, sign, body = b"".join(super().__call__(environ, start_response)).partition(b"</head>")
            return self.in_two(head + sign, body)

        def in_two(self, head: bytes, body: bytes) -> Iterator[bytes]:
            yield head
            time.sleep(2)
            yield body

    site = LateBody(tmp_path / "data")
    site.start()
    yield site
    site.stop()


def test_scripts_that_are_there_before_the_page_is_read_to_its_end_wait_for_it(
    browser: Browser, late_body: Site
) -> None:
    context = browser.new_context(**PHONE, service_workers="block")
    page = context.new_page()
    page.goto(f"{late_body.address}/walk?house=01890000-0000-7000-8000-000000000000")
    expect(page.locator("h1")).to_have_text("Sign in to go on")
    context.close()


def test_a_page_that_did_not_come_whole_says_so(browser: Browser, world: World) -> None:
    context = browser.new_context(**PHONE, service_workers="block")
    page = context.new_page()
    page.route("**/rows.js", lambda route: route.abort())
    page.goto(world.url("/walk?house={house}"))
    expect(page.locator("h1")).to_have_text("Not loaded whole")
    expect(page.locator("#field")).to_contain_text("What was recorded on this phone is kept.")
    context.close()
