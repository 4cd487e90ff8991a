"""What the worksheets on blocks and line ends answer: the worst document leads, whatever unit was typed."""

from collections.abc import Iterable
from fractions import Fraction
from itertools import takewhile

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.attribute_value import exact_text
from inspect_app.domain.criteria import Op
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import House, Inventory
from inspect_app.domain.judge import Result, judge, limits_for
from inspect_app.domain.judged_measure import judging_attributes
from inspect_app.domain.length import parse_length
from inspect_app.domain.no_limit import no_limit_words
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.worksheet import Answer, Outcome, Reference
from inspect_app.domain.worksheet_input import read_inputs
from inspect_app.domain.worksheets.all_worksheets import WORKSHEETS
from inspect_app.store.reference import reference_at

DATA = reference_at(shared_dir())


def answer(key: str, *, units: str = "imperial", **typed: str) -> Answer:
    sheet = WORKSHEETS[key]
    reference = Reference(DATA.criteria, DATA.sources, DATA.figures, DATA.risk, units)
    values, problems = read_inputs(sheet, typed, units)
    assert not problems, problems
    return sheet.run(values, reference)


def leading(found: Answer, title: str) -> Outcome:
    """The first outcome under a criterion's title that carries a verdict."""
    return next(one for one in found.outcomes if one.label == title and one.tone != "plain")


def cited(outcomes: Iterable[Outcome], words: str) -> Outcome:
    return next(one for one in outcomes if words in one.citation)


@pytest.mark.parametrize(("offset", "tone"), [("3 in", "inside"), ("3.001 in", "outside"), ("76.2 mm", "inside")])
def test_a_line_inside_the_angle_and_outside_1_in_40_leads_with_outside(offset: str, tone: str) -> None:
    """*Rigging Math (Made Simple)*, lesson 12: 1.5 degrees, and 1 in 40, which is 1.432 degrees."""
    found = answer("fleet-angle", offset=offset, distance="10 ft", fleet_at="block")
    assert leading(found, "Fleet angle").tone == tone
    assert cited(found.outcomes, "1 in 40").value == "outside when more than 1 in 40"
    assert cited(found.outcomes, "lesson 12 (text read)").tone == "inside"


@pytest.mark.parametrize(
    ("at", "offset", "tone"),
    [
        ("drum_smooth", "10 in", "outside"), ("drum_smooth", "9 in", "inside"), ("drum_smooth", "3 in", "outside"),
        ("drum_grooved", "12.5 in", "inside"), ("drum_grooved", "13 in", "outside"),
    ],
)  # fmt: skip
def test_a_drum_has_limits_of_its_own_above_and_below(at: str, offset: str, tone: str) -> None:
    """Handbook page on fleet angles: smooth drums at most 1.5, grooved at most 2, none under half a degree."""
    found = answer("fleet-angle", offset=offset, distance="30 ft", fleet_at=at)
    assert leading(found, "Fleet angle at a drum").tone == tone
    assert "lesson 12" not in " ".join(found.all_citations())


def test_a_rope_that_runs_straight_onto_a_pile_on_drum_is_never_too_straight() -> None:
    criterion, pile_on = DATA.criteria["fleet-angle-drum"], {"drum_face": "pile_on"}
    assert limits_for(criterion, pile_on) == ()
    assert "on a pile-on drum each turn lies on the one below" in no_limit_words(criterion, pile_on)
    for face in ("smooth", "grooved"):
        (least,) = [one for one in limits_for(criterion, {"drum_face": face}) if one.op is Op.LESS_THAN]
        assert judge(0, "deg", None, [least])[0].result is Result.OUTSIDE


CLIPS = {"rope_diameter_mm": "1/4 in", "clips": "2", "turnback": "4 3/4 in", "spacing": "1 1/2 in", "torque": "15"}


@pytest.mark.parametrize(
    ("change", "title", "document", "tone"),
    [
        ({}, "Wire rope clips at a line end", "Trade table of U-bolt wire rope clips least number", "inside"),
        ({"clips": "1"}, "Wire rope clips at a line end", "Trade table", "outside"),
        ({"clip_eye": "sheave"}, "Wire rope clips at a line end", "on a sheave without thimble", "outside"),
        ({"clips": "3", "clip_eye": "sheave"}, "Wire rope clips at a line end", "on a sheave without", "inside"),
        ({"turnback": "4.749 in"}, "Turnback of a rope at clips", "rope to turn back (", "outside"),
        ({"clips": "3"}, "Turnback of a rope at clips", "in proportion for more clips", "outside"),
        ({"clips": "3", "turnback": "7.125 in"}, "Turnback of a rope at clips", "in proportion", "inside"),
        ({"spacing": "38.1 mm"}, "Distance between clips", "WAC 296-874-30020", "inside"),
        ({"spacing": "38.09 mm"}, "Distance between clips", "WAC 296-874-30020", "outside"),
        ({"torque": "14.99"}, "Torque of clip nuts", "Trade table", "outside"),
        ({"torque": "20.34 N·m"}, "Torque of clip nuts", "Trade table", "inside"),  # 15 lbf ft is 20.337 N m
        ({"torque": "20.33 N·m"}, "Torque of clip nuts", "Trade table", "outside"),
    ],
)
def test_clips_are_judged_at_just_under_and_over_each_figure(
    change: dict[str, str], title: str, document: str, tone: str
) -> None:
    found = answer("clips", **(CLIPS | change))
    start = found.outcomes.index(leading(found, title))
    assert cited(found.outcomes[start + 1 :], document).tone == tone
    if tone == "outside":
        assert found.outcomes[start].tone == "outside"


