"""Exactly at its limit each rule judges as the words of its clause say; just beyond it is outside, just short inside.

Which side the limit itself is on is typed here from the clause, for every rule of criteria.yaml, switched off or not.
"""

from dataclasses import replace
from fractions import Fraction

import pytest

from inspect_app.config import shared_dir
from inspect_app.domain.judge import Limit, Result, judge, limit_in, limits_for
from inspect_app.domain.units import UNITS, convert
from inspect_app.store.reference import reference_at
from tests.published import published

CRITERIA = reference_at(shared_dir()).criteria
RULES = {rule.id: (criterion, rule) for criterion in CRITERIA.values() for rule in criterion.rules}
# A part that every row fits, with round numbers so that shares of its wires are whole.
PART = {
    "rope_diameter_mm": "12.7", "rope_baseline_mm": "12.7", "rope_wires_total": "100", "rope_wires_per_strand": "20",
    "rope_wires_outer": "114", "rope_construction": "6x25", "clip_count": "4",
}  # fmt: skip
STEP = Fraction(1, 10**6)
OWN_SIZE = {  # rows of one size, or of sizes that the part above is not
    "faa-new-oversize": {"rope_diameter_mm": "6.35"},
    "other-clip-turnback": {"rope_diameter_mm": "3.175"},
    "worksafenb-clip-turnback": {"rope_diameter_mm": "7.9375"},
}

