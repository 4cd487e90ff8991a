"""What the worksheet of a batten answers: what goes slack, which factor is least, and why there is none."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.errors import BadValue
from inspect_app.domain.figures import Figures
from inspect_app.domain.worksheet import Answer, Reference
from inspect_app.domain.worksheet_input import read_inputs
from inspect_app.domain.worksheets.batten_load import OfSet, batten_sheet
from inspect_app.output.calculation_sheet import picture_svg
from inspect_app.store.reference import reference_at

DATA = reference_at(shared_dir())
TYPED = {
    "length": "40 ft", "lines": "4 ft\n14 ft\n26 ft\n36 ft", "pipe": "1 1/2", "own": "150 lb", "wrap": "90",
    "loads": "Border: 200 lb from 0 to 40 ft", "kind": "single_purchase", "rope_diameter_mm": "1/4 in",
    "rope_construction": "7x19", "grade": "carbon", "termination": "clips", "combine": "product",
}  # fmt: skip


NO_SET = OfSet()


def answer(of: OfSet = NO_SET, figures: Figures = DATA.figures, **change: str) -> Answer:
    sheet = batten_sheet(of)
    values, problems = read_inputs(sheet, TYPED | change, "imperial")
    assert not problems, problems
    return sheet.run(values, Reference(DATA.criteria, DATA.sources, figures, units="imperial"))


def factors(found: Answer) -> dict[str, float]:
    rows = [one for one in found.outcomes if one.label.startswith("Least design factor,")]
    return {one.label.removeprefix("Least design factor, "): float(one.value.partition(" ")[0]) for one in rows}


def test_a_line_that_the_loads_lift_the_pipe_off_is_named() -> None:
    assert not [one for one in answer().outcomes if one.label == "Slack with all lines level"]
    found = answer(loads="Speaker: 700 lb at 0\nBorder: 200 lb from 0 to 40 ft")
    slack = [one.value for one in found.outcomes if one.label == "Slack with all lines level"]
    assert slack == ["line 2 from the left", "line 3 from the left"]
    cases = found.tables[2].rows
    assert cases[0][0] == "all lines level; of itself also slack: line 2 from the left, line 3 from the left"
    assert cases[2][0] == "line 2 from the left slack; of itself also slack: line 3 from the left"
    assert cases[1][1].endswith("in line 2 from the left: the pipe tips, what is left carries all")


def test_the_least_factor_stands_first_and_documents_that_agree_stand_together() -> None:
    found = answer(grade="stainless")
    values = factors(found)
    assert list(values.values()) == sorted(values.values())
    # Two stainless rows at 80 and at 85 percent: 4,900 lbf of the older specification is the least.
    assert len(values) == 4
    tension = float(next(one for one in found.outcomes if one.label == "Most tension").value.split()[0])
    assert min(values.values()) == pytest.approx(0.8 * 4900 / tension, rel=2e-3)
    least = next(one for one in found.outcomes if one.label.startswith("Least design factor,"))
    assert "page 103" in least.citation
    assert "30 CFR 57.19025" in least.citation
    said = " ".join(found.assumptions)
    assert "Which of the two a stainless rope is, only its paper tells." in said
    assert "Written as up to this share; the other documents say 80." in said


@pytest.mark.parametrize(
    ("load", "shown"),
    [("700.3 lb", "7.99 : 1"), ("700 lb", "8 : 1"), ("699.9 lb", "8 : 1"), ("5.9 lb", "949 : 1")],
)
def test_a_factor_is_never_rounded_up_to_what_somebody_asks_for(load: str, shown: str) -> None:
    """7,000 lbf at 80 percent over the tension in two lines of which one is slack: 5600 / 700.3 = 7.9966."""
    own = {"own": "2.3 lb"}
    weight = f"{float(load.split()[0]) - 2.3:.1f} lb"
    found = answer(**own, lines="1 ft\n39 ft", loads=f"{weight} at 20 ft")
    assert next(one for one in found.outcomes if one.label.startswith("Least design factor,")).value == shown


def test_a_line_end_whose_efficiency_nobody_knows_withholds_the_factor() -> None:
    found = answer(termination="swaged")
    (held,) = (one for one in found.outcomes if one.label.startswith("Least design factor"))
    assert (held.tone, held.value) == ("withheld", "")
    assert "no published efficiency of this line end (swaged)" in held.words
    assert "FAA" in held.citation


def test_every_grade_of_which_the_data_have_a_strength_can_be_chosen() -> None:
    (choices,) = (dict(one.choices) for one in batten_sheet().inputs if one.key == "grade")
    assert {table.of["grade"] for table in DATA.figures.matching("rope_strength")} <= set(choices)
    found = answer(rope_construction="6x7", grade="extra improved plow steel")
    tension = float(next(one for one in found.outcomes if one.label == "Most tension").value.split()[0])
    assert min(factors(found).values()) == pytest.approx(0.8 * 25_800 / 4.4482216152605 / tension, rel=2e-3)


def test_a_tread_that_cannot_be_bent_over_is_refused_by_field_and_takes_nothing_silently() -> None:
    assert min(factors(answer(tread="8 in")).values()) < min(factors(answer()).values())
    with pytest.raises(BadValue) as refused:
        answer(tread="0.2 in")
    assert refused.value.field == "tread"


def test_a_sheet_of_no_set_says_that_it_knows_of_no_stop() -> None:
    assert any("These figures are of no set" in said for said in answer().assumptions)
    of = OfSet(("a", "b", "c", "d"))
    assert not any("These figures are of no set" in said for said in answer(of).assumptions)


def test_what_was_taken_out_of_the_record_withholds_the_factor_as_well() -> None:
    of = OfSet(("a", "b", "c", "d"), (), {"tread": "6 in", "own": "150 lb"})
    assert factors(answer(of, tread="6 in"))
    found = answer(of)
    assert not factors(found)
    assert any(
        "Smallest tread diameter that a lift line turns on (recorded: 6 in)" in said for said in found.assumptions
    )


def test_the_other_wall_of_the_pipe_is_shown_beside_the_nominal_one_once_it_is_signed_in() -> None:
    waiting = answer()
    assert any("inertia near .293 in4, from memory" in said for said in waiting.assumptions)
    signed = Figures(
        tuple(replace(one, active=True) if one.id == "pipe-1.5-sch40-reduced" else one for one in DATA.figures.tables)
    )
    found = answer(figures=signed)
    # .3099 / .293 in⁴
    assert any("gives an inertia of 0.293 in⁴: by it every sag would be 1.06 times" in one for one in found.assumptions)
    assert [row[3] for row in found.tables[1].rows] == [row[3] for row in waiting.tables[1].rows]


def test_a_pipe_of_unknown_stiffness_still_has_its_reactions_and_moments_drawn() -> None:
    known, unknown = answer(), answer(pipe="other")
    assert picture_svg(known.picture).count("<svg") == 2, "level, and the worst case"
    drawn = picture_svg(unknown.picture)
    assert "Bending moment" in drawn
    assert "Shape under load" not in drawn
    assert unknown.tables[1].rows == known.tables[1].rows
    assert {row[4] for row in unknown.tables[2].rows} == {"not known"}


def test_a_pipe_that_bends_too_far_gets_no_sag_in_figures() -> None:
    found = answer(lines="4 ft\n36 ft\n38 ft", loads="300 lb at 20 ft")
    text = picture_svg(found.picture)
    assert "bends too far to be reckoned" in text
    assert "bends too far to be reckoned" in {row[4] for row in found.tables[2].rows}


def test_each_letter_of_the_picture_is_a_row_of_the_table_of_loads() -> None:
    found = answer(loads="\n".join(f"Light {n}: {20 + n} lb at {n} ft" for n in range(1, 13)))
    rows = {row[0]: row[1:] for row in found.tables[0].rows}
    assert rows["A"][0] == "pipe weight"
    assert rows["M"] == ("Light 12", "32 lbf (142.3 N)", "12'-0\" (3658 mm)")
    assert all(f">{letter}<" in picture_svg(found.picture) for letter in rows if letter != "A")


@pytest.mark.parametrize(
    ("own", "capacity", "tone"),
    [("101 lb", "162 lb", "inside"), ("103 lb", "164 lb", "inside"), ("103.001 lb", "164 lb", "outside")],
)
def test_what_hangs_at_the_very_capacity_posted_is_not_outside(own: str, capacity: str, tone: str) -> None:
    found = answer(own=own, capacity=capacity, loads="10.1 lb at 6 ft\n20.2 lb at 15 ft\n30.7 lb at 28 ft")
    assert next(one for one in found.outcomes if one.label == "Against the capacity posted").tone == tone


def test_head_block_and_beam_go_by_the_wrap_given() -> None:
    def pulls(wrap: str) -> tuple[str, str]:
        rows = {one.label: one.value.partition(" ")[0] for one in answer(head_wrap=wrap).outcomes}
        return rows["Down on the head beam from this set"], rows["Level pull on the head beam"]

    assert pulls("90") == ("350", "350")
    assert pulls("120") == ("525", "303.1")  # 350 × (1 - cos 120°), 350 × sin 120°


def test_dead_ends_and_the_height_of_the_shaft_go_where_they_pull() -> None:
    def said(**change: str) -> dict[str, str]:
        found = answer(kind="double_purchase", **change).outcomes
        return {one.label: f"{one.value.partition(' (')[0]}; {one.words}" for one in found}

    on_beam, elsewhere = said(shaft="1 ft"), said(dead_ends="elsewhere")
    assert on_beam["Down on the head beam from this set"] == "700 lbf; lift lines over the head block and dead ends"
    assert on_beam["What turns the head beam"].startswith("350 lbf·ft; ")
    assert elsewhere["Down on the head beam from this set"] == "350 lbf; lift lines over the head block"
    assert elsewhere["Dead ends, together"] == "350 lbf; on other steel, which carries them besides"
    assert "What turns the head beam" not in elsewhere
    assert on_beam["The loaded arbor"].startswith("700 lbf")


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_no_input_gives_a_number_that_is_none_or_fails_without_a_field(data: st.DataObject) -> None:
    sizes = ["0", "1 mm", "0.4 mm", "3 ft", "40 ft", "41 ft", "199 m", "201 m", "nan", "-1", "1e9", "1/0", ""]
    lines = ["20 ft", "0\n40 ft", "3 ft\n3 ft", "36 ft\n4 ft", "1 mm\n2 mm", "38 ft\n39 ft\n40 ft", "41 ft", ""]
    loads = [
        "700 lb at 0",
        "1 lb at 41 ft",
        "1000 kN at 20 ft",
        "-1 lb at 3 ft",
        "1 N from 0 to 0.1 ft",
        "5 lb",
        "0 lb at 0",
    ]
    change = {
        "length": data.draw(st.sampled_from(sizes)), "lines": data.draw(st.sampled_from([TYPED["lines"], *lines])),
        "loads": data.draw(st.sampled_from([TYPED["loads"], *loads])), "drop": data.draw(st.sampled_from(sizes)),
        "wrap": data.draw(st.sampled_from(["90", "0", "0.001", "180", "181", "nan"])),
        "head_wrap": data.draw(st.sampled_from(["", "0.001", "180", "181"])),
        "rope_diameter_mm": data.draw(st.sampled_from(["1/4 in", *sizes])),
    }  # fmt: skip
    sheet = batten_sheet()
    values, problems = read_inputs(sheet, TYPED | change, "imperial")
    keys = {one.key for one in sheet.inputs}
    if problems:
        assert set(problems) <= keys
        return
    refused = None
    try:
        found = sheet.run(values, Reference(DATA.criteria, DATA.sources, DATA.figures, units="imperial"))
    except BadValue as error:
        refused = error
    if refused is not None:
        assert refused.field in keys
        assert "_mm" not in refused.message, "no name of the program's own"
        return
    said = repr((found.outcomes, found.tables, found.steps)) + picture_svg(found.picture)
    assert "nan" not in said
    assert "inf " not in said
    total = Fraction(found.steps[0].result.split()[0])
    assert total > 0
