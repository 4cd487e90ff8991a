"""Lines through points, held against certified data and an independent statistics library."""

import math
from fractions import Fraction
from pathlib import Path
from statistics import median

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from inspect_app.domain.errors import BadValue
from inspect_app.domain.line_fit import Point, least_squares, theil_sen
from tests.published import published

NORRIS = Path(__file__).parents[1] / "data" / "nist_strd_norris.csv"
wholes = st.integers(-2000, 2000)
clouds = st.lists(st.tuples(wholes, wholes), min_size=4, max_size=25).filter(
    lambda rows: len({x for x, _ in rows}) > 1 and len({y for _, y in rows}) > 1
)


def points(rows: list[tuple[object, object]]) -> list[Point]:
    return [Point(Fraction(str(x)), Fraction(str(y))) for x, y in rows]


def norris() -> list[Point]:
    lines = NORRIS.read_text().splitlines()[2:]
    return points([(x, y) for y, x in (line.split(",") for line in lines)])


NIST, CERTIFIED = "NIST StRD, data set Norris", "certified values of the linear regression"


@published(
    "Lines through measures", NIST, CERTIFIED, "secondary",
    names="what, certified",
    rows=[
        ("intercept", -0.262323073774029), ("intercept_sd", 0.232818234301152), ("slope", 1.00211681802045),
        ("slope_sd", 0.429796848199937e-3), ("residual_sd", 0.884796396144373), ("r_squared", 0.999993745883712),
        ("residual_sum", 26.6173985294224),
    ],
    what="least squares, {what}", value="{certified}",
)  # fmt: skip
def test_published_certified_values_of_norris_are_reproduced(what: str, certified: float) -> None:
    fit = least_squares(norris())
    found = getattr(fit.line, what) if what in ("intercept", "slope") else getattr(fit, what)
    assert math.isclose(float(found), certified, rel_tol=1e-9)


@published("Lines through measures", NIST, CERTIFIED, "secondary", what="F statistic", value="5436385.54079785")
def test_published_f_statistic_of_norris_is_reproduced() -> None:
    fit = least_squares(norris())
    assert math.isclose(float((fit.sum_yy - fit.residual_sum) / fit.variance), 5436385.54079785, rel_tol=1e-9)


# Theil-Sen against scipy.stats.theilslopes, whose method "joint" takes the intercept as the median of y - m x.
@published(
    "Lines through measures", "scipy.stats.theilslopes on Norris", "method joint", "library",
    what="Theil-Sen, slope and intercept", value="1.0021968365553604, -0.3010984182776848",
)  # fmt: skip
def test_published_library_gives_the_same_theil_sen_line_through_norris() -> None:
    rows = norris()
    line = theil_sen(rows)
    theirs = stats.theilslopes([float(p.y) for p in rows], [float(p.x) for p in rows], method="joint")
    assert math.isclose(float(line.slope), theirs.slope, rel_tol=1e-9)
    assert math.isclose(float(line.intercept), theirs.intercept, rel_tol=1e-9)
    assert math.isclose(float(line.slope), 1.0021968365553604, rel_tol=1e-9)
    assert math.isclose(float(line.intercept), -0.3010984182776848, rel_tol=1e-9)


@settings(max_examples=40, deadline=None)
@given(clouds)
def test_published_library_gives_the_same_theil_sen_line_through_any_points(rows: list[tuple[int, int]]) -> None:
    line = theil_sen(points(rows))
    with np.errstate(invalid="ignore"):  # the interval that is worked out beside it has none where nearly all are tied
        theirs = stats.theilslopes([y for _, y in rows], [x for x, _ in rows], method="joint")
    assert math.isclose(float(line.slope), theirs.slope, rel_tol=1e-9, abs_tol=1e-9)
    assert math.isclose(float(line.intercept), theirs.intercept, rel_tol=1e-9, abs_tol=1e-6)


