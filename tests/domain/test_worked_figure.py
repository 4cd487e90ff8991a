"""Figures that nobody has to measure: from attributes and places, judged like any other."""

from dataclasses import replace
from fractions import Fraction

import pytest

from inspect_app.config import shared_dir
from inspect_app.domain.house import House, Inventory, LineSet, LineSetKind
from inspect_app.domain.judge import Result, judge, limits_for, worst
from inspect_app.domain.judged_measure import verdict_words
from inspect_app.domain.limit_words import rule_words
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.worked_figure import COUNTED_OVER, counted_over, outside_by_record, worked_figures
from inspect_app.store.reference import reference_at

CRITERIA = reference_at(shared_dir()).criteria
HOUSE = House("h", "House")
SET = LineSet("s", "h", "1", 1, LineSetKind.SINGLE, 3000, lines=3)
HEAD = Part("hb", "h", "a", PartKind.HEAD_BLOCK, "HB 1", "s", None, None, 0, 3000, 20000)
LOFTS = tuple(
    Part(f"lb{n}", "h", "a", PartKind.LOFT_BLOCK, f"LB 1-{n}", "s", n, None, 3000 * n, 3000, 20000) for n in (1, 2, 3)
)
LINE = Part("ll", "h", "a", PartKind.LIFT_LINE, "LL 1-1", "s", 1)
BLOCK = {"rope_diameter_mm": "6.35", "rope_construction": "7x19", "tread_diameter_mm": "114.3"}


def inventory(**attributes: dict[str, str]) -> Inventory:
    lives = {part: Life(f"life-{part}", part, attributes=given) for part, given in attributes.items()}
    return Inventory(HOUSE, line_sets=(SET,), parts=(HEAD, *LOFTS, LINE), lives=lives)


def results(figure) -> dict[str, Result]:
    return {verdict.limit.rule: verdict.result for verdict in figure.verdicts}


def test_tread_over_rope_is_judged_from_what_is_recorded() -> None:
    (ratio, _) = worked_figures(LOFTS[0], inventory(lb1=BLOCK), CRITERIA)
    assert ratio.shown == "18"  # 114.3 / 6.35
    assert results(ratio) == {
        "small-cable-tread-ratio": Result.INSIDE, "navy-tread-ratio": Result.OUTSIDE,
        "stage-cable-tread-ratio": Result.OUTSIDE, "b305-hoist-tread-ratio": Result.INSIDE,
        "b305-boom-tread-ratio": Result.INSIDE,
    }  # fmt: skip
    assert "not measured" in ratio.how


SIX = {"grooves": "3", "groove_pitch_mm": "90"}


def fleet_of(part: Part, house: Inventory):
    return next(figure for figure in worked_figures(part, house, CRITERIA) if figure.title == "Fleet angle")


def test_a_fleet_angle_needs_the_grooves_of_the_head_block() -> None:
    (figure,) = worked_figures(LOFTS[0], inventory(), CRITERIA)
    assert "grooves and the distance from groove to groove are not recorded for HB 1" in figure.why_not
    assert not figure.verdicts


def test_the_fleet_angle_is_worked_out_from_groove_to_loft_block_and_judged() -> None:
    house = inventory(hb=SIX)
    near, middle = (fleet_of(LOFTS[n], house) for n in (0, 1))
    assert near.shown == "1.72°, 1 in 33.3, to HB 1"  # atan(90 / 3000)
    assert results(near) == {
        "primer-fleet-degrees": Result.OUTSIDE, "primer-fleet-ratio": Result.OUTSIDE,
        "primer-fleet-ratio-angle": Result.OUTSIDE, "mil-alignment-other": Result.INSIDE,
    }  # fmt: skip
    assert "3.543 in (90 mm) sideways over 9'-10" in near.how  # a house that counts in feet and inches
    assert middle.shown == "0°, to HB 1"
    widest = fleet_of(HEAD, house)
    assert widest.shown == "1.72°, 1 in 33.3, to LB 1-1"
    assert "the widest of 3 lines, each loft block has its own" in widest.how


def test_a_line_between_the_two_limits_of_one_lesson_is_outside_the_stricter() -> None:
    found = results(fleet_of(LOFTS[0], inventory(hb={"grooves": "3", "groove_pitch_mm": "77"})))  # 1.47 degrees
    assert found["primer-fleet-degrees"] is Result.INSIDE
    assert found["primer-fleet-ratio"] is found["primer-fleet-ratio-angle"] is Result.OUTSIDE


def test_an_angle_measured_on_the_grid_is_judged_by_1_in_40_as_well() -> None:
    """A phone takes degrees alone and only compares: 1.45 degrees is inside 1.5 and outside 1 in 40."""
    found = judge(Fraction("1.45"), "deg", None, limits_for(CRITERIA["fleet-angle"], {}))
    assert worst(found).result is Result.OUTSIDE


