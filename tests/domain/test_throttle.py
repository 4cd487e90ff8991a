"""Waiting after wrong passwords."""

from datetime import UTC, datetime, timedelta

from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.throttle import DAILY_TRIES, DAY, counts_still, wait_after

START = datetime(2026, 3, 4, tzinfo=UTC)


def test_five_tries_are_free_and_then_each_wait_doubles() -> None:
    waits = [wait_after(failures).total_seconds() for failures in range(20)]
    assert waits[:5] == [0, 0, 0, 0, 0]
    assert waits[5:15] == [1, 2, 4, 8, 16, 32, 64, 128, 256, 512]
    assert set(waits[15:]) == {900}
    assert wait_after(DAILY_TRIES) == DAY


@given(st.lists(st.integers(0, 7200), max_size=400))
def test_no_rhythm_of_guessing_gets_more_than_twenty_tries_in_a_day(gaps_s: list[int]) -> None:
    at, failures, wait_ends, taken = START, 0, START, []
    for gap in gaps_s:
        at += timedelta(seconds=gap)
        if at < wait_ends:
            continue
        failures = failures + 1 if counts_still(failures, wait_ends, at) else 1
        wait_ends = at + wait_after(failures)
        taken.append(at)
    for first in taken:
        assert sum(first <= one < first + DAY for one in taken) <= DAILY_TRIES


def test_a_counter_starts_anew_a_day_after_its_last_wait() -> None:
    assert counts_still(3, START, START + timedelta(hours=23))
    assert not counts_still(3, START, START + DAY)
    assert not counts_still(DAILY_TRIES, START, START)
