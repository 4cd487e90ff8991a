"""Counterweight, stack, spreader plates, posted capacity and imbalance."""

from decimal import Decimal
from fractions import Fraction as F
from itertools import product

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.domain.balance import (
    ARBOR_HEAVY,
    BATTEN_HEAVY,
    HIGH,
    IN_BALANCE,
    LOW,
    MIDDLE,
    LiftLines,
    against_lock,
    against_posted,
    balance,
    leaning,
)
from inspect_app.domain.brick_stack import Brick, SpreaderRule, fit, nearest_stacks, plates_for, stack_of
from inspect_app.domain.criteria import Consequence
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSetKind
from inspect_app.domain.judge import INSIDE_WORDS, OUTSIDE_WORDS, Result
from tests.published import published

SINGLE, DOUBLE = LineSetKind.SINGLE, LineSetKind.DOUBLE
UNIT = pint.UnitRegistry(non_int_type=F)
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
    "secondary", names="inches, plates",
    rows=[("96", 4), ("48", 2), ("24.0", 1), ("24.01", 2), ("23.99", 1), ("96.01", 5)],
    what="plates for {inches} in. of stack", value="{plates}",
)  # fmt: skip
def test_published_practice_of_one_spreader_plate_every_two_feet(inches: str, plates: int) -> None:
    assert plates_for(F(inches) * F("25.4"), SpreaderRule(F("609.6"), "practice")) == plates


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


def energy(kind: LineSetKind, batten: F, arbor: F, lines: LiftLines, out_mm: F) -> F:
    """Height times mass of all that moves, in kg mm, with the batten so far out of low trim; falling lines count below.

    Single purchase: each line hangs from its loft block to the batten and from the head block to the arbor. Double
    purchase: on the arbor side it runs down to the arbor's block and back up to a dead end level with the head block.
    """
    parts = 1 if kind is SINGLE else 2
    per_mm = lines.count * lines.kg_per_m / 1000
    below_loft = lines.batten_side_mm + lines.travel_mm - out_mm
    below_head = lines.arbor_side_mm + out_mm / parts
    hanging = below_loft**2 / 2 + parts * below_head**2 / 2
    return -(batten * below_loft + arbor * below_head + per_mm * hanging)


LINES = st.builds(
    LiftLines,
    st.integers(1, 12),
    st.fractions(F(1, 20), 1, max_denominator=50),
    st.fractions(2000, 20000, max_denominator=4),
    st.fractions(0, 3000, max_denominator=4),
    st.fractions(0, 3000, max_denominator=4),
)


@given(
    st.sampled_from([SINGLE, DOUBLE]),
    st.fractions(60, 900, max_denominator=8),
    st.fractions(0, 2000, max_denominator=8),
    LINES,
    st.fractions(0, 1),
)
def test_what_the_batten_is_heavier_by_is_the_work_of_raising_it(
    kind: LineSetKind, batten: F, arbor: F, lines: LiftLines, share: F
) -> None:
    """Virtual work: the energy is quadratic in the height, so a central difference of it is exact at any step."""
    found = balance(kind, batten, F(0), lines)
    out, step = share * lines.travel_mm, F(100)
    work = energy(kind, batten, arbor, lines, out + step) - energy(kind, batten, arbor, lines, out - step)
    heavier = work / (2 * step)
    assert found.out_of_balance(arbor, share) == heavier
    # Tied to the arbor, the hand line moves as far as the arbor does: the same work over so much less of a way.
    of_arbor = 2 * step / (1 if kind is SINGLE else 2)
    assert found.at_hand_line(heavier) == work / of_arbor
    assert leaning(heavier) == (BATTEN_HEAVY if work > 0 else ARBOR_HEAVY if work < 0 else IN_BALANCE)


