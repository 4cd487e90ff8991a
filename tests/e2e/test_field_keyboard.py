"""The walk without pointer and without sight: every step by keyboard, focus always in sight, names that make sense."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.e2e.conftest import (
    A_SECOND_PASSES,
    Server,
    World,
    as_taken,
    in_the_office,
    make_world,
    noisy_picture,
    sign_in_at,
)

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-access")]
ANNUAL = "Annual hands-on inspection"


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    data = tmp_path_factory.mktemp("keyboard") / "data"
    house = make_world(data)
    server = Server(data)
    server.start()
    yield World(server, house)
    server.stop()


@pytest.fixture
def page(browser: Browser, world: World) -> Iterator[Page]:
    """A small window with a keyboard: what a screen reader or a magnifier works with."""
    context = browser.new_context(viewport={"width": 390, "height": 844}, service_workers="block")
    page = context.new_page()
    context.set_default_timeout(8000)
    sign_in_at(page, world)
    page.goto(world.url("/walk?house={house}"))
    page.get_by_role("button", name="Begin a new walk").wait_for()
    yield page
    context.close()


# What has the focus: what it is called, whether that can be seen, and whether anything lies over it.
FOCUS = """() => {
  const node = document.activeElement;
  const label = node.labels?.[0]?.textContent ?? '';
  const called = (node.getAttribute('aria-label') || label || node.textContent || '').replace(/\\s+/g, ' ').trim();
  const box = node.getBoundingClientRect();
  const style = getComputedStyle(node);
  const [x, y] = [Math.min(box.width, 40) / 2, Math.min(box.height, 40) / 2];
  const over = document.elementFromPoint(box.left + x, box.top + y);
  const stayed = node === window.lastFocused ? (window.stays += 1) : (window.stays = 0);
  window.lastFocused = node;
  return {
    called, stayed, tag: node.tagName,
    ring: style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2,
    seen: Boolean(over) && (node.contains(over) || over.contains(node)),
  };
}"""


def tab_to(page: Page, name: str, most: int = 120) -> None:
    """Press Tab until the control of this name has the focus. Each stop on the way must move on and be seen."""
    for _ in range(most):
        page.keyboard.press("Tab")
        now = page.evaluate(FOCUS)
        if now["tag"] == "BODY":
            continue  # round the end of the page
        assert now["stayed"] < 4, f"trapped at {now['called']}"  # a time has hours, minutes and half of the day
        assert now["ring"] or now["stayed"], f"no mark of the focus at {now['called']}"
        assert now["seen"], f"the focus is hidden at {now['called']}"
        if re.match(name, now["called"]):
            return
    pytest.fail(f"no way by keyboard to {name}")


def press(page: Page, name: str, key: str = "Enter") -> None:
    tab_to(page, name)
    page.keyboard.press(key)


def on_heading(page: Page, words: str) -> None:
    """A new screen begins at its heading, so that it is read out, and the next Tab goes into it."""
    page.get_by_role("heading", level=1, name=re.compile(words)).wait_for()
    page.wait_for_timeout(60)
    now = page.evaluate(FOCUS)
    assert (now["tag"], bool(re.search(words, now["called"]))) == ("H1", True), now


def typed(page: Page, label: str, text: str) -> None:
    tab_to(page, label)
    page.keyboard.type(text)


def test_a_whole_walk_by_keyboard_alone(page: Page, world: World, tmp_path: Path) -> None:
    said = page.locator("#said")
    on_heading(page, "Trial House")
    press(page, "Begin a new walk")
    on_heading(page, "A new walk")
    press(page, ANNUAL, "Space")
    typed(page, "Who keeps the deck clear", "Kim Osei")
    typed(page, "Who to call for rescue", "House desk")
    press(page, "Read out to everybody", "Space")
    press(page, "Begin the walk")
    on_heading(page, ANNUAL)
    expect(said).to_have_text("Walk begun.")
    press(page, "Loft block and its line, at rest")
    on_heading(page, "Well W 1")

    press(page, "No finding: 1$")
    expect(said).to_have_text("1: no finding recorded.")
    assert page.evaluate("document.activeElement.closest('[data-row]').querySelector('.row-number').textContent") == "1"
    page.evaluate(A_SECOND_PASSES)  # two presses within 700 ms are a trembling hand
    press(page, "Undo the last entry at 1")
    expect(said).to_have_text("1: taken back.")
    page.evaluate(A_SECOND_PASSES)

    press(page, "Finding at 3")
    on_heading(page, "Loft block and its line · 3")
    press(page, "Rope diameter")
    on_heading(page, "LL 3-1: Rope diameter")
    page.keyboard.press("Shift+Tab")  # and back out of the screen: no trap that way either
    assert page.evaluate("document.activeElement.closest('.field-bar') !== null")
    press(page, "handled", "Space")
    typed(page, "rope diameter", "0.2")
    expect(page.locator(".verdict")).to_contain_text("outside the cited criterion")
    expect(said).to_contain_text("outside the cited criterion: take out of use")  # read out once the typing rests
    tab_to(page, "Photo")
    path = tmp_path / "photo.jpg"
    path.write_bytes(as_taken(noisy_picture(1, 1200, 900), "2026:03:04 19:22:00"))
    page.set_input_files("input[type=file]:focus", str(path))
    expect(page.locator(".photos li")).to_contain_text("on this phone", timeout=15_000)
    press(page, "Save the finding")
    expect(said).to_have_text("LL 3-1: saved. A figure is outside a cited criterion.")
    page.locator("#rows, h1").first.wait_for()
    if page.get_by_role("heading", name="Stopped").count():  # the checklist proposes stop use for this figure
        press(page, "Told the rail by radio")
        expect(said).to_have_text("Told the rail by radio: recorded.")
        press(page, "Back to the walk")
    on_heading(page, "Well W 1")

    press(page, "Stop a set")
    on_heading(page, "Stop a set")
    press(page, "Set 7$")
    on_heading(page, "Set 7")
    press(page, "Stop set 7 now")
    on_heading(page, "Stopped: set 7")
    press(page, "Lock and tag on")
    expect(said).to_have_text("Lock and tag on: recorded.")
    press(page, "Back to the walk")
    on_heading(page, "Well W 1")
    press(page, "Whole walk")
    on_heading(page, ANNUAL)
    press(page, "Everybody is down")
    on_heading(page, "Close the walk")
    press(page, "Tools were counted", "Space")
    press(page, "Each set that was moved", "Space")
    typed(page, "Locks and tags left on", "none")
    press(page, "Close and go to review")
    page.wait_for_url("**/review")
    kinds = [row[0] for row in world.rows("SELECT kind FROM entry ORDER BY arrival")]
    assert {"opening", "look", "stop", "closing"} <= set(kinds)


OVERVIEW = """
- main:
  - heading "Annual hands-on inspection" [level=1]
  - group "Order of the walk":
    - button "✓ Along the wells" [pressed]
    - button "Set by set"
  - heading "Grid" [level=2]
  - list:
    - listitem:
      - button /Head beam and its steel, at rest 0 of 1 places recorded/
