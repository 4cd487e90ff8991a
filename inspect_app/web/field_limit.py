"""How often one device may ask: a bucket for each device and kind of request, so that a broken one disturbs none."""

import threading
from collections import OrderedDict
from datetime import datetime
from typing import NamedTuple

from flask import Response

from inspect_app.web.errors import answer

MOST_BUCKETS = 2_000


class Rate(NamedTuple):
    """At most `burst` requests at once, refilled by `a_minute` in a minute."""

    burst: int
    a_minute: int


RATES = {
    "entries": Rate(60, 120),
    "photo": Rate(120, 240),
    "pack": Rate(20, 30),
    "thumb": Rate(1_200, 1_200),
    "read": Rate(60, 120),
    "pair": Rate(10, 10),
    "feed": Rate(10, 6),  # by secret address of a calendar
    "feed_place": Rate(60, 60),  # by where requests for calendars come from
}
_lock = threading.Lock()
_buckets: OrderedDict[tuple[str, str], tuple[float, datetime]] = OrderedDict()


def take(kind: str, who: str, at: datetime) -> Response | None:
    """Count one request; a 429 answer when there were too many, else None."""
    rate = RATES[kind]
    with _lock:
        left, since = _buckets.pop((kind, who), (float(rate.burst), at))
        passed = max(0.0, (at - since).total_seconds())
        left = min(float(rate.burst), left + passed * rate.a_minute / 60)
        enough = left >= 1
        _buckets[kind, who] = (left - 1 if enough else left, at)
        while len(_buckets) > MOST_BUCKETS:
            _buckets.popitem(last=False)
    if enough:
        return None
    wait = max(1, round((1 - left) * 60 / rate.a_minute))
    message = f"Too many requests from this device. Wait {wait} s, then send again; nothing was lost on your side."
    refused = answer(429, "too_many", "Wait a little", message)
    refused.headers["Retry-After"] = str(wait)
    return refused


def forget_all() -> None:
    """Empty every bucket (for tests)."""
    with _lock:
        _buckets.clear()
