"""Decks, edges, ladders and ways on the workbench: at, just short of and just beyond each limit, in inches and mm."""

from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house_rule import PLACES
from inspect_app.domain.judge import Result, judge, limits_for
from inspect_app.domain.length import parse_length
from inspect_app.domain.no_limit import no_limit_words
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_attributes import specs_for
from inspect_app.domain.units import MM_PER_INCH
from inspect_app.domain.worksheet import Answer, Reference
from inspect_app.domain.worksheet_input import read_inputs
from inspect_app.domain.worksheets.all_worksheets import WORKSHEETS
from inspect_app.domain.worksheets.words import LAWS, given_length
from inspect_app.store.reference import reference_at

DATA = reference_at(shared_dir())


def answer(sheet: str, units: str = "imperial", **typed: str) -> Answer:
    values, problems = read_inputs(WORKSHEETS[sheet], typed, units)
    assert not problems
    return WORKSHEETS[sheet].run(values, Reference(DATA.criteria, DATA.sources, units=units))


BALUSTERS = {"rail_infill": "balusters"}


def tone(sheet: str, **typed: str) -> str:
    return answer(sheet, **typed).outcomes[0].tone


@pytest.mark.parametrize(  # 29 CFR 1910.21, .23, .28, .29; EN ISO 14122; Norway 2-22: sides as test_published_edges.py
    ("sheet", "key", "law", "inside", "outside"),
    [
        ("guardrail", "rail", "US", ["39 in", "990.6 mm", "45 in", "45 1/64 in", "1143.01 mm"],
         ["38 63/64 in", "990.59 mm"]),
        ("guardrail", "rail", "EU", ["1100 mm", "1.1 m"], ["1099.99 mm", "43.307 in"]),
        ("guardrail", "rail", "NO", ["1000 mm"], ["999.9 mm", "39.37 in"]),
        ("guardrail", "rail", "GB", ["1100 mm"], ["1099 mm", "949 mm"]),
        ("guardrail", "gap", "US", ["19 in", "482.6 mm"], ["19 1/64 in", "482.61 mm"]),
        ("guardrail", "toe", "US", ["3 1/2 in", "88.9 mm"], ["3 31/64 in", "88.89 mm"]),
        ("guardrail", "toe_gap", "US", ["1/4 in", "6.35 mm", "0"], ["17/64 in", "6.36 mm"]),
        ("guardrail", "toe_gap", "NO", ["0 mm"], ["0.1 mm"]),
        ("guardrail", "toe_opening", "US", ["1 in", "25.4 mm"], ["25.41 mm"]),
        ("by-their-papers", "rail_force", "US", ["200 lbf", "889.65 N"], ["199.99 lbf", "889.64 N"]),
        ("by-their-papers", "midrail_force", "US", ["150 lbf"], ["149.9 lbf"]),
        ("by-their-papers", "toe_force", "US", ["50 lbf"], ["49.9 lbf"]),
        ("by-their-papers", "rail_loaded", "US", ["39 in"], ["38.99 in"]),
        ("guardrail", "post_spacing", "EU", ["1500 mm"], ["1500.1 mm"]),
        ("guardrail", "rail_diameter", "EU", ["25 mm", "50 mm"], ["24.9 mm", "50.1 mm"]),
        ("guardrail", "segment_gap", "GB", ["75 mm", "120 mm"], ["74.9 mm", "120.1 mm"]),
        ("deck-gaps", "bay_gap", "US", ["1 63/64 in", "50.79 mm"], ["2 in", "50.8 mm"]),
        ("deck-gaps", "hole", "US", ["1.999 in"], ["2 in", "50.8 mm"]),
        ("deck-gaps", "edge_drop", "US", ["3'-11 15/16\"", "1219.19 mm"], ["4 ft", "1219.2 mm"]),
        ("wall-opening", "opening_height", "US", ["29.99 in"], ["30 in", "762 mm"]),
        ("ladder", "rungs", "US", ["10 in", "14 in", "254 mm", "355.6 mm"],
         ["9.99 in", "14.01 in", "253.9 mm", "355.7 mm"]),
        ("ladder", "width", "US", ["16 in", "406.4 mm"], ["15.99 in", "406.3 mm"]),
        ("ladder", "rails", "US", ["42 in", "1066.8 mm"], ["41 63/64 in", "1066.7 mm"]),
        ("ladder", "climbing_side", "US", ["30 in"], ["29.99 in"]),
        ("walking-way", "walkway", "EU", ["600 mm"], ["599.9 mm"]),
        ("walking-way", "headroom", "GB", ["2100 mm"], ["2099.9 mm"]),
        ("walking-way", "floor_step", "EU", ["4 mm", "0"], ["4.1 mm"]),
        ("by-their-papers", "anchor", "US", ["5000 lbf"], ["4999 lbf", "22.2 kN"]),
    ],
)  # fmt: skip
def test_a_measure_falls_on_the_side_that_the_clause_says_in_either_system(
    sheet: str, key: str, law: str, inside: list[str], outside: list[str]
) -> None:
    more = BALUSTERS if sheet == "guardrail" else {}
    for want, sizes in (("inside", inside), ("outside", outside)):
        assert [(one, tone(sheet, law=law, **more, **{key: one})) for one in sizes] == [(one, want) for one in sizes]


