"""What makes a password acceptable: long, and not built from what everybody tries first.

Length limits after NIST SP 800-63B-4, section 3.1.1.2: no rules about kinds of characters, no forced change, a
blocklist with words of the house itself. The list of base words is our own choice (from memory).
"""

import re
import unicodedata
from collections.abc import Iterable

MIN_LENGTH = 15
MAX_LENGTH = 256
_LEFT_OVER = 6  # so many letters must remain, four of them different, once everything commonplace is taken out

_COMMON = tuple(
    """
password passwort passphrase passwd secret letmein welcome hello login admin administrator root user guest test testing
changeme default temp temporary access master superman batman dragon monkey shadow sunshine princess football baseball
basketball hockey soccer iloveyou love lovely trustno freedom whatever starwars pokemon computer internet server system
michael jennifer jordan hunter ranger buster thomas robert daniel andrew charlie jessica michelle ashley summer winter
spring autumn january february march april june july august september october november december monday tuesday wednesday
thursday friday saturday sunday flower cheese pepper ginger cookie banana orange purple yellow green black white silver
golden diamond forever mustang harley killer ninja google facebook correct horse battery staple abc abcd qwerty qwertz
azerty asdf zxcv yxcv pass word money house theatre theater stage rigging rigger grid gallery flyman flytower fly loft
inspect inspection inspector inspectapp log safety safe backstage technical director manager facility curtain batten
counterweight broadway macbeth hamlet ghostlight breakaleg drama opera ballet studio school college university
""".split()  # noqa: SIM905 (a column of words reads better than 150 quoted ones)
)
_RUNS = (
    "1234567890",
    "abcdefghijklmnopqrstuvwxyz",
    "qwertyuiop",
    "qwertzuiop",
    "azertyuiop",
    "asdfghjkl",
    "zxcvbnm",
    "yxcvbnm",
)
_LOOKALIKE = str.maketrans("01345@$!", "oieasasi")


def password_problem(password: str, house_words: Iterable[str] = ()) -> str:
    """Why the password will not do, fit to show, or '' when it will.

    `house_words` are names an outsider can guess: house, person, user name. Any character is allowed, spaces too.
    """
    if len(password) < MIN_LENGTH:
        return f"Use at least {MIN_LENGTH} characters. A few words in a row do well; spaces count."
    if len(password) > MAX_LENGTH:
        return f"Use at most {MAX_LENGTH} characters."
    plain = unicodedata.normalize("NFKC", password).casefold()
    own = {word for name in house_words for word in re.split(r"\W+", name.casefold()) if len(word) >= 3}
    for text, known in ((plain, own), (plain.translate(_LOOKALIKE), {word.translate(_LOOKALIKE) for word in own})):
        rest = _without_the_commonplace(text, known)
        if len(rest) < _LEFT_OVER or len(set(rest)) < 4:
            return "This is built from common words, names of the house or runs of keys. Add words that nobody expects."
    return ""


def _without_the_commonplace(text: str, own: set[str]) -> str:
    text = re.sub(r"[\W_]+", "", text)
    for word in sorted({*_COMMON, *own}, key=len, reverse=True):
        text = text.replace(word, "")
    text = re.sub(r"(?:19|20)\d\d", "", text)
    text = re.sub(r"(.{1,4}?)\1{2,}", r"\1", text)  # abababab counts once
    return _without_runs(text)


def _without_runs(text: str) -> str:
    for row in (*_RUNS, *(run[::-1] for run in _RUNS)):
        for length in range(len(row), 3, -1):
            for start in range(len(row) - length + 1):
                text = text.replace(row[start : start + length], "")
    return text
