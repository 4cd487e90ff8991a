"""Judging measures: the clauses at, under and over their limits, and the exact words."""

import math
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
from inspect_app.domain.judge import Limit, Result, Verdict, judge, limit_in, limits_for, unjudged, worst
from inspect_app.store.reference import reference_at

CRITERIA = reference_at(shared_dir()).criteria
IN = Fraction("25.4")
ROPE_7X19 = {"rope_construction": "7x19"}
QUARTER = {"rope_diameter_mm": "6.35"}
THREE_EIGHTHS = {"rope_diameter_mm": "9.525"}


def limit_of(criterion: str, rule: str, attributes: Mapping[str, object]) -> Limit:
    found = [limit for limit in limits_for(CRITERIA[criterion], attributes) if limit.rule == rule]
    assert len(found) == 1, f"{rule} does not fit {dict(attributes)}"
    return found[0]


def result(value: str, unit: str, limit: Limit, resolution: str | None = None) -> Result:
    step = None if resolution is None else Decimal(resolution)
    return judge(Decimal(value), unit, step, [limit])[0].result


def first_failing(limit: Limit) -> int:
    return next(n for n in range(1000) if result(str(n), "count", limit) is Result.OUTSIDE)


LAY, STRAND, END = "rope-broken-wires-lay", "rope-broken-wires-strand", "rope-broken-wires-end"
OVER_6D, OVER_30D = {"count_window": "six_diameters"}, {"count_window": "thirty_diameters"}


@pytest.mark.published
@pytest.mark.parametrize(
    ("criterion", "rule", "attributes", "fails_at"),
    [
        (LAY, "osha1413-running", {}, 6),  # 29 CFR 1926.1413(a)(2)(ii)(A)(1): six in one lay
        (LAY, "osha1413-standing", {"rope_duty": "standing"}, 3),  # 29 CFR 1926.1413 (A)(3): more than two
        (LAY, "osha1413-rotation-6d", OVER_6D | {"rotation_resistant": "yes"}, 2),  # 29 CFR 1926.1413 (A)(2)
        (LAY, "osha1413-rotation-30d", OVER_30D | {"rotation_resistant": "yes"}, 4),  # 29 CFR 1926.1413 (A)(2)
        (LAY, "msha-total", ROPE_7X19, 7),  # 30 CFR 56.19024(a)(1): more than 5 % of 133 = 6.65
        (LAY, "msha-valley", {"count_place": "valley", "rope_lay": "regular"}, 2),  # 30 CFR 56.19024(b)
        (LAY, "osha265-sawmill", ROPE_7X19, 6),  # 29 CFR 1910.265(c)(24)(v): 4 % of 133 = 5.32
        (LAY, "osha265-sawmill", {"rope_construction": "6x6"}, 3),  # 29 CFR 1910.265(c)(24)(v)
        (LAY, "osha265-sawmill", {"rope_construction": "6x19"}, 6),
        (LAY, "osha265-sawmill", {"rope_construction": "6x37"}, 9),
        (LAY, "osha265-sawmill", {"rope_construction": "8x19"}, 8),
        (LAY, "wac-scaffold-lay", {}, 6),  # WAC 296-874-30016(2)(c)
        (LAY, "b305-lay", {}, 6),  # ASME B30.5, second-hand
        (LAY, "osha184-lay", {}, 10),  # 29 CFR 1910.184(f)(5)(i)
        (LAY, "b302-lay", {}, 12),  # ASME B30.2, second-hand
        (LAY, "osha251-8d", ROPE_7X19 | {"count_window": "eight_diameters"}, 14),  # 29 CFR 1926.251(c)(4)(iv)
        (LAY, "faa-critical", ROPE_7X19 | {"critical_fatigue_area": "yes"}, 1),  # FAA AC 43.13-1B 7-149
        (LAY, "din15020-regular-6d", ROPE_7X19 | OVER_6D | {"rope_lay": "regular"}, 5),  # DIN 15020-2, n = 114
        (LAY, "din15020-regular-30d", ROPE_7X19 | OVER_30D | {"rope_lay": "regular"}, 10),
        (LAY, "din15020-lang-6d", ROPE_7X19 | OVER_6D | {"rope_lay": "lang"}, 2),
        (LAY, "din15020-lang-30d", ROPE_7X19 | OVER_30D | {"rope_lay": "lang"}, 5),
        (STRAND, "osha1413-strand", {}, 3),  # 29 CFR 1926.1413(a)(2)(ii)(A)(1)
        (STRAND, "msha-strand", ROPE_7X19, 3),  # 30 CFR 56.19024(a)(2): more than 15 % of 19 = 2.85
        (STRAND, "wac-scaffold-strand", {}, 3),  # WAC 296-874-30016(2)(d)
        (STRAND, "b302-strand", {}, 4),  # ASME B30.2, second-hand
        (STRAND, "osha184-strand", {}, 5),  # 29 CFR 1910.184(f)(5)(i)
        (END, "msha-end", {}, 2),  # 30 CFR 77.1437(a): more than one
        (END, "osha1413-end", {}, 2),  # 29 CFR 1926.1413 (A)(3): more than one
        (END, "faa-swaged-end", {"termination": "swaged"}, 1),  # FAA AC 43.13-1B 7-149
        ("turnbuckle-threads", "mil-turnbuckle-threads", {}, 4),  # MIL-F-18372: not more than three
    ],
)
def test_the_first_count_outside_is_that_of_the_clause(
    criterion: str, rule: str, attributes: dict[str, str], fails_at: int
) -> None:
    assert first_failing(limit_of(criterion, rule, attributes)) == fails_at


