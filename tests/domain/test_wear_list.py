"""What wears: the nearest date first, ratings that rose without a date, and the odd one out by its own part."""

from dataclasses import replace
from datetime import date
from fractions import Fraction

from inspect_app.config import shared_dir
from inspect_app.domain.changes import Rated
from inspect_app.domain.criteria import Op
from inspect_app.domain.judge import Result
from inspect_app.domain.measure_history import outlook_of
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.wear_list import Nearness, by_nearness, measure_row, odd_by_part, rating_rows
from inspect_app.store.reference import student_t_at
from tests.domain.test_changes import LIMIT, measures

DAYS = tuple(date(2020 + n, 5, 1) for n in range(5))
PART = Part("LL", "h", "grid", PartKind.LIFT_LINE, "LL 1-1", "s1", 1)


def outlook(*values: str, part: str = "LL", limits: bool = True):  # type: ignore[no-untyped-def]
    series = measures(*zip(values, DAYS, strict=False))
    series = replace(series, part=part)
    return outlook_of(series, [LIMIT] if limits else [], student_t_at(shared_dir()))


def row(*values: str, limits: bool = True):  # type: ignore[no-untyped-def]
    return measure_row(PART, outlook(*values, limits=limits))


def test_each_series_is_where_its_limit_is() -> None:
    assert row("0.255", "0.250", "0.245", "0.240", "0.235").nearness is Nearness.PASSED
    dated = row("0.255", "0.252", "0.249", "0.246", "0.243")
    assert dated.nearness is Nearness.DATED
    assert dated.before is not None
    assert "falls by about 0.003 in per year" in dated.direction
    assert row("0.255", "0.253", "0.251", "0.249", "0.247", limits=False).nearness is Nearness.MOVES
    assert row("0.250", "0.250").nearness is Nearness.STILL


def test_a_figure_outside_a_limit_is_listed_so_also_where_no_line_can_be_laid_through_it() -> None:
    once = measure_row(PART, outlook("0.235"), limits=[LIMIT])
    assert (once.nearness, [one.result for one in once.verdicts]) == (Nearness.PASSED, [Result.OUTSIDE])
    near = outlook("0.2376")
    taken = (replace(near.series.taken[0], resolution="0.001"),)
    near = replace(near, series=replace(near.series, taken=taken))
    assert measure_row(PART, near, limits=[LIMIT]).nearness is Nearness.NOW
    assert measure_row(PART, outlook("0.250"), limits=[LIMIT]).nearness is Nearness.STILL
    assert measure_row(PART, outlook("0.235")).nearness is Nearness.STILL  # without a limit nothing is said of it


def test_the_nearest_date_comes_first_and_what_is_still_last() -> None:
    rows = [
        row("0.250", "0.250"),
        row("0.255", "0.252", "0.249", "0.246", "0.243"),
        row("0.250", "0.247", "0.244", "0.241"),
    ]
    groups = by_nearness(rows)
    assert groups[-1][0] is Nearness.STILL
    dated = [one.before for nearness, group in groups for one in group if nearness is Nearness.DATED]
    assert dated == sorted(dated)
    assert sum(len(group) for _, group in groups) == len(rows)


def test_a_series_that_is_too_short_says_what_was_not_put_together_with_it() -> None:
    short = outlook("0.250", "0.250")
    words = "3 measures with another gauge (tape) not put together with these"
    short = replace(short, series=replace(short.series, beside=(words,)))
    assert f"2 looks so far; a direction needs at least 4 on different days; {words}; last" in (
        measure_row(PART, short).direction
    )


def test_a_newer_figure_that_does_not_count_is_told_beside_the_last_that_does() -> None:
    whole = outlook("0.255", "0.252", "0.249", "0.246", "0.230")
    *counted, wrong = whole.series.taken
    wrong = replace(wrong, why_not="the gauge read wrong: dropped", doubted=True)
    series = replace(whole.series, taken=tuple(counted), waiting=(wrong,))
    direction = measure_row(PART, outlook_of(series, [LIMIT], student_t_at(shared_dir()))).direction
    assert "last 0.246 in on 2023-05-01; 0.230 in on 2024-05-01 does not count: the gauge read wrong" in direction


def test_a_rating_that_rose_has_no_date() -> None:
    ratings = [Rated("LL", "p", wear, day, "w", "Wren") for wear, day in zip((1, 1, 3), DAYS, strict=False)]
    (found,) = rating_rows(ratings, {"LL": PART}, {"p": "Groove"}, {})
    assert (found.nearness, found.before, found.title) == (Nearness.WORN_ON, None, "Wear rating: Groove")
    assert "rating 1 on 2020-05-01, 3 on 2022-05-01" in found.direction
    assert rating_rows(ratings[:1], {"LL": PART}, {}, {}) == []


def test_a_rating_from_before_a_repair_of_that_point_no_longer_stands_among_what_wears() -> None:
    ratings = [Rated("LL", "p", wear, day, by, by) for wear, day, by in zip((1, 3, 0, 1), DAYS, "wwpp", strict=False)]
    (found,) = rating_rows(ratings, {"LL": PART}, {}, {("LL", "p"): [DAYS[2]], ("LL", "q"): [DAYS[3]]})
    assert "rating 0 on 2022-05-01, 1 on 2023-05-01; 2 ratings" in found.direction
    (still,) = rating_rows(ratings, {"LL": PART}, {}, {})
    assert "rating 1 on 2020-05-01, 3 on 2021-05-01" in still.direction


def test_the_odd_one_out_is_told_for_its_own_part_only_with_enough_sisters() -> None:
    parts = {f"p{n}": replace(PART, id=f"p{n}", line_set=f"s{n}") for n in range(6)}
    kinds = {f"s{n}": "single_purchase" for n in range(6)}
    outlooks = [outlook("0.250" if n else "0.220", part=f"p{n}") for n in range(6)]
    assert set(odd_by_part(outlooks, parts, kinds)) == {("p0", "rope_diameter")}
    assert odd_by_part(outlooks[:4], parts, kinds) == {}
    assert LIMIT.op is Op.LESS_THAN
    assert LIMIT.value == Fraction("0.2375")
