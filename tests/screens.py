"""Takes the README pictures anew from the demo house (`make screens`): phone and desk, in a throw-away copy."""

import io
import re
import shutil
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright
from pypdf import PdfReader

from tests.e2e.conftest import CHROMIUM, DESK, FLAGS, PHONE, ROOT, free_port

OUT = ROOT / "reports" / "screens"
COLOURS = 48  # enough for flat pages, and a picture stays below 100 kB
WHO = "wren"


def keep(picture: bytes, name: str, width: int) -> None:
    """Save a picture scaled to a width, with few colours."""
    with Image.open(io.BytesIO(picture)) as image:
        height = round(image.height * width / image.width)
        small = image.convert("RGB").resize((width, height), Image.Resampling.LANCZOS)
        small.quantize(COLOURS, dither=Image.Dither.NONE).save(OUT / f"{name}.png", optimize=True)


@contextmanager
def served(data: Path) -> Iterator[str]:
    """The address of a server on a data folder."""
    port = free_port()
    command = [sys.executable, "-m", "inspect_app", "--data", str(data), "serve", "--port", str(port)]
    process = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL)
    try:
        for _ in range(300):
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/api/v1/health", timeout=1)
                break
            except OSError:
                time.sleep(0.1)
        yield f"http://127.0.0.1:{port}"
    finally:
        process.terminate()
        process.wait(30)


def password(data: Path) -> str:
    found = re.search(rf"^\s*{WHO}\s+(\S+)", (data / "accounts.txt").read_text(), re.MULTILINE)
    if not found:
        raise RuntimeError("the demo has no account for the technical director")
    return found[1]


def signed_in(browser: Browser, address: str, data: Path, kind: dict[str, object]) -> Page:
    page = browser.new_context(**kind, reduced_motion="reduce").new_page()
    page.set_default_timeout(90_000)
    page.goto(f"{address}/sign-in")
    page.fill("[name=username]", WHO)
    page.fill("[name=password]", password(data))
    page.click("main [type=submit]")
    page.wait_for_selector("text=Demonstration, invented house")
    return page


def take_desk(page: Page, address: str, house: str) -> None:
    page.goto(f"{address}/houses/{house}/")
    keep(page.screenshot(), "house-desk", 1000)
    page.goto(f"{address}/houses/{house}/walks")
    waiting = page.locator("main li", has_text="waits for review and signature").first
    page.goto(address + str(waiting.locator("a").first.get_attribute("href")) + "/review")
    keep(page.screenshot(), "review-desk", 1000)


def take_phone(page: Page, address: str, house: str) -> None:
    page.goto(f"{address}/walk?house={house}")
    page.click("text=Begin a new walk")
    page.check("[value=grid-quarterly]")
    for name, text in {"deck": "Juniper Ashdown", "radio": "2", "rescue": "Petra Vossler", "down_at": "17:30"}.items():
        page.fill(f"[name={name}]", text)
    page.check("[name=cautions]")
    page.click("text=Begin the walk")
    page.click("[data-stop=loft-and-line]")
    for _ in range(3):
        page.locator("[data-row] .tap:not([aria-disabled=true])").first.click()
        page.wait_for_timeout(900)
    keep(page.screenshot(), "walk-phone", 390)
    page.locator("[data-row]").nth(4).get_by_text("Finding", exact=True).click()
    page.wait_for_timeout(500)
    keep(page.screenshot(), "finding-phone", 390)


def take_report(data: Path) -> None:
    """The first page of the newest report, and its plan: the first page that lies on its side."""
    newest = max((data / "reports").rglob("*.pdf"), key=lambda path: path.stat().st_mtime)
    boxes = [page.mediabox for page in PdfReader(newest).pages]
    plan = next(number for number, box in enumerate(boxes, start=1) if box.width > box.height)
    with tempfile.TemporaryDirectory() as folder:
        for number, name, width in ((1, "report-first", 600), (plan, "report-plan", 1000)):
            stem = Path(folder) / name
            pages = ["-singlefile", "-f", str(number), "-l", str(number)]
            subprocess.run(["pdftoppm", "-r", "120", "-png", *pages, newest, stem], check=True)
            keep(stem.with_suffix(".png").read_bytes(), name, width)


def main(demo: Path) -> None:
    OUT.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        data = Path(folder) / "data"
        shutil.copytree(demo, data)
        take_report(data)
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        with served(data) as address:
            desk = signed_in(browser, address, data, DESK)
            house = re.search(r"/houses/([0-9a-f-]{36})/", desk.content())
            if not house:
                raise RuntimeError("no house on the first page")
            take_desk(desk, address, house[1])
            take_phone(signed_in(browser, address, data, PHONE), address, house[1])
        browser.close()
    for path in sorted(OUT.glob("*.png")):
        print(f"{path.relative_to(ROOT)}: {path.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "demo-data")
