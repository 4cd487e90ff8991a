"""The register on paper: each open deficiency stands in exactly one place; nothing is a score."""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import OPEN_STATES, Deficiency, DeficiencyEvent, DeficiencyState
from inspect_app.domain.deficiency_register import register_rows
from inspect_app.domain.register_paper import RegisterPaper, closed_on, register_paper
from inspect_app.domain.repair_policy import RepairPolicy
from inspect_app.domain.walk_record import Accepted

ZONE, TODAY, SINCE = ZoneInfo("America/Chicago"), date(2026, 6, 30), date(2026, 1, 1)
AT = datetime(2026, 6, 1, 17, tzinfo=UTC)
POLICY = RepairPolicy({Grade.STOP_USE: 0, Grade.RESTRICT: 30, Grade.REPAIR_BY: 180, Grade.WATCH: 365})
S = DeficiencyState


def one(number: int, state: S = S.FOUND, grade: Grade = Grade.RESTRICT, **more: Any) -> Deficiency:
    values = {"part": f"p{number}", "found_at": AT, **more}
    return Deficiency(id=f"d{number}", house="h", number=number, what="worn", grade=grade, state=state, **values)


def move(to: S, at: datetime = AT, **proof: str) -> DeficiencyEvent:
    return DeficiencyEvent("checked", to.value, "i", "Ines", "", at, "", proof)


def accepted(part: str, review_by: str = "2026-12-01") -> Accepted:
    return Accepted("c", part, "W HR", "open well", "Odile", "facility_manager", "rail ordered", "letter", review_by)


def paper(*found: Deficiency, moves: dict[str, list[DeficiencyEvent]] | None = None, accept: Any = ()) -> RegisterPaper:
    rows = register_rows(found, policy=POLICY, zone=ZONE, today=TODAY, accepted=accept)
    return register_paper(rows, moves or {}, accept, today=TODAY, since=SINCE, zone=ZONE)


def numbers(found: RegisterPaper) -> dict[str, list[str]]:
    return {section.title: [row.number for row in section.rows] for section in found.sections}


@given(st.lists(st.tuples(st.sampled_from(list(S)), st.sampled_from(list(Grade)), st.booleans()), max_size=30))
def test_each_open_one_is_in_one_place_and_no_other(drawn: list[tuple[S, Grade, bool]]) -> None:
    found = [
        one(n, state, grade, put_off_until="2026-07-20" if ahead else "2026-06-01")
        for n, (state, grade, ahead) in enumerate(drawn, 1)
    ]
    covers = [accepted(row.part) for row in found[::4]]
    result = paper(*found, accept=covers)
    listed = [row.number for section in result.sections for row in section.rows]
    listed += [number for row in result.accepted for number in row.covers.split(", ") if number]
    assert sorted(listed, key=int) == [str(row.number) for row in found if row.state in OPEN_STATES]


def test_a_grade_is_ordered_by_the_day_it_is_due() -> None:
    found = paper(one(1, due_on="2026-09-01"), one(2, due_on="2026-07-01"), one(3, grade=Grade.WATCH))
    assert numbers(found)["Open: restrict"] == ["2", "1"]
    assert numbers(found)["Open: watch"] == ["3"]
    assert "not been looked at" in found.sections[0].none


def test_work_done_waits_apart_and_a_put_off_that_ran_out_is_open_again() -> None:
    found = paper(one(1, S.WORK_DONE, done_on="2026-06-20"), one(2, S.PUT_OFF, put_off_until="2026-07-20"),
                  one(3, S.PUT_OFF, put_off_until="2026-06-29"))  # fmt: skip
    assert numbers(found)["Work done, waiting for somebody else"] == ["1"]
    assert numbers(found)["Put off"] == ["2"]
    assert numbers(found)["Open: restrict"] == ["3"]
    assert next(row for section in found.sections for row in section.rows if row.number == "3").late


def test_what_was_closed_is_listed_from_the_day_asked_for_by_the_houses_clock() -> None:
    first = datetime(2026, 1, 1, 6, tzinfo=UTC)  # midnight of the new year in Chicago
    moves = {"d1": [move(S.SETTLED, first)], "d2": [move(S.NO_FAULT, first - timedelta(seconds=1))]}
    found = paper(one(1, S.SETTLED), one(2, S.NO_FAULT), one(3, S.SETTLED), moves=moves)
    assert numbers(found)["Settled, or found to be no fault, since 2026-01-01"] == ["1"]
    assert closed_on((), ZONE) is None


def test_an_accepted_condition_stands_apart_until_its_review_date_has_passed() -> None:
    now, passed = accepted("p1"), accepted("p2", "2026-06-29")
    found = paper(one(1), one(2), accept=[now, passed])
    assert numbers(found)["Open: restrict"] == ["2"]
    assert [(row.covers, row.late) for row in found.accepted] == [("1", False), ("", True)]
    assert found.accepted[0].accepted_by == "Odile, facility manager"


def test_stop_use_is_open_whatever_was_accepted() -> None:
    assert numbers(paper(one(1, grade=Grade.STOP_USE), accept=[accepted("p1")]))["Open: stop use"] == ["1"]
