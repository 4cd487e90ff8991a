"""How worksheets write figures: both systems, rounded for the eye only, and every limit with its source."""

from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.length import parse_length
from inspect_app.domain.source import MARK_WORDS
from inspect_app.domain.units import MM_PER_INCH, UNITS
from inspect_app.domain.worksheet import Reference
from inspect_app.domain.worksheets.words import (
    EVERYWHERE,
    force_words,
    length_words,
    limits_shown,
    line_mass_words,
    mass_words,
    rounded,
    torque_words,
    verdict_outcomes,
)
from inspect_app.store.reference import reference_at

SHARED = Path(__file__).parents[3] / "shared"


@pytest.mark.parametrize(
    ("value", "words"),
    [
        (Fraction(0), "0"), (Fraction(1, 3), "0.3333"), (Fraction(2, 3), "0.6667"), (Fraction(12345), "12345"),
        (Fraction("282.8427"), "282.8"), (Fraction("-0.00005"), "-0.00005"), (Fraction("9.99996"), "10"),
    ],
)  # fmt: skip
def test_a_figure_is_rounded_to_four_and_keeps_its_whole_digits(value: Fraction, words: str) -> None:
    assert rounded(value) == words


@given(st.fractions(-(10**7), 10**7))
def test_a_rounded_figure_is_off_by_half_its_last_place_at_most(value: Fraction) -> None:
    shown = Fraction(Decimal(rounded(value)))
    assert abs(shown - value) <= max(abs(value) / 2000, Fraction(1, 2) if abs(value) >= 1000 else 0)


def test_both_systems_are_written_and_the_house_comes_first() -> None:
    assert length_words(Fraction("6.35"), "imperial") == "0.25 in (6.35 mm)"
    assert length_words(Fraction("3048"), "metric") == "3048 mm (10'-0\")"
    assert force_words(Fraction("4.4482216152605"), "imperial") == "1 lbf (4.448 N)"
    assert force_words(Fraction(12000), "metric") == "12 kN (2698 lbf)"
    assert mass_words(Fraction("0.45359237"), "imperial") == "1 lb (0.4536 kg)"


def test_a_length_between_sixteenths_is_never_written_as_the_sixteenth_beside_it() -> None:
    """38.99 in is short of a rail of 39 in, and must not read 3'-3"."""
    assert length_words(Fraction("38.99") * MM_PER_INCH, "imperial") == "3'-2.99\" (990.3 mm)"
    assert length_words(39 * MM_PER_INCH, "imperial") == "3'-3\" (990.6 mm)"
    assert length_words(Fraction(39.0625 * 25.4), "imperial") == "3'-3 1/16\" (992.2 mm)"
    assert length_words(-Fraction("38.5") * MM_PER_INCH, "imperial").startswith("-3'-2 1/2\"")


@given(st.fractions(305, 10**5))
def test_feet_and_inches_are_off_by_half_a_hundredth_of_an_inch_at_most(mm: Fraction) -> None:
    written = length_words(mm, "imperial").split(" (")[0]
    assert abs(parse_length(written) - mm) <= MM_PER_INCH / 200


def test_a_rope_and_a_wrench_are_written_in_both_systems() -> None:
    assert line_mass_words(Fraction("0.16"), "metric") == "0.16 kg/m (10.75 lb per 100 ft)"
    assert torque_words(15 * UNITS["lbf_ft"].factor, "imperial") == "15 lbf·ft (20.34 N·m)"


def test_every_limit_of_every_criterion_is_shown_with_document_and_mark() -> None:
    """Under all laws at once, each active row of the data comes out once, cited with how its text was read."""
    reference = Reference(reference_at(SHARED).criteria)
    for criterion in reference.criteria.values():
        if criterion.is_condition:
            continue
        for limit in (limits := limits_shown(criterion, {}, EVERYWHERE)):
            outcomes = verdict_outcomes(criterion, 0, limit.unit, None, limits)
            assert len(outcomes) == len(limits) + 1
            for outcome in outcomes[1:]:
                assert any(mark in outcome.citation for mark in MARK_WORDS.values())
            break
