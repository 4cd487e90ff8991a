"""Second looks: a small share of sound entries, drawn by chance, that another person looks at again without knowing the
first answer; and how often the two agree.

How often two people agree says something about a point, a kind of part or a way of looking. It is never shown for each
person: what was drawn for one of them is far too little to say anything about that person, and people who are ranked
by it learn to write what will be agreed with.
"""

import hashlib
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal, InvalidOperation
from math import sqrt
from statistics import NormalDist
from typing import NamedTuple

from inspect_app.domain.deficiency import Answer
from inspect_app.domain.errors import BadValue
from inspect_app.domain.part import PartKind
from inspect_app.domain.walk import Look, LookResult, is_counted, standing_looks

SETTING = "second_look_percent"
SHIPPED_PERCENT = "2"
MOST_PERCENT = 20
LAPSES_AFTER = timedelta(days=183)  # the list must stay short enough to be gone by


@dataclass(frozen=True, slots=True)
class SecondLook:
    """A sound entry that was drawn. `people` are those who made the first look or stood by it; they do not make the
    second. `points` are the points that the first found sound."""

    id: str
    walk: str
    entry: str
    part: str
    in_pass: str
    points: tuple[str, ...]
    people: tuple[str, ...]
    at: datetime


class SecondAnswer(NamedTuple):
    """What the second person found at one point: whether it was sound again."""

    second_look: str
    point: str
    agrees: bool
    entry: str
    at: datetime


class Agreement(NamedTuple):
    """`agree` of `of` second answers said the same as the first; `low` and `high` bound the share at 95 %."""

    what: str
    agree: int
    of: int
    low: float
    high: float


def read_percent(text: str) -> str:
    """The share as typed, in percent, as plain decimal text. Raises BadValue; 0 draws nothing."""
    try:
        share = Decimal(text.strip().replace(",", ".").removesuffix("%").strip())
    except InvalidOperation:
        raise BadValue(f"Write a number of percent, 0 to {MOST_PERCENT}; 0 draws nothing.", "percent") from None
    if not share.is_finite() or not 0 <= share <= MOST_PERCENT:
        raise BadValue(f"Write a number of percent, 0 to {MOST_PERCENT}; 0 draws nothing.", "percent")
    return format(share.normalize(), "f")


def percent_of(settings: Mapping[str, str]) -> str:
    """The share of a house, in percent; 2 where it has set none."""
    return settings.get(SETTING, SHIPPED_PERCENT)


def candidates(looks: Sequence[Look]) -> tuple[Look, ...]:
    """The sound looks of a walk that may be drawn: they stand, count, have points and found nothing; by their id."""
    added = {look.adds_to for look in looks if look.adds_to}
    fit = [
        look
        for look in standing_looks(looks)
        if look.result is LookResult.NO_FINDING and look.points and not look.findings
        and look.adds_to is None and look.entry not in added and is_counted(look)
    ]  # fmt: skip
    return tuple(sorted(fit, key=lambda look: look.entry))


def draw(seed: bytes, percent: str, entries: Iterable[str]) -> tuple[str, ...]:
    """The drawn ones of `entries`: those whose own number is below the share.

    The number of an entry is the SHA-256 of the seed and its id, read as a fraction of one, so that it turns on no
    other entry and anyone with the seed can draw again.
    """
    share = Decimal(percent) / 100
    return tuple(entry for entry in entries if _number(seed, entry) < share)


def _number(seed: bytes, entry: str) -> Decimal:
    return Decimal(int.from_bytes(hashlib.sha256(seed + entry.encode()).digest()[:8], "big")) / Decimal(2**64)


def answers_of(
    second: SecondLook, walk: str, standing: Sequence[Look], people: Mapping[str, Collection[str]]
) -> tuple[SecondAnswer, ...]:
    """What another person found on a later walk at the points of a second look: sound again, or not.

    `standing` are looks of that walk which nothing has replaced, `people` by look everybody who made it or stood by: a
    look that somebody of the first had a part in answers nothing. A finding counts as not sound, whichever its grade;
    a deficiency that is said to be not seen now does not.
    """
    if walk == second.walk:
        return ()
    here = [
        look
        for look in standing
        if look.part == second.part and look.in_pass == second.in_pass
        and not {look.by, *people.get(look.entry, ())} & set(second.people) and look.at > second.at and is_counted(look)
    ]  # fmt: skip
    found = []
    for point in second.points:
        spoke = sorted((look for look in here if point in look.answered), key=lambda look: (look.at, look.entry))
        if spoke:
            worse = any(f.point == point and f.answer != Answer.NOT_SEEN_NOW for look in spoke for f in look.findings)
            found.append(SecondAnswer(second.id, point, not worse, spoke[0].entry, spoke[0].at))
    return tuple(found)


def wilson(agree: int, count: int, level: float = 0.95) -> tuple[float, float]:
    """The interval for a share by Wilson's score (E. B. Wilson, J. Am. Stat. Assoc. 22 (1927), 209-212), without
    correction for continuity. With nothing counted it is the whole range, 0 to 1."""
    if not 0 <= agree <= count:
        raise ValueError("agree must lie between 0 and count")
    if count == 0:
        return 0.0, 1.0
    z = NormalDist().inv_cdf((1 + level) / 2)
    share, spread = agree / count, z * z / count
    middle = (share + spread / 2) / (1 + spread)
    half = z / (1 + spread) * sqrt(share * (1 - share) / count + spread / (4 * count))
    return (0.0 if agree == 0 else middle - half), (1.0 if agree == count else middle + half)


def agreements(answers: Iterable[tuple[str, bool]]) -> list[Agreement]:
    """Counts and interval for each name of (name, whether they agree), the lowest upper bound first."""
    counts: dict[str, list[bool]] = {}
    for what, agrees in answers:
        counts.setdefault(what, []).append(agrees)
    rows = [Agreement(what, sum(said), len(said), *wilson(sum(said), len(said))) for what, said in counts.items()]
    return sorted(rows, key=lambda row: (row.high, row.low, row.what))


class Wanted(NamedTuple):
    """A second look that waits: what and where, who made the first, and when it was drawn."""

    second: SecondLook
    tag: str
    kind: PartKind
    line_set: str | None
    set_number: str
    area: str
    first_by: str


def waiting(rows: Iterable[Wanted], now: datetime) -> list[Wanted]:
    """Those that have not lapsed."""
    return [row for row in rows if now - row.second.at <= LAPSES_AFTER]
