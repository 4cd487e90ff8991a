"""The rope sheets: two readings of a diameter, slips of a unit, and each count against the rules for its own length."""

from functools import cache

import pytest

from inspect_app.config import shared_dir
from inspect_app.domain.errors import BadValue
from inspect_app.domain.worksheet import Answer, Reference, Worksheet
from inspect_app.domain.worksheet_input import read_inputs
from inspect_app.domain.worksheets import rope, rope_lay
from inspect_app.store.reference import reference_at
from tests.published import published

SHEETS: dict[str, Worksheet] = {sheet.key: sheet for sheet in (*rope.SHEETS, *rope_lay.SHEETS)}
DIAMETER = {"rope_diameter_mm": "1/4 in", "rope_construction": "7x19"}
TITLES = {
    "lay": "Broken wires in one lay", "strand": "Broken wires in one strand of one lay",
    "valleys": "Broken wires in the valleys between strands, in one lay", "six": "Broken wires in six rope diameters",
    "eight": "Broken wires in eight rope diameters", "thirty": "Broken wires in thirty rope diameters",
    "bend": "Broken wire where the rope bends over a block or close to a swaged fitting",
    "end": "Broken wires at a line end",
}  # fmt: skip


@cache
def reference() -> Reference:
    loaded = reference_at(shared_dir())
    return Reference(criteria=loaded.criteria, sources=loaded.sources)


def answer(key: str, **typed: str) -> Answer:
    values, problems = read_inputs(SHEETS[key], typed, "imperial")
    assert not problems, problems
    return SHEETS[key].run(values, reference())


def test_the_mean_of_two_readings_is_judged_and_both_losses_are_shown() -> None:
    found = answer("rope-diameter", measured="0.240 in", second="0.236 in", rope_baseline_mm="0.258 in", **DIAMETER)
    mean, nominal, first = found.steps
    assert "method of ISO 4309, from a secondary source" in mean.words
    assert mean.result == "0.238 in (6.045 mm); 0.004 in (0.1016 mm) apart"
    assert nominal.result == "95.2 % (4.8 % below)"  # 0.238 / 0.250
    assert first.result == "92.25 % (7.75 % below)"  # 0.238 / 0.258
    by = {outcome.citation.split(" (")[0]: outcome.tone for outcome in found.outcomes if outcome.citation}
    assert (by["30 CFR 56.19024"], by["29 CFR 1926.1413"]) == ("outside", "inside")
    assert found.outcomes[0].tone == "outside"


def test_a_first_measure_above_what_new_rope_may_measure_is_outside_for_new_rope() -> None:
    found = answer("rope-diameter", measured="0.25 in", rope_baseline_mm="0.27 in", **DIAMETER)
    new = next(outcome for outcome in found.outcomes if outcome.label == "Diameter of a new rope")
    assert new.tone == "outside"  # 0.265 and 0.268 in.


@pytest.mark.parametrize(("typed", "field"), [
    ({"measured": "0.1 in"}, "measured"), ({"measured": "0.5 in"}, "measured"),
    ({"measured": "0.24 in", "rope_baseline_mm": "0.5 in"}, "rope_baseline_mm"),
    ({"measured": "0.24 in", "second": "2.4 in"}, "measured"),
])  # fmt: skip
def test_a_figure_of_another_rope_is_asked_about_and_not_judged(typed: dict[str, str], field: str) -> None:
    with pytest.raises(BadValue) as caught:
        answer("rope-diameter", **(DIAMETER | typed))
    assert caught.value.field == field


@pytest.mark.parametrize("typed", ["0.24 mm", "24 in", "0", "-1", "1e9 in", "NaN", "inf", "six"])
@pytest.mark.parametrize("key", ["rope_diameter_mm", "measured", "second", "rope_baseline_mm"])
def test_what_no_rope_measures_is_not_read(key: str, typed: str) -> None:
    given = {"rope_diameter_mm": "1/4 in", "measured": "1/4 in"} | {key: typed}
    assert set(read_inputs(SHEETS["rope-diameter"], given, "imperial")[1]) == {key}


@published(
    "Broken wires", "FAA, OSHA, MSHA and DIN rules on a 7x19 rope of regular lay", "first counts outside", "worked",
    names="key, inside, outside",
    rows=[("lay", 5, 6), ("strand", 2, 3), ("valleys", 1, 2), ("six", 4, 5), ("eight", 13, 14), ("thirty", 9, 10),
          ("bend", 0, 1), ("end", 1, 2)],
    what="7x19, running, not swaged, count {key}", value="{inside} inside, {outside} outside",
)  # fmt: skip
def test_each_count_is_judged_over_its_own_length(key: str, inside: int, outside: int) -> None:
    rope_here = {"rope_construction": "7x19", "rope_lay": "regular", "termination": "clips"}
    for count, tone in ((inside, "inside"), (outside, "outside")):
        leads = answer("broken-wires", **rope_here, **{key: str(count)}).outcomes[0]
        assert (leads.label, leads.tone) == (TITLES[key], tone)


def test_wires_that_no_document_gives_are_typed_from_the_paper_of_the_rope() -> None:
    typed = {"rope_construction": "6x36WS", "rope_lay": "regular", "lay": "11", "six": "8"}
    unknown = answer("broken-wires", **typed)
    assert "the number of wires in the rope is not given" in " ".join(outcome.words for outcome in unknown.outcomes)
    known = answer(
        "broken-wires", **typed, rope_wires_total="216", rope_wires_outer="216", rope_outer_wires="usual",
    )  # fmt: skip
    by = {outcome.citation: outcome for outcome in known.outcomes if outcome.citation}
    msha = by["30 CFR 56.19024 (a)(1) (text read, by analogy)"]
    assert (msha.tone, "10.8" in msha.value) == ("outside", True)  # 5 % of 216
    din = by["DIN 15020 part 2 table of broken wires, regular lay, 6 d (text read, by analogy)"]
    assert (din.tone, "9 or more" in din.value) == ("inside", True)  # 201 to 220 wires


def test_an_estimated_lay_is_marked_and_a_measured_one_is_not() -> None:
    estimate, measured = answer("rope-lay", **DIAMETER), answer("rope-lay", lay_mm="1.6 in", **DIAMETER)
    assert estimate.outcomes[0].label == "One rope lay, an estimate"
    assert "common practice, no source" in estimate.outcomes[0].words
    assert (measured.outcomes[0].label, measured.outcomes[0].words) == ("One rope lay", "measured on the rope")
