"""From a pipe and its loads to lines, blocks, factors and the head steel."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.domain.batten_load import (
    FACTOR_WORDS,
    Combine,
    Hung,
    Piece,
    Share,
    Strength,
    batten_load,
    least_factors,
)
from inspect_app.domain.beam import Beam
from inspect_app.domain.errors import BadValue
from inspect_app.domain.head_load import Mounting, head_load
from inspect_app.domain.house import LineSetKind
from inspect_app.domain.resultant import Measured
from tests.published import published

LB, FT = 4.4482216152605, 304.8
EI = 29e6 * 0.310 * LB * 25.4**2
NAMES = ("short-short", "short", "short-mid", "mid-long", "long", "long-long")


def fifty_foot(rope_n: float = 0.0) -> Hung:
    """50 ft on six lines at 10 ft, 15 + 2.72 lb/ft."""
    beam = Beam(tuple(10 * FT * i for i in range(6)), 0.0, 50 * FT, EI)
    pieces = (Piece("pipe", 2.72 * 50 * LB, 0.0, 50 * FT), Piece("border", 15 * 50 * LB, 0.0, 50 * FT))
    return Hung(beam, pieces, NAMES, 60 * FT, rope_n / FT)


@published(
    "Batten", "*Civil Engineering Formulas*", "table 2.1, p. 50, times 177.2 lb", "worked", names="line, pounds",
    rows=[(1, 69.9), (2, 200.5), (3, 172.5), (4, 172.5), (5, 200.5), (6, 69.9)],
    what="50 ft batten, 5 spans of 10 ft, 17.72 lb/ft: line {line}", value="{pounds} lb",
)  # fmt: skip
def test_published_coefficients_give_the_tensions_of_a_batten(line: int, pounds: float) -> None:
    assert batten_load(fifty_foot()).lines[line - 1].level_n / LB == pytest.approx(pounds, abs=0.06)


@published(
    "Design factor", "FAA AC 43.13-1B", "Table 7-3: 1/4 in. 7x19 carbon, 7,000 lbf", "worked", names="shares, pounds",
    rows=[((), 875), ((0.8,), 700), ((0.8, 0.93), 651)], what="tension at a factor of 8, shares {shares}",
    value="{pounds} lbf",
)  # fmt: skip
def test_published_strength_gives_the_tension_at_a_factor_of_eight(shares: tuple[float, ...], pounds: float) -> None:
    beam = Beam((500.0,), 0.0, 1000.0, EI)
    load = batten_load(Hung(beam, (Piece("all", pounds * LB, 500.0),), ("line",)))
    found = least_factors(load, [Strength(7000 * LB, "table")], [Share("a", share, "text") for share in shares])
    assert found[0].value == pytest.approx(8.0, rel=1e-9)


def test_the_worst_of_level_and_each_line_slack_is_given_with_its_case() -> None:
    found = batten_load(fifty_foot())
    assert [case.words for case in found.cases] == ["all lines level", *(f"{name} slack" for name in NAMES)]
    assert all(case.solution and case.solution.total_n == pytest.approx(886 * LB) for case in found.cases[1:5])
    second = found.lines[1]
    assert second.worst_n > second.level_n
    assert second.worst_case.endswith("slack")
    for case in found.cases[1:]:
        if case.solution:
            index = NAMES.index(case.words.removesuffix(" slack"))
            assert case.solution.reactions_n[index] == 0
            assert index in case.solution.slack
            assert all(math.isfinite(moment) for moment in case.solution.support_moments_nmm)


def test_with_one_of_two_lines_slack_the_other_carries_all_and_the_factor_rests_on_that() -> None:
    beam = Beam((1000.0, 5000.0), 0.0, 6000.0, EI)
    found = batten_load(Hung(beam, (Piece("pipe", 600.0, 0.0, 6000.0),), ("short", "long"), 1000.0, 0.01))
    assert [case.words for case in found.unsolved] == ["short slack", "long slack"]
    assert all("tip" in case.why_not for case in found.unsolved)
    assert sum("What is left carries all: the whole load on" in said for said in found.assumptions) == 2
    assert [line.level_n for line in found.lines] == pytest.approx([310.0, 310.0])
    assert [(line.worst_n, line.worst_case) for line in found.lines] == [(610.0, "long slack"), (610.0, "short slack")]
    assert least_factors(found, [Strength(6100.0, "table")], [])[0].value == pytest.approx(10.0)


def test_where_the_rest_of_three_lines_would_tip_the_one_it_tips_about_carries_all() -> None:
    beam = Beam((0.0, 5000.0, 6000.0), 0.0, 6000.0, EI)
    found = batten_load(Hung(beam, (Piece("pipe", 600.0, 0.0, 6000.0),), ("a", "b", "c")))
    (tips,) = found.unsolved
    assert (tips.words, tips.carries_all) == ("a slack", (1,))
    assert found.worst.name == "b"
    assert found.worst.worst_n == pytest.approx(600.0)
    assert found.lines[2].worst_n < 600.0


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(0, 9000), min_size=2, max_size=5, unique_by=lambda x: round(x / 500)), st.floats(0, 9000))
def test_the_worst_is_never_better_than_any_case_and_never_more_than_all_of_the_load(places, at) -> None:
    beam = Beam(tuple(sorted(places)), 0.0, 9000.0, EI)
    pieces = (Piece("pipe", 500.0, 0.0, 9000.0), Piece("one", 800.0, at))
    try:
        found = batten_load(Hung(beam, pieces, NAMES[: len(places)]))
    except BadValue:
        return  # the level pipe tips
    for case in found.cases:
        most = max(case.solution.reactions_n) if case.solution else 1300.0
        assert found.worst.worst_n >= most * (1 - 1e-9)
    assert found.worst.worst_n <= 1300.0 * (1 + 1e-9)
    if len(places) == 2:
        assert found.worst.worst_n == pytest.approx(1300.0)


def test_each_line_carries_its_own_weight_over_the_drop() -> None:
    bare, roped = batten_load(fifty_foot()), batten_load(fifty_foot(0.11 * LB))
    for without, with_rope in zip(bare.lines, roped.lines, strict=True):
        assert with_rope.worst_n - without.worst_n == pytest.approx(6.6 * LB)


def test_a_loft_block_takes_the_resultant_of_the_worst_tension() -> None:
    line = batten_load(fifty_foot()).worst
    assert line.loft_block is not None
    assert line.loft_block.pull_n == pytest.approx(line.worst_n * math.sqrt(2))


def test_a_set_without_loft_blocks_has_no_pull_on_them() -> None:
    hung = Hung(Beam((0.0, 1000.0), 0.0, 1000.0, EI), (Piece("all", 10.0, 500.0),), ("a", "b"), loft_degrees=None)
    assert all(line.loft_block is None for line in batten_load(hung).lines)


def test_a_case_that_bends_the_pipe_far_says_so() -> None:
    beam = Beam((2000.0, 6000.0, 9000.0), 0.0, 12000.0, 2.6e10)
    found = batten_load(Hung(beam, (Piece("cloth", 2200.0, 1000.0, 12000.0),), ("short", "mid", "long")))
    assert any("short slack the pipe would bend by more" in said for said in found.assumptions)
    unknown = batten_load(replace(found.hung, stiffness_known=False))
    assert not any("bend" in said for said in unknown.assumptions)


@settings(max_examples=15, deadline=None)
@given(st.floats(1e8, 1e13))
def test_tensions_on_level_lines_do_not_turn_on_the_stiffness(rigidity: float) -> None:
    hung = fifty_foot(1.0)
    other = replace(hung, beam=replace(hung.beam, flexural_rigidity=rigidity))
    mine, theirs = batten_load(hung), batten_load(other)
    assert [x.worst_n for x in theirs.lines] == pytest.approx([x.worst_n for x in mine.lines], rel=1e-9)


def test_a_factor_is_withheld_with_its_reasons() -> None:
    load = batten_load(fifty_foot())
    found = least_factors(load, [Strength(7000 * LB, "table")], [], withheld=["an open stop on line 3"])
    assert found[0].value is None
    assert found[0].withheld == ("an open stop on line 3",)
    given = least_factors(load, [Strength(7000 * LB, "table"), Strength(6400 * LB, "other")], [])
    assert [factor.words for factor in given] == [FACTOR_WORDS] * 2
    assert given[0].value is not None
    assert given[1].value is not None
    assert given[1].value < given[0].value
    assert least_factors(load, [], []) == ()


def test_the_weakest_share_alone_may_count() -> None:
    load, strength = batten_load(fifty_foot()), [Strength(7000 * LB, "table")]
    shares = [Share("clips", 0.8, "a"), Share("bend", 0.93, "b")]
    product = least_factors(load, strength, shares)[0].value
    weakest = least_factors(load, strength, shares, Combine.WEAKEST)[0].value
    assert product is not None
    assert weakest is not None
    assert product / weakest == pytest.approx(0.93)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 15000), st.integers(1, 800)), min_size=1, max_size=8))
def test_more_load_never_eases_the_set(extra: list[tuple[int, int]]) -> None:
    hung = fifty_foot()
    before = batten_load(hung)
    more = tuple(Piece(str(i), newtons, at) for i, (at, newtons) in enumerate(extra))
    after = batten_load(Hung(hung.beam, hung.pieces + more, hung.names, hung.drop_mm, hung.line_n_per_mm))
    assert after.total_n > before.total_n
    assert math.fsum(line.level_n for line in after.lines) > math.fsum(line.level_n for line in before.lines)


BAD_PIECES = [
    (("a", math.nan, 1.0), "newtons"),
    (("a", -1.0, 1.0), "newtons"),
    (("a", math.inf, 1.0, 9.0), "newtons"),
    (("a", 5.0, math.nan), "at_mm"),
    (("a", 5.0, 9.0, 9.0), "to_mm"),
    (("a", 5.0, 9.0, 1.0), "to_mm"),
    (("a", 5.0, 99999.0), "loads"),
]


@pytest.mark.parametrize(("piece", "field"), BAD_PIECES)
def test_a_piece_that_makes_no_sense_is_refused(piece: tuple[object, ...], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        batten_load(Hung(fifty_foot().beam, (Piece(*piece),), NAMES))  # type: ignore[arg-type]
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"names": ("a",)}, "names"),
        ({"pieces": ()}, "pieces"),
        ({"drop_mm": math.nan}, "drop_mm"),
        ({"drop_mm": -1.0}, "drop_mm"),
        ({"line_n_per_mm": 50.0}, "line_n_per_mm"),
    ],
)
def test_a_set_that_makes_no_sense_is_refused(change: dict[str, object], field: str) -> None:
    good = fifty_foot()
    with pytest.raises(BadValue) as refused:
        Hung(**{"beam": good.beam, "pieces": good.pieces, "names": NAMES, **change})  # type: ignore[arg-type]
    assert refused.value.field == field


@pytest.mark.parametrize("bad", [0.0, -0.1, 1.01, 80.0, math.nan])
def test_a_share_is_a_part_of_one(bad: float) -> None:
    with pytest.raises(BadValue):
        Share("clips", bad, "text")


@pytest.mark.parametrize("bad", [0.0, -5.0, math.nan, math.inf])
def test_a_strength_is_more_than_zero(bad: float) -> None:
    with pytest.raises(BadValue):
        Strength(bad, "text")


def test_single_purchase_pulls_down_and_towards_the_loft_blocks_alike() -> None:
    found = head_load(LineSetKind.SINGLE, [100.0, 200.0, 300.0], mounting=Mounting.UPRIGHT)
    assert found.block.pull_n == pytest.approx(600 * math.sqrt(2))
    assert (found.beam_down_n, found.beam_level_n) == pytest.approx((600.0, 600.0))
    assert found.arbor_n == 600.0
    assert any(said.startswith("Upright") for said in found.assumptions)


def test_double_purchase_hangs_twice_the_batten_on_the_head_beam() -> None:
    found = head_load(LineSetKind.DOUBLE, [100.0, 200.0, 300.0])
    assert found.arbor_n == 1200.0
    assert found.beam_down_n == pytest.approx(found.arbor_n), "head block and dead ends hold the whole arbor"
    elsewhere = head_load(LineSetKind.DOUBLE, [600.0], dead_ends_on_beam=False)
    assert (elsewhere.beam_down_n, elsewhere.dead_end_n) == pytest.approx((600.0, 600.0))


def test_a_measured_wrap_and_the_hand_line_change_the_pull() -> None:
    half = head_load(LineSetKind.SINGLE, [500.0], degrees=180.0)
    assert (half.block.pull_n, half.beam_down_n, half.beam_level_n) == pytest.approx((1000.0, 1000.0, 0.0))
    assert head_load(LineSetKind.SINGLE, [500.0], degrees=60.0, measured=Measured.INCLUDED).block.wrap_degrees == 120
    assert head_load(LineSetKind.SINGLE, [500.0], hand_line_pull_n=50.0).hand_line_n == pytest.approx(100.0)
    assert head_load(LineSetKind.SINGLE, [500.0], offset_mm=200.0).turning_nmm == pytest.approx(100_000.0)


@pytest.mark.parametrize(
    ("kind", "tensions", "more", "field"),
    [
        (LineSetKind.MOTOR, [1.0], {}, "kind"),
        (LineSetKind.SINGLE, [], {}, "tensions_n"),
        (LineSetKind.SINGLE, [math.nan], {}, "tensions_n"),
        (LineSetKind.SINGLE, [-1.0], {}, "tensions_n"),
        (LineSetKind.SINGLE, [1.0], {"degrees": 0.0}, "degrees"),
        (LineSetKind.SINGLE, [1.0], {"hand_line_pull_n": -1.0}, "hand_line_pull_n"),
        (LineSetKind.SINGLE, [1.0], {"offset_mm": 1e9}, "offset_mm"),
    ],
)
def test_head_loads_that_make_no_sense_are_refused(
    kind: LineSetKind, tensions: list[float], more: dict[str, float], field: str
) -> None:
    with pytest.raises(BadValue) as refused:
        head_load(kind, tensions, **more)  # type: ignore[arg-type]
    assert refused.value.field == field
