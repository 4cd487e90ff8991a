"""Where repeated measures lead: constructed series, refusals, and what no change of units or of one point may do."""

import math
from datetime import date, timedelta
from fractions import Fraction
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from inspect_app.domain.student_t import StudentT
from inspect_app.domain.trend import (
    BY_INTERVAL,
    BY_ROBUST,
    MOST_LOOKS,
    Reach,
    Reached,
    Reading,
    Refusal,
    Refused,
    Trend,
    before_words,
    next_look,
    reach_of,
    trend_of,
)

# Rows of the shipped table, which has its own test.
TABLE = StudentT(
    Fraction("0.975"),
    tuple((n, Fraction(t)) for n, t in ((1, "12.706"), (2, "4.303"), (3, "3.182"), (4, "2.776"), (5, "2.571"))),
)
START = date(2022, 3, 1)
STEP = Fraction("0.0005")


def series(rows: list[tuple[int, str]], step: Fraction = STEP) -> list[Reading]:
    return [Reading(START + timedelta(days), Fraction(value), step) for days, value in rows]


def trend(rows: list[tuple[int, str]], step: Fraction = STEP) -> Trend:
    found = trend_of(series(rows, step), TABLE)
    assert isinstance(found, Trend), found
    return found


# A quarter-inch rope, constructed; its lines worked out beforehand with another program.
ROPE = [(0, "0.256"), (180, "0.2545"), (365, "0.2535"), (545, "0.2520"), (730, "0.2510")]


def test_lines_of_the_constructed_rope_cross_three_limits_where_worked_out_beforehand() -> None:
    found = trend(ROPE)
    assert float(found.squares.line.slope) == pytest.approx(-6.846909e-6, rel=1e-6)
    assert float(found.robust.slope) == pytest.approx(-6.849315e-6, rel=1e-6)
    assert float(found.per_year) == pytest.approx(-0.0025, abs=5e-6)
    for limit, squares, robust in (("0.2375", 2686, 2701), ("0.24064", 2228, 2243), ("0.234375", 3143, 3157)):
        crossings = found.squares.line.crosses(Fraction(limit)), found.robust.crosses(Fraction(limit))
        assert [round(float(x or 0)) for x in crossings] == pytest.approx([squares, robust], abs=1)


def test_a_limit_beyond_as_long_again_as_the_history_gets_no_date() -> None:
    assert reach_of(trend(ROPE), Fraction("0.2375"), upper=False) == (Reach.NOT_WITHIN, None, "")


def test_the_early_end_lies_before_both_lines_reach_the_limit() -> None:
    found = trend(ROPE)
    edge = Fraction("0.2480")
    reached = reach_of(found, edge, upper=False)
    assert reached.reach is Reach.BEFORE
    assert reached.by == BY_INTERVAL
    lines = [line.crosses(edge) for line in (found.robust, found.squares.line)]
    assert reached.before is not None
    assert all(reached.before < START + timedelta(float(x or 0)) for x in lines)


def test_a_limit_within_the_scatter_is_due_now() -> None:
    assert reach_of(trend(ROPE), Fraction("0.2505"), upper=False).reach is Reach.NOW


def test_a_limit_on_the_other_side_is_not_headed_for() -> None:
    assert reach_of(trend(ROPE), Fraction("0.2600"), upper=True).reach is Reach.AWAY


def test_measures_without_scatter_reach_the_limit_less_half_a_step_on_the_line() -> None:
    found = trend([(0, "10"), (100, "9"), (200, "8"), (300, "7"), (400, "6")], Fraction(1))
    reached = reach_of(found, Fraction(4), upper=False)
    assert reached == (Reach.BEFORE, START + timedelta(550), min(BY_ROBUST, BY_INTERVAL, "least squares line"))


