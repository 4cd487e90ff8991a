"""Patterns of not looking add up, and are told only where the record holds them."""

from dataclasses import replace
from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.domain.blind_pattern import (
    PartOnWalk,
    Share,
    SoundRecord,
    WalkedScope,
    always_in_full_minutes,
    skipped_places,
    stops_in_a_minute,
    unanswered_points,
)
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.walk import Scope
from tests.domain.test_coverage import LIST as CHECKLIST

DAY = date(2024, 5, 1)


def block(line: int, well: str = "W1", line_set: str = "s1") -> Part:
    return Part(f"{line_set}-{line}", "h", "grid", PartKind.LOFT_BLOCK, f"LB {line_set}-{line}", line_set, line, well)


def walk(name: str, year: int = 2024, sets: frozenset[str] | None = None) -> WalkedScope:
    return WalkedScope(name, date(year, 5, 1), Scope((), sets), (CHECKLIST,))


def test_the_usual_rule_on_pace_lets_thirty_stops_in_a_minute_pass() -> None:
    assert stops_in_a_minute() == 30
    assert stops_in_a_minute(10, 20) == 30


def test_only_a_part_whose_every_minute_was_full_is_told() -> None:
    full = SoundRecord("p", "Wren", 4, 31, 60, DAY, DAY)
    rows = [full, full._replace(least=30), full._replace(walks=1, least=90)]
    assert always_in_full_minutes(rows, 30) == [full]
    assert "each of 4 walks" in full.words
    assert "31 to 60 stops" in full.words


@settings(max_examples=50)
@given(st.lists(st.sampled_from(["looked", "missed", "none", "not_applicable"]), min_size=1, max_size=12))
def test_shares_of_a_well_add_up_over_the_years(said: list[str]) -> None:
    walks = [walk(f"w{n}", 2020 + n % 3) for n in range(len(said))]
    rows = [
        PartOnWalk(f"w{n}", "s1-1", what == "looked", what == "missed") for n, what in enumerate(said) if what != "none"
    ]
    (place,) = skipped_places([block(1)], walks, rows, {"s1": 6}, {})
    assert place.total == Share(len(said), said.count("missed"), said.count("none"))
    assert sum(share.asked for share in place.years.values()) == len(said)
    assert (place.well, place.line, place.lines) == ("W1", 1, 6)


def test_a_walk_of_other_sets_or_before_the_part_was_there_asks_nothing() -> None:
    walks = [walk("a", sets=frozenset({"s2"})), walk("b", 2020), walk("c")]
    (place,) = skipped_places([block(1)], walks, [], {"s1": 2}, {"s1-1": date(2022, 1, 1)})
    assert place.total == Share(1, 0, 1)


def test_the_most_skipped_place_comes_first() -> None:
    parts = [block(1), block(2, "W2")]
    rows = [PartOnWalk("a", "s1-1", True, False), PartOnWalk("a", "s1-2", False, True)]
    places = skipped_places(parts, [walk("a")], rows, {"s1": 2}, {})
    assert [place.well for place in places] == ["W2", "W1"]
    assert places[0].total.words == "1 not reached of 1 (100 %)"
    assert places[1].total.words == "all 1 looked at"


def test_a_point_is_missing_for_the_parts_that_never_answered_it() -> None:
    parts = [block(1), block(2)]
    points = {point.id for point in CHECKLIST.points_for(PartKind.LOFT_BLOCK)}
    assert unanswered_points(parts, [CHECKLIST], {part.id: frozenset(points) for part in parts}) == []
    rows = unanswered_points(parts, [CHECKLIST], {parts[0].id: frozenset(points)})
    assert {row.point for row in rows} == points
    assert all(row.parts == (parts[1],) and row.asked == 2 and not row.nowhere for row in rows)
    twice = unanswered_points(parts, [CHECKLIST, replace(CHECKLIST, id="other", title="Other")], {})
    assert len(twice) == len(points)
    assert all(row.nowhere and row.checklist == CHECKLIST.title for row in twice)