@pytest.mark.parametrize(
    ("infill", "said"), [("midrail", "plain"), ("mesh", "plain"), ("", "not_judged"), ("balusters", "outside")]
)
def test_the_opening_of_a_rail_with_a_midrail_is_not_held_to_the_width_between_balusters(
    infill: str, said: str
) -> None:
    """29 CFR 1910.29 (b)(2): a midrail stands midway, which at 42 in leaves more than 19 in above and below it."""
    lead = answer("guardrail", law="US", gap="20 1/2 in", rail_infill=infill).outcomes[0]
    assert lead.tone == said
    assert ("with a midrail or mesh the clause asks where it stands" in lead.words) is (said == "plain")


def test_within_half_a_step_of_the_tape_the_limit_cannot_be_told() -> None:
    near = {"rail": "38 31/32 in", "law": "US"}
    assert [tone("guardrail", resolution=step, **near) for step in ("1/16 in", "1/64 in")] == ["cannot_tell", "outside"]


def test_a_rail_higher_than_45_in_reads_why_it_is_not_outside() -> None:
    said = " ".join(answer("guardrail", rail="48 in", law="US").assumptions)
    assert "lets a rail be higher when it meets all other criteria" in said


def test_without_a_choice_every_rule_set_stands_side_by_side_and_the_strictest_leads() -> None:
    found = answer("guardrail", rail="42 in")
    assert found.outcomes[0].tone == "outside"
    assert "the documents differ, all are shown below" in found.outcomes[0].words
    cited = " ".join(one.citation for one in found.outcomes)
    assert all(name in cited for name in ("29 CFR 1910.29", "EN ISO 14122-3", "Norwegian", "UK construction"))


def test_the_slot_of_a_ribbon_steel_deck_is_set_beside_the_definitions_and_judged_by_none() -> None:
    found = answer("deck-gaps", slot="3 in")
    assert {one.tone for one in found.outcomes} == {"plain"}
    assert "neither passed nor failed" in found.outcomes[0].words
    assert "who accepted" in found.outcomes[0].words
    assert "a hole at 2 in or more" in [one.value for one in found.outcomes]


@pytest.mark.parametrize(
    ("width", "height", "wide", "high"),
    [
        ("18", "30", "outside", "outside"), ("18", "29.9", "plain", "inside"), ("17.9", "30", "inside", "plain"),
        ("17.9", "29.9", "plain", "plain"),
    ],
)  # fmt: skip
def test_an_opening_in_a_wall_is_one_only_when_both_ways_reach_the_definition(
    width: str, height: str, wide: str, high: str
) -> None:
    found = answer("wall-opening", law="US", opening_width=width, opening_height=height)
    leads = [one for one in found.outcomes if one.label.endswith("of an opening in a wall or partition")]
    assert [one.tone for one in leads] == [wide, high]
    assert all("which asks for a height and for a width" in one.words for one in leads if one.tone == "plain")


