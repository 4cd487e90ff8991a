"""The seal of a walk: the root over its entries, report numbers, and what a signature must say."""

import hashlib
import re
from collections.abc import Iterable, Sequence

from inspect_app.domain.checklist import COMPETENCE_RANK, Checklist, Competence
from inspect_app.domain.errors import BadValue, NotAllowed
from inspect_app.domain.role import ROLE_TITLES, Role

STATEMENT = "I walked, or had walked, what this record says was looked at, in the ways it says, and nothing more."
SIGNING: dict[Role, Competence] = {Role.TD: Competence.COMPETENT, Role.INSPECTOR: Competence.QUALIFIED}
MAX_DRAWN_NUMBERS = 6000
_NUMBER = re.compile(r"-?\d{1,4}(\.\d{1,2})?\Z", re.ASCII)
_REPORT_NUMBER = re.compile(r"(\d{4})-(\d{3,6})\Z", re.ASCII)


def root_of(entries: Iterable[tuple[str, str]]) -> str:
    """SHA-256 in hex over the sorted lines `id sha256`, each ended by a newline."""
    lines = sorted(f"{entry} {sha256}\n" for entry, sha256 in entries)
    return hashlib.sha256("".join(lines).encode("ascii")).hexdigest()


def next_number(year: int, taken: Iterable[str]) -> str:
    """The next report number of a house in a year, as 2026-004: one more than the highest, so that none is left out."""
    highest = 0
    for number in taken:
        match = _REPORT_NUMBER.match(number)
        if match and int(match[1]) == year:
            highest = max(highest, int(match[2]))
    return f"{year}-{highest + 1:03d}"


def check_signer(role: Role, held: Iterable[Role], checklists: Sequence[Checklist]) -> None:
    """Raise NotAllowed unless the role is held, may sign, and reaches the competence of every checklist of the walk."""
    if role not in set(held):
        raise NotAllowed(f"You do not hold the role {ROLE_TITLES.get(role, role)} in this house.")
    if role not in SIGNING:
        raise NotAllowed("A walk is signed by a technical director or a qualified inspector.")
    for checklist in checklists:
        if COMPETENCE_RANK[checklist.competence] > COMPETENCE_RANK[SIGNING[role]]:
            raise NotAllowed(
                f"“{checklist.title}” is signed by a qualified inspector; {ROLE_TITLES[role]} does not do."
            )


def read_drawn(text: str) -> str:
    """A drawn signature as SVG path data of moves and lines (`M x y L x y`), checked number by number.

    Raises BadValue for anything else, so that nothing but numbers ever reaches a page or a report.
    """
    words = text.split()
    if not words:
        return ""
    if len(words) > MAX_DRAWN_NUMBERS:
        raise BadValue("The drawn signature is too long. Clear it and draw it again.", "drawn")
    if words[0] != "M" or len(words) % 3:
        raise BadValue("The drawn signature could not be read. Clear it and draw it again.", "drawn")
    for letter, x, y in zip(words[::3], words[1::3], words[2::3], strict=True):
        if letter not in ("M", "L") or not _NUMBER.match(x) or not _NUMBER.match(y):
            raise BadValue("The drawn signature could not be read. Clear it and draw it again.", "drawn")
    return " ".join(words)
