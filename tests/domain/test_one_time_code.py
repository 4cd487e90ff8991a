"""One-time codes as they are read out and typed."""

import contextlib
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue
from inspect_app.domain.one_time_code import PAIRING_LENGTH, SIGNS, code_text, read_code
from tests.published import published


@given(st.integers(0, 2**100 - 1))
def test_a_code_is_read_back_however_it_is_typed(number: int) -> None:
    code = code_text(number)
    assert read_code(code) == code
    assert read_code(code.lower().replace("-", " ")) == code
    assert read_code(code.replace("-", "").replace("0", "o").replace("1", "l")) == code


@given(st.integers(0, 2**100 - 1), st.integers(0, 2**100 - 1))
def test_two_numbers_have_two_codes(one: int, two: int) -> None:
    assert (code_text(one) == code_text(two)) == (one == two)


@published(
    "Records, passwords, files", "Douglas Crockford, Base 32", "signs", "memory",
    what="letters left out of a code", value="I, L, O, U",
)  # fmt: skip
def test_signs_are_those_of_crockfords_base_32() -> None:
    """Douglas Crockford, Base 32: no I, L, O, U (from memory)."""
    assert SIGNS == "0123456789ABCDEFGHJKMNPQRSTVWXYZ"


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(typed: str) -> None:
    with contextlib.suppress(BadValue):
        assert len(read_code(typed).replace("-", "")) == 20


def test_a_letter_outside_the_set_is_refused() -> None:
    with pytest.raises(BadValue, match="20 letters and digits"):
        read_code("UUUUU-UUUUU-UUUUU-UUUUU")


@given(st.integers(0, 2**40 - 1))
def test_a_pairing_code_is_eight_signs_in_two_fours_and_read_back_however_it_is_typed(number: int) -> None:
    code = code_text(number, PAIRING_LENGTH)
    assert re.fullmatch(rf"[{SIGNS}]{{4}}-[{SIGNS}]{{4}}", code)
    assert read_code(f" {code.lower().replace('-', ' ')} ", PAIRING_LENGTH) == code
    with pytest.raises(BadValue, match="8 letters and digits"):
        read_code(code[:-1], PAIRING_LENGTH)
