import itertools
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.generator import count_by_kind, generate
from inspect_app.domain.house import AreaKind, House, Inventory, LineSetKind, Side
from inspect_app.domain.house_answers import Answers
from inspect_app.domain.line_set import wells_of_lines
from inspect_app.domain.part import Part, PartKind

HOUSE = House("house", "A house")
SIX = (-7500, -4500, -1500, 1500, 4500, 7500)
USUAL = Answers(40, 203, 600, 6, SIX, grid_mm=18_000, bridge_mm=15_000)


def made(answers: Answers) -> Inventory:
    counter = itertools.count()
    return generate(HOUSE, answers, lambda: f"id-{next(counter)}")


def by_tag(inventory: Inventory) -> dict[str, Part]:
    return {part.tag: part for part in inventory.parts}


def test_forty_sets_of_six_lines_give_every_block_and_line() -> None:
    counts = count_by_kind(made(USUAL).parts)
    assert counts[PartKind.HEAD_BLOCK] == 40
    assert counts[PartKind.LOFT_BLOCK] == 240
    assert counts[PartKind.LIFT_LINE] == 240
    for kind in (PartKind.TERMINATION_ARBOR, PartKind.TERMINATION_BATTEN, PartKind.TRIM):
        assert counts[kind] == 240
    for kind in (PartKind.ARBOR, PartKind.ROPE_LOCK, PartKind.HAND_LINE, PartKind.SET_TRAVEL, PartKind.BATTEN):
        assert counts[kind] == 40


# Seven wells for seven-line sets: 48 x 7 = 336 loft blocks, as computed for a 63-ft batten in trade literature.
def test_forty_eight_sets_of_seven_lines_give_336_loft_blocks() -> None:
    answers = replace(USUAL, sets=48, lines=7, well_x_mm=tuple(range(-9000, 9001, 3000)))
    assert count_by_kind(made(answers).parts)[PartKind.LOFT_BLOCK] == 336


def test_tags_follow_set_and_line_and_none_comes_twice() -> None:
    inventory = made(USUAL)
    tags = by_tag(inventory)
    assert len(tags) == len(inventory.parts)
    wanted = ("HB 12", "LB 12-3", "LL 12-3", "TA 12-3", "TB 12-3", "TR 12-3", "BT 12", "AR 12", "W 3", "GD 2-1")
    assert all(tag in tags for tag in wanted)


def test_line_one_is_nearest_the_head_block_on_either_side() -> None:
    inventory = made(replace(USUAL, head_sides={2: Side.LEFT}))
    tags = by_tag(inventory)
    for number in ("1", "2"):
        head = tags[f"HB {number}"].x_mm or 0
        distances = [abs((tags[f"LB {number}-{line}"].x_mm or 0) - head) for line in range(1, 7)]
        assert distances == sorted(distances)
    assert (tags["HB 1"].x_mm or 0) < 0 < (tags["HB 2"].x_mm or 0)


def test_wells_are_numbered_from_the_usual_head_side() -> None:
    right, left = by_tag(made(USUAL)), by_tag(made(replace(USUAL, head_side=Side.LEFT)))
    assert right["W 1"].x_mm == -7500
    assert left["W 1"].x_mm == 7500
    assert right["LB 5-1"].well == right["W 1"].id
    assert left["LB 5-1"].well == left["W 1"].id


def test_a_set_with_its_head_on_the_other_side_shares_the_same_wells() -> None:
    tags = by_tag(made(replace(USUAL, head_sides={7: Side.LEFT})))
    assert tags["LB 7-1"].well == tags["W 6"].id
    assert tags["LB 7-6"].well == tags["W 1"].id


def test_sets_stand_at_their_distance_from_the_datum() -> None:
    inventory = made(USUAL)
    assert [line_set.y_mm for line_set in inventory.line_sets[:3]] == [600, 803, 1006]
    assert by_tag(inventory)["LB 3-2"].y_mm == 1006