@pytest.mark.parametrize(
    ("rows", "reason"),
    [
        ([], Refusal.NOTHING),
        ([(0, "5")], Refusal.TOO_FEW),
        ([(0, "5"), (90, "4"), (180, "3")], Refusal.TOO_FEW),
        ([(0, "5"), (0, "4"), (90, "3"), (180, "2")], Refusal.TOO_FEW),
        ([(0, "5"), (0, "4"), (0, "3"), (0, "2"), (0, "1")], Refusal.ONE_DAY),
        ([(0, "5"), (1, "4"), (2, "3"), (300, "2")], Refusal.TOO_CLOSE),
        ([(0, "5"), (6, "4"), (12, "3"), (18, "2")], Refusal.TOO_CLOSE),
        ([(0, "0.2502"), (90, "0.2501"), (180, "0.2501"), (270, "0.2500")], Refusal.TOO_COARSE),
        ([(0, "0.25"), (90, "0.25"), (180, "0.25"), (270, "0.25")], Refusal.TOO_COARSE),
    ],
)
def test_a_series_that_cannot_carry_a_line_is_refused_with_its_reason(
    rows: list[tuple[int, str]], reason: Refusal
) -> None:
    found = trend_of(series(rows), TABLE)
    assert isinstance(found, Refused)
    assert found.reason is reason
    assert found.words


def test_two_looks_fall_before_the_early_end() -> None:
    last, before = date(2026, 1, 1), date(2026, 5, 1)
    due = next_look(last, before, 180)
    assert due is not None
    assert due + (due - last) < before


def test_the_usual_interval_is_never_made_longer() -> None:
    assert next_look(date(2026, 1, 1), date(2030, 1, 1), 90) == date(2026, 4, 1)
    assert next_look(date(2026, 1, 1), None, 90) == date(2026, 4, 1)
    assert next_look(date(2026, 1, 1), None, None) is None


@given(st.integers(3, 3000), st.integers(1, 1000))
def test_the_next_look_leaves_room_for_a_second_before_the_early_end(days: int, usual: int) -> None:
    last = date(2026, 1, 1)
    due = next_look(last, last + timedelta(days), usual)
    assert due is not None
    assert last < due <= last + timedelta(usual)
    assert due + (due - last) < last + timedelta(days)


def test_only_the_early_end_has_words() -> None:
    assert before_words(date(2027, 3, 2)) == "look again before 2027-03-02"


spaced = st.lists(st.tuples(st.integers(7, 400), st.integers(-40, 60)), min_size=4, max_size=9)


def worn(rows: list[tuple[int, int]], factor: Fraction = Fraction(1), shift_days: int = 0) -> list[Reading]:
    """A part that wears by a random amount from look to look, growing with use; in steps of 1."""
    day, value, readings = START + timedelta(shift_days), Fraction(1000), []
    for gap, change in rows:
        day += timedelta(gap)
        value -= change
        readings.append(Reading(day, value * factor, factor))
    return readings


@settings(max_examples=60, deadline=None)
@given(spaced, st.integers(1, 300), st.sampled_from(["25.4", "1/25.4", "0.3048", "1e-6", "7/3"]))
def test_another_unit_changes_no_date(rows: list[tuple[int, int]], under: int, unit: str) -> None:
    top, _, bottom = unit.partition("/")
    factor = Fraction(top) / Fraction(bottom or "1")
    one, other = trend_of(worn(rows), TABLE), trend_of(worn(rows, factor), TABLE)
    if isinstance(one, Refused) or isinstance(other, Refused):
        assert one == other
        return
    edge = one.readings[-1].value - under
    assert reach_of(one, edge, upper=False) == reach_of(other, edge * factor, upper=False)
    assert reach_of(one, -edge, upper=True).reach in set(Reach)


@settings(max_examples=60, deadline=None)
@given(spaced, st.integers(1, 300), st.integers(-3000, 3000))
def test_moving_all_days_moves_the_date_with_them(rows: list[tuple[int, int]], under: int, days: int) -> None:
    one, other = trend_of(worn(rows), TABLE), trend_of(worn(rows, shift_days=days), TABLE)
    if isinstance(one, Refused) or isinstance(other, Refused):
        assert one == other
        return
    edge = one.readings[-1].value - under
    here, there = reach_of(one, edge, upper=False), reach_of(other, edge, upper=False)
    assert here.reach is there.reach
    if here.before is not None and there.before is not None:
        assert there.before == here.before + timedelta(days)


