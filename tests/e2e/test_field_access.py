"""The walk page for every hand and eye: three themes, large targets well apart, small screens, large type."""

import re
from collections.abc import Callable, Iterator

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, expect

from tests.e2e.conftest import (
    LOFT,
    PHONE,
    Server,
    World,
    in_the_office,
    make_world,
    start_walk,
    tap,
)

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-access")]
ANNUAL = "Annual hands-on inspection"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    data = tmp_path_factory.mktemp("access") / "data"
    house = make_world(data)
    server = Server(data)
    server.start()
    yield World(server, house)
    server.stop()


@pytest.fixture(scope="module")
def walked(browser: Browser, world: World) -> Iterator[Page]:
    """A phone on a walk on which something is recorded: a tap, a finding, a stop; one page for all screens."""
    context = browser.new_context(**PHONE, service_workers="block")
    page = context.new_page()
    start_walk(page, world, ANNUAL)
    page.locator(LOFT).tap()
    tap(page, 2)
    to_point(page)
    page.locator("[data-wear='2']").tap()
    page.get_by_role("button", name="Save the finding").tap()
    page.locator("#rows").wait_for()
    page.get_by_role("button", name="Stop a set").tap()
    page.get_by_role("button", name="Set 7", exact=True).tap()
    page.get_by_role("button", name="Stop set 7 now").tap()
    page.get_by_role("button", name="Back to the walk").tap()
    in_the_office(page)
    context.set_default_timeout(6000)
    yield page
    context.close()


@pytest.fixture(scope="module")
def walk_address(walked: Page) -> str:
    return walked.url


@pytest.fixture
def page(walked: Page, walk_address: str) -> Iterator[Page]:
    """The same page, back on the overview of its walk."""
    walked.set_viewport_size(PHONE["viewport"])
    walked.goto(walk_address)
    walked.locator("#rows, .stretch").first.wait_for()
    if walked.locator("#rows").count():
        walked.get_by_role("button", name="Whole walk").tap()
    walked.get_by_role("button", name="Along the wells").tap()
    walked.evaluate("document.documentElement.dataset.theme = 'dark'")
    yield walked
    walked.unroute_all()


def named(page: Page, name: str, exact: bool = False) -> None:
    page.get_by_role("button", name=name, exact=exact).first.tap()


def to_rows(page: Page) -> None:
    page.locator(LOFT).tap()


def to_rows_by_set(page: Page) -> None:
    named(page, "Set by set")
    page.locator(LOFT).tap()


def to_sheet(page: Page) -> None:
    if page.locator("#rows").count() == 0:
        page.locator(LOFT).tap()
    page.locator("[data-row]").nth(4).get_by_role("button", name="Finding at").tap()


def to_other(page: Page) -> None:
    page.locator(LOFT).tap()
    page.locator("[data-row]").nth(6).get_by_role("button", name="Not reached, not applicable").tap()


def to_other_without_a_reason(page: Page) -> None:
    to_other(page)
    named(page, "Not reached", exact=True)


def to_point(page: Page) -> None:
    to_sheet(page)
    page.locator("button.point[data-point=loft-block-groove]").first.tap()


def to_figure(page: Page) -> None:
    page.locator(LOFT).tap()
    page.locator("[data-row]").nth(7).get_by_role("button", name="Not reached, not applicable").tap()
    page.locator("button.point[data-point=lift-line-diameter]").first.tap()
    page.locator(".figure input").first.fill("0.2")


def to_wrong_figure(page: Page) -> None:
    to_figure(page)
    page.locator(".figure input").first.fill("about three")
    named(page, "No finding for this point")


def to_steps(page: Page) -> None:
    named(page, "Stop a set")
    named(page, "Set 9", exact=True)
    named(page, "Stop set 9 now")
    named(page, "Told the rail by radio")


def to_confirm(page: Page) -> None:
    named(page, "Stop a set")
    named(page, "Set 9", exact=True)


def to_closing_problem(page: Page) -> None:
    named(page, "Everybody is down")
    named(page, "Close and go to review")


