"""The counterweight sheet and the imbalance sheet as a fly person reads them: sign, units, plates, and bad figures."""

from collections.abc import Mapping
from fractions import Fraction as F

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.errors import BadValue
from inspect_app.domain.worksheet import Answer, Outcome, Reference
from inspect_app.domain.worksheet_input import read_inputs
from inspect_app.domain.worksheets.all_worksheets import WORKSHEETS
from inspect_app.store.reference import reference_at
from tests.published import published

LOADED = reference_at(shared_dir())
UNIT = pint.UnitRegistry(non_int_type=F)
SET = {
    "kind": "single_purchase", "pipe": "170 lb", "load": "250 lb", "arbor": "96 lb", "brick": "24.6 lb",
    "brick_mm": "1 in", "half": "12.4 lb", "half_mm": "1/2 in", "free": "8 ft", "collar": "1 in", "spacing": "24 in",
    "plate_mm": "1/8 in", "lines": "6", "rope_mass": "11 lb per 100 ft", "travel": "55 ft", "batten_side": "5 ft",
    "arbor_side": "6 ft", "capacity": "1600 lb", "set_capacity": "1200 lb", "lock": "50 lb",
}  # fmt: skip
TWICE = SET | {"kind": "double_purchase"}


def asked(key: str, typed: Mapping[str, str], units: str = "imperial") -> Answer:
    values, problems = read_inputs(WORKSHEETS[key], typed, units)
    assert not problems
    reference = Reference(LOADED.criteria, LOADED.sources, LOADED.figures, units=units)
    return WORKSHEETS[key].run(values, reference)


def said(answer: Answer, label: str) -> Outcome:
    (found,) = (one for one in answer.outcomes if one.label.startswith(label))
    return found


def words(answer: Answer) -> str:
    return "\n".join(f"{one.label}: {one.value}: {one.words}: {one.tone}" for one in answer.outcomes)


@published(
    "Counterweight", "Pipe schedule chart and the 2 : 1 of trade descriptions", "mass for each length", "worked",
    names="nominal, feet, kind, pounds",
    rows=[
        ("1 1/2", "50", "single_purchase", "135.9"), ("1 1/2", "50", "double_purchase", "271.8"),
        ("2", "42", "single_purchase", "153.426"), ("1 1/4", "40", "double_purchase", "181.84"),
    ],
    what="arbor for {feet} ft of bare {nominal} in. schedule 40 pipe, {kind}", value="{pounds} lb",
)  # fmt: skip
def test_a_bare_pipe_that_nobody_weighed_counts_by_its_table(nominal: str, feet: str, kind: str, pounds: str) -> None:
    typed = {"kind": kind, "section": nominal, "length": f"{feet} ft"}
    answer = asked("counterweight", typed)
    shown = said(answer, "The loaded arbor must weigh").value.split()[0]
    assert abs(F(shown) - F(pounds)) <= F(1, 20)
    assert any("The pipe counts alone" in note for note in answer.assumptions)
    assert any("(text read)" in citation for citation in answer.all_citations())


@published(
    "Counterweight", "Handbook tables of pipe against the density of steel", "area × 490 lb/ft³", "worked",
    names="nominal, area, pounds",
    rows=[("1", "0.494", "1.679"), ("1 1/4", "0.669", "2.273"), ("1 1/2", "0.799", "2.718"), ("2", "1.075", "3.653"),
          ("2 1/2", "1.704", "5.793")],
    what="a foot of {nominal} in. schedule 40 pipe by its area and by its chart", value="{pounds} lb, to 0.3 percent",
)  # fmt: skip
def test_the_chart_of_pipe_masses_agrees_with_the_sections_and_the_density_of_steel(
    nominal: str, area: str, pounds: str
) -> None:
    pipe = LOADED.figures.pipe(nominal)
    assert pipe is not None
    assert pipe.area is not None
    (density,) = LOADED.figures.material("steel", "density")
    assert (pipe.area.value, pipe.mass_per_length[0].value, density.value) == (F(area), F(pounds), 490)
    by_area = UNIT.Quantity(F(area), "inch ** 2") * UNIT.Quantity(F(490), "pound / foot ** 3")
    assert abs(by_area.to("pound / foot").magnitude / F(pounds) - 1) < F(3, 1000)