"""
ROWS = """
- main:
  - heading "Well W 1 · at rest" [level=1]
  - combobox "Go to":
    - option "Well W 1" [selected]
  - group "Ways of looking on this stretch":
    - button "handled"
    - button "✓ seen close" [pressed]
    - button "seen from afar"
    - button "heard"
  - list:
    - listitem:
      - button /1. No finding \\d\\d.\\d\\d in the office/ [disabled]
      - button "Finding at 1"
      - button "Undo the last entry at 1"
    - listitem:
      - 'button "No finding: 2"'
      - button "Finding at 2"
      - button "Not reached, not applicable or one by one at 2"
  - navigation "Along the walk":
    - button "Before" [disabled]
    - button "Turn round"
    - button "Next"
    - button "Stop a set"
    - button "Whole walk"
"""
FINDING = """
- main:
  - heading /LB 2-1. Groove/ [level=1]
  - group "How it was looked at":
    - button "handled"
    - button "✓ seen close" [pressed]
  - heading "What is wrong" [level=2]
  - group "What is wrong":
    - button "Strands have printed the groove"
  - heading "Wear rating" [level=2]
  - group "Wear rating":
    - button /0. As new/
    - button /1. Bright even track/
    - button /2. Groove wear/
    - button /3. Groove one-sided/
    - button /4. Cracked/
  - heading "What should happen" [level=2]
  - group "What should happen":
    - button "watch"
    - button "✓ repair by date" [pressed]
    - button "restrict"
    - button "stop use"
  - button "Photo"
  - textbox "Note"
  - button "Save the finding"
  - button "Back without saving"
