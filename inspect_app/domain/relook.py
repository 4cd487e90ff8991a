"""Re-looks: a part, or each part of a set or area, to be looked at again by a date, until sealed walks have done so."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from inspect_app.domain.checklist import WAY_MET_BY, Way
from inspect_app.domain.errors import BadValue
from inspect_app.domain.walk import LOOKED, Look

NAMED_AT_MOST = 4
WAY_WORDS: Mapping[Way, str] = {
    Way.HANDLED: "with hands on",
    Way.SEEN_CLOSE: "from close by",
    Way.SEEN_FROM_AFAR: "by sight",
    Way.HEARD: "by ear",
}


@dataclass(frozen=True, slots=True)
class Answered:
    """The look at one part of a set or area that did what its re-look asks."""

    entry: str
    walk: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Relook:
    """One date on which a part is to be looked at again, at least in this `way`; `done_entry` is the look that did.

    With a `line_set` or an `area` each part of it is asked for: `parts` are their tags by id, those retired since left
    out, `answers` the first adequate look at each; `part` only stands for the set or area, and `scope` names it.
    """

    id: str
    house: str
    part: str
    look_on: date
    reason: str
    way: Way
    asked_at: datetime
    deficiency: str | None = None
    tag_out: str | None = None
    asked_by_name: str = ""
    part_tag: str = ""
    done_entry: str | None = None
    done_walk: str | None = None
    done_at: datetime | None = None
    ended_at: datetime | None = None
    end_reason: str = ""
    line_set: str | None = None
    area: str | None = None
    scope: str = ""
    parts: Mapping[str, str] = field(default_factory=dict)
    answers: Mapping[str, Answered] = field(default_factory=dict)

    @property
    def whole(self) -> bool:
        """Whether it asks for each part of a set or an area."""
        return bool(self.line_set or self.area)

    @property
    def name(self) -> str:
        """What is to be looked at: the set or area, else the part by its tag."""
        return self.scope if self.whole else self.part_tag

    @property
    def waiting_tags(self) -> tuple[str, ...]:
        """The parts of the set or area that no look has answered yet, by tag."""
        return tuple(sorted(tag for part, tag in self.parts.items() if part not in self.answers))

    @property
    def waits(self) -> str:
        """What of a set or area still waits, once some of it was looked at again; '' before that and for one part."""
        tags = self.waiting_tags
        if not (self.whole and tags and self.answers):
            return ""
        few = len(tags) <= NAMED_AT_MOST
        return f"Still waits: {', '.join(tags)}. " if few else f"{len(tags)} of {len(self.parts)} parts still wait. "

    @property
    def last_answer(self) -> Answered | None:
        """The look that completed a re-look of a set or area: None while a part of it waits, or none is left."""
        if not self.parts or self.waiting_tags:
            return None
        return max((self.answers[part] for part in self.parts), key=lambda one: (one.at, one.entry))

    @property
    def open(self) -> bool:
        """Whether the part still has to be looked at."""
        return self.done_at is None and self.ended_at is None


def check_relook(look_on: date, today: date, reason: str) -> None:
    """Raise BadValue for a date that has passed or a re-look without a reason."""
    if look_on < today:
        raise BadValue("The day of the next look has passed already. Choose today or a later day.", "look_on")
    if not reason.strip():
        raise BadValue("Say why the part is to be looked at again.", "reason")


def answers_relook(relook: Relook, look: Look) -> bool:
    """Whether a look that counts did what a re-look asks: at its part, after it was asked, in its way or a closer."""
    return (
        (look.part in relook.parts if relook.whole else look.part == relook.part)
        and look.result in LOOKED
        and look.at > relook.asked_at
        and bool(WAY_MET_BY[relook.way] & look.ways)
    )