@published(
    "Counterweight", "Worked by hand from the 2 : 1 of trade descriptions", "whole bricks", "worked",
    names="kind, which, bricks, leaves, felt",
    rows=[
        # Single: 419.34 - 96 = 323.34 lb of bricks; 13 x 24.6 = 319.8 lacks 3.54; + 12.4 = 332.2 has 8.86 over.
        # Lines: 36.3 lb either way at the ends. Worst 36.3 + 3.54 at low trim, -(36.3 + 8.86) at high trim.
        ("single_purchase", "below", "13 whole", "3.54 lb batten-heavy", "39.84 lb batten-heavy"),
        ("single_purchase", "above", "13 whole + 1 half", "8.86 lb arbor-heavy", "45.16 lb arbor-heavy"),
        # Double: 856.83 - 96 = 760.83; 30 x 24.6 + 12.4 = 750.4 lacks 10.43, at the batten 5.215; 31 x 24.6 = 762.6 has
        # 1.77 over, .885 at the batten. Ends 27.225; at the hand line 2 x (27.225 + 5.215) and 2 x (27.225 + .885).
        ("double_purchase", "below", "30 whole + 1 half", "5.215 lb batten-heavy", "64.88 lb batten-heavy"),
        ("double_purchase", "above", "31 whole", "0.885 lb arbor-heavy", "56.22 lb arbor-heavy"),
    ],
    what="{kind}, bricks next {which}: {bricks}", value="{leaves} at mid-travel, {felt} at the hand line at worst",
)  # fmt: skip
def test_whole_bricks_leave_what_was_worked_out_by_hand(
    kind: str, which: str, bricks: str, leaves: str, felt: str
) -> None:
    answer = asked("counterweight", SET | {"kind": kind})
    stack = said(answer, f"Bricks, next {which}")
    assert stack.value == bricks
    assert f"which leaves the set {leaves} at mid-travel" in stack.words
    # 8 ft less 13 in. of brick, a plate of 1/8 in. and a collar of 1 in.
    assert ("with 6'-9 7/8\" (2080 mm) to spare" in stack.words) is (bricks == "13 whole")
    out = said(answer, f"Out of balance at the hand line, with the bricks next {which}")
    pounds, unit, *_, side = out.value.split()
    assert f"{pounds} {unit} {side}" == felt


def test_the_order_of_loading_stands_in_the_answer_with_how_it_was_read() -> None:
    order = said(asked("counterweight", SET), "Order of work")
    assert order.words.startswith("Load the batten first, then the arbor. Unload the arbor first, then the batten.")
    assert order.citation == "Trade practice, counterweight order of loading (from a secondary source)"


@pytest.mark.parametrize(("lock", "tone"), [(None, "plain"), ("64.88 lb", "plain"), ("64.87 lb", "outside")])
def test_the_worst_over_the_travel_at_the_hand_line_is_set_against_the_lock_and_never_permitted(
    lock: str | None, tone: str
) -> None:
    """A hand line tied to a double-purchase arbor moves half as far as the batten, so it feels twice as much."""
    answer = asked(
        "counterweight", {key: text for key, text in TWICE.items() if key != "lock"} | ({"lock": lock} if lock else {})
    )
    below = said(answer, "Out of balance at the hand line, with the bricks next below")
    assert below.tone == tone
    assert "balance the set" in below.words
    assert below.words.startswith("no figure: balance the set") is (lock is None)
    assert ("take out of use" in below.words) is (tone == "outside")
    assert "inside" not in below.words


@pytest.mark.parametrize(
    ("batten", "arbor", "lean"), [("400 lb", "370 lb", "batten-heavy"), ("370 lb", "400 lb", "arbor-heavy")]
)
def test_sides_exchanged_exchange_the_words_and_keep_the_figure(batten: str, arbor: str, lean: str) -> None:
    typed = {"kind": "single_purchase", "batten": batten, "arbor_side_kg": arbor, "lock": "25 lb"}
    answer = asked("imbalance", typed)
    assert said(answer, "Out of balance").value == f"30 lb (13.61 kg) {lean}"
    assert said(answer, "Against the lock").tone == "outside"


def test_a_double_purchase_imbalance_is_felt_twice_at_the_hand_line() -> None:
    typed = {"kind": "double_purchase", "batten": "400 lb", "arbor_side_kg": "770 lb", "lock": "29 lb"}
    answer = asked("imbalance", typed)
    assert said(answer, "Out of balance, at the batten").value == "15 lb (6.804 kg) batten-heavy"
    assert said(answer, "Out of balance, at the hand line").value == "30 lb (13.61 kg) batten-heavy"
    assert said(answer, "Against the lock").tone == "outside"
    assert "Texts on rope locks conflict (40 lb, 50 lb, 75 lb" in "\n".join(answer.assumptions)


def test_nothing_on_both_sides_is_a_slip_and_no_balance() -> None:
    with pytest.raises(BadValue) as refused:
        asked("imbalance", {"kind": "single_purchase", "batten": "0 lb", "arbor_side_kg": "0 lb"})
    assert refused.value.field == "batten"


