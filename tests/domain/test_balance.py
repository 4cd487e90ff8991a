"""Counterweight, stack, spreader plates, posted capacity and imbalance."""

from decimal import Decimal
from fractions import Fraction as F
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.domain.balance import LiftLines, against_lock, against_posted, balance
from inspect_app.domain.brick_stack import Brick, SpreaderRule, fit, nearest_stacks, plates_for, stack_of
from inspect_app.domain.criteria import Consequence
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSetKind
from inspect_app.domain.judge import INSIDE_WORDS, OUTSIDE_WORDS, Result
from tests.published import published

SINGLE, DOUBLE = LineSetKind.SINGLE, LineSetKind.DOUBLE
MASSES = st.fractions(0, 900, max_denominator=8)


@published(
    "Counterweight", "Trade descriptions of counterweight sets", "single 1:1, double purchase 2:1", "secondary",
    names="kind, ratio", rows=[("single_purchase", 1), ("double_purchase", 2)], what="arbor over batten, {kind}",
    value="{ratio}",
)  # fmt: skip
def test_published_ratio_of_arbor_to_batten(kind: str, ratio: int) -> None:
    found = balance(LineSetKind(kind), F(60), F(140), LiftLines(5, F("0.16"), F(18000)))
    assert balance(LineSetKind(kind), F(60), F(140)).needed_kg == 200 * ratio
    assert found.arbor_travel_mm == F(18000) / ratio


@published(
    "Spreader plates", "Trade practice", "one plate for every two feet of stack: usable height in inches over 24",
    "secondary", names="inches, plates", rows=[(96, 4), (48, 2), (24, 1)], what="plates for {inches} in. of stack",
    value="{plates}",
)  # fmt: skip
def test_published_practice_of_one_spreader_plate_every_two_feet(inches: int, plates: int) -> None:
    assert plates_for(inches * F("25.4"), SpreaderRule(F("609.6"), "practice")) == plates


def test_a_stack_between_two_spacings_takes_the_next_plate_on_top() -> None:
    rule = SpreaderRule(F(600), "house rule")
    assert [plates_for(F(mm), rule) for mm in (0, 1, 600, 601, 1200, 1201)] == [0, 1, 1, 2, 2, 3]


def test_line_weight_passes_over_and_shows_at_both_ends() -> None:
    # Five lines of 0.16 kg/m over 18 m. Single: each metre of travel moves two metres' difference: 2 x 5 x .16 x 18.
    single = balance(SINGLE, F(60), F(0), LiftLines(5, F("0.16"), F(18000), F(1000), F(1000)))
    assert single.shift_kg == F("28.8")
    assert (single.low_kg, single.high_kg) == (F("14.4"), F("-14.4"))
    # Double: the arbor goes half as far, and of its two parts the dead one hangs elsewhere: 1.5 x 5 x .16 x 18.
    double = balance(DOUBLE, F(60), F(0), LiftLines(5, F("0.16"), F(18000), F(1000), F(1000)))
    assert double.shift_kg == F("21.6")


@given(st.sampled_from([SINGLE, DOUBLE]), MASSES, MASSES, st.integers(1, 12), MASSES)
def test_the_needed_weight_leaves_equal_and_opposite_ends(
    kind: LineSetKind, pipe: F, load: F, lines: int, off: F
) -> None:
    found = balance(kind, pipe + 1, load, LiftLines(lines, F("0.1"), F(15000), F(1000), F(1500)))
    if found.needed_kg:
        assert found.low_kg + found.high_kg == 0
    low, high = found.out_of_balance(found.needed_kg + off)
    assert low - high == found.shift_kg
    assert low == found.low_kg - off / found.ratio
    assert found.worst(found.needed_kg + off) == max(abs(low), abs(high))


@given(MASSES, MASSES, st.fractions(F(1, 4), 5, max_denominator=50))
def test_another_unit_of_mass_scales_the_answer(pipe: F, load: F, unit: F) -> None:
    one, other = balance(SINGLE, pipe + 1, load), balance(SINGLE, (pipe + 1) * unit, load * unit)
    assert other.needed_kg == one.needed_kg * unit


KINDS = st.lists(
    st.builds(Brick, st.just("b"), st.fractions(2, 20, max_denominator=3), st.just(F(25)), st.integers(0, 6)),
    min_size=1,
    max_size=3,
)


@settings(max_examples=60, deadline=None)
@given(st.fractions(0, 150, max_denominator=4), KINDS)
def test_nearest_stacks_are_those_of_trying_all(asked: F, kinds: list[Brick]) -> None:
    below, above = nearest_stacks(asked, kinds)
    all_kg = [
        sum((b.kg * n for b, n in zip(kinds, counts, strict=True)), F(0))
        for counts in product(*(range((b.at_hand or 0) + 1) for b in kinds))
    ]
    assert (below.kg if below else None) == max((kg for kg in all_kg if kg <= asked), default=None)
    assert (above.kg if above else None) == min((kg for kg in all_kg if kg >= asked), default=None)
    for stack in (below, above):
        if stack:
            assert stack == stack_of(kinds, stack.counts, asked)
            assert stack.over_kg == stack.kg - asked


