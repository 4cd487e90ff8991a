"""The odd one out among sister sets."""

from fractions import Fraction
from statistics import median

from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.siblings import SetValue, odd_ones


def values(*numbers: str, step: str = "0.1") -> list[SetValue]:
    return [
        SetValue(str(n), ("single_purchase", "lift_line"), "rope diameter", Fraction(x), "mm", Fraction(step))
        for n, x in enumerate(numbers, 1)
    ]


def test_a_rope_thinner_than_its_sisters_stands_out() -> None:
    (odd,) = odd_ones(values("11.9", "12.0", "11.9", "11.8", "12.0", "11.2"))
    assert (odd.line_set, odd.median, odd.siblings) == ("6", "11.9", 5)
    assert "lower than its 5 siblings, which lie between 11.8 and 12 mm" in odd.words


def test_the_worked_example_of_the_modified_z_score_marks_the_same_values() -> None:
    # 0.6745 |x - median| / MAD > 3.5 against the other values, reckoned here with exact fractions
    numbers = ["2.1", "2.6", "2.4", "2.5", "2.3", "2.1", "2.3", "2.6", "8.2", "8.3"]
    odd = {row.line_set for row in odd_ones(values(*numbers, step="0.01"))}
    assert odd == {"9", "10"}


def test_it_never_fires_with_fewer_than_four_siblings() -> None:
    assert odd_ones(values("1", "1", "1", "90")) == ()
    assert len(odd_ones(values("1", "1", "1", "1", "90"))) == 1


def test_two_steps_of_the_gauge_say_nothing_even_when_all_sisters_are_alike() -> None:
    assert odd_ones(values("12", "12", "12", "12", "12", "12.2")) == ()
    assert len(odd_ones(values("12", "12", "12", "12", "12", "12.3"))) == 1


def test_a_wear_rating_one_step_from_its_sisters_is_not_odd_three_steps_are() -> None:
    assert odd_ones(values("0", "0", "0", "0", "0", "1", step="1")) == ()
    assert [row.line_set for row in odd_ones(values("0", "0", "0", "0", "0", "3", step="1"))] == ["6"]


def test_sets_are_compared_only_within_their_group() -> None:
    motor = [SetValue("m", ("motorised", "lift_line"), "rope diameter", Fraction(5), "mm", Fraction(1, 10))]
    assert odd_ones(values("12", "12", "12", "12", "12") + motor) == ()


@given(st.lists(st.integers(0, 100), min_size=1, max_size=4), st.integers(0, 10**6))
def test_few_sets_are_never_odd_whatever_they_measure(numbers: list[int], far: int) -> None:
    rows = values(*map(str, [*numbers, far][:4]))
    assert odd_ones(rows) == ()


@given(st.lists(st.integers(0, 100), min_size=5, max_size=20))
def test_fewer_than_half_of_the_siblings_lie_as_far_out_as_an_odd_one(numbers: list[int]) -> None:
    rows = values(*map(str, numbers))
    for odd in odd_ones(rows):
        others = [row.value for row in rows if row.line_set != odd.line_set]
        own = next(row.value for row in rows if row.line_set == odd.line_set)
        centre = median(others)
        assert sum(abs(other - centre) >= abs(own - centre) for other in others) * 2 < len(others)


def test_two_camps_of_equal_size_are_not_odd() -> None:
    assert odd_ones(values("0", "0", "0", "1", "1", "1", step="0.01")) == ()
