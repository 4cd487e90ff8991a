"""Today in sentences: what they say, in which order, and whom they wait for."""

from datetime import UTC, date, datetime

import pytest

from inspect_app.domain.calendar_item import CalendarItem, Dated, ItemKind, dated_item
from inspect_app.domain.checklist import GRADE_RANK, Grade
from inspect_app.domain.due import Standing
from inspect_app.domain.part import PartKind
from inspect_app.domain.role import Role
from inspect_app.domain.tag_out import Step, TagOut, TagState, TagStep
from inspect_app.domain.today import (
    Assigned,
    Matter,
    OpenWalk,
    Phone,
    TodayFacts,
    day_words,
    is_pressing,
    sentences_of,
    since_words,
)

NOW = datetime(2026, 3, 4, 19, tzinfo=UTC)  # a Wednesday
TODAY = NOW.date()


def facts(**fields: object) -> TodayFacts:
    return TodayFacts(**{"now": NOW, "zone": UTC, "items": (), **fields})  # type: ignore[arg-type]


def stop(*steps: Step, responsible: str = "", kind: PartKind | None = None) -> TagOut:
    at = datetime(2026, 3, 3, 22, tzinfo=UTC)
    done = tuple(TagStep(step, "rail", "p", "Ines", at) for step in steps)
    return TagOut("t", "h", "s", None, None, None, "rope frayed.", "p", "Ines", at, responsible, TagState.STANDING,
                  "Line set 12", "", kind, done)  # fmt: skip


def walk(**fields: object) -> CalendarItem:
    counts = {**dict.fromkeys(Standing, 0), Standing.OVERDUE: 2, Standing.DONE: 8}
    given = {
        "key": "c", "kind": ItemKind.WALK, "title": "Quarterly walk", "day": date(2026, 3, 9),
        "due_on": date(2026, 3, 6), "standing": Standing.DUE, "parts": counts, "late": 2,
    }  # fmt: skip
    return CalendarItem(**{**given, **fields})  # type: ignore[arg-type]


def text(**fields: object) -> str:
    (sentence,) = sentences_of(facts(**fields))
    return sentence.text


@pytest.mark.parametrize(
    ("day", "said"),
    [
        (4, "today"),
        (5, "tomorrow"),
        (3, "yesterday"),
        (7, "Saturday 2026-03-07"),
        (11, "2026-03-11"),
    ],
)
def test_days_are_named_as_people_say_them(day: int, said: str) -> None:
    assert day_words(date(2026, 3, day), TODAY) == said


def test_since_when_is_a_weekday_within_a_week() -> None:
    days = {4: "since today", 3: "since yesterday", 1: "since Sunday"}
    assert {day: since_words(date(2026, 3, day), TODAY) for day in days} == days
    assert since_words(date(2026, 2, 1), TODAY) == "since 2026-02-01"


def test_a_stop_says_since_when_and_what_it_waits_for() -> None:
    asked = text(stops=[stop()])
    assert asked.startswith("Line set 12 is stopped since yesterday: rope frayed. Waits: nobody has recorded yet: ")
    done = stop(Step.TOLD_RAIL, Step.LOCK_AND_TAG_ON, responsible="Joan Pell")
    assert text(stops=[done]).endswith(
        "Waits: Joan Pell sees to it; released only by a qualified inspector (load path)."
    )


def test_the_day_of_a_stop_is_the_house_s_own() -> None:
    from zoneinfo import ZoneInfo

    late = facts(stops=[stop()], zone=ZoneInfo("Asia/Tokyo"))  # 22:00 UTC is the next day there
    assert "since yesterday" in sentences_of(late)[0].text  # and now it is the 5th there
    assert late.today == date(2026, 3, 5)


def test_an_overdue_walk_counts_days_from_its_last_day_and_parts() -> None:
    said = text(items=[walk(standing=Standing.OVERDUE, due_on=date(2026, 2, 20), last_day=date(2026, 2, 27),
                            reasons=("counted from LB 1",))])  # fmt: skip
    assert said == (
        "Quarterly walk was due 2026-02-20 and is overdue by 5 days, 2 of 10 parts by now (counted from LB 1); "
        "proposed for Monday 2026-03-09."
    )


