"""The workbench through its pages: what published documents say is what the pages answer."""

import re
from urllib.parse import urlencode

import pytest
from flask.testing import FlaskClient

from inspect_app.domain.house import House
from tests.published import published
from tests.workbench_page import page


@published(
    "Through the pages of the workbench", "29 CFR 1926.1413", "(a)(2)(ii)(B)", "secondary",
    what="1/4 in. rope, least diameter", value="0.2375 in.",
)  # fmt: skip
def test_a_rope_5_percent_under_nominal_is_at_the_limit_of_29_cfr_1926_1413(bench: FlaskClient, house: House) -> None:
    """29 CFR 1926.1413(a)(2)(ii)(B): a reduction of more than 5 percent; 1/4 in less 5 % = 0.2375 in."""
    inside = page(bench, house, "rope-diameter", rope_diameter_mm="1/4 in", measured="0.2375 in")[1]
    outside = page(bench, house, "rope-diameter", rope_diameter_mm="1/4 in", measured="0.2374 in")[1]
    for text in (inside, outside):
        assert "outside when less than 0.2375 in" in text
        assert "29 CFR 1926.1413 (a)(2)(ii)(B) (from a secondary source" in text
    assert "take out of use" not in inside
    assert "outside the cited criterion: take out of use and have a qualified person decide" in outside


@published(
    "Through the pages of the workbench", "29 CFR 1926.1413 and 30 CFR 56.19024", "(a)(2)(ii)(A)(1); (a)(1)", "read",
    what="7x19, broken wires in one lay", value="outside at 6; more than 6.65",
)  # fmt: skip
def test_six_broken_wires_in_a_lay_are_outside_29_cfr_1926_1413(bench: FlaskClient, house: House) -> None:
    """29 CFR 1926.1413(a)(2)(ii)(A)(1): six or more in one lay; 30 CFR 56.19024(a): more than 5 % of the wires."""
    typed = {"rope_construction": "7x19", "rope_duty": "running"}
    at_five = page(bench, house, "broken-wires", lay="5", **typed)[1]
    at_six = page(bench, house, "broken-wires", lay="6", **typed)[1]
    assert "outside when 6 or more" in at_five
    assert "outside when more than 6.65" in at_five  # 133 wires, 5 percent
    assert "outside the cited criterion" not in at_five.split("29 CFR 1926.1413")[0]
    assert "outside the cited criterion: take out of use" in at_six


@published(
    "Through the pages of the workbench", "California Title 8 section 8497", "Table 1", "read",
    what="1/2 in. rope, clips", value="3, 11 1/2 in., 65 lb-ft",
)  # fmt: skip
def test_a_half_inch_rope_wants_three_clips_and_11_and_a_half_inches(bench: FlaskClient, house: House) -> None:
    """California Code of Regulations, Title 8, section 8497, Table 1: 1/2 in, 3 clips, 11 1/2 in, 65 lb-ft."""
    text = page(
        bench, house, "clips", rope_diameter_mm="1/2 in", clips="2", turnback="11 1/2 in", torque="65", law="US-CA"
    )[1]
    assert "outside when less than 3" in text
    assert "outside when less than 11.5 in" in text
    assert "outside when less than 65 lbf·ft" in text
    assert "Title 8" in text


@published(
    "Through the pages of the workbench", "MIL-F-18372", "page 6, turnbuckles", "read",
    names="threads, tone", rows=[("3", "inside the cited criterion"), ("4", "outside the cited criterion")],
    what="{threads} threads showing at a turnbuckle", value="{tone}",
)  # fmt: skip
def test_more_than_three_threads_of_a_turnbuckle_are_outside_mil_f_18372(
    bench: FlaskClient, house: House, threads: str, tone: str
) -> None:
    """MIL-F-18372, page 6: no more than three threads exposed at either end."""
    text = page(bench, house, "hardware", threads=threads)[1]
    assert "outside when more than 3" in text
    assert tone in text
    assert "MIL-F-18372 page 6, turnbuckles (text read, by analogy)" in text


@pytest.mark.parametrize(
    ("now", "tone"), [("1.05 in", "inside the"), ("1.051 in", "outside the"), ("26.67 mm", "inside")]
)
def test_a_hook_that_opened_by_more_than_five_percent_is_outside(
    bench: FlaskClient, house: House, now: str, tone: str
) -> None:
    """Trade note on hooks: throat opening more than five percent over the original."""
    text = page(bench, house, "hardware", throat_new="1 in", throat_now=now)[1]
    assert f"outside when more than 5% {tone}" in text


