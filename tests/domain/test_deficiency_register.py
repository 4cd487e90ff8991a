"""The register: what is overdue, what is accepted, in which order, under which headings, and what is wanted."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.checklist import GRADE_RANK, Grade
from inspect_app.domain.deficiency import OPEN_STATES, Deficiency, DeficiencyState
from inspect_app.domain.deficiency_register import (
    COLUMNS,
    GROUP_TITLES,
    SORT_TITLES,
    STATE_CHOICES,
    RegisterRow,
    Wanted,
    due_words,
    grouped,
    register_rows,
    register_table,
    select,
    wanted_from,
)
from inspect_app.domain.errors import BadValue
from inspect_app.domain.repair_policy import RepairPolicy
from inspect_app.domain.risk import PROBABILITIES, SEVERITIES
from inspect_app.domain.walk_record import Accepted
from inspect_app.store.reference import reference_at

ZONE, TODAY = ZoneInfo("Europe/London"), date(2026, 6, 30)
POLICY = RepairPolicy({Grade.STOP_USE: 0, Grade.RESTRICT: 30, Grade.REPAIR_BY: 180, Grade.WATCH: 365})
S = DeficiencyState


def one(number: int, grade: Grade = Grade.RESTRICT, state: S = S.FOUND, age: int = 0, **more: str) -> Deficiency:
    found = datetime(TODAY.year, TODAY.month, TODAY.day, 12, tzinfo=UTC) - timedelta(days=age)
    return Deficiency(f"d{number}", "h", number, "p", "what", grade, state, found, **more)  # type: ignore[arg-type]


def rows(*found: Deficiency, accepted: tuple[Accepted, ...] = ()) -> list[RegisterRow]:
    matrix = reference_at(shared_dir()).risk
    return register_rows(found, policy=POLICY, zone=ZONE, today=TODAY, accepted=accepted, matrix=matrix)


def acceptance(review_by: str, deficiency: str = "") -> Accepted:
    return Accepted("c", "p", "HB 1", "plates", "R. Abara", "Manager", "why", "", review_by, deficiency=deficiency)


@pytest.mark.parametrize(
    ("review_by", "deficiency", "grade", "rests"),
    [
        ("2026-06-30", "", Grade.RESTRICT, True),
        ("2026-06-29", "", Grade.RESTRICT, False),
        ("2026-07-30", "d1", Grade.RESTRICT, True),
        ("2026-07-30", "d2", Grade.RESTRICT, False),
        ("2026-07-30", "", Grade.STOP_USE, False),
    ],
)
def test_what_is_accepted_is_not_overdue_until_its_day_passes_and_never_for_stop_use(
    review_by: str, deficiency: str, grade: Grade, rests: bool
) -> None:
    (row,) = rows(one(1, grade, age=400), accepted=(acceptance(review_by, deficiency),))
    assert (row.overdue, bool(row.accepted_until)) == (not rests, rests)


def test_when_it_is_due_is_said_with_what_suspends_it() -> None:
    far, past = (TODAY + timedelta(days=90)).isoformat(), (TODAY - timedelta(days=1)).isoformat()
    for words, found, accepted in (
        (far, one(1, due_on=far), ()),
        (f"{past}: overdue", one(1, due_on=past), ()),
        (f"accepted until {far}", one(1, due_on=past), (acceptance(far),)),
        (f"{past}: overdue", one(1, Grade.STOP_USE, due_on=past), (acceptance(far),)),
        (f"put off until {far}", one(1, state=S.PUT_OFF, due_on=past, put_off_until=far), ()),
        (f"put off until {past}: overdue", one(1, state=S.PUT_OFF, put_off_until=past), ()),
        ("2026-07-30, by the house's days", one(1), ()),
        ("2026-06-29, by the house's days: overdue", one(1, age=31), ()),
    ):
        (row,) = rows(found, accepted=accepted)
        assert due_words(row) == words


def test_grade_comes_first_then_the_risk_then_the_day() -> None:
    found = rows(
        one(1, Grade.WATCH, severity="1", probability="A"), one(2), one(3, severity="4", probability="E"),
        one(4, severity="1", probability="A"), one(5, Grade.STOP_USE), one(6, due_on="2026-07-01"),
    )  # fmt: skip
    assert [row.row.number for row in select(found, Wanted(), TODAY)] == [5, 4, 6, 2, 3, 1]


@pytest.mark.parametrize("state", STATE_CHOICES)
def test_each_choice_of_state_shows_what_it_says(state: str) -> None:
    found = rows(*(one(n, state=s, put_off_until="2026-06-29") for n, s in enumerate(S)))
    shown = {row.row.state for row in select(found, Wanted(state=state), TODAY)}
    wanted = {"open": OPEN_STATES, "all": set(S), "closed": set(S) - OPEN_STATES, "back": {S.PUT_OFF}}
    assert shown == (wanted[state] if state in wanted else {S(state)})


def test_a_put_off_comes_back_the_day_after() -> None:
    texts = [rows(one(1, state=S.PUT_OFF, put_off_until=day))[0] for day in ("2026-06-30", "2026-06-29")]
    assert [row.overdue for row in texts] == [False, True]
    assert "decide again" in texts[1].state
    (stopped,) = rows(one(1, Grade.STOP_USE, S.PUT_OFF, put_off_until="2099-01-01"))  # a measure for it has run out
    assert (stopped.overdue, "stop use now" in stopped.state) == (True, True)


@pytest.mark.parametrize("sort", SORT_TITLES)
@pytest.mark.parametrize("group", GROUP_TITLES)
def test_sorting_and_grouping_lose_no_row_and_put_no_heading_twice(sort: str, group: str) -> None:
    found = rows(*(
        one(n, list(Grade)[n % 4], list(S)[n % 10], age=n, line_set=("", "2", "12A", "10")[n % 4],
            contractor=("", "Kit", "Abel")[n % 3]) for n in range(40)
    ))  # fmt: skip
    shown = select(found, wanted_from({"sort": sort, "group": group, "state": "all"}), TODAY)
    groups = grouped(shown, group)
    assert sorted(row.row.number for _, part in groups for row in part) == list(range(40))
    assert len({head for head, _ in groups}) == len(groups)
    if group == "set":
        assert [head for head, _ in groups] == ["Set 2", "Set 10", "Set 12A", "No set"]


@pytest.mark.parametrize(
    "given", [{"state": "lost"}, {"sort": "x"}, {"group": "x"}, {"grade": "bad"}, {"older": "ten"}]
)
def test_a_wish_that_cannot_be_is_refused(given: dict[str, str]) -> None:
    with pytest.raises(BadValue):
        wanted_from(given)


def test_an_address_tells_the_wishes_back() -> None:
    wanted = wanted_from({"state": "all", "who": " Kit ", "sort": "due", "page": "9"})
    assert wanted_from(wanted.as_query()) == wanted
    assert wanted.as_query() == {"state": "all", "who": "Kit", "sort": "due"}


def test_a_file_has_a_cell_for_each_column() -> None:
    table = register_table(rows(one(1), one(2, state=S.SETTLED)), ZONE)
    assert {len(row) for row in table} == {len(COLUMNS)}
    assert table[2][COLUMNS.index("Due on")] == ""


RISKS = st.tuples(st.sampled_from(["", *SEVERITIES]), st.sampled_from(PROBABILITIES))


@given(st.lists(st.tuples(st.sampled_from(Grade), st.integers(0, 400), RISKS), max_size=8))
def test_risk_orders_inside_a_grade_and_changes_nothing_else(found: list[tuple[Grade, int, tuple[str, str]]]) -> None:
    plain = [one(n, grade, age=age) for n, (grade, age, _) in enumerate(found)]
    risky = [
        one(n, grade, age=age, severity=severity, probability=probability if severity else "")
        for n, (grade, age, (severity, probability)) in enumerate(found)
    ]
    for before, after in zip(rows(*plain), rows(*risky), strict=True):
        without = after._replace(row=before.row, risk=before.risk, risk_key=before.risk_key)
        assert without == before  # state, due day, overdue, age, who: the same
        assert not any(sign.isdigit() for sign in after.risk)
    ordered = select(rows(*risky), Wanted(state="all", sort="grade"), TODAY)
    ranks = [GRADE_RANK[row.row.grade] for row in ordered]
    assert ranks == sorted(ranks, reverse=True)
    inside = [(ranks[n], row.risk_key) for n, row in enumerate(ordered)]
    assert inside == sorted(inside, key=lambda pair: (-pair[0], pair[1]))
