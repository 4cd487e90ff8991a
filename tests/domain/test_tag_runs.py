"""Short lists of tags: what is written reads back to exactly the parts that went in, and reads as people write."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.tag_runs import Place, runs_of

NUMBERS = st.builds(lambda n, letter: f"{n}{letter}", st.integers(0, 45), st.sampled_from(["", "", "", "A", "B"]))
ON_LINE = st.builds(
    lambda prefix, line_set, line: (f"{prefix} {line_set}-{line}", Place(line_set, line)),
    st.sampled_from(["LB", "LL", "TB"]),
    NUMBERS,
    st.integers(1, 8),
)
OTHER = st.builds(
    lambda prefix, rest: (f"{prefix} {rest}", None),
    st.sampled_from(["HB", "GD", "LR", "LB"]),
    NUMBERS
    | st.sampled_from(["HR", "R1", "R2", "R3", "R4", "BR"])
    | st.builds(lambda a, b: f"{a}-{b}", st.integers(1, 4), st.integers(1, 9)),
)


def one_by_one(text):
    """Reads `3`, `12A`, `1 to 4`, `R1 to R3`, `2-1 to 2-4` back to single numbers."""
    for piece in text.split(", "):
        first, _, last = piece.partition(" to ")
        if not last:
            yield first
            continue
        head, a = re.fullmatch(r"(.*?)(\d+)", first).groups()
        same, b = re.fullmatch(r"(.*?)(\d+)", last).groups()
        assert head == same
        yield from (f"{head}{n}" for n in range(int(a), int(b) + 1))


def read_back(text):
    """The parts a reader takes a short list to name, each as often as it is named."""
    named, prefix = [], ""
    for block in filter(None, text.split("; ")):
        letters = re.match(r"([A-Z]+) ", block)
        if letters:
            prefix, block = letters[1], block[letters.end() :]
        by_line = re.fullmatch(r"lines? (.+) of sets? (.+)", block)
        if by_line:
            named += [f"{prefix} {s}-{n}" for s in one_by_one(by_line[2]) for n in one_by_one(by_line[1])]
        else:
            named += [f"{prefix} {rest}" for rest in one_by_one(block)]
    return named


@given(st.lists(ON_LINE | OTHER, max_size=60))
def test_a_short_list_names_every_part_once_and_no_other(pairs) -> None:
    places = {tag: place for tag, place in pairs if place}
    named = read_back(runs_of([tag for tag, _ in pairs], places))
    assert sorted(named) == sorted({tag for tag, _ in pairs})


@given(st.sets(st.tuples(st.integers(1, 40), st.integers(1, 6)), max_size=240))
def test_lines_of_a_whole_house_read_back_exactly(found) -> None:
    places = {f"LB {s}-{n}": Place(str(s), n) for s, n in found}
    assert sorted(read_back(runs_of(places, places))) == sorted(places)


def on_lines(prefix, sets, lines):
    return {f"{prefix} {s}-{n}": Place(str(s), n) for s in sets for n in lines}


@pytest.mark.parametrize(
    ("tags", "places", "words"),
    [
        ([], {}, ""),
        (["HB 1", "HB 2"], {}, "HB 1, 2"),
        (["HB 3", "HB 1", "HB 2"], {}, "HB 1 to 3"),
        (["HB 11", "HB 12", "HB 12A", "HB 13"], {}, "HB 11, 12, 12A, 13"),  # a set 12A is never within a run
        (["HB 24", "HB 26", "HB 27", "HB 28"], {}, "HB 24, 26 to 28"),  # nor is a set that is not in the list
        (["LR R1", "LR R3", "LR R2", "W HR"], {}, "LR R1 to R3; W HR"),
        (["GD 3-1", "GD 3-2", "GD 3-3", "GD 4-1"], {}, "GD 3-1 to 3-3, 4-1"),  # bays are no lines of sets
        (["HB 08", "HB 09", "HB 10"], {}, "HB 08, 09, 10"),  # leading zeros are kept apart
        (["odd one, 3", "HB 1"], {}, "odd one, 3; HB 1"),
    ],
)
def test_numbers_run_only_where_nothing_is_left_out(tags, places, words) -> None:
    assert runs_of(tags, places) == words


def test_a_well_that_nobody_reached_reads_as_one_line_of_many_sets() -> None:
    places = on_lines("LB", [*range(1, 25), *range(26, 41)], [6])
    assert runs_of(places, places) == "LB line 6 of sets 1 to 24, 26 to 40"


def test_a_set_out_of_use_reads_as_its_lines() -> None:
    places = on_lines("TB", [31], range(1, 7))
    assert runs_of(places, places) == "TB 31-1 to 31-6"
