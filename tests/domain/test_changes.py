"""What changed: the worse of two people counts, a repair starts anew, a measure moves only beyond its gauge's step."""

from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.domain.changes import (
    Change,
    ChangeKind,
    Rated,
    Told,
    grouped,
    measure_change,
    rating_changes,
    standing_rating,
    standing_ratings,
    worst_told,
)
from inspect_app.domain.criteria import Consequence, Op
from inspect_app.domain.judge import Limit
from inspect_app.domain.measure_history import Series, SeriesKey, TakenMeasure

THEN, UNTIL, NOW, LATER = date(2024, 3, 1), date(2025, 1, 1), date(2025, 6, 1), date(2025, 7, 1)


def rated(wear: int, on: date, by: str = "wren") -> Rated:
    return Rated("LB", "groove", wear, on, by, by.capitalize())


def test_a_later_better_of_another_person_does_not_hide_the_worse() -> None:
    (change,) = rating_changes([rated(1, THEN), rated(3, NOW), rated(1, LATER, "petra")], UNTIL, {})
    assert (change.kind, change.before, change.after) == (ChangeKind.WORSE, 1, 3)
    assert "rated 1 by Petra on 2025-07-01: the worse counts" in change.words


def test_the_same_person_may_take_their_own_rating_back() -> None:
    (change,) = rating_changes([rated(2, THEN), rated(3, NOW), rated(1, LATER)], UNTIL, {})
    assert (change.kind, change.after) == (ChangeKind.BETTER, 1)


def test_what_was_rated_before_a_repair_says_nothing_after_it() -> None:
    ratings = [rated(2, THEN), rated(4, NOW, "petra"), rated(0, LATER)]
    (change,) = rating_changes(ratings, UNTIL, {("LB", "groove"): [LATER]})
    assert (change.kind, change.after) == (ChangeKind.BETTER, 0)


def test_a_repair_at_another_point_leaves_a_rating_as_it_is() -> None:
    ratings = [rated(2, THEN), rated(4, NOW, "petra"), rated(0, LATER)]
    (change,) = rating_changes(ratings, UNTIL, {("LB", "label"): [LATER]})
    assert (change.kind, change.after) == (ChangeKind.WORSE, 4)


def test_a_rating_from_before_stands_until_who_gave_it_says_otherwise() -> None:
    ratings = [rated(3, THEN), rated(1, NOW, "petra")]
    (change,) = rating_changes(ratings, UNTIL, {})
    assert (change.kind, change.before, change.after, change.after_on) == (ChangeKind.STILL_THERE, 3, 3, NOW)
    assert "rated 1 by Petra on 2025-06-01: the worse counts" in change.words
    assert rating_changes([*ratings, rated(1, LATER, "petra")], NOW, {}) == []  # said before, and known then
    (taken_back,) = rating_changes([*ratings, rated(1, LATER)], UNTIL, {})
    assert (taken_back.kind, taken_back.after) == (ChangeKind.BETTER, 1)


def test_what_stood_on_a_day_of_the_past_knows_no_later_rating_or_repair() -> None:
    ratings, settled = [rated(3, THEN), rated(1, LATER)], {("LB", "groove"): [NOW]}
    assert standing_ratings(ratings, settled, UNTIL)["LB", "groove"].wear == 3
    assert standing_ratings(ratings, settled, NOW) == {}
    assert standing_ratings(ratings, settled)["LB", "groove"].wear == 1


def test_nothing_to_compare_is_no_change() -> None:
    assert rating_changes([rated(1, THEN)], UNTIL, {}) == []
    assert rating_changes([rated(1, NOW)], UNTIL, {}) == []
    assert rating_changes([rated(2, THEN), rated(2, NOW)], UNTIL, {}) == []


@settings(max_examples=60)
@given(
    st.lists(
        st.tuples(st.integers(0, 4), st.integers(0, 300), st.sampled_from(["wren", "petra", "tobias"])),
        min_size=1,
        max_size=8,
    )
)
def test_the_standing_rating_is_no_better_than_what_anybody_said_last(rows: list[tuple[int, int, str]]) -> None:
    ratings = [rated(wear, NOW + timedelta(days=day), by) for wear, day, by in rows]
    found = standing_rating(ratings)
    for person in {one.by for one in ratings}:
        own = [one for one in ratings if one.by == person]
        last = max(one.on for one in own)
        assert found.wear >= max(one.wear for one in own if one.on == last)
    assert found in ratings


LIMIT = Limit(
    rule="r", op=Op.LESS_THAN, value=Fraction("0.2375"), unit="in", consequence=Consequence.LOAD_PATH, basis="",
    window="", source="s", document="Doc", source_title="Doc", authority="a", clause="1", mark="read", applies_to="",
    by_analogy=False,
)  # fmt: skip


def measures(*rows: tuple[str, date], step: str = "0.001") -> Series:
    taken = tuple(
        TakenMeasure(f"e{n}", "LL", None, on, "d", "rope_diameter", value, "in", resolution=step, gauge="C1")
        for n, (value, on) in enumerate(rows)
    )
    return Series("LL", SeriesKey("d", "rope_diameter", "length", "", "caliper", ""), "in", "", "caliper", "", taken)


@pytest.mark.parametrize(
    ("now", "limits", "kind"),
    [
        ("0.247", [LIMIT], ChangeKind.WORSE),
        ("0.253", [LIMIT], ChangeKind.BETTER),
        ("0.249", [LIMIT], None),  # one step says nothing
        ("0.251", [LIMIT], None),
        ("0.247", [], ChangeKind.MOVED),
    ],
)
def test_a_measure_changed_when_it_moved_by_more_than_the_step(
    now: str, limits: list[Limit], kind: ChangeKind | None
) -> None:
    change = measure_change(measures(("0.250", THEN), (now, NOW)), limits, UNTIL)
    assert (change.kind if change else None) is kind


def test_the_worst_measure_since_then_counts_not_the_newest() -> None:
    change = measure_change(measures(("0.250", THEN), ("0.236", NOW), ("0.249", LATER)), [LIMIT], UNTIL)
    assert change is not None
    assert (change.kind, change.after.value) == (ChangeKind.WORSE, "0.236")
    assert "the newest measure reads 0.249 in (2025-07-01): the worse counts" in change.words
    assert "outside the cited criterion" in change.words


def test_worse_before_still_there_before_not_seen_now() -> None:
    told = [
        Told("d", "not_seen_now", "watch", LATER, "Petra"),
        Told("d", "worse", "restrict", NOW, "Wren"),
        Told("d", "still_there", "watch", LATER, "Petra"),
    ]
    found = worst_told(told)
    assert found is not None
    assert found.answer == "worse"
    assert worst_told([]) is None


def test_groups_follow_the_sets_and_the_house_comes_last() -> None:
    made = [
        Change(ChangeKind.ALTERED, "The house", "x", NOW),
        Change(ChangeKind.BETTER, "a", "x", NOW, line_set="2"),
        Change(ChangeKind.WORSE, "b", "x", NOW, line_set="2"),
        Change(ChangeKind.NEW, "c", "x", NOW, line_set="1"),
        Change(ChangeKind.NEW, "d", "x", NOW, line_set="gone"),
    ]
    groups = grouped(made, [("1", "Set 1"), ("2", "Set 2")])
    assert [group.title for group in groups[:2]] == ["Set 1", "Set 2"]
    assert [one.kind for one in groups[1].changes] == [ChangeKind.WORSE, ChangeKind.BETTER]
    assert sum(len(group.changes) for group in groups) == len(made)
