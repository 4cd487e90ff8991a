"""The figure and the comparison of each rule as its document gives them, those switched off included."""

import math
from collections.abc import Mapping
from fractions import Fraction

import pytest

from inspect_app.config import shared_dir
from inspect_app.domain.limit_form import value_of
from inspect_app.store.reference import reference_at
from tests.published import published

RULES = {rule.id: rule for criterion in reference_at(shared_dir()).criteria.values() for rule in criterion.rules}
WIRES = {"rope_wires_total": "1000", "rope_wires_per_strand": "1000"}
INCH_ROPE = {"rope_diameter_mm": "25.4", "rope_baseline_mm": "25.4"}

FIGURES: list[tuple[str, str, str, str, str, Mapping[str, str], str, str, str]] = [
    # document, clause, how read, what is measured, rule, attributes, outside when, figure, unit
    ("29 CFR 1926.1413", "(a)(2)(ii)(A)(1)", "read",
     "Broken wires in one lay", "osha1413-running", {}, "at_least", "6", "count"),
    ("29 CFR 1926.1413", "(a)(2)(ii)(A)(3)", "read",
     "Broken wires in one lay", "osha1413-standing", {}, "more_than", "2", "count"),
    ("29 CFR 1926.1413", "(a)(2)(ii)(A)(2)", "read",
     "Broken wires in one lay", "osha1413-rotation-6d", {}, "at_least", "2", "count"),
    ("29 CFR 1926.1413", "(a)(2)(ii)(A)(2)", "read",
     "Broken wires in one lay", "osha1413-rotation-30d", {}, "at_least", "4", "count"),
    ("29 CFR 1926.1413", "(a)(2)(ii)(A)(1)", "read",
     "Broken wires in one strand of one lay", "osha1413-strand", {}, "at_least", "3", "count"),
    ("29 CFR 1926.1413", "(a)(2)(ii)(A)(3)", "read",
     "Broken wires at a line end", "osha1413-end", {}, "more_than", "1", "count"),
    ("29 CFR 1926.1413", "(a)(2)(ii)(B)", "secondary",
     "Rope diameter, 1 in. rope", "osha1413-diameter", INCH_ROPE, "less_than", "24.13", "mm"),
    ("30 CFR 56.19024", "(a)(1)", "read",
     "Broken wires in one lay", "msha-total", WIRES, "more_than", "50", "count"),
    ("30 CFR 56.19024", "(a)(2)", "read",
     "Broken wires in one strand of one lay", "msha-strand", WIRES, "more_than", "150", "count"),
    ("30 CFR 56.19024", "(b)", "read",
     "Broken wires in one lay", "msha-valley", {}, "more_than", "1", "count"),
    ("30 CFR 56.19024", "(c)", "read",
     "Wear of the outer wires", "msha-outer-wire", {}, "more_than", "100/3", "percent"),
    ("30 CFR 56.19024", "(g)", "read",
     "Rope diameter, 1 in. rope", "msha-diameter", INCH_ROPE, "less_than", "23.876", "mm"),
    ("30 CFR 77.1437", "(a)", "read",
     "Broken wires at a line end", "msha-end", {}, "more_than", "1", "count"),
    ("29 CFR 1910.265", "(c)(24)(v)", "read",
     "Broken wires in one lay", "osha265-sawmill", WIRES | {"rope_construction": "6x25"}, "at_least", "40", "count"),
    ("29 CFR 1926.251", "(c)(4)(iv)", "secondary",
     "Broken wires in one lay", "osha251-8d", WIRES, "more_than", "100", "count"),
    ("29 CFR 1910.184", "(f)(5)(i)", "read",
     "Broken wires in one lay", "osha184-lay", {}, "at_least", "10", "count"),
    ("29 CFR 1910.184", "(f)(5)(i)", "read",
     "Broken wires in one strand of one lay", "osha184-strand", {}, "at_least", "5", "count"),
    ("29 CFR 1910.184", "(f)(5)(ii)", "read",
     "Wear of the outer wires", "osha184-outer-wire", {}, "at_least", "100/3", "percent"),
    ("WAC 296-874-30016", "(2)(c)", "read",
     "Broken wires in one lay", "wac-scaffold-lay", {}, "at_least", "6", "count"),
    ("WAC 296-874-30016", "(2)(d)", "read",
     "Broken wires in one strand of one lay", "wac-scaffold-strand", {}, "at_least", "3", "count"),
    ("WAC 296-874-30016", "(2)(e)", "read",
     "Wear of the outer wires", "wac-scaffold-outer-wire", {}, "more_than", "100/3", "percent"),
    ("ASME B30.5", "table of removal criteria, clause not seen", "secondary",
     "Broken wires in one lay", "b305-lay", {}, "at_least", "6", "count"),
    ("ASME B30.5", "table of removal criteria, clause not seen", "secondary",
     "Broken wires in one strand of one lay", "b305-strand", {}, "at_least", "3", "count"),
    ("ASME B30.2", "rope inspection, clause not seen", "secondary",
     "Broken wires in one lay", "b302-lay", {}, "at_least", "12", "count"),
    ("ASME B30.2", "rope inspection, clause not seen", "secondary",
     "Broken wires in one strand of one lay", "b302-strand", {}, "at_least", "4", "count"),
    ("FAA AC 43.13-1B", "paragraph 7-149 a and b", "read",
     "Broken wires in one lay", "faa-critical", {}, "at_least", "1", "count"),
    ("FAA AC 43.13-1B", "paragraph 7-149 a to c", "read",
     "Broken wires at a line end", "faa-swaged-end", {}, "at_least", "1", "count"),
    ("FAA AC 43.13-1B", "paragraph 7-149 g", "read",
     "Wear of the outer wires", "faa-outer-wire", {}, "at_least", "40", "percent"),
    ("US Army TM 5-3810-302-10", "table of allowable reduction from nominal diameter", "secondary",
     "Rope diameter, 1 in. rope", "b30-diameter", INCH_ROPE, "less_than", "23.8125", "mm"),
    ("US Army TM 5-3810-302-10", "table of allowable reduction from nominal diameter", "secondary",
     "Rope diameter, 3/4 in. rope", "b30-diameter", {"rope_diameter_mm": "19.05"}, "less_than", "17.859375", "mm"),
    ("US Army TM 5-3810-302-10", "table of allowable reduction from nominal diameter", "secondary",
     "Rope diameter, 1 1/2 in. rope", "b30-diameter", {"rope_diameter_mm": "38.1"}, "less_than", "35.71875", "mm"),
    ("MIL-F-18372", "page 6, turnbuckles", "read",
     "Threads showing at a turnbuckle end", "mil-turnbuckle-threads", {}, "more_than", "3", "count"),
    ("Rigging Math (Made Simple), D. L. Hall", "lesson 12", "read",
     "Fleet angle", "primer-fleet-degrees", {}, "more_than", "1.5", "deg"),
    ("Rigging Math (Made Simple), D. L. Hall", "lesson 12, rule of 1 in 40", "read",
     "Fleet angle", "primer-fleet-ratio", {}, "more_than", "1/40", "none"),
    ("Wire rope handbook page, fleet angle", "fleet angle, smooth drum", "read",
     "Fleet angle", "handbook-fleet-smooth", {}, "more_than", "1.5", "deg"),
    ("Wire rope handbook page, fleet angle", "fleet angle, grooved drum", "read",
     "Fleet angle", "handbook-fleet-grooved", {}, "more_than", "2", "deg"),
    ("NSW dogging and rigging guide", "fleet angles, ungrooved drum", "read",
     "Fleet angle", "nsw-fleet-smooth", {}, "more_than", "3", "deg"),
    ("NSW dogging and rigging guide", "fleet angles, grooved drum", "read",
     "Fleet angle", "nsw-fleet-grooved", {}, "more_than", "5", "deg"),
    ("WAC 296-874-30020", "(1)(b)", "read",
     "Distance between clips, 1 in. rope", "wac-clip-spacing", INCH_ROPE, "less_than", "152.4", "mm"),
    ("WAC 296-24-29401", "(5)(c)", "read",
     "Wire rope clips at a line end", "wac-clip-count", {}, "less_than", "3", "count"),
    ("29 CFR 1910.21", "(b), definition of hole", "secondary",
     "Slot between the members of the grid deck", "osha-slot-hole", {}, "at_least", "2", "in"),
    ("29 CFR 1910.21", "(b), definition of hole", "secondary",
     "Least dimension of a gap or hole in a floor", "osha-hole", {}, "at_least", "2", "in"),
    ("29 CFR 1926.500", "(b), definition of hole", "read",
     "Least dimension of a gap or hole in a floor", "osha-hole-construction", {}, "at_least", "2", "in"),
    ("29 CFR 1910.29", "(b)(1)", "read",
     "Height of the top rail", "osha-rail-low", {}, "less_than", "39", "in"),
    ("29 CFR 1910.29", "(b)(1)", "read",
     "Height of the top rail", "osha-rail-high", {}, "more_than", "45", "in"),
    ("29 CFR 1910.29", "(b)(2)", "read",
     "Opening in a guardrail", "osha-rail-opening", {}, "more_than", "19", "in"),
    ("29 CFR 1910.29", "(k)(1)", "read",
     "Height of the toeboard", "osha-toeboard", {}, "less_than", "3.5", "in"),
    ("29 CFR 1910.29", "(k)(1)", "read",
     "Gap below the toeboard", "osha-toeboard-gap", {}, "more_than", "0.25", "in"),
    ("29 CFR 1910.23", "(b)(2)", "read",
     "Distance between ladder rungs", "osha-rungs-close", {}, "less_than", "10", "in"),
    ("29 CFR 1910.23", "(b)(2)", "read",
     "Distance between ladder rungs", "osha-rungs-wide", {}, "more_than", "14", "in"),
    ("29 CFR 1910.23", "(b)(4)", "read",
     "Clear width of a fixed ladder", "osha-ladder-width", {}, "less_than", "16", "in"),
    ("29 CFR 1910.23", "(d)(4)", "secondary",
     "Height of the ladder rails above the landing", "osha-ladder-rails", {}, "less_than", "42", "in"),
    ("EN ISO 14122-3", "guard-rail, least height", "secondary",
     "Height of the top rail", "iso14122-rail", {}, "less_than", "1100", "mm"),
    ("EN ISO 14122-3", "knee-rail", "secondary",
     "Opening in a guardrail", "iso14122-rail-opening", {}, "more_than", "500", "mm"),
    ("EN ISO 14122-3", "toe-plate", "secondary",
     "Height of the toeboard", "iso14122-toe-plate", {}, "less_than", "100", "mm"),
    ("EN ISO 14122-3", "toe-plate", "secondary",
     "Gap below the toeboard", "iso14122-toe-gap", {}, "more_than", "10", "mm"),
    ("Trade practice, spreader plates", "one plate for every two feet of stack", "secondary",
     "Distance between spreader plates", "practice-spreaders", {}, "more_than", "24", "in"),
    ("Trade practice, rope locks", "older encyclopedia text", "secondary",
     "Imbalance held by a rope lock", "practice-lock-40", {}, "more_than", "40", "lb"),
    ("Trade practice, rope locks", "present encyclopedia text and a safety article", "secondary",
     "Imbalance held by a rope lock", "practice-lock-50", {}, "more_than", "50", "lb"),
    ("Trade practice, rope locks", "a third text", "secondary",
     "Imbalance held by a rope lock", "practice-lock-75", {}, "more_than", "75", "lb"),
    ("IBC section 410.3.5", "section 410.3.5", "secondary",
     "Closing time of the fire safety curtain", "ibc-curtain-whole", {}, "at_least", "30", "s"),
    ("IBC section 410.3.5", "section 410.3.5", "secondary",
     "Closing time of the fire safety curtain", "ibc-curtain-last", {}, "less_than", "5", "s"),
    ("UK licensing practice, safety curtains", "licensing practice", "secondary",
     "Closing time of the fire safety curtain", "uk-curtain-whole", {}, "more_than", "30", "s"),
    ("ISO 4309", "Table 5, single layer with fibre core", "memory",
     "Rope diameter, 1 in. rope", "iso4309-fibre-core", INCH_ROPE, "at_most", "22.86", "mm"),
    ("ISO 4309", "Table 5, single layer with steel core, parallel-closed", "memory",
     "Rope diameter, 1 in. rope", "iso4309-steel-core", INCH_ROPE, "at_most", "23.495", "mm"),
    ("ISO 4309", "Table 5, rotation-resistant", "memory",
     "Rope diameter, 1 in. rope", "iso4309-rotation-resistant", INCH_ROPE, "at_most", "24.13", "mm"),
    ("EN ISO 14122-2", "openings in floors", "memory",
     "Slot between the members of the grid deck", "iso14122-slot", {}, "at_least", "35", "mm"),
    ("EN ISO 14122-2", "openings in floors above places where people stay", "memory",
     "Slot between the members of the grid deck", "iso14122-slot-people", {}, "at_least", "20", "mm"),
]  # fmt: skip
TABLED = {  # rules whose figures are a table, checked row by row below or in test_judge.py and test_criteria.py
    "trade-clip-count", "trade-clip-turnback", "trade-clip-torque", "cal8497-clip-count", "cal8497-clip-turnback",
    "cal8497-clip-torque", "wrtb-worn-groove", "wrtb-tread-ratio", "small-cable-tread-ratio", "wac-logging-diameter",
    "din15020-regular-6d", "din15020-regular-30d", "din15020-lang-6d", "din15020-lang-30d",
}  # fmt: skip


