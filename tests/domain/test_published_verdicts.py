"""Verdicts on real ropes, clips and grooves against what the documents say of them."""

import math
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction

import pytest

from inspect_app.config import shared_dir
from inspect_app.domain.judge import Limit, Result, judge, limit_in, limits_for, worst
from inspect_app.store.reference import reference_at
from tests.published import published

CRITERIA = reference_at(shared_dir()).criteria
IN = Fraction("25.4")
ROPE_7X19 = {"rope_construction": "7x19"}
LAY, STRAND = "rope-broken-wires-lay", "rope-broken-wires-strand"
OVER_6D, OVER_8D, OVER_30D = (f"rope-broken-wires-{window}" for window in ("6d", "8d", "30d"))


def limit_of(criterion: str, rule: str, attributes: Mapping[str, object]) -> Limit:
    found = [limit for limit in limits_for(CRITERIA[criterion], attributes) if limit.rule == rule]
    assert len(found) == 1, f"{rule} does not fit {dict(attributes)}"
    return found[0]


def result(value: str, unit: str, limit: Limit) -> Result:
    return judge(Decimal(value), unit, None, [limit])[0].result


def first_failing(limit: Limit) -> int:
    return next(n for n in range(1000) if result(str(n), "count", limit) is Result.OUTSIDE)


def rope(size: str) -> dict[str, str]:
    return {"rope_diameter_mm": str(Fraction(size) * IN)}


# Broken wires: where a percentage is no whole number, the first count that fails


@published(
    "Broken wires", "{_document}", "{_clause}", "{_mark}",
    names="_document, _clause, _mark, criterion, rule, attributes, fails_at",
    rows=[
        ("30 CFR 56.19024", "(a)(1): more than 5 % of 133 = 6.65", "worked", LAY, "msha-total", ROPE_7X19, 7),
        ("30 CFR 56.19024", "(a)(2): more than 15 % of 19 = 2.85", "worked", STRAND, "msha-strand", ROPE_7X19, 3),
        ("29 CFR 1910.265", "(c)(24)(v): 4 % of 133 = 5.32", "worked", LAY, "osha265-sawmill", ROPE_7X19, 6),
        ("29 CFR 1926.251", "(c)(4)(iv): more than 10 % of 133 = 13.3", "worked", OVER_8D, "osha251-8d",
         ROPE_7X19, 14),
        ("Michigan R 408.15226", "(3): more than 10 % of 133 = 13.3", "worked", OVER_8D, "mich-8d",
         ROPE_7X19 | {"jurisdiction": "US-MI"}, 14),
        ("29 CFR 1926.1413", "(a)(2)(ii)(A)(1)", "read", LAY, "osha1413-running", ROPE_7X19, 6),
        ("29 CFR 1926.1413", "(a)(2)(ii)(A)(1), one strand", "read", STRAND, "osha1413-strand", ROPE_7X19, 3),
        ("29 CFR 1926.1413", "(a)(2)(ii)(A)(3), standing", "read", LAY, "osha1413-standing",
         ROPE_7X19 | {"rope_duty": "standing"}, 3),
        ("29 CFR 1926.1413", "(a)(2)(ii)(A)(3), end connection", "read", "rope-broken-wires-end", "osha1413-end",
         ROPE_7X19, 2),
        ("29 CFR 1926.1413", "(a)(2)(ii)(A)(2), 6 d", "read", OVER_6D, "osha1413-rotation-6d",
         {"rope_construction": "19x7", "rotation_resistant": "yes"}, 2),
        ("29 CFR 1926.1413", "(a)(2)(ii)(A)(2), 30 d", "read", OVER_30D, "osha1413-rotation-30d",
         {"rope_construction": "19x7", "rotation_resistant": "yes"}, 4),
        ("30 CFR 56.19024", "(b), regular lay", "read", "rope-broken-wires-valley", "msha-valley",
         ROPE_7X19 | {"rope_lay": "regular"}, 2),
        ("29 CFR 1910.184", "(f)(5)(i)", "read", LAY, "osha184-lay", ROPE_7X19, 10),
        ("ASME B30.2", "clause not seen", "secondary", LAY, "b302-lay", ROPE_7X19, 12),
        ("29 CFR 1910.265", "(c)(24)(v), 6x6", "read", LAY, "osha265-sawmill", {"rope_construction": "6x6"}, 3),
        ("29 CFR 1910.265", "(c)(24)(v), 6x19", "read", LAY, "osha265-sawmill", {"rope_construction": "6x19"}, 6),
        ("29 CFR 1910.265", "(c)(24)(v), 6x37", "read", LAY, "osha265-sawmill", {"rope_construction": "6x37"}, 9),
        ("29 CFR 1910.265", "(c)(24)(v), 8x19", "read", LAY, "osha265-sawmill", {"rope_construction": "8x19"}, 8),
        ("DIN 15020 part 2", "n = 114, regular lay, 6 d", "read", OVER_6D, "din15020-regular-6d",
         ROPE_7X19 | {"rope_lay": "regular"}, 5),
        ("DIN 15020 part 2", "n = 114, regular lay, 30 d", "read", OVER_30D, "din15020-regular-30d",
         ROPE_7X19 | {"rope_lay": "regular"}, 10),
        ("DIN 15020 part 2", "n = 114, Lang lay, 6 d", "read", OVER_6D, "din15020-lang-6d",
         ROPE_7X19 | {"rope_lay": "lang"}, 2),
        ("DIN 15020 part 2", "n = 114, Lang lay, 30 d", "read", OVER_30D, "din15020-lang-30d",
         ROPE_7X19 | {"rope_lay": "lang"}, 5),
        ("FAA AC 43.13-1B", "paragraph 7-149", "read", "rope-wire-at-bend", "faa-critical", ROPE_7X19, 1),
    ],
    what="first count outside, {rule}, {attributes[rope_construction]}", value="{fails_at}",
)  # fmt: skip
def test_the_first_count_outside_is_that_of_the_clause(
    criterion: str, rule: str, attributes: dict[str, str], fails_at: int
) -> None:
    assert first_failing(limit_of(criterion, rule, attributes)) == fails_at


