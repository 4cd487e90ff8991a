"""Second looks: the draw can be repeated, the share is kept, and agreement comes with its interval."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binomtest

from inspect_app.domain.checklist import Grade, Way
from inspect_app.domain.errors import BadValue
from inspect_app.domain.second_look import (
    SecondLook,
    agreements,
    answers_of,
    candidates,
    draw,
    percent_of,
    read_percent,
    wilson,
)
from inspect_app.domain.walk import Countersign, Finding, How, Look, LookResult
from tests.published import published

AT = datetime(2026, 5, 4, 10, tzinfo=UTC)


def a_look(entry: str = "e1", by: str = "ines", **changes: object) -> Look:
    look = Look(
        entry=entry, part="p1", in_pass="grid/static", checklist="c", points=("groove", "cheeks"),
        result=LookResult.NO_FINDING, ways=frozenset({Way.SEEN_CLOSE}), by=by, by_name=by, at=AT,
    )  # fmt: skip
    return replace(look, **changes)  # type: ignore[arg-type]


def a_finding(point: str = "groove", answer: str = "new") -> Finding:
    return Finding("f", "e2", "p1", point, "", "", answer, None, Grade.WATCH, "", "", None, "")


SECOND = SecondLook("s", "w1", "e1", "p1", "grid/static", ("groove", "cheeks"), ("ines", "ned"), AT)
LATER = AT + timedelta(days=30)


@pytest.mark.parametrize(("typed", "kept"), [("2", "2"), ("0", "0"), ("2,50 %", "2.5"), ("20", "20"), ("0.0", "0")])
def test_a_share_is_read_as_people_type_it(typed: str, kept: str) -> None:
    assert read_percent(typed) == kept


@pytest.mark.parametrize("typed", ["", "two", "-1", "20.1", "NaN", "Infinity", "1e9"])
def test_a_share_that_cannot_be_is_refused(typed: str) -> None:
    with pytest.raises(BadValue, match="0 draws nothing"):
        read_percent(typed)


def test_a_house_that_set_nothing_draws_two_percent() -> None:
    assert percent_of({}) == "2"
    assert percent_of({"second_look_percent": "0"}) == "0"


@given(seed=st.binary(min_size=32, max_size=32), count=st.integers(0, 400))
@settings(max_examples=40, deadline=None)
def test_a_draw_is_the_same_each_time_and_turns_on_no_other_entry(seed: bytes, count: int) -> None:
    entries = [f"entry-{n}" for n in range(count)]
    drawn = draw(seed, "10", entries)
    assert drawn == draw(seed, "10", entries)
    assert set(drawn) == {one for one in entries if draw(seed, "10", [one])}
    assert set(draw(seed, "2", entries)) <= set(drawn)
    assert draw(seed, "0", entries) == ()


def test_the_share_drawn_is_the_share_set() -> None:
    """2 % of 100,000, by the exact binomial test; the seed is fixed."""
    drawn = len(draw(b"\x07" * 32, "2", [str(n) for n in range(100_000)]))
    assert binomtest(drawn, 100_000, 0.02).pvalue > 0.0001


def test_only_sound_looks_that_stand_and_count_can_be_drawn() -> None:
    fit = a_look("a")
    waits = a_look("b", needs_countersign=True)
    signed = a_look("c", needs_countersign=True, countersigns=(Countersign("t", "T", How.BESIDE_THEM, AT),))
    found = a_look("d", result=LookResult.FINDING, findings=(a_finding(),))
    missed = a_look("e", result=LookResult.NOT_REACHED, points=())
    replaced = a_look("f", replaced_by=("a",))
    added_to, addition = a_look("g"), a_look("h", adds_to="g")
    looks = [addition, added_to, replaced, missed, found, signed, waits, fit]
    assert [look.entry for look in candidates(looks)] == ["a", "c"]


def test_another_person_on_a_later_walk_answers_point_by_point() -> None:
    second = a_look("e2", by="tom", at=LATER, points=("groove",), result=LookResult.FINDING, findings=(a_finding(),))
    (answer,) = answers_of(SECOND, "w2", [second], {})
    assert (answer.point, answer.agrees) == ("groove", False)
    sound = a_look("e3", by="tom", at=LATER)
    assert [one.agrees for one in answers_of(SECOND, "w2", [sound], {})] == [True, True]


@pytest.mark.parametrize(
    "look",
    [
        a_look("x", by="ines", at=LATER),
        a_look("x", by="ned", at=LATER),
        a_look("x", by="tom", at=AT),
        a_look("x", by="tom", at=LATER, part="p2"),
        a_look("x", by="tom", at=LATER, in_pass="deck/static"),
        a_look("x", by="tom", at=LATER, needs_countersign=True),
        a_look("x", by="tom", at=LATER, result=LookResult.NOT_REACHED, points=()),
    ],
    ids=["the first", "who stood by", "not later", "another part", "another pass", "does not count", "not reached"],
)
def test_what_is_no_second_look_answers_nothing(look: Look) -> None:
    assert answers_of(SECOND, "w2", [look], {}) == ()


@pytest.mark.parametrize("people", [("tom", "ines"), ("tom", "ned")], ids=["called by the first", "beside the first"])
def test_who_had_a_part_in_the_first_look_has_none_in_the_second(people: tuple[str, ...]) -> None:
    sound = a_look("x", by="tom", at=LATER)
    assert answers_of(SECOND, "w2", [sound], {"x": people}) == ()
    assert len(answers_of(SECOND, "w2", [sound], {"x": ("tom", "kit")})) == 2


def test_the_same_walk_answers_nothing_and_what_is_not_seen_now_agrees() -> None:
    sound = a_look("e3", by="tom", at=LATER, findings=(a_finding(answer="not_seen_now"),))
    assert answers_of(SECOND, "w1", [sound], {}) == ()
    assert [one.agrees for one in answers_of(SECOND, "w2", [sound], {})] == [True, True]


@published(
    "Agreement of second looks", "scipy.stats.binomtest, proportion_ci", "method wilson (Wilson 1927)", "library",
    names="k, n",
    rows=[(k, n) for n in (1, 5, 17, 60, 400) for k in sorted({0, 1, n // 3, n - 1, n})],
    what="95 % interval for {k} of {n}", value="both ends to 1e-12",
)  # fmt: skip
def test_published_interval_is_wilsons(k: int, n: int) -> None:
    expected = binomtest(k, n).proportion_ci(0.95, method="wilson")
    assert wilson(k, n) == pytest.approx((expected.low, expected.high), abs=1e-12)


def test_nothing_counted_says_nothing() -> None:
    assert wilson(0, 0) == (0.0, 1.0)
    with pytest.raises(ValueError, match="between 0"):
        wilson(3, 2)


@given(st.lists(st.tuples(st.sampled_from("abc"), st.booleans()), max_size=60))
@settings(max_examples=40)
def test_counts_add_up_and_the_share_lies_in_its_interval(answers: list[tuple[str, bool]]) -> None:
    rows = agreements(answers)
    assert sum(row.of for row in rows) == len(answers)
    assert all(0 <= row.low <= row.agree / row.of <= row.high <= 1 for row in rows)
