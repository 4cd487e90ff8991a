"""Counts that add up, points that are asked and answered, and the threshold of a checklist."""

from datetime import UTC, date, datetime
from fractions import Fraction
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.checklist import (
    Basis,
    Checklist,
    Competence,
    Grade,
    Method,
    Point,
    Section,
    State,
    Vantage,
    Way,
)
from inspect_app.domain.coverage import checklist_shares, count_by, count_parts, points_not_answered
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.part_result import PartOutcome, PartResult, part_results, parts_in_scope
from inspect_app.domain.walk import Decision, DecisionKind, Finding, Look, LookResult, Scope

AT = datetime(2026, 3, 4, 19, 0, tzinfo=UTC)


def a_point(point: str, kind: PartKind = PartKind.LOFT_BLOCK, state: State = State.STATIC) -> Point:
    return Point(
        point, f"Ask {point}", (kind,), Vantage.GRID, Method.LOOK, state, Way.SEEN_CLOSE, Competence.TRAINED, "", "",
        (), (), "finding", Grade.WATCH, Basis(),
    )  # fmt: skip


def a_checklist(*points: Point, coverage: float = 0.5) -> Checklist:
    section = Section("s", "", {}, points)
    return Checklist("c", "C", "", "P3M", "", coverage, Competence.COMPETENT, Basis(), "", (), (section,), "ab" * 32)


def a_part(tag: str, kind: PartKind = PartKind.LOFT_BLOCK, **more: Any) -> Part:
    return Part(id=tag, house="h", area=more.pop("area", "grid"), kind=kind, tag=tag, **more)


def a_look(entry: str, part: str, result: str = "no_finding", **more: Any) -> Look:
    fields: dict[str, Any] = {
        "in_pass": "grid/static", "checklist": "c", "points": ("a",), "ways": frozenset({Way.SEEN_CLOSE}),
        "by": "ines", "by_name": "Ines", "at": AT,
    }  # fmt: skip
    return Look(entry=entry, part=part, result=LookResult(result), **{**fields, **more})


LIST = a_checklist(a_point("a"), a_point("b"))
PARTS = [a_part(f"LB {n}") for n in range(4)]


def one(*looks: Look, decisions: tuple[Decision, ...] = ()) -> PartResult:
    return part_results([a_part("p")], [LIST], looks, decisions)[0]


def test_a_tap_answers_its_own_points_and_no_other() -> None:
    result = one(a_look("1", "p"))
    assert (result.outcome, result.asked, result.answered) == (PartOutcome.NO_FINDING, {"a", "b"}, {"a"})


def test_a_helpers_entry_does_not_count_until_countersigned() -> None:
    result = one(a_look("1", "p", needs_countersign=True))
    assert (result.outcome, result.answered) == (PartOutcome.NOT_LOOKED_AT, frozenset())


def test_the_worse_of_two_looks_counts_until_a_person_decides() -> None:
    finding = Finding("f", "2", "p", "a", "", "", "new", None, Grade.RESTRICT, "", "", 3, "")
    good = a_look("1", "p")
    bad = a_look("2", "p", "finding", by="tomas", findings=(finding,))
    assert (one(good, bad).outcome, one(good, bad).grade) == (PartOutcome.FINDING, Grade.RESTRICT)
    aside = Decision(DecisionKind.SET_ASIDE, "2", None, "1", "looked again together", "Ines", AT)
    assert (one(good, bad, decisions=(aside,)).outcome) is PartOutcome.NO_FINDING


def test_not_reached_by_another_person_outweighs_no_finding_until_decided() -> None:
    both = (a_look("1", "p"), a_look("2", "p", "not_reached", by="tomas", points=()))
    assert (one(*both).outcome, one(*both).answered) == (PartOutcome.NOT_REACHED, frozenset())
    aside = Decision(DecisionKind.SET_ASIDE, "2", None, "1", "he meant the next one", "Ines", AT)
    assert one(*both, decisions=(aside,)).answered == {"a"}


def test_not_applicable_asks_its_points_until_it_is_confirmed() -> None:
    look = a_look("1", "p", "not_applicable", points=())
    assert one(look).asked == {"a", "b"}
    confirmed = Decision(DecisionKind.NOT_APPLICABLE, "1", None, "confirmed", "", "Ines", AT)
    assert (one(look, decisions=(confirmed,)).asked, one(look).outcome) == (frozenset(), PartOutcome.NOT_APPLICABLE)
    refused = Decision(DecisionKind.NOT_APPLICABLE, "1", None, "refused", "there is one", "Ines", AT)
    assert one(look, decisions=(refused,)).outcome is PartOutcome.NOT_LOOKED_AT


