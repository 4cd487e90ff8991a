"""The palette: told apart by people with every kind of colour sight, and seen against each ground.

Contrast after the formula of WCAG 2.2 (relative luminance and contrast ratio), computed here apart from the program;
colour sight simulated by colorspacious (Machado, Oliveira and Fernandes 2009), distances in CAM02-UCS by the same.
"""

import itertools
import re
from pathlib import Path

import numpy as np
import pytest
from colorspacious import cspace_convert

import inspect_app.web
from inspect_app.domain.checklist import Way
from inspect_app.domain.plan_view import VIEWS, PlanFacts
from inspect_app.output import palette
from inspect_app.output.plan_marks import SHAPES, shape_svg

STATIC = Path(inspect_app.web.__file__).parent / "static" / "css"
SIGHTS = (None, "deuteranomaly", "protanomaly", "tritanomaly")
TEXT = ("ink", "dim", "grey")  # colours that letters are set in
FAMILIES = {  # marks that share a shape, and differ by filling and colour
    **{way.value: [f"{way.value}-{n}" for n in range(4)] for way in Way},
    "wear": [f"wear-{n}" for n in range(5)],
}


def rgb(colour: str) -> np.ndarray:
    return np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)]) / 255


def luminance(colour: str) -> float:
    """WCAG 2.2, relative luminance."""
    value = rgb(colour)
    linear = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)
    return float(linear @ [0.2126, 0.7152, 0.0722])


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def seen(colour: str, sight: str | None) -> np.ndarray:
    """Where a colour lies in CAM02-UCS for a kind of sight, at full severity."""
    value = rgb(colour)
    if sight:
        value = np.clip(cspace_convert(value, {"name": "sRGB1+CVD", "cvd_type": sight, "severity": 100}, "sRGB1"), 0, 1)
    return np.asarray(cspace_convert(value, "sRGB1", "CAM02-UCS"))


def apart(one: str, other: str, sight: str | None) -> float:
    return float(np.linalg.norm(seen(one, sight) - seen(other, sight)))


def test_the_contrast_formula_is_the_published_one() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)  # the usual grey of the 4.5 : 1 limit


def colours_of(code: str) -> set[str]:
    return set(re.findall(r"#[0-9a-f]{6}", shape_svg(code, 0, 0, 3))) - {palette.GROUND.paper}


def meaning_of(code: str) -> str:
    """The colour that says something: that of the ink only where a mark has no other."""
    (colour,) = colours_of(code) - {palette.INK.paper} or {palette.INK.paper}
    return colour


@pytest.mark.parametrize("sight", SIGHTS)
@pytest.mark.parametrize("theme", ["paper", "dark"])
def test_marks_that_share_a_shape_differ_in_colour_for_every_kind_of_sight(theme, sight) -> None:
    name_of = {shade.paper: name for name, shade in palette.SHADES.items()}
    for codes in FAMILIES.values():
        colours = [getattr(palette.SHADES[name_of[meaning_of(code)]], theme) for code in codes]
        for one, other in itertools.combinations(colours, 2):
            assert apart(one, other, sight) >= palette.LEAST_DELTA


def test_the_simulation_can_tell_a_bad_pair() -> None:
    """A red and a green of one lightness, which the check must refuse for red-green weak sight."""
    assert apart("#b04a3c", "#6f7f22", None) > 25
    assert apart("#b04a3c", "#6f7f22", "deuteranomaly") < palette.LEAST_DELTA


@pytest.mark.parametrize("theme", ["paper", "dark", "red"])
@pytest.mark.parametrize("name", palette.MEANINGS)
def test_every_meaning_stands_against_every_ground(theme, name) -> None:
    colour = getattr(palette.SHADES[name], theme)
    for ground in palette.GROUNDS[theme]:
        assert contrast(colour, ground) >= (4.5 if name in TEXT else 3.0)  # WCAG 2.2, 1.4.3 and 1.4.11
        for sight in SIGHTS:
            assert apart(colour, ground, sight) >= palette.LEAST_DELTA


def test_no_mark_is_drawn_in_a_colour_outside_the_palette() -> None:
    known = {palette.SHADES[name].paper for name in palette.MEANINGS}
    for code in SHAPES:
        assert colours_of(code) <= known


def test_all_marks_differ_without_any_colour() -> None:
    """In black and white: every colour is one ink, what is left is shape and filling."""
    bare = {re.sub(r"#(?!ffffff)[0-9a-f]{6}", "ink", shape_svg(code, 5, 5, 8)) for code in SHAPES}
    assert len(bare) == len(SHAPES) - 1  # *no open deficiency* and *never rated* are one mark, of two views


def test_the_style_sheet_of_the_page_has_the_colours_of_the_palette() -> None:
    assert (STATIC / "plan_theme.css").read_text() == palette.theme_css()
    assert len({shade.paper for shade in palette.SHADES.values()}) == len(palette.SHADES)


def test_the_grounds_are_those_of_the_themes() -> None:
    css = (STATIC / "app.css").read_text()
    for theme, opening in (
        ("paper", ":root {"),
        ("dark", ':root[data-theme="dark"] {'),
        ("red", ':root[data-theme="red"] {'),
    ):
        block = css.split(opening, 1)[1].split("}", 1)[0]
        ground = re.search(r"--ground: (#[0-9a-f]+);", block)
        assert ground
        value = ground[1] if len(ground[1]) == 7 else "#" + "".join(2 * digit for digit in ground[1][1:])
        assert value in palette.GROUNDS[theme]


def test_every_legend_names_marks_that_are_drawn() -> None:
    from datetime import date

    facts = PlanFacts(date(2026, 1, 1), {}, {}, {}, {}, {})
    for make in VIEWS.values():
        view = make(facts)
        assert {code for code, _ in view.legend} <= set(SHAPES)
        assert view.mark_of("nobody").code in {code for code, _ in view.legend}