@settings(max_examples=60, deadline=None)
@given(spaced, st.integers(1, 300))
def test_a_falling_series_and_its_mirror_reach_mirrored_limits_on_the_same_day(
    rows: list[tuple[int, int]], under: int
) -> None:
    falling = worn(rows)
    rising = [Reading(one.on, -one.value, one.step) for one in falling]
    one, other = trend_of(falling, TABLE), trend_of(rising, TABLE)
    if isinstance(one, Refused) or isinstance(other, Refused):
        assert one == other
        return
    edge = falling[-1].value - under
    assert reach_of(one, edge, upper=False) == reach_of(other, -edge, upper=True)


@settings(max_examples=60, deadline=None)
@given(spaced, st.integers(1, 300), st.sampled_from([0, 1, 2, 3]))
def test_no_date_lies_beyond_twice_the_history_however_many_measures_are_added(
    rows: list[tuple[int, int]], under: int, fewer: int
) -> None:
    readings = worn(rows)
    readings = readings[: max(4, len(readings) - fewer)]
    found = trend_of(readings, TABLE)
    if isinstance(found, Refused):
        return
    reached = reach_of(found, readings[-1].value - under, upper=False)
    if reached.before is not None:
        assert found.last < reached.before <= found.last + (found.last - found.first)


@settings(max_examples=60, deadline=None)
@given(spaced, st.integers(1, 100), st.integers(1, 100))
def test_a_stricter_limit_is_never_reached_later(rows: list[tuple[int, int]], under: int, more: int) -> None:
    found = trend_of(worn(rows), TABLE)
    if isinstance(found, Refused):
        return
    last = found.readings[-1].value
    strict, loose = (reach_of(found, last - gap, upper=False) for gap in (under, under + more))
    if loose.before is not None and strict.reach is not Reach.NOW:
        assert strict.before is not None
        assert strict.before <= loose.before


@settings(max_examples=60, deadline=None)
@given(spaced, st.integers(1, 300))
def test_the_date_agrees_with_an_independent_computation(rows: list[tuple[int, int]], under: int) -> None:
    """scipy.stats.theilslopes and linregress, the textbook interval and scipy.stats.t, asked day by day."""
    readings = worn(rows)
    found = trend_of(readings, StudentT(Fraction("0.975"), tuple((n, quantile(n)) for n in range(1, 9))))
    if isinstance(found, Refused):
        return
    near = float(readings[-1].value - under + found.step / 2)
    xs, ys = [(one.on - found.first).days for one in readings], [float(one.value) for one in readings]
    robust, squares = stats.theilslopes(ys, xs, method="joint"), stats.linregress(xs, ys)
    n, mean = len(xs), math.fsum(xs) / len(xs)
    sxx = math.fsum((x - mean) ** 2 for x in xs)
    s2 = math.fsum((y - squares.intercept - squares.slope * x) ** 2 for x, y in zip(xs, ys, strict=True)) / (n - 2)

    def lowest(day: int) -> float:
        half = float(found.t) * math.sqrt(s2 * (1 + 1 / n + (day - mean) ** 2 / sxx))
        return min(
            robust.intercept + robust.slope * day if robust.slope < 0 else math.inf,
            squares.intercept + squares.slope * day - half,
        )

    reached = reach_of(found, readings[-1].value - under, upper=False)
    day = {Reach.NOW: found.span_days, Reach.NOT_WITHIN: None, Reach.AWAY: None}.get(
        reached.reach, (reached.before - found.first).days if reached.before else None
    )
    slack = 1e-6 * max(abs(y) for y in ys)
    if day is None:
        assert lowest(2 * found.span_days) > near - slack
    else:
        assert lowest(day) <= near + slack
        assert day == found.span_days or lowest(day - 1) > near - slack


def quantile(freedom: int) -> Fraction:
    return Fraction(float(stats.t.ppf(0.975, freedom)))