def test_six_wires_in_a_lay_are_outside_some_documents_and_inside_others_and_outside_leads() -> None:
    verdicts = judge(6, "count", None, limits_for(CRITERIA[LAY], ROPE_7X19))
    found = {v.limit.rule: v.result for v in verdicts if v.limit}
    assert (found["osha1413-running"], found["msha-total"], found["b302-lay"]) == (
        Result.OUTSIDE, Result.INSIDE, Result.INSIDE,
    )  # fmt: skip
    assert worst(verdicts).result is Result.OUTSIDE


# Diameter


@published(
    "Rope diameter", "{_document}", "{_clause}", "{_mark}",
    names="_document, _clause, _mark, size, rule, floor",
    rows=[
        ("29 CFR 1926.1413", "(a)(2)(ii)(B), 5 % of nominal", "worked", "1/4", "osha1413-diameter", "0.2375"),
        ("30 CFR 56.19024", "(g), 6 % of a baseline of the same size", "worked", "1/4", "msha-diameter", "0.2350"),
        ("US Army TM 5-3810-302-10", "1/64 in.", "secondary", "1/4", "b30-diameter", "0.234375"),
        ("29 CFR 1926.1413", "(a)(2)(ii)(B), 5 % of nominal", "worked", "3/8", "osha1413-diameter", "0.35625"),
        ("30 CFR 56.19024", "(g), 6 % of a baseline of the same size", "worked", "3/8", "msha-diameter", "0.3525"),
        ("US Army TM 5-3810-302-10", "1/32 in.", "secondary", "3/8", "b30-diameter", "0.34375"),
        ("29 CFR 1926.1413", "(a)(2)(ii)(B), equal to the table", "worked", "5/16", "osha1413-diameter", "0.296875"),
        ("US Army TM 5-3810-302-10", "1/64 in.", "secondary", "5/16", "b30-diameter", "0.296875"),
        ("WAC 296-54-557", "(2)(d), 3/64 in.", "read", "5/8", "wac-logging-diameter", "0.578125"),
        ("WAC 296-54-557", "(2)(d), 1/16 in.", "read", "7/8", "wac-logging-diameter", "0.8125"),
        ("WAC 296-54-557", "(2)(d), 3/32 in.", "read", "5/4", "wac-logging-diameter", "1.15625"),
    ],
    what="{size} in. rope, {rule}: least diameter", value="{floor} in.",
)  # fmt: skip
def test_rope_diameter_floors_are_exact_and_the_floor_itself_is_inside(size: str, rule: str, floor: str) -> None:
    limit = limit_of("rope-diameter", rule, rope(size) | {"rope_baseline_mm": rope(size)["rope_diameter_mm"]})
    assert limit_in(limit, "in") == Fraction(floor)
    assert result(floor, "in", limit) is Result.INSIDE
    assert result(str(Decimal(floor) - Decimal("0.000001")), "in", limit) is Result.OUTSIDE


