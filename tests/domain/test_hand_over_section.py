"""The pages of a hand-over pack: what comes back, and what has run out, in words."""

from datetime import UTC

from inspect_app.domain.event import Aftermath
from inspect_app.domain.hand_over import Facts, Period, read_period
from inspect_app.domain.hand_over_section import sections_of

PART = {"id": "p", "tag": "AR 12A"}


def deficiency(number: int, **fields: object) -> dict[str, object]:
    row = {
        "id": f"d{number}", "number": number, "part_id": "p", "what": "number unreadable", "grade": "repair_by",
        "state": "found", "found_at": "2026-01-02T12:00:00.000+00:00", "due_on": None, "put_off_until": "",
        "responsible": "", "contractor": "", "recurring": False, "again_of": None,
    }  # fmt: skip
    return row | fields


def rows_of(title: str, now: dict[str, list[dict[str, object]]], **rows: object) -> list[tuple[str, ...]]:
    facts = Facts(
        UTC, "2026-06-01", Period(), [], {"parts": [PART], **rows, "deficiencies": now.get("deficiencies", [])}, now=now
    )
    return [row for one in sections_of(facts) if one.title.startswith(title) for row in one.rows]


def test_what_came_back_names_the_number_it_had() -> None:
    now = {
        "deficiencies": [
            deficiency(1, state="settled"),
            deficiency(2, again_of="d1", recurring=True),
            deficiency(3, again_of="d1"),
        ]
    }
    for title in ("Known problems", "Deficiencies of the period"):
        told = {row[0]: row[2] for row in rows_of(title, now)}
        assert told["2"] == "number unreadable – found again after number 1 was settled"
        assert told["3"] == "number unreadable – found again after number 1"
    assert rows_of("Deficiencies of the period", now)[0][2] == "number unreadable"


def test_dates_that_have_passed_say_so() -> None:
    gauges = [
        {"name": name, "kind": "tape", "calibrated_on": "2025-06-01", "calibration_due": due, "retired_on": None}
        for name, due in (("G1", "2026-05-31"), ("G2", "2026-06-01"), ("G3", None))
    ]
    relooks = [{"part_id": "p", "look_on": "2026-05-01", "reason": "noise", "done_at": None, "ended_at": None}]
    told = rows_of("Dates", {"relooks": relooks}, gauges=gauges)
    assert ("To be looked at again: AR 12A", "2026-05-01 (passed)", "noise") in told
    assert [row[2] for row in told if row[0].startswith("Gauge")] == [
        "next 2026-05-31 (passed)",
        "next 2026-06-01",
        "next day not recorded",
    ]


def test_an_event_says_what_has_become_of_it_and_one_by_mistake_that_it_was_withdrawn() -> None:
    events = [
        {"id": key, "at": f"2026-03-0{n}T12:00:00.000+00:00", "kind": "collision", "what": what, "by": "Mara"}
        for n, (key, what) in enumerate((("e1", "pipes met"), ("e2", "It fell.")), start=1)
    ]
    withdrawn = [{"event_id": "e2", "by": "Mara", "second": "Joan", "reason": "set 3 was meant"}]
    after = {"e1": Aftermath(2, ("Line set 4",), "sealed").words, "e2": Aftermath().words}
    rows = {"events": events, "event_withdrawals": withdrawn}
    facts = Facts(UTC, "2026-06-01", Period(), [], rows, after=after)
    (told,) = (one for one in sections_of(facts) if one.title == "Incidents and events")
    assert [row[3] for row in told.rows] == [
        "pipes met. Today: still on hold: Line set 4; inspection signed.",
        "It fell. Withdrawn by Mara with Joan, recorded by mistake: set 3 was meant",
    ]


def test_a_day_is_kept_in_one_form_however_it_was_typed() -> None:
    assert read_period(" 20260304 ", "2026-W10-7") == Period("2026-03-04", "2026-03-08")


def test_only_figures_that_can_be_set_beside_one_another_are_first_and_last() -> None:
    looks = [
        {"id": name, "at": f"2026-01-0{n}T12:00:00.000+00:00", "result": "finding", "replaced": False, "counts": n < 4}
        for n, name in enumerate(("a", "b", "c", "d"), 1)
    ]

    def measure(look: str, n: int, value: str, **other: str) -> dict[str, object]:
        what = {"part_id": "p", "life_id": "v", "point": "wear", "quantity": "rope_diameter", "station": "at the lock"}
        how = {"gauge": "C1", "load_state": "loaded", "unit": "mm", "value": value}
        return {"look_id": look, "n": n, **what, **how, **other}

    told = rows_of(
        "Measures",
        {},
        measure_looks=looks,
        gauges=[
            {"id": name, "name": name, "kind": kind, "calibrated_on": None, "calibration_due": None, "retired_on": None}
            for name, kind in (("C1", "wide_jaw_caliper"), ("C2", "wide_jaw_caliper"), ("T1", "tape"))
        ],
        gauge_doubts=[
            {"gauge_id": "C2", "first": "2026-01-03", "last": "2026-01-09", "ended_at": None},
            {"gauge_id": "C1", "first": "2026-01-01", "last": "2026-01-09", "ended_at": "2026-02-01T12:00:00Z"},
        ],
        measures=[
            measure("a", 0, "9.6"), measure("a", 1, "9.5"), measure("b", 0, "10.2", load_state="unloaded"),
            measure("c", 0, "9.4", gauge="C2", station="At  the lock"), measure("c", 1, "9", gauge="T1"),
            measure("d", 0, "9.3", point="another"),
        ],
    )  # fmt: skip
    wide = "rope diameter, caliper with wide jaws"
    assert {row[:1] for row in told} == {("AR 12A",)}
    assert sorted(row[1:] for row in told) == [
        (f"{wide}, pipe only, or slack", "at the lock", "10.2 mm, 2026-01-02", "the same", "1"),
        (f"{wide}, under load", "At the lock", "9.6 mm, 2026-01-01", "9.4 mm, 2026-01-03, the gauge read wrong", "3"),
        (f"{wide}, under load", "at the lock", "9.3 mm, 2026-01-04, not signed", "the same", "1"),
        ("rope diameter, tape, under load", "at the lock", "9 mm, 2026-01-03", "the same", "1"),
    ]
