"""The picture of a batten: well-formed, named, without styles, and with no label on another."""

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from inspect_app.domain.batten_load import BattenLoad, BeamPicture, Hung, Piece, batten_load, letters
from inspect_app.domain.beam import Beam
from inspect_app.output.beam_picture import LETTER, WIDTH, beam_picture

NS = "{http://www.w3.org/2000/svg}"


def load(lines: int = 6, lights: int = 11) -> BattenLoad:
    beam = Beam(tuple(900.0 + 3000.0 * i for i in range(lines)), 0.0, 3000.0 * lines - 1200.0, 2.6e10)
    pieces = [Piece("pipe & clamps", 700.0, 0.0, beam.right_end_mm), Piece("<border>", 500.0, 1000.0, 3000.0)]
    pieces += [Piece(f"light {i}", 90.0, 500.0 + (beam.right_end_mm - 600.0) * i / lights) for i in range(lights)]
    return batten_load(Hung(beam, tuple(pieces), tuple(f"line {i + 1} of {lines}" for i in range(lines))))


@pytest.mark.parametrize("units", ["imperial", "metric"])
@pytest.mark.parametrize(("lines", "lights"), [(2, 0), (3, 4), (6, 11), (12, 40)])
def test_a_picture_is_well_formed_named_and_without_styles(lines: int, lights: int, units: str) -> None:
    found = load(lines, lights)
    for case in found.cases:
        if case.solution is None:
            continue
        text = beam_picture(BeamPicture(found, case, units), "p1")
        svg = ElementTree.fromstring(text)
        assert svg.get("role") == "img"
        assert svg.get("aria-labelledby") == "p1-t p1-d"
        assert {e.get("id") for e in svg.iter() if e.get("id")} == {"p1-t", "p1-d"}
        assert "style" not in text
        assert case.words in (svg.findtext(f"{NS}title") or "")
        assert "line 1 of" in (svg.findtext(f"{NS}desc") or "")
        colours = set(re.findall(r'(?:fill|stroke)="([^"]+)"', text))
        assert colours <= {"currentColor", "none"}
        for number in re.findall(r'(?:x|y|x1|x2|y1|y2)="(-?[\d.]+)"', text):
            assert float(number) >= -1


@pytest.mark.parametrize(("lines", "lights"), [(3, 8), (6, 11), (12, 8), (12, 40)])
def test_no_label_lies_on_another_or_leaves_the_picture(lines: int, lights: int) -> None:
    found = load(lines, lights)
    svg = ElementTree.fromstring(beam_picture(BeamPicture(found, found.cases[0])))
    by_row: dict[str, list[tuple[float, float]]] = {}
    for text in svg.iter(f"{NS}text"):
        if text.get("text-anchor") == "middle":
            half = len(text.text or "") * LETTER / 2
            x = float(text.get("x") or 0)
            assert x - half >= -0.1
            assert x + half <= WIDTH + 0.1
            by_row.setdefault(text.get("y") or "", []).append((x - half, x + half))
    for spans in by_row.values():
        spans.sort()
        assert all(first[1] <= second[0] for first, second in pairwise(spans))


def test_spread_loads_that_lie_apart_share_a_row() -> None:
    beam = Beam((1000.0, 6000.0, 11_000.0), 0.0, 12_000.0, 2.6e10)
    cloths = ((0.0, 2500.0), (9500.0, 12_000.0), (2000.0, 10_000.0))
    pieces = [Piece("pipe", 500.0, 0.0, 12_000.0), *(Piece("cloth", 90.0, a, b) for a, b in cloths)]
    found = batten_load(Hung(beam, tuple(pieces), ("a", "b", "c")))
    svg = ElementTree.fromstring(beam_picture(BeamPicture(found, found.cases[0], "metric")))
    bands = [e for e in svg.iter(f"{NS}rect") if e.get("height") == "3.00"]
    rows = [float(band.get("y") or 0) for band in bands]
    assert rows[1] == rows[2]
    assert len(set(rows)) == 3


def test_a_slack_line_is_said_in_words() -> None:
    found = load()
    slack = next(case for case in found.cases if case.words == "line 3 of 6 slack")
    text = beam_picture(BeamPicture(found, slack))
    assert "line 3 of 6: slack" in text
    assert "stroke-dasharray" in text


def test_a_case_without_a_figure_has_no_picture() -> None:
    found = load(2, 0)
    assert beam_picture(BeamPicture(found, found.unsolved[0])) == ""


def test_loads_beyond_z_get_two_letters() -> None:
    named = letters(load(12, 40).hung.pieces)
    assert named[:3] == ("A", "B", "C")
    assert named[25:28] == ("Z", "AA", "AB")
    assert len(set(named)) == len(named)
