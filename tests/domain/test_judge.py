"""Judging measures: the clauses at, under and over their limits, and the exact words."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.criteria import Consequence
from inspect_app.domain.errors import BadValue
from inspect_app.domain.judge import Limit, Result, Verdict, judge, limits_for, unjudged, worst
from inspect_app.store.reference import reference_at
from tests.published import published

CRITERIA = reference_at(shared_dir()).criteria
IN = Fraction("25.4")
ROPE_7X19 = {"rope_construction": "7x19"}
QUARTER = {"rope_diameter_mm": "6.35"}


def limit_of(criterion: str, rule: str, attributes: Mapping[str, object]) -> Limit:
    found = [limit for limit in limits_for(CRITERIA[criterion], attributes) if limit.rule == rule]
    assert len(found) == 1, f"{rule} does not fit {dict(attributes)}"
    return found[0]


def result(value: str, unit: str, limit: Limit, resolution: str | None = None) -> Result:
    step = None if resolution is None else Decimal(resolution)
    return judge(Decimal(value), unit, step, [limit])[0].result


LAY = "rope-broken-wires-lay"


def test_the_misprinted_groove_row_is_left_out_and_said_to_be_missing() -> None:
    limit = limit_of("groove-radius", "wrtb-worn-groove", {"rope_diameter_mm": "14.2875"})
    (verdict,) = judge(Decimal("0.27"), "in", None, [limit])
    assert verdict.result is Result.NOT_JUDGED
    assert (
        verdict.words == "not judged: the cited table has no row for this nominal rope diameter (9/16 in, 14.2875 mm)"
    )


@pytest.mark.parametrize(
    ("stored", "found"), [("7.9375", True), ("7.94", True), ("7.9", False), ("8", False), ("9.5", True)]
)
def test_a_rounded_inch_size_finds_its_row_and_a_metric_size_does_not(stored: str, found: bool) -> None:
    limit = limit_of("groove-radius", "wrtb-worn-groove", {"rope_diameter_mm": stored})
    assert (limit.value is not None) is found


WORDS = {  # the wording agreed for what a person reads
    "rope-diameter": "outside the cited criterion: take out of use and have a qualified person decide",
    "toeboard-gap": (
        "outside the cited criterion: keep people clear of it or use the house's accepted measure, "
        "and have a qualified person decide"
    ),
}


@pytest.mark.parametrize(("criterion", "value"), [("rope-diameter", "0.1"), ("toeboard-gap", "5")])
def test_outside_is_said_in_the_words_of_its_consequence(criterion: str, value: str) -> None:
    verdict = worst(judge(Decimal(value), "in", None, limits_for(CRITERIA[criterion], QUARTER)))
    assert verdict.words == WORDS[criterion]
    assert verdict.hint == "outside"


def test_a_label_outside_is_put_right_by_the_date() -> None:
    limit = limit_of("toeboard-gap", "osha-toeboard-gap", {})
    (verdict,) = judge(Decimal(5), "in", None, [replace(limit, consequence=Consequence.LABEL)])
    assert verdict.words == "outside: put right by the date"


def test_inside_says_this_measure_only_and_never_safe() -> None:
    verdicts = judge(Decimal("0.25"), "in", None, limits_for(CRITERIA["rope-diameter"], QUARTER))
    assert worst(verdicts) == verdicts[0]
    assert verdicts[0].words == "inside the cited criterion, this measure only"
    assert not any("safe" in v.words for v in verdicts)


@pytest.mark.parametrize(
    ("value", "expected"),
    [("0.236", Result.OUTSIDE), ("0.237", Result.CANNOT_TELL), ("0.238", Result.CANNOT_TELL), ("0.239", Result.INSIDE)],
)
def test_a_limit_within_half_a_step_of_the_gauge_cannot_be_told(value: str, expected: Result) -> None:
    limit = limit_of("rope-diameter", "osha1413-diameter", QUARTER)  # 0.2375 in.
    (verdict,) = judge(Decimal(value), "in", Decimal("0.001"), [limit])
    assert verdict.result is expected
    assert (verdict.words == "cannot tell with this gauge") is (expected is Result.CANNOT_TELL)


def test_counts_are_exact_whatever_resolution_is_given() -> None:
    assert result("6", "count", limit_of(LAY, "osha1413-running", {}), resolution="1") is Result.OUTSIDE


@pytest.mark.parametrize("key", ["house-baseline", "part-plate"])
def test_without_a_published_limit_it_says_so(key: str) -> None:
    (verdict,) = judge(Decimal(3), "mm", None, limits_for(CRITERIA[key], {}))
    assert (verdict.result, verdict.words, verdict.limit, verdict.hint) == (
        Result.NO_LIMIT, "no published limit", None, "none",
    )  # fmt: skip
    assert worst(()).words == "no published limit"


def test_a_missing_attribute_is_named_instead_of_a_verdict() -> None:
    verdicts = judge(Decimal("0.24"), "in", None, limits_for(CRITERIA["rope-diameter"], {"rope_diameter_mm": " "}))
    assert {v.result for v in verdicts} == {Result.NOT_JUDGED}
    assert unjudged(verdicts) == (
        "not judged: the nominal rope diameter is not recorded for this part",
        "not judged: the first measured rope diameter of this rope is not recorded for this part",
    )


def test_one_clause_without_its_attribute_does_not_hide_another_that_is_outside() -> None:
    verdicts = judge(Decimal("0.2"), "in", None, limits_for(CRITERIA["rope-diameter"], QUARTER))
    assert worst(verdicts).result is Result.OUTSIDE
    assert len(unjudged(verdicts)) == 1


def test_rows_that_plainly_do_not_fit_are_left_out() -> None:
    rules = {limit.rule for limit in limits_for(CRITERIA[LAY], ROPE_7X19)}
    assert "osha1413-running" in rules
    assert "osha1413-standing" not in rules
    assert "osha1413-rotation-6d" not in {
        limit.rule for limit in limits_for(CRITERIA["rope-broken-wires-6d"], ROPE_7X19)
    }


@pytest.mark.parametrize(("wires", "expected"), [(2, Result.INSIDE), (3, Result.OUTSIDE)])
def test_a_hanger_of_wire_rope_is_judged_as_one_that_stands_unless_said_otherwise(wires: int, expected: Result) -> None:
    standing = CRITERIA["rope-broken-wires-standing"]
    assert standing.rules == CRITERIA[LAY].rules
    verdicts = judge(wires, "count", None, limits_for(standing, ROPE_7X19))
    assert worst(verdicts).result is expected
    assert "osha1413-standing" in {verdict.limit.rule for verdict in verdicts if verdict.limit}
    moved = limits_for(standing, ROPE_7X19 | {"rope_duty": "running"})
    assert "osha1413-running" in {limit.rule for limit in moved}


def test_a_row_that_plainly_does_not_fit_is_left_out_though_something_else_is_not_recorded() -> None:
    limits = limits_for(CRITERIA["rope-broken-wires-6d"], ROPE_7X19)  # outer wires as usual, its lay not recorded
    assert {limit.rule for limit in limits} == {"din15020-regular-6d", "din15020-lang-6d"}
    assert {limit.missing for limit in limits} == {"rope_lay"}


def test_rows_from_memory_judge_nothing_until_signed_for() -> None:
    every = {"rope_diameter_mm": "6.35", "rope_baseline_mm": "6.4", "rope_core": "fibre", "rotation_resistant": "yes"}
    assert all(limit.mark != "memory" for key in CRITERIA for limit in limits_for(CRITERIA[key], every))


@pytest.mark.parametrize(("house", "rules"), [
    (None, {"osha-rail-low"}), ("US", {"osha-rail-low"}), ("US-NY", {"osha-rail-low"}), ("EU", {"iso14122-rail"}),
    ("GB", {"iso14122-rail", "uk-construction-rail"}), ("NO", {"norway-rail"}), ("CA", set()),
])  # fmt: skip
def test_rail_rows_follow_the_jurisdiction_of_the_house(house: str | None, rules: set[str]) -> None:
    assert {limit.rule for limit in limits_for(CRITERIA["guardrail-height"], {"jurisdiction": house})} == rules


@published(
    "Guardrails, holes, toeboards, ladders", "29 CFR 1910.29", "(b)(1)", "read",
    what="a rail higher than 45 in.", value="allowed when all other criteria are met: not judged by height alone",
)  # fmt: skip
def test_the_upper_rail_height_is_held_but_not_judged_by() -> None:
    (upper,) = [rule for rule in CRITERIA["guardrail-height"].rules if rule.id == "osha-rail-high"]
    assert not upper.active
    assert "all other criteria" in upper.note


@pytest.mark.parametrize("text", ["NaN", "Infinity", "-Infinity", "-0.1", "1E+999999999"])
def test_a_senseless_value_is_refused(text: str) -> None:
    with pytest.raises(BadValue) as caught:
        judge(Decimal(text), "in", None, limits_for(CRITERIA["rope-diameter"], QUARTER))
    assert text.lower().lstrip("-")[:3] in caught.value.message.lower()


def test_a_count_with_a_fraction_is_refused() -> None:
    with pytest.raises(BadValue, match="not a whole number"):
        judge(Decimal("2.5"), "count", None, limits_for(CRITERIA[LAY], {}))


@pytest.mark.parametrize("step", ["0", "-1", "NaN"])
def test_a_senseless_resolution_is_refused(step: str) -> None:
    with pytest.raises(BadValue):
        judge(Decimal(1), "in", Decimal(step), limits_for(CRITERIA["rope-diameter"], QUARTER))


@pytest.mark.parametrize(
    "stored", ["six", "6 mm", "-6.35", "0", "NaN", "inf", "1e999999", "1/0", "1/4", "0.25", "151", "25400000000"]
)
def test_an_attribute_that_is_no_size_of_a_rope_gives_its_reason_and_no_figure(stored: str) -> None:
    limits = limits_for(CRITERIA["rope-diameter"], {"rope_diameter_mm": stored})
    assert {limit.value for limit in limits} == {None}
    why = {limit.why_not for limit in limits if limit.missing == "rope_diameter_mm"}
    assert len(why) == 1
    assert why.pop().startswith("not judged: the nominal rope diameter is recorded as ")


def test_an_attribute_that_cannot_be_does_not_hide_another_row_that_is_outside() -> None:
    rope = {"rope_diameter_mm": "6.35", "rope_baseline_mm": "0.258"}  # inches, kept as if they were millimetres
    said = {v.limit.rule: v.result for v in judge(Decimal("5"), "mm", None, limits_for(CRITERIA["rope-diameter"], rope))
            if v.limit}  # fmt: skip
    assert said["osha1413-diameter"] is Result.OUTSIDE
    assert said["msha-diameter"] is Result.NOT_JUDGED
    for wires in ("0", "99999"):
        counted = judge(20, "count", None, limits_for(CRITERIA[LAY], {"rope_wires_total": wires}))
        assert worst(counted).result is Result.OUTSIDE
        assert f"the number of wires in the rope is recorded as {wires}" in " ".join(unjudged(counted))


ROPE_ATTRIBUTES = [
    "rope_diameter_mm", "rope_baseline_mm", "rope_wires_total", "rope_wires_outer", "rope_wires_per_strand", "rope_lay",
    "rope_construction", "rope_core", "rope_duty", "rope_outer_wires", "rotation_resistant", "termination",
]  # fmt: skip
RECORDED = [
    "", "0", "-1", "NaN", "inf", "1e9", "1e-9", "1/4", "6 mm", "6.35", "150", "1", "114", "1000", "7x19", "19x7", "6x6",
    "yes", "no", "thick", "usual", "regular", "lang", "steel", "fibre", "running", "standing", "swaged", "\x00",
]  # fmt: skip
OF_ROPE = [key for key in CRITERIA if key.startswith(("rope", "fibre", "splice"))]


@given(st.dictionaries(st.sampled_from(ROPE_ATTRIBUTES), st.sampled_from(RECORDED)), st.sampled_from(OF_ROPE))
def test_whatever_is_recorded_of_a_rope_gives_a_limit_above_zero_or_a_reason(
    recorded: dict[str, str], key: str
) -> None:
    rows = tuple(replace(rule, active=True) for rule in CRITERIA[key].rules)  # those from memory as well
    for limit in limits_for(replace(CRITERIA[key], rules=rows), recorded):
        assert limit.value is None or limit.value > 0
        assert (limit.value is None) is limit.why_not.startswith("not judged: ")
        assert limit.says()


def test_a_table_of_heavy_ropes_says_nothing_of_a_thread() -> None:
    limit = limit_of("rope-diameter", "wac-logging-diameter", {"rope_diameter_mm": "1"})  # 3/64 in. is 1.19 mm
    assert limit.why_not == ("not judged: what may be lost by the cited criterion is all of this part or more")


@pytest.mark.parametrize(
    ("criterion", "attributes", "value", "unit", "expected"),
    [
        ("rope-diameter", QUARTER, "6.35", "in", Result.NOT_JUDGED),  # millimetres typed as inches
        ("rope-diameter", QUARTER, "2.5", "in", Result.NOT_JUDGED),  # a point in the wrong place
        ("rope-diameter", QUARTER, "0.28", "in", Result.INSIDE),
        ("guardrail-height", {"jurisdiction": "US"}, "1067", "in", Result.NOT_JUDGED),
        ("guardrail-height", {"jurisdiction": "US"}, "120", "in", Result.INSIDE),
        ("anchorage-strength", {"jurisdiction": "US"}, "5000", "kN", Result.NOT_JUDGED),
        ("tread-ratio", QUARTER, "203.2", "none", Result.NOT_JUDGED),  # the tread itself, not divided by the rope
        ("tread-ratio", QUARTER, "32", "none", Result.INSIDE),
    ],
)
def test_a_slip_of_the_unit_or_the_point_is_never_called_inside(
    criterion: str, attributes: dict[str, str], value: str, unit: str, expected: Result
) -> None:
    verdicts = judge(Decimal(value), unit, None, limits_for(CRITERIA[criterion], attributes))
    found = {verdict.result for verdict in verdicts if verdict.limit and verdict.limit.value is not None}
    assert found == {expected}
    if expected is Result.NOT_JUDGED:
        assert "not judged: far above the cited figure; check the figure and its unit" in unjudged(verdicts)


def test_an_unknown_unit_is_refused() -> None:
    with pytest.raises(BadValue, match="not a unit"):
        judge(Decimal(1), "furlong", None, limits_for(CRITERIA["rope-diameter"], QUARTER))


def test_another_kind_of_unit_is_not_judged() -> None:
    verdict = worst(judge(Decimal(1), "kg", None, [limit_of("rope-diameter", "osha1413-diameter", QUARTER)]))
    assert verdict.words == "not judged: the cited criterion is given as length, not as mass"


def test_the_limit_is_cited_with_its_clause_and_how_it_was_read() -> None:
    limit = limit_of("rope-diameter", "b30-diameter", QUARTER)
    assert limit.citation == (
        "US Army TM 5-3810-302-10 table of allowable reduction from nominal diameter "
        "(from a secondary source, by analogy)"
    )
    assert limit.says("in") == "less than 0.234375 in"
    assert limit_of(LAY, "osha1413-running", {}).says() == "6 or more"


@given(st.decimals(min_value="0.01", max_value="2", places=4), st.sampled_from(["in", "mm", "cm", "ft", "m"]))
def test_a_verdict_does_not_depend_on_the_unit_of_the_measure(inches: Decimal, unit: str) -> None:
    limit = limit_of("rope-diameter", "osha1413-diameter", QUARTER)
    factor = {"in": "1", "mm": "25.4", "cm": "2.54", "m": "0.0254"}.get(unit)
    if factor is not None:  # exact in decimal
        assert result(str(inches * Decimal(factor)), unit, limit) == result(str(inches), "in", limit)


@given(st.lists(st.sampled_from(list(Result)), max_size=8))
def test_outside_leads_whenever_any_clause_is_outside(results: list[Result]) -> None:
    verdicts = [Verdict(r, r.value) for r in results]
    assert (worst(verdicts).result is Result.OUTSIDE) is (Result.OUTSIDE in results)