@published(
    "Rope diameter", "US Army TM 5-3810-302-10", "table of allowable reduction, in percent of nominal", "worked",
    names="size, percent",
    rows=[("1/8", "12.5"), ("3/16", "8.33"), ("1/4", "6.25"), ("5/16", "5.00"), ("3/8", "8.33"), ("7/16", "7.14"),
          ("1/2", "6.25")],
    what="{size} in. rope, reduction allowed by the table", value="{percent} %",
)  # fmt: skip
def test_the_reduction_table_in_percent_of_nominal(size: str, percent: str) -> None:
    limit = limit_of("rope-diameter", "b30-diameter", rope(size))
    assert limit.value is not None
    assert float((1 - limit.value / (Fraction(size) * IN)) * 100) == pytest.approx(float(percent), abs=0.005)


@published(
    "Rope diameter", "29 CFR 1926.1413 against a new rope of 0.265 in.", "(a)(2)(ii)(B)", "worked",
    what="1/4 in. rope that began at 0.265 in.: loss when it reaches 5 % below nominal", value="10.4 %",
)  # fmt: skip
def test_an_oversize_rope_has_lost_ten_percent_before_it_is_five_below_nominal() -> None:
    nominal = limit_of("rope-diameter", "osha1413-diameter", rope("1/4"))
    baseline = limit_of("rope-diameter", "msha-diameter", rope("1/4") | {"rope_baseline_mm": str(Decimal("6.731"))})
    assert float(1 - limit_in(nominal, "in") / Fraction("0.265")) == pytest.approx(0.104, abs=0.0005)
    assert limit_in(baseline, "in") > limit_in(nominal, "in"), "so the baseline speaks first"


# Outer wires, fleet angle


@published(
    "Wear of outer wires", "29 CFR 1910.184 and 30 CFR 56.19024", "(f)(5)(ii): one third; (c): more than one third",
    "read", what="exactly one third of a wire", value="outside the first, inside the second",
)  # fmt: skip
def test_exactly_one_third_of_a_wire_is_outside_one_document_and_inside_the_other() -> None:
    at, more = (limit_of("rope-outer-wire-wear", rule, {}) for rule in ("osha184-outer-wire", "msha-outer-wire"))
    third = Fraction(100, 3)
    assert [judge(third, "percent", None, [limit])[0].result for limit in (at, more)] == [
        Result.OUTSIDE, Result.INSIDE,
    ]  # fmt: skip


@published(
    "Fleet angle", "Rigging Math (Made Simple)", "lesson 12", "{_mark}",
    names="_mark, rule, feet, inches, degrees",
    rows=[("read", "primer-fleet-degrees", 25, "7.856", "1.5"), ("worked", "primer-fleet-ratio", 25, "7.5", "1.4321")],
    what="{rule}: most offset at {feet} ft, and its angle", value="{inches} in., {degrees} deg",
)  # fmt: skip
def test_the_fleet_limits_of_the_primer_at_twenty_five_feet(rule: str, feet: int, inches: str, degrees: str) -> None:
    limit = limit_of("fleet-angle", rule, {})
    assert limit.value is not None
    slope = math.tan(math.radians(limit.value)) if limit.unit == "deg" else float(limit.value)
    assert feet * 12 * slope == pytest.approx(float(inches), abs=5e-4)
    assert math.degrees(math.atan(slope)) == pytest.approx(float(degrees), abs=5e-5)


