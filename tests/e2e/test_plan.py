"""The plan in a browser: zoom by buttons, keys, wheel and two fingers; moving; links with and without scripts."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.e2e.conftest import DESK, PHONE, Server, World, make_world, no_noise, sign_in_at

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-plan")]
WIDTH = "document.querySelector('.plan-window svg').getBoundingClientRect().width"
SCROLLED = "document.querySelector('.plan-window').scrollLeft"


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    """A running server with a small house."""
    house = make_world(tmp_path / "data", sets=3)
    server = Server(tmp_path / "data")
    server.start()
    yield World(server, house)
    server.stop()


def pinch(page: Page, x: float, y: float) -> None:
    """Two fingers that part, as a touch screen reports them."""
    screen = page.context.new_cdp_session(page)

    def touch(kind: str, apart: float) -> None:
        points = [{"x": x - apart, "y": y}, {"x": x + apart, "y": y}] if kind != "touchEnd" else []
        screen.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", 20)
    for apart in (30, 45, 60):
        touch("touchMove", apart)
    touch("touchEnd", 0)


def test_the_plan_zooms_and_moves_by_hand_and_by_keys(world: World, desk: Page, browser: Browser) -> None:
    sign_in_at(desk, world)
    desk.goto(world.url("/houses/{house}/plan"))
    expect(desk.get_by_role("navigation", name="What the plan shows")).to_be_visible()
    expect(desk.locator("#table")).to_be_visible()
    whole = desk.evaluate(WIDTH)
    desk.get_by_role("button", name="Closer").click()
    assert desk.evaluate(WIDTH) == pytest.approx(whole * 1.4, rel=0.02)
    frame = desk.get_by_role("region", name="Plan as a picture")
    frame.press("+")
    assert desk.evaluate(WIDTH) == pytest.approx(whole * 1.96, rel=0.02)
    before = desk.evaluate(SCROLLED)
    frame.press("ArrowRight")
    desk.wait_for_timeout(300)
    assert desk.evaluate(SCROLLED) > before
    frame.hover()
    desk.keyboard.down("Control")
    desk.mouse.wheel(0, -300)
    desk.keyboard.up("Control")
    desk.wait_for_timeout(200)
    assert desk.evaluate(WIDTH) > whole * 2.5
    frame.press("0")
    assert desk.evaluate(WIDTH) == pytest.approx(whole, rel=0.02)
    with desk.expect_navigation():
        desk.locator(".plan-window a.set").first.click()
    expect(desk.get_by_role("heading", level=1)).to_contain_text("Set")
    _on_a_phone(world, browser, desk.context.storage_state())
    _without_scripts(world, browser, desk.context.storage_state())


def _on_a_phone(world: World, browser: Browser, signed_in: object) -> None:
    context = browser.new_context(**PHONE, storage_state=signed_in)
    page = context.new_page()
    complaints = no_noise(page)
    for path in ("plan?show=look", "section?show=wear"):
        page.goto(world.url(f"/houses/{{house}}/{path}"))
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
    box = page.locator(".plan-window").bounding_box()
    assert box
    assert box["y"] + box["height"] < PHONE["viewport"]["height"]  # the picture is seen without scrolling
    whole = page.evaluate(WIDTH)
    pinch(page, box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    assert page.evaluate(WIDTH) == pytest.approx(whole * 3, rel=0.1)
    _folds(page)
    assert complaints == []
    context.close()


def _folds(page: Page) -> None:
    """Views and table are folded on a phone, open on paper, and the table opens by its link."""
    views, table = page.get_by_role("navigation", name="What the section shows"), page.locator("#table")
    expect(views).to_be_hidden()
    expect(table).to_be_hidden()
    page.emulate_media(media="print")
    expect(table).to_be_visible()
    page.emulate_media(media="screen")
    page.get_by_role("link", name="Table", exact=True).tap()
    expect(table).to_be_visible()
    page.get_by_text("Another view").tap()
    expect(views.get_by_role("link", name="wear", exact=True)).to_be_visible()


def _without_scripts(world: World, browser: Browser, signed_in: object) -> None:
    context = browser.new_context(**DESK, storage_state=signed_in, java_script_enabled=False)
    page = context.new_page()
    page.goto(world.url("/houses/{house}/plan"))
    expect(page.get_by_role("button", name="Closer")).to_be_hidden()
    with page.expect_navigation():
        page.locator('.plan-window a[href^="parts/"]').first.click()
    assert "/parts/" in page.url
    context.close()