EDGES = [  # document, what its words say, how read, rule, bad direction, the limit itself
    ("29 CFR 1926.1413", "six broken wires", "read", "osha1413-running", "over", "outside"),
    ("29 CFR 1926.1413", "more than two broken wires", "read", "osha1413-standing", "over", "inside"),
    ("29 CFR 1926.1413", "two in six diameters", "read", "osha1413-rotation-6d", "over", "outside"),
    ("29 CFR 1926.1413", "four in thirty diameters", "read", "osha1413-rotation-30d", "over", "outside"),
    ("29 CFR 1926.1413", "three in one strand", "read", "osha1413-strand", "over", "outside"),
    ("29 CFR 1926.1413", "more than one at an end connection", "read", "osha1413-end", "over", "inside"),
    ("29 CFR 1926.1413", "reduction of more than 5 percent", "read", "osha1413-diameter", "under", "inside"),
    ("30 CFR 56.19024", "more than 5 percent of all wires", "read", "msha-total", "over", "inside"),
    ("30 CFR 56.19024", "more than 15 percent of a strand", "read", "msha-strand", "over", "inside"),
    ("30 CFR 56.19024", "more than one in a valley", "read", "msha-valley", "over", "inside"),
    ("30 CFR 56.19024", "more than one third of a wire", "read", "msha-outer-wire", "over", "inside"),
    ("30 CFR 56.19024", "reduction of more than 6 percent", "read", "msha-diameter", "under", "inside"),
    ("30 CFR 77.1437", "more than one at the attachment", "read", "msha-end", "over", "inside"),
    ("29 CFR 1910.265", "4 percent of all wires", "read", "osha265-sawmill", "over", "outside"),
    ("29 CFR 1926.251", "exceeds 10 percent of all wires", "secondary", "osha251-8d", "over", "inside"),
    ("Michigan R 408.15226", "exceeds 10 percent of all wires", "read", "mich-8d", "over", "inside"),
    ("29 CFR 1910.184", "ten in one lay", "read", "osha184-lay", "over", "outside"),
    ("29 CFR 1910.184", "five in one strand", "read", "osha184-strand", "over", "outside"),
    ("29 CFR 1910.184", "wear of one third of a wire", "read", "osha184-outer-wire", "over", "outside"),
    ("WAC 296-874-30016", "six in one lay", "read", "wac-scaffold-lay", "over", "outside"),
    ("WAC 296-874-30016", "three in one strand", "read", "wac-scaffold-strand", "over", "outside"),
    ("WAC 296-874-30016", "more than one third of a wire", "read", "wac-scaffold-outer-wire", "over", "inside"),
    ("ASME B30.5", "six in one lay", "secondary", "b305-lay", "over", "outside"),
    ("ASME B30.5", "three in one strand", "secondary", "b305-strand", "over", "outside"),
    ("ASME B30.2", "twelve in one lay", "secondary", "b302-lay", "over", "outside"),
    ("ASME B30.2", "four in one strand", "secondary", "b302-strand", "over", "outside"),
    ("FAA AC 43.13-1B", "any broken wire at a swaged fitting", "read", "faa-swaged-end", "over", "outside"),
    ("FAA AC 43.13-1B", "worn 40 to 50 percent", "read", "faa-outer-wire", "over", "outside"),
    ("DIN 15020 part 2", "discarded at the printed number", "read", "din15020-regular-6d", "over", "outside"),
    ("DIN 15020 part 2", "discarded at the printed number", "read", "din15020-regular-30d", "over", "outside"),
    ("DIN 15020 part 2", "discarded at the printed number", "read", "din15020-lang-6d", "over", "outside"),
    ("DIN 15020 part 2", "discarded at the printed number", "read", "din15020-lang-30d", "over", "outside"),
    ("DIN 15020 part 2", "thick outer wires", "read", "din15020-regular-6d-thick", "over", "outside"),
    ("DIN 15020 part 2", "thick outer wires", "read", "din15020-regular-30d-thick", "over", "outside"),
    ("DIN 15020 part 2", "thick outer wires", "read", "din15020-lang-6d-thick", "over", "outside"),
    ("DIN 15020 part 2", "thick outer wires", "read", "din15020-lang-30d-thick", "over", "outside"),
    ("US Army TM 5-3810-302-10", "reduction of more than the figure", "secondary", "b30-diameter", "under", "inside"),
    ("WAC 296-54-557", "reduction of more than the figure", "read", "wac-logging-diameter", "under", "inside"),
    ("ISO 4309", "discard at 10 percent", "memory", "iso4309-fibre-core", "under", "outside"),
    ("ISO 4309", "discard at 7.5 percent", "memory", "iso4309-steel-core", "under", "outside"),
    ("ISO 4309", "discard at 5 percent", "memory", "iso4309-rotation-resistant", "under", "outside"),
    ("Wire Rope Users Manual", "least worn radius", "secondary", "wrtb-worn-groove", "under", "inside"),
    ("Wire Rope Users Manual", "minimum ratio", "secondary", "wrtb-tread-ratio", "under", "inside"),
    ("trade table, small cable", "critical minimum", "secondary", "small-cable-tread-ratio", "under", "inside"),
    ("Rigging Math (Made Simple)", "not more than 1.5 degrees", "read", "primer-fleet-degrees", "over", "inside"),
    ("Rigging Math (Made Simple)", "1 unit in 40", "read", "primer-fleet-ratio", "over", "inside"),
    ("Rigging Math (Made Simple)", "1 in 40, arc tangent", "worked", "primer-fleet-ratio-angle", "over", "inside"),
    (
        "handbook page, fleet angle",
        "smooth drum at most 1.5 degrees",
        "read",
        "handbook-fleet-smooth",
        "over",
        "inside",
    ),
    (
        "handbook page, fleet angle",
        "grooved drum at most 2 degrees",
        "read",
        "handbook-fleet-grooved",
        "over",
        "inside",
    ),
    ("NSW dogging and rigging guide", "maximum 3 degrees", "read", "nsw-fleet-smooth", "over", "inside"),
    ("NSW dogging and rigging guide", "maximum 5 degrees", "read", "nsw-fleet-grooved", "over", "inside"),
    ("trade table of clips", "least number", "secondary", "trade-clip-count", "under", "inside"),
    ("trade table of clips", "one more on a sheave", "secondary", "trade-clip-count-sheave", "under", "inside"),
    ("trade table of clips", "rope to turn back", "secondary", "trade-clip-turnback", "under", "inside"),
    ("trade table of clips", "more clips, more turnback", "secondary", "trade-clip-turnback-more", "under", "inside"),
    ("trade table of clips", "torque", "secondary", "trade-clip-torque", "under", "inside"),
    ("California Title 8 section 8497", "minimum number", "read", "cal8497-clip-count", "under", "inside"),
    ("California Title 8 section 8497", "rope to turn back", "read", "cal8497-clip-turnback", "under", "inside"),
    ("California Title 8 section 8497", "torque", "read", "cal8497-clip-torque", "under", "inside"),
    ("WAC 296-24-29401", "three U-bolts", "read", "wac-clip-count", "under", "inside"),
    ("WAC 296-874-30020", "at least six diameters apart", "read", "wac-clip-spacing", "under", "inside"),
    ("MIL-F-18372", "not more than three threads", "read", "mil-turnbuckle-threads", "over", "inside"),
    ("29 CFR 1910.21", "hole: 2 in. or more", "secondary", "osha-slot-hole", "over", "outside"),
    ("29 CFR 1910.21", "hole: 2 in. or more", "secondary", "osha-hole", "over", "outside"),
    ("29 CFR 1926.500", "hole: 2 in. or more", "read", "osha-hole-construction", "over", "outside"),
    ("EN ISO 14122-2", "35 mm ball must not pass", "memory", "iso14122-slot", "over", "outside"),
    ("EN ISO 14122-2", "20 mm ball must not pass", "memory", "iso14122-slot-people", "over", "outside"),
    ("29 CFR 1910.29", "42 in. minus 3 in.", "read", "osha-rail-low", "under", "inside"),
    ("29 CFR 1910.29", "42 in. plus 3 in.", "read", "osha-rail-high", "over", "inside"),
    ("29 CFR 1910.29", "openings not more than 19 in.", "read", "osha-rail-opening", "over", "inside"),
    ("29 CFR 1910.29", "toeboard at least 3.5 in.", "read", "osha-toeboard", "under", "inside"),
    ("29 CFR 1910.29", "gap not more than 0.25 in.", "read", "osha-toeboard-gap", "over", "inside"),
    ("29 CFR 1910.23", "rungs not less than 10 in. apart", "read", "osha-rungs-close", "under", "inside"),
    ("29 CFR 1910.23", "rungs not more than 14 in. apart", "read", "osha-rungs-wide", "over", "inside"),
    ("29 CFR 1910.23", "clear width of at least 16 in.", "read", "osha-ladder-width", "under", "inside"),
    ("29 CFR 1910.23", "rails 42 in. above the landing", "secondary", "osha-ladder-rails", "under", "inside"),
    ("EN ISO 14122-3", "at least 1100 mm", "secondary", "iso14122-rail", "under", "inside"),
    ("EN ISO 14122-3", "not more than 500 mm", "secondary", "iso14122-rail-opening", "over", "inside"),
    ("EN ISO 14122-3", "toe-plate of 100 mm", "secondary", "iso14122-toe-plate", "under", "inside"),
    ("EN ISO 14122-3", "not more than 10 mm", "secondary", "iso14122-toe-gap", "over", "inside"),
    ("trade practice, spreader plates", "one every two feet", "secondary", "practice-spreaders", "over", "inside"),
    ("trade practice, rope locks", "rated 40 lb", "secondary", "practice-lock-40", "over", "inside"),
    ("trade practice, rope locks", "rated 50 lb", "secondary", "practice-lock-50", "over", "inside"),
    ("trade practice, rope locks", "rated 75 lb", "secondary", "practice-lock-75", "over", "inside"),
    ("IBC section 410.3.5 (2006)", "in less than 30 s", "secondary", "ibc-curtain-whole", "over", "outside"),
    ("IBC section 410.3.5 (2006)", "5 s or more", "secondary", "ibc-curtain-last", "under", "inside"),
    ("UK licensing practice", "within 30 s", "secondary", "uk-curtain-whole", "over", "inside"),
    ("California Title 8 section 5036", "(a)(2)(B)", "read", "cal5036-diameter", "under", "inside"),
    (
        "Wire Rope Technical Board",
        "table of oversize limits, over 5/16 in.",
        "secondary",
        "wrtb-new-oversize",
        "over",
        "inside",
    ),
    (
        "Wire Rope Technical Board",
        "table of oversize limits, nothing below",
        "secondary",
        "wrtb-new-undersize",
        "under",
        "inside",
    ),
    ("FAA AC 43.13-1B", "Table 7-3, plus tolerance 0.014", "read", "faa-new-oversize", "over", "inside"),
    ("FAA AC 43.13-1B", "Table 7-3, plus only", "read", "faa-new-undersize", "under", "inside"),
    ("30 CFR 56.19024", "(h)", "read", "msha-strength-loss", "over", "inside"),
    ("WAC 296-24-29401", "condemned at 15 percent", "read", "wac-strength-loss", "over", "outside"),
    ("BG Bau sheet on synthetic fibre ropes", "yarn breaks over 10 percent", "read", "bgbau-yarns", "over", "inside"),
    ("Cordage Institute CI 2001", "about 10 percent of yarns", "memory", "ci2001-yarns", "over", "outside"),
    ("29 CFR 1926.251", "eye splices, manila", "secondary", "osha251-tucks-manila", "under", "inside"),
    ("29 CFR 1926.251", "eye splices, synthetic", "secondary", "osha251-tucks-synthetic", "under", "inside"),
    ("US Navy training manual 14081", "page 362", "secondary", "navy-tread-ratio", "under", "inside"),
    ("Trade articles on cable bending radius", "20 to 40", "secondary", "stage-cable-tread-ratio", "under", "inside"),
    ("ASME B30.5", "load hoist", "secondary", "b305-hoist-tread-ratio", "under", "inside"),
    ("ASME B30.5", "boom hoist", "secondary", "b305-boom-tread-ratio", "under", "inside"),
    ("MIL-F-18372", "page 6, at 20 percent of strength", "read", "mil-tread-ratio-20", "under", "inside"),
    (
        "Wire Rope Users Manual",
        "table of sheave ratios, suggested",
        "secondary",
        "wrtb-tread-suggested",
        "under",
        "inside",
    ),
    ("Trade table, small cable", "desirable", "secondary", "small-cable-tread-desirable", "under", "inside"),
    (
        "Wire rope handbook pages, grooves",
        "0.53 to 0.535, at most 0.55",
        "secondary",
        "makers-groove-least",
        "under",
        "inside",
    ),
    (
        "Wire rope handbook pages, grooves",
        "0.53 to 0.535, at most 0.55",
        "secondary",
        "makers-groove-most",
        "over",
        "inside",
    ),
    ("Wire rope handbook pages, grooves", "0.54 to 0.57", "secondary", "makers-groove-other-least", "under", "inside"),
    ("Wire rope handbook pages, grooves", "0.54 to 0.57", "secondary", "makers-groove-other-most", "over", "inside"),
    ("ISO 16625", "groove diameter +5 percent: radius 1.05/2", "secondary", "iso16625-groove-least", "under", "inside"),
    ("ISO 16625", "groove diameter +10 percent: radius 1.10/2", "secondary", "iso16625-groove-most", "over", "inside"),
    ("MIL-F-18372", "page 6, other controls", "read", "mil-alignment-other", "over", "inside"),
    ("MIL-F-18372", "page 6, primary controls", "read", "mil-alignment-primary", "over", "inside"),
    ("Handbook page, fleet angle", "not under 0.5 degrees", "read", "handbook-fleet-least-smooth", "under", "inside"),
    (
        "NSW dogging and rigging guide",
        "distance 12 times half the width",
        "read",
        "nsw-fleet-ratio-grooved",
        "over",
        "inside",
    ),
    (
        "NSW dogging and rigging guide",
        "distance 19 times half the width",
        "read",
        "nsw-fleet-ratio-smooth",
        "over",
        "inside",
    ),
    ("WAC 296-874-30020", "at least three", "read", "wac-scaffold-clip-count", "under", "inside"),
    ("WorkSafeNB, wire rope cable clips", "overhead eyes", "read", "worksafenb-clip-count", "under", "inside"),
    ("US Navy training manual 14026", "page 1-8, ceil(3 D + 1)", "read", "navy-clip-count", "under", "inside"),
    ("29 CFR 1926.251", "Table H-2, drop-forged, 1/2 in.", "memory", "osha251-clip-count", "under", "inside"),
    ("29 CFR 1926.251", "Table H-2, spacing, 1/2 in.", "memory", "osha251-clip-spacing", "under", "inside"),
    ("Theatre technical page, U-bolt clips", "1/8 in.", "secondary", "other-clip-turnback", "under", "inside"),
    ("WorkSafeNB, wire rope cable clips", "5/16 in.", "read", "worksafenb-clip-turnback", "under", "inside"),
    ("WorkSafeNB, wire rope cable clips", "1/2 in.", "read", "worksafenb-clip-table", "under", "inside"),
    ("WorkSafeNB, wire rope cable clips", "1/2 in.", "read", "worksafenb-clip-torque", "under", "inside"),
    ("Michigan R 408.15226", "about 6 d", "read", "mich-clip-spacing", "under", "inside"),
    ("US Navy training manual 14026", "page 1-8, 6 D", "read", "navy-clip-spacing", "under", "inside"),
    ("ASME B30.26", "10 percent reduction", "memory", "b3026-wear", "over", "outside"),
    ("Trade note on hooks", "throat +5 percent", "secondary", "trade-hook-throat", "over", "inside"),
    ("29 CFR 1910.21 before 2017", "(a), floor hole", "read", "old-osha-hole", "over", "outside"),
    ("29 CFR 1910.21 before 2017", "(a), floor opening", "read", "old-osha-opening", "over", "outside"),
    ("29 CFR 1926.500", "(b), opening 18 in. wide", "secondary", "osha500-opening", "over", "outside"),
    ("29 CFR 1926.500", "(b), opening 30 in. high", "secondary", "osha500-opening-height", "over", "outside"),
    ("29 CFR 1910.21", "opening: at least 18 in. wide", "secondary", "osha-opening", "over", "outside"),
    ("29 CFR 1910.21", "opening: at least 30 in. high", "secondary", "osha-opening-height", "over", "outside"),
    ("29 CFR 1910.28", "(b)(1)", "secondary", "osha-drop", "over", "outside"),
    ("29 CFR 1910.28", "(b)(3)(i)", "secondary", "osha-hole-drop", "over", "outside"),
    ("Norwegian workplace regulations", "2-22, at least 1 m", "read", "norway-rail", "under", "inside"),
    ("Norwegian workplace regulations", "2-22, at least 0.10 m", "read", "norway-toeboard", "under", "inside"),
    ("Norwegian workplace regulations", "2-22, no gap", "read", "norway-toe-gap", "over", "inside"),
    ("UK construction guardrail figures", "at least 950 mm", "secondary", "uk-construction-rail", "under", "inside"),
    ("UK construction guardrail figures", "gap at most 470 mm", "secondary", "uk-construction-gap", "over", "inside"),
    ("29 CFR 1910.29", "(b)(4)", "read", "osha-rail-deflected", "under", "inside"),
    ("29 CFR 1910.29", "(b)(3)", "read", "osha-rail-force", "under", "inside"),
    ("29 CFR 1910.29", "(b)(5)", "read", "osha-midrail-force", "under", "inside"),
    ("29 CFR 1910.29", "(k)(1)", "read", "osha-toeboard-force", "under", "inside"),
    ("29 CFR 1910.29", "(k)(1)", "read", "osha-toeboard-opening", "over", "inside"),
    ("EN ISO 14122-3", "posts", "secondary", "iso14122-posts", "over", "inside"),
    ("EN ISO 14122-3", "hand rail", "secondary", "iso14122-rail-thin", "under", "inside"),
    ("EN ISO 14122-3", "hand rail", "secondary", "iso14122-rail-thick", "over", "inside"),
    ("EN ISO 14122-3", "hand rail", "secondary", "iso14122-rail-free", "under", "inside"),
    ("EN ISO 14122-3", "gap of segments", "secondary", "iso14122-segment-narrow", "under", "inside"),
    ("EN ISO 14122-3", "gap of segments", "secondary", "iso14122-segment-wide", "over", "inside"),
    ("EN ISO 14122-2", "least width", "secondary", "iso14122-walkway", "under", "inside"),
    ("EN ISO 14122-2", "preferred width", "secondary", "iso14122-walkway-preferred", "under", "inside"),
    ("EN ISO 14122-2", "headroom", "secondary", "iso14122-headroom", "under", "inside"),
    ("EN ISO 14122-2", "step to a neighbour", "secondary", "iso14122-step", "over", "inside"),
    ("29 CFR 1910.23", "(b)(2), elevator shafts", "read", "osha-rungs-shaft-close", "under", "inside"),
    ("29 CFR 1910.23", "(b)(2), elevator shafts", "read", "osha-rungs-shaft-wide", "over", "inside"),
    ("29 CFR 1910.23", "(d)", "memory", "osha-behind-rungs", "under", "inside"),
    ("29 CFR 1910.23", "(d)", "secondary", "osha-climbing-side", "under", "inside"),
    ("29 CFR 1910.23", "(d)", "memory", "osha-step-short", "under", "inside"),
    ("29 CFR 1910.23", "(d)", "memory", "osha-step-wide", "over", "inside"),
    ("29 CFR 1910.23", "(d)", "memory", "osha-grab-bar", "under", "inside"),
    ("29 CFR 1926.502", "(i)", "read", "osha502-cover", "under", "inside"),
    ("29 CFR 1910.29", "(e)", "memory", "osha-cover", "under", "inside"),
    ("29 CFR 1910.140", "(c)(13)", "secondary", "osha-anchorage", "under", "inside"),
    ("29 CFR 1926.502", "(d)(15)", "read", "osha502-anchorage", "under", "inside"),
    ("NFPA 80", "last part not less than 5 s", "secondary", "nfpa80-curtain-last", "under", "inside"),
    ("NFPA 80", "older rule, within 30 s", "secondary", "nfpa80-curtain-whole", "over", "inside"),
    ("ANSI E1.22", "by one person within 3 min", "secondary", "e122-curtain-hand", "over", "inside"),
]