def test_a_house_that_counts_in_millimetres_gets_the_same_verdicts() -> None:
    metric = {"rope_diameter_mm": "6.35", "clips": "2", "turnback": "120.65", "spacing": "38.1", "torque": "20.34"}
    here, there = answer("clips", **CLIPS), answer("clips", units="metric", **metric)
    assert [(one.citation, one.tone) for one in here.outcomes] == [(one.citation, one.tone) for one in there.outcomes]


def test_a_rope_diameter_alone_shows_what_each_document_asks_for() -> None:
    found = answer("clips", rope_diameter_mm="1/4 in")
    assert not found.outcomes
    rows = [" | ".join(row) for row in found.tables[0].rows]
    for says, document in (("less than 2", "Trade table"), ("less than 4.75 in", "Trade table"),
                           ("less than 1.5 in", "Michigan"), ("less than 15 lbf·ft", "Trade table"),
                           ("less than 3", "WorkSafeNB")):  # fmt: skip
        assert any(says in row and document in row for row in rows), says
    assert any("Trade table" in line for line in found.all_citations())


def test_a_metric_rope_is_not_read_into_a_table_of_inches() -> None:
    found = answer("clips", units="metric", rope_diameter_mm="6 mm", clips="2", turnback="110 mm")
    trade = [one for one in found.outcomes if "Trade table" in one.citation]
    assert trade
    assert all(one.tone == "not_judged" and "6 mm" in one.words for one in trade)
    assert cited(found.outcomes, "US Navy training manual 14026").tone == "inside"  # a rule, not a table
    assert any("metric rope" in line for line in found.assumptions)


BLOCK = {"rope_diameter_mm": "1/4 in", "rope_construction": "7x19"}


@pytest.mark.parametrize(
    ("groove", "tone"),
    [("0.128 in", "inside"), ("0.1279 in", "outside"), ("3.2512 mm", "inside"), ("3.25 mm", "outside")],
)
def test_a_worn_groove_is_judged_at_under_and_over_its_least_radius(groove: str, tone: str) -> None:
    """Wire Rope Users Manual, minimum worn groove radii: 0.128 in. for a quarter-inch rope."""
    assert leading(answer("block-ratio", groove=groove, **BLOCK), "Radius of a worn groove").tone == tone


def test_a_groove_within_the_step_of_its_gauge_cannot_be_told() -> None:
    found = answer("block-ratio", groove="0.128 in", resolution="0.001 in", **BLOCK)
    assert leading(found, "Radius of a worn groove").tone == "cannot_tell"


@pytest.mark.parametrize("rope", ["6 mm", "9/16 in", "7 mm"])
def test_a_rope_without_a_row_has_no_least_groove(rope: str) -> None:
    """The printed row for 9/16 in. is a misprint and left out; no table in millimetres was read."""
    found = answer("block-ratio", rope_diameter_mm=rope, groove="4 mm")
    assert leading(found, "Radius of a worn groove").tone == "not_judged"
    assert "a metric rope is not judged by it" in " ".join(found.assumptions)


@pytest.mark.parametrize(
    ("radius", "outside"),
    [("0.1324 in", 2), ("0.1325 in", 1), ("0.135 in", 0), ("0.1375 in", 0), ("0.1376 in", 2), ("0.1426 in", 3)],
)
def test_a_new_groove_is_set_against_all_makers_at_once(radius: str, outside: int) -> None:
    """Handbook pages: 0.53 to 0.55, 0.54 to 0.57; ISO 16625: 0.525 to 0.55 of the rope; a quarter-inch rope."""
    found = answer("block-ratio", groove=radius, groove_state="new", **BLOCK)
    rows = [one for one in found.outcomes if one.citation]
    assert [one.tone for one in rows].count("outside") == outside
    assert len(rows) == 6


@pytest.mark.parametrize(
    ("gauge", "tone", "said"),
    [
        ("loose", "inside", "wider than the worn minimum"),
        ("fits", "cannot_tell", "already at the worn minimum"),
        ("high", "outside", "below the worn minimum for this rope; outside the cited criterion: take out of use"),
    ],
)
def test_what_a_worn_groove_gauge_says_is_told_in_words(gauge: str, tone: str, said: str) -> None:
    (found,) = answer("block-ratio", gauge=gauge, **BLOCK).outcomes
    assert (found.tone, said in found.words) == (tone, True)
    assert "from a secondary source" in found.citation