def test_worn_hardware_has_no_limit_until_the_house_signs_one_in(bench: FlaskClient, house: House) -> None:
    text = page(bench, house, "hardware", size_new="1/2 in", size_now="7/16 in")[1]
    assert "12.5 %" in text
    assert "no limit in use: off until a qualified person of the house enters it" in text
    assert "ASME B30.26" in text
    assert "inside the cited" not in text
    assert page(bench, house, "hardware", size_new="1/2 in", size_now="9/16 in")[0] == 422
    assert page(bench, house, "hardware", size_new="1/2 in")[0] == 422


@published(
    "Through the pages of the workbench", "29 CFR 1910.29", "(b)(1)", "read",
    names="rail, tone", rows=[("39 in", "inside the cited criterion"), ("38.9 in", "keep people clear of it")],
    what="a rail of {rail}", value="{tone}",
)  # fmt: skip
def test_a_rail_below_39_inches_is_outside_29_cfr_1910_29(
    bench: FlaskClient, house: House, rail: str, tone: str
) -> None:
    """29 CFR 1910.29(b)(1): 42 in plus or minus 3 in."""
    text = page(bench, house, "guardrail", rail=rail, law="US")[1]
    assert "outside when less than 39 in" in text
    assert tone in text


@published(
    "Through the pages of the workbench", "trade table, small cable", "critical minimum", "secondary",
    what="7x19, tread over rope diameter", value="18",
)  # fmt: skip
def test_tread_ratio_18_is_the_critical_minimum_for_7x19(bench: FlaskClient, house: House) -> None:
    """Trade table of small cable (shared/sources.yaml): critical minimum 18 for 7x19; 4 1/2 in over 1/4 in is 18."""
    typed = {"rope_diameter_mm": "1/4 in", "rope_construction": "7x19"}
    assert "inside the cited criterion" in page(bench, house, "block-ratio", tread="4 1/2 in", **typed)[1]
    assert "outside the cited criterion" in page(bench, house, "block-ratio", tread="4 7/16 in", **typed)[1]


@published(
    "Through the pages of the workbench", "MIL-STD-882E", "Table III", "secondary",
    what="severity 3, probability E", value="Medium",
)  # fmt: skip
def test_cell_3e_of_mil_std_882e_is_medium(bench: FlaskClient, house: House) -> None:
    """MIL-STD-882E (2012), Table III: Marginal and Improbable is Medium; several copies get this cell wrong."""
    assert "Level Medium" in page(bench, house, "risk", severity="3", probability="E")[1]


@published(
    "Through the pages of the workbench", "NIST Special Publication 811", "Appendix B.8", "memory",
    what="1 lbf", value="4.4482 N",
)  # fmt: skip
def test_a_pound_force_is_4_448_newtons(bench: FlaskClient, house: House) -> None:
    """NIST Special Publication 811, Appendix B.8."""
    text = page(bench, house, "units", force="1 lbf", length="1 in", mass="1 lb")[1]
    assert "about 4.4482 N" in text
    assert "25.4 mm" in text
    assert "0.4536 kg" in text


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"lay": "2", "strand": "3"}, "strand"),
        ({"lay": "2", "rope_wires_total": "49", "rope_wires_per_strand": "50"}, "rope_wires_per_strand"),
    ],
)
def test_a_part_cannot_have_more_broken_wires_than_the_whole(
    bench: FlaskClient, house: House, typed: dict[str, str], field: str
) -> None:
    answer = bench.get(f"/houses/{house.id}/workbench/broken-wires/?{urlencode(typed)}")
    assert answer.status_code == 422
    assert f'id="{field}-error"' in answer.text


def test_limits_in_percent_name_the_wires_that_they_are_of(bench: FlaskClient, house: House) -> None:
    """6.65 is 5 percent of 133: without the 133 nobody could work it out from the sheet."""
    text = page(bench, house, "broken-wires", lay="5", rope_construction="7x19")[1]
    assert "outside when more than 6.65" in text
    assert "wires in the rope 133; wires in one strand 19" in text


