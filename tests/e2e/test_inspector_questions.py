"""An inspector new to the house, on a phone: each question is answered within two taps of the house's first page.

What stands there is compared with the office's database, not with the headings.
"""

from collections.abc import Iterator
from urllib.parse import urlparse

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from inspect_app import clock
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db
from inspect_app.store.house import get_house
from tests.e2e.conftest import PHONE, Server, World, make_world, no_noise, sign_in_by_form
from tests.history_builder import ANNUAL_DAYS, DIAMETERS, DUCT, make_history

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-inspector")]
MOST_TAPS = 2


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Iterator[World]:
    data = tmp_path_factory.mktemp("inspector") / "data"
    house = make_world(data, sets=4)
    db = open_db(database_path(open_data_folder(data).settings))
    make_history(db, open_data_folder(data).settings, get_house(db, house), clock.now())
    db.conn.close()
    server = Server(data)
    server.start()
    yield World(server, house)
    server.stop()


class Visit:
    """The inspector's phone, and how often they tapped since they stood on the house's first page."""

    def __init__(self, page: Page, world: World) -> None:
        self.page, self.world, self.taps, self.first = page, world, 0, ""

    def start(self) -> None:
        """Back on the page on which the house opens."""
        if not self.first:
            sign_in_by_form(self.page, self.world, "ines")
            self.first = self.page.url
        self.page.goto(self.first)
        self.taps = 0

    def tap(self, thing: Locator) -> None:
        """One tap, and never more than two."""
        self.taps += 1
        assert self.taps <= MOST_TAPS
        with self.page.expect_navigation():
            thing.tap()

    def ask(self, question: str) -> Locator:
        """One tap: the answer on the page *Before you climb*."""
        self.start()
        self.tap(self.page.locator("main").get_by_role("link", name="Before you climb"))
        answer = self.page.locator(f"#{question}")
        expect(answer.locator("h2")).to_be_visible()
        return answer

    def in_full(self, answer: Locator, words: str) -> Locator:
        """The second tap: all of the answer."""
        self.tap(answer.get_by_role("link", name=words, exact=True))
        assert self.page.evaluate("document.documentElement.scrollWidth") <= PHONE["viewport"]["width"]
        return self.page.locator("main")

    def one(self, query: str) -> tuple:
        (row,) = self.world.rows(query)
        return row


@pytest.fixture(scope="module")
def visit(browser: Browser, world: World) -> Iterator[Visit]:
    context = browser.new_context(**PHONE)
    page = context.new_page()
    page.set_default_timeout(10_000)
    complaints = no_noise(page)
    yield Visit(page, world)
    context.close()
    assert complaints == []


def test_what_this_house_is(visit: Visit) -> None:
    answer = visit.ask("house")
    sets = dict(visit.world.rows("SELECT kind, count(*) FROM line_set GROUP BY kind"))
    expect(answer).to_contain_text(f"{sum(sets.values())}: {sets['single_purchase']} single purchase")
    lines, count = visit.one("SELECT lines, count(*) FROM line_set GROUP BY lines")
    expect(answer).to_contain_text(f"{lines} on {count} sets")
    (grid,) = visit.one("SELECT z_mm FROM area WHERE kind = 'grid'")
    expect(answer).to_contain_text(f"Grid: {int(grid / 25.4 / 12)}'")
    page = visit.in_full(answer, "All line sets")
    for (number,) in visit.world.rows("SELECT number FROM line_set"):
        expect(page.get_by_role("link", name=number, exact=True).first).to_be_visible()


def test_what_changed_since_the_last_inspection(visit: Visit) -> None:
    answer = visit.ask("changed")
    number, day = visit.one(
        "SELECT s.number, w.date_local FROM walk w JOIN seal s ON s.walk = w.id "
        "WHERE w.title LIKE 'Annual%' ORDER BY w.date_local DESC LIMIT 1"
    )
    expect(answer).to_contain_text(f"{day}, report {number}")
    ((grade, before), (_, after)) = visit.world.rows(
        "SELECT d.grade, f.wear FROM finding f JOIN part p ON p.id = f.part JOIN deficiency d ON d.part = p.id "
        "JOIN look l ON l.entry = f.entry WHERE p.tag = 'LB 2-1' ORDER BY l.at"
    )
    expect(answer).to_contain_text(f"wear rating {before} then, {after} now")
    page = visit.in_full(answer, "All changes by set")
    second = page.locator("details.group").filter(has_text="Set 2 ")
    expect(second.locator("summary")).to_contain_text("worse")
    (note,) = visit.one("SELECT note FROM finding WHERE answer = 'worse'")
    assert note == "groove cut through"
    said = second.inner_text() if second.get_attribute("open") is not None else second.text_content()
    assert f"grade now {grade}" in (said or "")
    assert f"wear rating {before} then, {after} now" in (said or "")


