"""Blind spots: which parts nobody has reached, or had a hand on, since a day: facts with dates, never a score.

*No finding*, *not reached*, *overdue* and *never recorded* are four different things: what is not looked at is told
here by its own record, overdue comes from the calendar, and a sound part is no blind spot. Looks count when their walk
is signed; others are named beside, marked so.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

DEFAULT_YEARS = 2


class BlindKind(StrEnum):
    """What is known of a part, most unknown first."""

    NEVER_RECORDED = "never_recorded"
    NOT_REACHED = "not_reached"
    NOT_SINCE = "not_since"
    NOT_APPLICABLE = "not_applicable"
    NOT_HANDLED = "not_handled"
    HANDLED = "handled"


BLIND_TITLES: Mapping[BlindKind, str] = {
    BlindKind.NEVER_RECORDED: "never recorded",
    BlindKind.NOT_REACHED: "not reached",
    BlindKind.NOT_SINCE: "not looked at since",
    BlindKind.NOT_APPLICABLE: "said not to apply",
    BlindKind.NOT_HANDLED: "seen, no hand on it",
    BlindKind.HANDLED: "handled",
}
BLIND_MEANING: Mapping[BlindKind, str] = {
    BlindKind.NEVER_RECORDED: "no signed walk says anything of it, not even that it was not reached",
    BlindKind.NOT_REACHED: "last recorded as not reached, and nobody has looked at it since the day",
    BlindKind.NOT_SINCE: "looked at before the day, and nothing is recorded of it since",
    BlindKind.NOT_APPLICABLE: "the last thing recorded is that the points do not apply to it",
    BlindKind.NOT_HANDLED: "looked at since the day, but not by hand",
    BlindKind.HANDLED: "looked at by hand since the day",
}
BLIND_ORDER: Sequence[BlindKind] = tuple(BlindKind)
BLIND = frozenset({BlindKind.NEVER_RECORDED, BlindKind.NOT_REACHED, BlindKind.NOT_SINCE, BlindKind.NOT_HANDLED})


@dataclass(frozen=True, slots=True)
class PartRecord:
    """The days on which a part's present life was last looked at, handled, not reached, said not to apply.

    All by the house's clock and on signed walks; `waiting` is the last look on a walk that is not signed yet, or that
    waits for a countersign. `reason` is why it was not reached.
    """

    part: str
    looked: date | None = None
    handled: date | None = None
    missed: date | None = None
    reason: str = ""
    not_applicable: date | None = None
    waiting: date | None = None


@dataclass(frozen=True, slots=True)
class BlindSpot:
    """What one part is since a day. `last_on` is its last look that counts, by hand where that is what is told."""

    part_id: str
    kind: BlindKind
    last_on: date | None
    words: str

    @property
    def is_blind(self) -> bool:
        """Whether nobody has reached it, or had a hand on it, since the day."""
        return self.kind in BLIND


def blind_spot(record: PartRecord, since: date | None) -> BlindSpot:
    """What a part is since a day; with None: over all that is recorded."""
    kind = _kind(record, since)
    last_on = record.handled if kind is BlindKind.HANDLED else record.looked
    return BlindSpot(record.part, kind, last_on, "; ".join(_words(record, kind)))


def blind_spots(records: Iterable[PartRecord], since: date | None) -> dict[str, BlindSpot]:
    """By part, what it is since a day."""
    return {record.part: blind_spot(record, since) for record in records}


def _kind(record: PartRecord, since: date | None) -> BlindKind:
    if _is_since(record.handled, since):
        return BlindKind.HANDLED
    if _is_since(record.looked, since):
        return BlindKind.NOT_HANDLED
    looked, missed, none = (day or date.min for day in (record.looked, record.missed, record.not_applicable))
    if record.missed and missed >= max(looked, none):
        return BlindKind.NOT_REACHED
    if record.not_applicable and none >= looked:
        return BlindKind.NOT_APPLICABLE
    return BlindKind.NOT_SINCE if record.looked else BlindKind.NEVER_RECORDED


def _is_since(day: date | None, since: date | None) -> bool:
    return day is not None and (since is None or day >= since)


def _words(record: PartRecord, kind: BlindKind) -> list[str]:
    if kind is BlindKind.NEVER_RECORDED:
        said = ["never recorded on a signed walk"]
    else:
        said = [f"last looked at {record.looked}" if record.looked else "never looked at"]
        if record.looked and record.handled != record.looked:
            said.append(f"last handled {record.handled}" if record.handled else "never handled")
        elif record.looked:
            said = [f"last handled {record.handled}"]
    if kind is BlindKind.NOT_REACHED:
        said.append(f"not reached {record.missed}" + (f" ({record.reason})" if record.reason else ""))
    if kind is BlindKind.NOT_APPLICABLE:
        said.append(f"said not to apply {record.not_applicable}")
    if record.waiting and (record.looked is None or record.waiting > record.looked):
        said.append(f"a look of {record.waiting} does not count yet: not signed or not countersigned")
    return said


def years_before(day: date, years: int) -> date:
    """The same day some years earlier; 29 February becomes the 28th."""
    try:
        return day.replace(year=day.year - years)
    except ValueError:
        return day.replace(year=day.year - years, day=28)
