"""A work order says what binds, who checks and releases, and what proof comes back; costs stay out of it."""

from dataclasses import asdict, replace
from datetime import UTC, date, datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import Deficiency, DeficiencyEvent, DeficiencyState
from inspect_app.domain.deficiency_register import register_rows
from inspect_app.domain.part import PartKind
from inspect_app.domain.repair_policy import RepairPolicy
from inspect_app.domain.restriction import Restriction, RestrictionKind
from inspect_app.domain.tag_out import TagOut, TagState
from inspect_app.domain.work_order import (
    LOAD_PATH_PROOF,
    MOST_LOOKS,
    MOST_PHOTOS,
    Bound,
    FoundPrinted,
    PhotoPrinted,
    Place,
    WorkOrder,
    contractors,
    is_to_do,
    work_order,
)

ZONE, TODAY, AT = ZoneInfo("America/Chicago"), date(2026, 6, 30), datetime(2026, 6, 1, 17, tzinfo=UTC)
POLICY = RepairPolicy({Grade.STOP_USE: 0, Grade.RESTRICT: 30, Grade.REPAIR_BY: 180, Grade.WATCH: 365})
FREE = Bound()
BLOCK = Place("LB 12-3", PartKind.LOFT_BLOCK, "12", "2nd electric", 3, "WELL 3", "Grid")
S = DeficiencyState


def deficiency(number: int = 7, grade: Grade = Grade.RESTRICT, state: S = S.DECIDED, **more: Any) -> Deficiency:
    return Deficiency(f"d{number}", "h", number, "p", "cracked cheek", grade, state, AT, **more)


def order(
    row: Deficiency, place: Place = BLOCK, bound: Bound = FREE, found: tuple = (), events: tuple = ()
) -> WorkOrder:
    (shown,) = register_rows([row], policy=POLICY, zone=ZONE, today=TODAY)
    return work_order(shown, place, events, found, bound, zone=ZONE, today=TODAY, page="https://log.example/x")


def stop(**more: Any) -> TagOut:
    values: dict[str, Any] = {
        "id": "t", "house": "h", "line_set": "s", "area": None, "part": "p", "from_entry": None, "why": "cracked cheek",
        "raised_by": "x", "raised_by_name": "Sam Orr", "raised_at": AT, "responsible": "", "state": TagState.STANDING,
        "scope": "Line set 12", "part_tag": "LB 12-3", "part_kind": PartKind.LOFT_BLOCK,
    }  # fmt: skip
    return TagOut(**{**values, **more})


def limit(until: date) -> Restriction:
    return Restriction(
        "r", "h", RestrictionKind.LIMIT, "s", None, None, None, "bent cheek", "100 kg", "", "Ines", until, None, "Ines",
        AT, scope="Line set 12",
    )  # fmt: skip


def test_the_place_is_told_in_the_order_in_which_a_person_goes_there() -> None:
    heads = [head for head, _ in order(deficiency()).place]
    assert heads == ["Area", "Set", "Part", "Lift line", "Well"]
    assert dict(order(deficiency()).place)["Set"] == "12 2nd electric"
    assert [head for head, _ in order(deficiency(), Place("LADDER 1", PartKind.LADDER)).place] == ["Part"]


def test_a_standing_stop_says_do_not_move_and_who_alone_releases_it() -> None:
    found = order(deficiency(grade=Grade.STOP_USE), bound=Bound([stop()]))
    assert found.stops[0].startswith("Out of use: do not move. Line set 12 (LB 12-3): cracked cheek.")
    assert "Sam Orr, 1 June 2026, 12:00" in found.stops[0]
    only = "Line set 12: released in the log only by a qualified inspector (load path), after the check"
    assert found.release == (only,)
    assert "On hold after an event: do not move" in order(deficiency(), bound=Bound([stop(event="e")])).stops[0]


def test_structure_asks_for_an_engineers_paper_as_well() -> None:
    beam = stop(part_kind=PartKind.HEAD_BEAM, part_tag="HBM 1")
    assert "with an engineer's paper" in order(deficiency(), bound=Bound([beam])).release[0]


