"""Which findings are one fault: chains of answers and corrections, told in any order."""

from itertools import permutations

from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import Answer
from inspect_app.domain.deficiency_chain import Cut, Regraded, Said, chain_of


def said(
    key: str,
    of: str | None = None,
    answer: Answer = Answer.NEW,
    grade: Grade = Grade.WATCH,
    n: int = 0,
    point: str = "p",
) -> Said:
    """A finding; its entry is `e-` and its key, the n-th minute both its time and its arrival."""
    return Said(key, f"e-{key}", point, of, answer, grade, f"2026-03-04T10:{n:02d}", f"2026-03-04T22:{n:02d}")


def test_answers_and_corrections_are_one_fault_and_the_last_correction_speaks_in_any_order() -> None:
    told = [
        said("a", grade=Grade.STOP_USE, n=1),
        said("b", grade=Grade.RESTRICT, n=2),
        said("c", grade=Grade.WATCH, n=3),
        said("d", of="a", answer=Answer.STILL_THERE, grade=Grade.STOP_USE, n=4),
        said("x", point="another", grade=Grade.STOP_USE, n=5),
    ]
    replaced = {"e-b": ["e-a"], "e-c": ["e-b"]}
    for order in permutations(told):
        for key in "abcd":
            chain = chain_of(key, order, replaced)
            assert chain is not None
            assert (chain.members, chain.speaker, chain.grade) == (frozenset("abcd"), "c", Grade.WATCH)
            assert chain.found_at == told[0].at


def test_two_answers_to_what_has_not_arrived_are_one_fault_and_not_seen_now_alone_is_none() -> None:
    worse = said("b", of="a", answer=Answer.WORSE, grade=Grade.RESTRICT, n=2)
    gone = said("c", of="a", answer=Answer.NOT_SEEN_NOW, n=1)
    chain = chain_of("c", [worse, gone], {})
    assert chain is not None
    assert (chain.members, chain.speaker, chain.grade) == (frozenset("bc"), "b", Grade.RESTRICT)
    assert chain_of("c", [gone], {}) is None


def test_a_correction_that_answers_another_fault_leaves_the_first_one_as_it_was() -> None:
    told = [
        said("x", n=1),
        said("y", n=2),
        said("a", of="y", answer=Answer.WORSE, grade=Grade.STOP_USE, n=3),
        said("b", of="x", answer=Answer.STILL_THERE, n=4),
    ]
    first, second = chain_of("x", told, {"e-b": ["e-a"]}), chain_of("y", told, {"e-b": ["e-a"]})
    assert first is not None
    assert second is not None
    assert (first.members, second.members) == (frozenset("xb"), frozenset("ya"))
    assert second.grade is Grade.WATCH  # the answer that raised it was about another fault


def test_a_grade_that_a_person_decided_holds_until_something_arrives_that_raises_it() -> None:
    root, still = said("a", grade=Grade.RESTRICT, n=1), said("b", of="a", answer=Answer.STILL_THERE, n=3)
    decided = [Regraded("a", Grade.WATCH, "2026-03-04T22:02")]
    chain = chain_of("b", [root, still], {}, decided)
    assert chain is not None
    assert chain.grade is Grade.WATCH
    worse = said("c", of="a", answer=Answer.WORSE, grade=Grade.REPAIR_BY, n=4)
    chain = chain_of("c", [root, still, worse], {}, decided)
    assert chain is not None
    assert chain.grade is Grade.REPAIR_BY


def test_what_a_person_joined_is_one_fault_and_a_closing_parts_it() -> None:
    def told(key: str, at: str, of: str | None = None) -> Said:
        return Said(key, f"e{key}", key, of, Answer.STILL_THERE if of else Answer.NEW, Grade.WATCH, at, at)

    said = [told("a", "2026-01-01"), told("b", "2026-01-02"), told("c", "2026-03-01", "a")]
    joined = chain_of("a", said, {}, joined=[("a", "b")])
    assert joined is not None
    assert joined.members == {"a", "b", "c"}
    cuts = [Cut(frozenset({"a"}), "2026-02-01")]
    before, after = (chain_of(key, said, {}, joined=[("a", "b")], cuts=cuts) for key in ("b", "c"))
    assert before is not None
    assert after is not None
    assert (before.members, after.members) == ({"a", "b"}, {"c"})
    assert after.related == {"a", "b", "c"}
    elsewhere = chain_of("c", said, {}, cuts=[Cut(frozenset({"z"}), "2026-02-01")])
    assert elsewhere is not None
    assert elsewhere.members == {"a", "c"}


def test_a_clock_that_was_wrong_does_not_decide_on_which_side_of_a_closing_it_was() -> None:
    said = [
        Said("a", "ea", "p", None, Answer.NEW, Grade.WATCH, "2026-01-01", "2026-01-01"),
        Said("b", "eb", "p", "a", Answer.STILL_THERE, Grade.WATCH, "2026-01-05", "2026-03-01", true_at="2026-03-01"),
    ]
    found = chain_of("b", said, {}, cuts=[Cut(frozenset({"a"}), "2026-02-01")])
    assert found is not None
    assert found.members == {"b"}