@published(
    "Limits as their documents give them", "{_document}", "{_clause}", "{_mark}",
    names="_document, _clause, _mark, _what, rule, attributes, op, figure, unit", rows=FIGURES,
    what="{_what} ({rule})", value="outside {op} {figure} {unit}",
)  # fmt: skip
def test_each_rule_holds_the_figure_of_its_document(
    rule: str, attributes: Mapping[str, str], op: str, figure: str, unit: str
) -> None:
    held = RULES[rule]
    assert (value_of(held.form, attributes), held.op, held.unit) == (Fraction(figure), op, unit)


def test_no_rule_ships_without_its_figure_checked_here() -> None:
    assert set(RULES) == {row[4] for row in FIGURES} | TABLED


@published(
    "Clips", "California Title 8 section 8497", "Table 1", "read",
    names="size, what, figure, unit",
    rows=[
        (size, what, figure, unit)
        for size, *figures in [
            ("1/2", "3", "11.5", "65"), ("9/16", "3", "12", "95"), ("5/8", "3", "12", "95"), ("3/4", "4", "18", "130"),
            ("7/8", "4", "19", "225"), ("1", "5", "26", "225"), ("9/8", "6", "34", "225"), ("5/4", "6", "37", "360"),
        ]
        for what, figure, unit in zip(
            ("count", "turnback", "torque"), figures, ("count", "in", "lbf_ft"), strict=True
        )
    ],
    what="{size} in. rope, {what}", value="{figure} {unit}",
)  # fmt: skip
def test_the_california_clip_table_cell_by_cell(size: str, what: str, figure: str, unit: str) -> None:
    rule = RULES[f"cal8497-clip-{what}"]
    rope = {"rope_diameter_mm": str(Fraction(size) * Fraction("25.4"))}
    assert (value_of(rule.form, rope), rule.op, rule.unit) == (Fraction(figure), "less_than", unit)


