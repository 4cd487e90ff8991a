"""The typeface check: nothing that cannot be printed gets through, and nothing is lost in silence."""

import unicodedata

from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.output.fonts import FAMILY, font_files, isolated_fontconfig, known_characters, printable


@given(st.text())
def test_every_character_that_comes_out_has_a_glyph_in_every_weight(text: str) -> None:
    out = printable(text)
    for file in font_files():
        with TTFont(file) as font:
            glyphs = font.getBestCmap()
        assert all(ord(character) in glyphs for character in out)


@given(st.text(st.sampled_from("ab é\u0301\u202e中א\U0001f525\n")))
def test_what_the_typeface_lacks_is_named_by_number(text: str) -> None:
    out = printable(text)
    for character in unicodedata.normalize("NFC", text):
        if ord(character) not in known_characters() and character != "\n":
            assert f"U+{ord(character):04X}" in out


def test_usual_letters_of_the_trade_and_of_europe_pass_unchanged() -> None:
    text = "12'-6 1/2\" Ø 11 mm ½ ⅝ ± × – — “Scène” Größe ñ Ł ş Ž ☐ µ ≤ ≥ →"
    assert printable(text) == text


def test_a_run_of_missing_characters_stands_in_one_bracket_and_controls_are_shown() -> None:
    assert printable("a中文b") == "a[U+4E2D U+6587]b"
    assert printable("x\u202ey\x00z") == "x[U+202E]y[U+0000]z"
    assert printable("one\ntwo") == "one two"


def test_the_font_configuration_names_only_our_files(tmp_path) -> None:
    conf = isolated_fontconfig(tmp_path)
    assert sorted(p.name for p in (tmp_path / "fonts").iterdir()) == sorted(p.name for p in font_files())
    text = conf.read_text()
    assert text.count("<dir>") == 1
    assert "<include" not in text
    assert FAMILY == "Source Sans Pro"
