"""The report's typeface, kept apart from the fonts of the machine, and a check that it has every character."""

import shutil
import unicodedata
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import font_source_sans_pro
from fontTools.ttLib import TTFont

FAMILY = "Source Sans Pro"
WEIGHTS = ("Regular", "Semibold", "Bold")
_HIDDEN = frozenset({"Cc", "Cf", "Co", "Cs", "Cn"})  # controls, marks of direction, unassigned: never shown by a glyph
_PLAIN = {"\n": " ", "\t": " ", "\r": " ", "\u00a0": "\u00a0", "\u2028": " ", "\u2029": " "}
_CONF = """<?xml version="1.0"?>
<!DOCTYPE fontconfig SYSTEM "fonts.dtd">
<fontconfig>
  <dir>{fonts}</dir>
  <cachedir>{cache}</cachedir>
</fontconfig>
"""


def font_files() -> tuple[Path, ...]:
    """The files of the weights that the report uses."""
    folder = Path(font_source_sans_pro.font_directory)
    return tuple(folder / f"SourceSansPro-{weight}.ttf" for weight in WEIGHTS)


def isolated_fontconfig(folder: Path) -> Path:
    """Write a font configuration into `folder` that knows the report's typeface and nothing else; returns its path.

    A process that is to use it sets FONTCONFIG_FILE before it loads its first font.
    """
    fonts, cache_dir = folder / "fonts", folder / "cache"
    fonts.mkdir()
    cache_dir.mkdir()
    for file in font_files():
        shutil.copyfile(file, fonts / file.name)
    conf = folder / "fonts.conf"
    conf.write_text(_CONF.format(fonts=fonts, cache=cache_dir), encoding="utf-8")
    return conf


@cache
def known_characters() -> frozenset[int]:
    """Code points that every weight in use has a glyph for."""
    maps = []
    for file in font_files():
        with TTFont(file, lazy=True) as font:
            maps.append(frozenset(font.getBestCmap()))
    return frozenset.intersection(*maps)


def printable(text: str) -> str:
    """`text` in characters that the typeface has; a run of others is shown by number, as [U+4E2D U+6587].

    Composed first (NFC), so that a letter with an accent stays one letter. Line ends become spaces.
    """
    composed = unicodedata.normalize("NFC", text)
    if composed.isascii() and composed.isprintable():
        return composed
    return "".join(_pieces(composed))


def _pieces(text: str) -> Iterator[str]:
    known = known_characters()
    missing: list[str] = []
    for character in text:
        plain = _PLAIN.get(character, character)
        if ord(plain) in known and unicodedata.category(plain) not in _HIDDEN:
            if missing:
                yield f"[{' '.join(missing)}]"
                missing = []
            yield plain
        else:
            missing.append(f"U+{ord(character):04X}")
    if missing:
        yield f"[{' '.join(missing)}]"
