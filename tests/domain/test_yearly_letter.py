"""The yearly letter: asked for is divided without a rest, told as it stood, with money that is exact."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import Deficiency, DeficiencyEvent, DeficiencyState
from inspect_app.domain.deficiency_register import register_rows
from inspect_app.domain.errors import BadValue
from inspect_app.domain.repair_policy import Cost, RepairPolicy, cost_sums
from inspect_app.domain.yearly_letter import MOST_NAMED, Period, YearlyLetter, read_period, state_on, yearly_letter

ZONE, TODAY = ZoneInfo("America/Chicago"), date(2026, 12, 31)
PERIOD = Period(date(2026, 1, 1), date(2026, 6, 30))
POLICY = RepairPolicy({Grade.STOP_USE: 0, Grade.RESTRICT: 30, Grade.REPAIR_BY: 180, Grade.WATCH: 365})
S = DeficiencyState


def noon(day: str) -> datetime:
    return datetime.fromisoformat(day).replace(hour=18, tzinfo=UTC)


def one(number: int, found: str = "2026-03-01", state: S = S.FOUND, **more: Any) -> Deficiency:
    return Deficiency(f"d{number}", "h", number, f"p{number}", "worn", Grade.RESTRICT, state, noon(found), **more)


def moved(*steps: tuple[S, str], **proof: str) -> list[DeficiencyEvent]:
    before, events = S.FOUND, []
    for to, day in steps:
        events.append(DeficiencyEvent(before.value, to.value, "i", "Ines", "", noon(day), "", proof))
        before = to
    return events


def letter(
    *found: Deficiency,
    moves: dict[str, list[DeficiencyEvent]] | None = None,
    costs: dict[str, list[Cost]] | None = None,
) -> YearlyLetter:
    sums = {key: cost_sums(rows) for key, rows in (costs or {}).items()}
    rows = register_rows(found, policy=POLICY, zone=ZONE, today=TODAY, costs=sums)
    return yearly_letter(rows, moves or {}, costs or {}, PERIOD, ZONE)


def test_the_state_on_a_day_follows_the_moves_by_the_houses_clock() -> None:
    events = moved((S.DECIDED, "2026-03-10"), (S.PUT_OFF, "2026-05-01"))
    days = {date(2026, 3, 9): S.FOUND, date(2026, 3, 10): S.DECIDED, date(2026, 5, 1): S.PUT_OFF}
    assert {day: state_on(events, day, ZONE) for day in days} == days
    late = [DeficiencyEvent("found", "decided", "i", "I", "", datetime(2026, 7, 1, 4, 59, tzinfo=UTC), "", {})]
    assert state_on(late, date(2026, 6, 30), ZONE) is S.DECIDED  # 23:59 in Chicago


@given(st.lists(st.tuples(st.integers(0, 900), st.lists(st.tuples(st.sampled_from(list(S)), st.integers(0, 900)),
                                                        max_size=4)), max_size=25))  # fmt: skip
def test_what_was_asked_for_is_divided_without_a_rest(drawn: list[tuple[int, list[tuple[S, int]]]]) -> None:
    start, found, moves = date(2025, 1, 1), [], {}
    for number, (day, steps) in enumerate(drawn, 1):
        found.append(one(number, str(start + timedelta(days=day))))
        order = sorted(steps, key=lambda step: step[1])
        moves[f"d{number}"] = moved(*((to, str(start + timedelta(days=on))) for to, on in order))
    told = letter(*found, moves=moves)
    parts = (told.granted, told.put_off.total, told.not_decided.total, told.covered, told.no_fault)
    assert sum(parts) == told.asked == sum(line.asked for line in told.grades)
    assert told.granted == told.settled + told.waiting + told.still_open.total
    assert told.granted == sum(line.granted for line in told.grades)


def test_what_was_found_later_or_closed_before_is_not_in_the_period() -> None:
    gone = moved((S.DECIDED, "2025-03-01"), (S.WORK_DONE, "2025-04-01"), (S.CHECKED, "2025-05-01"),
                 (S.SETTLED, "2025-12-31"))  # fmt: skip
    told = letter(one(1, "2026-07-01"), one(2, "2025-02-01", S.SETTLED), one(3, "2025-02-01"), moves={"d2": gone})
    assert told.asked == 1
    assert [row.number for row in told.not_decided.rows] == ["3"]


def test_a_repair_after_the_period_was_still_open_in_it() -> None:
    moves = {"d1": moved((S.DECIDED, "2026-04-01"), (S.WORK_DONE, "2026-08-01"))}
    told = letter(one(1, state=S.WORK_DONE), moves=moves)
    assert (told.granted, told.waiting, told.overdue) == (1, 0, 1)
    assert told.still_open.rows[0].words == "to be put right by 2026-03-31, overdue"


def test_a_put_off_says_until_when_and_by_whom() -> None:
    moves = {"d1": moved((S.PUT_OFF, "2026-04-01"), until="2027-01-01", decided_by="Odile", decision="no money")}
    assert letter(one(1, state=S.PUT_OFF), moves=moves).put_off.rows[0].words == "until 2027-01-01 by Odile: no money"


def test_money_is_paid_in_the_period_and_to_come_for_what_is_open() -> None:
    costs = {
        "d1": [Cost("estimate", Decimal("1000.10"), "USD", at=noon("2026-03-02")),
               Cost("paid", Decimal("200.05"), "USD", at=noon("2026-05-01"))],
        "d2": [Cost("paid", Decimal(70), "USD", at=noon("2025-12-31")), Cost("paid", Decimal(5), "EUR",
                                                                             at=noon("2026-06-30"))],
    }  # fmt: skip
    told = letter(one(1), one(2), one(3), costs=costs)
    assert [tuple(row) for row in told.money] == [("EUR", "5.00 EUR", "0.00 EUR"), ("USD", "200.05 USD", "800.05 USD")]
    assert told.without_estimate == 2


def test_what_came_again_is_told_with_its_number_and_long_lists_say_how_many_they_leave_out() -> None:
    before = one(1, "2025-06-01", S.SETTLED)
    again = one(2, again_of=1, again_of_id="d1", recurring=True)
    told = letter(before, again, *(one(n) for n in range(3, 3 + MOST_NAMED)))
    assert [row.number for row in told.recurring.rows] == ["2"]
    assert "after number 1; 2 times in all" in told.recurring.rows[0].words
    assert (len(told.not_decided.rows), told.not_decided.others) == (MOST_NAMED, 2)


@pytest.mark.parametrize(
    ("first", "last", "field"),
    [("x", "2026-01-01", "first"), ("2026-01-01", "", "last"), ("2026-02-01", "2026-01-01", "last"),
     ("2026-01-01", "2027-01-01", "last"), ("2020-01-01", "2026-01-01", "first")],
)  # fmt: skip
def test_a_period_that_cannot_be_is_refused_on_its_field(first: str, last: str, field: str) -> None:
    with pytest.raises(BadValue) as refused:
        read_period(first, last, TODAY)
    assert refused.value.field == field
