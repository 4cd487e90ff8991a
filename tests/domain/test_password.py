"""Passwords: length after NIST SP 800-63B-4, section 3.1.1.2, and nothing commonplace."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.password import MAX_LENGTH, MIN_LENGTH, password_problem
from tests.published import published


@published(
    "Records, passwords, files", "NIST SP 800-63B-4 (draft text)", "length of passwords", "read",
    what="least length, and the length that must be allowed", value="15, 64",
)  # fmt: skip
def test_lengths_are_those_of_the_guideline() -> None:
    """NIST SP 800-63B-4 (draft text): at least 15 where a password stands alone, at least 64 must be allowed."""
    assert MIN_LENGTH == 15
    assert MAX_LENGTH >= 64


@pytest.mark.parametrize(
    "password",
    [
        "nine lanterns under plaster",
        "keine Angst vor Ölkannen",
        "七つの海を越えて行く船乗りたちの歌声",
        "x9#Kq!vw2Lr$Tz7",
        "the fly loft has eleven owls",
        "a" * 4 + " brittle harmonium wakes",
    ],
)
def test_long_unexpected_words_of_any_script_are_taken(password: str) -> None:
    assert password_problem(password, ["Old Mill Playhouse", "sam"]) == ""


@pytest.mark.parametrize(
    "password",
    [
        "passwordpassword",
        "Password12345678",
        "p@ssw0rd p@ssw0rd!!",
        "qwertyuiopasdfgh",
        "123456789012345678",
        "aaaaaaaaaaaaaaaaaaa",
        "abababababababab",
        "abcabcabcabcabcabc",
        "letmeinletmein2026",
        "correcthorsebatterystaple",
        "Theatre Manager 2026!",
        "oldmillplayhouse1",
        "Old Mill Playhouse!!",
        "samsamsamsamsamsam",
        "zyxwvutsrqponmlkj",
    ],
)
def test_what_everybody_tries_first_is_refused(password: str) -> None:
    assert len(password) >= MIN_LENGTH
    assert "common words" in password_problem(password, ["Old Mill Playhouse", "sam"])


@given(st.text(max_size=MIN_LENGTH - 1))
def test_short_ones_are_refused_whatever_they_hold(password: str) -> None:
    assert "at least 15" in password_problem(password)


@given(st.text(min_size=MIN_LENGTH, max_size=300), st.lists(st.text(max_size=20), max_size=4))
def test_any_text_gets_an_answer(password: str, words: list[str]) -> None:
    assert isinstance(password_problem(password, words), str)
