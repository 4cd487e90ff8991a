"""When parts are due: the oldest clock counts, never recorded outweighs it, and nothing puts a date back."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.due import (
    PartDue,
    PulledForward,
    Standing,
    Tolerance,
    last_day,
    part_due,
    scope_due,
    standing,
)
from inspect_app.domain.interval import Interval, after

YEAR, QUARTER = Interval(12), Interval(3)
TODAY = date(2026, 6, 1)
TOLERANCE = Tolerance(early_days=14, late_days=7)
DATES = st.dates(date(2000, 1, 1), date(2060, 1, 1))
CLOCKS = st.dictionaries(st.sampled_from(["a", "b", "c", "d"]), DATES, min_size=1)
INTERVALS = st.lists(st.builds(Interval, st.integers(0, 60), st.integers(1, 60)), min_size=1, max_size=3)
PULLS = st.lists(st.builds(PulledForward, DATES, st.just("trend")), max_size=3)


def test_the_oldest_point_decides_and_is_named() -> None:
    due = part_due("LB 1-1", {"groove": date(2026, 1, 10), "bolts": date(2025, 11, 30)}, [YEAR, QUARTER])
    assert due == PartDue("LB 1-1", date(2026, 2, 28), date(2026, 1, 10), "bolts", oldest_on=date(2025, 11, 30))


def test_a_point_that_was_never_looked_at_keeps_the_part_never_recorded() -> None:
    due = part_due("LB 1-1", {"groove": date(2026, 5, 31), "bolts": None}, [YEAR])
    assert due is not None
    assert due.missing == ("bolts",)
    assert standing(due, TODAY, TOLERANCE) is Standing.NEVER_RECORDED


def test_without_points_or_interval_only_a_pull_makes_it_due() -> None:
    assert part_due("LB 1-1", {}, [YEAR]) is None
    assert part_due("LB 1-1", {"groove": date(2026, 1, 1)}, [None]) is None
    pulled = part_due("LB 1-1", {}, [None], [PulledForward(date(2026, 7, 1), "look again after the repair")])
    assert pulled is not None
    assert (pulled.due_on, pulled.why) == (date(2026, 7, 1), "look again after the repair")


def test_the_four_standings_change_on_the_right_days() -> None:
    due = PartDue("x", date(2026, 6, 30))
    stands = {day: standing(due, day, TOLERANCE) for day in (date(2026, 6, 15), date(2026, 6, 16), date(2026, 7, 7))}
    assert list(stands.values()) == [Standing.DONE, Standing.DUE, Standing.DUE]
    assert standing(due, date(2026, 7, 8), TOLERANCE) is Standing.OVERDUE
    assert standing(PartDue("x", None), TODAY, TOLERANCE) is Standing.NEVER_RECORDED


def test_a_scope_is_due_with_its_earliest_part_and_counts_the_others() -> None:
    rows = [PartDue("a", date(2027, 1, 1)), PartDue("b", date(2026, 5, 1)), PartDue("c", None, missing=("p",))]
    scope = scope_due(rows, TODAY, TOLERANCE)
    assert scope is not None
    assert (scope.due_on, scope.standing, scope.first) == (date(2026, 5, 1), Standing.OVERDUE, rows[1])
    assert scope.parts == {
        Standing.NEVER_RECORDED: 1,
        Standing.OVERDUE: 1,
        Standing.DUE: 0,
        Standing.DONE: 1,
    }


def test_a_scope_with_a_part_never_recorded_is_never_called_done() -> None:
    scope = scope_due([PartDue("a", date(2027, 1, 1)), PartDue("c", None, missing=("p",))], TODAY, TOLERANCE)
    assert scope is not None
    assert scope.standing is Standing.DUE
    bare = scope_due([PartDue("c", None, missing=("p",))], TODAY, TOLERANCE)
    assert bare is not None
    assert bare.standing is Standing.NEVER_RECORDED
    assert scope_due([], TODAY, TOLERANCE) is None


@given(CLOCKS, INTERVALS, PULLS)
def test_no_date_is_later_than_an_interval_after_any_last_look(
    clocks: dict[str, date], intervals: list[Interval], pulls: list[PulledForward]
) -> None:
    due = part_due("x", dict(clocks), intervals, pulls)
    assert due is not None
    assert due.due_on is not None
    assert all(due.due_on <= after(on, interval) for on in clocks.values() for interval in intervals)
    assert all(due.due_on <= pull.on for pull in pulls)


@given(st.lists(DATES, min_size=1, max_size=6), DATES, st.integers(0, 60), st.integers(0, 60))
def test_a_scope_is_overdue_once_any_part_is_past_its_tolerance(
    dates: list[date], today: date, early: int, late: int
) -> None:
    scope = scope_due([PartDue(str(n), on) for n, on in enumerate(dates)], today, Tolerance(early, late))
    assert scope is not None
    assert scope.due_on == min(dates)
    assert (scope.standing is Standing.OVERDUE) == any(today > on + timedelta(days=late) for on in dates)


@given(CLOCKS, INTERVALS, INTERVALS, st.integers(0, 60), st.integers(0, 400))
def test_no_tolerance_reaches_beyond_a_chosen_rule(
    clocks: dict[str, date], intervals: list[Interval], rules: list[Interval], late: int, days: int
) -> None:
    due = part_due("x", dict(clocks), intervals, (), rules)
    assert due is not None
    assert due.due_on is not None
    end = last_day(due.due_on, Tolerance(0, late), due.no_later)
    oldest = min(clocks.values())
    assert all(end <= after(oldest, rule) for rule in rules)
    assert all(due.due_on <= after(oldest, interval) for interval in (*intervals, *rules))
    assert end <= due.due_on + timedelta(days=late)
    today = oldest + timedelta(days=days)
    assert (standing(due, today, Tolerance(0, late)) is Standing.OVERDUE) == (today > end)


def test_a_date_brought_forward_has_no_days_of_grace() -> None:
    pulled = PulledForward(date(2026, 6, 1), "trend")
    due = part_due("x", {"groove": date(2026, 3, 4)}, [YEAR], [pulled])
    assert due is not None
    assert standing(due, date(2026, 6, 2), TOLERANCE) is Standing.OVERDUE


def test_parts_late_and_bare_are_counted_beside_the_standing() -> None:
    rows = [
        PartDue("a", date(2026, 5, 1), last_on=date(2026, 2, 1), missing=("p",)),
        PartDue("b", None, missing=("p",)),
        PartDue("c", date(2026, 9, 1), last_on=date(2026, 6, 1)),
    ]
    scope = scope_due(rows, TODAY, TOLERANCE)
    assert scope is not None
    assert (scope.late, scope.bare, scope.last_day) == (1, 1, date(2026, 5, 8))
    assert scope.standing is Standing.OVERDUE


@given(CLOCKS, INTERVALS, PULLS, st.integers(0, 400))
def test_no_tolerance_reaches_beyond_the_day_that_something_asks_for(
    clocks: dict[str, date], intervals: list[Interval], pulls: list[PulledForward], late: int
) -> None:
    """Not even where the interval alone is due a little sooner."""
    due = part_due("x", clocks, intervals, pulls)
    assert due is not None
    assert due.due_on is not None
    for pull in pulls:
        assert last_day(due.due_on, Tolerance(0, late), due.no_later) <= pull.on


def test_the_early_end_is_kept_with_the_part_whatever_makes_it_due() -> None:
    for on in (date(2026, 2, 1), date(2026, 12, 1)):
        due = part_due("x", {"p": date(2026, 1, 1)}, [QUARTER], [PulledForward(on, "trend", date(2027, 1, 1))])
        assert due is not None
        assert due.before == date(2027, 1, 1)
