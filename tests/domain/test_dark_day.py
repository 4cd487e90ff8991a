"""Dark days: the proposal is free, in its window, the best there is, and plain when there is none."""

from datetime import date, timedelta

import pytest
from dateutil.rrule import DAILY, rrule
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.dark_day import Blackout, first_free, propose
from inspect_app.domain.due import Tolerance
from inspect_app.domain.errors import BadValue

TODAY = date(2026, 3, 2)  # a Monday
DUE = date(2026, 3, 31)
SPAN = st.builds(
    lambda start, length: Blackout(TODAY + timedelta(days=start), TODAY + timedelta(days=start + length)),
    st.integers(-10, 80),
    st.integers(0, 30),
)
TOLERANCES = st.builds(Tolerance, st.integers(0, 30), st.integers(0, 30))
WEEKDAYS = st.frozensets(st.integers(0, 6), min_size=1)


def test_the_last_free_day_before_the_due_date_is_taken() -> None:
    closed = [Blackout(date(2026, 3, 28), date(2026, 4, 5), "tour")]
    found = propose(DUE, TODAY, closed, Tolerance(14, 7))
    assert (found.day, found.late) == (date(2026, 3, 27), False)


def test_the_tolerance_is_used_only_when_no_day_before_is_free() -> None:
    closed = [Blackout(date(2026, 3, 10), date(2026, 4, 2), "opera")]
    found = propose(DUE, TODAY, closed, Tolerance(14, 7))
    assert found.day == date(2026, 4, 3)
    assert "7 days of tolerance" in found.words


def test_a_blackout_over_everything_is_told_with_its_cause() -> None:
    closed = [Blackout(date(2026, 1, 1), date(2026, 6, 30), "the grid is painted")]
    found = propose(DUE, TODAY, closed, Tolerance(14, 7))
    assert found.day is None
    assert found.words == (
        "no day from 2026-03-17 to 2026-04-07 is free (the grid is painted); the first free day after it is 2026-07-01"
    )
    forever = propose(DUE, TODAY, [Blackout(date(2026, 1, 1), date(2030, 1, 1))], Tolerance(14, 7))
    assert forever.day is None
    assert "no free day within a year after it either" in forever.words


def test_what_is_past_its_last_day_is_proposed_at_once_and_late() -> None:
    found = propose(date(2026, 2, 1), TODAY, [Blackout(TODAY, TODAY)], Tolerance(14, 7))
    assert (found.day, found.late) == (date(2026, 3, 3), True)
    assert "the last day, 2026-02-08, has passed" in found.words


def test_a_due_date_behind_but_within_the_tolerance_is_not_proposed_in_the_past() -> None:
    found = propose(date(2026, 2, 27), TODAY, [], Tolerance(14, 7))
    assert (found.day, found.late) == (TODAY, False)


def test_a_blackout_that_ends_before_it_begins_and_no_weekday_are_refused() -> None:
    with pytest.raises(BadValue, match="before the first"):
        Blackout(date(2026, 3, 2), date(2026, 3, 1))
    with pytest.raises(BadValue, match="day of the week"):
        propose(DUE, TODAY, [], Tolerance(), frozenset())


@given(st.integers(-40, 60), st.lists(SPAN, max_size=5), TOLERANCES, WEEKDAYS)
def test_the_proposal_is_the_one_that_plain_counting_finds(
    offset: int, spans: list[Blackout], tolerance: Tolerance, weekdays: frozenset[int]
) -> None:
    """Every day from dateutil's rrule is tried against the words of the rule."""
    due_on = TODAY + timedelta(days=offset)
    found = propose(due_on, TODAY, spans, tolerance, weekdays)
    start = max(TODAY, due_on - timedelta(days=tolerance.early_days))
    end = due_on + timedelta(days=tolerance.late_days)
    listed = rrule(DAILY, dtstart=start, until=end, byweekday=sorted(weekdays)) if start <= end else ()
    free = [d.date() for d in listed if not any(s.covers(d.date()) for s in spans)]
    before = [day for day in free if day <= due_on]
    expected = before[-1] if before else free[0] if free else None
    if expected or end >= TODAY:
        assert found.day == expected
        assert found.late == (expected is None)
    else:
        assert found.late
        assert found.day is None or found.day >= TODAY


def test_dates_at_the_ends_of_the_calendar_do_not_break_it() -> None:
    assert propose(date.max, date.max, [], Tolerance(400, 400)).day == date.max
    assert propose(date.max, date.max, [Blackout(date.max, date.max)], Tolerance(0, 9)).day is None


def test_a_rule_s_date_ends_the_window_before_the_tolerance_does() -> None:
    closed = [Blackout(date(2026, 3, 10), date(2026, 4, 2), "opera")]
    found = propose(DUE, TODAY, closed, Tolerance(14, 7), no_later=DUE)
    assert found.day is None
    assert "no day from 2026-03-17 to 2026-03-31 is free" in found.words
    assert propose(DUE, TODAY, [], Tolerance(14, 7), no_later=date(2026, 3, 20)).day == date(2026, 3, 20)


@given(st.integers(-40, 60), st.lists(SPAN, max_size=5), TOLERANCES, st.integers(-20, 40))
def test_no_proposal_in_time_lies_after_the_due_date_with_tolerance_or_a_rule_s_date(
    offset: int, spans: list[Blackout], tolerance: Tolerance, rule: int
) -> None:
    due_on = TODAY + timedelta(days=offset)
    no_later = due_on + timedelta(days=rule)
    found = propose(due_on, TODAY, spans, tolerance, no_later=no_later)
    assert found.day is None or found.day >= TODAY
    assert found.day is None or not any(span.covers(found.day) for span in spans)
    if not found.late:
        assert found.day is not None
        assert found.day <= min(due_on + timedelta(days=tolerance.late_days), no_later)


def test_the_first_free_day_is_asked_for_what_was_never_recorded() -> None:
    closed = [Blackout(TODAY, date(2026, 3, 9), "show")]
    assert first_free(TODAY, closed, frozenset({0, 1})) == date(2026, 3, 10)
    assert first_free(TODAY, [Blackout(TODAY, date(2030, 1, 1))], frozenset(range(7))) is None


def test_what_wears_is_proposed_before_a_blackout_that_fills_its_window() -> None:
    closed = [Blackout(date(2026, 3, 10), date(2026, 4, 2), "opera")]
    found = propose(DUE, TODAY, closed, Tolerance(14, 0), no_later=DUE, or_earlier=True)
    assert found.day == date(2026, 3, 9)
    assert not found.late
    assert "(opera)" in found.words
    gone = propose(DUE, TODAY, [Blackout(TODAY, DUE, "opera")], Tolerance(14, 0), no_later=DUE, or_earlier=True)
    assert gone.day is None
    passed = propose(TODAY - timedelta(9), TODAY, [], Tolerance(14, 0), or_earlier=True)
    assert (passed.day, passed.late) == (TODAY, True)