def test_of_what_is_overdue_a_repair_graded_stop_use_comes_first_and_each_sentence_begins_with_a_capital() -> None:
    rows = [("old", date(2026, 1, 2), "paint worn"), ("stop", date(2026, 3, 3), "link stretched (stop use)")]
    items = [
        dated_item(Dated(f"deficiency:{key}", ItemKind.REPAIR, f"Deficiency {key}", day, words, key), TODAY)
        for key, day, words in rows
    ]
    manager = frozenset({Role.MANAGER})
    assigned = [Assigned(key, n, f"Deficiency {key} waits.", "", manager, rank) for n, (key, rank) in
                enumerate((("old", GRADE_RANK[Grade.WATCH]), ("stop", GRADE_RANK[Grade.STOP_USE])))]  # fmt: skip
    said = sentences_of(facts(items=items, assigned=assigned))
    assert [(row.matter, row.about[1]) for row in said] == [
        (Matter.OVERDUE, "stop"), (Matter.OVERDUE, "old"), (Matter.WAITS, "stop"), (Matter.WAITS, "old"),
    ]  # fmt: skip
    assert said[0].text.endswith("overdue by 1 day. Link stretched (stop use).")


def test_never_recorded_is_told_apart_from_every_date() -> None:
    counts = {**dict.fromkeys(Standing, 0), Standing.NEVER_RECORDED: 10}
    never = walk(due_on=None, standing=Standing.NEVER_RECORDED, parts=counts, bare=7)
    (sentence,) = sentences_of(facts(items=[never]))
    assert sentence.matter is Matter.NEVER
    assert "7 of 10 parts never recorded at all, and 3 of 10 parts with points" in sentence.text
    partly = walk(parts={**counts, Standing.DONE: 5}, offered_from=date(2026, 3, 5), bare=10)
    assert [row.matter for row in sentences_of(facts(items=[partly]))] == [Matter.NEVER, Matter.AHEAD]


def test_a_walk_without_a_free_day_says_what_stands_in_the_way() -> None:
    assert "no day can be proposed: no day from x to y is free" in text(
        items=[walk(day=None, words="no day from x to y is free (tour)")]
    )


def test_things_with_a_date_are_told_from_two_weeks_before_and_overdue_the_day_after() -> None:
    def said(day: int, month: int = 3) -> list[Matter]:
        row = Dated("r", ItemKind.RELOOK, "LB 1-1: look again", date(2026, month, day), "new sheave", "p")
        return [one.matter for one in sentences_of(facts(items=[dated_item(row, TODAY)]))]

    assert (said(3), said(4), said(18), said(19)) == ([Matter.OVERDUE], [Matter.DUE], [Matter.DUE], [])


def test_what_waits_names_roles_or_a_person() -> None:
    rows = sentences_of(
        facts(
            walks=[OpenWalk("w", "Walk", "2026-03-01", True, 0, 3), OpenWalk("v", "Walk", "2026-02-01", False, 2, 0)],
            held=1,
            phones=[Phone("d", "Grid phone", "Kit", "2 entries")],
            assigned=[Assigned("x", 7, "Deficiency 7: in hand by Kit.", "kit", frozenset({Role.MANAGER}), 1)],
            has_rules=False,
        )
    )
    assert {row.matter for row in rows} == {Matter.WAITS}
    said = " ".join(row.text for row in rows)
    for words in ("3 looks by a helper", "reviewed and signed", "2 entries came after it was signed", "1 entry from",
                  "Grid phone of Kit", "Deficiency 7", "No rule set"):  # fmt: skip
        assert words in said
    (mine,) = (row for row in rows if row.about == ("deficiency", "x"))
    assert mine.is_for("kit", frozenset())
    assert not mine.is_for("sam", {Role.MANAGER}), "somebody is named"
    signing = next(row for row in rows if "reviewed and signed" in row.text)
    assert (signing.is_for("x", {Role.TD}), signing.is_for("x", {Role.HELPER})) == (True, False)


def test_stopped_comes_first_and_only_stopped_or_overdue_presses() -> None:
    due, late = walk(), walk(key="d", standing=Standing.OVERDUE, last_day=date(2026, 3, 1))
    rows = sentences_of(facts(items=[due, late], stops=[stop()], held=1))
    assert [row.matter for row in rows] == [Matter.STOPPED, Matter.OVERDUE, Matter.DUE, Matter.WAITS]
    assert is_pressing(rows)
    assert not is_pressing(sentences_of(facts(items=[due], held=1)))
