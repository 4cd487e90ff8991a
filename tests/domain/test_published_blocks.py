"""Line ends and blocks against their documents: clip tables and rules of thumb over every size, inch and metric."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.batten_load import Hung, Piece, Strength, batten_load, least_factors
from inspect_app.domain.beam_model import Beam
from inspect_app.domain.judge import Limit, Result, judge, limits_for
from inspect_app.domain.limit_form import value_of
from inspect_app.store.reference import reference_at
from tests.published import published

CRITERIA = reference_at(shared_dir()).criteria
INCH = Fraction("25.4")
TRADE = [  # size, clips, turnback in inches
    ("1/8", 2, "3.25"), ("3/16", 2, "3.75"), ("1/4", 2, "4.75"), ("5/16", 2, "5.25"), ("3/8", 2, "6.5"),
    ("7/16", 2, "7"), ("1/2", 3, "11.5"), ("9/16", 3, "12"), ("5/8", 3, "12"), ("3/4", 4, "18"), ("7/8", 4, "19"),
    ("1", 5, "26"), ("9/8", 6, "34"), ("5/4", 7, "44"),
]  # fmt: skip


def rope(inches: str, **more: str) -> dict[str, str]:
    return {"rope_diameter_mm": str(float(Fraction(inches) * INCH)), **more}


def limit_of(criterion: str, rule: str, attributes: dict[str, str]) -> Limit | None:
    return next((one for one in limits_for(CRITERIA[criterion], attributes) if one.rule == rule), None)


@published(
    "Clips", "WorkSafeNB, wire rope cable clips", "table", "read",
    names="size, clips, turnback, torque",
    rows=[("3/8", 2, "6.5", 45), ("7/16", 2, "7", 65), ("1/2", 3, "11.5", 65), ("9/16", 3, "12", 95),
          ("5/8", 3, "12", 95), ("3/4", 4, "18", 130), ("7/8", 4, "19", 225)],
    what="{size} in. rope", value="{clips} clips, {turnback} in., {torque} lbf ft",
)  # fmt: skip
def test_the_table_of_new_brunswick_row_by_row(size: str, clips: int, turnback: str, torque: int) -> None:
    for criterion, rule, figure in (
        ("clip-count", "worksafenb-clip-table", Fraction(clips)),
        ("clip-turnback", "worksafenb-clip-turnback", Fraction(turnback)),
        ("clip-torque", "worksafenb-clip-torque", Fraction(torque)),
    ):
        limit = limit_of(criterion, rule, rope(size))
        assert limit is not None
        assert limit.value == figure
    assert limit_of("clip-count", "worksafenb-clip-table", rope("1/4")) is None


@published(
    "Clips", "Trade table of U-bolt wire rope clips", "one clip more on a sheave", "secondary",
    names="size, clips, _turnback", rows=TRADE, what="{size} in. rope turned back on a sheave", value="{clips} + 1",
)  # fmt: skip
def test_a_rope_turned_back_on_a_sheave_needs_one_clip_more(size: str, clips: int) -> None:
    with_thimble = limit_of("clip-count", "trade-clip-count", rope(size))
    on_sheave = limit_of("clip-count", "trade-clip-count-sheave", rope(size, clip_eye="sheave"))
    assert with_thimble is not None
    assert on_sheave is not None
    assert (with_thimble.value, on_sheave.value) == (clips, clips + 1)
    assert limit_of("clip-count", "trade-clip-count", rope(size, clip_eye="sheave")) is None
    (verdict,) = judge(clips, "count", None, [on_sheave])
    assert verdict.result is Result.OUTSIDE


@published(
    "Clips", "Trade table of U-bolt wire rope clips", "turnback in proportion", "worked",
    names="size, clips, turnback", rows=TRADE,
    what="{size} in. rope, twice the clips", value="2 x {turnback} in. at 2 x {clips}",
)  # fmt: skip
def test_more_clips_need_more_turnback_in_proportion(size: str, clips: int, turnback: str) -> None:
    for times in (1, 2):
        limit = limit_of("clip-turnback", "trade-clip-turnback-more", rope(size, clip_count=str(times * clips)))
        assert limit is not None
        assert limit.value == times * Fraction(turnback)
    three = limit_of("clip-turnback", "trade-clip-turnback-more", rope("1/4", clip_count="3"))
    assert three is not None
    assert three.says("in") == "less than 7.125 in"


def test_without_the_number_of_clips_the_proportion_says_what_it_lacks() -> None:
    limit = limit_of("clip-turnback", "trade-clip-turnback-more", rope("1/4"))
    assert limit is not None
    assert limit.why_not == "not judged: the number of clips at this end is not recorded for this part"


SIZES = sorted({Fraction(n, 32) * INCH for n in range(2, 53)} | {Fraction(n, 2) for n in range(3, 85)})


@pytest.mark.parametrize("mm", SIZES, ids=lambda mm: f"{float(mm):.3f}")
def test_the_navy_rule_holds_for_every_inch_and_metric_size(mm: Fraction) -> None:
    """US Navy training manual 14026, page 1-8: three times the diameter in inches and one, rounded up."""
    limit = limit_of("clip-count", "navy-clip-count", {"rope_diameter_mm": str(float(mm))})
    assert limit is not None
    assert limit.value == math.ceil(3 * mm / INCH + 1)


@given(st.integers(1, 200), st.integers(0, 40))
def test_more_clips_never_judge_milder_on_their_turnback_nor_harder_on_their_number(tenths: int, clips: int) -> None:
    size = {"rope_diameter_mm": "6.35"}
    counts = [
        {v.limit.rule: v.result for v in judge(n, "count", None, limits_for(CRITERIA["clip-count"], size)) if v.limit}
        for n in (clips, clips + 1)
    ]
    assert all(counts[1][rule] is Result.INSIDE for rule, result in counts[0].items() if result is Result.INSIDE)
    rule = "trade-clip-turnback-more"
    few, more = (
        limit_of("clip-turnback", rule, size | {"clip_count": str(n)}) for n in (max(clips, 1), max(clips, 1) + 1)
    )
    assert few is not None
    assert more is not None
    results = [judge(Fraction(tenths, 10), "in", None, [one])[0].result for one in (few, more)]
    assert not (results[0] is Result.OUTSIDE and results[1] is Result.INSIDE)


@published(
    "Sheaves", "Wire Rope Users Manual", "table of sheave ratios", "secondary",
    what="6x42 tiller rope: least, suggested", value="14, 21",
)  # fmt: skip
def test_the_row_of_tiller_rope() -> None:
    rules = {rule.id: rule for rule in CRITERIA["tread-ratio"].rules}
    found = [
        value_of(rules[key].form, {"rope_construction": "6x42"}) for key in ("wrtb-tread-ratio", "wrtb-tread-suggested")
    ]
    assert found == [14, 21]


@published(
    "Design factors", "Trade page on design factors", "breaking strength over working load", "secondary",
    names="strength, load, factor", rows=[(10_000, 2_000, 5)],
    what="breaking strength of {strength} lb, {load} lb on it", value="factor {factor}",
)  # fmt: skip
def test_a_fifth_of_the_breaking_strength_is_a_factor_of_five(strength: int, load: int, factor: int) -> None:
    beam = Beam((500.0,), 0.0, 1000.0, 2.6e10)
    held = batten_load(Hung(beam, (Piece("all", float(load), 500.0),), ("line",)))
    assert least_factors(held, [Strength(float(strength), "table")], [])[0].value == pytest.approx(factor)


@pytest.mark.parametrize(("size", "clause"), [("9/16", None), ("1/2", "0.256"), ("5/8", "0.32")])
def test_the_misprinted_groove_of_nine_sixteenths_is_left_out(size: str, clause: str | None) -> None:
    """The copy prints .266 for 9/16 in., less than a rope's own half: 0.5125 d would be .288."""
    limit = limit_of("groove-radius", "wrtb-worn-groove", rope(size))
    assert limit is not None
    assert limit.value == (None if clause is None else Fraction(clause))
    if clause is None:
        assert "9/16 in" in limit.why_not


@published(
    "Sheaves", "{_document}", "{_clause}", "secondary", names="_document, _clause, rule, word, ratio",
    rows=[
        *[("Wire Rope Users Manual", "table of sheave ratios, suggested", "wrtb-tread-suggested", word, ratio)
          for word, ratio in [("6x7", 72), ("19x7", 51), ("6x19S", 51), ("6x21FW", 45), ("6x26WS", 45), ("6x25FW", 39),
                              ("6x31WS", 39), ("6x36WS", 35), ("6x41", 32), ("8x19S", 41), ("8x25FW", 32)]],
        *[("trade table of sheave ratios for small cable", "desirable", "small-cable-tread-desirable", word, ratio)
          for word, ratio in [("7x19", 24), ("7x7", 42)]],
    ],
    what="tread over rope diameter suggested for {word}", value="{ratio}",
)  # fmt: skip
def test_a_suggested_ratio_is_kept_and_judges_nothing(rule: str, word: str, ratio: int) -> None:
    (held,) = [one for one in CRITERIA["tread-ratio"].rules if one.id == rule]
    assert value_of(held.form, {"rope_construction": word}) == ratio
    assert not held.active
    assert limit_of("tread-ratio", rule, {"rope_construction": word}) is None