"""
STEPS = """
- main:
  - heading /Stopped. set 9/ [level=1]
  - paragraph: /Say it by radio now/
  - textbox "Who was told, or who does it"
  - button "Told the rail by radio"
  - button "Lock and tag on"
  - button "Area below cleared"
  - button "Isolator locked"
  - button "Could not do any of it yet"
  - button "Back to the walk"
"""
CLOSING = """
- main:
  - heading "Close the walk" [level=1]
  - textbox /Each person down/
  - checkbox "Tools were counted and none is left above"
  - checkbox "Each set that was moved is locked, ringed and left in weight"
  - textbox "Locks and tags left on"
  - textbox "Anything else"
  - button "Close and go to review"
  - button "Back"
"""
STORE = """
- main:
  - heading "What is on this phone" [level=1]
  - paragraph: /Entries. \\d+ in the office. Photos. none/
  - button "Send now"
  - button "Save a file"
  - heading "Entries, newest first" [level=2]
  - list:
    - listitem: /stop in the office/
"""
BAR = """
- banner:
  - button /Send now/:
    - status: All in the office
  - button /Theme/
"""


def test_the_tree_that_a_screen_reader_reads_names_each_control_by_what_it_does(page: Page) -> None:
    page.get_by_role("button", name="Begin a new walk").click()
    page.get_by_label(ANNUAL, exact=True).check()
    page.get_by_label("Who keeps the deck clear").fill("Kim Osei")
    page.get_by_label("Who to call for rescue").fill("House desk")
    page.get_by_label("Read out").check()
    page.get_by_role("button", name="Begin the walk").click()
    in_the_office(page)
    body = page.locator("body")
    expect(body).to_match_aria_snapshot(BAR)
    expect(body).to_match_aria_snapshot(OVERVIEW)
    page.get_by_role("button", name="Loft block and its line, at rest").click()
    page.get_by_role("button", name="No finding: 1", exact=True).click()
    in_the_office(page)
    expect(body).to_match_aria_snapshot(ROWS)
    page.get_by_role("button", name="Finding at 2", exact=True).click()
    page.get_by_role("button", name=re.compile("^Groove is round")).click()
    expect(body).to_match_aria_snapshot(FINDING)
    page.get_by_role("button", name="Back without saving").click()
    page.get_by_role("button", name="Back without saving").click()
    page.get_by_role("button", name="Stop a set").click()
    page.get_by_role("button", name="Set 9", exact=True).click()
    page.get_by_role("button", name="Stop set 9 now").click()
    in_the_office(page)
    expect(body).to_match_aria_snapshot(STEPS)
    page.get_by_role("button", name="Back to the walk").click()
    page.get_by_role("button", name="Whole walk").click()
    page.get_by_role("button", name="What is on this phone").click()
    expect(body).to_match_aria_snapshot(STORE)
    page.get_by_role("button", name="Back", exact=True).click()
    page.get_by_role("button", name="Everybody is down").click()
    expect(body).to_match_aria_snapshot(CLOSING)