def test_an_addition_answers_its_point_and_leaves_the_result_alone() -> None:
    result = one(a_look("1", "p"), a_look("2", "p", points=("b",), adds_to="1"))
    assert (result.outcome, result.answered) == (PartOutcome.NO_FINDING, {"a", "b"})


def test_a_part_never_recorded_is_told_from_one_only_not_looked_at_now() -> None:
    results = part_results(PARTS, [LIST], [a_look("1", "LB 0")], known_before=frozenset({"LB 1"}))
    counts = count_parts(results)
    assert (counts.looked_at, counts.not_looked_at, counts.never_recorded) == (1, 3, 2)


def test_a_checklist_is_complete_from_exactly_its_threshold() -> None:
    results = part_results(PARTS, [LIST], [a_look(part.id, part.id) for part in PARTS])
    (share,) = checklist_shares(results, [LIST])
    assert (share.asked, share.answered, share.share, share.complete) == (8, 4, "0.5000", True)
    assert not checklist_shares(results, [a_checklist(a_point("a"), a_point("b"), coverage=0.501)])[0].complete


def test_nothing_asked_is_never_complete() -> None:
    assert not checklist_shares([], [LIST])[0].complete


def test_a_share_is_never_rounded_up() -> None:
    parts = [a_part(str(n)) for n in range(3)]
    only = a_checklist(a_point("a"), coverage=0.9)
    results = part_results(parts, [only], [a_look("1", "0"), a_look("2", "1")])
    assert checklist_shares(results, [only])[0].share == "0.6666"


def test_the_scope_leaves_out_other_sets_and_areas_retired_parts_and_kinds_nobody_asks_of() -> None:
    parts = [
        a_part("in", line_set="s1"), a_part("other set", line_set="s2"), a_part("no set"), a_part("deck", area="deck"),
        a_part("gone", line_set="s1", retired_on=date(2020, 1, 1)), a_part("ladder", PartKind.LADDER),
    ]  # fmt: skip
    scope = Scope((("c", "ab" * 32),), frozenset({"s1"}), frozenset({"grid"}))
    assert [part.id for part in parts_in_scope(parts, scope, [LIST])] == ["in", "no set"]


RESULTS = [r.value for r in LookResult]


@st.composite
def a_walk(draw: st.DrawFn) -> list[Look]:
    looks = []
    for n in range(draw(st.integers(0, 12))):
        points = tuple(draw(st.sets(st.sampled_from(["a", "b", "zz"]))))
        looks.append(
            a_look(
                str(n),
                draw(st.sampled_from([p.id for p in PARTS])),
                draw(st.sampled_from(RESULTS)),
                points=points,
                by=draw(st.sampled_from(["ines", "tomas"])),
                ways=frozenset(draw(st.sets(st.sampled_from(list(Way))))),
                replaced_by=tuple(draw(st.sets(st.sampled_from([str(i) for i in range(12)]), max_size=1))),
                needs_countersign=draw(st.booleans()),
                in_pass=draw(st.sampled_from(["grid/static", "deck/moving"])),
            )
        )
    return looks


@given(a_walk())
def test_the_counts_always_add_up(looks: list[Look]) -> None:
    results = part_results(PARTS, [LIST], looks)
    counts = count_parts(results)
    parts = counts.looked_at + counts.not_reached + counts.not_applicable + counts.not_looked_at
    assert counts.in_scope == len(PARTS) == parts
    assert counts.looked_at == counts.no_finding + counts.finding
    assert counts.never_recorded <= counts.not_looked_at
    assert max(counts.handled, counts.seen_close, counts.seen_from_afar, counts.heard) <= counts.looked_at
    by_part = count_by(results, lambda row: row.part.id)
    assert tuple(map(sum, zip(*by_part.values(), strict=True))) == counts
    for row in results:
        assert row.answered <= row.asked
    (share,) = checklist_shares(results, [LIST])
    assert Fraction(share.share) <= Fraction(share.answered, share.asked)
    assert sum(point.parts for point in points_not_answered(results, [LIST])) == counts.asked - counts.answered


@given(a_walk())
def test_nothing_is_answered_that_no_counted_look_answers(looks: list[Look]) -> None:
    said = {(look.part, point) for look in looks if not look.needs_countersign for point in look.answered}
    for row in part_results(PARTS, [LIST], looks):
        assert {(row.part.id, point) for point in row.answered} <= said
