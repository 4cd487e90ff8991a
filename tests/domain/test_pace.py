"""Entries that came implausibly fast."""

from datetime import UTC, datetime, timedelta

from inspect_app.domain.checklist import Way
from inspect_app.domain.pace import pace_facts, pace_limits
from inspect_app.domain.walk import Look, LookResult

AT = datetime(2026, 3, 4, 19, 0, tzinfo=UTC)


def taps(*seconds: float, device: str = "d", parts: int = 1, result: str = "no_finding") -> list[Look]:
    return [
        Look(
            f"{device}-{second}-{part}", f"p{part}", "grid/static", "c", ("a",), LookResult(result),
            frozenset({Way.HEARD}), "ines", "Ines", AT + timedelta(seconds=second),
            device=device, device_name=device, tap=f"{device}-{second}",
        )
        for second in seconds
        for part in range(parts)
    ]  # fmt: skip


def test_five_stops_within_ten_seconds_are_not_mentioned_six_are() -> None:
    assert pace_facts(taps(0, 2, 4, 6, 8)) == ()
    (fact,) = pace_facts(taps(0, 2, 4, 6, 8, 10))
    assert (fact.stops, fact.seconds) == (6, 10)
    assert fact.words == "6 stops recorded without a finding within 10 seconds"


def test_a_tap_that_writes_eight_entries_is_one_stop() -> None:
    assert pace_facts(taps(0, 4, 8, 12, 16, parts=8)) == ()


def test_stops_of_two_devices_are_not_added_together() -> None:
    assert pace_facts(taps(0, 2, 4) + taps(1, 3, 5, device="e")) == ()


def test_findings_and_places_not_reached_do_not_make_a_pace() -> None:
    assert pace_facts(taps(0, 1, 2, 3, 4, 5, 6, result="not_reached")) == ()


def test_a_long_fast_stretch_is_told_once_from_its_first_to_its_last_stop() -> None:
    (fact,) = pace_facts(taps(*range(40)))
    assert (fact.stops, fact.seconds, fact.start, fact.end) == (40, 39, AT, AT + timedelta(seconds=39))


def test_two_stretches_with_a_rest_between_are_told_apart() -> None:
    assert len(pace_facts(taps(0, 1, 2, 3, 4, 5, 100, 101, 102, 103, 104, 105))) == 2


def test_a_house_sets_its_own_limits_and_nonsense_falls_back() -> None:
    assert pace_limits({"pace_stops": "8", "pace_seconds": "20"}) == (8, 20)
    assert pace_limits({"pace_stops": "-1", "pace_seconds": "soon"}) == (5, 10)
