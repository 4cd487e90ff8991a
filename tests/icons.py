"""Draws the icons for home screens anew from static/icon.svg (`python -m tests.icons`), one with room to be cut."""

import re

from playwright.sync_api import sync_playwright

from tests.e2e.conftest import CHROMIUM, FLAGS, ROOT

STATIC = ROOT / "inspect_app" / "web" / "static"
# name -> side in pixels, share of the side that the drawing takes; systems cut a maskable icon to a circle of 80 %.
ICONS = {"walk-192": (192, 1.0), "walk-512": (512, 1.0), "walk-512-maskable": (512, 0.7)}


def page_of(drawing: str, ground: str, side: int, share: float) -> str:
    """A page that is nothing but the drawing, in the middle of its ground."""
    inner = re.sub(r"<svg ", f'<svg width="{side * share:.0f}" height="{side * share:.0f}" ', drawing, count=1)
    box = f"margin:0;width:{side}px;height:{side}px;background:{ground};display:grid;place-items:center"
    return f'<!doctype html><body style="{box}">{inner}</body>'


def main() -> None:
    drawing = (STATIC / "icon.svg").read_text(encoding="utf-8")
    ground = re.search(r'fill="(#[0-9a-f]{6})"', drawing)
    if not ground:
        raise RuntimeError("icon.svg has no ground")
    (STATIC / "icons").mkdir(exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        for name, (side, share) in ICONS.items():
            page = browser.new_page(viewport={"width": side, "height": side})
            page.set_content(page_of(drawing, ground[1], side, share))
            page.screenshot(path=STATIC / "icons" / f"{name}.png")
        browser.close()


if __name__ == "__main__":
    main()
