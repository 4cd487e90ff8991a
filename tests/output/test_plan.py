"""The grid plan: to scale, complete, legible on paper, and readable without colour."""

import itertools
import re
import xml.etree.ElementTree as ET

import pytest

from inspect_app.domain.plan import Condition, condition_of, plan_of
from inspect_app.output.plan import PlanSize, plan_svg
from inspect_app.output.plan_frame import PLAN_SIZES
from inspect_app.output.plan_marks import mark_picture, mark_svg

SVG = "{http://www.w3.org/2000/svg}"


def drawn(data, paper="A4"):
    return ET.fromstring(plan_svg(plan_of(data, "Grid plan of a test"), PLAN_SIZES[paper]))


def texts(root):
    return [
        (float(t.get("x")), float(t.get("y")), float(t.get("font-size")), t.text or "") for t in root.iter(f"{SVG}text")
    ]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize(("sets", "lines"), [(40, 7), (55, 6), (1, 1), (12, 3)])
def test_set_numbers_do_not_overlap_and_can_be_read(sample, paper, sets, lines) -> None:
    sample.LINE_X, sample.LINE_NAMES = (*sample.LINE_X[:6], 9000), (*sample.LINE_NAMES[:6], "longest")
    data, _ = sample.walk_data(sets=sets, lines=lines, findings=0, photos=0)
    numbers = {str(n) for n in range(1, sets + 1)}
    placed = sorted((y, size) for _, y, size, text in texts(drawn(data, paper)) if text in numbers)
    assert len(placed) == sets
    for (above, _), (below, size) in itertools.pairwise(placed):
        assert below - above >= size * 0.72  # digits are about 0.66 em tall
    points = [size / 25.4 * 72 for _, size in placed]
    assert min(points) >= 5.0


def test_sets_lie_to_scale_from_the_datum(sample) -> None:
    data, _ = sample.walk_data(sets=6, lines=2, findings=0, photos=0)
    for line_set, y_mm in zip(data["line_sets"], (0, 200, 400, 1000, 1100, 4000), strict=True):
        line_set["y_mm"] = y_mm
    ys = {text: y for _, y, _, text in texts(drawn(data)) if text in "123456" and text}
    scale = (ys["1"] - ys["6"]) / 4000
    assert scale > 0
    for number, y_mm in (("2", 200), ("3", 400), ("4", 1000), ("5", 1100)):
        assert ys["1"] - ys[number] == pytest.approx(y_mm * scale, abs=0.05)


def test_each_block_has_its_mark_and_every_line_of_a_set_counts(sample) -> None:
    data, _ = sample.walk_data(sets=5, lines=6, findings=0, photos=0)
    marks = [g.get("class").split()[1] for g in drawn(data).iter(f"{SVG}g")]
    rest = 5 * 7  # lift lines, terminations, batten, arbor, hand line, rope lock, travel
    legend, wells = len(Condition), 6
    assert len(marks) == 5 * 7 + rest + legend + wells


def test_marks_differ_in_shape_and_filling_when_every_colour_is_one() -> None:
    bare = set()
    for condition in Condition:
        grey = re.sub(r"#(?!ffffff)[0-9a-f]{6}", "ink", mark_svg(condition, 5, 5, 8))
        bare.add(grey.replace(f"mark-{condition.value}", ""))
        assert mark_picture(condition, condition.value).startswith("<svg")
    assert len(bare) == len(Condition)
    assert len({re.sub(r"[^a-zA-Z#]", "", text) for text in bare}) >= 6


def test_distances_that_are_all_one_are_drawn_evenly_and_said(sample) -> None:
    data, _ = sample.walk_data(sets=3, lines=2, findings=0, photos=0)
    for line_set in data["line_sets"]:
        line_set["y_mm"] = 0
    root = drawn(data)
    assert any("Distances were not recorded" in text for *_, text in texts(root))
    ys = sorted(y for _, y, _, text in texts(root) if text in ("1", "2", "3"))
    assert ys[1] - ys[0] == pytest.approx(ys[2] - ys[1], abs=0.05)


def test_parts_without_a_place_are_spread_over_their_line(sample) -> None:
    data, _ = sample.walk_data(sets=2, lines=3, findings=0, photos=0)
    for part in data["parts"]:
        part["x_mm"] = None
    assert len([g for g in drawn(data).iter(f"{SVG}g")]) > 8


def test_it_has_a_title_no_style_and_escapes_names(sample) -> None:
    data, _ = sample.hostile()
    svg = plan_svg(plan_of(data, "<b>&"), PlanSize(200, 150))
    root = ET.fromstring(svg)
    assert root[0].tag == f"{SVG}title"
    assert root[0].text == "<b>&"
    assert "style" not in svg
    assert "<script" not in svg


@pytest.mark.parametrize(
    ("result", "grade", "condition"),
    [("finding", "stop_use", "stop_use"), ("finding", "", "restrict"), ("finding", "odd", "restrict"),
     ("no_finding", "", "no_finding"), ("", "", "not_looked_at"), ("never heard of", "", "not_looked_at")],
)  # fmt: skip
def test_a_condition_is_never_milder_than_what_was_recorded(result, grade, condition) -> None:
    assert condition_of(result, grade).value == condition