@settings(max_examples=60, deadline=None)
@given(spaced, st.integers(1, 300))
def test_measuring_twice_on_the_same_days_never_puts_the_date_off(rows: list[tuple[int, int]], under: int) -> None:
    """Two measures of one day share the hand and the gauge: they are no second look."""
    readings = worn(rows)
    once, twice = trend_of(readings, TABLE), trend_of([*readings, *readings], TABLE)
    if isinstance(once, Refused) or isinstance(twice, Refused):
        assert once == twice
        return
    one, two = (reach_of(found, readings[-1].value - under, upper=False) for found in (once, twice))
    assert urgency(two, once.last) <= urgency(one, once.last)


def urgency(reached: Reached, last: date) -> int:
    """Days from the last measure to the date; none means far beyond any."""
    days = {Reach.NOW: 0, Reach.NOT_WITHIN: 10**6, Reach.AWAY: 10**6}
    return (reached.before - last).days if reached.before else days[reached.reach]


@settings(max_examples=60, deadline=None)
@given(spaced, st.integers(1, 50), st.integers(0, 2000))
def test_a_worse_last_measure_brings_both_lines_sooner_to_any_limit(
    rows: list[tuple[int, int]], worse: int, ahead: int
) -> None:
    """Not the interval: a last measure that fits the line better makes that narrower."""
    readings = worn(rows)
    lower = [*readings[:-1], readings[-1]._replace(value=readings[-1].value - worse)]
    one, two = trend_of(readings, TABLE), trend_of(lower, TABLE)
    if isinstance(one, Refused) or isinstance(two, Refused):
        return
    day = one.span_days + ahead
    assert two.robust.at(day) <= one.robust.at(day)
    assert two.squares.line.at(day) < one.squares.line.at(day)


@settings(max_examples=60, deadline=None)
@given(spaced, st.integers(1, 300), st.randoms())
def test_the_order_in_which_measures_arrive_changes_nothing(
    rows: list[tuple[int, int]], under: int, order: Random
) -> None:
    readings = worn(rows)
    mixed = list(readings)
    order.shuffle(mixed)
    one, two = trend_of(readings, TABLE), trend_of(mixed, TABLE)
    assert one == two
    if isinstance(one, Trend):
        edge = readings[-1].value - under
        assert reach_of(one, edge, upper=False) == reach_of(trend(rows_of(mixed), Fraction(1)), edge, upper=False)


def rows_of(readings: list[Reading]) -> list[tuple[int, str]]:
    return [((one.on - START).days, str(one.value)) for one in readings]


def test_scatter_that_holds_the_limit_is_told_whichever_way_the_lines_point() -> None:
    """Scatter of twenty about a level line: the next measure may well read the limit, be the slope up or down."""
    for drift in (-1, 0, 1):
        rows = [(100 * n, str(1000 + (-1) ** n * 20 + drift * n)) for n in range(6)]
        assert reach_of(trend(rows, Fraction(1)), Fraction(950), upper=False).reach is Reach.NOW
        assert reach_of(trend(rows, Fraction(1)), Fraction(1050), upper=True).reach is Reach.NOW


def test_only_the_newest_hundred_measures_count_and_no_line_is_followed_further_than_those_reach_back() -> None:
    rows = [(10 * n, str(5000 if n < 50 else 1000 - n)) for n in range(150)]
    found = trend(rows, Fraction(1))
    assert len(found.readings) == MOST_LOOKS
    assert found.span_days == 990
    assert found.robust.slope == Fraction(-1, 10)


@pytest.mark.parametrize("size", [10**30, Fraction(1, 10**30)])
def test_sizes_far_beyond_any_part_are_worked_out_exactly(size: Fraction) -> None:
    plain = trend([(100 * n, str(20 - 2 * n)) for n in range(5)], Fraction(1))
    huge = trend_of([one._replace(value=one.value * size, step=one.step * size) for one in plain.readings], TABLE)
    assert isinstance(huge, Trend)
    assert reach_of(huge, 8 * size, upper=False) == reach_of(plain, Fraction(8), upper=False)