def test_what_wears(visit: Visit) -> None:
    answer = visit.ask("wears")
    measures = visit.world.rows(
        "SELECT m.value, substr(l.at, 1, 10) FROM measure m JOIN look l ON l.entry = m.entry ORDER BY l.at"
    )
    assert tuple(value for value, _ in measures) == DIAMETERS
    expect(answer).to_contain_text(f"last {measures[-1][0]} in on {measures[-1][1]}")
    expect(answer).to_contain_text(f"trend of {len(measures)} looks since {measures[0][1][:7]}")
    page = visit.in_full(answer, "All that wears, with pictures")
    row = page.locator(".wear-list > li").filter(has_text="LL 1-1")
    expect(row.locator("svg.spark circle")).to_have_count(len(ANNUAL_DAYS))
    expect(row).to_contain_text("outside when less than 0.2375 in: 29 CFR 1926.1413")


def test_what_keeps_breaking(visit: Visit) -> None:
    answer = visit.ask("breaks")
    last, first, what = visit.one(
        "SELECT d.number, a.number, d.what FROM deficiency d JOIN deficiency a ON a.id = d.again_of "
        "WHERE a.state = 'settled'"
    )
    expect(answer).to_contain_text(f"HB 2: {what}. Found again after it was settled 1 time")
    page = visit.in_full(answer, "All that keeps coming back")
    expect(page.locator(".chain li")).to_contain_text([f"number {first}", f"number {last}"])


def test_what_happened_here(visit: Visit) -> None:
    answer = visit.ask("happened")
    what, day = visit.one("SELECT what, substr(at, 1, 10) FROM event")
    expect(answer.locator("li")).to_contain_text([what])
    expect(answer.locator("li")).to_contain_text([day])
    expect(visit.in_full(answer, "All events")).to_contain_text(what)


def test_what_was_promised_and_not_done(visit: Visit) -> None:
    answer = visit.ask("promised")
    number, until = visit.one("SELECT number, put_off_until FROM deficiency WHERE state = 'put_off'")
    expect(answer.locator("li").filter(has_text=f"Number {number}")).to_contain_text(f"Put off until {until}")
    late, due = visit.one("SELECT number, due_on FROM deficiency WHERE state = 'decided'")
    assert due < clock.now().date().isoformat()
    expect(answer.locator("li").filter(has_text=f"Number {late}")).to_contain_text(f"Overdue since {due}")
    review, what = visit.one("SELECT review_by, what FROM accepted_condition")
    expect(answer.locator("li").filter(has_text=what)).to_contain_text(f"to be reviewed by {review}")
    page = visit.in_full(answer, "Only what is overdue")
    expect(page.get_by_role("link", name=f"Deficiency {late}", exact=True)).to_be_visible()
    assert page.get_by_role("link", name=f"Deficiency {number}", exact=True).count() == 0


def test_what_nobody_has_touched_for_years(visit: Visit) -> None:
    answer = visit.ask("untouched")
    (parts,) = visit.one("SELECT count(*) FROM part WHERE retired_on IS NULL")
    (never,) = visit.one("SELECT count(*) FROM part WHERE id NOT IN (SELECT part FROM look)")
    expect(answer).to_contain_text(f"Of {parts} parts")
    expect(answer).to_contain_text(f"never recorded {never}, not reached 1")
    (seen,) = visit.one(
        "SELECT max(substr(l.at, 1, 10)) FROM look l JOIN part p ON p.id = l.part WHERE p.tag = 'LB 1-2' "
        "AND l.result = 'no_finding'"
    )
    expect(answer.locator("li").filter(has_text="LB 1-2")).to_contain_text(f"the longest ago last looked at {seen}")
    page = visit.in_full(answer, "All blind spots")
    row = page.locator("tr").filter(has=visit.page.get_by_role("link", name="LB 1-2", exact=True, include_hidden=True))
    said = row.text_content() or ""
    assert "not reached" in said
    assert seen in said
    assert DUCT in said


def test_what_is_out_of_use_now(visit: Visit) -> None:
    answer = visit.ask("out_of_use")
    why, number = visit.one("SELECT t.why, s.number FROM tag_out t JOIN line_set s ON s.id = t.line_set")
    expect(answer.locator("li")).to_contain_text([f"Line set {number}: out of use since"])
    expect(answer).to_contain_text(why)
    page = visit.in_full(answer, "All that is out of use")
    expect(page).to_contain_text(why)


def test_what_was_inspected_before_and_whom_to_ask(visit: Visit) -> None:
    answer = visit.ask("reports")
    numbers = [number for (number,) in visit.world.rows("SELECT number FROM seal ORDER BY at DESC")]
    expect(answer).to_contain_text(f"{len(numbers)} signed walks")
    expect(answer.locator("li").first).to_contain_text(f"report {numbers[0]}")
    people = visit.world.rows(
        "SELECT p.name FROM person p JOIN membership m ON m.person = p.id WHERE m.role = 'technical_director' "
        "AND m.ended_at IS NULL ORDER BY p.name"
    )
    names = ", ".join(name for (name,) in people)
    expect(visit.page.locator("#ask li").first).to_have_text(f"Technical director: {names}")
    page = visit.in_full(answer, "All reports")
    assert urlparse(visit.page.url).path.endswith("/reports/") or "report" in visit.page.url
    for number in numbers:
        expect(page).to_contain_text(number)
