"""What of the blind spots is wanted: choices are checked, days must have been, and an address says it all again."""

from datetime import date

import pytest

from inspect_app.domain.blind_filter import BlindWanted, blind_wanted, check_day
from inspect_app.domain.blind_spot import BLIND, BlindKind
from inspect_app.domain.errors import BadValue

TODAY = date(2026, 2, 28)


def test_the_usual_wish_is_two_years_and_what_is_blind() -> None:
    wanted = blind_wanted({}, TODAY)
    assert wanted.since_day(TODAY) == date(2024, 2, 28)
    assert wanted.kinds() == BLIND
    assert wanted.as_query() == {}


def test_an_address_reads_back_as_it_was_written() -> None:
    given = {"since": "day", "day": "2020-01-01", "show": "not_reached", "sort": "oldest", "well": "w"}
    wanted = blind_wanted({**given, "unknown": "x"}, TODAY)
    assert wanted.as_query() == given
    assert blind_wanted(wanted.as_query(), TODAY) == wanted
    assert wanted.since_day(TODAY) == date(2020, 1, 1)
    assert wanted.kinds() == {BlindKind.NOT_REACHED}


def test_ever_has_no_day_and_all_has_every_kind() -> None:
    wanted = BlindWanted(since="ever", show="all")
    assert wanted.since_day(TODAY) is None
    assert wanted.kinds() == frozenset(BlindKind)


@pytest.mark.parametrize(
    "given", [{"since": "7"}, {"show": "best"}, {"sort": "score"}, {"since": "day"}, {"since": "day", "day": "2024"}]
)
def test_what_is_no_choice_is_refused_by_name(given: dict[str, str]) -> None:
    with pytest.raises(BadValue):
        blind_wanted(given, TODAY)


@pytest.mark.parametrize("text", ["2026-03-01", "1899-12-31", "yesterday", ""])
def test_a_day_must_have_been(text: str) -> None:
    with pytest.raises(BadValue):
        check_day(text, TODAY, "day")
