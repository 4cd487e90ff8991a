"""Figures for a manager: counted by hand, spread held against numpy, money exact, no score."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import Deficiency, DeficiencyEvent, DeficiencyState
from inspect_app.domain.deficiency_register import RegisterRow, register_rows
from inspect_app.domain.repair_figures import (
    chain_back,
    cost_to_come,
    open_by_age,
    quarter_of,
    recurrences,
    repair_times,
)
from inspect_app.domain.repair_policy import CostSum, RepairPolicy
from inspect_app.output.repair_picture import cost_svg, open_svg, time_svg

ZONE, TODAY = ZoneInfo("America/Chicago"), date(2026, 6, 30)
POLICY = RepairPolicy({Grade.STOP_USE: 0, Grade.RESTRICT: 30, Grade.REPAIR_BY: 180, Grade.WATCH: 365})
S = DeficiencyState


def one(number: int, grade: Grade = Grade.RESTRICT, state: S = S.FOUND, age: int = 0, **more: object) -> Deficiency:
    found = datetime(TODAY.year, TODAY.month, TODAY.day, 17, tzinfo=UTC) - timedelta(days=age)
    return Deficiency(f"d{number}", "h", number, "p", "what", grade, state, found, **more)  # type: ignore[arg-type]


def rows(*found: Deficiency, costs: dict[str, tuple[CostSum, ...]] | None = None) -> list[RegisterRow]:
    return register_rows(found, policy=POLICY, zone=ZONE, today=TODAY, costs=costs)


def done(row: Deficiency, days: int) -> DeficiencyEvent:
    on = (row.found_at.astimezone(ZONE).date() + timedelta(days=days)).isoformat()
    return DeficiencyEvent("decided", "work_done", "b", "B", "", row.found_at, "", {"done_on": on})


@pytest.mark.parametrize(("age", "band"), [(0, 0), (30, 0), (31, 1), (90, 1), (91, 2), (365, 2), (366, 3), (4000, 3)])
def test_each_open_one_is_in_the_band_of_its_age(age: int, band: int) -> None:
    counts = open_by_age(rows(one(1, age=age), one(2, state=S.SETTLED, age=age)))
    assert [row.counts for row in counts if row.grade is Grade.RESTRICT] == [tuple(int(n == band) for n in range(4))]
    assert sum(row.total for row in counts) == 1


@given(st.lists(st.integers(0, 900), max_size=40))
def test_the_time_to_repair_has_the_median_and_quartiles_of_numpy(days: list[int]) -> None:
    found = [one(n, state=S.SETTLED, age=1000) for n in range(len(days))]
    events = {row.id: [done(row, count)] for row, count in zip(found, days, strict=True)}
    (time,) = (row for row in repair_times(found, events, ZONE) if row.grade is Grade.RESTRICT)
    assert time.cases == len(days)
    if days:
        assert time.median == pytest.approx(float(np.median(days)))
        assert (time.shortest, time.longest) == (min(days), max(days))
    if len(days) >= 5:
        assert time.middle == pytest.approx(tuple(np.percentile(days, [25, 75])))
    else:
        assert time.middle is None


def test_only_what_was_settled_counts_as_repaired_and_the_last_repair_counts() -> None:
    found = [one(n, state=state, age=100) for n, state in enumerate(DeficiencyState)]
    events = {row.id: [done(row, 5), done(row, 9)] for row in found}
    (time,) = (row for row in repair_times(found, events, ZONE) if row.cases)
    assert (time.cases, time.median) == (1, 9)


def cost(estimate: str | None, paid: str = "0", code: str = "USD") -> tuple[CostSum, ...]:
    return (CostSum(code, None if estimate is None else Decimal(estimate), Decimal(paid)),)


def test_the_cost_to_come_is_exact_by_currency_and_quarter_and_says_what_nobody_estimated() -> None:
    found = [
        one(1, due_on="2026-07-01"), one(2, due_on="2026-12-31"), one(3, due_on="2026-06-29"), one(4), one(5),
        one(6, state=S.SETTLED), one(7, due_on="2026-07-02"),
    ]  # fmt: skip
    costs = {"d1": cost("0.10"), "d2": cost("0.20", "0.05"), "d3": cost("100"), "d4": cost(None, "3"),
             "d6": cost("999"), "d7": cost("10", "11", "EUR")}  # fmt: skip
    (eur, usd), without = cost_to_come(rows(*found, costs=costs), TODAY)
    assert (eur.currency, eur.total, without) == ("EUR", Decimal(0), 2)
    assert usd.quarters == (
        ("overdue", Decimal(100)), ("2026 Q2", Decimal(0)), ("2026 Q3", Decimal("0.10")), ("2026 Q4", Decimal("0.15")),
    )  # fmt: skip
    assert usd.total == Decimal("100.25")


@given(st.lists(st.tuples(st.dates(date(2026, 6, 30), date(2040, 1, 1)), st.decimals(0, 10**6, places=2)), min_size=1))
def test_no_amount_is_lost_between_the_quarters(items: list[tuple[date, Decimal]]) -> None:
    found = [one(n, due_on=day.isoformat()) for n, (day, _) in enumerate(items)]
    costs = {f"d{n}": cost(str(amount)) for n, (_, amount) in enumerate(items)}
    ((usd,), _) = cost_to_come(rows(*found, costs=costs), TODAY)
    assert usd.total == sum(amount for _, amount in items)
    keys = [key for key, _ in usd.quarters]
    assert keys == sorted(set(keys))
    assert {quarter_of(day) for day, _ in items} <= set(keys)


def test_a_chain_is_told_once_from_its_last_link_back() -> None:
    first = one(1, state=S.SETTLED)
    second = one(2, state=S.SETTLED, again_of=1, again_of_id="d1", recurring=True)
    third = one(3, again_of=2, again_of_id="d2", recurring=True)
    other = one(4, again_of=5, again_of_id="d5")
    dismissed = one(5, state=S.NO_FAULT)
    (found,) = recurrences([first, second, third, other, dismissed])
    assert [row.number for row in found.chain] == [3, 2, 1]
    looped = one(6, again_of_id="d6")
    assert chain_back(looped, {"d6": looped}) == (looped,)


def test_the_pictures_name_what_they_show_and_use_no_colour_of_their_own() -> None:
    found = [one(1, age=40), one(2, Grade.WATCH), one(3, state=S.SETTLED)]
    shown = rows(*found, costs={"d1": cost("12.5")})
    costs, _ = cost_to_come(shown, TODAY)
    times = repair_times(found, {"d3": [done(found[2], 7)]}, ZONE)
    for svg in (open_svg(open_by_age(shown), "a"), time_svg(times, "b"), cost_svg(costs[0], "c")):
        assert "<title" in svg
        assert "<desc" in svg
        assert "style=" not in svg
        assert "#" not in svg
    assert open_svg(open_by_age([]), "a") == ""
    assert time_svg(repair_times([], {}, ZONE), "b") == ""
