"""The walk page in the hand: one tap, one stop, exactly its points; nothing moves and nothing is lost."""

import json
import re
import sqlite3
import uuid
from collections.abc import Callable
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Page, expect

from inspect_app.config import settings_for
from inspect_app.domain.checklist import State
from inspect_app.domain.part import PartKind
from inspect_app.store.checklist import load_checklists
from tests.e2e.conftest import LOFT, QUARTERLY, in_the_office

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-page")]


def entries(world, kind: str = "look") -> list[dict]:
    path = world.server.data / "inspect.db"
    with sqlite3.connect(f"file:{path}?mode=ro", uri=True) as db:
        rows = db.execute("SELECT raw FROM entry WHERE kind = ? ORDER BY arrival", (kind,)).fetchall()
    return [json.loads(row[0]) for row in rows]


@pytest.fixture
def at_the_wells(phone: Page, sign_in_on: Callable[..., None], begin_walk: Callable[..., None]) -> Page:
    sign_in_on(phone)
    begin_walk(phone, QUARTERLY)
    phone.locator(LOFT).tap()
    return phone


def test_one_tap_writes_one_entry_for_each_part_with_exactly_the_points_named(at_the_wells: Page, world) -> None:
    page = at_the_wells
    named = page.locator(".stretch-head details li").all_text_contents()
    before = page.locator("[data-row]").first.bounding_box()
    page.evaluate("() => { performance.now = () => 5; }")  # a page opened a moment ago: its first tap counts as well
    page.locator(".tap").first.tap()
    in_the_office(page)
    assert page.locator("[data-row]").first.bounding_box() == before  # nothing moves under the thumb
    looks = entries(world)
    assert len(looks) == 2
    assert len({look["tap"] for look in looks}) == 1
    assert {look["tag_seen"][:2] for look in looks} == {"LB", "LL"}
    asks = page.evaluate("([...document.querySelectorAll('.stretch-head details li')].map((li) => li.textContent))")
    assert sum(len(look["points"]) for look in looks) == len(named) == len(asks)
    for look in looks:
        assert (look["ways"], look["result"]) == (["seen_close"], "no_finding")
        assert look["findings"] == look["measures"] == look["photos"] == []


def test_a_second_tap_at_once_or_on_a_recorded_row_does_nothing(at_the_wells: Page, world) -> None:
    page = at_the_wells
    page.locator(".tap").first.dblclick()
    in_the_office(page)
    page.wait_for_timeout(800)
    page.locator(".tap").first.tap(force=True)  # it says that it is disabled; a thumb does not read that
    page.wait_for_timeout(500)
    assert len(entries(world)) == 2


def test_undo_is_a_target_of_its_own_and_adds_a_withdrawing_entry(at_the_wells: Page, world) -> None:
    page = at_the_wells
    page.locator(".tap").first.tap()
    page.wait_for_timeout(750)
    page.get_by_role("button", name="Undo the last entry").first.tap()
    in_the_office(page)
    looks = entries(world)
    assert [look["result"] for look in looks] == ["no_finding"] * 2 + ["withdrawn"] * 2
    assert {look["replaces"][0] for look in looks[2:]} == {look["id"] for look in looks[:2]}
    expect(page.locator(".tap").first).to_have_text("No finding")


def test_order_direction_a_closed_tab_and_a_new_sign_in_lose_nothing(
    at_the_wells: Page, world, sign_in_on: Callable[..., None]
) -> None:
    page = at_the_wells
    numbers = [str(n) for n in range(1, 13)]
    expect(page.locator(".row-number")).to_have_text(numbers)
    page.locator(".tap").first.tap()
    page.get_by_role("button", name="Turn round").tap()
    expect(page.locator(".row-number")).to_have_text(numbers[::-1])
    page.get_by_role("button", name="Turn round").tap()
    page.get_by_role("button", name="Next", exact=True).tap()
    expect(page.locator(".row-number")).to_have_text(numbers[::-1])  # the feet come back along the next well
    page.wait_for_timeout(750)
    page.locator(".tap").first.tap()
    in_the_office(page)

    page.get_by_role("button", name="Whole walk").tap()
    page.get_by_role("button", name="Set by set").tap()
    page.locator(LOFT).tap()
    assert page.locator(".tap.recorded").count() == 1  # set 1: its line 1 was recorded in the first well

    address, context = page.url, page.context
    page.close()
    context.clear_cookies()
    again = context.new_page()
    again.goto(address)
    expect(again.locator(".tap.recorded")).to_have_count(1)  # the device's own pairing carries on without a session
    again.get_by_role("button", name="Whole walk").tap()
    sign_in_on(again)
    again.goto(address)
    expect(again.locator("#progress")).to_contain_text("2 of ")
    assert len(entries(world)) == 4


