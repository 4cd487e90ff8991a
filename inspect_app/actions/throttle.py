"""Taking or refusing a try at a password or code, counted before it is checked so that many at once gain nothing."""

from datetime import datetime

from sqlite_utils import Database

from inspect_app.domain.errors import DomainError
from inspect_app.domain.throttle import DAILY_TRIES, DAY, FREE_TRIES, counts_still, wait_after
from inspect_app.store.db import write_transaction
from inspect_app.store.throttle import delete_failures, delete_old_failures, get_failures, set_failures

_SOURCE_FREE, _SOURCE_DAILY = 50, 500  # one address may stand for a whole house behind its router


class TooManyTries(DomainError):
    """No further try is taken yet. `wait_s` is the time until the next one."""

    def __init__(self, wait_s: int) -> None:
        minutes = -(-wait_s // 60)
        span = (
            f"{wait_s} seconds" if wait_s < 90 else f"{minutes} minutes" if minutes < 90 else f"{minutes // 60} hours"
        )
        super().__init__(
            f"Too many wrong tries. Wait {span}, or ask an administrator of your house for a one-time code."
        )
        self.wait_s = wait_s


def take_try(db: Database, at: datetime, key: str, source: str) -> None:
    """Count a try for the key and for the place it comes from. Raises TooManyTries."""
    with write_transaction(db):
        delete_old_failures(db, at - 2 * DAY)
        for counter, free, daily in ((key, FREE_TRIES, DAILY_TRIES), (f"source {source}", _SOURCE_FREE, _SOURCE_DAILY)):
            failures, wait_ends = get_failures(db, counter)
            if wait_ends is not None and at < wait_ends:
                raise TooManyTries(max(1, round((wait_ends - at).total_seconds())))
            if wait_ends is None or not counts_still(failures, wait_ends, at, daily):
                failures = 0
            set_failures(db, counter, failures + 1, at + wait_after(failures + 1, free, daily))


def forget_tries(db: Database, key: str) -> None:
    """The try was right: its counter starts anew."""
    with write_transaction(db):
        delete_failures(db, key)
