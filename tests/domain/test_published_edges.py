"""Exactly at its limit each rule judges as the words of its clause say; just beyond it is outside, just short inside.

Which side the limit itself is on is typed here from the clause, for every rule of criteria.yaml, switched off or not.
"""

from dataclasses import replace
from fractions import Fraction

import pytest

from inspect_app.config import shared_dir
from inspect_app.domain.judge import Limit, Result, judge, limit_in, limits_for
from inspect_app.domain.units import UNITS
from inspect_app.store.reference import reference_at
from tests.published import published

CRITERIA = reference_at(shared_dir()).criteria
RULES = {rule.id: (criterion, rule) for criterion in CRITERIA.values() for rule in criterion.rules}
# A part that every row fits, with round numbers so that shares of its wires are whole.
PART = {
    "rope_diameter_mm": "12.7", "rope_baseline_mm": "12.7", "rope_wires_total": "100", "rope_wires_per_strand": "20",
    "rope_wires_outer": "114", "rope_construction": "6x25",
}  # fmt: skip
STEP = Fraction(1, 10**6)

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
    ("FAA AC 43.13-1B", "any broken wire in a critical area", "read", "faa-critical", "over", "outside"),
    ("FAA AC 43.13-1B", "any broken wire at a swaged fitting", "read", "faa-swaged-end", "over", "outside"),
    ("FAA AC 43.13-1B", "worn 40 to 50 percent", "read", "faa-outer-wire", "over", "outside"),
    ("DIN 15020 part 2", "discarded at the printed number", "read", "din15020-regular-6d", "over", "outside"),
    ("DIN 15020 part 2", "discarded at the printed number", "read", "din15020-regular-30d", "over", "outside"),
    ("DIN 15020 part 2", "discarded at the printed number", "read", "din15020-lang-6d", "over", "outside"),
    ("DIN 15020 part 2", "discarded at the printed number", "read", "din15020-lang-30d", "over", "outside"),
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
    ("trade table of clips", "rope to turn back", "secondary", "trade-clip-turnback", "under", "inside"),
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
]


def limit_at(rule_id: str) -> Limit:
    """The rule's limit for a part that it fits, worked out as for any part, switched on where it is off."""
    criterion, rule = RULES[rule_id]
    attributes = PART | {key: allowed[0] for key, allowed in rule.when.items()}
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
    assert side(limit, edge - step) is Result.INSIDE


def test_every_rule_has_its_edge_typed_here() -> None:
    assert set(RULES) == {row[3] for row in EDGES}


@pytest.mark.parametrize("rule", [row[3] for row in EDGES])
def test_the_words_of_a_limit_agree_with_the_side_it_is_on(rule: str) -> None:
    _, _, _, _, bad, at = next(row for row in EDGES if row[3] == rule)
    words = {("over", "outside"): "or more", ("over", "inside"): "more than", ("under", "outside"): "or less",
             ("under", "inside"): "less than"}  # fmt: skip
    assert words[bad, at] in limit_at(rule).says()
