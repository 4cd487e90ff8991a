import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inspect_app.config import shared_dir
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import House
from inspect_app.domain.line_names import (
    PRESET_TITLES,
    check_names,
    counted_names,
    line_name,
    line_words,
    names_for,
    ordinal,
    preset_names,
)
from inspect_app.store.reference import reference_at

HOUSE = House("h", "A house")


def mirrored(name: str) -> str:
    """Short for long and long for short, the halves of a double name turned round."""
    swap = {"short": "long", "long": "short"}
    return "-".join(reversed([" ".join(swap.get(word, word) for word in half.split()) for half in name.split("-")]))


# The trade's own words for these counts (common practice, no source), as in the project's glossary of names.
@pytest.mark.parametrize(
    ("count", "names"),
    [
        (1, ("single",)),
        (2, ("short", "long")),
        (3, ("short", "mid", "long")),
        (6, ("short-short", "short-mid", "mid", "mid-long", "long", "long-long")),
    ],
)
def test_the_usual_preset_uses_the_words_of_the_trade(count: int, names: tuple[str, ...]) -> None:
    assert preset_names("mid", count) == names


def test_the_names_for_any_count_have_a_middle_for_odd_counts_only() -> None:
    assert counted_names(6, "center") == ("short", "short 2", "short 3", "long 3", "long 2", "long")
    assert counted_names(7, "center") == ("short", "short 2", "short 3", "center", "long 3", "long 2", "long")


@pytest.mark.parametrize("preset", PRESET_TITLES)
@pytest.mark.parametrize("count", range(1, 13))
def test_presets_agree_with_the_reference_data(preset: str, count: int) -> None:
    words = reference_at(shared_dir()).words
    assert words.presets[preset].names[count] == preset_names(preset, count)


@given(st.sampled_from(list(PRESET_TITLES)), st.integers(1, 40))
def test_names_are_as_many_as_lines_and_all_different(preset: str, count: int) -> None:
    names = preset_names(preset, count)
    assert len(names) == count
    assert len({name.casefold() for name in names}) == count


@given(st.sampled_from(["mid", "center", "centre"]), st.integers(1, 40))
def test_names_read_the_same_from_either_end_with_short_and_long_swapped(preset: str, count: int) -> None:
    # The usual six are not symmetric (short-mid stands against long) and are kept as the trade says them.
    assume((preset, count) != ("mid", 6))
    names = preset_names(preset, count)
    assert tuple(mirrored(name) for name in reversed(names)) == names


@given(st.integers(1, 40))
def test_counted_names_are_symmetric(count: int) -> None:
    names = counted_names(count, "mid")
    assert tuple(mirrored(name) for name in reversed(names)) == names


def test_a_houses_own_names_come_first() -> None:
    own = House("h", "A house", line_names={4: ("a", "b", "c", "d")}, settings={"line_names": "numbered"})
    assert names_for(own, 4) == ("a", "b", "c", "d")
    assert names_for(own, 3) == ("line 1", "line 2", "line 3")


def test_own_names_of_another_count_are_not_used() -> None:
    own = House("h", "A house", line_names={4: ("a", "b", "c")})
    assert names_for(own, 4) == preset_names("mid", 4)


def test_the_ordinal_always_stands_beside_the_name() -> None:
    assert line_words(HOUSE, 6, 2) == "short-mid (line 2 of 6)"
    assert ordinal(2, 6) in line_words(HOUSE, 6, 2)
    assert line_words(House("h", "x", settings={"line_names": "numbered"}), 6, 2) == "line 2 of 6"


def test_a_line_beyond_the_count_goes_by_its_number() -> None:
    assert line_name(HOUSE, 3, 5) == "line 5"
    assert line_name(HOUSE, 3, None) == ""


@pytest.mark.parametrize(
    "names", [("a", "b"), ("a", "A", "c"), ("a", "", "c"), ("a", "b", "x" * 25), ("a", "b", "c", "d")]
)
def test_own_names_must_be_as_many_different_and_short(names: tuple[str, ...]) -> None:
    with pytest.raises(BadValue) as caught:
        check_names(3, names)
    assert caught.value.field == "lines_3"


def test_an_unknown_preset_names_the_known_ones() -> None:
    with pytest.raises(BadValue, match="mid"):
        preset_names("nope", 3)
