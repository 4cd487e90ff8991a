"""Every kind of part is drawn, and each letter stands in the picture, free of the others, on points that exist."""

from itertools import combinations
from math import hypot
from xml.etree import ElementTree

import pytest

from inspect_app.config import settings_for
from inspect_app.domain.checklist import Point
from inspect_app.domain.part import PartKind
from inspect_app.output.part_drawing import LETTER_RADIUS, NOT_TO_SCALE, draw_part, drawing_of, letters_of
from inspect_app.output.part_pen import HIGH, WIDE
from inspect_app.store.checklist import load_shelf

KINDS = list(PartKind)


@pytest.fixture(scope="module")
def points(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Point]:
    shelf = load_shelf(settings_for(tmp_path_factory.mktemp("data")))
    return {point.id: point for one in shelf.checklists.values() for point in one.points()}


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_has_a_drawing_with_places_that_wear(kind: PartKind) -> None:
    drawing = drawing_of(kind)
    assert len(drawing.shapes) >= 8
    assert len(drawing.places) >= 5
    assert drawing.view.endswith(".")


@pytest.mark.parametrize("kind", KINDS)
def test_each_place_names_points_that_exist_and_one_at_least_looks_at_this_kind(
    kind: PartKind, points: dict[str, Point]
) -> None:
    for place in drawing_of(kind).places:
        assert place.points, f"{kind}: {place.title} names no point"
        unknown = [point for point in place.points if point not in points]
        assert not unknown, f"{kind}: {place.title} names {unknown}"
    asked = {point for place in drawing_of(kind).places for point in place.points}
    assert any(kind in points[point].parts for point in asked)


@pytest.mark.parametrize("kind", KINDS)
def test_each_letter_and_each_spot_lies_inside_the_picture(kind: PartKind) -> None:
    for letter, place in letters_of(drawing_of(kind)):
        x, y = place.letter_at
        r = LETTER_RADIUS
        assert r <= x <= WIDE - r, f"{kind}: letter {letter} leaves the picture"
        assert r <= y <= HIGH - r, f"{kind}: letter {letter} leaves the picture"
        assert 0 < place.spot[0] < WIDE, f"{kind}: spot {letter} leaves the picture"
        assert 0 < place.spot[1] < HIGH, f"{kind}: spot {letter} leaves the picture"


@pytest.mark.parametrize("kind", KINDS)
def test_no_letter_lies_over_another_or_over_the_spot_of_another(kind: PartKind) -> None:
    marks = letters_of(drawing_of(kind))
    for (one, first), (two, second) in combinations(marks, 2):
        (x, y), (u, v) = first.letter_at, second.letter_at
        assert hypot(x - u, y - v) >= 2 * LETTER_RADIUS + 1, f"{kind}: {one} and {two} overlap"
        for a, b in ((first, second), (second, first)):
            apart = hypot(a.letter_at[0] - b.spot[0], a.letter_at[1] - b.spot[1])
            assert apart >= LETTER_RADIUS + 1, f"{kind}: a letter hides the spot of {b.title}"


@pytest.mark.parametrize("kind", KINDS)
def test_the_picture_is_well_formed_black_line_without_style_or_shading(kind: PartKind) -> None:
    svg = str(draw_part(kind))
    root = ElementTree.fromstring(svg)
    assert root.get("viewBox") == f"0 0 {WIDE} {HIGH}"
    colours = set()
    for element in root.iter():
        assert "style" not in element.attrib
        colours |= {element.get("fill"), element.get("stroke")}
    assert colours - {None} <= {"none", "currentColor", "#ffffff"}


def test_every_point_of_the_checklists_is_asked_of_some_kind_that_is_drawn(points: dict[str, Point]) -> None:
    assert {kind for point in points.values() for kind in point.parts} <= set(KINDS)


def test_a_drawing_says_that_the_makers_comes_first() -> None:
    assert NOT_TO_SCALE == "Not to scale; the maker's drawing comes first."
