"""Restrictions and temporary measures: what each must say, and that a grade rises by itself after the last day."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.checklist import GRADE_RANK, Grade
from inspect_app.domain.errors import BadValue
from inspect_app.domain.restriction import (
    Restriction,
    RestrictionKind,
    check_restriction,
    is_expired,
    limit_words,
    risen_grade,
)

TODAY = date(2026, 3, 4)
GOOD = {"what": "cheek bent", "load_limit": "100 kg", "travel_limit": "below 18 ft", "who": "Ines Halloran"}


def one(kind: RestrictionKind, until: date, ended: bool = False) -> Restriction:
    at = datetime(2026, 3, 1, tzinfo=UTC)
    return Restriction(
        id="r", house="h", kind=kind, line_set="s", area=None, part=None, deficiency="d", until=until,
        recheck_on=until, by_name="", at=at, ended_at=at if ended else None, **GOOD,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "gone", "field"),
    [
        (RestrictionKind.LIMIT, ("what",), "what"),
        (RestrictionKind.LIMIT, ("who",), "who"),
        (RestrictionKind.LIMIT, ("until",), "until"),
        (RestrictionKind.LIMIT, ("load_limit", "travel_limit"), "load_limit"),
        (RestrictionKind.MEASURE, ("what",), "what"),
        (RestrictionKind.MEASURE, ("load_limit",), "load_limit"),
        (RestrictionKind.MEASURE, ("who",), "who"),
        (RestrictionKind.MEASURE, ("until",), "until"),
        (RestrictionKind.MEASURE, ("recheck_on",), "recheck_on"),
    ],
)
def test_each_kind_is_refused_without_what_it_must_say(
    kind: RestrictionKind, gone: tuple[str, ...], field: str
) -> None:
    days = {"until": TODAY + timedelta(days=9), "recheck_on": TODAY + timedelta(days=3)}
    texts = {key: "" if key in gone else text for key, text in GOOD.items()}
    check_restriction(kind, GOOD, **days, today=TODAY)
    with pytest.raises(BadValue) as refused:
        check_restriction(kind, texts, **{key: None if key in gone else day for key, day in days.items()}, today=TODAY)
    assert refused.value.field == field


def test_a_limit_on_load_or_on_travel_alone_is_enough() -> None:
    for gone in ("load_limit", "travel_limit"):
        check_restriction(RestrictionKind.LIMIT, {**GOOD, gone: ""}, TODAY, None, TODAY)


def test_it_holds_through_its_last_day_and_no_longer() -> None:
    for kind in RestrictionKind:
        assert not is_expired(one(kind, TODAY), TODAY)
        assert is_expired(one(kind, TODAY), TODAY + timedelta(days=1))
        assert not is_expired(one(kind, TODAY, ended=True), TODAY + timedelta(days=1))


def test_an_expired_measure_raises_each_grade_by_one_and_an_expired_limit_stops_use() -> None:
    late = TODAY + timedelta(days=1)
    steps = [Grade.WATCH, Grade.REPAIR_BY, Grade.RESTRICT, Grade.STOP_USE]
    for grade, raised in zip(steps, [*steps[1:], Grade.STOP_USE], strict=True):
        assert risen_grade(grade, [one(RestrictionKind.MEASURE, TODAY)], late) is raised
        assert risen_grade(grade, [one(RestrictionKind.MEASURE, TODAY)], TODAY) is grade
        assert risen_grade(grade, [one(RestrictionKind.LIMIT, TODAY)], late) is Grade.STOP_USE


@given(
    grade=st.sampled_from(Grade),
    rows=st.lists(st.tuples(st.sampled_from(RestrictionKind), st.integers(-40, 40), st.booleans()), max_size=4),
    later=st.integers(0, 60),
)
def test_a_grade_never_falls_as_days_go_by(
    grade: Grade, rows: list[tuple[RestrictionKind, int, bool]], later: int
) -> None:
    held = [one(kind, TODAY + timedelta(days=day), ended) for kind, day, ended in rows]
    now, then = risen_grade(grade, held, TODAY), risen_grade(grade, held, TODAY + timedelta(days=later))
    assert GRADE_RANK[grade] <= GRADE_RANK[now] <= GRADE_RANK[then]


def test_the_words_of_a_limit_name_load_travel_who_and_until() -> None:
    text = limit_words(one(RestrictionKind.LIMIT, TODAY))
    for words in ("cheek bent", "load 100 kg", "travel below 18 ft", "used only by Ines Halloran", "until 2026-03-04"):
        assert words in text