@settings(max_examples=40, deadline=None)
@given(clouds)
def test_published_library_gives_the_same_least_squares(rows: list[tuple[int, int]]) -> None:
    fit = least_squares(points(rows))
    theirs = stats.linregress([x for x, _ in rows], [y for _, y in rows])
    assert math.isclose(float(fit.line.slope), theirs.slope, rel_tol=1e-7, abs_tol=1e-8)
    assert math.isclose(float(fit.line.intercept), theirs.intercept, rel_tol=1e-7, abs_tol=1e-5)
    assert math.isclose(fit.slope_sd, theirs.stderr, rel_tol=1e-5, abs_tol=1e-5)
    assert math.isclose(fit.intercept_sd, theirs.intercept_stderr, rel_tol=1e-5, abs_tol=1e-2)


# The textbook form with sums in floats, and the quantile from scipy.stats.t: another way to the same interval.
@settings(max_examples=40, deadline=None)
@given(clouds, st.integers(-4000, 4000))
def test_published_prediction_interval_agrees_with_an_independent_computation(
    rows: list[tuple[int, int]], at: int
) -> None:
    n, xs, ys = len(rows), [float(x) for x, _ in rows], [float(y) for _, y in rows]
    theirs = stats.linregress(xs, ys)
    mean = math.fsum(xs) / n
    residuals = [y - theirs.intercept - theirs.slope * x for x, y in zip(xs, ys, strict=True)]
    s = math.sqrt(math.fsum(r * r for r in residuals) / (n - 2))
    root = math.sqrt(1 + 1 / n + (at - mean) ** 2 / math.fsum((x - mean) ** 2 for x in xs))
    t = Fraction(stats.t.ppf(0.975, n - 2))
    found = least_squares(points(rows)).half_interval(at, t)
    assert math.isclose(found, float(t) * s * root, rel_tol=1e-5, abs_tol=1e-2)


@published(
    "Lines through measures", "five points by hand", "x 1 to 5, y 1, 2, 3, 4, 15", "worked",
    what="Theil-Sen slope against least squares", value="1 against 3",
)  # fmt: skip
def test_five_points_by_hand_leave_the_robust_line_where_the_outlier_moves_least_squares() -> None:
    rows = points([(1, 1), (2, 2), (3, 3), (4, 4), (5, 15)])
    assert theil_sen(rows).slope == 1  # slopes of the pairs: six of 1, then 3.5, 13/3, 6, 11
    assert theil_sen(rows).intercept == 0
    assert least_squares(rows).line.slope == 3


@given(st.integers(-50, 50), st.integers(-50, 50), st.integers(0, 8), st.integers(-(10**6), 10**6))
def test_one_outlier_among_nine_points_on_a_line_does_not_move_the_robust_line(
    slope: int, start: int, which: int, wild: int
) -> None:
    rows = [(x, wild if x == which else start + slope * x) for x in range(9)]
    line = theil_sen(points(rows))
    assert line.slope == slope
    assert line.intercept == start


@pytest.mark.parametrize("rows", [[], [(1, 2)], [(1, 2), (1, 3), (1, 4)]])
def test_points_in_one_place_have_no_line(rows: list[tuple[int, int]]) -> None:
    for fit in (theil_sen, least_squares):
        with pytest.raises(BadValue):
            fit(points(rows))


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 9), st.integers(-9, 9)), min_size=2, max_size=9).filter(
        lambda rows: len({x for x, _ in rows}) > 1
    ),
    st.sampled_from([Fraction(1), Fraction(1, 3), Fraction(10**200), Fraction(1, 10**200), Fraction(7, 10**12)]),
    st.sampled_from([Fraction(1), Fraction(1, 7), Fraction(10**200), Fraction(1, 10**200)]),
)
def test_the_median_of_the_slopes_is_exact_with_ties_and_at_any_size(
    rows: list[tuple[int, int]], wide: Fraction, high: Fraction
) -> None:
    """The definition, pair by pair in fractions; quotients beyond the floats and below them included."""
    slopes = [Fraction(d - b, c - a) for n, (a, b) in enumerate(rows) for c, d in rows[n + 1 :] if a != c]
    given = [Point(x * wide, y * high + Fraction(x, 10**30)) for x, y in rows]
    expected = median(slope * high / wide + Fraction(1, 10**30) / wide for slope in slopes)
    assert theil_sen(given).slope == expected
