"""Events that open an unscheduled inspection: the first question, who may approach, and which sets go on hold.

Kinds and the walk from the grid down are common practice, no source.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from inspect_app.domain.errors import BadValue, Conflict, NotAllowed

CHECKLIST = "after-event"
NEIGHBOURS = 2  # sets on each side that are held with the one that was hit: common practice, no source
FIRST_QUESTION = "Is anything still hanging, moving, leaking, live or unsupported?"
KEEP_OFF = (
    "Keep everyone off the deck below, the bridge and the grid there. Call a qualified person. No walk is offered "
    "until a named one says who may approach and how."
)


class EventKind(StrEnum):
    """What happened."""

    RUNAWAY = "runaway"
    OVERLOAD = "overload"
    COLLISION = "collision"
    DROPPED = "dropped"
    SHOCK = "shock"
    POWER_FAILURE = "power_failure"
    WATER = "water"
    FIRE = "fire"
    QUAKE = "quake"
    SISTER_FAILED = "sister_failed"
    ALTERATION = "alteration"
    CHANGE_OF_USE = "change_of_use"
    LONG_IDLE = "long_idle"
    CONSTRUCTION = "construction"
    HIRE_IN = "hire_in"
    UNUSUAL = "unusual"
    CHANGE_OF_OWNER = "change_of_owner"
    OTHER = "other"


KIND_TITLES: Mapping[EventKind, str] = {
    EventKind.RUNAWAY: "Runaway or hard stop",
    EventKind.OVERLOAD: "Overload or unknown load",
    EventKind.COLLISION: "Collision: a batten hit or was hit",
    EventKind.DROPPED: "Something fell",
    EventKind.SHOCK: "Shock or snag",
    EventKind.POWER_FAILURE: "Power failure in motion",
    EventKind.WATER: "Water: flood, roof leak, sprinkler",
    EventKind.FIRE: "Fire or smoke",
    EventKind.QUAKE: "Earthquake",
    EventKind.SISTER_FAILED: "A part of the same lot failed",
    EventKind.ALTERATION: "Altered: moved block, new rope or end",
    EventKind.CHANGE_OF_USE: "Changed use, drive, control or travel",
    EventKind.LONG_IDLE: "Idle for long",
    EventKind.CONSTRUCTION: "Construction work near by",
    EventKind.HIRE_IN: "A hired-in show has left",
    EventKind.UNUSUAL: "An operator noticed something unusual",
    EventKind.CHANGE_OF_OWNER: "New owner or technical director",
    EventKind.OTHER: "Something else",
}
NO_HOLD = frozenset({EventKind.CHANGE_OF_OWNER, EventKind.CONSTRUCTION})  # nothing of the kind touched a set


class Danger(StrEnum):
    """The answer to the first question."""

    YES = "yes"
    NOT_KNOWN = "not_known"
    NO = "no"


DANGER_TITLES: Mapping[Danger, str] = {Danger.YES: "Yes", Danger.NOT_KNOWN: "Not known", Danger.NO: "No"}


@dataclass(frozen=True, slots=True)
class Approach:
    """A named qualified person says who may approach and how."""

    name: str
    credential: str
    who: str
    how: str
    by_name: str
    at: datetime


@dataclass(frozen=True, slots=True)
class EventAsk:
    """Who recorded an event says that it was a mistake; it stands until a second person confirms it."""

    by: str
    by_name: str
    at: datetime
    reason: str


@dataclass(frozen=True, slots=True)
class EventWithdrawal:
    """An event recorded by mistake, withdrawn by two people. The event stays in the record."""

    by_name: str
    second_name: str
    at: datetime
    reason: str


@dataclass(frozen=True, slots=True)
class Event:
    """One event. At most one of `line_set` and `area` is where it happened; `scope` says it in words."""

    id: str
    house: str
    kind: EventKind
    line_set: str | None
    area: str | None
    what: str
    danger: Danger
    by_name: str
    at: datetime
    walk: str | None = None
    scope: str = ""
    approaches: tuple[Approach, ...] = ()
    by: str = ""
    ask: EventAsk | None = None
    withdrawn: EventWithdrawal | None = None

    @property
    def walk_blocked(self) -> bool:
        """Whether no walk may be offered: danger is there or not excluded, and nobody has said who may approach."""
        return self.withdrawn is None and self.danger is not Danger.NO and not self.approaches


@dataclass(frozen=True, slots=True)
class Aftermath:
    """What became of an event: how many holds it made, which of them still stand (in words), how far its inspection is.

    `inspection` is open or sealed, '' before it is opened.
    """

    holds: int = 0
    standing: tuple[str, ...] = ()
    inspection: str = ""

    @property
    def words(self) -> str:
        """What is still on hold, and whether the inspection is signed."""
        if self.standing:
            held = f"still on hold: {', '.join(self.standing)}"
        elif self.holds:
            held = f"{'its hold has' if self.holds == 1 else f'all its {self.holds} holds have'} ended"
        else:
            held = "nothing was put on hold"
        seen = {"": "no inspection yet", "sealed": "inspection signed"}
        return f"{held}; {seen.get(self.inspection, 'inspection not signed yet')}"


def held_sets(order: Sequence[str], hit: str) -> tuple[str, ...]:
    """The set that was hit and its neighbours on each side, in walking order; empty when the set is not there."""
    if hit not in order:
        return ()
    at = order.index(hit)
    return tuple(order[max(at - NEIGHBOURS, 0) : at + NEIGHBOURS + 1])


def check_event(what: str, line_set: str | None, area: str | None) -> None:
    """Raise BadValue unless an event says what happened and where."""
    if not what.strip():
        raise BadValue("Say in a few words what happened.", "what")
    if not (line_set or area):
        raise BadValue("Say at which set or in which area.", "where")


def check_approach(name: str, credential: str, who: str, how: str) -> None:
    """Raise BadValue, on its field, unless a named qualified person says who may approach and how."""
    for field, text, words in (
        ("name", name, "Name the qualified person who says so."),
        ("credential", credential, "Say what qualifies that person."),
        ("who", who, "Say who may approach."),
        ("how", how, "Say how: by which way, under what protection, what stays off limits."),
    ):
        if not text.strip():
            raise BadValue(words, field)


def check_walk(event: Event) -> None:
    """Raise Conflict while no walk may be offered, when it was opened already, or after a withdrawal."""
    check_standing(event)
    if event.walk_blocked:
        raise Conflict(KEEP_OFF)
    if event.walk:
        raise Conflict("The inspection after this event is open already.")


def check_standing(event: Event) -> None:
    """Raise Conflict when the event was withdrawn."""
    if event.withdrawn is not None:
        raise Conflict("This event was withdrawn as recorded by mistake. Record a new one if something happened.")


def check_event_ask(event: Event, by: str, reason: str, signed: bool) -> None:
    """Raise unless who recorded an event may say that it was a mistake. Everything stays on hold meanwhile.

    `signed` is whether the inspection after it is signed: what it held is then released as a stop is.
    """
    check_standing(event)
    if by != event.by:
        raise NotAllowed(f"Only the person who recorded it, {event.by_name}, may say so. Everything stays on hold.")
    if event.ask is not None:
        raise Conflict("You asked already. A second person confirms it on their own account; until then it stands.")
    if signed:
        raise Conflict("The inspection after this event is signed. It stands; release each hold on its own.")
    if not reason.strip():
        raise BadValue("Say what was recorded by mistake, and what did or did not happen.", "reason")


def check_event_confirmation(event: Event, second: str, signed: bool) -> None:
    """Raise unless `second`, on their own account, confirms that an event was recorded by mistake."""
    check_standing(event)
    if event.ask is None:
        raise Conflict(f"{event.by_name} has not said that it was a mistake. Everything stays on hold.")
    if second == event.ask.by:
        raise NotAllowed("A second person confirms it on their own account. Everything stays on hold.")
    if signed:
        raise Conflict("The inspection after this event is signed. It stands; release each hold on its own.")