@published(
    "Through the pages of the workbench", "Rigging Math (Made Simple)", "lesson 2", "worked",
    names="measured, degrees, pull",
    rows=[
        ("wrap", "90", "282.8 lbf"),
        ("wrap", "60", "200 lbf"),
        ("wrap", "180", "400 lbf"),
        ("included", "120", "200 lbf"),
    ],
    what="200 lbf line, {measured} {degrees} degrees", value="{pull}",
)  # fmt: skip
def test_the_pull_on_a_block_by_either_angle(
    bench: FlaskClient, house: House, measured: str, degrees: str, pull: str
) -> None:
    """Factors by wrap of two equal forces: 60 degrees 1.000, 90 degrees 1.414, 180 degrees 2.000 (statics)."""
    text = page(bench, house, "block-pull", tension="200 lbf", degrees=degrees, measured=measured)[1]
    assert f"Pull on the block {pull}" in text


FIFTY_FOOT = {
    "length": "50 ft", "lines": "0 ft\n10 ft\n20 ft\n30 ft\n40 ft\n50 ft", "pipe": "1 1/2", "own": "136 lb",
    "loads": "15 lb/ft from 0 to 50 ft", "wrap": "90", "kind": "single_purchase",
}  # fmt: skip
ROPE = {"rope_diameter_mm": "1/4 in", "rope_construction": "7x19", "grade": "carbon", "termination": "clips"}


@published(
    "Through the pages of the workbench", "Civil Engineering Formulas", "Table 2.1, p. 50", "worked",
    what="batten of five spans of 10 ft, 17.72 lb/ft: pulls of the lines",
    value="69.95, 200.5, 172.5, 172.5, 200.5, 69.95 lbf",
)  # fmt: skip
def test_a_batten_of_five_spans_shares_its_load_as_the_handbook_says(bench: FlaskClient, house: House) -> None:
    """Civil Engineering Formulas, table 2.1, p. 50: 15/38, 43/38, 37/38 of 10 ft × 17.72 lb/ft."""
    status, text = page(bench, house, "batten-load", **FIFTY_FOOT)
    assert status == 200
    for line, pounds in ((1, "69.95"), (2, "200.5"), (3, "172.5"), (4, "172.5"), (5, "200.5"), (6, "69.95")):
        assert re.search(rf"line {line} from the left [^l]*{re.escape(pounds)} lbf", text)
    assert "All that hangs on the lines 886 lbf" in text
    assert "No design factor: not given" in text
    assert "<svg" in bench.get(f"/houses/{house.id}/workbench/batten-load/?{urlencode(FIFTY_FOOT)}").text


@published(
    "Through the pages of the workbench", "FAA AC 43.13-1B; US Army TM 5-3810-305-10", "Table 7-3; page 103", "worked",
    what="700 lbf on 1/4 in. 7x19 carbon with 80 % clips", value="8 : 1",
)  # fmt: skip
def test_a_factor_names_rope_line_end_and_their_documents(bench: FlaskClient, house: House) -> None:
    """FAA AC 43.13-1B Table 7-3: 1/4 in 7x19, 7,000 lbf; US Army TM 5-3810-305-10: clips 80 percent. 700 lbf: 8 : 1."""
    load = {"length": "10 ft", "lines": "5 ft", "pipe": "other", "own": "700 lb", "wrap": "90"}
    text = page(bench, house, "batten-load", **load, **ROPE)[1]
    assert "8 : 1" in text
    assert "new rope, catalogue strength; says nothing of the rope in the house" in text
    assert "FAA AC 43.13-1B Table 7-3" in text
    assert "US Army TM 5-3810-305-10" in text
    assert "safe" not in text.replace("safety", "")