def test_a_single_groove_is_in_the_middle() -> None:
    (figure,) = worked_figures(LOFTS[0], inventory(hb={"grooves": "1"}), CRITERIA)
    assert figure.shown == "0°, to HB 1"


@pytest.mark.parametrize(
    ("end", "shown"), [("downstage", "0°, to HB 1"), ("upstage", "3.43°, 1 in 16.7, to HB 1"), ("sideways", "")]
)
def test_a_block_off_the_middle_needs_to_know_at_which_end_line_1_has_its_groove(end: str, shown: str) -> None:
    off = replace(LOFTS[0], y_mm=2910)  # 90 mm downstage of the head block
    house = Inventory(HOUSE, line_sets=(SET,), parts=(HEAD, off), lives=inventory(hb=SIX).lives)
    assert "not recorded for HB 1 at which end line 1 has its groove" in fleet_of(off, house).why_not
    told = replace(house, lives=inventory(hb=SIX | {"groove_first": end}).lives)
    found = fleet_of(off, told)
    assert found.shown == shown
    assert bool(found.why_not) is not bool(shown)


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ((Part("mb", "h", "a", PartKind.MULE_BLOCK, "MB 1", "s", 1),), "MB 1 turns the line on its way to LB 1-1"),
        ((replace(HEAD, id="hb2", tag="HB 1b"),), "the set has 2 head blocks, and which of them this line leaves"),
    ],
)
def test_a_line_that_does_not_run_straight_from_one_head_block_has_no_angle(more: tuple[Part, ...], said: str) -> None:
    house = inventory(hb=SIX)
    house = replace(house, parts=(*house.parts, *more))
    assert said in fleet_of(LOFTS[0], house).why_not
    gone = replace(house, parts=(*inventory().parts, *(replace(one, retired_on="2025-01-01") for one in more)))
    assert fleet_of(LOFTS[0], gone).shown


def test_a_mule_block_of_another_line_leaves_this_one_its_angle() -> None:
    house = inventory(hb=SIX)
    house = replace(house, parts=(*house.parts, Part("mb", "h", "a", PartKind.MULE_BLOCK, "MB 1", "s", 2)))
    assert fleet_of(LOFTS[0], house).shown
    head = fleet_of(HEAD, house)
    assert "the widest of 2 lines" in head.how
    assert "not worked out for LB 1-2" in head.how


def test_what_the_record_puts_outside_is_said_once_of_all_parts_it_holds_for_and_of_each_line_its_angle() -> None:
    house = inventory(hb=SIX, lb1=BLOCK, lb2=BLOCK, lb3=BLOCK | {"tread_diameter_mm": "1000"})
    found = {(figure.title, figure.shown): parts for figure, parts in outside_by_record(house, CRITERIA)}
    ratio = (CRITERIA["tread-ratio"].title, "18")
    assert found.pop(ratio) == (LOFTS[0], LOFTS[1])  # 1000 / 6.35 is inside every ratio
    assert found == {("Fleet angle", "1.72°, 1 in 33.3, to HB 1"): (LOFTS[0],)}  # the head block says no more of it
    given_up = replace(house, parts=tuple(replace(one, retired_on="2025-01-01") for one in house.parts))
    assert outside_by_record(given_up, CRITERIA) == ()


def test_an_oversize_first_measure_is_told() -> None:
    rope = {"rope_diameter_mm": "6.35", "rope_construction": "7x19", "rope_baseline_mm": "6.8"}
    (figure, _) = worked_figures(LINE, inventory(ll=rope), CRITERIA)
    assert results(figure)["wrtb-new-oversize"] is Result.OUTSIDE  # 6.731
    assert results(figure)["faa-new-oversize"] is Result.INSIDE  # 6.8072
    assert figure.shown == "about 0.2677 in"


def test_a_rope_says_over_what_lengths_its_broken_wires_are_counted_and_an_estimated_lay_says_so() -> None:
    def said(**rope: str) -> str:
        (figure,) = worked_figures(LINE, inventory(ll={"rope_diameter_mm": "6.35", **rope}), CRITERIA)
        assert not figure.verdicts
        return figure.how

    estimated, measured, unknown = said(), said(rope_lay_mm="40"), said(rope_construction="19x7")
    assert estimated.startswith("one lay about 1.5 in (38.1 mm) to 1.75 in (44.45 mm); 6 diameters 1.5 in (38.1 mm); ")
    assert "8 diameters 2 in (50.8 mm); 30 diameters 7.5 in (190.5 mm)" in estimated
    assert "common practice, no source" in estimated
    assert "an estimate" in estimated
    assert measured.startswith("one lay 1.575 in (40 mm); ")
    assert measured.endswith("measured on the rope")
    assert "one lay" not in unknown
    assert "measure its lay" in unknown
    assert "not a number" in worked_figures(LINE, inventory(ll={"rope_diameter_mm": "six"}), CRITERIA)[-1].why_not


WIRES = {key: one for key, one in CRITERIA.items() if key.startswith("rope-broken-wires")}


