"""Rope by measuring: lay and windows, loss of diameter, wear of outer wires."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.criteria import Rule
from inspect_app.domain.errors import BadValue
from inspect_app.domain.gauge import readings_words
from inspect_app.domain.judge import Result, judge, limits_for
from inspect_app.domain.rope import diameter_loss, lay_length, mean_diameter, outer_wear, outer_wire_mm, window_mm
from inspect_app.store.reference import reference_at
from tests.published import published

MM = Fraction("25.4")
CRITERIA = reference_at(shared_dir()).criteria
RULES = CRITERIA["rope-diameter"].rules
QUARTER = Fraction("6.35")
sizes = st.decimals(min_value="1", max_value="40", places=3)


def test_a_measured_lay_is_taken_as_it_is_and_an_estimate_says_so() -> None:
    measured, estimated = lay_length(QUARTER, "7x19", Fraction(42)), lay_length(QUARTER, "7x19")
    assert (measured.most_mm, measured.estimated) == (42, False)
    assert (estimated.least_mm, estimated.most_mm) == (6 * QUARTER, 7 * QUARTER)
    assert "common practice, no source" in estimated.words
    assert "estimate" in estimated.words


def test_a_count_over_an_estimated_lay_takes_the_longer_figure() -> None:
    assert window_mm("one_lay", QUARTER, lay_length(QUARTER)) == 7 * QUARTER


@published(
    "Broken wires", "DIN 15020 part 2 and 29 CFR 1926.251", "6 d, 30 d and 8 d", "read",
    names="window, diameters", rows=[("six_diameters", 6), ("thirty_diameters", 30), ("eight_diameters", 8)],
    what="length of the window {window}", value="{diameters} rope diameters",
)  # fmt: skip
def test_windows_are_so_many_rope_diameters(window: str, diameters: int) -> None:
    assert window_mm(window, QUARTER, lay_length(QUARTER)) == diameters * QUARTER


@published(
    "Rope diameter", "29 CFR 1926.1413, 30 CFR 56.19024, US Army TM 5-3810-302-10",
    "floors of a 1/4 in. rope, worked out", "worked",
    names="inches, percent", rows=[("0.2375", "5"), ("0.2350", "6"), ("0.234375", "6.25")],
    what="1/4 in. rope measured at {inches} in.: loss of nominal", value="{percent} %",
)  # fmt: skip
def test_the_loss_at_each_floor_of_a_quarter_inch_rope(inches: str, percent: str) -> None:
    assert diameter_loss(Decimal(inches) * Decimal("25.4"), QUARTER).of_nominal_percent == Fraction(percent)


@published(
    "Rope diameter", "Rule of 5 percent and a new rope of 0.265 in.", "worked example", "worked",
    what="1/4 in. rope that was 0.265 in. when new, at 0.2375 in.: loss of its first measure", value="10 to 11 %",
)  # fmt: skip
def test_an_oversize_rope_has_lost_more_than_its_nominal_tells() -> None:
    loss = diameter_loss(Decimal("6.0325"), QUARTER, Decimal("6.731"))
    assert loss.of_nominal_percent == 5
    assert loss.of_first_percent is not None
    assert 10 < loss.of_first_percent < 11


@published(
    "Outer wires", "Geometry of 7x19", "outer wire about d/15, worked out", "worked",
    what="1/4 in. 7x19: a third of an outer wire", value="0.0056 in., 2.2 % of the rope",
)  # fmt: skip
def test_a_third_of_an_outer_wire_of_7x19() -> None:
    wire = outer_wire_mm(QUARTER, "7x19")
    assert wire is not None
    assert float(wire / 3 / Fraction("25.4")) == pytest.approx(0.0056, abs=5e-5)
    assert float(100 * wire / 3 / QUARTER) == pytest.approx(2.2, abs=0.05)


def test_wear_is_judged_by_all_loss_on_one_face() -> None:
    wear = outer_wear(Decimal("6.6"), Decimal("6.4"), wire_mm=Decimal("0.4"))
    assert (wear.one_face_percent, wear.both_faces_percent, wear.judged_percent) == (50, 25, 50)
    assert not wear.wire_estimated
    assert "wires are not separated" in wear.words
    assert "approximation" in outer_wear(Decimal("6.6"), Decimal("6.4"), "7x19").words


def test_two_readings_at_right_angles_give_their_mean_and_how_far_they_differ() -> None:
    assert mean_diameter(Decimal("6.30"), Decimal("6.40")) == (Fraction("6.35"), Fraction("0.1"))


@pytest.mark.parametrize(("value", "readings", "said"), [
    ("0.238", ["0.238", "0.240", "0.236"], "mean of 0.240, 0.236"),
    ("0.239", ["0.239", "0.240", "0.237"], "mean of 0.240, 0.237"),  # 0.2385, written to three places
    ("0.240", ["0.240", "0.240", "0.236"], "3 readings: 0.240, 0.240, 0.236"),
    ("0.240", ["0.240", "0.236"], "2 readings: 0.240, 0.236"),
    ("0.240", ["0.240"], ""), ("0.240", [], ""),
    ("6", ["6", "thick", "thin"], "3 readings: 6, thick, thin"), ("6", ["6", "NaN", "6"], "3 readings: 6, NaN, 6"),
])  # fmt: skip
def test_a_figure_says_of_which_readings_it_is_the_mean(value: str, readings: list[str], said: str) -> None:
    assert readings_words(value, readings) == said


@pytest.mark.parametrize("bad", [Decimal(0), Decimal(-1), Decimal("NaN"), Decimal("Infinity"), Decimal("1e9"), 151])
def test_a_senseless_size_is_refused_by_name(bad: Decimal) -> None:
    for call in (
        lambda: lay_length(bad), lambda: mean_diameter(bad, 6), lambda: diameter_loss(bad),
        lambda: diameter_loss(6, bad),
        lambda: diameter_loss(6, 6, bad), lambda: outer_wear(bad, 6, "7x19"), lambda: outer_wear(7, 6, wire_mm=bad),
        lambda: window_mm("six_diameters", bad, lay_length(QUARTER)),
    ):  # fmt: skip
        with pytest.raises(BadValue) as caught:
            call()
        assert caught.value.field


def test_what_cannot_be_is_refused() -> None:
    for call in (
        lambda: lay_length(6, "19x7"), lambda: lay_length(6, "7x19", 5), lambda: window_mm("a_mile", 6, lay_length(6)),
        lambda: outer_wear(6, 7, "7x19"), lambda: outer_wear(7, 6, "6x36WS"), lambda: outer_wear(7, 6, wire_mm=3),
    ):  # fmt: skip
        with pytest.raises(BadValue):
            call()


@given(sizes, sizes, st.sampled_from(["1", "25.4", "10", "304.8"]))
def test_losses_do_not_depend_on_the_unit(measured: Decimal, nominal: Decimal, factor: str) -> None:
    scale = Fraction(factor) / Fraction("304.8")
    one = diameter_loss(measured, nominal).of_nominal_percent
    assert diameter_loss(Fraction(measured) * scale, Fraction(nominal) * scale).of_nominal_percent == one


# The least diameter by each row, typed apart from the data: nominal and first measure in inches, None where the
# document has no row. 29 CFR 1926.1413(a)(2)(ii)(B); 30 CFR 56.19024(g); TM 5-3810-302-10; WAC 296-54-557(2)(d); and
# ISO 4309 Table 5, from memory.
def reduced(nominal: Fraction, *rows: tuple[str, str, str]) -> Fraction | None:
    found = [Fraction(less) for low, high, less in rows if Fraction(low) <= nominal <= Fraction(high)]
    return nominal - found[0] if found else None


HEAVY = (("7/8", "9/8", "1/16"), ("5/4", "3/2", "3/32"))
FLOORS: dict[str, Callable[[Fraction, Fraction], Fraction | None]] = {
    "osha1413-diameter": lambda nominal, _: nominal * 95 / 100,
    "cal5036-diameter": lambda nominal, _: nominal * 95 / 100,
    "msha-diameter": lambda _, first: first * 94 / 100,
    "b30-diameter": lambda nominal, _: reduced(
        nominal, ("0", "5/16", "1/64"), ("3/8", "1/2", "1/32"), ("9/16", "3/4", "3/64"), *HEAVY
    ),
    "wac-logging-diameter": lambda nominal, _: reduced(nominal, ("0", "3/4", "3/64"), *HEAVY),
    "iso4309-fibre-core": lambda nominal, first: first - nominal / 10,
    "iso4309-steel-core": lambda nominal, first: first - nominal * 75 / 1000,
    "iso4309-rotation-resistant": lambda nominal, first: first - nominal / 20,
}
AT_THE_LIMIT_IS_OUTSIDE = {"iso4309-fibre-core", "iso4309-steel-core", "iso4309-rotation-resistant"}  # from memory
SIXTEENTHS = st.integers(2, 26).map(lambda n: Fraction(n, 16))
SIZES = SIXTEENTHS | st.sampled_from(
    [Fraction(5, 32), Fraction(11, 32)] + [Fraction(n * 10, 254) for n in (5, 6, 8, 10)]
)
PER_INCH = {"in": Fraction(1), "mm": Fraction("25.4"), "cm": Fraction("2.54"), "ft": Fraction(1, 12)}


def judged(
    rule: Rule, nominal: Fraction, first: Fraction, inches: Fraction, unit: str, step: Fraction | None
) -> Result:
    rope = {"rope_diameter_mm": str(nominal * MM), "rope_baseline_mm": str(first * MM), "jurisdiction": "US-CA"}
    rope |= {key: allowed[0] for key, allowed in rule.when.items()}
    one = replace(CRITERIA["rope-diameter"], rules=(replace(rule, active=True),))  # the rows from memory as well
    scale = PER_INCH[unit]
    (verdict,) = judge(inches * scale, unit, step and step * scale, limits_for(one, rope))
    return verdict.result


@given(
    st.sampled_from(RULES), SIZES, st.integers(-1, 12), st.sampled_from(sorted(PER_INCH)),
    st.integers(-60, 60), st.sampled_from([None, Fraction(1, 1000), Fraction(1, 64)]),
)  # fmt: skip
def test_each_diameter_rule_judges_at_under_and_over_its_floor_in_every_unit_with_and_without_a_gauge_step(
    rule: Rule, nominal: Fraction, over_percent: int, unit: str, off: int, step: Fraction | None
) -> None:
    first = nominal * (100 + over_percent) / 100
    floor = FLOORS[rule.id](nominal, first)
    if floor is None:
        assert judged(rule, nominal, first, nominal, unit, step) is Result.NOT_JUDGED
        return
    measured = floor + Fraction(off, 4000)
    if step is not None and abs(measured - floor) <= step / 2:
        expected = Result.CANNOT_TELL
    elif measured < floor or (measured == floor and rule.id in AT_THE_LIMIT_IS_OUTSIDE):
        expected = Result.OUTSIDE
    else:
        expected = Result.INSIDE
    assert judged(rule, nominal, first, measured, unit, step) is expected


@given(st.sampled_from([rule for rule in RULES if rule.id not in {"b30-diameter", "wac-logging-diameter"}]),
       st.sampled_from([Fraction(1, 4), Fraction(3, 8)]), st.integers(1, 4), st.integers(-40, 40))  # fmt: skip
def test_a_rope_twice_the_size_with_twice_the_loss_is_judged_alike(
    rule: Rule, nominal: Fraction, times: int, off: int
) -> None:
    first, measured = nominal * 102 / 100, nominal * 94 / 100 + nominal * off / 1000
    small = judged(rule, nominal, first, measured, "in", None)
    assert judged(rule, nominal * times, first * times, measured * times, "in", None) is small


def test_a_third_of_a_wire_across_the_worn_spot_is_at_the_limit_of_both_clauses() -> None:
    wire = QUARTER / 15
    wear = outer_wear(QUARTER, QUARTER - wire / 3, "7x19")
    said = {
        v.limit.rule: v.result
        for v in judge(wear.judged_percent, "percent", None, limits_for(CRITERIA["rope-outer-wire-wear"], {}))
        if v.limit
    }
    assert said["osha184-outer-wire"] is Result.OUTSIDE  # one third
    assert said["msha-outer-wire"] is Result.INSIDE  # more than one third


def test_more_than_two_wires_gone_is_no_wear_of_wires() -> None:
    with pytest.raises(BadValue, match="by its diameter"):
        outer_wear(QUARTER, QUARTER - Fraction("0.9"), "7x19")
