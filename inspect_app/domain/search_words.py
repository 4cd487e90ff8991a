"""What a person types into the search, as words: plain, quoted for the index, never a syntax of their own."""

import unicodedata

MOST_WORDS, MOST_SIGNS = 12, 200
PREFIX_FROM = 2  # a single letter or digit is looked for as a whole word: set 1 is not also set 10


def read_words(typed: str) -> tuple[str, ...]:
    """The words of a search in order, without signs that no index holds; at most MOST_WORDS of them.

    A word needs at least one letter or digit, else it could match nothing. Control signs and halves of a surrogate
    pair are taken for spaces.
    """
    clean = "".join(" " if unicodedata.category(sign) in ("Cc", "Cs") else sign for sign in typed[:MOST_SIGNS])
    return tuple(word for word in clean.split() if any(_counts(sign) for sign in word))[:MOST_WORDS]


def _counts(sign: str) -> bool:
    return unicodedata.category(sign)[0] in "LN"


def match_text(words: tuple[str, ...]) -> str:
    """All of the words, the last also as a beginning, as an expression of SQLite's FTS5.

    Each word is a quoted string (quotes doubled), so that nothing in it is read as an operator.
    """
    quoted = ['"' + word.replace('"', '""') + '"' for word in words]
    if quoted and sum(_counts(sign) for sign in words[-1]) >= PREFIX_FROM and _counts(words[-1][-1]):
        quoted[-1] += " *"
    return " AND ".join(quoted)
