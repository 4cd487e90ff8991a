"""The palette of what a mark means, once for paper and each theme of the screen. Meaning never rests on colour alone.

Colours are our own. Those that share a shape differ by at least LEAST_DELTA in CAM02-UCS for people with normal and
with colour-deficient sight; every one stands at least 3 to 1 against each ground (WCAG 2.2, success criterion 1.4.11).
The dim red theme has one hue, so there shape and filling alone tell the marks apart.
"""

from collections.abc import Mapping
from typing import NamedTuple

LEAST_DELTA = 12.0  # in CAM02-UCS, where about 1 is just seen side by side; the margin is common practice, no source


class Shade(NamedTuple):
    """One meaning's colour on paper and the light theme, on the dark theme, and on the dim red one."""

    paper: str
    dark: str
    red: str


GROUNDS: Mapping[str, tuple[str, ...]] = {  # the grounds a picture may lie on, as in css/app.css
    "paper": ("#ffffff", "#fbfaf7", "#f1f1f1"),
    "dark": ("#131517", "#1f2225"),
    "red": ("#000000", "#1a0000"),
}
INK = Shade("#111111", "#eceae4", "#f0493a")
DIM = Shade("#444444", "#c3c6c8", "#dd4030")
SOUND = Shade("#4a4a4a", "#b4b8ba", "#dd4031")
GREY = Shade("#6b6b6b", "#a0a5a9", "#dd4032")
PALE = Shade("#c9c9c9", "#43484c", "#5c130c")
BAND = Shade("#f1f1f1", "#1f2225", "#1a0000")
GROUND = Shade("#ffffff", "#131517", "#000000")
STOP = Shade("#9b0f0f", "#ffb3b3", "#ff6250")
RESTRICT = Shade("#7a3b00", "#f0cf80", "#f0493b")
FOUND = Shade("#0b4a78", "#8fc4ee", "#ff6251")  # what the address asks for, shown by a frame as well
# Five steps, from the newest look or the least wear to the oldest or the most; filling tells them apart as well.
LEVELS: tuple[Shade, ...] = (
    Shade("#2a7ad6", "#4c86f0", "#e0442f"),
    Shade("#b3611a", "#d8741c", "#e0452f"),
    Shade("#5f5a72", "#5fb8a6", "#e0462f"),
    Shade("#7a1420", "#e6d54a", "#e0472f"),
    Shade("#120a3a", "#f6f2ff", "#e0482f"),
)
SHADES: Mapping[str, Shade] = {
    "ink": INK, "dim": DIM, "sound": SOUND, "grey": GREY, "pale": PALE, "band": BAND, "ground": GROUND, "stop": STOP,
    "restrict": RESTRICT, "found": FOUND, **{f"level_{n}": shade for n, shade in enumerate(LEVELS)},
}  # fmt: skip
MEANINGS = ("ink", "dim", "sound", "grey", "stop", "restrict", "found", *(f"level_{n}" for n in range(len(LEVELS))))


def theme_css() -> str:
    """The style sheet that gives a picture inside `.themed` the colours of the chosen theme.

    By variables, because a shape that is used again knows no ancestor, but inherits.
    """
    lines = ["/* Written by output/palette.py; a test keeps the two alike. A picture carries the colours of paper. */"]
    for name, shade in SHADES.items():
        for use in ("fill", "stroke"):
            lines.append(f'[{use}="{shade.paper}"] {{ {use}: var(--p-{name}, {shade.paper}); }}')
    dark, red = _variables("dark"), _variables("red")
    lines += ["@media (prefers-color-scheme: dark) {", f'  :root[data-theme="auto"] .themed {dark}', "}"]
    lines += [f':root[data-theme="dark"] .themed {dark}', f':root[data-theme="red"] .themed {red}']
    return "\n".join(lines) + "\n"


def _variables(theme: str) -> str:
    return "{ " + " ".join(f"--p-{name}: {getattr(shade, theme)};" for name, shade in SHADES.items()) + " }"
