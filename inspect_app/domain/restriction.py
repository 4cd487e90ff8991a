"""Restrictions and temporary measures: what a set may be used for, under whom, until when, and what an expiry does.

Both are objects with a last day. Nothing runs by a clock: whoever reads a grade reads it for a day, and after the last
day it has risen by itself.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from inspect_app.domain.checklist import GRADE_RANK, Grade
from inspect_app.domain.errors import BadValue, Conflict


class RestrictionKind(StrEnum):
    """A limit on use, a measure that stands in for a repair, or a condition that an inspector set at signing."""

    LIMIT = "limit"
    MEASURE = "measure"
    CONDITION = "condition"


KIND_TITLES: Mapping[RestrictionKind, str] = {
    RestrictionKind.LIMIT: "restriction",
    RestrictionKind.MEASURE: "temporary measure",
    RestrictionKind.CONDITION: "condition on use",
}
BY_HAND = (RestrictionKind.LIMIT, RestrictionKind.MEASURE)  # a condition comes with an inspector's signature alone
FIELD_ASKS: Mapping[RestrictionKind, Mapping[str, str]] = {
    RestrictionKind.LIMIT: {
        "what": "Say why use is restricted.",
        "who": "Say who may use it under this limit.",
        "until": "Name the last day on which the limit holds.",
    },
    RestrictionKind.MEASURE: {
        "what": "Say what was put in place.",
        "load_limit": "Say which load is allowed while it is in place, or that none is.",
        "who": "Say who answers for it.",
        "until": "Name the last day on which it may stay.",
        "recheck_on": "Name the day on which it is looked at again.",
    },
    RestrictionKind.CONDITION: {
        "what": "Say under what condition it may be used.",
        "who": "Say who set the condition.",
        "until": "Name the last day on which it holds.",
    },
}
# after the last day: a limit or condition that ran out leaves nothing that allows use; a measure raises by one
RISES: Mapping[RestrictionKind, Mapping[Grade, Grade]] = {
    RestrictionKind.LIMIT: dict.fromkeys(Grade, Grade.STOP_USE),
    RestrictionKind.CONDITION: dict.fromkeys(Grade, Grade.STOP_USE),
    RestrictionKind.MEASURE: {
        Grade.WATCH: Grade.REPAIR_BY,
        Grade.REPAIR_BY: Grade.RESTRICT,
        Grade.RESTRICT: Grade.STOP_USE,
        Grade.STOP_USE: Grade.STOP_USE,
    },
}


@dataclass(frozen=True, slots=True)
class Restriction:
    """A restriction or temporary measure. One of `line_set`, `area`, `part` is what it binds; `scope` says it in words.

    `until` is its last day. Loads and travel are as typed, with their unit.
    """

    id: str
    house: str
    kind: RestrictionKind
    line_set: str | None
    area: str | None
    part: str | None
    deficiency: str | None
    what: str
    load_limit: str
    travel_limit: str
    who: str
    until: date
    recheck_on: date | None
    by_name: str
    at: datetime
    ended_at: datetime | None = None
    ended_by_name: str = ""
    ended_reason: str = ""
    scope: str = ""
    part_tag: str = ""
    deficiency_number: int = 0
    walk: str = ""
    report: str = ""
    lifted_name: str = ""
    lifted_credential: str = ""


def check_restriction(
    kind: RestrictionKind, texts: Mapping[str, str], until: date | None, recheck_on: date | None, today: date
) -> None:
    """Raise BadValue, on the field it belongs to, unless a restriction says all that its kind needs."""
    given = {
        **texts,
        "until": until.isoformat() if until else "",
        "recheck_on": recheck_on.isoformat() if recheck_on else "",
    }
    for field, words in FIELD_ASKS[kind].items():
        if not given.get(field, "").strip():
            raise BadValue(words, field)
    if kind is RestrictionKind.LIMIT and not (
        given.get("load_limit", "").strip() or given.get("travel_limit", "").strip()
    ):
        raise BadValue("Restrict needs its limit: which load, or which travel, is allowed.", "load_limit")
    if until is not None and until < today:
        raise BadValue("The last day must not be past.", "until")
    if recheck_on is not None and (recheck_on < today or (until is not None and recheck_on > until)):
        raise BadValue("Look at it again from today on and not after its last day.", "recheck_on")


def check_ending(restriction: Restriction, reason: str, name: str = "", credential: str = "") -> None:
    """Raise Conflict when it ended already, BadValue without a reason.

    A condition on use is lifted by a qualified person: without their name and what qualifies them it stays.
    """
    if restriction.ended_at is not None:
        raise Conflict("This was ended already.")
    if not reason.strip():
        raise BadValue("Say what was done and seen that ends it.", "reason")
    if restriction.kind is RestrictionKind.CONDITION:
        for field, given, words in (
            ("name", name, "Name the qualified person who lifts the condition."),
            ("credential", credential, "Say what qualifies them."),
        ):
            if not given.strip():
                raise BadValue(words, field)


def is_expired(restriction: Restriction, today: date) -> bool:
    """Whether its last day is past and nobody has ended it."""
    return restriction.ended_at is None and restriction.until < today


def risen_grade(grade: Grade, restrictions: Iterable[Restriction], today: date) -> Grade:
    """A deficiency's grade on a day: raised by what was put in place for it and has expired. It never falls."""
    expired = [RISES[one.kind][grade] for one in restrictions if is_expired(one, today)]
    return max((grade, *expired), key=lambda one: GRADE_RANK[one])


def limit_words(restriction: Restriction) -> str:
    """The limit in one line, as a rail card prints it."""
    if restriction.kind is RestrictionKind.CONDITION:
        report = f", report {restriction.report}" if restriction.report else ""
        return f"{restriction.what}: until {restriction.until.isoformat()}; set by {restriction.who}{report}"
    pieces = (
        ("load", restriction.load_limit),
        ("travel", restriction.travel_limit),
        ("used only by" if restriction.kind is RestrictionKind.LIMIT else "answers for it:", restriction.who),
        ("until", restriction.until.isoformat()),
        ("looked at again on", restriction.recheck_on.isoformat() if restriction.recheck_on else ""),
    )
    said = "; ".join(f"{head} {text}" for head, text in pieces if text)
    return f"{restriction.what}: {said}"


def expiry_words(restriction: Restriction) -> str:
    """What an expired one means for whoever stands at the rail."""
    title = KIND_TITLES[restriction.kind].capitalize()
    return (
        f"{title} expired after {restriction.until.isoformat()} ({restriction.what}): have a qualified person decide."
    )
