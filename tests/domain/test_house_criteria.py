"""Criteria as they hold in a house: figures signed in, what governs, how strict a rule set is."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.condition import condition_verdicts, conditions_by_defect
from inspect_app.domain.criteria import UPPER, Op
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house_criteria import (
    governing_words,
    house_criteria,
    may_be_signed,
    signed_rule,
    strictness_of,
)
from inspect_app.domain.house_rule import GoverningChoice, SignedValue, Strictness
from inspect_app.domain.judge import Result, judge, limits_for, worst
from inspect_app.domain.limit_form import Fixed, value_of
from inspect_app.domain.limit_slots import read_figures, size_words, slots, with_figures
from inspect_app.domain.limit_words import rule_words
from inspect_app.store.reference import reference_at

BASE = reference_at(shared_dir()).criteria
RULES = {rule.id: rule for criterion in BASE.values() for rule in criterion.rules}
SIGNED = SignedValue(
    "1", "iso14122-slot-people", ("20",), "mm", "more_than", "2016", "4.2.4", "Ann Roe", "Inspector 7", "2026-03-01",
    "Ann Roe", "2026-03-02T10:00:00.000+00:00",
)  # fmt: skip
CHOICE = GoverningChoice(
    "1", "rope-diameter", "tm-5-3810-302-10", "US Army TM 5-3810-302-10", "less_strict", "Ann Roe", "Inspector 7",
    "the maker's own table", "Ann Roe", "2026-03-02T10:00:00.000+00:00",
)  # fmt: skip
ROPE = {"rope_diameter_mm": "6.35", "rope_baseline_mm": "6.5532"}


def test_a_signed_row_judges_and_its_mark_names_who_and_from_what() -> None:
    here = house_criteria(BASE, {SIGNED.rule: SIGNED}, {})
    limits = limits_for(here["deck-slot-width"], {"jurisdiction": "EU"})
    assert [(one.rule, one.value, one.clause) for one in limits] == [("iso14122-slot-people", 20, "4.2.4")]
    assert limits[0].mark_words == "entered by Ann Roe, Inspector 7, 2026-03-01 from 2016"
    assert limits[0].citation == (
        "EN ISO 14122-2 4.2.4 (entered by Ann Roe, Inspector 7, 2026-03-01 from 2016, by analogy)"
    )
    assert judge(Decimal(20), "mm", None, limits)[0].result is Result.INSIDE  # more than, as the house's copy says
    assert limits_for(BASE["deck-slot-width"], {"jurisdiction": "EU"}) == ()


def test_a_figure_in_another_unit_is_converted_exactly() -> None:
    inch = replace(SIGNED, figures=("0.8",), unit="in")
    here = house_criteria(BASE, {SIGNED.rule: inch}, {})
    assert limits_for(here["deck-slot-width"], {"jurisdiction": "EU"})[0].value == Fraction("20.32")


def test_only_rows_from_memory_can_be_signed_and_nothing_twice() -> None:
    assert {rule.id for rule in RULES.values() if may_be_signed(rule)} == {
        rule.id for rule in RULES.values() if rule.mark == "memory"
    }
    read = replace(SIGNED, rule="osha-slot-hole", figures=("99",), unit="in")
    assert house_criteria(BASE, {"osha-slot-hole": read}, {})["deck-slot-width"] == BASE["deck-slot-width"]
    once = house_criteria(BASE, {SIGNED.rule: SIGNED}, {})
    assert house_criteria(once, {SIGNED.rule: SIGNED}, {}) == once


@pytest.mark.parametrize("wrong", [
    {"figures": ("x",)}, {"figures": ("0",)}, {"figures": ("-3",)}, {"figures": ()}, {"figures": ("1", "2")},
    {"unit": "kg"}, {"op": "less_than"}, {"op": "sideways"}, {"figures": ("1e9",)}, {"figures": ("NaN",)},
])  # fmt: skip
def test_a_signed_value_that_does_not_fit_its_row_leaves_it_off(wrong) -> None:
    here = house_criteria(BASE, {SIGNED.rule: replace(SIGNED, **wrong)}, {})
    assert here["deck-slot-width"].rules == BASE["deck-slot-width"].rules


def test_the_figures_of_a_share_and_of_a_table_are_asked_one_by_one() -> None:
    assert [(one.label, one.percent, one.value) for one in slots(RULES["iso4309-steel-core"].form)] == [
        ("", True, Fraction("7.5"))
    ]
    assert [one.label for one in slots(RULES["osha251-clip-count"].form)] == [
        "1/2 in", "5/8 in", "3/4 in", "7/8 in", "1 in"
    ]  # fmt: skip
    form = with_figures(RULES["osha251-clip-count"].form, [Fraction(n) for n in (4, 4, 5, 5, 6)])
    assert value_of(form, {"rope_diameter_mm": "25.4"}) == 6
    assert size_words(Fraction(8)) == "8 mm"


@pytest.mark.parametrize("rule", sorted(rule for rule in RULES if RULES[rule].mark == "memory"))
def test_every_row_from_memory_can_be_filled_with_its_own_figures(rule: str) -> None:
    held = RULES[rule]
    figures = [one.value for one in slots(held.form)]
    assert figures
    assert with_figures(held.form, figures) == held.form
    typed = [str(one) if one.denominator == 1 else f"{one.numerator}/{one.denominator}" for one in figures]
    assert list(read_figures(held.form, typed, held.unit, held.unit)) == figures
    with pytest.raises(BadValue):
        read_figures(held.form, typed[1:], held.unit, held.unit)


def test_what_governs_is_told_with_who_and_why_and_outside_by_any_still_leads() -> None:
    here = house_criteria(BASE, {}, {"rope-diameter": CHOICE})["rope-diameter"]
    limits = limits_for(here, ROPE)
    assert {one.source for one in limits if one.governing} == {"tm-5-3810-302-10"}
    verdicts = judge(Decimal("0.236"), "in", None, limits)  # inside 1/64 in. of the manual, outside five percent
    said = {v.limit.source: v.result for v in verdicts if v.limit}
    assert said["tm-5-3810-302-10"] is Result.INSIDE
    assert worst(verdicts).result is Result.OUTSIDE
    assert governing_words(here, limits) == (
        "governing here: US Army TM 5-3810-302-10 (chosen by Ann Roe, Inspector 7, 2026-03-02, because the maker's own "
        "table); also shown: 29 CFR 1926.1413; 30 CFR 56.19024; WAC 296-54-557"
    )
    assert governing_words(BASE["rope-diameter"], limits) == ""
    assert "no row for this part" in governing_words(here, ())


STRICTEST_ONCE = replace(CHOICE, source="29cfr1926.1413", document="29 CFR 1926.1413", strictness="strictest",
                         name="", credential="", reason="")  # fmt: skip


@pytest.mark.parametrize(("rope", "said"), [
    ({"rope_diameter_mm": "6.35"}, "which it cannot be shown to be for this part"),  # no first measure: not comparable
    (ROPE, "which it is not for this part: a qualified person has to choose anew and say why"),  # 94 % of 0.258 in.
    ({"rope_diameter_mm": "6.35", "rope_baseline_mm": "6.35"}, ""),  # 95 % of nominal against 94 % of the same
])  # fmt: skip
def test_what_was_chosen_as_the_strictest_says_so_where_it_no_longer_is(rope, said) -> None:
    here = house_criteria(BASE, {}, {"rope-diameter": STRICTEST_ONCE})["rope-diameter"]
    words = governing_words(here, limits_for(here, rope))
    assert words.startswith("governing here: 29 CFR 1926.1413 (chosen by Ann Roe, 2026-03-02)")
    assert ("chosen as the strictest" in words) is bool(said)
    assert said in words


def test_a_row_signed_in_later_can_be_stricter_than_what_was_chosen_as_the_strictest() -> None:
    iso = replace(SIGNED, rule="iso4309-steel-core", figures=("2",), unit="", op="at_most")
    rope = {"rope_diameter_mm": "6.35", "rope_baseline_mm": "6.35", "rope_core": "steel"}
    chosen = {"rope-diameter": STRICTEST_ONCE}
    before, after = (house_criteria(BASE, signed, chosen)["rope-diameter"] for signed in ({}, {iso.rule: iso}))
    assert "chosen as the strictest" not in governing_words(before, limits_for(before, rope))
    assert "cannot be shown to be for this part" in governing_words(after, limits_for(after, rope))  # other window


@pytest.mark.parametrize("typed", ["92.5", "50", "750", "101"])
def test_a_share_that_would_let_half_a_rope_go_is_refused(typed: str) -> None:
    wrong = replace(SIGNED, rule="iso4309-steel-core", figures=(typed,), unit="", op="at_most")
    with pytest.raises(BadValue):
        signed_rule(RULES["iso4309-steel-core"], wrong)
    assert house_criteria(BASE, {wrong.rule: wrong}, {})["rope-diameter"] == BASE["rope-diameter"]


@given(
    st.sampled_from(sorted({rule.source.key for rule in BASE["rope-diameter"].rules if rule.active})),
    st.decimals(min_value="0.15", max_value="0.3", places=5),
)
def test_outside_the_strictest_is_outside_whatever_governs(source: str, inches: Decimal) -> None:
    chosen = house_criteria(BASE, {}, {"rope-diameter": replace(CHOICE, source=source)})["rope-diameter"]
    limits = limits_for(chosen, ROPE)
    strictest = max(limit.value for limit in limits if limit.value is not None)
    leads = worst(judge(inches, "in", None, limits)).result
    assert (leads is Result.OUTSIDE) is (Fraction(inches) * Fraction("25.4") < strictest)


@pytest.mark.parametrize(("criterion", "source", "parts", "expected"), [
    ("rope-diameter", "30cfr56.19024", [ROPE], Strictness.STRICTEST),  # 94 % of 0.258 in. against 95 % of 0.250 in.
    ("rope-diameter", "29cfr1926.1413", [ROPE], Strictness.LESS_STRICT),
    ("rope-diameter", "29cfr1926.1413", [{"rope_diameter_mm": "6.35"}], Strictness.NOT_COMPARABLE),  # no first measure
    ("rope-diameter", "wac-296-54-557", [ROPE], Strictness.LESS_STRICT),
    ("rope-diameter", "29cfr1926.1413", [], Strictness.NOT_COMPARABLE),
    ("rope-diameter", "iso4309", [ROPE], Strictness.NOT_COMPARABLE),  # off
    ("rope-diameter", "29cfr1926.1413", [{"rope_diameter_mm": "six"}], Strictness.NOT_COMPARABLE),
    ("rope-outer-wire-wear", "29cfr1910.184", [{}], Strictness.STRICTEST),  # one third or more against more than
    ("rope-outer-wire-wear", "30cfr56.19024", [{}], Strictness.LESS_STRICT),
    ("rope-broken-wires-strand", "asme-b30.2", [{"rope_construction": "7x19"}], Strictness.LESS_STRICT),
    ("rope-broken-wires-strand", "29cfr1926.1413", [{"rope_construction": "7x19"}], Strictness.STRICTEST),  # 2.85: 3
    ("rope-broken-wires-lay", "29cfr1926.1413", [{"rope_construction": "7x19"}], Strictness.STRICTEST),  # 5.32: 6
    ("rope-broken-wires-lay", "30cfr56.19024", [{"rope_construction": "7x19"}], Strictness.LESS_STRICT),  # 6.65: 7
    ("guardrail-opening", "iso14122-3", [{"jurisdiction": "GB"}], Strictness.NOT_COMPARABLE),  # other windows
])  # fmt: skip
def test_how_strict_a_rule_set_is_for_the_parts_of_a_house(criterion, source, parts, expected) -> None:
    assert strictness_of(BASE[criterion], source, parts) is expected


@given(st.decimals(min_value="0.2", max_value="0.3", places=4))
def test_a_choice_changes_no_verdict(inches: Decimal) -> None:
    chosen = house_criteria(BASE, {}, {"rope-diameter": CHOICE})["rope-diameter"]
    said = [
        [(v.result, v.words) for v in judge(inches, "in", None, limits_for(one, ROPE))]
        for one in (BASE["rope-diameter"], chosen)
    ]
    assert said[0] == said[1]


def test_a_kink_seen_is_told_with_its_clause() -> None:
    conditions = conditions_by_defect(BASE)["drum-rope-form/kink"]
    verdicts = condition_verdicts(conditions, {})
    assert {verdict.result for verdict in verdicts} == {Result.OUTSIDE}
    assert [verdict.limit.citation for verdict in verdicts if verdict.limit] == [
        "29 CFR 1926.1413 (a)(2)(i), category I (text read, by analogy)",
        "30 CFR 56.19024 (e) (text read, by analogy)",
        "WAC 296-874-30016 (2)(a) and (b) (text read, by analogy)",
    ]


def test_every_rule_can_be_said_in_words() -> None:
    for criterion in BASE.values():
        for rule in criterion.rules:
            assert rule_words(rule, criterion)
    assert rule_words(RULES["primer-fleet-ratio"], BASE["fleet-angle"]) == "more than 1 in 40"
    assert rule_words(RULES["din15020-lang-30d"], BASE["rope-broken-wires-30d"]).startswith(
        "at or above the figure by number of wires in the outer strands: up to 50: 2; 51 to 75: 3; "
    )
    assert rule_words(RULES["b30-diameter"], BASE["rope-diameter"]).startswith(
        "less than the nominal rope diameter less a figure by nominal rope diameter: "
        "up to 5/16 in: 1/64 in, 0.396875 mm; 3/8 in to 1/2 in: 1/32 in, 0.79375 mm; "
    )
    assert rule_words(RULES["osha1413-running"], BASE["rope-broken-wires-lay"]) == "6 or more"
    assert rule_words(RULES["msha-total"], BASE["rope-broken-wires-lay"]) == (
        "more than 5 % of the number of wires in the rope"
    )


@given(
    st.sampled_from(list(Op)), st.sampled_from(list(Op)), st.integers(0, 60), st.integers(0, 60),
)  # fmt: skip
def test_of_two_counts_the_stricter_is_outside_wherever_the_other_is(
    mine: Op, theirs: Op, one: int, other: int
) -> None:
    rules = [
        replace(RULES["osha184-lay"], id=source, source=replace(RULES["osha184-lay"].source, key=source), op=op,
                form=Fixed(Fraction(tenths, 10)))
        for source, op, tenths in (("a", mine, one), ("b", theirs, other))
    ]  # fmt: skip
    criterion = replace(BASE["rope-broken-wires-lay"], rules=tuple(rules))
    said = strictness_of(criterion, "a", [{}])
    if (mine in UPPER) != (theirs in UPPER):
        assert said is Strictness.NOT_COMPARABLE
        return
    outside = [
        {n for n in range(10) if judge(n, "count", None, [limit])[0].result is Result.OUTSIDE}
        for limit in limits_for(criterion, {})
    ]
    assert (said is Strictness.STRICTEST) is (outside[0] >= outside[1])