KINDS = {
    LineSetKind.SINGLE: ({PartKind.ARBOR, PartKind.ROPE_LOCK, PartKind.SET_TRAVEL}, {PartKind.HOIST, PartKind.HANGER}),
    LineSetKind.DOUBLE: ({PartKind.DOUBLE_PURCHASE, PartKind.ARBOR}, {PartKind.HOIST}),
    LineSetKind.MOTOR: (
        {PartKind.HOIST, PartKind.DRUM, PartKind.BRAKE, PartKind.LIMIT_SWITCH, PartKind.CONTROL},
        {PartKind.ARBOR, PartKind.ROPE_LOCK, PartKind.TERMINATION_ARBOR, PartKind.SET_TRAVEL},
    ),
    LineSetKind.ROPE: ({PartKind.ROPE_SET, PartKind.LOFT_BLOCK}, {PartKind.ARBOR, PartKind.ROPE_LOCK}),
    LineSetKind.DEAD: ({PartKind.HANGER, PartKind.BATTEN}, {PartKind.LOFT_BLOCK, PartKind.HEAD_BLOCK, PartKind.ARBOR}),
}


@pytest.mark.parametrize("kind", LineSetKind)
def test_a_set_has_the_parts_of_its_kind(kind: LineSetKind) -> None:
    inventory = made(replace(USUAL, kinds={4: kind}))
    kinds = {part.kind for part in inventory.parts if part.line_set == inventory.line_sets[3].id}
    has, has_not = KINDS[kind]
    assert has <= kinds
    assert not has_not & kinds


def test_a_pin_rail_comes_with_rope_sets_only() -> None:
    assert PartKind.PIN_RAIL not in count_by_kind(made(USUAL).parts)
    assert count_by_kind(made(replace(USUAL, kinds={4: LineSetKind.ROPE})).parts)[PartKind.PIN_RAIL] == 1


def test_wire_rope_attributes_stay_off_the_ropes_of_a_rope_set() -> None:
    attributes = {PartKind.LIFT_LINE: {"rope_diameter_mm": "6.35"}}
    inventory = made(replace(USUAL, kinds={4: LineSetKind.ROPE}, attributes=attributes))
    tags = by_tag(inventory)
    assert inventory.lives[tags["LL 3-1"].id].attributes == {"rope_diameter_mm": "6.35"}
    assert inventory.lives[tags["LL 4-1"].id].attributes == {}


def test_the_deck_is_made_as_bays_between_wells_in_sections_of_some_ten_sets() -> None:
    inventory = made(USUAL)
    bays = [part for part in inventory.parts if part.kind is PartKind.GRID_DECK]
    assert len(bays) == 7 * 4  # six wells part the deck into seven strips; forty sets are four sections
    covered = inventory.lives[by_tag(inventory)["GD 2-1"].id].attributes
    assert covered["covers"] == "between wells 1 and 2, sets 1 to 10"
    assert covered["deck_kind"] == "channels"


def test_a_house_without_a_walking_grid_has_neither_bays_nor_wells() -> None:
    inventory = made(replace(USUAL, deck="none"))
    counts = count_by_kind(inventory.parts)
    assert PartKind.GRID_DECK not in counts
    assert PartKind.WELL not in counts
    assert by_tag(inventory)["LB 1-1"].x_mm == -7500


def test_each_gallery_is_its_own_area_with_its_rail() -> None:
    inventory = made(replace(USUAL, galleries=((Side.RIGHT, 8000), (Side.LEFT, 8000), (Side.RIGHT, 12_000))))
    galleries = [area for area in inventory.areas if area.kind is AreaKind.GALLERY]
    assert [area.z_mm for area in galleries] == [8000, 8000, 12_000]
    rails = [part.area for part in inventory.parts if part.tag.startswith("GR G")]
    assert rails == [area.id for area in galleries]


