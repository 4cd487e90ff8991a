"""The life of a repair by taps and clicks: found on a phone off line, stopped, tagged, decided, done, refused, checked,
released, looked at again, settled; and the history of the set tells it in order."""

import re
import subprocess
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Browser, ConsoleMessage, Page, expect

from inspect_app import clock
from inspect_app.actions.account import insert_account, insert_person
from inspect_app.actions.password import hash_password
from inspect_app.domain.role import Role
from inspect_app.store.data_folder import database_path, open_data_folder
from inspect_app.store.db import open_db, write_transaction
from inspect_app.store.membership import set_roles
from tests.e2e.conftest import (
    A_SECOND_PASSES,
    DESK,
    LOFT,
    PASSWORD,
    PHONE,
    QUARTERLY,
    Server,
    World,
    begin_walk_at,
    in_the_office,
    make_world,
    sign_in_at,
    sign_in_by_form,
    wait_until,
)

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-repair")]
SIGNED_BY = {"robin": "Robin Amsel", "ines": "Ines Vogt"}
OFF_LINE = "Failed to load resource: net::ERR_INTERNET_DISCONNECTED"


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    """The house with a facility manager beside its director and its inspector."""
    house = make_world(tmp_path / "data")
    db = open_db(database_path(open_data_folder(tmp_path / "data").settings))
    with write_transaction(db):
        manager = insert_person(db, "Odile Brandt", "facility manager")
        insert_account(db, clock.now(), manager.id, "odile", hash_password(PASSWORD))
        set_roles(db, house, manager.id, frozenset({Role.MANAGER}), clock.now())
    db.conn.close()
    server = Server(tmp_path / "data")
    server.start()
    yield World(server, house)
    server.stop()


class People:
    """The phone of the director, and a browser at a desk for each person, signed in by the form when first used."""

    def __init__(self, browser: Browser, world: World) -> None:
        self.browser, self.world = browser, world
        self.desks: dict[str, Page] = {}
        self.complaints: list[str] = []
        self.phone = self.page(PHONE)

    def page(self, kind: dict[str, Any]) -> Page:
        page = self.browser.new_context(**kind).new_page()
        page.on("pageerror", lambda error: self.complaints.append(f"page error: {error}"))
        page.on("console", self.hear)
        return page

    def hear(self, message: ConsoleMessage) -> None:
        """Keep what the browser complains about, but for the lost signal, refused releases, and the icon of a PDF."""
        expected = message.text == OFF_LINE or message.location["url"].endswith(("/release", "/favicon.ico"))
        if message.type == "error" and not expected:
            self.complaints.append(f"{message.text} {message.location}")

    def at_desk(self, username: str) -> Page:
        if username not in self.desks:
            self.desks[username] = self.page(DESK)
            sign_in_by_form(self.desks[username], self.world, username)
        return self.desks[username]

    def go(self, username: str, path: str) -> Page:
        page = self.at_desk(username)
        page.goto(self.world.url(path) if path.startswith("/") else path)
        return page


@pytest.fixture
def people(browser: Browser, world: World) -> Iterator[People]:
    expect.set_options(timeout=20_000)  # a page that loads beside other tests takes its time
    made = People(browser, world)
    yield made
    expect.set_options(timeout=5_000)
    for context in [made.phone.context, *(page.context for page in made.desks.values())]:
        context.close()
    assert made.complaints == []


def picture(path: Path, colour: str) -> str:
    Image.new("RGB", (640, 480), colour).save(path, "JPEG")
    return str(path)


def find_off_line(phone: Page, photo: str) -> None:
    """A cracked sheave on set 3, graded stop use, while there is no signal; the next steps one tap each."""
    phone.context.set_offline(True)
    phone.get_by_role("button", name="Finding at 3", exact=True).tap()
    phone.locator("button.point[data-point=loft-block-groove]").first.tap()
    phone.locator("[data-point-way=handled]").tap()
    phone.locator("[data-defect]").first.tap()
    phone.locator("[data-wear='4']").tap()
    phone.locator("[data-grade=stop_use]").tap()
    phone.locator("textarea[name=note]").fill("Groove cracked through to the bore")
    phone.set_input_files("input[type=file]", photo)
    expect(phone.locator(".photos li")).to_contain_text("on this phone")
    phone.get_by_role("button", name="Save the finding").tap()
    expect(phone.get_by_role("heading", level=1)).to_have_text("Stopped: set 3")
    expect(phone.get_by_text("Only this phone knows. Say it by radio now: set 3, stop.")).to_be_visible()
    phone.get_by_label("Who was told, or who does it").fill("Kim Osei")
    phone.get_by_role("button", name="Told the rail by radio").tap()
    expect(phone.get_by_text("Told the rail by radio: recorded.").first).to_be_visible()
    phone.get_by_role("button", name="Back to the walk").tap()
    expect(phone.locator("#rows")).to_be_visible()


