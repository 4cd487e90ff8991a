"""What a series says in words: the next look is never put later than it is due, and no late end has a word."""

from datetime import timedelta

import pytest

from inspect_app.domain.measure_history import Outlook
from inspect_app.domain.trend import Trend
from inspect_app.domain.trend_words import (
    METHOD,
    description,
    direction_words,
    measure_rows,
    next_words,
    since_first_words,
)
from tests.domain.test_measure_history import START, WEARING, limit, outlook, taken


@pytest.fixture
def wearing() -> Outlook:
    found = outlook(taken(WEARING), limit("0.2400"))
    assert found.before is not None
    return found


def test_the_next_look_is_named_until_its_day_comes_and_is_due_from_then_on(wearing: Outlook) -> None:
    before, last = wearing.before or START, wearing.last_look or START
    by = last + timedelta(((before - last).days - 1) // 2)
    assert next_words(wearing, last) == (
        f"Next look by {by}, or sooner where its checklist asks, so that two fall before that day."
    )
    for day in (by, before - timedelta(1)):
        assert next_words(wearing, day) == "The next look is due now, so that two fall before that day."
    for day in (before, before + timedelta(400)):
        assert next_words(wearing, day) == "That day has come: look at it now."


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ("0.012", ""), ("0.012 0.012", "as at the first measure, 2024-01-10"),
        ("0.012 0.03 0.015", "0.003 in more than at the first measure, 2024-01-10"),
        ("0.012 0.011", "0.001 in less than at the first measure, 2024-01-10"),
    ],
)  # fmt: skip
def test_a_measure_without_a_limit_is_told_against_its_own_first_one(values: str, said: str) -> None:
    """No document that was read limits side play or alignment: the house's own first measure is what there is."""
    assert since_first_words(outlook(taken(values)).series) == said


def test_without_a_date_no_next_look_is_named() -> None:
    assert next_words(outlook(taken(WEARING), limit("0.2475")), START) == ""
    assert next_words(outlook(taken("0.25")), START) == ""


def test_no_words_speak_of_a_life_or_of_what_remains(wearing: Outlook) -> None:
    assert isinstance(wearing.trend, Trend)
    said = " ".join(
        [wearing.words, wearing.look_again, METHOD, description(wearing), direction_words(wearing.trend, "in"),
         next_words(wearing, START), *(one.words for one in wearing.limits),
         *(f"{row.remark}" for row in measure_rows(wearing.series))]
    ).casefold()  # fmt: skip
    for word in ("life", "remain", "latest", "will reach", "safe", "expire"):
        assert word not in said
