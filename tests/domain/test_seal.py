"""The root over entries, report numbers, who may sign and what a drawn signature may hold."""

import hashlib
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.errors import BadValue, NotAllowed
from inspect_app.domain.role import Role
from inspect_app.domain.seal import check_signer, next_number, read_drawn, root_of

ENTRIES = [(f"0195a000-0000-7000-8000-{n:012x}", hashlib.sha256(bytes([n])).hexdigest()) for n in range(9)]


def test_the_root_is_what_sort_and_sha256sum_give() -> None:
    # printf '%s\n' 'a 1' 'b 2' | sort | sha256sum
    assert root_of([("b", "2"), ("a", "1")]) == hashlib.sha256(b"a 1\nb 2\n").hexdigest()
    assert root_of([]) == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"  # SHA-256 of nothing


def test_the_root_does_not_depend_on_the_order_and_changes_with_any_entry() -> None:
    shuffled = random.Random(1).sample(ENTRIES, len(ENTRIES))
    assert root_of(shuffled) == root_of(ENTRIES)
    assert root_of(ENTRIES[:-1]) != root_of(ENTRIES)
    assert root_of([*ENTRIES[:-1], (ENTRIES[-1][0], "0" * 64)]) != root_of(ENTRIES)


@given(st.integers(0, 400))
def test_numbers_of_a_year_follow_each_other_without_a_gap(count: int) -> None:
    taken: list[str] = ["2025-017", "not a number"]
    for _ in range(count % 40):
        taken.append(next_number(2026, taken))
    assert taken[2:] == [f"2026-{n:03d}" for n in range(1, count % 40 + 1)]


def test_numbers_go_on_past_three_places() -> None:
    assert next_number(2026, ["2026-999"]) == "2026-1000"
    assert next_number(2026, ["2026-1000", "2026-999"]) == "2026-1001"


@pytest.mark.parametrize("role", [Role.MANAGER, Role.HELPER, Role.ADMIN])
def test_only_a_director_or_an_inspector_signs(role: Role) -> None:
    with pytest.raises(NotAllowed):
        check_signer(role, {role}, [])


def test_a_role_must_be_held_to_be_signed_under() -> None:
    with pytest.raises(NotAllowed):
        check_signer(Role.INSPECTOR, {Role.TD}, [])
    check_signer(Role.TD, {Role.TD, Role.ADMIN}, [])


def test_a_drawn_signature_is_moves_and_lines_of_plain_numbers() -> None:
    assert read_drawn("  M 1 2.5 L 30 -4   M 9 9 ") == "M 1 2.5 L 30 -4 M 9 9"
    assert read_drawn("") == ""


@pytest.mark.parametrize(
    "text",
    ["L 1 2", "M 1", 'M 1 2"/><script>', "M 1e9 2", "M ١ 2", "C 1 2 3 4 5 6", "M 1 2 Z", "M nan 2", "M 1 2 " * 3000],
)
def test_anything_else_in_a_drawn_signature_is_refused(text: str) -> None:
    with pytest.raises(BadValue):
        read_drawn(text)