def test_equal_weights_take_the_fewest_bricks() -> None:
    kinds = [Brick("thin", F(10), F(25)), Brick("thick", F(20), F(50))]
    below, above = nearest_stacks(F(60), kinds)
    assert below == above
    assert below is not None
    assert below.counts == (0, 3)


def test_a_stack_that_is_too_high_does_not_go_between_the_plates() -> None:
    rule = SpreaderRule(F(600), "house rule", F(6))
    tall = stack_of([Brick("b", F(20), F(50))], [25])
    found = fit(tall, rule, F(1268))
    assert (found.plates, found.height_mm, found.spare_mm, found.fits) == (3, F(1268), F(0), True)
    assert fit(tall, rule, F(1267)).fits is False
    unknown = fit(tall, rule, None)
    assert unknown.fits is None
    assert unknown.words.startswith("not compared")


def test_posted_capacity_is_judged_in_the_usual_words() -> None:
    at, over, none = (against_posted("arbor", kg, cap) for kg, cap in ((F(500), 500), (F("500.1"), 500), (F(9), None)))
    assert (at.result, at.words) == (Result.INSIDE, INSIDE_WORDS)
    assert (over.result, over.words) == (Result.OUTSIDE, OUTSIDE_WORDS[Consequence.LOAD_PATH])
    assert none.result is Result.NOT_JUDGED
    assert "no capacity is posted" in none.words


def test_an_imbalance_is_never_permitted() -> None:
    assert against_lock(F(5), None).words == "no figure: balance the set"
    assert against_lock(F(5), F(20)).words == "balance the set"
    assert against_lock(F(-20), F(20)).words == "balance the set"
    over = against_lock(F(-21), F(20))
    assert over.result is Result.OUTSIDE
    assert over.words.endswith("balance the set")
    assert "take out of use" in over.words


@pytest.mark.parametrize("bad", [F(-1), Decimal("NaN"), Decimal("Infinity"), 10**9, 1.5, "60", None, True])
@pytest.mark.parametrize("field", ["pipe_kg", "load_kg"])
def test_masses_that_make_no_sense_are_refused(field: str, bad: object) -> None:
    with pytest.raises(BadValue) as refused:
        balance(SINGLE, **{"pipe_kg": F(60), "load_kg": F(0), field: bad})  # type: ignore[arg-type]
    assert refused.value.field == field


@pytest.mark.parametrize(
    ("field", "bad"),
    [
        ("count", 0), ("count", 99), ("count", 2.5), ("count", True), ("kg_per_m", F(-1)), ("kg_per_m", F(99)),
        ("travel_mm", F(0)), ("travel_mm", Decimal("NaN")), ("travel_mm", F(10**8)), ("batten_side_mm", F(-1)),
        ("arbor_side_mm", 1e3),
    ],
)  # fmt: skip
def test_lift_lines_that_make_no_sense_are_refused(field: str, bad: object) -> None:
    with pytest.raises(BadValue) as refused:
        LiftLines(**{"count": 5, "kg_per_m": F(1, 6), "travel_mm": F(18000), field: bad})  # type: ignore[arg-type]
    assert refused.value.field == field


def test_other_mistakes_are_refused_by_field() -> None:
    brick = Brick("b", F(20), F(50))
    for call, field in (
        (lambda: balance(LineSetKind.MOTOR, 1, 1), "kind"),
        (lambda: balance(SINGLE, 0, 0), "pipe_kg"),
        (lambda: Brick("b", F(0), F(50)), "kg"),
        (lambda: Brick("b", F(20), F(0)), "thickness_mm"),
        (lambda: Brick("b", F(20), F(50), -1), "at_hand"),
        (lambda: nearest_stacks(F(100), []), "kinds"),
        (lambda: nearest_stacks(F(100), [brick] * 4), "kinds"),
        (lambda: nearest_stacks(F(-1), [brick]), "asked_kg"),
        (lambda: nearest_stacks(F(50000), [Brick("b", F(1), F(5))]), "asked_kg"),
        (lambda: stack_of([brick], [-1]), "counts"),
        (lambda: SpreaderRule(F(0), ""), "spacing_mm"),
        (lambda: plates_for(F(-1), SpreaderRule(F(600), "")), "stack_mm"),
        (lambda: fit(stack_of([brick], [1]), None, F(0)), "free_mm"),
        (lambda: against_posted("arbor", F(1), F(0)), "capacity_kg"),
        (lambda: against_lock(F(1), F(0)), "lock_kg"),
        (lambda: against_lock(1.5, None), "out_of_balance_kg"),  # type: ignore[arg-type]
        (lambda: against_lock(Decimal("NaN"), None), "out_of_balance_kg"),
    ):
        with pytest.raises(BadValue) as refused:
            call()
        assert refused.value.field == field, field