@pytest.mark.published
@pytest.mark.parametrize(
    ("attributes", "rule", "floor"),
    [
        (QUARTER, "osha1413-diameter", "0.2375"),  # 29 CFR 1926.1413 (B): 5 % of nominal
        (QUARTER | {"rope_baseline_mm": "6.35"}, "msha-diameter", "0.2350"),  # 30 CFR 56.19024(g): 6 % of baseline
        (QUARTER, "b30-diameter", "0.234375"),  # TM 5-3810-302-10: 1/64 in.
        (THREE_EIGHTHS, "osha1413-diameter", "0.35625"),
        (THREE_EIGHTHS | {"rope_baseline_mm": "9.525"}, "msha-diameter", "0.3525"),
        (THREE_EIGHTHS, "b30-diameter", "0.34375"),  # 1/32 in.
        ({"rope_diameter_mm": "15.875"}, "wac-logging-diameter", "0.578125"),  # WAC 296-54-557(2)(d): 3/64 in.
        ({"rope_diameter_mm": "22.225"}, "wac-logging-diameter", "0.8125"),  # 1/16 in.
        ({"rope_diameter_mm": "31.75"}, "wac-logging-diameter", "1.15625"),  # 3/32 in.
    ],
)
def test_rope_diameter_floors_are_exact_and_the_floor_itself_is_inside(
    attributes: dict[str, str], rule: str, floor: str
) -> None:
    limit = limit_of("rope-diameter", rule, attributes)
    assert limit_in(limit, "in") == Fraction(floor)
    assert result(floor, "in", limit) is Result.INSIDE
    assert result(str(Decimal(floor) - Decimal("0.000001")), "in", limit) is Result.OUTSIDE


@pytest.mark.published  # TM 5-3810-302-10 table against 29 CFR 1926.1413: equal at 5/16 in., looser at every other size
@pytest.mark.parametrize(
    ("size", "percent"),
    [
        ("1/8", "12.5"),
        ("3/16", "8.33"),
        ("1/4", "6.25"),
        ("5/16", "5.00"),
        ("3/8", "8.33"),
        ("7/16", "7.14"),
        ("1/2", "6.25"),
    ],
)
def test_the_reduction_table_in_percent_of_nominal(size: str, percent: str) -> None:
    nominal = Fraction(size) * IN
    limit = limit_of("rope-diameter", "b30-diameter", {"rope_diameter_mm": str(Decimal(float(nominal)))})
    assert limit.value is not None
    assert float((1 - limit.value / nominal) * 100) == pytest.approx(float(percent), abs=0.005)


