"""A measure without a limit here says why: nothing is published, a row is off, or it holds elsewhere."""

from dataclasses import replace

import pytest

from inspect_app.config import shared_dir
from inspect_app.domain.asked_limits import limits_of_part, part_limits
from inspect_app.domain.house_rule import PLACES
from inspect_app.domain.judge import Result, worst
from inspect_app.domain.judged_measure import verdicts_of
from inspect_app.domain.no_limit import no_limit, no_limit_words
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_attributes import SPECS
from inspect_app.domain.walk import Measure
from inspect_app.store.reference import reference_at

CRITERIA = reference_at(shared_dir()).criteria
US, EU = {"jurisdiction": "US"}, {"jurisdiction": "EU"}


def test_only_a_criterion_without_rows_says_that_none_is_published() -> None:
    assert no_limit(CRITERIA["house-baseline"], US).words == "no published limit"
    assert no_limit(None, US).result is Result.NO_LIMIT
    for place in PLACES:
        said = [no_limit_words(one, {"jurisdiction": place}) for one in CRITERIA.values() if one.rules]
        assert not [words for words in said if words == "no published limit" or "for :" in words or ": ," in words]


@pytest.mark.parametrize("key", ["ladder-behind-rungs", "ladder-step-across", "ladder-grab-bar"])
def test_a_limit_that_nobody_could_read_is_named_as_off_and_not_denied(key: str) -> None:
    words = no_limit_words(CRITERIA[key], US)
    assert words.startswith("no limit in use: off until a qualified person of the house enters it")
    assert "29 CFR 1910.23 (d)" in words
    assert part_limits(CRITERIA[key], {}).why_not == (words,)


@pytest.mark.parametrize("key", ["headroom", "walkway-width", "floor-step", "guardrail-posts", "rail-clearance"])
def test_a_limit_of_another_place_is_named_with_its_place(key: str) -> None:
    words = no_limit_words(CRITERIA[key], US)
    assert no_limit_words(CRITERIA[key], {}).startswith("no limit while the house has not said its place; there is one")
    assert "European Union and United Kingdom: EN ISO 14122" in words
    assert part_limits(CRITERIA[key], US).why_not == (words,)
    assert part_limits(CRITERIA[key], EU).why_not == ()
    assert part_limits(CRITERIA[key], EU).limits


def test_a_ribbon_steel_deck_is_recorded_and_neither_passed_nor_failed() -> None:
    words = no_limit_words(CRITERIA["deck-slot-recorded"], US)
    assert words.startswith("recorded, neither passed nor failed")
    assert "local authority" in words
    assert "who accepted" in words


@pytest.mark.parametrize(
    ("deck", "judged"),
    [
        ("ribbon_steel", False),
        ("channels", False),
        ("bar_grating", True),
        ("timber", True),
        ("cable", True),
        ("", True),
    ],
)
def test_a_gap_is_judged_by_the_definition_of_a_hole_unless_the_deck_is_recorded_as_ribbon_steel_or_channels(
    deck: str, judged: bool
) -> None:
    found = part_limits(CRITERIA["deck-slot-width"], {**US, "deck_kind": deck})
    assert bool(found.limits) is judged
    assert [why.startswith("recorded, neither passed nor failed") for why in found.why_not] == [True] * (not judged)
    elsewhere = part_limits(CRITERIA["deck-slot-width"], {**EU, "deck_kind": deck})  # its rows there are from memory
    assert elsewhere.why_not[0].startswith("no limit in use" if judged else "recorded, neither passed nor failed")
    assert {"ribbon_steel", "channels", "bar_grating", "timber", "cable", "other"} == {
        value for spec in SPECS[PartKind.GRID_DECK] if spec.key == "deck_kind" for value, _ in spec.choices
    }


CLIPS = ["clip-count", "clip-turnback", "clip-spacing", "clip-torque"]
ENDS = {value for spec in SPECS[PartKind.TERMINATION_ARBOR] if spec.key == "termination" for value, _ in spec.choices}
QUARTER = {"rope_diameter_mm": "6.35", "clip_count": "2"}


@pytest.mark.parametrize("end", sorted(ENDS))
def test_a_line_end_without_clips_by_its_record_has_no_limits_of_clips_and_a_figure_taken_there_is_judged(
    end: str,
) -> None:
    here = {**QUARTER, "termination": end}
    rows = limits_of_part(CLIPS, here, CRITERIA)
    if end in ("clips", "other"):  # nobody knows that there are none
        assert all(row.limits and not row.not_here for row in rows)
    else:
        assert {row.not_here for row in rows} == {f"the kind of line end is recorded as {end}"}
        assert not any(row.limits or row.why_not for row in rows)
    one_clip = Measure("e", "te", "line-end-arbor-clips-measured", "clips", "1", "count", "1", "each end", "", "")
    assert worst(verdicts_of(one_clip, CRITERIA["clip-count"], here)).result is Result.OUTSIDE


def test_a_line_end_whose_kind_nobody_recorded_has_the_limits_of_clips_and_says_what_is_not_recorded() -> None:
    for row in limits_of_part(CLIPS, QUARTER, CRITERIA):
        assert row.limits == part_limits(row.criterion, QUARTER).limits != ()
        assert row.why_not[0] == (
            "not for a part whose kind of line end is swaged, wedge, spliced, socketed or knot; here it is not recorded"
        )
    nothing_to_keep = limits_of_part(["clip-torque"], {}, CRITERIA)[0]
    assert not any(why.startswith("not for a part") for why in nothing_to_keep.why_not)
    assert all(set(row.not_on.get("termination", ())) <= ENDS - {"clips"} for row in CRITERIA.values())


def test_rows_that_fit_no_part_like_this_are_said_to_fit_none() -> None:
    headroom = CRITERIA["headroom"]
    rows = tuple(replace(rule, when={"way": ("stairs",)}) for rule in headroom.rules)
    assert "fits this part" in no_limit_words(replace(headroom, rules=rows), {**EU, "way": "ramp"})


def test_the_width_of_a_hatch_is_recorded_and_leads_to_what_guards_it() -> None:
    words = no_limit_words(CRITERIA["hatch-width-recorded"], US)
    assert words.startswith("recorded, not judged: an open hatch is a hole by the published definition")
    assert no_limit(CRITERIA["hatch-width-recorded"], US).hint == "none"


@pytest.mark.parametrize(
    ("way_up", "judged"),
    [("", True), ("fixed ladder", True), ("caged ladder", True), ("stair", False), ("ship's ladder", False)],
)
def test_a_stair_is_not_held_to_the_figures_of_a_fixed_ladder(way_up: str, judged: bool) -> None:
    found = part_limits(CRITERIA["ladder-rung-spacing"], {**US, "way_up": way_up})
    assert bool(found.limits) is judged
    assert found.why_not == (() if judged else (CRITERIA["ladder-rung-spacing"].unjudged,))
    assert {value for spec in SPECS[PartKind.LADDER] if spec.key == "way_up" for value, _ in spec.choices} >= {
        word for rule in CRITERIA["ladder-rung-spacing"].rules for word in rule.when["way_up"]
    }
