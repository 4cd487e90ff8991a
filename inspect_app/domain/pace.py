"""Entries that came implausibly fast, told as a plain fact: nobody is accused and nothing is blocked."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import NamedTuple

from inspect_app.domain.walk import Look, LookResult

MOST_STOPS = 5
WITHIN_SECONDS = 10


class PaceFact(NamedTuple):
    """One device recorded `stops` stops of the walk without a finding from `start` to `end`."""

    device: str
    start: datetime
    end: datetime
    stops: int
    seconds: int
    words: str


def pace_limits(settings: Mapping[str, str]) -> tuple[int, int]:
    """(stops, seconds) from the house's settings `pace_stops` and `pace_seconds`, or the defaults."""
    found = []
    for key, usual in (("pace_stops", MOST_STOPS), ("pace_seconds", WITHIN_SECONDS)):
        text = str(settings.get(key, "")).strip()
        found.append(int(text) if text.isascii() and text.isdigit() and int(text) > 0 else usual)
    return found[0], found[1]


def pace_facts(looks: Iterable[Look], most: int = MOST_STOPS, within_s: int = WITHIN_SECONDS) -> tuple[PaceFact, ...]:
    """Stretches in which one device recorded more than `most` stops without a finding within `within_s` seconds.

    One tap at a stop of the walk writes an entry for each part there; it counts once. Stretches that overlap are one.
    """
    by_device: dict[tuple[str, str], dict[str, datetime]] = {}
    for look in looks:
        if look.result is LookResult.NO_FINDING and look.adds_to is None:
            taps = by_device.setdefault((look.device, look.device_name), {})
            tap = look.tap or look.entry
            taps[tap] = min(look.at, taps.get(tap, look.at))
    facts = [
        fact
        for (_, name), taps in by_device.items()
        for fact in _runs(name, sorted(taps.values()), most, timedelta(seconds=within_s))
    ]
    return tuple(sorted(facts, key=lambda fact: (fact.start, fact.device)))


def _runs(device: str, times: Sequence[datetime], most: int, within: timedelta) -> list[PaceFact]:
    spans: list[list[int]] = []
    for first in range(len(times) - most):
        if times[first + most] - times[first] <= within:
            if spans and first <= spans[-1][1]:
                spans[-1][1] = first + most
            else:
                spans.append([first, first + most])
    return [_fact(device, times[a], times[b], b - a + 1) for a, b in spans]


def _fact(device: str, start: datetime, end: datetime, stops: int) -> PaceFact:
    seconds = -(-(end - start) // timedelta(seconds=1))  # rounded up
    words = f"{stops} stops recorded without a finding within {seconds} second{'s' if seconds != 1 else ''}"
    return PaceFact(device, start, end, stops, seconds, words)
