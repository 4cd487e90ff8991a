"""Figures that nobody has to measure: from attributes and places, judged like any other."""

from dataclasses import replace

from inspect_app.config import shared_dir
from inspect_app.domain.house import House, Inventory, LineSet, LineSetKind
from inspect_app.domain.judge import Result
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.worked_figure import worked_figures
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


def test_a_fleet_angle_needs_the_grooves_of_the_head_block() -> None:
    (figure,) = worked_figures(LOFTS[0], inventory(), CRITERIA)
    assert "grooves" in figure.why_not
    assert not figure.verdicts


def test_the_fleet_angle_is_worked_out_from_groove_to_loft_block_and_judged() -> None:
    house = inventory(hb={"grooves": "3", "groove_pitch_mm": "90"})
    near, middle = (worked_figures(LOFTS[n], house, CRITERIA)[0] for n in (0, 1))
    assert near.shown == "1.72° to HB 1"  # atan(90 / 3000)
    assert results(near) == {"primer-fleet-degrees": Result.OUTSIDE, "mil-alignment-other": Result.INSIDE}
    assert middle.shown == "0.00° to HB 1"
    (widest,) = worked_figures(HEAD, house, CRITERIA)
    assert widest.shown == "1.72° to LB 1-1"


def test_a_single_groove_is_in_the_middle() -> None:
    (figure,) = worked_figures(LOFTS[0], inventory(hb={"grooves": "1"}), CRITERIA)
    assert figure.shown == "0.00° to HB 1"


def test_an_oversize_first_measure_is_told() -> None:
    rope = {"rope_diameter_mm": "6.35", "rope_construction": "7x19", "rope_baseline_mm": "6.8"}
    (figure,) = worked_figures(LINE, inventory(ll=rope), CRITERIA)
    assert results(figure)["wrtb-new-oversize"] is Result.OUTSIDE  # 6.731
    assert results(figure)["faa-new-oversize"] is Result.INSIDE  # 6.8072
    assert figure.shown == "about 0.2677 in"


def test_places_and_records_that_are_missing_give_nothing_and_wrong_ones_a_word() -> None:
    lost = replace(LOFTS[0], x_mm=None)
    assert worked_figures(lost, Inventory(HOUSE, line_sets=(SET,), parts=(HEAD, lost)), CRITERIA) == ()
    (bad, _) = worked_figures(LOFTS[0], inventory(lb1=BLOCK | {"tread_diameter_mm": "wide"}), CRITERIA)
    assert "not a number" in bad.why_not
    assert [f.why_not for f in worked_figures(HEAD, inventory(hb={"grooves": "2", "groove_pitch_mm": "90"}), CRITERIA)]
