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
     "Broken wires in six diameters", "osha1413-rotation-6d", {}, "at_least", "2", "count"),
    ("29 CFR 1926.1413", "(a)(2)(ii)(A)(2)", "read",
     "Broken wires in thirty diameters", "osha1413-rotation-30d", {}, "at_least", "4", "count"),
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
     "Broken wires in the valleys of one lay", "msha-valley", {}, "more_than", "1", "count"),
    ("30 CFR 56.19024", "(c)", "read",
     "Wear of the outer wires", "msha-outer-wire", {}, "more_than", "100/3", "percent"),
    ("30 CFR 56.19024", "(g)", "read",
     "Rope diameter, 1 in. rope", "msha-diameter", INCH_ROPE, "less_than", "23.876", "mm"),
    ("30 CFR 77.1437", "(a)", "read",
     "Broken wires at a line end", "msha-end", {}, "more_than", "1", "count"),
    ("29 CFR 1910.265", "(c)(24)(v)", "read",
     "Broken wires in one lay", "osha265-sawmill", WIRES | {"rope_construction": "6x25"}, "at_least", "40", "count"),
    ("29 CFR 1926.251", "(c)(4)(iv)", "secondary",
     "Broken wires in eight diameters", "osha251-8d", WIRES, "more_than", "100", "count"),
    ("Michigan R 408.15226", "(3)", "read",
     "Broken wires in eight diameters", "mich-8d", WIRES, "more_than", "100", "count"),
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
     "A broken wire at a bend", "faa-critical", {}, "at_least", "1", "count"),
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
    ("California Title 8 section 5036", "(a)(2)(B)", "read",
     "Rope diameter, 1 in. rope", "cal5036-diameter", INCH_ROPE, "less_than", "24.13", "mm"),
    ("Wire Rope Technical Board", "table of oversize limits, over 5/16 in.", "secondary",
     "New rope of 1 in., +5 %", "wrtb-new-oversize", INCH_ROPE, "more_than", "26.67", "mm"),
    ("Wire Rope Technical Board", "table of oversize limits, through 1/8 in.", "secondary",
     "New rope of 1/8 in., +8 %", "wrtb-new-oversize", {"rope_diameter_mm": "3.175"}, "more_than", "3.429", "mm"),
    ("Wire Rope Technical Board", "table of oversize limits, over 1/8 through 3/16 in.", "secondary",
     "New rope of 3/16 in., +7 %", "wrtb-new-oversize", {"rope_diameter_mm": "4.7625"}, "more_than", "5.095875", "mm"),
    ("Wire Rope Technical Board", "table of oversize limits, over 3/16 through 5/16 in.", "secondary",
     "New rope of 1/4 in., +6 %", "wrtb-new-oversize", {"rope_diameter_mm": "6.35"}, "more_than", "6.731", "mm"),
    ("Wire Rope Technical Board", "table of oversize limits, nothing below", "secondary",
     "New rope of 1 in.", "wrtb-new-undersize", INCH_ROPE, "less_than", "25.4", "mm"),
    ("FAA AC 43.13-1B", "Table 7-3, plus tolerance 0.014", "read",
     "New 7x19 cable of 1/8 in., 0.125+0.014 in.", "faa-new-oversize",
     {"rope_diameter_mm": "3.175"}, "more_than", "3.5306", "mm"),
    ("FAA AC 43.13-1B", "Table 7-3, plus tolerance 0.016", "read",
     "New 7x19 cable of 5/32 in., 0.15625+0.016 in.", "faa-new-oversize",
     {"rope_diameter_mm": "3.96875"}, "more_than", "4.375150", "mm"),
    ("FAA AC 43.13-1B", "Table 7-3, plus tolerance 0.018", "read",
     "New 7x19 cable of 3/16 in., 0.1875+0.018 in.", "faa-new-oversize",
     {"rope_diameter_mm": "4.7625"}, "more_than", "5.21970", "mm"),
    ("FAA AC 43.13-1B", "Table 7-3, plus tolerance 0.018", "read",
     "New 7x19 cable of 7/32 in., 0.21875+0.018 in.", "faa-new-oversize",
     {"rope_diameter_mm": "5.55625"}, "more_than", "6.013450", "mm"),
    ("FAA AC 43.13-1B", "Table 7-3, plus tolerance 0.018", "read",
     "New 7x19 cable of 1/4 in., 0.250+0.018 in.", "faa-new-oversize",
     {"rope_diameter_mm": "6.35"}, "more_than", "6.8072", "mm"),
    ("FAA AC 43.13-1B", "Table 7-3, plus tolerance 0.020", "read",
     "New 7x19 cable of 9/32 in., 0.28125+0.020 in.", "faa-new-oversize",
     {"rope_diameter_mm": "7.14375"}, "more_than", "7.651750", "mm"),
    ("FAA AC 43.13-1B", "Table 7-3, plus tolerance 0.022", "read",
     "New 7x19 cable of 5/16 in., 0.3125+0.022 in.", "faa-new-oversize",
     {"rope_diameter_mm": "7.9375"}, "more_than", "8.49630", "mm"),
    ("FAA AC 43.13-1B", "Table 7-3, plus tolerance 0.024", "read",
     "New 7x19 cable of 11/32 in., 0.34375+0.024 in.", "faa-new-oversize",
     {"rope_diameter_mm": "8.73125"}, "more_than", "9.340850", "mm"),
    ("FAA AC 43.13-1B", "Table 7-3, plus tolerance 0.026", "read",
     "New 7x19 cable of 3/8 in., 0.375+0.026 in.", "faa-new-oversize",
     {"rope_diameter_mm": "9.525"}, "more_than", "10.1854", "mm"),
    ("FAA AC 43.13-1B", "Table 7-3, plus only", "read",
     "New 7x19 cable of 1 in.", "faa-new-undersize", INCH_ROPE, "less_than", "25.4", "mm"),
    ("30 CFR 56.19024", "(h)", "read",
     "Loss of strength by test", "msha-strength-loss", {}, "more_than", "10", "percent"),
    ("WAC 296-24-29401", "condemned at 15 percent", "read",
     "Loss of strength", "wac-strength-loss", {}, "at_least", "15", "percent"),
    ("BG Bau sheet on synthetic fibre ropes", "yarn breaks over 10 percent", "read",
     "Broken yarns", "bgbau-yarns", {}, "more_than", "10", "percent"),
    ("Cordage Institute CI 2001", "about 10 percent of yarns", "memory",
     "Broken yarns", "ci2001-yarns", {}, "at_least", "10", "percent"),
    ("29 CFR 1926.251", "eye splices, manila", "secondary",
     "Tucks", "osha251-tucks-manila", {}, "less_than", "3", "count"),
    ("29 CFR 1926.251", "eye splices, synthetic", "secondary",
     "Tucks", "osha251-tucks-synthetic", {}, "less_than", "4", "count"),
    ("US Navy training manual 14081", "page 362", "secondary",
     "Tread ratio", "navy-tread-ratio", {}, "less_than", "20", "none"),
    ("Trade articles on cable bending radius", "20 to 40", "secondary",
     "Tread ratio", "stage-cable-tread-ratio", {}, "less_than", "20", "none"),
    ("ASME B30.5", "load hoist", "secondary",
     "Tread ratio", "b305-hoist-tread-ratio", {}, "less_than", "18", "none"),
    ("ASME B30.5", "boom hoist", "secondary",
     "Tread ratio", "b305-boom-tread-ratio", {}, "less_than", "15", "none"),
    ("MIL-F-18372", "page 6, at 20 percent of strength", "read",
     "Tread ratio", "mil-tread-ratio-20", {}, "less_than", "28", "none"),
    ("Wire Rope Users Manual", "table of sheave ratios, suggested", "secondary",
     "Tread ratio, 6x7", "wrtb-tread-suggested", {"rope_construction": "6x7"}, "less_than", "72", "none"),
    ("Wire Rope Users Manual", "table of sheave ratios, suggested", "secondary",
     "Tread ratio, 19x7", "wrtb-tread-suggested", {"rope_construction": "19x7"}, "less_than", "51", "none"),
    ("Wire Rope Users Manual", "table of sheave ratios, suggested", "secondary",
     "Tread ratio, 6x19S", "wrtb-tread-suggested", {"rope_construction": "6x19S"}, "less_than", "51", "none"),
    ("Wire Rope Users Manual", "table of sheave ratios, suggested", "secondary",
     "Tread ratio, 6x21FW", "wrtb-tread-suggested", {"rope_construction": "6x21FW"}, "less_than", "45", "none"),
    ("Wire Rope Users Manual", "table of sheave ratios, suggested", "secondary",
     "Tread ratio, 6x26WS", "wrtb-tread-suggested", {"rope_construction": "6x26WS"}, "less_than", "45", "none"),
    ("Wire Rope Users Manual", "table of sheave ratios, suggested", "secondary",
     "Tread ratio, 6x25FW", "wrtb-tread-suggested", {"rope_construction": "6x25FW"}, "less_than", "39", "none"),
    ("Wire Rope Users Manual", "table of sheave ratios, suggested", "secondary",
     "Tread ratio, 6x31WS", "wrtb-tread-suggested", {"rope_construction": "6x31WS"}, "less_than", "39", "none"),
    ("Wire Rope Users Manual", "table of sheave ratios, suggested", "secondary",
     "Tread ratio, 6x36WS", "wrtb-tread-suggested", {"rope_construction": "6x36WS"}, "less_than", "35", "none"),
    ("Wire Rope Users Manual", "table of sheave ratios, suggested", "secondary",
     "Tread ratio, 6x41", "wrtb-tread-suggested", {"rope_construction": "6x41"}, "less_than", "32", "none"),
    ("Wire Rope Users Manual", "table of sheave ratios, suggested", "secondary",
     "Tread ratio, 8x19S", "wrtb-tread-suggested", {"rope_construction": "8x19S"}, "less_than", "41", "none"),
    ("Wire Rope Users Manual", "table of sheave ratios, suggested", "secondary",
     "Tread ratio, 8x25FW", "wrtb-tread-suggested", {"rope_construction": "8x25FW"}, "less_than", "32", "none"),
    ("Trade table, small cable", "desirable", "secondary",
     "Tread ratio, 7x19", "small-cable-tread-desirable", {"rope_construction": "7x19"}, "less_than", "24", "none"),
    ("Trade table, small cable", "desirable", "secondary",
     "Tread ratio, 7x7", "small-cable-tread-desirable", {"rope_construction": "7x7"}, "less_than", "42", "none"),
    ("Wire rope handbook pages, grooves", "0.53 to 0.535, at most 0.55", "secondary",
     "New groove over rope", "makers-groove-least", {}, "less_than", "0.53", "none"),
    ("Wire rope handbook pages, grooves", "0.53 to 0.535, at most 0.55", "secondary",
     "New groove over rope", "makers-groove-most", {}, "more_than", "0.55", "none"),
    ("Wire rope handbook pages, grooves", "0.54 to 0.57", "secondary",
     "New groove over rope", "makers-groove-other-least", {}, "less_than", "0.54", "none"),
    ("Wire rope handbook pages, grooves", "0.54 to 0.57", "secondary",
     "New groove over rope", "makers-groove-other-most", {}, "more_than", "0.57", "none"),
    ("ISO 16625", "groove diameter +5 percent: radius 1.05/2", "secondary",
     "New groove over rope", "iso16625-groove-least", {}, "less_than", "0.525", "none"),
    ("ISO 16625", "groove diameter +10 percent: radius 1.10/2", "secondary",
     "New groove over rope", "iso16625-groove-most", {}, "more_than", "0.55", "none"),
    ("MIL-F-18372", "page 6, other controls", "read",
     "Cable alignment", "mil-alignment-other", {}, "more_than", "2", "deg"),
    ("MIL-F-18372", "page 6, primary controls", "read",
     "Cable alignment", "mil-alignment-primary", {}, "more_than", "1", "deg"),
    ("Handbook page, fleet angle", "not under 0.5 degrees", "read",
     "Fleet angle", "handbook-fleet-least-smooth", {}, "less_than", "0.5", "deg"),
    ("NSW dogging and rigging guide", "distance 12 times half the width", "read",
     "Fleet ratio", "nsw-fleet-ratio-grooved", {}, "more_than", "1/12", "none"),
    ("NSW dogging and rigging guide", "distance 19 times half the width", "read",
     "Fleet ratio", "nsw-fleet-ratio-smooth", {}, "more_than", "1/19", "none"),
    ("WAC 296-874-30020", "at least three", "read",
     "Clips", "wac-scaffold-clip-count", {}, "less_than", "3", "count"),
    ("WorkSafeNB, wire rope cable clips", "overhead eyes", "read",
     "Clips", "worksafenb-clip-count", {}, "less_than", "3", "count"),
    ("US Navy training manual 14026", "page 1-8, ceil(3 D + 1)", "read",
     "Clips, 1/8 in. rope", "navy-clip-count", {"rope_diameter_mm": "3.175"}, "less_than", "2", "count"),
    ("US Navy training manual 14026", "page 1-8, ceil(3 D + 1)", "read",
     "Clips, 3/16 in. rope", "navy-clip-count", {"rope_diameter_mm": "4.7625"}, "less_than", "2", "count"),
    ("US Navy training manual 14026", "page 1-8, ceil(3 D + 1)", "read",
     "Clips, 1/4 in. rope", "navy-clip-count", {"rope_diameter_mm": "6.35"}, "less_than", "2", "count"),
    ("US Navy training manual 14026", "page 1-8, ceil(3 D + 1)", "read",
     "Clips, 5/16 in. rope", "navy-clip-count", {"rope_diameter_mm": "7.9375"}, "less_than", "2", "count"),
    ("US Navy training manual 14026", "page 1-8, ceil(3 D + 1)", "read",
     "Clips, 3/8 in. rope", "navy-clip-count", {"rope_diameter_mm": "9.525"}, "less_than", "3", "count"),
    ("US Navy training manual 14026", "page 1-8, ceil(3 D + 1)", "read",
     "Clips, 7/16 in. rope", "navy-clip-count", {"rope_diameter_mm": "11.1125"}, "less_than", "3", "count"),
    ("US Navy training manual 14026", "page 1-8, ceil(3 D + 1)", "read",
     "Clips, 1/2 in. rope", "navy-clip-count", {"rope_diameter_mm": "12.7"}, "less_than", "3", "count"),
    ("US Navy training manual 14026", "page 1-8, ceil(3 D + 1)", "read",
     "Clips, 9/16 in. rope", "navy-clip-count", {"rope_diameter_mm": "14.2875"}, "less_than", "3", "count"),
    ("US Navy training manual 14026", "page 1-8, ceil(3 D + 1)", "read",
     "Clips, 5/8 in. rope", "navy-clip-count", {"rope_diameter_mm": "15.875"}, "less_than", "3", "count"),
    ("US Navy training manual 14026", "page 1-8, ceil(3 D + 1)", "read",
     "Clips, 3/4 in. rope", "navy-clip-count", {"rope_diameter_mm": "19.05"}, "less_than", "4", "count"),
    ("US Navy training manual 14026", "page 1-8, ceil(3 D + 1)", "read",
     "Clips, 7/8 in. rope", "navy-clip-count", {"rope_diameter_mm": "22.225"}, "less_than", "4", "count"),
    ("US Navy training manual 14026", "page 1-8, ceil(3 D + 1)", "read",
     "Clips, 1 in. rope", "navy-clip-count", {"rope_diameter_mm": "25.4"}, "less_than", "4", "count"),
    ("29 CFR 1926.251", "Table H-2, drop-forged, 1/2 in.", "memory",
     "Clips", "osha251-clip-count", {"rope_diameter_mm": "12.7"}, "less_than", "3", "count"),
    ("29 CFR 1926.251", "Table H-2, drop-forged, 5/8 in.", "memory",
     "Clips", "osha251-clip-count", {"rope_diameter_mm": "15.875"}, "less_than", "3", "count"),
    ("29 CFR 1926.251", "Table H-2, drop-forged, 3/4 in.", "memory",
     "Clips", "osha251-clip-count", {"rope_diameter_mm": "19.05"}, "less_than", "4", "count"),
    ("29 CFR 1926.251", "Table H-2, drop-forged, 7/8 in.", "memory",
     "Clips", "osha251-clip-count", {"rope_diameter_mm": "22.225"}, "less_than", "4", "count"),
    ("29 CFR 1926.251", "Table H-2, drop-forged, 1 in.", "memory",
     "Clips", "osha251-clip-count", {"rope_diameter_mm": "25.4"}, "less_than", "5", "count"),
    ("29 CFR 1926.251", "Table H-2, spacing, 1/2 in.", "memory",
     "Clip spacing", "osha251-clip-spacing", {"rope_diameter_mm": "12.7"}, "less_than", "3", "in"),
    ("29 CFR 1926.251", "Table H-2, spacing, 5/8 in.", "memory",
     "Clip spacing", "osha251-clip-spacing", {"rope_diameter_mm": "15.875"}, "less_than", "3.75", "in"),
    ("29 CFR 1926.251", "Table H-2, spacing, 3/4 in.", "memory",
     "Clip spacing", "osha251-clip-spacing", {"rope_diameter_mm": "19.05"}, "less_than", "4.5", "in"),
    ("29 CFR 1926.251", "Table H-2, spacing, 7/8 in.", "memory",
     "Clip spacing", "osha251-clip-spacing", {"rope_diameter_mm": "22.225"}, "less_than", "5.25", "in"),
    ("29 CFR 1926.251", "Table H-2, spacing, 1 in.", "memory",
     "Clip spacing", "osha251-clip-spacing", {"rope_diameter_mm": "25.4"}, "less_than", "6", "in"),
    ("Theatre technical page, U-bolt clips", "1/8 in.", "secondary",
     "Turnback", "other-clip-turnback", {"rope_diameter_mm": "3.175"}, "less_than", "3.75", "in"),
    ("WorkSafeNB, wire rope cable clips", "5/16 in.", "read",
     "Turnback", "worksafenb-clip-turnback", {"rope_diameter_mm": "7.9375"}, "less_than", "5.5", "in"),
    ("Michigan R 408.15226", "about 6 d", "read",
     "Clip spacing, 1 in. rope", "mich-clip-spacing", INCH_ROPE, "less_than", "152.4", "mm"),
    ("US Navy training manual 14026", "page 1-8, 6 D", "read",
     "Clip spacing, 1 in. rope", "navy-clip-spacing", INCH_ROPE, "less_than", "152.4", "mm"),
    ("ASME B30.26", "10 percent reduction", "memory",
     "Wear of hardware", "b3026-wear", {}, "at_least", "10", "percent"),
    ("Trade note on hooks", "throat +5 percent", "secondary",
     "Hook throat", "trade-hook-throat", {}, "more_than", "5", "percent"),
    ("29 CFR 1910.21 before 2017", "(a), floor hole", "read",
     "Hole", "old-osha-hole", {}, "at_least", "1", "in"),
    ("29 CFR 1910.21 before 2017", "(a), floor opening", "read",
     "Hole", "old-osha-opening", {}, "at_least", "12", "in"),
    ("29 CFR 1926.500", "(b), opening 18 in. wide", "secondary",
     "Wall opening", "osha500-opening", {}, "at_least", "18", "in"),
    ("29 CFR 1910.28", "(b)(1)", "secondary",
     "Drop at an edge", "osha-drop", {}, "at_least", "4", "ft"),
    ("29 CFR 1910.28", "(b)(3)(i)", "secondary",
     "Drop through a hole", "osha-hole-drop", {}, "at_least", "4", "ft"),
    ("Norwegian workplace regulations", "2-22, at least 1 m", "read",
     "Rail height", "norway-rail", {}, "less_than", "1000", "mm"),
    ("Norwegian workplace regulations", "2-22, at least 0.10 m", "read",
     "Toeboard", "norway-toeboard", {}, "less_than", "100", "mm"),
    ("Norwegian workplace regulations", "2-22, no gap", "read",
     "Toeboard gap", "norway-toe-gap", {}, "more_than", "0", "mm"),
    ("UK construction guardrail figures", "at least 950 mm", "secondary",
     "Rail height", "uk-construction-rail", {}, "less_than", "950", "mm"),
    ("UK construction guardrail figures", "gap at most 470 mm", "secondary",
     "Rail opening", "uk-construction-gap", {}, "more_than", "470", "mm"),
    ("29 CFR 1910.29", "(b)(4)", "read",
     "Top rail under load", "osha-rail-deflected", {}, "less_than", "39", "in"),
    ("29 CFR 1910.29", "(b)(3)", "read",
     "Top rail force", "osha-rail-force", {}, "less_than", "200", "lbf"),
    ("29 CFR 1910.29", "(b)(5)", "read",
     "Midrail force", "osha-midrail-force", {}, "less_than", "150", "lbf"),
    ("29 CFR 1910.29", "(k)(1)", "read",
     "Toeboard force", "osha-toeboard-force", {}, "less_than", "50", "lbf"),
    ("29 CFR 1910.29", "(k)(1)", "read",
     "Opening in a toeboard", "osha-toeboard-opening", {}, "more_than", "1", "in"),
    ("EN ISO 14122-3", "posts", "secondary",
     "Post spacing", "iso14122-posts", {}, "more_than", "1500", "mm"),
    ("EN ISO 14122-3", "hand rail", "secondary",
     "Rail diameter", "iso14122-rail-thin", {}, "less_than", "25", "mm"),
    ("EN ISO 14122-3", "hand rail", "secondary",
     "Rail diameter", "iso14122-rail-thick", {}, "more_than", "50", "mm"),
    ("EN ISO 14122-3", "hand rail", "secondary",
     "Free space", "iso14122-rail-free", {}, "less_than", "100", "mm"),
    ("EN ISO 14122-3", "gap of segments", "secondary",
     "Gap of segments", "iso14122-segment-narrow", {}, "less_than", "75", "mm"),
    ("EN ISO 14122-3", "gap of segments", "secondary",
     "Gap of segments", "iso14122-segment-wide", {}, "more_than", "120", "mm"),
    ("EN ISO 14122-2", "least width", "secondary",
     "Walkway", "iso14122-walkway", {}, "less_than", "600", "mm"),
    ("EN ISO 14122-2", "preferred width", "secondary",
     "Walkway", "iso14122-walkway-preferred", {}, "less_than", "800", "mm"),
    ("EN ISO 14122-2", "headroom", "secondary",
     "Headroom", "iso14122-headroom", {}, "less_than", "2100", "mm"),
    ("EN ISO 14122-2", "step to a neighbour", "secondary",
     "Step", "iso14122-step", {}, "more_than", "4", "mm"),
    ("29 CFR 1910.23", "(b)(2), elevator shafts", "read",
     "Rungs", "osha-rungs-shaft-wide", {}, "more_than", "16.5", "in"),
    ("29 CFR 1910.23", "(d)", "memory",
     "Behind the rungs", "osha-behind-rungs", {}, "less_than", "7", "in"),
    ("29 CFR 1910.23", "(d)", "secondary",
     "Climbing side", "osha-climbing-side", {}, "less_than", "30", "in"),
    ("29 CFR 1910.23", "(d)", "memory",
     "Step across", "osha-step-short", {}, "less_than", "7", "in"),
    ("29 CFR 1910.23", "(d)", "memory",
     "Step across", "osha-step-wide", {}, "more_than", "12", "in"),
    ("29 CFR 1910.23", "(d)", "memory",
     "Grab bar", "osha-grab-bar", {}, "less_than", "4", "in"),
    ("29 CFR 1926.502", "(i)", "read",
     "Cover over its load", "osha502-cover", {}, "less_than", "2", "none"),
    ("29 CFR 1910.29", "(e)", "memory",
     "Cover over its load", "osha-cover", {}, "less_than", "2", "none"),
    ("29 CFR 1910.140", "(c)(13)", "secondary",
     "Anchorage", "osha-anchorage", {}, "less_than", "5000", "lbf"),
    ("29 CFR 1926.502", "(d)(15)", "read",
     "Anchorage", "osha502-anchorage", {}, "less_than", "5000", "lbf"),
    ("NFPA 80", "last part not less than 5 s", "secondary",
     "Curtain", "nfpa80-curtain-last", {}, "less_than", "5", "s"),
    ("NFPA 80", "older rule, within 30 s", "secondary",
     "Curtain", "nfpa80-curtain-whole", {}, "more_than", "30", "s"),
    ("ANSI E1.22", "by one person within 3 min", "secondary",
     "Curtain", "e122-curtain-hand", {}, "more_than", "180", "s"),
]  # fmt: skip
TABLED = {  # rules whose figures are a table, checked row by row below or in test_judge.py and test_criteria.py
    "trade-clip-count", "trade-clip-turnback", "trade-clip-torque", "cal8497-clip-count", "cal8497-clip-turnback",
    "cal8497-clip-torque", "wrtb-worn-groove", "wrtb-tread-ratio", "small-cable-tread-ratio", "wac-logging-diameter",
    "din15020-regular-6d", "din15020-regular-30d", "din15020-lang-6d", "din15020-lang-30d",
    "din15020-regular-6d-thick", "din15020-regular-30d-thick", "din15020-lang-6d-thick", "din15020-lang-30d-thick",
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


CONDITIONS = {
    rule.id
    for criterion in reference_at(shared_dir()).criteria.values()
    if criterion.is_condition
    for rule in criterion.rules
}


def test_no_rule_ships_without_its_figure_checked_here() -> None:
    plates = {key for key, rule in RULES.items() if rule.mark == "recorded"}  # no document: test_own_plate.py
    assert set(RULES) == {row[4] for row in FIGURES} | TABLED | CONDITIONS | plates


@pytest.mark.parametrize("rule", sorted(CONDITIONS))
def test_a_condition_is_outside_as_soon_as_it_is_seen(rule: str) -> None:
    held = RULES[rule]
    assert (value_of(held.form, {}), held.op, held.unit) == (1, "at_least", "count")


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
