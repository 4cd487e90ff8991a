"""Intervals: dates counted with them, held against dateutil, and texts that are refused."""

from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from dateutil.rrule import MONTHLY, rrule
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.interval import Interval, after, parse_interval, soonest
from tests.published import published

DATES = st.dates(date(1900, 1, 1), date(2200, 12, 31))
INTERVALS = st.builds(Interval, st.integers(0, 240), st.integers(0, 800)).filter(lambda i: i != Interval(0))


@pytest.mark.parametrize(
    ("text", "months", "days", "words"),
    [
        ("P1Y", 12, 0, "1 year"),
        ("P3M", 3, 0, "3 months"),
        ("P2W", 0, 14, "2 weeks"),
        ("P10D", 0, 10, "10 days"),
        ("p1y6m", 18, 0, "1 year 6 months"),
        ("P1M15D", 1, 15, "1 month 15 days"),
    ],
)
def test_iso_durations_are_read(text: str, months: int, days: int, words: str) -> None:
    interval = parse_interval(text)
    assert interval == Interval(months, days)
    assert interval.words == words


@pytest.mark.parametrize("text", ["", "P", "P0D", "3M", "P-1M", "PT5H", "P1.5Y", "P1D1M", "P999Y", "P٣M", "P1YZ"])
def test_what_is_no_interval_says_how_to_write_one(text: str) -> None:
    with pytest.raises(BadValue, match="P3M"):
        parse_interval(text)


def test_none_is_no_interval() -> None:
    assert parse_interval("none") is None
    assert soonest(date(2026, 1, 1), None) is None


@given(INTERVALS)
def test_an_interval_reads_back_as_itself(interval: Interval) -> None:
    assert parse_interval(str(interval)) == interval


@given(DATES, INTERVALS, st.integers(1, 20))
def test_dates_agree_with_dateutil(start: date, interval: Interval, times: int) -> None:
    """python-dateutil's relativedelta clips to the month's last day as the trade's rules do."""
    expected = start + relativedelta(months=interval.months * times) + timedelta(days=interval.days * times)
    assert after(start, interval, times) == expected


@published(
    "Intervals", "{_document}", "{_clause}, the month end clipped", "worked",
    names="_document, _clause, start, interval, expected",
    rows=[
        ("LOLER 1998", "regulation 9(3)(a)(i), six months", date(2025, 8, 31), "P6M", date(2026, 2, 28)),
        ("LOLER 1998", "regulation 9(3)(a)(i), six months", date(2023, 8, 31), "P6M", date(2024, 2, 29)),
        ("DGUV Vorschrift 17", "section 34(2), yearly", date(2024, 2, 29), "P1Y", date(2025, 2, 28)),
        ("DGUV Vorschrift 17", "section 34(1), every four years", date(2024, 2, 29), "P4Y", date(2028, 2, 29)),
    ],
    what="{interval} after {start}", value="{expected}",
)  # fmt: skip
def test_published_intervals_end_on_the_month_s_last_day(start: date, interval: str, expected: date) -> None:
    read = parse_interval(interval)
    assert read is not None
    assert after(start, read) == expected


def test_a_rhythm_is_the_rule_s_own_last_days() -> None:
    """RFC 5545 skips dates that a month lacks; BYMONTHDAY=-1 asks for the last day, which is what clipping gives."""
    last_days = rrule(MONTHLY, bymonthday=-1, count=25, dtstart=date(2024, 1, 31))
    assert [after(date(2024, 1, 31), Interval(1), n) for n in range(25)] == [day.date() for day in last_days]


@given(DATES, st.lists(INTERVALS, min_size=1, max_size=4))
def test_the_soonest_is_never_later_than_any_rule(start: date, intervals: list[Interval]) -> None:
    found = soonest(start, *intervals)
    assert found is not None
    assert all(found <= after(start, interval) for interval in intervals)


def test_a_date_past_the_calendar_is_an_error() -> None:
    with pytest.raises(BadValue):
        after(date(9999, 6, 1), Interval(12))
