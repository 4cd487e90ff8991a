"""Labels lie inside their paper and apart, whatever their size; a wrong size is refused with the field to mend."""

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.label_sheet import PAPERS_MM, SIZES, Label, LabelSize, check_size, lay_out, size_words, spots


@pytest.mark.parametrize("key", SIZES)
def test_each_size_of_the_list_fits_its_paper(key: str) -> None:
    assert check_size(SIZES[key]) is SIZES[key]


@given(
    paper=st.sampled_from(sorted(PAPERS_MM)),
    numbers=st.tuples(*[st.floats(0, 320, allow_nan=False)] * 6),
    across=st.integers(0, 12),
    down=st.integers(0, 30),
    used=st.integers(0, 400),
    count=st.integers(0, 200),
)
@settings(max_examples=60)
def test_what_is_not_refused_lies_inside_and_apart(paper, numbers, across, down, used, count) -> None:
    size = LabelSize(paper, numbers[0], numbers[1], across, down, *numbers[2:])
    try:
        check_size(size)
        found = list(spots(size, count, used))
    except BadValue as error:
        refused = error
    else:
        refused = None
    if refused is not None:
        assert refused.field in {"paper", "across", "width", "step_x", "left", "used", "sets"}
        return
    assert len(found) == count
    width, height = PAPERS_MM[paper]
    for one in found:
        assert one.x >= 0
        assert one.y >= 0
        assert one.x + size.width <= width + 0.1
        assert one.y + size.height <= height + 0.1
    for first, second in pairwise(found):
        beside = abs(first.x - second.x) >= size.width - 1e-9
        below = abs(first.y - second.y) >= size.height - 1e-9
        assert first.sheet != second.sheet or beside or below


def test_labels_that_are_gone_are_left_out_and_the_next_sheet_is_full() -> None:
    size = SIZES["letter-4x2"]
    sheets = lay_out([Label(f"LB {n}", "", "a") for n in range(12)], size, used=9)
    assert [len(sheet) for sheet in sheets] == [1, 10, 1]
    assert (sheets[0][0].x, sheets[0][0].y) == (pytest.approx((0.15625 + 4.1875) * 25.4), pytest.approx(8.5 * 25.4))


def test_sizes_are_called_by_their_dimensions_alone() -> None:
    assert size_words(SIZES["letter-2.6x1"]) == "2.625 × 1 in, 3 × 10 on Letter"