@pytest.mark.parametrize(
    ("criterion", "other", "large", "small"),
    [("wall-opening", "opening_height", "high", "low"), ("wall-opening-height", "opening_width", "wide", "narrow")],
)
def test_a_hatch_can_record_that_an_opening_is_too_small_the_other_way(
    criterion: str, other: str, large: str, small: str
) -> None:
    spec = next(one for one in specs_for(PartKind.HATCH) if one.key == other)
    assert {large, small} == {value for value, _ in spec.choices}
    held = DATA.criteria[criterion]
    results = [judge(Fraction(60), "in", None, [limit])[0].result for limit in limits_for(held, {other: large})]
    assert set(results) == {Result.OUTSIDE}
    assert limits_for(held, {other: small}) == ()
    assert "no opening by the cited definition" in no_limit_words(held, {other: small})


def test_a_width_alone_says_that_the_height_is_not_known() -> None:
    lead = answer("wall-opening", law="US", opening_width="20").outcomes[0]
    assert lead.tone == "not_judged"
    assert "height of the opening" in lead.words


def test_a_limit_from_memory_is_named_as_off_and_one_of_another_place_with_its_place() -> None:
    assert "off until a qualified person" in answer("ladder", behind_rungs="6 in").outcomes[0].words
    assert "European Union" in answer("walking-way", law="US", headroom="80 in").outcomes[0].words


@pytest.mark.parametrize(("carries", "load", "said"), [("600", "300", "inside"), ("599.99", "300", "outside")])
def test_a_cover_carries_twice_its_load_or_is_outside(carries: str, load: str, said: str) -> None:
    assert tone("by-their-papers", cover=carries, cover_load=load) == said


@pytest.mark.parametrize("given", [{}, {"cover": "600"}, {"cover_load": "300"}])
def test_what_is_missing_is_asked_for(given: dict[str, str]) -> None:
    with pytest.raises(BadValue) as caught:
        answer("by-their-papers", **given)
    assert caught.value.field in ("cover", "cover_load")


@pytest.mark.parametrize("text", ["-1", "nan", "1e9", "999 m", "1,000", "six"])
@pytest.mark.parametrize(("sheet", "key"), [("guardrail", "rail"), ("ladder", "rungs"), ("walking-way", "headroom")])
def test_an_absurd_measure_is_refused_and_never_judged(sheet: str, key: str, text: str) -> None:
    values, problems = read_inputs(WORKSHEETS[sheet], {key: text}, "metric")
    assert key in problems
    assert key not in values


def test_every_place_that_a_house_can_be_in_can_be_asked_about() -> None:
    assert {place for place, _ in LAWS} >= set(PLACES) - {"", "other"}


@given(st.fractions(min_value=Fraction(1), max_value=Fraction(3000)), st.sampled_from(["imperial", "metric"]))
def test_a_length_as_given_is_exact_in_the_houses_unit_or_says_that_it_is_rounded(mm: Fraction, units: str) -> None:
    first = given_length(mm, units).partition(" (")[0]
    if not first.startswith("about "):
        assert parse_length(first) == mm


LIMITED: list[tuple[str, str, Any]] = [("guardrail", "rail", 39), ("guardrail", "gap", 19), ("ladder", "rungs", 14)]


@given(st.sampled_from(LIMITED), st.integers(min_value=-64, max_value=64))
def test_giving_the_same_length_in_another_unit_changes_no_verdict(case: tuple[str, str, int], parts: int) -> None:
    sheet, key, inches = case
    size = inches + Fraction(parts, 64)
    mm = size * MM_PER_INCH  # ends after six decimals
    whole, rest = divmod(size, 1)
    forms = (f'{whole} {rest}"' if rest else f'{whole}"', f"{float(mm):.6f} mm", f"{float(mm) / 10:.7f} cm")
    more = BALUSTERS if sheet == "guardrail" else {}
    said = {tuple(one.tone for one in answer(sheet, units, **more, **{key: form}).outcomes)
            for form in forms for units in ("imperial", "metric")}  # fmt: skip
    assert len(said) == 1


def test_what_a_clause_prints_rounded_beside_its_limit_is_said() -> None:
    said = answer("by-their-papers", anchor="22.2 kN").assumptions
    assert any("29 CFR 1910.140 (c)(13)" in line and "22.24 kN" in line for line in said)