@pytest.mark.parametrize(("units", "eight"), [("imperial", "2 in (50.8 mm)"), ("metric", "50.8 mm (2 in)")])
def test_a_count_is_told_its_length_on_this_rope_where_its_documents_count_over_one(units: str, eight: str) -> None:
    rope = {"rope_diameter_mm": "6.35"}
    assert counted_over(WIRES["rope-broken-wires-8d"], rope, units) == eight  # 8 diameters of a quarter inch
    lay = counted_over(WIRES["rope-broken-wires-lay"], rope, units)
    assert "38.1" in lay  # 6 diameters
    assert "44.45" in lay  # 7 diameters
    assert lay.endswith("an estimate (common practice, no source): count over the longer")
    measured = counted_over(WIRES["rope-broken-wires-strand"], {**rope, "rope_lay_mm": "40"}, units)
    assert "40 mm" in measured
    assert measured.endswith(", measured on the rope")
    said = {key for key, one in WIRES.items() if counted_over(one, rope, units)}
    assert set(WIRES) - said == {"rope-broken-wires-end"}  # a lay, a foot, or at the attachment
    for nothing in ({}, {"rope_diameter_mm": "six"}, {**rope, "rope_construction": "19x7"}):
        assert counted_over(WIRES["rope-broken-wires-lay"], nothing, units) == ""


def test_a_hanger_of_wire_rope_says_over_what_lengths_as_well() -> None:
    hanger = Part("hg", "h", "a", PartKind.HANGER, "HG 1", "s")
    rope = {"hanger_kind": "wire rope", "rope_diameter_mm": "6.35", "rope_baseline_mm": "7.5"}
    for record, shown in (
        (rope, {COUNTED_OVER, CRITERIA["rope-diameter-new"].title}),
        ({"hanger_kind": "chain"}, set()),
    ):
        house = replace(inventory(hg=record), parts=(hanger,))
        assert {figure.title for figure in worked_figures(hanger, house, CRITERIA)} == shown


def test_a_drum_says_that_its_angle_is_to_be_measured() -> None:
    drum = Part("dr", "h", "a", PartKind.DRUM, "DR 1", "s")
    (figure,) = worked_figures(drum, replace(inventory(), parts=(HEAD, *LOFTS, drum)), CRITERIA)
    assert "measure it at both ends" in figure.why_not


def test_what_of_a_place_is_missing_is_named() -> None:
    lost, house = replace(LOFTS[0], x_mm=None, z_mm=None), inventory(hb=SIX)
    house = replace(house, parts=(HEAD, lost))
    for part in (lost, HEAD):
        why = fleet_of(part, house).why_not
        assert why.startswith("not worked out: the place of LB 1-1 is not recorded (across, above the deck)")
        assert "measure it on the grid" in why
    alone = replace(house, parts=(LOFTS[0],))
    assert "no head block is recorded in this set" in fleet_of(LOFTS[0], alone).why_not


def test_wrong_records_give_a_word_and_no_figure() -> None:
    (bad, _) = worked_figures(LOFTS[0], inventory(lb1=BLOCK | {"tread_diameter_mm": "wide"}), CRITERIA)
    assert "not a number" in bad.why_not
    head = fleet_of(HEAD, inventory(hb={"grooves": "2", "groove_pitch_mm": "90"}))
    assert head.shown
    assert "not worked out for LB 1-3" in head.how
    assert (
        "There is no groove 3 of 2"
        in fleet_of(LOFTS[2], inventory(hb={"grooves": "2", "groove_pitch_mm": "9"})).why_not
    )


@pytest.mark.parametrize("metal", ["aluminium", "copper", "none", ""])
def test_an_aluminium_sleeve_is_named_from_the_record_alone(metal: str) -> None:
    """Trade practice on swaged sleeves: copper for the rope, no aluminium in stage rigging."""
    end = Part("te", "h", "a", PartKind.TERMINATION_BATTEN, "TB 1-1", "s", 1)
    house = replace(inventory(te={"sleeve_material": metal}), parts=(HEAD, *LOFTS, end))
    found = worked_figures(end, house, CRITERIA)
    assert bool(found) is (metal == "aluminium")
    for figure in found:
        (verdict,) = figure.verdicts
        assert verdict.words == "named in the cited document as a fault to look for: have a qualified person look at it"
        assert verdict_words(figure.verdicts, "mm").count("outside when it is seen, ") == 1


def test_the_limit_of_a_condition_is_put_in_words_and_never_as_a_count() -> None:
    conditions = [one for one in CRITERIA.values() if one.is_condition]
    assert conditions
    for criterion in conditions:
        for limit in limits_for(criterion, {"jurisdiction": "US-CA", "rope_construction": "7x19"}):
            assert {limit.says(), limit.says("count"), limit.says("in")} == {"it is seen"}, limit.rule
        assert {rule_words(rule, criterion) for rule in criterion.rules} == {"it is seen"}
