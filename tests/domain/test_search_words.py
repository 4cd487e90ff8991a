"""Words typed into the search become an expression that SQLite takes, whatever they are."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlite_utils import Database

from inspect_app.domain.search_words import MOST_WORDS, match_text, read_words

DB = Database(memory=True)
DB.execute("CREATE VIRTUAL TABLE words USING fts5(about, text, tokenize='unicode61 remove_diacritics 2')")
DB.execute("INSERT INTO words VALUES ('LB 12-3', 'Poulie fêlée: \"NOT\" to be flown')")


def fits(typed: str) -> bool:
    words = read_words(typed)
    return bool(words) and bool(DB.execute("SELECT 1 FROM words WHERE words MATCH ?", (match_text(words),)).fetchall())


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=60) | st.text("\"'*()^:+-{}AND NEAR/\x00é", max_size=40))
def test_nothing_typed_is_an_error(typed: str) -> None:
    fits(typed)


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("fêlée", True), ("FELEE", True), ("fel", True), ("elee", False), ("12-3 poulie", True), ("not", True),
        ("poulie OR treuil", False), ("flown -poulie", True), ("p", False), ("text:poulie", False), ("...", False),
        ('"NOT to be', True), ('"', False),
    ],
)  # fmt: skip
def test_words_are_plain_words_and_the_last_one_may_be_a_beginning(typed: str, found: bool) -> None:
    assert fits(typed) is found


def test_no_more_words_are_looked_for_than_a_person_types() -> None:
    assert len(read_words("a " * 500)) == MOST_WORDS