def to_unknown_part(page: Page) -> None:
    page.get_by_label("Number of the part").fill("XX 99")
    named(page, "Go there")


def to_start(page: Page) -> None:
    named(page, "Other walks")


def to_brief(page: Page) -> None:
    to_start(page)
    named(page, "Begin a new walk")
    page.get_by_label(ANNUAL, exact=True).check()


def to_brief_problems(page: Page) -> None:
    to_start(page)
    named(page, "Begin a new walk")
    named(page, "Begin the walk")


def to_ready(page: Page) -> None:
    to_start(page)
    named(page, "Is this phone ready?")
    expect(page.locator("#ready li")).to_have_count(8, timeout=15_000)


def to_houses(page: Page) -> None:
    page.evaluate(
        """() => import('/static/js/field/houses.js').then(({ housesScreen }) =>
             housesScreen({ onHouse: () => {}, form: '' }))"""
    )


def to_pairing(page: Page) -> None:
    """The office does not know this phone and nobody is signed in there."""
    page.evaluate("(h) => import('/static/js/field/memory.js').then((m) => m.pairing.forget(h))", walked_house(page))
    cookies = page.context.cookies()
    page.context.clear_cookies()
    page.reload()
    page.get_by_role("heading", name="Sign in to go on").wait_for()
    page.context.add_cookies(cookies)


def walked_house(page: Page) -> str:
    return re.search(r"house=([0-9a-f-]+)", page.url).group(1)


def to_old_page(page: Page) -> None:
    words = "This walk page is older than the office understands. Open it while connected, so that it updates itself."
    page.route("**/api/v1/health*", lambda route: route.fulfill(json={"now": "2026-03-04T19:00:00Z", "words": words}))
    page.reload()
    expect(page.locator("#page-age")).to_contain_text("older than the office understands")


def to_all_lines_of_the_bar(page: Page) -> None:
    page.evaluate(
        """() => {
          for (const id of ['demo', 'new-version', 'torch']) document.getElementById(id).hidden = false;
          const room = document.getElementById('room');
          room.hidden = false;
          room.firstElementChild.textContent = 'Little room on this phone: about 12 more photos. Send what is here.';
          const queue = document.getElementById('queue');
          queue.textContent = '34 not yet sent: No connection to the office. All is kept here.';
          queue.classList.add('caution');
          const lost = document.getElementById('not-saved');
          lost.hidden = false;
          lost.firstElementChild.textContent = "NOT saved: this phone's storage is full. Free some space.";
        }"""
    )


# How to come to each screen from the overview, and the heading that it then has.
SCREENS: dict[str, tuple[Callable[[Page], None], str]] = {
    "overview": (lambda page: None, ANNUAL),
    "rows by well": (to_rows, "at rest"),
    "rows by set": (to_rows_by_set, "at rest"),
    "sheet of a finding": (to_sheet, "· 5"),
    "sheet of the rest": (to_other, "· 7"),
    "reason missing": (to_other_without_a_reason, "· 7"),
    "finding": (to_point, "LB 5-1: "),
    "point with a figure": (to_figure, "LL 8-1: "),
    "wrong figure": (to_wrong_figure, "LL 8-1: "),
    "stop a set": (lambda page: named(page, "Stop a set"), "Stop a set"),
    "stop confirmed": (to_confirm, "Set 9"),
    "next steps": (to_steps, "Stopped: set 9"),
    "closing": (lambda page: named(page, "Everybody is down"), "Close the walk"),
    "closing incomplete": (to_closing_problem, "Close the walk"),
    "part not found": (to_unknown_part, ANNUAL),
    "on this phone": (lambda page: named(page, "What is on this phone"), "What is on this phone"),
    "start": (to_start, "Trial House"),
    "brief": (to_brief, "A new walk"),
    "brief incomplete": (to_brief_problems, "A new walk"),
    "ready": (to_ready, "Is this phone ready?"),
    "houses": (to_houses, "Which house?"),
    "page too old": (to_old_page, ANNUAL),
    "everything the bar can say": (to_all_lines_of_the_bar, ANNUAL),
    "pairing": (to_pairing, "Sign in to go on"),
}


