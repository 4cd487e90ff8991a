"""How long to wait after wrong passwords: a few free tries, then ever longer, at most twenty in a day."""

from datetime import datetime, timedelta

FREE_TRIES = 5
DAILY_TRIES = 20
_LONGEST_S = 900
DAY = timedelta(days=1)


def wait_after(failures: int, free: int = FREE_TRIES, daily: int = DAILY_TRIES) -> timedelta:
    """The wait before the next try after so many wrong ones: none, then 1, 2, 4 ... 900 s, then a day."""
    if failures < free:
        return timedelta()
    if failures >= daily:
        return DAY
    return timedelta(seconds=min(_LONGEST_S, 2 ** (failures - free)))


def counts_still(failures: int, wait_ends: datetime, at: datetime, daily: int = DAILY_TRIES) -> bool:
    """Whether earlier wrong tries still count: until the day's wait is over, or a day after the last wait."""
    return at < wait_ends or (failures < daily and at - wait_ends < DAY)