def test_a_set_is_stopped_by_two_taps_before_anything_is_asked(at_the_wells: Page, world) -> None:
    page = at_the_wells
    page.get_by_role("button", name="Stop a set").tap()
    page.get_by_role("button", name="Set 7", exact=True).tap()
    page.get_by_role("button", name="Stop set 7 now").tap()
    in_the_office(page)
    assert len(entries(world, "stop")) == 1
    expect(page.locator("#field")).to_contain_text("The office has it. Say it by radio now: set 7, stop")
    page.get_by_role("button", name="Told the rail by radio").tap()
    in_the_office(page)
    page.goto(world.url("/houses/{house}"))
    expect(page.locator("main")).to_contain_text("7")
    with sqlite3.connect(f"file:{world.server.data / 'inspect.db'}?mode=ro", uri=True) as db:
        assert db.execute("SELECT state FROM tag_out").fetchall() == [("standing",)]
        assert db.execute("SELECT step FROM tag_step").fetchall() == [("told_rail",)]


def test_a_stop_is_known_to_this_phone_only_until_the_office_has_answered(at_the_wells: Page) -> None:
    page = at_the_wells
    page.route("**/api/v1/entries", lambda route: route.fulfill(json={"verdicts": []}))
    page.get_by_role("button", name="Stop a set").tap()
    page.get_by_role("button", name="Set 7", exact=True).tap()
    with page.expect_response("**/api/v1/entries"):
        page.get_by_role("button", name="Stop set 7 now").tap()
    assert page.evaluate("navigator.onLine")
    expect(page.locator("#field")).to_contain_text("Only this phone knows. Say it by radio now: set 7, stop")
    page.unroute("**/api/v1/entries")
    expect(page.locator("#field")).to_contain_text("The office has it. Say it by radio now: set 7, stop")


def test_a_limit_on_an_area_is_said_before_the_walk_and_a_part_of_no_set_tells_its_limit_and_its_stop(
    world, phone: Page, sign_in_on: Callable[..., None], begin_walk: Callable[..., None]
) -> None:
    with sqlite3.connect(world.server.data / "inspect.db") as db:
        places = (1, "area", "name", "Grid", "deck rusted"), (2, "part", "tag", "LD 1", "rung bent")
        for number, table, column, name, what in places:
            db.execute(
                f"INSERT INTO restriction(id, house, kind, {table}, what, load_limit, travel_limit, who, until, by, at)"
                f" SELECT ?, house, 'limit', id, ?, 'one person', '', 'Ines', '2999-01-01', "
                f"(SELECT id FROM person LIMIT 1), ? FROM {table} WHERE {column} = ?",
                (bytes([number]) * 16, what, datetime.now(UTC).isoformat(timespec="milliseconds"), name),
            )
    db.close()
    sign_in_on(phone)
    phone.goto(world.url("/walk?house={house}"))
    phone.get_by_role("button", name="Begin a new walk").tap()
    expect(phone.locator("form.brief")).to_contain_text("Restricted, Grid: deck rusted: load one person")
    begin_walk(phone, QUARTERLY)
    phone.locator("[data-stop=grid-bay]").first.tap()
    expect(phone.locator("[data-row]").first).to_contain_text("Restricted: deck rusted")
    phone.get_by_role("button", name="Whole walk").tap()
    phone.locator("[data-stop=way-up]").first.tap()
    phone.locator(".stretch-head select").select_option(label="Ladders, stairs and hatches")
    ladder = phone.locator("[data-row]", has_text="rung bent")
    expect(ladder).to_have_count(1)
    expect(ladder).not_to_have_class(re.compile("stopped"))
    ladder.get_by_role("button", name="Finding at").tap()
    phone.locator("button.point").first.tap()
    phone.locator("[data-point-way]").first.tap()
    phone.locator("[data-defect]").first.tap()
    phone.locator("[data-grade=stop_use]").tap()
    phone.locator("textarea[name=note]").fill("Rung broken through")
    phone.get_by_role("button", name="Save the finding").tap()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Stopped: LD 1")
    expect(phone.locator("#field")).to_contain_text("LD 1, stop. Leave it as it is; nobody uses it.")
    phone.get_by_role("button", name="Back to the walk").tap()
    expect(ladder).to_contain_text("STOPPED: not to be used")
    in_the_office(phone)
    phone.goto(world.url("/walk?house={house}"))  # with the pack of now
    phone.get_by_role("button", name="Go on with").tap()
    expect(ladder).to_contain_text("STOPPED: not to be used")