@pytest.mark.parametrize(
    ("kind", "grade", "inspector"),
    [
        (PartKind.LOFT_BLOCK, Grade.RESTRICT, True),
        (PartKind.LOFT_BLOCK, Grade.WATCH, False),
        (PartKind.ROPE_LOCK, Grade.REPAIR_BY, True),
        (PartKind.LADDER, Grade.STOP_USE, False),
    ],
)
def test_who_checks_follows_the_part_and_the_grade(kind: PartKind, grade: Grade, inspector: bool) -> None:
    found = order(deficiency(grade=grade), BLOCK._replace(kind=kind))
    assert found.check.startswith("a qualified inspector other") == inspector
    assert "other than who put it right" in found.check
    assert (LOAD_PATH_PROOF in found.proof) == (kind is not PartKind.LADDER)


def test_a_limit_is_printed_and_one_that_expired_says_so() -> None:
    assert "load 100 kg" in order(deficiency(), bound=Bound((), [limit(TODAY)])).limits[0]
    assert "expired after 2026-06-29" in order(deficiency(), bound=Bound((), [limit(date(2026, 6, 29))])).limits[0]


@pytest.mark.parametrize(("grade", "words"), [(Grade.RESTRICT, "No limit"), (Grade.STOP_USE, "No tag-out")])
def test_a_limit_or_stop_that_is_missing_is_said(grade: Grade, words: str) -> None:
    assert order(deficiency(grade=grade)).limits[0].startswith(words)
    assert order(deficiency(grade=Grade.WATCH)).limits == ()


def test_the_last_decision_and_why_it_was_sent_back_are_told() -> None:
    moves = (
        DeficiencyEvent("found", "decided", "i", "Ines", "manager", AT, "paint it", {"decision": "paint it"}),
        DeficiencyEvent("put_off", "decided", "i", "Ines", "technical_director", AT, "", {"decision": "replace it"}),
        DeficiencyEvent("work_done", "sent_back", "j", "Joan", "qualified_inspector", AT, "pin is loose", {}),
    )
    facts = dict(order(deficiency(state=S.SENT_BACK), events=moves).facts)
    assert facts["Decision"] == "replace it"
    assert facts["Decided by"] == "Ines, technical director, 1 June 2026, 12:00"
    assert facts["Sent back"].startswith("pin is loose (Joan")
    assert dict(order(deficiency()).facts)["Decision"] == "none is recorded yet"


def test_costs_are_not_on_a_paper_that_leaves_the_house() -> None:
    assert not [name for name in asdict(order(deficiency())) if "cost" in name or "estimate" in name]


def test_few_looks_are_printed_in_full_and_none_is_dropped_silently() -> None:
    photos = tuple(PhotoPrinted(f"p{n}", "") for n in range(4))
    looks = tuple(FoundPrinted(f"look {n}", "", "fact", "", (), "", photos) for n in range(5))
    found = order(deficiency(), found=looks)
    assert [one.head for one in found.found] == ["look 0", "look 1", "look 2"][:MOST_LOOKS]
    assert found.earlier == "look 3; look 4"
    assert len(found.photo_ids) == MOST_PHOTOS
    assert len(found.photo_ids) + found.more_photos == 20


def test_orders_go_to_contractors_first_and_only_for_what_is_still_to_do() -> None:
    given = {"contractor": "Harbour Rigging", "responsible_name": "Ines"}
    found = [
        deficiency(1, **given), deficiency(2, **{**given, "contractor": "HARBOUR RIGGING"}),
        deficiency(3, responsible_name="Ines"), deficiency(4), deficiency(5, state=S.WORK_DONE, **given),
        deficiency(6, state=S.SENT_BACK, **given), deficiency(8, state=S.PUT_OFF, put_off_until="2027-01-01", **given),
    ]  # fmt: skip
    rows = register_rows(found, policy=POLICY, zone=ZONE, today=TODAY)
    assert contractors(rows) == [("Harbour Rigging", 3), ("Ines", 1)]
    assert [row.row.number for row in rows if is_to_do(row)] == [1, 2, 3, 4, 6]


def test_a_day_by_the_houses_days_is_marked_so() -> None:
    assert order(deficiency()).due == "2026-07-01 (by the house's days)"
    assert order(replace(deficiency(), due_on="2026-06-15")).due == "2026-06-15"
    assert order(replace(deficiency(), due_on="2026-06-15")).overdue