@given(st.integers(1, 4000), st.integers(0, 4000), st.sampled_from(["single_purchase", "double_purchase"]))
def test_the_words_follow_the_sign(batten: int, arbor: int, kind: str) -> None:
    answer = asked("imbalance", {"kind": kind, "batten": f"{batten} lb", "arbor_side_kg": f"{arbor} lb"})
    over = batten * (2 if kind == "double_purchase" else 1) - arbor
    lean = "in balance" if not over else "batten-heavy" if over > 0 else "arbor-heavy"
    assert said(answer, "Out of balance, at the hand line").value.endswith(lean)
    assert said(answer, "Against the lock").words == "no figure: balance the set"


POUNDS = {"pipe", "load", "arbor", "brick", "half", "capacity", "set_capacity", "lock"}
FEET = {"free", "travel", "batten_side", "arbor_side"}
INCHES = {"collar", "spacing", "plate_mm"}


def decimal(exact: F) -> str:
    """A fraction that ends as decimal digits, all of them."""
    text = f"{exact.numerator * 10**12 // exact.denominator:013d}"
    assert F(f"{text[:-12]}.{text[-12:]}") == exact
    return f"{text[:-12]}.{text[-12:]}"


def in_metric(typed: Mapping[str, str]) -> dict[str, str]:
    """The same set in kilograms, metres and millimetres, converted exactly by pint."""
    found = dict(typed)
    for keys, here, there in ((POUNDS, "pound", "kg"), (FEET, "foot", "m"), (INCHES, "inch", "mm")):
        for key in keys & set(found):
            size = UNIT.Quantity(F(found[key].split()[0].replace("1/8", ".125")), here).to(there).magnitude
            found[key] = f"{decimal(size)} {there}"
    return found | {"brick_mm": "25.4 mm", "half_mm": "12.7 mm"}


@settings(max_examples=25)
@given(st.integers(0, 1000), st.sampled_from(["single_purchase", "double_purchase"]))
def test_pounds_and_kilograms_feet_and_metres_give_the_same_answer(load: int, kind: str) -> None:
    typed = {key: text for key, text in SET.items() if key not in ("brick", "half")}
    typed |= {"load": f"{load} lb", "kind": kind, "brick": "20 lb", "half": "10 lb"}
    here = asked("counterweight", typed)
    assert words(asked("counterweight", in_metric(typed))) == words(here)
    other = asked("counterweight", in_metric(typed) | {"rope_mass": "11 lb per 100 ft"}, "metric")
    assert [(one.label, one.tone) for one in other.outcomes] == [(one.label, one.tone) for one in here.outcomes]
    sides = [
        [word for word in words(one).replace(":", " ").split() if word.endswith("-heavy")] for one in (here, other)
    ]
    assert sides[0] == sides[1]


@pytest.mark.parametrize(
    ("inches", "plates"), [("24.0", "1 spreader plate "), ("24.01", "2 spreader plates"), ("96", "4 spreader plates")]
)
def test_spreader_plates_come_from_trade_practice_where_no_spacing_is_given(inches: str, plates: str) -> None:
    """One brick as thick as the whole stack would be absurd; 8 bricks of an eighth of it make the same height."""
    typed = {"kind": "single_purchase", "pipe": "200 lb", "arbor": "40 lb", "brick": "20 lb"}
    answer = asked("counterweight", typed | {"brick_mm": f"{decimal(F(inches) / 8)} in"})
    stack = said(answer, "Bricks, exactly")
    assert stack.value == "8 whole"
    assert plates in stack.words
    assert "(from a secondary source)" in stack.citation


def test_a_wider_spacing_given_stands_beside_trade_practice_and_the_stack_takes_the_more_plates() -> None:
    typed = {"kind": "single_purchase", "pipe": "3000 lb", "arbor": "60 lb", "brick": "60 lb", "brick_mm": "1 in"}
    answer = asked("counterweight", typed | {"spacing": "30 in", "plate_mm": "1 in", "collar": "1 in", "free": "52 in"})
    stack = said(answer, "Bricks, exactly")  # 49 bricks: 49 in, 3 plates at 24 in and 2 at 30 in, and the collars
    assert "3 spreader plates (at 2'-0\" by trade practice) or 2 spreader plates (by the spacing given)" in stack.words
    assert stack.tone == "outside"
    assert stack.words.startswith("does not go between the arbor's plates: stack 4'-5\"")


