"""The style sheet: every theme is readable, by the contrast formula of WCAG 2.2 (relative luminance, section 1.4.3)."""

import re
from pathlib import Path

import pytest

CSS = (Path(__file__).parent.parent.parent / "inspect_app/web/static/css/app.css").read_text()
TEXT_PAIRS = [
    ("ink", "ground"),
    ("ink", "ground-2"),
    ("ink-2", "ground"),
    ("ink-2", "ground-2"),
    ("link", "ground"),
    ("main-ink", "main"),
    ("stop", "ground"),
    ("stop-ink", "stop"),
    ("ink", "caution-ground"),
]
EDGE_PAIRS = [("line-strong", "ground"), ("caution", "caution-ground"), ("hatch", "ground"), ("focus", "ground")]


def colours(selector: str) -> dict[str, str]:
    block = CSS[CSS.index(selector) :]
    block = block[: block.index("}")]
    return dict(re.findall(r"--([\w-]+): (#[0-9a-f]{3,6})", block))


THEMES = {
    "light": colours(":root {"),
    "dark": colours(':root[data-theme="dark"] {'),
    "red": colours(':root[data-theme="red"] {'),
    "auto, dark": colours(':root[data-theme="auto"] {'),
}


def luminance(colour: str) -> float:
    digits = colour[1:] if len(colour) == 7 else "".join(sign * 2 for sign in colour[1:])
    parts = [int(digits[place : place + 2], 16) / 255 for place in (0, 2, 4)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, two: str) -> float:
    high, low = sorted((luminance(one), luminance(two)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_the_formula_gives_the_published_extremes() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)  # WebAIM's well-known near miss, from memory


@pytest.mark.parametrize("theme", THEMES)
def test_text_and_edges_stand_out_in_every_theme(theme: str) -> None:
    named = THEMES[theme]
    for ink, ground in TEXT_PAIRS:
        assert contrast(named[ink], named[ground]) >= 4.5, (ink, ground, contrast(named[ink], named[ground]))
    for edge, ground in EDGE_PAIRS:
        assert contrast(named[edge], named[ground]) >= 3, (edge, ground)


def test_the_red_theme_has_nothing_but_red_on_black() -> None:
    for name, colour in THEMES["red"].items():
        red, green, blue = (int(colour[1:].ljust(6, "0")[place : place + 2], 16) for place in (0, 2, 4))
        assert red >= 2 * max(green, blue) or colour == "#000", name


def test_both_dark_themes_are_the_same() -> None:
    assert THEMES["dark"] == THEMES["auto, dark"]


def test_what_is_hidden_stays_hidden() -> None:
    assert "[hidden] { display: none !important; }" in CSS
