"""When the invented house was walked in the past three years, and by whom."""

import random
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from inspect_app.demo.crew import Habits
from inspect_app.demo.outing import ALOFT, BELOW, GAUGE_ROUND, Outing, Share

QUARTERS = tuple(35 + 91 * n for n in range(12))  # days before today of the grid walks, the newest first
# The house walks the rail every month; so that the demonstration is built in good time, its history holds the months of
# the past third of a year and one in each quarter before that.
RAIL_WALKS = (*(21 + 30 * n for n in range(4)), *(154 + 91 * n for n in range(10)))
INSPECTIONS = {693: frozenset({"2", "9", "14", "22", "29", "37"}), 329: frozenset({"4", "9", "16", "21", "30", "40"})}
WITH_HELPER = frozenset({*RAIL_WALKS[:4], 245})
GRID, RAIL = "grid-quarterly", "rail-deck-monthly"
LAST_SETS = frozenset(str(n) for n in range(26, 41))
LINE_ENDS = frozenset({"line-end-arbor", "line-end-batten"})  # taken at every other grid walk


def past_outings(today: datetime, tz: str, seed: int) -> Iterator[Outing]:
    """All walks of the past, oldest first."""
    for days_ago in sorted({*QUARTERS, *RAIL_WALKS, *INSPECTIONS}, reverse=True):
        day = dark_day((today.astimezone(ZoneInfo(tz)) - timedelta(days=days_ago)).date())
        starts = datetime.combine(day, time(9, 10), ZoneInfo(tz))
        habits = Habits(days_ago, random.Random(f"{seed} walk {days_ago}"))  # noqa: S311 - variety, not a secret
        if days_ago in QUARTERS:
            yield grid_outing(starts, habits, QUARTERS.index(days_ago))
        elif days_ago in INSPECTIONS:
            yield inspection(starts, habits, INSPECTIONS[days_ago])
        else:
            yield rail_outing(starts, habits, with_helper=days_ago in WITH_HELPER)


def dark_day(day: date) -> date:
    """The Monday of that week, when the house is dark, or the day after it at Christmas and New Year."""
    monday = day - timedelta(days=day.weekday())
    return monday + timedelta(days=(monday.month, monday.day) in ((12, 25), (1, 1)))


def grid_outing(starts: datetime, habits: Habits, n: int) -> Outing:
    """A quarterly grid walk; every other one takes the line ends and the gauge round along."""
    full = n % 2 == 1
    lists = (GRID, "motorised-set", "fire-curtain", *((GAUGE_ROUND,) if full else ()))
    leave_out = frozenset() if full else LINE_ENDS
    crew = (Share("td", ALOFT), Share("admin", BELOW))
    return Outing("Quarterly grid and gallery walk", lists, starts, habits, crew, leave_out)


def inspection(starts: datetime, habits: Habits, line_sets: frozenset[str]) -> Outing:
    """The qualified inspector's visit: hands on a sample of the sets and on all that belongs to no set."""
    return Outing(
        "Annual hands-on inspection, sample of six sets",
        ("annual-hands-on",),
        starts,
        habits,
        (Share("inspector", ALOFT | BELOW),),
        line_sets=line_sets,
    )


def rail_outing(starts: datetime, habits: Habits, with_helper: bool) -> Outing:
    """A rail walk; in the past months a helper takes the last sets at the rail."""
    if not with_helper:
        return Outing("Rail and deck walk", (RAIL,), starts, habits, (Share("admin", BELOW),))
    first_sets = frozenset({*(str(n) for n in range(1, 25)), "12A", ""})
    crew = (
        Share("td", BELOW, {"set-at-rail": first_sets}),
        Share("helper", BELOW, {"set-at-rail": LAST_SETS}, just_those=True),
    )
    return Outing("Rail and deck walk", (RAIL,), starts, habits, crew)