@given(st.sampled_from([SINGLE, DOUBLE]), MASSES, MASSES, LINES, MASSES)
def test_the_needed_weight_balances_at_mid_travel_and_leaves_equal_and_opposite_ends(
    kind: LineSetKind, pipe: F, load: F, lines: LiftLines, off: F
) -> None:
    found = balance(kind, pipe + 60, load, lines)
    exact = found.needed_kg
    assert found.out_of_balance(exact) == 0
    assert found.out_of_balance(exact, LOW) == -found.out_of_balance(exact, HIGH) == found.shift_kg / 2
    assert found.out_of_balance(exact, LOW) > 0  # more line hangs on the batten side when the batten is in
    low, high = (found.out_of_balance(exact + off, share) for share in (LOW, HIGH))
    where, worst = found.worst(exact + off)
    assert abs(worst) == max(abs(low), abs(high))
    assert worst == {"low trim": low, "high trim": high}[where]


@given(
    st.sampled_from([SINGLE, DOUBLE]),
    st.fractions(60, 900, max_denominator=8),
    MASSES,
    MASSES,
    st.one_of(st.none(), LINES),
)
def test_more_on_the_batten_asks_for_as_much_more_on_the_arbor_times_the_purchase(
    kind: LineSetKind, pipe: F, load: F, more: F, lines: LiftLines | None
) -> None:
    before, after = balance(kind, pipe, load, lines), balance(kind, pipe, load + more, lines)
    assert after.needed_kg - before.needed_kg == more * (1 if kind is SINGLE else 2)
    assert after.out_of_balance(before.needed_kg) == more  # what was in balance is batten-heavy by what was added
    assert leaning(after.out_of_balance(before.needed_kg)) == (BATTEN_HEAVY if more else IN_BALANCE)


@given(st.sampled_from([SINGLE, DOUBLE]), st.fractions(60, 900, max_denominator=8), MASSES, LINES)
def test_pipe_and_load_count_alike_and_a_brick_more_makes_it_arbor_heavy(
    kind: LineSetKind, pipe: F, load: F, lines: LiftLines
) -> None:
    found = balance(kind, pipe, load, lines)
    if load:
        assert balance(kind, load, pipe, lines) == found
    assert leaning(found.out_of_balance(found.needed_kg + 1)) == ARBOR_HEAVY
    assert leaning(found.out_of_balance(found.needed_kg - 1)) == BATTEN_HEAVY


def test_lines_that_outweigh_everything_on_the_arbor_side_are_refused_and_give_no_number() -> None:
    long = LiftLines(12, F(1), F(1000), F(0), F(20000))
    with pytest.raises(BadValue) as refused:
        balance(SINGLE, F(1), F(0), long)
    assert refused.value.field == "arbor_side_mm"
    assert balance(SINGLE, F(500), F(0), long).needed_kg > 0


@published(
    "Counterweight", "Worked by hand from the 2 : 1 of trade descriptions", "sum of weights", "worked",
    names="kind, load, needed, low, high",
    rows=[
        # 6 lines of 0.11 lb/ft; loft block to batten at high trim 5 ft, head block to arbor when up 6 ft, travel 55 ft.
        # Pipe 170 lb. Line at mid-travel, single: .66 x ((5 + 27.5) - (6 + 27.5)) = -.66 lb; 2 x .66 x 27.5 = 36.3.
        ("single_purchase", "250", "419.34", "36.3", "-36.3"),
        ("single_purchase", "0", "169.34", "36.3", "-36.3"),
        # Double, arbor travel 27.5 ft: .66 x ((5 + 27.5) - (6 + 13.75)) = 8.415 lb; ends .66 x (27.5 + 13.75) = 27.225.
        ("double_purchase", "250", "856.83", "27.225", "-27.225"),
        ("double_purchase", "0", "356.83", "27.225", "-27.225"),
    ],
    what="{kind}, 170 lb of pipe and {load} lb", value="arbor {needed} lb; {low} lb at low, {high} lb at high trim",
)  # fmt: skip
def test_sets_worked_by_hand_with_their_lines(kind: str, load: str, needed: str, low: str, high: str) -> None:
    """In pint's units, so that neither a conversion nor a factor of the program is relied on."""

    def kg(pounds: str) -> F:
        return UNIT.Quantity(F(pounds), "pound").to("kilogram").magnitude

    def mm(feet: str) -> F:
        return UNIT.Quantity(F(feet), "foot").to("millimeter").magnitude

    per_m = UNIT.Quantity(F("0.11"), "pound / foot").to("kilogram / meter").magnitude
    found = balance(LineSetKind(kind), kg("170"), kg(load), LiftLines(6, per_m, mm("55"), mm("5"), mm("6")))
    assert found.needed_kg == kg(needed)
    assert [found.out_of_balance(found.needed_kg, share) for share in (LOW, MIDDLE, HIGH)] == [kg(low), 0, kg(high)]
    assert found.arbor_travel_mm == mm("55" if kind == "single_purchase" else "27.5")


