"""The whole job by taps on a phone: sign in, walk, find, not reach, close, sign, and read the PDF's text back."""

import re
import subprocess
from pathlib import Path

import pytest
from PIL import Image, ImageDraw
from playwright.sync_api import Page, expect

from tests.e2e.conftest import LOFT, in_the_office, sign_in_by_form, tap

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("browser-walk")]


def photo(folder: Path, text: str) -> Path:
    picture = Image.new("RGB", (1600, 1200), "#667")
    ImageDraw.Draw(picture).text((60, 60), text, fill="white")
    path = folder / f"{text}.jpg"
    picture.save(path, "JPEG")
    return path


def record_finding(page: Page, row: int, point: str, picture: Path, figure: str) -> None:
    page.locator("[data-row]").nth(row).get_by_role("button", name="Finding at").tap()
    page.locator(f"button.point[data-point={point}]").first.tap()
    page.locator("[data-point-way=handled]").tap()
    page.locator(".figure input").first.fill(figure)
    page.locator("[data-defect]").first.tap()
    page.locator("[data-wear='3']").tap()
    page.set_input_files("input[type=file]", str(picture))
    expect(page.locator(".photos li")).to_contain_text("on this phone", timeout=15_000)
    page.get_by_role("button", name="Save the finding").tap()
    page.locator("#rows").wait_for()


def test_a_walk_from_sign_in_to_the_words_of_its_report(phone, desk, world, begin_walk, tmp_path) -> None:
    page = phone
    sign_in_by_form(page, world)
    begin_walk(page, "Annual hands-on inspection")
    page.locator(LOFT).tap()

    for _ in range(4):  # 48 stops in four wells, a tap each
        tap(page, 12)
        page.get_by_role("button", name="Next", exact=True).tap()
    tap(page, 2)
    in_the_office(page)

    record_finding(page, 3, "loft-block-groove-radius", photo(tmp_path, "groove"), "0.100")
    record_finding(page, 4, "lift-line-diameter", photo(tmp_path, "rope"), "0.230")
    for row in (5, 6, 7):
        page.locator("[data-row]").nth(row).get_by_role("button", name="Not reached").tap()
        page.locator("#not-looked").get_by_role("button", name="Blocked by scenery or load").tap()
        page.locator("#not-looked").get_by_role("button", name="Not reached", exact=True).tap()
        page.locator("#rows").wait_for()
    in_the_office(page)

    page.get_by_role("button", name="Whole walk").tap()
    page.get_by_role("button", name="Everybody is down").tap()
    page.get_by_label("Tools were counted").check()
    page.get_by_label("Each set that was moved").check()
    page.get_by_label("Locks and tags left on").fill("none")
    page.get_by_role("button", name="Close and go to review").tap()
    page.wait_for_url("**/review")
    expect(page.get_by_role("heading", name="Not reached").first).to_be_visible()

    # The annual inspection is the qualified inspector's to sign, at a desk.
    sign_in_by_form(desk, world, "ines")
    desk.goto(page.url)
    desk.get_by_role("link", name="Go to the signature").click()
    desk.locator("[name=name]").fill("Ines Vogt")
    desk.locator("[name=credential]").fill("rigging inspector, register number 1234 as typed")
    desk.get_by_role("button", name="Sign and seal").click()
    desk.get_by_role("link", name="Report (PDF)").wait_for()

    pdf = tmp_path / "report.pdf"
    download(desk, pdf)
    words = text_of(pdf)
    assert "Trial House" in words
    assert "Robin Amsel" in words
    assert "Ines Vogt" in words
    assert "register number 1234" in words
    assert "Blocked by scenery or load" in words
    assert "outside the cited criterion" in words
    assert "1926.1413" in words  # the cited clause for rope diameter
    assert "certifies nothing" in words
    pictures = subprocess.run(["pdfimages", "-list", str(pdf)], capture_output=True, text=True, check=True).stdout
    assert len([line for line in pictures.splitlines()[2:] if " image " in line]) >= 2


def download(page: Page, to: Path) -> None:
    """Follow the link to the report, wait while it is made, and keep the file."""
    address = page.get_by_role("link", name="Report (PDF)").get_attribute("href")
    for _ in range(120):
        answer = page.request.get(page.url.split("/houses/")[0] + address)
        if answer.headers["content-type"] == "application/pdf":
            to.write_bytes(answer.body())
            return
        page.wait_for_timeout(500)
    pytest.fail("the report was not made within a minute")


def text_of(pdf: Path) -> str:
    raw = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    return re.sub(r"\s+", " ", raw)