def close_walk(people: People) -> str:
    """Everybody is down; the address of the review."""
    phone = people.phone
    if phone.locator("#rows").is_visible():
        phone.get_by_role("button", name="Whole walk").tap()
    phone.get_by_role("button", name="Everybody is down").tap()
    phone.get_by_label("Tools were counted").check()
    phone.get_by_label("Each set that was moved").check()
    phone.get_by_label("Locks and tags left on").fill("none")
    phone.get_by_role("button", name="Close and go to review").tap()
    phone.wait_for_url("**/review")
    return phone.url


def sign_walk(people: People, review: str, username: str) -> None:
    page = people.go(username, review)
    page.get_by_role("link", name="Go to the signature").click()
    page.locator("[name=name]").fill(SIGNED_BY[username])
    page.locator("[name=credential]").fill("as typed by the person who signs")
    page.get_by_role("button", name="Sign and seal").click()
    page.get_by_role("link", name="Report (PDF)").wait_for()


def address_on_the_tag(page: Page, folder: Path) -> str:
    """Print the tag: its words as pdftotext reads them, and what another program reads in its QR code."""
    page.get_by_role("link", name="Print the tag").click()
    base = re.sub(r"\.pdf$", "", page.url)
    for _ in range(100):
        answer = page.request.get(f"{base}.pdf")
        if answer.headers["content-type"] == "application/pdf":
            break
        page.wait_for_timeout(100)
    (folder / "tag.pdf").write_bytes(answer.body())
    words = subprocess.run(["pdftotext", str(folder / "tag.pdf"), "-"], capture_output=True, text=True, check=True)
    for part in ("set 3", "Groove cracked", "22 ft", "rail, batten"):
        assert part.lower() in words.stdout.lower().replace("\n", " "), words.stdout
    subprocess.run(["pdftoppm", "-r", "120", "-png", str(folder / "tag.pdf"), str(folder / "tag")], check=True)
    codes = [zxingcpp.read_barcode(Image.open(path)) for path in sorted(folder.glob("tag*.png"))]
    return next(code.text for code in codes if code is not None)


def step(page: Page, summary: str, **fields: str) -> None:
    """Open one of the steps of a deficiency, fill in its form, and send it."""
    box = page.locator("details", has=page.locator("summary", has_text=summary)).first
    if not box.evaluate("box => box.open"):
        box.locator("summary").click()
    for label, text in fields.items():
        field = box.get_by_label(label.replace("_", " ")).first
        if field.evaluate("field => field.tagName") == "SELECT":
            field.select_option(label=text)
        else:
            field.fill(text)
    box.locator("button[type=submit]").click()