@pytest.mark.published
@pytest.mark.parametrize(
    ("criterion", "rule", "unit", "attributes", "inside", "outside"),
    [
        # 29 CFR 1910.29(b)(1): 42 in. plus or minus 3 in.
        ("guardrail-height", "osha-rail-low", "in", {}, ["39", "42", "45", "48"], ["38.9", "36"]),
        ("guardrail-height", "iso14122-rail", "mm", {"jurisdiction": "EU"}, ["1100"], ["1099"]),  # EN ISO 14122-3
        ("guardrail-opening", "osha-rail-opening", "in", {}, ["19"], ["19.1"]),  # 29 CFR 1910.29(b)(2)
        ("hole-least-dimension", "osha-hole", "in", {}, ["1.9"], ["2", "2.1"]),  # 29 CFR 1910.21(b)
        ("hole-least-dimension", "osha-hole", "mm", {}, ["50.7"], ["50.8"]),
        ("deck-slot-width", "osha-slot-hole", "in", {}, ["1"], ["2", "3"]),  # 29 CFR 1910.21(b)
        ("toeboard-height", "osha-toeboard", "in", {}, ["3.5"], ["3.4"]),  # 29 CFR 1910.29(k)(1)
        ("toeboard-gap", "osha-toeboard-gap", "in", {}, ["0.25"], ["0.26"]),  # 29 CFR 1910.29(k)(1)
        ("ladder-rung-spacing", "osha-rungs-close", "in", {}, ["10"], ["9.9"]),  # 29 CFR 1910.23(b)(2)
        ("ladder-rung-spacing", "osha-rungs-wide", "in", {}, ["14"], ["14.1"]),
        ("ladder-clear-width", "osha-ladder-width", "in", {}, ["16"], ["15.9"]),  # 29 CFR 1910.23(b)(4)
        ("ladder-rail-above-landing", "osha-ladder-rails", "in", {}, ["42"], ["41.9"]),  # 29 CFR 1910.23(d)(4)
        ("fleet-angle", "primer-fleet-degrees", "deg", {}, ["1.5"], ["1.51"]),  # Rigging Math (Made Simple), lesson 12
        ("fleet-angle", "primer-fleet-ratio", "none", {}, ["0.025"], ["0.0251"]),  # the same, 1 in 40
        ("fleet-angle", "handbook-fleet-grooved", "deg", {"fleet_at": "drum_grooved"}, ["2"], ["2.1"]),
        ("fleet-angle", "nsw-fleet-smooth", "deg", {"fleet_at": "drum_smooth"}, ["3"], ["3.1"]),  # NSW guide
        ("tread-ratio", "small-cable-tread-ratio", "none", ROPE_7X19, ["18", "24"], ["17.9"]),  # trade table
        ("tread-ratio", "wrtb-tread-ratio", "none", {"rope_construction": "6x19S"}, ["34"], ["33.9"]),  # Users Manual
        ("clip-spacing", "wac-clip-spacing", "in", QUARTER, ["1.5"], ["1.49"]),  # WAC 296-874-30020(1)(b): 6 d
        ("clip-count", "wac-clip-count", "count", {"jurisdiction": "US-WA"}, ["3"], ["2"]),  # WAC 296-24-29401(5)(c)
        ("spreader-spacing", "practice-spreaders", "in", {}, ["24"], ["24.5"]),  # trade practice
        ("lock-imbalance", "practice-lock-50", "lb", {}, ["50"], ["51"]),  # trade practice
        ("lock-imbalance", "practice-lock-50", "lbf", {}, ["50"], ["50.1"]),
        ("curtain-closing-time", "ibc-curtain-whole", "s", {}, ["29.9"], ["30"]),  # IBC 2006, 410.3.5: less than 30 s
        ("curtain-closing-time", "ibc-curtain-last", "s", {"closing_stage": "last_8_ft"}, ["5"], ["4.9"]),
        ("rope-outer-wire-wear", "msha-outer-wire", "percent", {}, ["33.33"], ["33.34"]),  # 30 CFR 56.19024(c)
        ("rope-outer-wire-wear", "faa-outer-wire", "percent", {}, ["39.9"], ["40"]),  # FAA AC 43.13-1B 7-149g
    ],
)
def test_each_clause_at_under_and_over(
    criterion: str, rule: str, unit: str, attributes: dict[str, str], inside: list[str], outside: list[str]
) -> None:
    limit = limit_of(criterion, rule, attributes)
    assert [result(v, unit, limit) for v in inside] == [Result.INSIDE] * len(inside)
    assert [result(v, unit, limit) for v in outside] == [Result.OUTSIDE] * len(outside)


@pytest.mark.published  # 29 CFR 1910.184(f)(5)(ii) says one third, 30 CFR 56.19024(c) more than one third
def test_exactly_one_third_of_a_wire_is_outside_one_document_and_inside_the_other() -> None:
    at, more = (limit_of("rope-outer-wire-wear", rule, {}) for rule in ("osha184-outer-wire", "msha-outer-wire"))
    third_at, third_more = at.value, more.value
    assert third_at == third_more == Fraction(100, 3)
    assert (at.op, more.op) == ("at_least", "more_than")


# Rigging Math, lesson 12: 1 unit in 40, which is 1.4321 degrees, a little under 1.5; 25 ft at 1.5 degrees is 7.856 in.
@pytest.mark.published
def test_one_in_forty_is_a_little_stricter_than_one_and_a_half_degrees() -> None:
    degrees, ratio = (
        limit_of("fleet-angle", "primer-fleet-degrees", {}),
        limit_of("fleet-angle", "primer-fleet-ratio", {}),
    )
    assert degrees.value is not None
    assert ratio.value is not None
    assert math.degrees(math.atan(ratio.value)) == pytest.approx(1.4321, abs=5e-5)
    assert 25 * 12 * math.tan(math.radians(degrees.value)) == pytest.approx(7.856, abs=5e-4)
    assert result("1.45", "deg", ratio) is Result.NOT_JUDGED


