"""What the marks of the plan say: ages at their edges, the gravest first, and nothing made milder than the record."""

from datetime import date

import pytest

from inspect_app.domain.blind_spot import BLIND, BlindKind, BlindSpot
from inspect_app.domain.checklist import Grade, Way
from inspect_app.domain.plan_view import (
    QUIET,
    VIEWS,
    Look,
    PlanFacts,
    action_view,
    age_band,
    blind_view,
    condition_view,
    look_view,
    wear_view,
)

TODAY = date(2026, 6, 1)


def facts(**known) -> PlanFacts:
    given = {"day": TODAY, "looks": {}, "grades": {}, "wear": {}, "stopped": {}, "blind": {}}
    return PlanFacts(**(given | known))


@pytest.mark.parametrize(
    ("day", "band"),
    [(date(2026, 6, 1), 0), (date(2025, 6, 1), 0), (date(2025, 5, 31), 1), (date(2024, 6, 1), 1),
     (date(2024, 5, 31), 2), (date(2021, 6, 1), 2), (date(2021, 5, 31), 3), (date(2010, 1, 1), 3)],
)  # fmt: skip
def test_a_look_on_the_very_day_still_belongs_to_the_newer_band(day, band) -> None:
    assert age_band(day, TODAY) == band


def test_the_open_grade_counts_before_a_look_that_found_nothing() -> None:
    view = condition_view(facts(looks={"a": Look("no_finding", TODAY, TODAY)}, grades={"a": (Grade.STOP_USE, (4, 7))}))
    assert view.mark_of("a").code == "stop_use"
    assert view.mark_of("a").words == "stop use: deficiencies 4, 7"
    assert view.mark_of("a").rank == 0


def test_a_finding_that_is_settled_is_said_to_be_looked_at_with_nothing_open() -> None:
    mark = condition_view(facts(looks={"a": Look("finding", TODAY, TODAY)})).mark_of("a")
    assert (mark.code, mark.words) == ("no_finding", "looked at, nothing open, 2026-06-01")


def test_a_part_that_nobody_looked_at_is_never_shown_as_sound() -> None:
    for key in ("condition", "look", "blind"):
        assert VIEWS[key](facts()).mark_of("nobody").code in ("not_looked_at", "never_recorded")


def test_a_part_missed_since_keeps_its_last_real_look_and_says_so() -> None:
    look = Look("not_reached", TODAY, date(2022, 1, 1), Way.HANDLED)
    mark = look_view(facts(looks={"a": look})).mark_of("a")
    assert mark.code == "handled-2"
    assert "not reached on 2026-06-01" in mark.words


@pytest.mark.parametrize("way", list(Way))
def test_each_way_has_its_shape_and_each_age_its_filling(way) -> None:
    days = (TODAY, date(2025, 1, 1), date(2023, 1, 1), date(2019, 1, 1))
    view = look_view(facts(looks={str(n): Look("no_finding", day, day, way) for n, day in enumerate(days)}))
    marks = [view.mark_of(str(n)) for n in range(4)]
    assert [mark.code for mark in marks] == [f"{way.value}-{n}" for n in range(4)]
    assert sorted(marks, key=lambda mark: mark.rank) == marks[::-1]  # older is graver


def test_grades_and_ratings_rank_by_gravity_and_never_by_how_many() -> None:
    grades = {"one": (Grade.STOP_USE, (1,)), "many": (Grade.WATCH, tuple(range(2, 30)))}
    for view in (action_view(facts(grades=grades)), condition_view(facts(grades=grades))):
        assert view.mark_of("one").rank < view.mark_of("many").rank < QUIET
    wear = wear_view(facts(wear={"a": (4, TODAY), "b": (1, TODAY)}))
    assert wear.mark_of("a").rank < wear.mark_of("b").rank < wear.mark_of("never").rank


@pytest.mark.parametrize("kind", list(BlindKind))
def test_a_blind_spot_is_drawn_above_what_was_handled(kind) -> None:
    mark = blind_view(facts(blind={"a": BlindSpot("a", kind, None, "words")})).mark_of("a")
    assert (mark.rank < QUIET) == (kind in BLIND)
    assert (mark.words == "words") == (kind in BLIND)  # what was handled needs no day of its own beside the picture