def test_the_bend_leaves_what_the_handbook_prints_and_a_suggestion_judges_nothing() -> None:
    """Handbook page on sheave sizes: a half-inch rope on a 10 in. sheave, D/d 20, keeps 91 percent."""
    found = answer("block-ratio", rope_diameter_mm="1/2 in", rope_construction="7x19", tread="10 in")
    bend = next(one for one in found.outcomes if one.value == "91 %")
    assert bend.tone == "plain"
    assert "says nothing of the rope in the house" in bend.words
    assert [row[0] for row in found.tables[0].rows] == ["24", "28"]  # called desirable; aircraft at 20 % load
    assert leading(found, "Tread diameter over rope diameter").tone == "inside"
    assert "tread plus one rope" in " ".join(found.assumptions)


@given(st.fractions(Fraction(20), Fraction(400)), st.sampled_from(["7x19", "7x7", "6x19S", "6x42", "other"]))
@settings(max_examples=40)
def test_inches_and_millimetres_of_one_block_are_judged_alike(tread: Fraction, construction: str) -> None:
    inches = Fraction(round(tread * 100), 2540)  # a hundredth of a millimetre, exactly
    size = f"{inches.numerator}/{inches.denominator} in"
    metric = f"{float(inches * Fraction('25.4')):.2f}"
    here = answer("block-ratio", rope_diameter_mm="1/4", rope_construction=construction, tread=size)
    there = answer("block-ratio", units="metric", rope_diameter_mm="6.35", rope_construction=construction, tread=metric)
    assert [(one.citation, one.tone) for one in here.outcomes] == [(one.citation, one.tone) for one in there.outcomes]


@pytest.mark.parametrize(
    ("degrees", "measured", "pull", "down", "level"),
    [
        ("60", "wrap", "200 lbf", "100 lbf", "173.2 lbf"), ("90", "wrap", "282.8 lbf", "200 lbf", "200 lbf"),
        ("90", "included", "282.8 lbf", "200 lbf", "200 lbf"), ("180", "wrap", "400 lbf", "400 lbf", "0 lbf"),
        ("0", "included", "400 lbf", "400 lbf", "0 lbf"), ("120", "wrap", "346.4 lbf", "300 lbf", "173.2 lbf"),
    ],
)  # fmt: skip
def test_the_pull_of_200_pounds_and_its_parts_for_the_steel(
    degrees: str, measured: str, pull: str, down: str, level: str
) -> None:
    """Two equal forces: R = 2 T sin(wrap / 2); along one leg T (1 - cos wrap), square to it T sin wrap."""
    found = answer("block-pull", tension="200 lbf", degrees=degrees, measured=measured).outcomes
    shown = {one.label.split(",")[0]: one.value for one in found}
    assert shown["Pull on the block"].startswith(pull)
    assert shown["Down on the steel"].startswith(down)
    assert shown["Level pull on the steel"].startswith(level)


@pytest.mark.parametrize(
    ("degrees", "measured"), [("0", "wrap"), ("180", "included"), ("180.1", "wrap"), ("270", "wrap"), ("-90", "wrap")]
)
def test_an_angle_that_no_block_turns_is_refused_by_its_field(degrees: str, measured: str) -> None:
    with pytest.raises((BadValue, AssertionError)) as refused:
        answer("block-pull", tension="200 lbf", degrees=degrees, measured=measured)
    assert "degrees" in (getattr(refused.value, "field", "") or str(refused.value))


@given(
    st.sampled_from(["1/8 in", "1/4 in", "5/16 in", "1/2 in", "1 in", "6 mm", "10 mm"]), st.integers(1, 9),
    st.integers(4, 120), st.sampled_from(["US", "US-CA", "US-WA", "EU"]), st.sampled_from(["thimble", "sheave"]),
)  # fmt: skip
@settings(max_examples=60)
def test_a_line_end_on_a_walk_is_judged_as_on_the_worksheet(
    size: str, clips: int, quarters: int, law: str, eye: str
) -> None:
    """The pack of a phone and the office take the limits from the same part: its rope, its clips, its house's law."""
    rope = {"rope_diameter_mm": exact_text(parse_length(size)), "clip_eye": eye, "clip_count": str(clips)}
    end = Part("te", "h", "a", PartKind.TERMINATION_BATTEN, "TB 1-1", "s", 1)
    house = House("h", "House", settings={"jurisdiction": law})
    inventory = Inventory(house, parts=(end,), lives={"te": Life("life", "te", attributes=rope)})
    found = answer("clips", rope_diameter_mm=size, clip_eye=eye, clips=str(clips), turnback=f"{quarters}/4 in", law=law)
    for criterion, value, unit in (("clip-count", clips, "count"), ("clip-turnback", Fraction(quarters, 4), "in")):
        start = found.outcomes.index(leading(found, DATA.criteria[criterion].title)) + 1
        rows = takewhile(lambda one: one.citation, found.outcomes[start:])
        said = {one.citation: one.tone for one in rows}
        limits = limits_for(DATA.criteria[criterion], judging_attributes(inventory, end))
        for verdict in judge(value, unit, None, limits):
            assert verdict.limit is not None
            assert said[verdict.limit.citation] == verdict.result.value
