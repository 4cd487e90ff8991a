"""Which looks stand, count and differ."""

from datetime import UTC, datetime, timedelta
from itertools import permutations
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.checklist import Grade, Way
from inspect_app.domain.walk import (
    Countersign,
    Decision,
    DecisionKind,
    Finding,
    How,
    Look,
    LookResult,
    differing_looks,
    is_counted,
    standing_looks,
    with_decided_grades,
)

AT = datetime(2026, 3, 4, 19, 0, tzinfo=UTC)


def a_look(entry: str, result: str = "no_finding", **more: Any) -> Look:
    fields: dict[str, Any] = {
        "part": "p1", "in_pass": "grid/static", "checklist": "c", "points": ("a",), "ways": frozenset({Way.SEEN_CLOSE}),
        "by": "ines", "by_name": "Ines", "at": AT,
    }  # fmt: skip
    return Look(entry=entry, result=LookResult(result), **{**fields, **more})


def a_finding(entry: str, grade: str, point: str = "a") -> Finding:
    return Finding(f"f-{entry}", entry, "p1", point, "text", "", "new", None, Grade(grade), "", "", None, "")


def entries(looks: tuple[Look, ...]) -> set[str]:
    return {look.entry for look in looks}


def test_a_replaced_look_does_not_stand_whatever_the_order_of_arrival() -> None:
    looks = [a_look("1", replaced_by=("2",)), a_look("2", "finding"), a_look("3", part="p2")]
    for order in permutations(looks):
        assert entries(standing_looks(order)) == {"2", "3"}


def test_a_withdrawal_takes_its_look_away_and_does_not_stand_itself() -> None:
    assert standing_looks([a_look("1", replaced_by=("2",)), a_look("2", "withdrawn")]) == ()


def test_one_resolution_may_replace_two_looks() -> None:
    looks = [a_look("1", replaced_by=("3",)), a_look("2", "finding", replaced_by=("3",)), a_look("3")]
    assert entries(standing_looks(looks)) == {"3"}


def test_a_look_whose_replacement_never_arrived_stands() -> None:
    assert entries(standing_looks([a_look("1", replaced_by=("lost",))])) == {"1"}


def test_a_helper_cannot_take_away_a_look_that_counts_until_somebody_countersigns() -> None:
    first = a_look("1", "finding", replaced_by=("2",))
    helper = a_look("2", needs_countersign=True)
    assert entries(standing_looks([first, helper])) == {"1", "2"}
    signed = a_look("2", needs_countersign=True, countersigns=(Countersign("td", "Ines", How.LOOKED_AGAIN, AT),))
    assert entries(standing_looks([first, signed])) == {"2"}


def test_a_helper_may_take_back_a_look_of_their_own_at_once() -> None:
    looks = [a_look("1", needs_countersign=True, replaced_by=("2",)), a_look("2", "withdrawn", needs_countersign=True)]
    assert standing_looks(looks) == ()


def test_only_beside_them_and_looked_again_make_a_helpers_look_count() -> None:
    signs = {how: (Countersign("td", "Ines", how, AT),) for how in How}
    counting = {
        how for how, sign in signs.items() if is_counted(a_look("1", needs_countersign=True, countersigns=sign))
    }
    assert counting == {How.BESIDE_THEM, How.LOOKED_AGAIN}
    assert not is_counted(a_look("1", needs_countersign=True))


def test_an_addition_stands_while_the_look_it_adds_to_does_or_a_correction_of_it() -> None:
    base = a_look("1", replaced_by=("2",))
    added = a_look("3", adds_to="1")
    assert entries(standing_looks([base, a_look("2"), added])) == {"2", "3"}
    assert entries(standing_looks([base, a_look("2", "withdrawn"), added])) == set()


def test_two_people_who_say_different_things_of_one_point_differ_and_the_worse_leads() -> None:
    good, bad = a_look("1"), a_look("2", "finding", by="tomas", findings=(a_finding("2", "watch"),))
    (group,) = differing_looks([good, bad])
    assert group.worst.entry == "2"
    assert not group.decided


def test_looks_on_other_points_or_in_other_passes_do_not_differ() -> None:
    good = a_look("1")
    elsewhere = a_look("2", "finding", points=("b",), findings=(a_finding("2", "watch", "b"),))
    moving = a_look("3", "finding", in_pass="deck/moving", findings=(a_finding("3", "watch"),))
    assert differing_looks([good, elsewhere, moving]) == ()


def test_not_reached_by_the_same_person_speaks_of_the_rest_of_the_pass_by_another_it_differs() -> None:
    seen = a_look("1")
    assert differing_looks([seen, a_look("2", "not_reached", points=())]) == ()
    assert len(differing_looks([seen, a_look("2", "not_reached", points=(), by="tomas")])) == 1


def test_a_person_who_finds_something_after_finding_nothing_has_decided_the_other_way_round_not() -> None:
    later = AT + timedelta(minutes=3)
    found = a_look("2", "finding", findings=(a_finding("2", "watch"),), at=later)
    assert differing_looks([a_look("1"), found]) == ()
    assert len(differing_looks([a_look("1", at=later + timedelta(minutes=3)), found])) == 1


def test_a_decision_settles_a_difference_and_a_later_one_can_bring_the_look_back() -> None:
    looks = [a_look("1"), a_look("2", "finding", by="tomas", findings=(a_finding("2", "watch"),))]
    aside = Decision(DecisionKind.SET_ASIDE, "2", None, "1", "a shadow", "Ines", AT)
    assert differing_looks(looks, [aside])[0].decided
    back = Decision(DecisionKind.SET_ASIDE, "2", None, "2", "not a shadow", "Ines", AT + timedelta(minutes=1))
    assert not differing_looks(looks, [back, aside])[0].decided


def test_a_grade_decided_at_review_replaces_the_one_recorded_and_names_who() -> None:
    look = a_look("1", "finding", findings=(a_finding("1", "restrict"),))
    decision = Decision(DecisionKind.GRADE, None, "f-1", "watch", "a scratch only", "Ines", AT)
    (changed,) = with_decided_grades([look], [decision])
    assert changed.findings[0].grade is Grade.WATCH
    assert "Ines" in changed.findings[0].grade_reason
    assert "a scratch only" in changed.findings[0].grade_reason


@st.composite
def many_looks(draw: st.DrawFn) -> list[Look]:
    count = draw(st.integers(1, 7))
    names = [str(n) for n in range(count)]
    return [
        a_look(
            name,
            draw(st.sampled_from([r.value for r in LookResult])),
            replaced_by=tuple(draw(st.sets(st.sampled_from(names), max_size=2))),
            adds_to=draw(st.none() | st.sampled_from(names)),
            needs_countersign=draw(st.booleans()),
        )
        for name in names
    ]


@given(many_looks(), st.randoms(use_true_random=False))
def test_what_stands_never_depends_on_the_order_of_arrival_and_no_circle_hangs(looks: list[Look], chance: Any) -> None:
    before = entries(standing_looks(looks))
    chance.shuffle(looks)
    assert entries(standing_looks(looks)) == before