@published(
    "Sheaves", "{_document}", "{_clause}", "secondary",
    names="_document, _clause, construction, least",
    rows=[
        *[("Wire Rope Users Manual", "table of sheave ratios, minimum", *row) for row in [
            ("6x7", 42), ("19x7", 34), ("6x19S", 34), ("6x21FW", 30), ("6x26WS", 30), ("6x25FW", 26), ("6x31WS", 26),
            ("6x36WS", 23), ("6x41", 21), ("8x19S", 27), ("8x25FW", 21),
        ]],
        *[("trade table of sheave ratios for small cable", "critical minimum", *row)
          for row in [("7x19", 18), ("7x7", 28)]],
    ],
    what="tread over rope diameter, least, {construction}", value="{least}",
)  # fmt: skip
def test_the_least_tread_ratio_of_each_construction(construction: str, least: int) -> None:
    rule = "small-cable-tread-ratio" if construction.startswith("7x") else "wrtb-tread-ratio"
    assert value_of(RULES[rule].form, {"rope_construction": construction}) == least
    assert RULES[rule].op == "less_than"


@published(
    "Sheaves", "Wire Rope Users Manual", "handbook example, 1/2 in. 6x21FW", "secondary",
    what="least tread of a 1/2 in. 6x21FW rope", value="15 in.",
)  # fmt: skip
def test_the_least_tread_of_a_half_inch_rope() -> None:
    ratio = value_of(RULES["wrtb-tread-ratio"].form, {"rope_construction": "6x21FW"})
    assert isinstance(ratio, Fraction)
    assert ratio / 2 == 15