# Clips and grooves


@published(
    "Clips", "trade table of U-bolt clips (from 1/2 in. on equal to California Title 8 section 8497)",
    "new rope, dry threads", "secondary",
    names="size, what, figure, unit",
    rows=[
        (size, what, figure, unit)
        for size, *figures in [
            ("1/8", "2", "3.25", "4.5"), ("3/16", "2", "3.75", "7.5"), ("1/4", "2", "4.75", "15"),
            ("5/16", "2", "5.25", "30"), ("3/8", "2", "6.5", "45"), ("7/16", "2", "7", "65"),
            ("1/2", "3", "11.5", "65"), ("9/16", "3", "12", "95"), ("5/8", "3", "12", "95"),
            ("3/4", "4", "18", "130"), ("7/8", "4", "19", "225"), ("1", "5", "26", "225"),
            ("9/8", "6", "34", "225"), ("5/4", "7", "44", "360"),
        ]
        for what, figure, unit in zip(("count", "turnback", "torque"), figures, ("count", "in", "lbf_ft"), strict=True)
    ],
    what="{size} in. rope, {what}", value="{figure} {unit}",
)  # fmt: skip
def test_the_trade_table_of_clips_cell_by_cell(size: str, what: str, figure: str, unit: str) -> None:
    limit = limit_of(f"clip-{what}", f"trade-clip-{what}", rope(size))
    assert (limit.value, limit.unit) == (Fraction(figure), unit)


@published(
    "Clips", "California Title 8 section 8497 against the trade table", "Table 1, 1 1/4 in.", "read",
    what="six clips on a 1 1/4 in. rope", value="inside the one (6), outside the other (7)",
)  # fmt: skip
def test_a_conflict_between_documents_is_shown_and_not_averaged() -> None:
    limits = limits_for(CRITERIA["clip-count"], {"rope_diameter_mm": "31.75", "jurisdiction": "US-CA"})
    verdicts = judge(
        Decimal(6), "count", None, [one for one in limits if one.source in ("clip-trade-table", "cal-title8-8497")]
    )
    found = {v.limit.rule: (v.limit.value, v.result) for v in verdicts if v.limit}
    assert found["trade-clip-count"] == (7, Result.OUTSIDE)
    assert found["cal8497-clip-count"] == (6, Result.INSIDE)
    assert worst(verdicts).result is Result.OUTSIDE


@published(
    "Clips", "Navy rule of thumb: clips = 3 D + 1, rounded up", "construction manual 14026, page 1-8", "read",
    names="size, rule_of_thumb, table", rows=[("1/4", 2, 2), ("1/2", 3, 3), ("1", 4, 5)],
    what="{size} in. rope: clips by the rule, and by the table", value="{rule_of_thumb}, {table}",
)  # fmt: skip
def test_the_rule_of_thumb_is_never_stricter_than_the_table(size: str, rule_of_thumb: int, table: int) -> None:
    assert math.ceil(3 * Fraction(size) + 1) == rule_of_thumb
    assert limit_of("clip-count", "trade-clip-count", rope(size)).value == table >= rule_of_thumb


@published(
    "Grooves", "Wire Rope Users Manual, 3rd edition", "least radius of a worn groove", "secondary",
    names="size, radius",
    rows=[("1/4", ".128"), ("5/16", ".160"), ("3/8", ".192"), ("7/16", ".224"), ("1/2", ".256"), ("5/8", ".320"),
          ("3/4", ".384"), ("7/8", ".448"), ("1", ".513")],
    what="{size} in. rope", value="{radius} in.",
)  # fmt: skip
def test_worn_groove_radius_rows(size: str, radius: str) -> None:
    limit = limit_of("groove-radius", "wrtb-worn-groove", rope(size))
    assert limit.value == Fraction(radius)
    assert float(limit.value) == pytest.approx(0.5125 * float(Fraction(size)), abs=0.0006)
    assert result(radius, "in", limit) is Result.INSIDE