@published(
    "Through the pages of the workbench", "FAA AC 43.13-1B; US Army TM 5-3810-305-10", "Table 7-3; page 103", "worked",
    names="tension, factor", rows=[("700 lbf", "8 : 1"), ("875 lbf", "6.4 : 1"), ("701 lbf", "7.98 : 1")],
    what="{tension} on 1/4 in. 7x19 carbon with 80 % clips, without a batten", value="{factor}",
)  # fmt: skip
def test_the_factor_of_one_line_is_worked_out_without_a_batten(
    bench: FlaskClient, house: House, tension: str, factor: str
) -> None:
    """FAA AC 43.13-1B Table 7-3: 1/4 in 7x19, 7,000 lbf; US Army TM 5-3810-305-10: clips 80 percent."""
    text = page(bench, house, "design-factor", tension=tension, **ROPE)[1]
    assert f"line end at 80 % {factor} new rope, catalogue strength; says nothing of the rope in the house" in text
    assert "Asked for by a document: Lift lines, at least 8" in text
    bent = page(bench, house, "design-factor", tension=tension, tread="4 1/2 in", **ROPE)[1]
    assert factor not in bent.split("Given")[0]
    none = page(bench, house, "design-factor", tension=tension, **(ROPE | {"termination": "knot"}))[1]
    assert not re.search(r"\d : 1", none)


def test_a_line_end_without_a_published_efficiency_withholds_the_factor(bench: FlaskClient, house: House) -> None:
    text = page(bench, house, "batten-load", **FIFTY_FOOT, **(ROPE | {"termination": "swaged"}))[1]
    assert "withheld" in text
    assert "no published efficiency of this line end (swaged)" in text
    assert not re.search(r"\d : 1", text)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"lines": "10 ft\n10 ft"}, "at least 1 mm from the next"),
        ({"lines": "30 ft\n10 ft"}, "from left to right"),
        ({"lines": "10 ft\n60 ft"}, "beyond the right end"),
        ({"lines": "\n".join(f"{n} ft" for n in range(1, 15))}, "1 to 12 lift lines"),
        ({"loads": "10 lb at 60 ft"}, "beyond the right end"),
        ({"lines": "1 ft\n3 ft"}, "tip"),
        ({"wrap": "0"}, "zero"),
        ({"pipe": "other", "own": ""}, "Weigh it"),
    ],
)
def test_a_batten_that_cannot_be_is_refused_beside_its_field(
    bench: FlaskClient, house: House, change: dict[str, str], said: str
) -> None:
    status, text = page(bench, house, "batten-load", **(FIFTY_FOOT | change))
    assert status == 422
    assert said in text


@pytest.mark.parametrize(("sheet", "field"), [("ladder", "rungs"), ("ladder", "width"), ("deck-gaps", "slot")])
def test_a_distance_of_nothing_is_a_slip_and_no_measure(
    bench: FlaskClient, house: House, sheet: str, field: str
) -> None:
    assert page(bench, house, sheet, **{field: "0 in"})[0] == 422
    assert page(bench, house, "guardrail", rail="0 in")[0] == 200  # no rail at all is something to be found


@published(
    "Through the pages of the workbench", "trade descriptions of counterweight sets", "1 to 1 and 2 to 1", "worked",
    names="kind, pounds", rows=[("single_purchase", "400 lb"), ("double_purchase", "800 lb")],
    what="arbor against 400 lb, {kind}", value="{pounds}",
)  # fmt: skip
def test_a_double_purchase_arbor_weighs_twice(bench: FlaskClient, house: House, kind: str, pounds: str) -> None:
    """Trade descriptions of counterweight sets: single purchase 1 : 1, double purchase 2 : 1."""
    text = page(bench, house, "counterweight", kind=kind, pipe="150 lb", load="250 lb")[1]
    assert f"The loaded arbor must weigh {pounds}" in text


def test_the_counterweight_says_bricks_order_balance_and_capacity_and_asks_for_what_is_missing(
    bench: FlaskClient, house: House
) -> None:
    typed = {"kind": "single_purchase", "pipe": "150 lb", "load": "250 lb", "arbor": "100 lb", "brick": "24 lb"}
    text = page(bench, house, "counterweight", **typed, brick_mm="1 in", free="1 ft", set_capacity="399.9 lb")[1]
    assert "12 whole" in text
    assert "does not go between the arbor's plates" in text
    assert "Load the batten first, then the arbor." in text
    assert "which leaves the set 12 lb arbor-heavy" in text
    assert text.index("take out of use") < text.index(
        "The loaded arbor must weigh"
    )  # over a posted capacity: said first
    status, text = page(bench, house, "counterweight", **typed)
    assert status == 422
    assert "Give its thickness as well" in text


