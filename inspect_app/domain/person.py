"""People as the rest of the program sees them: a name, a credential as typed, and what each may do in a house."""

import unicodedata
from typing import NamedTuple

from inspect_app.domain.role import Role

# Marks that show nothing of their own: the joiner of graphemes, and variation selectors.
_UNSEEN = frozenset("\u034f" + "".join(map(chr, range(0xFE00, 0xFE10))))


class Person(NamedTuple):
    """A person; `credential` is their own wording of what qualifies them, printed beside a signature."""

    id: str
    name: str
    credential: str = ""


class Member(NamedTuple):
    """A person's standing in one house. `username` is '' for a person who has no account yet."""

    person: Person
    roles: frozenset[Role]
    username: str
    disabled: bool
    ended: bool = False


def name_words(name: str) -> frozenset[str]:
    """The words of a typed name as they are compared: in any order, without case, accents, stops or unseen signs."""
    plain = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", name).casefold())
    return frozenset("".join(map(_compared, plain)).split())


def _compared(sign: str) -> str:
    """Letters, digits and vowel signs, which are letters to who reads them; nothing for what is not compared; a blank
    for what stands between words."""
    kind = unicodedata.category(sign)
    if unicodedata.combining(sign) or kind == "Cf" or sign in _UNSEEN:
        return ""
    return sign if kind[0] in "LMN" else " "


def same_person(one: str, other: str) -> bool:
    """Whether two typed names are the same."""
    return bool(name_words(one)) and name_words(one) == name_words(other)


def may_be(one: str, other: str) -> bool:
    """Whether two typed names may mean the same person: the same, or all words of one are among those of the other,
    as a first name alone, a name beside others, or a name of which one writes initials."""
    first, second = name_words(one), name_words(other)
    return _is_within(first, second) or _is_within(second, first)


def _is_within(few: frozenset[str], many: frozenset[str]) -> bool:
    if not few or few <= many:
        return bool(few)
    in_full = any(len(word) > 1 for word in few & many)  # initials alone say nothing
    return in_full and all(any(_may_stand_for(word, known) for known in many) for word in few)


def _may_stand_for(word: str, other: str) -> bool:
    return word == other or (1 in (len(word), len(other)) and word[0] == other[0])