@pytest.mark.published  # trade table of U-bolt clips; from 1/2 in. on California Title 8 section 8497, Table 1
@pytest.mark.parametrize(
    ("size", "count", "turnback", "torque"),
    [
        ("1/8", 2, "3.25", "4.5"),
        ("3/16", 2, "3.75", "7.5"),
        ("1/4", 2, "4.75", "15"),
        ("5/16", 2, "5.25", "30"),
        ("3/8", 2, "6.5", "45"),
        ("7/16", 2, "7", "65"),
        ("1/2", 3, "11.5", "65"),
        ("9/16", 3, "12", "95"),
        ("5/8", 3, "12", "95"),
        ("3/4", 4, "18", "130"),
        ("7/8", 4, "19", "225"),
        ("1", 5, "26", "225"),
        ("9/8", 6, "34", "225"),
        ("5/4", 7, "44", "360"),
    ],
)
def test_clip_table_rows(size: str, count: int, turnback: str, torque: str) -> None:
    rope = {"rope_diameter_mm": str(Fraction(size) * IN)}
    assert limit_of("clip-count", "trade-clip-count", rope).value == count
    assert limit_of("clip-turnback", "trade-clip-turnback", rope).value == Fraction(turnback)
    assert limit_of("clip-torque", "trade-clip-torque", rope).value == Fraction(torque)
    if Fraction("1/2") <= Fraction(size) < Fraction("5/4"):
        assert limit_of("clip-count", "cal8497-clip-count", rope | {"jurisdiction": "US-CA"}).value == count


@pytest.mark.published  # California Title 8 section 8497, Table 1, differs from the trade table at 1 1/4 in.
def test_a_conflict_between_documents_is_shown_and_not_averaged() -> None:
    rope = {"rope_diameter_mm": "31.75", "jurisdiction": "US-CA"}
    verdicts = judge(Decimal(6), "count", None, limits_for(CRITERIA["clip-count"], rope))
    assert [(v.limit.value, v.result) for v in verdicts if v.limit] == [(7, Result.OUTSIDE), (6, Result.INSIDE)]
    assert worst(verdicts).result is Result.OUTSIDE


@pytest.mark.published  # Wire Rope Users Manual, 3rd edition, least worn groove radius; about 0.5125 d
@pytest.mark.parametrize(
    ("size", "radius"),
    [
        ("1/4", ".128"),
        ("5/16", ".160"),
        ("3/8", ".192"),
        ("7/16", ".224"),
        ("1/2", ".256"),
        ("5/8", ".320"),
        ("3/4", ".384"),
        ("7/8", ".448"),
        ("1", ".513"),
    ],
)
def test_worn_groove_radius_rows(size: str, radius: str) -> None:
    limit = limit_of("groove-radius", "wrtb-worn-groove", {"rope_diameter_mm": str(Fraction(size) * IN)})
    assert limit.value == Fraction(radius)
    assert float(limit.value) == pytest.approx(0.5125 * float(Fraction(size)), abs=0.0006)
    assert result(radius, "in", limit) is Result.INSIDE


def test_the_misprinted_groove_row_is_left_out_and_said_to_be_missing() -> None:
    limit = limit_of("groove-radius", "wrtb-worn-groove", {"rope_diameter_mm": "14.2875"})
    (verdict,) = judge(Decimal("0.27"), "in", None, [limit])
    assert verdict.result is Result.NOT_JUDGED
    assert verdict.words == "not judged: the cited table has no row for this nominal rope diameter (14.2875)"


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
    assert not rules & {"osha1413-standing", "osha1413-rotation-6d", "din15020-regular-6d", "osha251-8d"}


def test_rows_from_memory_judge_nothing_until_signed_for() -> None:
    every = {"rope_diameter_mm": "6.35", "rope_baseline_mm": "6.4", "rope_core": "fibre", "rotation_resistant": "yes"}
    assert all(limit.mark != "memory" for key in CRITERIA for limit in limits_for(CRITERIA[key], every))


@pytest.mark.parametrize(("house", "rules"), [
    (None, {"osha-rail-low"}), ("US", {"osha-rail-low"}), ("US-NY", {"osha-rail-low"}), ("EU", {"iso14122-rail"}),
    ("GB", {"iso14122-rail"}), ("CA", set()),
])  # fmt: skip
def test_rail_rows_follow_the_jurisdiction_of_the_house(house: str | None, rules: set[str]) -> None:
    assert {limit.rule for limit in limits_for(CRITERIA["guardrail-height"], {"jurisdiction": house})} == rules


@pytest.mark.published  # 29 CFR 1910.29(b)(1): 45 in. may be exceeded when all other criteria are met
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


@pytest.mark.parametrize("stored", ["six", "-6.35", "0", "NaN", "1e999999", "1/0"])
def test_an_attribute_that_is_no_size_is_named(stored: str) -> None:
    with pytest.raises(BadValue, match="rope_diameter_mm is recorded as"):
        limits_for(CRITERIA["rope-diameter"], {"rope_diameter_mm": stored})


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