def test_an_imbalance_reads_balance_the_set_whatever_the_plate_says(bench: FlaskClient, house: House) -> None:
    typed = {"kind": "single_purchase", "batten": "400 lb", "arbor_side_kg": "370 lb"}
    assert "no figure: balance the set" in page(bench, house, "imbalance", **typed)[1]
    assert "balance the set" in page(bench, house, "imbalance", **typed, lock="50 lb")[1]
    assert "take out of use" in page(bench, house, "imbalance", **typed, lock="20 lb")[1]


def test_a_trend_gives_the_early_end_only_or_says_why_not(bench: FlaskClient, house: House) -> None:
    limit = {"resolution": "0.001 in", "limit": "0.2375 in", "side": "below"}
    looks = "2022-01-01 0.256 in\n2023-01-01 0.252 in\n2024-01-01 0.249 in\n2025-01-01 0.245 in\n2026-01-01 0.241 in"
    text = page(bench, house, "trend", readings=looks, **limit)[1]
    assert "look again" in text
    assert "remaining" not in text
    assert "Theil-Sen line (middle of all pairs)" in text
    assert "outside when less than 0.2375 in: the limit given above (as typed, without a source)" in text
    assert "the measure falls by about 0.0037 in per year" in text  # the picture's description, in the house's unit
    few = page(bench, house, "trend", readings="2024-01-01 0.249 in\n2025-01-01 0.245 in", **limit)[1]
    assert "no direction yet: 2 looks so far" in few
    passed = page(bench, house, "trend", readings=looks.replace("0.241", "0.23"), **limit)[1]
    assert "the last measure is outside: the verdict stands" in passed


@published(
    "Through the pages of the workbench", "Rigging Math (Made Simple)", "lesson 12", "worked",
    what="offset of 3 in. in 10 ft, 1 in 40", value="1.432 deg, inside",
)  # fmt: skip
def test_one_in_forty_is_at_the_limit_of_the_primer_and_one_in_39_outside(bench: FlaskClient, house: House) -> None:
    """Rigging math primer, lesson 12: at most 1 1/2 degrees, 1 in 40; atan(1/40) is 1.432 degrees."""
    inside = page(bench, house, "fleet-angle", offset="3 in", distance="10 ft", fleet_at="block")[1]
    assert "1.432°" in inside
    assert "1 in 40" in inside
    assert "outside the cited criterion" not in inside
    outside = page(bench, house, "fleet-angle", offset="4 in", distance="10 ft", fleet_at="block")[1]
    assert "outside the cited criterion: take out of use" in outside
    assert page(bench, house, "fleet-angle", offset="11 ft", distance="10 ft", fleet_at="block")[0] == 422


def test_a_lay_is_marked_as_an_estimate_until_it_is_measured(bench: FlaskClient, house: House) -> None:
    text = page(bench, house, "rope-lay", rope_diameter_mm="1/4 in", rope_construction="7x19")[1]
    assert "One rope lay, an estimate 1.5 in (38.1 mm) to 1.75 in (44.45 mm)" in text
    assert "common practice, no source" in text
    measured = page(bench, house, "rope-lay", rope_diameter_mm="1/4 in", lay_mm="1.6 in")[1]
    assert "One rope lay 1.6 in" in measured
    assert "an estimate 1" not in measured


@published(
    "Through the pages of the workbench", "30 CFR 56.19024", "wear of more than one third of the outer wires", "read",
    what="0.2 mm off 0.6 mm wires", value="33.33 %, inside; 0.21 mm outside",
)  # fmt: skip
def test_a_third_of_the_outer_wires_is_at_the_limit_of_30_cfr_56_19024(bench: FlaskClient, house: House) -> None:
    """30 CFR 56.19024: more than one third of the original diameter of the outer wires."""
    typed = {"original": "6 mm", "wire_mm": "0.6 mm", "rope_construction": "7x19"}
    at = page(bench, house, "outer-wire-wear", worn="5.8 mm", **typed)[1]
    over = page(bench, house, "outer-wire-wear", worn="5.79 mm", **typed)[1]
    assert "all on one face 33.33 %" in at
    assert "30 CFR 56.19024" in at
    mine = at[: at.index("30 CFR 56.19024")].rsplit("Hoist ropes", 1)[1]
    assert "inside the cited criterion" in mine
    assert "outside the cited criterion" in over[: over.index("30 CFR 56.19024")].rsplit("Hoist ropes", 1)[1]
