"""Typed names: which are the same person, and which may be."""

import unicodedata

import pytest

from inspect_app.domain.person import may_be, same_person

NAME = "José Núñez-O’Hara"


@pytest.mark.parametrize(
    "typed",
    [
        NAME, f"  {NAME} ", NAME.upper(), unicodedata.normalize("NFD", NAME), "jose  nunez-o'hara",
        "Núñez O’Hara, José.", "Jose\u00a0Nunez O'Hara", "Jo\u200bsé Núñez-O’Hara",
    ],
)  # fmt: skip
def test_a_name_is_the_same_however_it_is_typed(typed: str) -> None:
    assert same_person(NAME, typed)
    assert may_be(NAME, typed)


@pytest.mark.parametrize(
    "typed",
    ["José", "jose nunez", "José Núñez-O’Hara and Bo Ek", "J. Núñez-O’Hara", "José N.", "Bo Ek, J. Núñez-O’Hara"],
)
def test_a_part_of_a_name_or_a_name_beside_others_may_be_the_same_person(typed: str) -> None:
    assert not same_person(NAME, typed)
    assert may_be(NAME, typed)
    assert may_be(typed, NAME)


@pytest.mark.parametrize(
    "typed", ["", "  ", "...", "Josef Núñez-O’Hara", "Bo Ek", "José of Harbour Rigging", "J. N.", "B. Núñez", "J. Ek"]
)
def test_another_name_or_none_is_nobody(typed: str) -> None:
    assert not same_person(NAME, typed)
    assert not may_be(NAME, typed)
    assert not may_be("", typed)


@pytest.mark.parametrize(("one", "other"), [("राम", "मीरा"), ("রাম", "রুমা"), ("ராம்", "மீரா"), ("นิด", "นุด")])
def test_vowels_that_are_written_as_signs_tell_people_apart(one: str, other: str) -> None:
    assert same_person(one, unicodedata.normalize("NFD", one))
    assert same_person(one, one + "\ufe0f")
    assert may_be(one, f"{other}, {one}")
    assert not may_be(one, other)
