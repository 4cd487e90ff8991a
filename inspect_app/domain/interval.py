"""Intervals: how long after a look the next one is due, written as ISO 8601 durations, and dates counted with them.

A month counted from a day that the later month lacks ends on that month's last day: 31 August and six months is
28 or 29 February. It is counted from the first date each time, so that a rhythm never drifts to earlier days.
"""

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date, timedelta

from inspect_app.domain.errors import BadValue

_FORM = re.compile(r"P(?:(\d{1,3})Y)?(?:(\d{1,4})M)?(?:(\d{1,4})W)?(?:(\d{1,5})D)?", re.ASCII)
NO_INTERVAL = "none"
MAX_YEARS = 100


@dataclass(frozen=True, slots=True)
class Interval:
    """A length of calendar time in whole months and days."""

    months: int
    days: int = 0

    def __str__(self) -> str:
        """The ISO 8601 duration that reads back to the same interval."""
        years, months = divmod(self.months, 12)
        return "P" + "".join(f"{n}{sign}" for n, sign in ((years, "Y"), (months, "M"), (self.days, "D")) if n)

    @property
    def words(self) -> str:
        """The interval as people say it: 3 months, 1 year, 2 weeks."""
        years, months = divmod(self.months, 12)
        weeks, days = divmod(self.days, 7) if self.days % 7 == 0 else (0, self.days)
        said = ((years, "year"), (months, "month"), (weeks, "week"), (days, "day"))
        return " ".join(f"{n} {noun}{'' if n == 1 else 's'}" for n, noun in said if n)


def parse_interval(text: str) -> Interval | None:
    """An ISO 8601 duration in years, months, weeks and days; None for `none`. Raises BadValue on anything else."""
    words = text.strip()
    if words.lower() == NO_INTERVAL:
        return None
    found = _FORM.fullmatch(words.upper())
    years, months, weeks, days = (int(group or 0) for group in found.groups()) if found else (0, 0, 0, 0)
    interval = Interval(12 * years + months, 7 * weeks + days)
    if interval == Interval(0) or interval.months > 12 * MAX_YEARS or interval.days > 366 * MAX_YEARS:
        raise BadValue(
            f"“{words[:40]}” is not an interval. Write it as P1Y (a year), P3M (three months), P2W or P10D.", "interval"
        )
    return interval


def after(start: date, interval: Interval, times: int = 1) -> date:
    """The date `times` intervals after `start`, counted from `start` itself. Raises BadValue past the year 9999."""
    year, month = divmod(start.year * 12 + start.month - 1 + interval.months * times, 12)
    try:
        day = min(start.day, monthrange(year, month + 1)[1])
        return date(year, month + 1, day) + timedelta(days=interval.days * times)
    except (ValueError, OverflowError):
        raise BadValue(f"{times} times {interval.words} after {start} is no date.", "interval") from None


def soonest(start: date, *intervals: Interval | None) -> date | None:
    """The earliest date that any of these intervals gives: a rule may be shortened, never lengthened."""
    return min((after(start, interval) for interval in intervals if interval is not None), default=None)