def go_to(page: Page, screen: str) -> None:
    opener, heading = SCREENS[screen]
    opener(page)
    page.get_by_role("heading", level=1, name=heading).wait_for()


every_screen = pytest.mark.parametrize("screen", SCREENS)


def violations(page: Page, options: dict) -> list[str]:
    found = Axe().run(page, options=options).response["violations"]
    return [
        f"{one['id']}: {node['html'][:160]} {node['failureSummary'][:200]}" for one in found for node in one["nodes"]
    ]


@every_screen
def test_axe_finds_nothing_in_any_theme(page: Page, screen: str) -> None:
    go_to(page, screen)
    found = violations(page, {"runOnly": TAGS})
    for theme in ("light", "red"):  # colours are all that a theme changes
        page.evaluate("(theme) => { document.documentElement.dataset.theme = theme }", theme)
        found += violations(page, {"runOnly": {"type": "rule", "values": ["color-contrast"]}})
    assert found == []


# Every target of the screen with its box; a checkbox or radio counts with the label that is tapped.
TARGETS = """() => {
  const seen = (node) => node.checkVisibility({ visibilityProperty: true }) && node.getBoundingClientRect().width > 1;
  const inline = (node) => node.tagName === 'A' && getComputedStyle(node).display === 'inline';
  return [...document.querySelectorAll('button, a[href], input, select, textarea, summary')]
    .filter((node) => seen(node) && !inline(node))
    .map((node) => {
      const held = ['checkbox', 'radio'].includes(node.type) ? node.closest('label') ?? node : node;
      const box = held.getBoundingClientRect();
      const fixed = node.closest('.field-bar, .walk-foot') ? 1 : 0;
      const name = node.id || node.name || node.textContent.trim().slice(0, 30);
      return { name, fixed, left: box.left, top: box.top, right: box.right, bottom: box.bottom };
    });
}"""


def too_near(targets: list[dict]) -> list[str]:
    found = []
    for n, one in enumerate(targets):
        for other in targets[n + 1 :]:
            if one["fixed"] != other["fixed"]:
                continue  # what scrolls passes below what does not
            across = max(one["left"], other["left"]) - min(one["right"], other["right"])
            down = max(one["top"], other["top"]) - min(one["bottom"], other["bottom"])
            if max(across, down) < 7.5:
                found.append(f"{one['name']} | {other['name']}: {max(across, down):.1f} px")
    return found


@every_screen
def test_targets_are_large_and_apart_and_nothing_scrolls_sideways(page: Page, screen: str) -> None:
    go_to(page, screen)
    targets = page.evaluate(TARGETS)
    small = [
        f"{one['name']}: {one['right'] - one['left']:.0f} x {one['bottom'] - one['top']:.0f}"
        for one in targets
        if min(one["right"] - one["left"], one["bottom"] - one["top"]) < 55.5
    ]
    assert small + too_near(targets) == []
    for width, percent in ((390, 100), (320, 100), (390, 200), (320, 200)):
        page.set_viewport_size({"width": width, "height": 844})
        page.evaluate("(percent) => { document.documentElement.style.fontSize = `${percent}%` }", percent)
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert wide <= 0, (width, percent, page.evaluate(WIDEST))
        assert page.evaluate(CUT) == [], (width, percent)
    page.evaluate("document.documentElement.removeAttribute('style')")


WIDEST = """() => [...document.querySelectorAll('body *')]
  .filter((node) => node.getBoundingClientRect().right > document.documentElement.clientWidth + 0.5)
  .slice(0, 5).map((node) => node.outerHTML.slice(0, 120))"""
# Words in a target that are cut off; the lines of the bar keep their height whatever they say, and are read out whole.
CUT = """() => [...document.querySelectorAll('#field .target, .walk-foot .target')]
  .filter((node) => node.checkVisibility())
  .map((node) => [node.textContent, node.scrollWidth - node.clientWidth, node.scrollHeight - node.clientHeight])
  .filter(([, across, down]) => across > 1 || down > 1)
  .slice(0, 5)"""
