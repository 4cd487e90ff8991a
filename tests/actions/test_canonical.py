"""Canonical JSON is the same, byte for byte, as the library that RFC 8785 is read by makes it; or the same refusal."""

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_app.actions.canonical import canonical_json

VALUES = st.recursive(
    st.none() | st.booleans() | st.integers(-(2**54), 2**54) | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=3), inner, max_size=4),
    max_leaves=12,
)


def expected(data: object) -> bytes | None:
    try:
        return bytes(rfc8785.dumps(data))
    except (rfc8785.CanonicalizationError, UnicodeError):
        return None


def answered(data: object) -> bytes | None:
    try:
        return canonical_json(data)
    except (rfc8785.CanonicalizationError, UnicodeError):
        return None


@given(VALUES)
@settings(max_examples=60)
def test_any_data_have_the_form_that_the_library_gives_them(data: object) -> None:
    assert answered(data) == expected(data)


@pytest.mark.parametrize(
    "data",
    [
        {"\U0001f600": 1, "\ufb33": 2, "\u20ac": 3},  # sorted by UTF-16 units: not as Python sorts
        {"number": 333333333.33333329, "small": 1e-7, "whole": 4.0, "zero": -0.0},
        {"control": '\x00\x0f\x1f\x7f\u2028\\"/\b\f\n\r\t'},
        {1: "a name that is no text"},
        [2**53 - 1, -(2**53) + 1],
        [2**53],
        ("a", ("b",)),
        "\ud800",
        float("nan"),
    ],
    ids=["order", "numbers", "control", "names", "whole", "too large", "tuples", "lone", "nan"],
)
def test_what_python_writes_in_another_way_is_left_to_the_library(data: object) -> None:
    assert answered(data) == expected(data)