def test_a_stop_is_followed_from_the_phone_to_settled_and_its_set_tells_it_in_order(
    people: People, world: World, tmp_path: Path
) -> None:
    phone = people.phone
    sign_in_at(phone, world)
    begin_walk_at(phone, world, QUARTERLY)
    in_the_office(phone)
    phone.locator(LOFT).tap()
    find_off_line(phone, picture(tmp_path / "before.jpg", "maroon"))
    assert world.rows("SELECT count(*) FROM tag_out") == [(0,)]  # nobody but the phone knows
    phone.get_by_role("button", name="Whole walk").tap()
    phone.get_by_role("button", name="Stop", exact=False).first.tap()
    expect(phone.get_by_role("button", name="Set 3", exact=True)).to_have_class(re.compile("recorded"))
    phone.get_by_role("button", name="Back").tap()
    phone.context.set_offline(False)
    wait_until(phone, "document.querySelector('#send') !== null")
    phone.locator("#send").tap()
    in_the_office(phone)

    # Stopped as soon as it arrives, on every view of the set.
    odile = people.at_desk("odile")
    expect(odile.get_by_text(re.compile("Set 3|Line set 3")).first).to_be_visible()  # Today
    for path, words in (
        ("/houses/{house}/tag-outs", "Groove cracked through to the bore"),
        ("/houses/{house}/walks", "Groove cracked through to the bore"),
        ("/houses/{house}/rail", "Groove cracked through to the bore"),
        ("/houses/{house}/line-sets/", "stop use"),
    ):
        people.go("odile", path)
        expect(odile.locator("main")).to_contain_text(words)
    odile.get_by_role("link", name="3", exact=True).click()
    line_set = odile.url
    expect(odile.locator("main .stopped")).to_contain_text("Groove cracked through to the bore")
    odile.get_by_role("link", name=re.compile("^LB 3-1, number")).click()
    deficiency = odile.url
    expect(odile.locator("main .stopped")).to_contain_text("Line set 3")
    people.go("odile", line_set).get_by_role("link", name=re.compile("^LB 3-1")).last.click()
    part = odile.url
    expect(odile.locator("main .stopped")).to_contain_text("of the set")

    # The tag, and where it hangs.
    people.go("robin", line_set)
    robin = people.at_desk("robin")
    robin.locator("main .stopped a").click()
    tag_out = robin.url
    robin.locator("summary", has_text="Record how it was left").click()
    robin.get_by_label("Height of the batten").fill("22 ft")
    robin.get_by_label("What is on it").fill("nothing")
    robin.get_by_label("at the rail").check()
    robin.get_by_label("at the batten").check()
    robin.locator("form[action$=place] button[type=submit]").click()
    robin.get_by_label("Lock and tag are on").check()
    robin.get_by_label("Who was told, or who did it").fill("Robin Amsel")
    robin.locator("form[action$=step] button[type=submit]").click()
    expect(robin.locator("main")).to_contain_text("rail, batten")
    assert address_on_the_tag(robin, tmp_path) == tag_out

    # Decision and order by the manager, work by the director with photo and parts.
    due = (datetime.now(UTC).date() + timedelta(days=5)).isoformat()
    people.go("odile", deficiency)
    step(odile, "Decide what is done", What_is_decided="New block, same maker", Who_sees_to_it="Robin Amsel",
         To_be_put_right_by=due, Order_number="PO-118")  # fmt: skip
    step(odile, "Take it in hand", Who_sees_to_it="Robin Amsel")
    people.go("robin", deficiency)
    robin.locator("summary", has_text="Record the work done").click()
    robin.set_input_files("#step-work-done input[type=file]", picture(tmp_path / "after.jpg", "seagreen"))
    step(robin, "Record the work done", Put_right_by="Robin Amsel", What_was_done="Block changed, bolts to the maker's "
         "torque", Parts_used="Block 8 in, lot 2611-4")  # fmt: skip
    expect(robin.get_by_alt_text(re.compile("^After the repair"))).to_be_visible()

    # Nobody checks their own work, and a manager releases nothing.
    expect(robin.locator("main")).to_contain_text("Somebody other than the person who put it right must check it.")
    expect(robin.get_by_role("button", name="Record that it was checked")).to_have_count(0)
    people.go("odile", tag_out)
    expect(odile.locator("main")).to_contain_text("only a qualified inspector does; a manager or administrator")
    expect(odile.locator("main")).to_contain_text("Not checked yet: deficiency 1 on LB 3-1")
    expect(odile.get_by_role("button", name="Release this stop")).to_have_count(0)
    token = odile.locator("input[name=csrf_token]").first.input_value()
    sent: dict[str, Any] = {"csrf_token": token, "release-role": "facility_manager", "release-reason": "needed tonight"}
    refused = odile.request.post(f"{tag_out}/release", form=sent, headers={"Referer": tag_out})
    assert refused.status == 403
    assert "Your role in this house does not allow this" in refused.text()

    # Checked by another person; settled only after the release.
    ines = people.go("ines", deficiency)
    step(ines, "Record that it was checked", What_was_looked_at="Groove gauge, bolts, run by hand")
    expect(ines.locator("main")).to_contain_text("The stop raised from it still stands. Release the tag-out first")

    # Released by the inspector once every condition is met.
    people.go("ines", tag_out)
    ines.locator("summary", has_text="Release this stop").click()
    expect(ines.locator("[name=release-work_by]")).to_have_value("Robin Amsel")  # what the log knows stands there
    expect(ines.locator("[name=release-checked_by]")).to_have_value("Ines Vogt")
    ines.locator("[name=release-reason]").fill("New block at LB 3-1")
    ines.locator("[name=release-work_by]").fill("")
    ines.get_by_role("button", name="Release this stop").click()
    for words in ("Say who did the work.", "Name the second of the two people", "Say which crew was told"):
        expect(ines.locator("main [role=alert]")).to_contain_text(words)
    relook = (datetime.now(UTC).date() + timedelta(days=10)).isoformat()
    said = {
        "work_by": "Robin Amsel", "checked_by": "Ines Vogt", "checked": "groove and bolts", "travel_empty": "quiet",
        "travel_loaded": "120 kg, quiet", "travel_first": "Robin Amsel", "travel_second": "robin amsel",
        "locks_off": "Robin Amsel", "label": "nothing changes", "crew_told": "the fly crew, by Robin",
        "relook_on": relook,
    }  # fmt: skip
    for name, text in said.items():
        ines.locator(f"[name=release-{name}]").fill(text)
    ines.get_by_role("button", name="Release this stop").click()
    expect(ines.locator("main [role=alert]")).to_contain_text("The travel is run by two people: name the second one.")
    ines.locator("[name=release-travel_second]").fill("Kim Osei")
    ines.get_by_role("button", name="Release this stop").click()
    expect(ines.locator("main")).to_contain_text("Released by Ines Vogt as qualified inspector")
    people.go("odile", line_set)
    expect(odile.locator("main .stopped")).to_have_count(0)

    # The look that was asked for: a short walk of this set, signed.
    phone.goto(world.url("/walk?house={house}"))
    phone.get_by_role("button", name="Begin a new walk").wait_for()
    wait_until(phone, TOLD_OF_IT.replace("{house}", world.house))  # a walk keeps the pack that it begins with
    people.go("robin", "/houses/{house}/relooks/")
    expect(robin.locator("main")).to_contain_text(f"LB 3-1 by {relook}")
    begin_walk_at(phone, world, QUARTERLY)
    phone.locator(LOFT).tap()
    # What was put right and checked is open until it is settled: the phone asks whether it is still there.
    row = phone.locator("[data-row]", has_text="Groove cracked through to the bore")
    row.get_by_role("button", name="Not seen now").tap()
    expect(row).to_have_count(0)
    phone.evaluate(A_SECOND_PASSES)
    phone.locator("[data-row] .tap").nth(2).tap()
    expect(phone.locator("[data-row] .tap").nth(2)).to_have_class(re.compile("recorded"))
    in_the_office(phone)
    sign_walk(people, close_walk(people), "ines")
    people.go("robin", "/houses/{house}/relooks/")
    expect(robin.locator("main")).to_contain_text("Looked at on")

    people.go("odile", deficiency)
    step(odile, "Settle it")
    expect(odile.locator("main .state-word").first).to_have_text("settled")

    # The set tells it in order; so do the deficiency and the part.
    in_order = (
        "Found", "Out of use: Line set 3", "The rail was told: Kim Osei", "How it was left", "Lock and tag are on",
        "Decided", "In hand", "Work done", "Block 8 in, lot 2611-4", "Checked", "Groove gauge",
        "Stop released, back into use: Line set 3", "Looked at again", "Settled",
    )  # fmt: skip
    people.go("odile", line_set).get_by_role("link", name="Repairs and stops of this set").click()
    tells_in_order(odile, in_order)
    tells_in_order(people.go("odile", deficiency), in_order)
    people.go("odile", part)
    expect(odile.locator("main .stopped")).to_have_count(0)
    looks = odile.locator("main").inner_text()
    assert looks.index("Latest looks") < looks.rindex("Groove cracked through to the bore")


TOLD_OF_IT = """async () => {
  const { packs } = await import('/static/js/field/memory.js');
  const { pack } = await packs.get('{house}');
  return Object.values(pack.parts).some(({ open }) => open.length);
}"""


def tells_in_order(page: Page, in_order: tuple[str, ...]) -> None:
    story, at = page.locator("ol.story").inner_text(), 0
    for words in in_order:
        found = story.find(words, at)
        assert found >= 0, f"{words} does not follow: {story[at:]}"
        at = found + 1
