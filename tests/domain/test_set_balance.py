"""A set's record as the beginning of its counterweight: nothing guessed, nothing rounded, no brick taken for pipe."""

from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app import clock
from inspect_app.domain.house import House, LineSet, LineSetKind
from inspect_app.domain.mass import parse_mass
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.set_balance import balance_begin, bare_batten_words
from inspect_app.domain.set_load import SetRecord, load_begin, typed_mass
from inspect_app.domain.worksheets.all_worksheets import begun_with, sheets_about

PIPE, ARBOR, BRICKS = PartKind.BATTEN, PartKind.ARBOR, PartKind.COUNTERWEIGHTS
WEIGHED = ((PIPE, {"own_mass_kg": "80"}), (ARBOR, {"own_mass_kg": "45"}), (BRICKS, {"pipe_weight_kg": "30"}))


def record(
    *had: tuple[PartKind, dict[str, str]], kind: LineSetKind = LineSetKind.SINGLE, units: str = "metric"
) -> SetRecord:
    house = House(clock.new_id(), "House", units=units)
    line_set = LineSet(clock.new_id(), house.id, "1", 0, kind, 0, lines=2)
    parts = tuple(
        Part(clock.new_id(), house.id, "area", part_kind, part_kind.value, line_set.id) for part_kind, _ in had
    )
    lives = {part.id: Life(clock.new_id(), part.id, attributes=has) for part, (_, has) in zip(parts, had, strict=True)}
    return SetRecord(house, line_set, parts, lives)


@pytest.mark.parametrize("kind", [LineSetKind.SINGLE, LineSetKind.DOUBLE])
def test_bricks_that_balance_the_bare_batten_are_never_taken_for_the_weight_of_the_pipe(kind: LineSetKind) -> None:
    """They balance it together with the arbor itself, and in double purchase they balance twice its weight."""
    held = record((PIPE, {"length_mm": "15000"}), (BRICKS, {"pipe_weight_kg": "110"}), kind=kind)
    begin = balance_begin(held)
    assert "pipe" not in begin.typed
    assert "own" not in load_begin(held).typed
    assert any(text.startswith("Pipe weight with what stays on it: not recorded") for text in begin.lacking)
    assert bare_batten_words(held) == ""


@pytest.mark.parametrize(
    ("kind", "plate", "said"),
    [
        # 80 against 45 + 30: 5 kg; double: 80 against 75 / 2: 42.5 kg at the batten, 85 kg at the hand line
        (LineSetKind.SINGLE, None, "5 kg batten-heavy, lift lines not counted; no figure: balance the set"),
        (LineSetKind.SINGLE, "5", "5 kg batten-heavy, lift lines not counted; balance the set"),
        (LineSetKind.SINGLE, "4.9", "batten-heavy, lift lines not counted; outside the cited criterion: take out of"),
        (LineSetKind.DOUBLE, "85", "42.5 kg batten-heavy, lift lines not counted; balance the set"),
        (LineSetKind.DOUBLE, "84", "42.5 kg batten-heavy, lift lines not counted; outside the cited criterion"),
    ],
)  # fmt: skip
def test_the_bare_batten_is_said_with_its_sign_and_set_against_the_lock(
    kind: LineSetKind, plate: str | None, said: str
) -> None:
    locks = [(PartKind.ROPE_LOCK, {"imbalance_kg": plate})] if plate else []
    words = bare_batten_words(record(*WEIGHED, *locks, kind=kind))
    assert said in words
    assert "balance the set (" in words


def test_a_bare_batten_in_balance_or_not_recorded_whole_says_no_more_than_that() -> None:
    even = (*WEIGHED[:2], (BRICKS, {"pipe_weight_kg": "35"}))
    assert bare_batten_words(record(*even)).startswith("in balance, lift lines not counted (80 kg (176.4 lb) of arbor")
    heavy = (*WEIGHED[:2], (BRICKS, {"pipe_weight_kg": "36"}))
    assert "1 kg arbor-heavy" in bare_batten_words(record(*heavy))
    for missing in range(3):
        assert bare_batten_words(record(*(row for at, row in enumerate(WEIGHED) if at != missing))) == ""
    assert bare_batten_words(record(*WEIGHED, WEIGHED[1])) == ""  # two arbors: which one is not guessed
    assert bare_batten_words(record(*WEIGHED, kind=LineSetKind.MOTOR)) == ""


@pytest.mark.parametrize(
    ("masses", "typed", "said"),
    [
        (("0.16 kg/m", "0.16 kg/m"), "0.16 kg/m", None),
        (("0.16 kg/m", "0.2 kg/m"), None, "not the same for every line"),
        (("", ""), None, "not recorded"),
        (("thin", "thin"), None, "recorded as “thin”"),
        ((), None, "not recorded"),
    ],
)
def test_the_rope_mass_begins_the_form_only_where_every_line_says_the_same_and_it_can_be_read(
    masses: tuple[str, ...], typed: str | None, said: str | None
) -> None:
    begin = balance_begin(record(*((PartKind.LIFT_LINE, {"rope_mass": mass}) for mass in masses)))
    assert begin.typed.get("rope_mass") == typed
    about = [text for text in begin.lacking if text.startswith("Mass of the rope")]
    assert [said in text for text in about] == ([True] if said else [])


@given(st.integers(1, 10**12), st.sampled_from(["imperial", "metric"]))
def test_a_mass_in_the_form_is_read_back_as_it_is_kept(nanograms: int, units: str) -> None:
    kg = F(nanograms, 10**9)
    typed = typed_mass(kg, units)
    assert abs(parse_mass(typed, "lb") - kg) < F(1, 10**6)
    if typed.endswith("kg"):
        assert parse_mass(typed, "lb") == kg


def test_a_rope_lock_begins_its_imbalance_sheet_with_its_own_plate() -> None:
    (sheet,) = sheets_about(PartKind.ROPE_LOCK)
    assert begun_with(sheet, {"imbalance_kg": "22.6796185", "hand_line_mm": "19.05"}, "imperial") == {"lock": "50 lb"}
    assert begun_with(sheet, {"imbalance_kg": "about fifty"}, "imperial") == {}


def test_what_was_typed_in_pounds_is_shown_in_pounds() -> None:
    assert typed_mass(F("11.158372302"), "imperial") == "24.6 lb"
    assert typed_mass(F(40), "imperial") == "40 kg"
    assert typed_mass(F("11.158372302"), "metric") == "11.158372302 kg"