@given(MASSES, MASSES, st.fractions(F(1, 4), 5, max_denominator=50))
def test_another_unit_of_mass_scales_the_answer(pipe: F, load: F, unit: F) -> None:
    one, other = balance(SINGLE, pipe + 1, load), balance(SINGLE, (pipe + 1) * unit, load * unit)
    assert other.needed_kg == one.needed_kg * unit


KINDS = st.lists(
    st.builds(Brick, st.just("b"), st.fractions(2, 20, max_denominator=3), st.just(F(25)), st.integers(0, 6)),
    min_size=1,
    max_size=3,
)


@settings(max_examples=60)
@given(st.fractions(0, 150, max_denominator=4), KINDS)
def test_next_stacks_are_those_of_trying_all_with_as_many_of_the_heaviest_as_go_or_one_more(
    asked: F, kinds: list[Brick]
) -> None:
    below, above = nearest_stacks(asked, kinds)
    heaviest = max(range(len(kinds)), key=lambda index: (kinds[index].kg, -index))
    at_hand = kinds[heaviest].at_hand or 0
    most = min(int(asked / kinds[heaviest].kg), at_hand)
    all_kg = [
        sum((b.kg * n for b, n in zip(kinds, counts, strict=True)), F(0))
        for counts in product(*(range((b.at_hand or 0) + 1) for b in kinds))
        if counts[heaviest] in (most, most + 1)
    ]
    assert (below.kg if below else None) == max((kg for kg in all_kg if kg <= asked), default=None)
    assert (above.kg if above else None) == min((kg for kg in all_kg if kg >= asked), default=None)
    for stack in (below, above):
        if stack:
            assert stack == stack_of(kinds, stack.counts, asked)
            assert stack.over_kg == stack.kg - asked


@pytest.mark.parametrize("order", [0, 1])
def test_nobody_is_sent_for_two_dozen_half_bricks_to_come_half_a_pound_nearer(order: int) -> None:
    """24 halves of 12.4 are 297.6, nearer to 300 than 12 wholes of 24.6 (295.2): still the wholes are loaded."""
    kinds = [Brick("whole", F("24.6"), F(25)), Brick("half", F("12.4"), F(13))]
    if order:
        kinds.reverse()
    below, above = nearest_stacks(F(300), kinds)
    assert below is not None
    assert above is not None
    assert dict(zip((kind.name for kind in kinds), below.counts, strict=True)) == {"whole": 12, "half": 0}
    assert dict(zip((kind.name for kind in kinds), above.counts, strict=True)) == {"whole": 12, "half": 1}


def test_a_thin_trim_weight_for_the_rest_is_no_slip_however_many_would_make_the_whole() -> None:
    below, _ = nearest_stacks(F(995), [Brick("whole", F(20), F(25)), Brick("trim", F(1), F(3))])
    assert below is not None
    assert below.counts == (49, 15)


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
    assert fit(tall, rule, F(1268), F(30)).spare_mm == -30  # collars need room on the rods as well
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
        (lambda: fit(stack_of([brick], [1]), None, None, F(-1)), "collar_mm"),
        (lambda: against_posted("arbor", F(1), F(0)), "capacity_kg"),
        (lambda: against_lock(F(1), F(0)), "lock_kg"),
        (lambda: against_lock(1.5, None), "out_of_balance_kg"),  # type: ignore[arg-type]
        (lambda: against_lock(Decimal("NaN"), None), "out_of_balance_kg"),
    ):
        with pytest.raises(BadValue) as refused:
            call()
        assert refused.value.field == field, field