@published(
    "Guardrails, holes, toeboards, ladders", "29 CFR 1910.29", "(b)(1), metric figures of the clause", "read",
    names="rule, inches, centimetres", rows=[("osha-rail-low", 39, 99), ("osha-rail-high", 45, 115)],
    what="{rule}: 42 plus or minus 3 in. against 107 plus or minus 8 cm", value="{inches} in., about {centimetres} cm",
)  # fmt: skip
def test_the_rail_height_agrees_with_the_metric_figure_of_the_same_clause(
    rule: str, inches: int, centimetres: int
) -> None:
    assert value_of(RULES[rule].form, {}) == inches
    assert inches * 2.54 == pytest.approx(centimetres, abs=1)


@published(
    "Fleet angle", "NSW dogging and rigging guide", "distance 12 or 19 times half the drum", "read",
    names="drum, rule, metres, degrees",
    rows=[("grooved", "nsw-fleet-grooved", "6", "4.764"), ("ungrooved", "nsw-fleet-smooth", "9.5", "3.013")],
    what="1 m drum, {drum}: distance of the first sheave, and the angle there", value="{metres} m, {degrees} deg",
)  # fmt: skip
def test_the_distances_of_the_guide_agree_with_its_angles(drum: str, rule: str, metres: str, degrees: str) -> None:
    limit = value_of(RULES[rule].form, {})
    assert isinstance(limit, Fraction)
    angle = math.degrees(math.atan(0.5 / float(metres)))
    assert angle == pytest.approx(float(degrees), abs=0.0005)
    assert angle == pytest.approx(float(limit), abs=0.25)
