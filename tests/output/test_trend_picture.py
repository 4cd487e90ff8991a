"""The picture of a series: well-formed, described in words, in the colour of its text, with all that is told apart."""

import re
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from inspect_app.domain.criteria import Consequence, Op
from inspect_app.domain.judge import Limit
from inspect_app.domain.measure_history import Outlook, TakenMeasure, histories_of, outlook_of
from inspect_app.domain.part import Life
from inspect_app.domain.student_t import StudentT
from inspect_app.domain.trend import REACH_WORDS, Reach
from inspect_app.output.trend_picture import trend_svg

TABLE = StudentT(Fraction("0.975"), ((2, Fraction("4.303")), (3, Fraction("3.182")), (4, Fraction("2.776"))))
DAY = date(2024, 1, 10)


def taken(values: str, start: date = DAY, life: str = "now", unit: str = "in") -> list[TakenMeasure]:
    return [
        TakenMeasure(
            f"{life}{n}", "p", life, start + timedelta(150 * n), "line-dia", "rope_diameter", value, unit,
            station="over <the> block", gauge="C1", resolution="0.002",
        )
        for n, value in enumerate(values.split())
    ]  # fmt: skip


def limit(value: str) -> Limit:
    return Limit(
        rule=value, op=Op.LESS_THAN, value=Fraction(value), unit="in", consequence=Consequence.LOAD_PATH,
        basis="nominal", window="", source="s", document="Rule <1> & more", source_title="", authority="law",
        clause="(a)", mark="secondary", applies_to="", by_analogy=True,
    )  # fmt: skip


def outlook(measures: list[TakenMeasure], *limits: Limit, lives: tuple[Life, ...] = (Life("now", "p"),)) -> Outlook:
    (series,) = histories_of(measures, lives, {})
    return outlook_of(series, limits, TABLE)


def texts(svg: str) -> str:
    return " ".join("".join(node.itertext()) for node in ElementTree.fromstring(svg).iter())


WEARING = "0.2550 0.2510 0.2470 0.2440 0.2400"


def test_the_picture_is_well_formed_named_and_described() -> None:
    svg = trend_svg(outlook(taken(WEARING), limit("0.2300")), "s1")
    root = ElementTree.fromstring(svg)
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == "s1-title s1-desc"
    said = texts(svg)
    assert "5 measures that count" in said
    assert "Rule <1> & more (a) (from a secondary source, by analogy)" in " ".join(said.split())
    assert "look again before" in said


def test_everything_is_drawn_in_the_colour_of_the_text_without_styles() -> None:
    svg = trend_svg(outlook(taken(WEARING), limit("0.2300")), "s1")
    assert "style=" not in svg
    assert set(re.findall(r'(?:fill|stroke)="([^"]+)"', svg)) <= {"currentColor", "none"}
    assert set(re.findall(r"nan|inf", svg)) == set()


def test_replaced_lives_stand_apart_by_a_break_and_hollow_marks() -> None:
    lives = (Life("now", "p", date(2026, 2, 1)), Life("old", "p", None, date(2026, 2, 1)))
    fresh = taken("0.2560 0.2555", date(2026, 3, 1))
    svg = trend_svg(outlook([*taken(WEARING, life="old"), *fresh], lives=lives), "s1")
    assert ">replaced</text>" in svg
    assert svg.count("<rect ") == 6  # five earlier measures and the one in the legend


def test_no_day_after_the_early_end_can_be_read_off_it() -> None:
    found = outlook(taken(WEARING), limit("0.2300"))
    assert found.before is not None
    svg = trend_svg(found, "s1")
    years = [int(text) for text in re.findall(r">(\d{4})(?:-\d\d)?</text>", svg)]
    assert max(years) <= found.before.year


def test_numbers_of_limits_that_lie_close_together_do_not_cover_one_another() -> None:
    svg = trend_svg(outlook(taken(WEARING), *(limit(f"0.23{n}") for n in range(4))), "s1")
    heights = [float(y) for y in re.findall(r'<text x="317.00" y="([\d.]+)"[^>]*font-weight="700"', svg)]
    assert len(heights) == 4
    assert all(b - a >= 11 for a, b in pairwise(sorted(heights)))


def test_a_limit_with_a_date_is_drawn_and_one_far_off_is_named_only() -> None:
    found = outlook(taken(WEARING), limit("0.2300"), limit("0.1000"))
    assert [one.reached.reach for one in found.limits] == [Reach.BEFORE, Reach.NOT_WITHIN]
    said = " ".join(texts(trend_svg(found, "s1")).split())
    assert "less than 0.1 in (beyond" in said
    assert "less than 0.23 in (beyond" not in said


@pytest.mark.parametrize("values", ["", "0.25"])
def test_fewer_than_two_measures_make_no_picture(values: str) -> None:
    measures = taken(values) or [replace(one, why_not="not signed yet") for one in taken("0.25")]
    assert trend_svg(outlook(measures), "s1") == ""


@pytest.mark.parametrize("values", ["0.25 0.25", "0 0 0 0 0", "1000000 0.1", WEARING])
def test_any_series_can_be_drawn(values: str) -> None:
    ElementTree.fromstring(trend_svg(outlook(taken(values), limit("0.2300")), "s1"))


def test_days_at_the_beginning_of_the_calendar_can_be_drawn() -> None:
    """A device whose clock has lost everything may send any day."""
    ElementTree.fromstring(trend_svg(outlook(taken("0.25 0.24", date.min)), "s1"))


def test_each_answer_has_words() -> None:
    assert set(REACH_WORDS) == set(Reach) - {Reach.BEFORE}