def limit_at(rule_id: str) -> Limit:
    """The rule's limit for a part that it fits, worked out as for any part, switched on where it is off."""
    criterion, rule = RULES[rule_id]
    attributes = PART | {key: allowed[0] for key, allowed in rule.when.items()}
    attributes |= OWN_SIZE.get(rule_id, {})
    if rule.jurisdictions:
        attributes["jurisdiction"] = rule.jurisdictions[0]
    (limit,) = limits_for(replace(criterion, rules=(replace(rule, active=True),)), attributes)
    assert limit.value is not None, limit.why_not
    return limit


def side(limit: Limit, value: Fraction) -> Result:
    (verdict,) = judge(value, limit.unit, None, [limit])
    return verdict.result


@published(
    "Values exactly at a limit", "{_document}", "{_words}", "{_mark}",
    names="_document, _words, _mark, rule, bad, at", rows=EDGES,
    what="the limit of {rule} itself", value="{at}; {bad} it: outside",
)  # fmt: skip
def test_at_its_limit_a_rule_judges_as_its_clause_says(rule: str, bad: str, at: str) -> None:
    limit = limit_at(rule)
    edge = limit_in(limit, limit.unit)
    step = (Fraction(1) if UNITS[limit.unit].dimension == "count" else STEP) * (1 if bad == "over" else -1)
    assert side(limit, edge) is Result(at)
    assert side(limit, edge + step) is Result.OUTSIDE
    if edge - step >= 0:  # a measure is never below zero, so nothing lies short of a limit of nothing
        assert side(limit, edge - step) is Result.INSIDE


