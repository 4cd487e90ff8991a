"""What is said of one figure: each verdict once, the gravest first, of those the strictest limit's."""

from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.asked_limits import strictest_first
from inspect_app.domain.house_rule import GoverningChoice
from inspect_app.domain.judge import Result, judge, limits_for
from inspect_app.domain.judged_measure import lead_words, measure_words, said_alike, verdict_words
from inspect_app.domain.walk import Measure
from inspect_app.store.reference import reference_at

CRITERIA = reference_at(shared_dir()).criteria
ROPE = {"rope_diameter_mm": "6.35", "rope_construction": "7x19", "rope_baseline_mm": "6.5532", "rope_use": "running"}
GRAVEST = (Result.OUTSIDE, Result.CANNOT_TELL, Result.INSIDE, Result.NOT_JUDGED, Result.NO_LIMIT)
THOUSANDTHS = st.integers(0, 40_000).map(lambda n: Fraction(n, 1000))


@given(THOUSANDTHS, st.sampled_from(["", "0.001", "0.25"]), st.sampled_from([{}, ROPE]))
def test_nothing_that_a_limit_says_is_lost_doubled_or_hidden_behind_something_lighter(
    size: Fraction, step: str, attributes: dict[str, str]
) -> None:
    for criterion in (CRITERIA["rope-diameter"], CRITERIA["tread-ratio"]):
        unit = "in" if criterion.key == "rope-diameter" else "none"
        verdicts = judge(size, unit, Fraction(step) if step else None, limits_for(criterion, attributes))
        groups = said_alike(verdicts)
        assert Counter(one for group in groups for one in group.verdicts) == Counter(verdicts)
        ranks = [GRAVEST.index(group.result) for group in groups]
        assert ranks == sorted(ranks)
        assert groups[0].result is min((one.result for one in verdicts), key=GRAVEST.index)
        words = verdict_words(verdicts, unit)
        for one in verdicts:
            if one.limit is not None:
                assert one.limit.citation in words
        assert lead_words(verdicts, unit).startswith(groups[0].words)


@given(THOUSANDTHS, THOUSANDTHS)
def test_a_figure_outside_one_limit_is_outside_each_that_stands_before_it(one: Fraction, other: Fraction) -> None:
    limits = strictest_first(limits_for(CRITERIA["rope-diameter"], ROPE))
    assert len(limits) > 2
    for size in (one, other):
        outside = [verdict.result is Result.OUTSIDE for verdict in judge(size / 100, "in", None, limits)]
        assert outside == sorted(outside, reverse=True)


def test_a_short_form_names_the_strictest_limit_that_is_passed_how_many_others_there_are_and_what_governs() -> None:
    criterion = CRITERIA["rope-diameter"]
    verdicts = judge(Fraction("0.236"), "in", None, limits_for(criterion, ROPE))
    assert lead_words(verdicts, "in") == (
        "outside the cited criterion: take out of use and have a qualified person decide; "
        "outside when less than 0.24252 in, 30 CFR 56.19024 (g) (text read, by analogy); 3 other limits"
    )
    choice = GoverningChoice(
        "g", "rope-diameter", "tm-5-3810-302-10", "US Army TM", "less_strict", "Ann Roe", "Inspector 7",
        "the maker says so", "p", "2026-03-04T12:00:00+00:00",
    )  # fmt: skip
    chosen = judge(Fraction("0.236"), "in", None, limits_for(replace(criterion, governing=choice), ROPE))
    assert lead_words(chosen, "in").endswith(
        "; governing here: US Army TM (chosen by Ann Roe, Inspector 7, 2026-03-04, because the maker says so)"
    )
    (alone,) = judge(Fraction(1), "in", None, ())
    assert lead_words((alone,), "in") == "no published limit"


@pytest.mark.parametrize(
    ("value", "unit", "typed", "words"),
    [
        ("0.234375", "in", "15/64", "rope diameter 0.234375 in (typed 15/64)"),
        ("6.35", "mm", "6,35", "rope diameter 6.35 mm (typed 6,35)"),
        ("6.35", "mm", "6.35", "rope diameter 6.35 mm"),
        ("3", "count", "3", "rope diameter 3"),
        ("1.5", "deg", "1.5", "rope diameter 1.5°"),
    ],
)
def test_a_figure_is_shown_with_its_unit_and_as_it_was_typed(value: str, unit: str, typed: str, words: str) -> None:
    assert measure_words(Measure("e", "p", "d", "rope_diameter", value, unit, typed, "", "", "")) == words