@pytest.mark.parametrize(("kind", "heavy"), [("single_purchase", "56 lb"), ("double_purchase", "8 lb")])
def test_an_arbor_that_outweighs_its_batten_is_arbor_heavy_and_no_brick_is_asked_for(kind: str, heavy: str) -> None:
    """96 lb of arbor against 40 lb of pipe: 96 - 40 in single, 96 / 2 - 40 in double purchase."""
    typed = {"kind": kind, "pipe": "40 lb", "arbor": "96 lb", "brick": "24.6 lb", "brick_mm": "1 in", "lock": "15 lb"}
    answer = asked("counterweight", typed)
    bricks = said(answer, "In bricks")
    assert bricks.value == "none"
    assert f"leaves the set {heavy} arbor-heavy at mid-travel" in bricks.words
    assert said(answer, "Out of balance at the hand line, with the arbor alone").tone == "outside"
    assert not [one for one in answer.outcomes if one.label.startswith("Bricks")]


def test_what_other_texts_say_of_spreader_plates_is_told_with_its_number() -> None:
    notes = "\n".join(asked("counterweight", SET).assumptions)  # at most 13 whole and 1 half: 14 bricks, 5 by threes
    assert "spreader plates at 24 to 30 in. (Trade practice, spreader plates" in notes
    assert "a spreader plate after every third brick, 5 here (Trade practice, spreader plates" in notes
    assert "from a secondary source" in notes


def test_a_rope_of_unknown_mass_counts_by_a_published_table_and_one_from_memory_does_not() -> None:
    """6x19 with fibre core, 1/4 in.: 0.11 lb/ft, the 11 lb per 100 ft of SET; the masses of 7x19 are from memory."""
    bare = {key: text for key, text in SET.items() if key != "rope_mass"} | {"rope_diameter_mm": "1/4 in"}
    answer = asked("counterweight", bare | {"rope_construction": "6x19"})
    table = said(answer, "Mass of the rope by a table")
    assert table.value == "11 lb per 100 ft (0.1637 kg/m)"
    assert "(from a secondary source)" in table.citation
    assert said(answer, "The loaded arbor").value == said(asked("counterweight", SET), "The loaded arbor").value
    off = asked("counterweight", bare | {"rope_construction": "7x19"})
    assert said(off, "Weight of the lift lines").words == "not given: mass of the rope"


def test_bare_figures_without_lines_or_bricks_claim_no_balance() -> None:
    answer = asked("counterweight", {"kind": "single_purchase", "pipe": "200 lb"})
    assert said(answer, "Weight of the lift lines").tone == "not_judged"
    assert "in balance" not in words(answer)
    assert not [one for one in answer.outcomes if one.label.startswith("Out of balance")]


MASSES = ("pipe", "arbor", "brick", "half", "capacity", "set_capacity", "lock")
LENGTHS = ("brick_mm", "half_mm", "free", "collar", "spacing", "plate_mm", "travel", "batten_side", "arbor_side")


@pytest.mark.parametrize("bad", ["NaN", "-1", "1e999", "inf", "ten", "100000000", "1,000,000"])
@pytest.mark.parametrize("key", [*MASSES, *LENGTHS, "load", "lines", "rope_mass", "third", "third_mm", "length"])
def test_a_figure_that_makes_no_sense_is_named_beside_its_field_and_gives_no_number(key: str, bad: str) -> None:
    sheet = WORKSHEETS["counterweight"]
    _, problems = read_inputs(sheet, SET | {key: bad}, "imperial")
    assert list(problems) == [key]


@pytest.mark.parametrize(
    "key", [*MASSES, "brick_mm", "half_mm", "free", "collar", "spacing", "plate_mm", "travel", "lines"]
)
def test_nothing_where_there_must_be_something_is_refused(key: str) -> None:
    _, problems = read_inputs(WORKSHEETS["counterweight"], SET | {key: "0"}, "imperial")
    assert list(problems) == [key]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"half_mm": ""}, "half_mm"),
        ({"pipe": ""}, "pipe"),
        ({"pipe": "", "section": "1 1/2"}, "length"),
        ({"pipe": "", "length": "50 ft"}, "section"),
        ({"pipe": "100 lb", "section": "1 1/2", "length": "50 ft"}, "pipe"),  # less than the bare pipe by its table
        ({"brick": "0.5 lb", "half": ""}, "brick"),  # more bricks than any arbor takes
        ({"arbor_side": "300 ft", "rope_mass": "600 lb per 100 ft", "lines": "12"}, "arbor_side"),
    ],
)
def test_figures_that_do_not_go_together_are_refused_beside_their_field(change: dict[str, str], field: str) -> None:
    with pytest.raises(BadValue) as refused:
        asked("counterweight", SET | change)
    assert refused.value.field == field
    assert "_" not in refused.value.message