def test_an_event_asks_the_danger_first_and_holds_the_set_with_its_neighbours(at_the_wells: Page, world) -> None:
    page = at_the_wells
    page.get_by_role("button", name="Stop a set").tap()
    page.get_by_role("button", name="Something happened").tap()
    expect(page.locator("#field")).to_contain_text("still hanging, moving, leaking, live or unsupported")
    page.get_by_role("button", name="Not known").tap()
    expect(page.locator("#field")).to_contain_text("Keep everyone off the deck below")
    page.get_by_role("button", name="Set 7", exact=True).tap()
    page.get_by_role("button", name="Shock or snag").tap()
    expect(page.locator("h1")).to_have_text("On hold: set 5, 6, 7, 8, 9")
    in_the_office(page)
    page.get_by_role("button", name="Back to the walk").tap()
    expect(page.locator(".walk-row.stopped")).to_have_count(5)
    with sqlite3.connect(f"file:{world.server.data / 'inspect.db'}?mode=ro", uri=True) as db:
        assert db.execute("SELECT kind, danger FROM event").fetchall() == [("shock", "not_known")]
        held = db.execute("SELECT count(*) FROM tag_out WHERE event IS NOT NULL AND state = 'standing'").fetchone()
        assert held == (5,)


def test_a_second_look_is_marked_on_its_row_and_counted_on_its_stretch(
    phone: Page, sign_in_on: Callable[..., None], begin_walk: Callable[..., None], world
) -> None:
    walk = next(one for one in load_checklists(settings_for(world.server.data))[0].values() if one.title == QUARTERLY)
    point = next(p for p in walk.points() if PartKind.LOFT_BLOCK in p.parts and p.state is State.STATIC)
    new = uuid.uuid4().bytes
    with sqlite3.connect(world.server.data / "inspect.db") as db:
        db.execute(
            "INSERT INTO second_look(id, house, walk, entry, part, pass, points, people, at) "
            "SELECT ?, house, ?, ?, id, ?, ?, '[]', ? FROM part WHERE tag = 'LB 3-1'",
            (
                new, new, new, f"{point.vantage.value}/static", json.dumps([point.id]),
                datetime.now(UTC).isoformat(timespec="milliseconds"),
            ),
        )  # fmt: skip
    db.close()
    sign_in_on(phone)
    begin_walk(phone, QUARTERLY)
    expect(phone.locator(LOFT)).to_contain_text("1 for a second look")
    phone.locator(LOFT).tap()
    marked = phone.locator("[data-row]", has_text="Second look at LB 3-1")
    expect(marked).to_have_count(1)
    height = (marked.bounding_box() or {})["height"]
    marked.locator(".tap").tap()
    expect(marked.locator(".tap")).to_have_class(re.compile("recorded"))
    assert (marked.bounding_box() or {})["height"] == height
    in_the_office(phone)


def test_ids_made_in_the_browser_are_uuidv7_and_ascend(at_the_wells: Page) -> None:
    ids = at_the_wells.evaluate(
        "import('/static/js/field/ids.js').then((m) => [...Array(3000)].map((_, i) => m.uuid7(1645557742000 - i % 5)))"
    )
    assert all(uuid.UUID(one).version == 7 for one in ids)
    assert ids == sorted(ids)
    assert len(set(ids)) == 3000


def test_sha256_in_the_browser_agrees_with_hashlib(at_the_wells: Page) -> None:
    import hashlib

    for text in ("", "abc", "a" * 55, "a" * 56, "a" * 64, "é€" * 500):
        made = at_the_wells.evaluate("(text) => import('/static/js/field/sha256.js').then((m) => m.sha256(text))", text)
        assert made == hashlib.sha256(text.encode()).hexdigest()


def test_what_the_bar_says_never_moves_what_is_below(at_the_wells: Page) -> None:
    page = at_the_wells
    before = page.locator("[data-row]").first.bounding_box()
    for text in (
        "All in the office",
        "1234 not yet sent: No connection to the office. All is kept here.",
    ):
        page.evaluate(
            """(text) => {
              document.getElementById('queue').textContent = text;
              document.getElementById('queue').classList.toggle('caution');
              document.getElementById('progress').textContent = text.repeat(2);
              document.getElementById('not-saved').hidden = false;
            }""",
            text,
        )
        assert page.locator("[data-row]").first.bounding_box() == before
