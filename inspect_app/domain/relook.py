"""Re-looks: a part to be looked at again by a date, after a repair or a release, until a sealed walk has done so."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from inspect_app.domain.checklist import WAY_MET_BY, Way
from inspect_app.domain.errors import BadValue
from inspect_app.domain.walk import LOOKED, Look

WAY_WORDS: Mapping[Way, str] = {
    Way.HANDLED: "with hands on",
    Way.SEEN_CLOSE: "from close by",
    Way.SEEN_FROM_AFAR: "by sight",
    Way.HEARD: "by ear",
}


@dataclass(frozen=True, slots=True)
class Relook:
    """One date on which a part is to be looked at again, at least in this `way`; `done_entry` is the look that did."""

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
    """Whether a look that counts did what a re-look asks: at this part, after it was asked, in its way or a closer."""
    return (
        look.part == relook.part
        and look.result in LOOKED
        and look.at > relook.asked_at
        and bool(WAY_MET_BY[relook.way] & look.ways)
    )
