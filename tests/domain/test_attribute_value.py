from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.attribute_value import (
    exact_text,
    read_attribute,
    read_attributes,
    shown_attribute,
    shown_attributes,
    typed_attribute,
)
from inspect_app.domain.errors import BadValue
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_attributes import SPECS, AttributeSpec, Form, specs_for
from inspect_app.domain.part_kind import KIND_WORDS, tag_for

UREG = pint.UnitRegistry(non_int_type=Fraction)


def spec(kind: PartKind, key: str) -> AttributeSpec:
    return next(one for one in specs_for(kind) if one.key == key)


ROPE = spec(PartKind.LIFT_LINE, "rope_diameter_mm")
CAPACITY = spec(PartKind.ARBOR, "capacity_kg")


@pytest.mark.parametrize("kind", PartKind)
def test_every_kind_has_words_a_tag_and_its_own_attributes(kind: PartKind) -> None:
    keys = [one.key for one in SPECS[kind]]
    assert keys
    assert len(set(keys)) == len(keys)
    assert KIND_WORDS[kind].one
    for one in SPECS[kind]:
        assert (one.form is Form.LENGTH) == one.key.endswith("_mm")
        assert (one.form is Form.MASS) == one.key.endswith("_kg")
        assert bool(one.choices) == (one.form is Form.CHOICE)


def test_no_two_kinds_begin_their_tags_alike() -> None:
    prefixes = [words.prefix for words in KIND_WORDS.values()]
    assert len(set(prefixes)) == len(prefixes)
    assert tag_for(PartKind.LOFT_BLOCK, "12", 3) == "LB 12-3"


@given(st.integers(0, 40), st.integers(1, 15))
def test_inches_are_kept_as_exact_millimetres(whole: int, sixteenths: int) -> None:
    kept = read_attribute(ROPE, f"{whole} {sixteenths}/16 in", "imperial")
    inches = UREG.Quantity(Fraction(whole) + Fraction(sixteenths, 16), "inch")
    assert Fraction(kept) == inches.to("millimeter").magnitude


@given(st.integers(0, 99_999))
def test_pounds_are_kept_as_exact_kilograms(pounds: int) -> None:
    kept = read_attribute(CAPACITY, f"{pounds} lb", "metric")
    assert Fraction(kept) == UREG.Quantity(Fraction(pounds), "pound").to("kilogram").magnitude


@pytest.mark.parametrize(("units", "kept"), [("imperial", "6.35"), ("metric", "0.25")])
def test_a_bare_number_takes_the_houses_unit(units: str, kept: str) -> None:
    assert read_attribute(ROPE, "0.25", units) == kept


@pytest.mark.parametrize("kind", PartKind)
@pytest.mark.parametrize("units", ["imperial", "metric"])
def test_what_stands_in_the_form_is_saved_unchanged(kind: PartKind, units: str) -> None:
    samples = {Form.LENGTH: "6.35", Form.MASS: "544.310844", Form.COUNT: "3", Form.TEXT: "as found"}
    kept = {one.key: one.choices[0][0] if one.choices else samples[one.form] for one in specs_for(kind)}
    typed = {one.key: typed_attribute(one, kept[one.key], units) for one in specs_for(kind)}
    assert read_attributes(kind, typed, units) == (kept, [])


def test_lengths_are_shown_in_the_houses_units_and_never_rounded_in_silence() -> None:
    assert shown_attribute(ROPE, "6.35", "imperial") == '1/4" (6.35 mm)'
    assert shown_attribute(ROPE, "5", "imperial") == "5 mm (about 0.197 in)"
    assert shown_attribute(ROPE, "6.35", "metric") == "6.35 mm"


def test_an_attribute_nobody_knows_is_shown_as_it_is() -> None:
    assert ("old key", "x") in shown_attributes(PartKind.BATTEN, {"old_key": "x"}, "metric")


@pytest.mark.parametrize(("typed", "units", "field"), [
    ({"rope_diameter_mm": "1/4"}, "metric", "rope_diameter_mm"),  # a quarter of a millimetre
    ({"rope_diameter_mm": "0"}, "imperial", "rope_diameter_mm"),
    ({"rope_diameter_mm": "100000 in"}, "imperial", "rope_diameter_mm"),
    ({"rope_diameter_mm": "1/4 in", "rope_baseline_mm": "0.258"}, "metric", "rope_baseline_mm"),
    ({"rope_diameter_mm": "3/8 in", "rope_baseline_mm": "0.26 in"}, "imperial", "rope_baseline_mm"),
    ({"rope_wires_total": "11400"}, "imperial", "rope_wires_total"),
    ({"rope_wires_total": "0"}, "metric", "rope_wires_total"),
    ({"rope_wires_total": "133", "rope_wires_outer": "144"}, "metric", "rope_wires_outer"),
    ({"rope_wires_per_strand": "133"}, "metric", "rope_wires_per_strand"),
])  # fmt: skip
def test_a_figure_that_no_rope_has_is_refused_and_not_kept(typed: dict[str, str], units: str, field: str) -> None:
    good, problems = read_attributes(PartKind.LIFT_LINE, typed, units)
    assert [problem.field for problem in problems] == [field]
    assert field not in good


def test_a_first_measure_within_a_quarter_of_nominal_is_kept() -> None:
    typed = {"rope_diameter_mm": "1/8 in", "rope_baseline_mm": "0.139 in"}  # as far above as new cable may be
    assert read_attributes(PartKind.LIFT_LINE, typed, "metric") == (
        {"rope_diameter_mm": "3.175", "rope_baseline_mm": "3.5306"}, []
    )  # fmt: skip


def test_every_bad_attribute_is_named_and_the_good_ones_are_kept() -> None:
    typed = {"rope_diameter_mm": "thick", "rope_construction": "7x19", "rope_lay": "odd", "maker": "y" * 201}
    good, problems = read_attributes(PartKind.LIFT_LINE, typed, "imperial")
    assert good == {"rope_construction": "7x19"}
    assert {problem.field for problem in problems} == {"rope_diameter_mm", "rope_lay", "maker"}


@pytest.mark.parametrize("text", ["1,200 lb", "-5 lb", "1e9", "a lot", "12 stone", "9" * 60])
def test_a_mass_that_can_be_misread_is_refused(text: str) -> None:
    with pytest.raises(BadValue):
        read_attribute(CAPACITY, text, "imperial")


@given(st.fractions(min_value=0, max_value=10**6, max_denominator=10**6))
def test_text_of_a_fraction_is_within_a_billionth(value: Fraction) -> None:
    assert abs(Fraction(exact_text(value)) - value) <= Fraction(1, 10**9)
