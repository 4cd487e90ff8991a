"""Gaps in what a device has sent, and the digest of ids."""

import hashlib
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.sequence import gap_words, ids_digest, sequence_gaps

NUMBERS = st.sets(st.integers(min_value=1, max_value=120))


@given(NUMBERS, st.integers(min_value=0, max_value=150))
def test_gaps_and_what_came_make_the_whole_without_overlap(seen: set[int], last: int) -> None:
    gaps = sequence_gaps(seen, last=last)
    missing = [number for low, high in gaps for number in range(low, high + 1)]
    assert len(missing) == len(set(missing))
    assert not set(missing) & seen
    assert set(missing) | seen == set(range(1, max([last, *seen]) + 1))
    assert all(low <= high for low, high in gaps)
    assert all(one[1] + 1 < other[0] for one, other in pairwise(gaps)), "runs are as long as can be"


def test_the_gap_of_the_example_in_words_is_found() -> None:
    assert sequence_gaps([*range(1, 41), *range(58, 61)]) == ((41, 57),)


def test_nothing_seen_and_nothing_counted_is_no_gap() -> None:
    assert sequence_gaps([]) == ()


def test_what_a_closing_counted_but_never_came_is_a_gap_at_the_end() -> None:
    assert sequence_gaps([1, 2], last=5) == ((3, 5),)


@given(st.lists(st.uuids().map(str), max_size=20), st.randoms())
def test_the_digest_does_not_turn_on_order_or_repeats(ids: list[str], random) -> None:  # type: ignore[no-untyped-def]
    shuffled = [one.upper() for one in ids] + ids
    random.shuffle(shuffled)
    assert ids_digest(shuffled) == ids_digest(ids)


def test_the_digest_is_sha256_over_sorted_lines() -> None:
    assert ids_digest(["b", "a"]) == hashlib.sha256(b"a\nb").hexdigest()


@pytest.mark.parametrize(
    ("gaps", "words"),
    [
        ((), ""),
        (((41, 41),), "entry 41 never came"),
        (((41, 57),), "entries 41 to 57 never came"),
        (((3, 3), (41, 57)), "entries 3 and 41 to 57 never came"),
        (((1, 2), (4, 4), (6, 9)), "entries 1 to 2, 4 and 6 to 9 never came"),
        (tuple((n, n) for n in range(1, 20, 2)), "entries 1, 3, 5, 7, 9, 11 and 4 more never came"),
    ],
)
def test_gaps_are_told_in_words(gaps: tuple[tuple[int, int], ...], words: str) -> None:
    assert gap_words(gaps) == words