@pytest.mark.parametrize("rule", [row[3] for row in EDGES])
def test_at_under_and_over_its_limit_a_rule_judges_alike_in_every_unit_of_the_measure(rule: str) -> None:
    limit = limit_at(rule)
    edge = limit_in(limit, limit.unit)
    for size in (edge, edge + STEP, max(edge - STEP, Fraction(0))):
        for step in (None, STEP, 3 * STEP):
            if UNITS[limit.unit].dimension == "count" and size.denominator != 1:
                continue
            (here,) = judge(size, limit.unit, step, [limit])
            for unit in (key for key, one in UNITS.items() if one.dimension == UNITS[limit.unit].dimension):
                given = convert(size, limit.unit, unit)
                gauge = None if step is None else convert(step, limit.unit, unit)
                (there,) = judge(given, unit, gauge, [limit])
                assert there.result is here.result, (size, unit, step)


def test_every_rule_has_its_edge_typed_here() -> None:
    conditions = {rule for rule, (criterion, _) in RULES.items() if criterion.is_condition}
    plates = {key for key, (_, rule) in RULES.items() if rule.mark == "recorded"}  # no document: test_own_plate.py
    assert set(RULES) - conditions - plates == {row[3] for row in EDGES}


@pytest.mark.parametrize("rule", [rule for rule, (criterion, _) in RULES.items() if criterion.is_condition])
def test_a_condition_seen_is_outside_and_one_not_seen_is_not(rule: str) -> None:
    assert [side(limit_at(rule), Fraction(seen)) for seen in (0, 1)] == [Result.INSIDE, Result.OUTSIDE]


@pytest.mark.parametrize("rule", [row[3] for row in EDGES])
def test_the_words_of_a_limit_agree_with_the_side_it_is_on(rule: str) -> None:
    _, _, _, _, bad, at = next(row for row in EDGES if row[3] == rule)
    words = {("over", "outside"): "or more", ("over", "inside"): "more than", ("under", "outside"): "or less",
             ("under", "inside"): "less than"}  # fmt: skip
    assert words[bad, at] in limit_at(rule).says()
