"""What keeps coming back: by times settled and found again, and one defect on several sisters."""

from datetime import UTC, datetime

from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import Deficiency, DeficiencyState
from inspect_app.domain.recurring import coming_back, on_sisters

S = DeficiencyState
AT = datetime(2025, 3, 4, tzinfo=UTC)


def row(number: int, state: S = S.SETTLED, again: int = 0, part: str = "p", kind: str = "loft_block") -> Deficiency:
    return Deficiency(
        f"d{number}", "h", number, part, "worn", Grade.WATCH, state, AT, part_kind=kind, part_tag=part,
        again_of=again or None, again_of_id=f"d{again}" if again else "",
    )  # fmt: skip


def test_the_one_that_came_back_most_often_leads() -> None:
    rows = [row(1), row(2, S.FOUND, 1), row(3), row(4, again=3), row(5, S.FOUND, 4)]
    found = coming_back(rows)
    assert [(one.last.number, one.first.number, one.settled) for one in found] == [(5, 3, 2), (2, 1, 1)]


def test_what_was_no_fault_or_is_the_same_as_another_does_not_come_back() -> None:
    assert coming_back([row(1, S.NO_FAULT), row(2, S.FOUND, 1)]) == []
    assert coming_back([row(1, S.SAME), row(2, S.FOUND, 1)]) == []
    assert coming_back([row(1)]) == []


def test_one_defect_on_several_parts_of_a_kind_is_told_once() -> None:
    rows = [row(1, part="a"), row(2, S.FOUND, part="b"), row(3, part="a"), row(4, S.NO_FAULT, part="c")]
    seen = [(one.id, "groove", "worn") for one in rows] + [("d1", "bolts", "loose"), ("d9", "groove", "worn")]
    (found,) = on_sisters(rows, seen, {("groove", "worn"): "Groove worn"})
    assert (found.says, found.parts, found.open) == ("Groove worn", 2, 1)
    assert [one.number for one in found.rows] == [1, 2, 3]


def test_another_kind_of_part_or_a_defect_without_a_name_is_no_sister() -> None:
    rows = [row(1, part="a"), row(2, part="b", kind="head_block"), row(3, part="c")]
    assert on_sisters(rows, [("d1", "g", "worn"), ("d2", "g", "worn"), ("d3", "g", "")], {}) == []
