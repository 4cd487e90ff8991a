"""The menu of a house: folded behind a button on a phone, by hand, by keys and without scripts; whole on a desk."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.e2e.conftest import PHONE, Server, World, make_world, no_noise, sign_in_at

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-menu")]
SMALLEST_PX = 44
BESIDES_THE_MENU = (
    "parts/", "deficiencies/figures", "events", "events/new", "blind-spots", "recurring", "wear", "since", "section",
    "intervals/", "blackouts/", "relooks/", "restrictions", "gauges/", "batches", "rail", "paper", "labels", "guests",
    "repair-paper", "by-ear", "label-audit", "second-looks", "old-pages", "held", "unsent", "settings", "line-names",
)  # fmt: skip


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    """A running server with a small house."""
    data = tmp_path_factory.mktemp("menu") / "data"
    house = make_world(data, sets=3)
    server = Server(data)
    server.start()
    yield World(server, house)
    server.stop()


def menu_of(page: Page) -> Locator:
    return page.get_by_role("navigation", name="House")


def opener_of(page: Page) -> Locator:
    return page.get_by_role("button", name="Menu", exact=True)


def sides_px(target: Locator) -> tuple[float, float]:
    box = target.bounding_box()
    assert box
    return box["width"], box["height"]


def test_the_menu_is_folded_on_a_phone_and_opens_by_hand_and_by_keys(world: World, phone: Page) -> None:
    sign_in_at(phone, world)
    phone.goto(world.url("/houses/{house}/today/"))
    opener, walks = opener_of(phone), menu_of(phone).get_by_role("link", name="Walks", exact=True)
    expect(opener).to_have_attribute("aria-expanded", "false")
    expect(walks).to_be_hidden()
    expect(phone.locator(".top-line")).to_contain_text("Today")  # beside the house; the folded menu lies below
    assert sides_px(phone.locator(".top"))[1] < 80
    opener.focus()
    opener.press("Enter")
    expect(opener).to_have_attribute("aria-expanded", "true")
    phone.keyboard.press("Tab")
    expect(menu_of(phone).get_by_role("link").first).to_be_focused()
    phone.keyboard.press("Escape")
    expect(opener).to_be_focused()
    expect(walks).to_be_hidden()
    opener.tap()
    for target in (opener, *menu_of(phone).get_by_role("link").all()):
        assert min(sides_px(target)) >= SMALLEST_PX
    walks.tap()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Walks")
    expect(menu_of(phone).get_by_role("link")).to_have_count(0)  # folded again, so out of reach of keys and readers
    phone.go_back()
    expect(opener).to_have_attribute("aria-expanded", "false")


def test_no_page_is_wider_than_a_phone(world: World, phone: Page) -> None:
    sign_in_at(phone, world)
    phone.goto(world.url("/houses/{house}/today/"))
    links = menu_of(phone).get_by_role("link", include_hidden=True)
    pages = [str(link.get_attribute("href")) for link in links.all()]
    assert len(pages) > 10
    for path in (*pages, *(f"/houses/{world.house}/{rest}" for rest in BESIDES_THE_MENU)):
        answer = phone.goto(world.url(path))
        assert answer
        assert answer.ok, path
        assert phone.evaluate("document.documentElement.scrollWidth") <= PHONE["viewport"]["width"], path


def test_without_scripts_the_menu_opens_by_its_address(world: World, browser: Browser) -> None:
    context = browser.new_context(**PHONE, java_script_enabled=False)
    page = context.new_page()
    sign_in_at(page, world)
    page.goto(world.url("/houses/{house}/plan"))
    expect(menu_of(page)).to_be_hidden()
    page.get_by_role("link", name="Menu", exact=True).tap()
    with page.expect_navigation():
        menu_of(page).get_by_role("link", name="Walks", exact=True).tap()
    expect(page.get_by_role("heading", level=1)).to_have_text("Walks")
    context.close()


def test_a_desk_shows_the_whole_menu(world: World, desk: Page) -> None:
    sign_in_at(desk, world)
    desk.goto(world.url("/houses/{house}/today/"))
    expect(menu_of(desk).get_by_role("link", name="Walks", exact=True)).to_be_visible()
    expect(opener_of(desk)).to_be_hidden()


def test_a_guest_has_the_same_menu(world: World, desk: Page, browser: Browser) -> None:
    sign_in_at(desk, world)
    desk.goto(world.url("/houses/{house}/guests"))
    desk.locator("[name=guest]").fill("Tove Lindqvist, of an inspection firm with a long name")
    desk.locator("[name=purpose]").fill("annual inspection")
    desk.get_by_role("button", name="Make the link").click()
    address = desk.get_by_label("Address for").input_value()
    context = browser.new_context(**PHONE)
    page = context.new_page()
    complaints = no_noise(page)
    page.goto(address)
    page.get_by_role("button", name="Open the record").tap()
    assert sides_px(page.locator(".top"))[1] < 80
    opener_of(page).tap()
    with page.expect_navigation():
        menu_of(page).get_by_role("link", name="Plan", exact=True).tap()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Plan")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["viewport"]["width"]
    assert complaints == []
    context.close()
