"""The house's days per grade, the day a deficiency is due, and exact money."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import OPEN_STATES, Deficiency, DeficiencyState
from inspect_app.domain.errors import BadValue
from inspect_app.domain.repair_policy import (
    Cost,
    cost_sums,
    default_due,
    due_of,
    is_overdue,
    money,
    parse_repair_days,
    policy_of,
    policy_settings,
    read_amount,
)
from inspect_app.store.reference import reference_at

CHICAGO = ZoneInfo("America/Chicago")
DAYS = {Grade.STOP_USE: 0, Grade.RESTRICT: 30, Grade.REPAIR_BY: 180, Grade.WATCH: 365}
POLICY = policy_of({}, DAYS)


def row(state: DeficiencyState = DeficiencyState.FOUND, grade: Grade = Grade.RESTRICT, **more: str) -> Deficiency:
    at = datetime(2026, 3, 5, 3, tzinfo=UTC)  # the evening of the fourth in Chicago
    return Deficiency("d", "h", 1, "p", "what", grade, state, at, **more)  # type: ignore[arg-type]


def test_the_shipped_days_are_there_for_each_grade_and_the_graver_has_fewer() -> None:
    shipped = reference_at(shared_dir()).repair_days
    order = [shipped[g] for g in (Grade.STOP_USE, Grade.RESTRICT, Grade.REPAIR_BY, Grade.WATCH)]
    assert order == sorted(order)
    assert shipped[Grade.STOP_USE] == 0


def test_a_missing_figure_is_a_problem_of_the_file() -> None:
    found, problems = parse_repair_days({"repair_days": {"days": {"stop_use": "0", "watch": "soon"}}})
    assert found == {Grade.STOP_USE: 0}
    assert len(problems) == 1
    assert parse_repair_days({})[1]


def test_days_count_from_the_day_of_finding_in_the_house() -> None:
    assert default_due(POLICY, Grade.RESTRICT, row().found_at, CHICAGO) == date(2026, 4, 3)
    assert due_of(row(due_on="2026-03-20"), POLICY, CHICAGO) == date(2026, 3, 20)


@given(st.sampled_from(list(DeficiencyState)), st.sampled_from(list(Grade)), st.integers(-800, 800))
def test_it_is_overdue_from_the_day_after_only_while_it_is_open(
    state: DeficiencyState, grade: Grade, days: int
) -> None:
    one = row(state, grade, put_off_until="2026-05-01")
    today = due_of(one, POLICY, CHICAGO) + timedelta(days=days)
    late = is_overdue(one, POLICY, CHICAGO, today)
    if state not in OPEN_STATES:
        assert not late
    elif state is DeficiencyState.PUT_OFF:
        assert late == (today > date(2026, 5, 1) or grade is Grade.STOP_USE)
    else:
        assert late == (days > 0)


def test_a_house_has_its_own_days_and_a_milder_grade_never_fewer() -> None:
    typed = {Grade.STOP_USE: "0", Grade.RESTRICT: "14", Grade.REPAIR_BY: "90", Grade.WATCH: " 400 "}
    kept = policy_settings(typed, "gbp")
    policy = policy_of(kept, DAYS)
    assert (policy.days[Grade.RESTRICT], policy.days[Grade.WATCH], policy.currency) == (14, 400, "GBP")
    assert policy.own == frozenset(Grade)
    for grade, text in ((Grade.WATCH, "89"), (Grade.RESTRICT, "-1"), (Grade.RESTRICT, ""), (Grade.WATCH, "99999")):
        with pytest.raises(BadValue) as caught:
            policy_settings({**typed, grade: text}, "")
        assert caught.value.field == grade.value


@given(st.decimals(-(10**8), 10**8, places=2, allow_nan=False))
def test_an_amount_is_read_and_written_without_losing_a_cent(amount: Decimal) -> None:
    assert read_amount(f"{amount:f}") == amount
    assert money(amount, "USD") == f"{amount:.2f} USD"


@pytest.mark.parametrize("text", ["", "1,5", "1e3", "NaN", "Infinity", "1.2345", "12 000", "٣", "--1", "0x1", "1."])
def test_what_is_no_plain_amount_is_asked_for_again(text: str) -> None:
    with pytest.raises(BadValue):
        read_amount(text)


def test_the_last_estimate_counts_and_what_was_paid_adds_up_exactly() -> None:
    costs = [Cost("estimate", Decimal("100"), "USD"), Cost("paid", Decimal("0.10"), "USD"),
             Cost("paid", Decimal("0.20"), "USD"), Cost("estimate", Decimal("1"), "USD"),
             Cost("paid", Decimal("5"), "EUR")]  # fmt: skip
    eur, usd = cost_sums(costs)
    assert (usd.estimate, usd.paid, usd.to_come) == (Decimal(1), Decimal("0.30"), Decimal("0.70"))
    assert (eur.estimate, eur.to_come) == (None, Decimal(0))