def test_every_part_has_one_life_and_an_area_of_the_house() -> None:
    inventory = made(replace(USUAL, kinds={n: kind for n, kind in enumerate(LineSetKind, start=1)}))
    areas = {area.id for area in inventory.areas}
    sets = {line_set.id for line_set in inventory.line_sets}
    assert set(inventory.lives) == {part.id for part in inventory.parts}
    for part in inventory.parts:
        assert part.area in areas
        assert part.line_set is None or part.line_set in sets
        assert inventory.lives[part.id].part == part.id


@given(
    sets=st.integers(1, 60),
    lines=st.integers(1, 12),
    head=st.sampled_from(Side),
    kinds=st.dictionaries(st.integers(1, 60), st.sampled_from(LineSetKind), max_size=10),
    others=st.sets(st.integers(1, 60), max_size=10),
    deck=st.sampled_from(["channels", "none", "timber"]),
    bridge=st.sampled_from([None, 12_000]),
)
def test_any_house_is_made_whole(
    sets: int, lines: int, head: Side, kinds: dict[int, LineSetKind], others: set[int], deck: str, bridge: int | None
) -> None:
    other = Side.LEFT if head is Side.RIGHT else Side.RIGHT
    answers = Answers(
        *(sets, 200, 300, lines, tuple(range(0, lines * 3000, 3000)), head),
        {n: kind for n, kind in kinds.items() if n <= sets},
        {n: other for n in others if n <= sets},
        grid_mm=15_000,
        bridge_mm=bridge,
        deck=deck,
    )
    inventory = made(answers)
    tags = [part.tag for part in inventory.parts]
    ids = [part.id for part in inventory.parts] + [life.id for life in inventory.lives.values()]
    assert len(set(tags)) == len(tags)
    assert len(set(ids)) == len(ids)
    flown = Counter(part.line_set for part in inventory.parts if part.kind is PartKind.LOFT_BLOCK)
    for line_set in inventory.line_sets:
        assert flown[line_set.id] == (0 if line_set.kind is LineSetKind.DEAD else lines)


@given(st.integers(0, 12), st.integers(1, 12), st.sampled_from(Side))
def test_lines_take_different_wells_in_order_and_symmetric(lines: int, wells: int, side: Side) -> None:
    if lines > wells:
        with pytest.raises(BadValue):
            wells_of_lines(lines, wells, side)
        return
    chosen = wells_of_lines(lines, wells, side)
    assert len(set(chosen)) == lines
    assert list(chosen) == sorted(chosen, reverse=side is Side.LEFT)
    if lines % 2 == 0 or wells % 2 == 1:
        assert [wells - 1 - well for well in reversed(chosen)] == list(chosen)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"sets": 0}, "sets"),
        ({"sets": 151}, "sets"),
        ({"spacing_mm": 8}, "spacing"),
        ({"grid_mm": 0}, "grid_height"),
        ({"bridge_mm": 19_000}, "bridge_height"),
        ({"galleries": ((Side.LEFT, 20_000),)}, "galleries"),
        ({"well_x_mm": (0, 0, 1, 2, 3, 4)}, "wells"),
        ({"well_x_mm": (0, 1000)}, "wells"),
        ({"line_counts": {3: 7}}, "wells"),
        ({"electrics": frozenset({41})}, "electrics"),
    ],
)
def test_answers_that_cannot_be_are_named_by_field(change: dict[str, object], field: str) -> None:
    with pytest.raises(BadValue) as caught:
        made(replace(USUAL, **change))  # type: ignore[arg-type]
    assert caught.value.field == field


# Forty sets at 8 in from 2 ft: the last stands 24 in + 39 x 8 in = 336 in upstage; 1 in = 25.4 mm (NIST SP 811).
def test_spacing_is_exact_so_that_rounding_does_not_add_up() -> None:
    inventory = made(replace(USUAL, spacing_mm=Fraction("203.2"), first_mm=Fraction("609.6")))
    assert inventory.line_sets[-1].y_mm == round(336 * Fraction("25.4"))
