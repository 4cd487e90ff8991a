"""What a release asks: one table of what each group needs, checked field by field; and withdrawal by two people.

The steps of a return to service are common practice, no source; who may take part in it is in domain/tag_out.py.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import STATE_TITLES, Deficiency, DeficiencyState
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed
from inspect_app.domain.part import PartKind
from inspect_app.domain.person import may_be, name_words
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.tag_out import (
    GROUP_TITLES,
    RELEASING,
    Group,
    Step,
    TagCheck,
    TagEnding,
    TagOut,
    TagState,
    group_of_tag,
)


class Need(StrEnum):
    """One thing that a release must say. The value is the key under which the answer is kept."""

    REASON = "reason"
    WORK_BY = "work_by"
    CHECKED_BY = "checked_by"
    CHECKED = "checked"
    TRAVEL_EMPTY = "travel_empty"
    TRAVEL_LOADED = "travel_loaded"
    TRAVEL_FIRST = "travel_first"
    TRAVEL_SECOND = "travel_second"
    LOCKS_OFF = "locks_off"
    LABEL = "label"
    CREW_TOLD = "crew_told"
    RELOOK_ON = "relook_on"
    PAPER = "paper"


NEED_TITLES: Mapping[Need, str] = {
    Need.REASON: "What was done",
    Need.WORK_BY: "Who did the work",
    Need.CHECKED_BY: "Who checked it",
    Need.CHECKED: "What was looked at in the check",
    Need.TRAVEL_EMPTY: "Full travel, empty",
    Need.TRAVEL_LOADED: "Full travel, loaded",
    Need.TRAVEL_FIRST: "First person at the travel",
    Need.TRAVEL_SECOND: "Second person at the travel",
    Need.LOCKS_OFF: "Locks and tags taken off by",
    Need.LABEL: "Label",
    Need.CREW_TOLD: "Crew told",
    Need.RELOOK_ON: "Look again on",
    Need.PAPER: "Engineer's paper",
}
NEED_ASKS: Mapping[Need, str] = {
    Need.REASON: "Say what was done and seen that allows the release.",
    Need.WORK_BY: "Say who did the work.",
    Need.CHECKED_BY: "Say who checked the work.",
    Need.CHECKED: "Say what was looked at when the work was checked.",
    Need.TRAVEL_EMPTY: "Say how the full travel went, empty.",
    Need.TRAVEL_LOADED: "Say how the full travel went, loaded, and with what load.",
    Need.TRAVEL_FIRST: "Name the first of the two people at the travel.",
    Need.TRAVEL_SECOND: "Name the second of the two people at the travel.",
    Need.LOCKS_OFF: "Say who took off which lock and tag, or that none was hung.",
    Need.LABEL: "Say what the label and the schedule say now, or that nothing on them changes.",
    Need.CREW_TOLD: "Say which crew was told, by whom.",
    Need.RELOOK_ON: "Name the day of the next look.",
    Need.PAPER: "Structure needs an engineer's paper as well: name it (who wrote it, date, number).",
}
_ALWAYS = (Need.REASON, Need.WORK_BY, Need.CHECKED_BY, Need.CHECKED)
_TRAVEL = (Need.TRAVEL_EMPTY, Need.TRAVEL_LOADED, Need.TRAVEL_FIRST, Need.TRAVEL_SECOND)
_AFTER = (Need.LOCKS_OFF, Need.LABEL, Need.CREW_TOLD, Need.RELOOK_ON)
# group -> what it asks where nothing travels, and where something does
NEEDS: Mapping[tuple[Group, bool], tuple[Need, ...]] = {
    (Group.LOAD_PATH, True): (*_ALWAYS, *_TRAVEL, *_AFTER),
    (Group.LOAD_PATH, False): (*_ALWAYS, *_AFTER),
    (Group.BRAKE_OR_LIMIT, True): (*_ALWAYS, *_TRAVEL, *_AFTER),
    (Group.BRAKE_OR_LIMIT, False): (*_ALWAYS, *_AFTER),
    (Group.STRUCTURE, True): (*_ALWAYS, Need.PAPER, *_TRAVEL, *_AFTER),
    (Group.STRUCTURE, False): (*_ALWAYS, Need.PAPER, *_AFTER),
    (Group.OTHER, True): (*_ALWAYS, *_TRAVEL, *_AFTER),
    (Group.OTHER, False): (*_ALWAYS, *_AFTER),
}
RELOOK_WITHIN_DAYS = 90  # a short date: common practice, no source
RELOOK_USUAL_DAYS = 30  # common practice, no source
TRAVELS_ALONE = frozenset({PartKind.FIRE_SAFETY_CURTAIN, PartKind.HOIST, PartKind.ROPE_SET})
_LOCKED = frozenset({Step.LOCK_AND_TAG_ON, Step.ISOLATOR_LOCKED})


@dataclass(frozen=True, slots=True)
class WithdrawalAsk:
    """The raiser says that the wrong set was stopped; the stop stands until a second person confirms it."""

    by: str
    by_name: str
    at: datetime
    reason: str


def travels(tag_out: TagOut) -> bool:
    """Whether something is to be run through its full travel: a set that is not dead hung, or a part that moves."""
    if tag_out.line_set is not None:
        return not tag_out.dead_hung
    return tag_out.part_kind in TRAVELS_ALONE


def needs_of(tag_out: TagOut) -> tuple[Need, ...]:
    """All that the release of this tag-out asks, in the order in which it is done."""
    return NEEDS[group_of_tag(tag_out), travels(tag_out)]


def missing_needs(tag_out: TagOut, answers: Mapping[str, str]) -> dict[Need, str]:
    """What a release still has to say, and how to say it."""
    return {need: NEED_ASKS[need] for need in needs_of(tag_out) if not answers.get(need, "").strip()}


def who_hung(tag_out: TagOut) -> tuple[str, ...]:
    """The people who hung locks and tags, as far as it was recorded, each once."""
    names = (step.who.strip() or step.by_name for step in tag_out.steps if step.step in _LOCKED)
    return tuple(dict.fromkeys(name for name in names if name))


def checked_by_repairer_only(answers: Mapping[str, str]) -> bool:
    """Whether a release says that who did the work also checked it, as far as names tell: shown as unfinished."""
    return may_be(answers.get(Need.WORK_BY, ""), answers.get(Need.CHECKED_BY, ""))


def check_work_checked(tag_out: TagOut, rows: Iterable[Deficiency]) -> None:
    """Raise Conflict while a deficiency graded stop use on the stopped part is neither checked nor closed.

    `rows` are deficiencies of the house. Nothing comes back into use while its own log says that it is to be stopped.
    """
    for row in unchecked(tag_out, rows):
        raise Conflict(
            f"Deficiency {row.number} on {row.part_tag} is graded stop use and stands at: {STATE_TITLES[row.state]}. "
            "It is put right and checked first, or found no fault, or given another grade, there. It stays out of use."
        )


def unchecked(tag_out: TagOut, rows: Iterable[Deficiency]) -> list[Deficiency]:
    """The deficiencies graded stop use on the stopped part that nobody has checked yet."""
    return [
        row
        for row in rows
        if row.part == tag_out.part and row.open and row.grade is Grade.STOP_USE
        if row.state is not DeficiencyState.CHECKED
    ]


def is_unfinished(ending: TagEnding | None, check: TagCheck | None) -> bool:
    """Whether something is back in use that only who did the work has checked."""
    released = ending is not None and ending.state is TagState.RELEASED
    return released and check is None and ending is not None and checked_by_repairer_only(ending.answers)


def check_second_check(
    tag_out: TagOut,
    ending: TagEnding | None,
    known: TagCheck | None,
    role: Role,
    held: Iterable[Role],
    *,
    name: str,
    looked_at: str,
) -> None:
    """Raise unless `name`, as `role`, may record the check that a release by the repairer's word alone still lacks.

    Conflict when nothing is unfinished, and always on load path, brakes and structure, which are never released that
    way; NotAllowed for a role not held or not entitled and for who did the work; BadValue without words.
    """
    group = group_of_tag(tag_out)
    if group is not Group.OTHER:
        raise Conflict(f"{GROUP_TITLES[group].capitalize()}: it is checked before it is released, never afterwards.")
    if not is_unfinished(ending, known) or ending is None:
        raise Conflict("Nothing is unfinished here: somebody other than who did the work has checked it.")
    if role not in set(held) or role not in RELEASING[group]:
        raise NotAllowed("This check is for a technical director or a qualified inspector, in a role that they hold.")
    if may_be(name, ending.answers.get(Need.WORK_BY, "")):
        raise NotAllowed(
            f"The work was done by {ending.answers[Need.WORK_BY]}: somebody else must check it. It stays unfinished."
        )
    if not looked_at.strip():
        raise BadValue("Say what was looked at, measured and tried.", "looked_at")


def check_release(
    tag_out: TagOut, role: Role, held: Iterable[Role], answers: Mapping[str, str], *, releaser: str, today: date
) -> None:
    """Raise unless this role may put the thing back and everything its group needs has been said.

    `answers` is text by need; `releaser` the name of who releases. NotAllowed for a role not held or not entitled (a
    manager or administrator as such never is); BadValue on the field of the first need that is missing or does not
    do; Conflict when the tag-out no longer stands.
    """
    group = group_of_tag(tag_out)
    if tag_out.state is not TagState.STANDING:
        raise Conflict(f"This tag-out was already {tag_out.state}.")
    if role not in set(held):
        raise NotAllowed(f"You do not hold the role {ROLE_TITLES[role]} in this house.")
    if role not in RELEASING[group]:
        entitled = " or ".join(ROLE_TITLES[r].lower() for r in Role if r in RELEASING[group])
        raise NotAllowed(
            f"{tag_out.scope or 'This'} concerns {GROUP_TITLES[group]}: "
            f"only a {entitled} releases it. It stays out of use."
        )
    for need, words in missing_needs(tag_out, answers).items():
        raise BadValue(words, need.value)
    _check_people(tag_out, group, answers, releaser)
    _check_relook(answers.get(Need.RELOOK_ON, ""), today)


def _check_people(tag_out: TagOut, group: Group, answers: Mapping[str, str], releaser: str) -> None:
    if group is not Group.OTHER and checked_by_repairer_only(answers):
        raise BadValue(
            f"{GROUP_TITLES[group].capitalize()}: somebody other than who did the work must check it. Where these are "
            "two people, write both names in full.",
            Need.CHECKED_BY.value,
        )
    if group is not Group.OTHER and may_be(answers.get(Need.WORK_BY, ""), releaser):
        raise BadValue(
            "Who did the work does not release it. It stays out of use. Where that was somebody with a like name, "
            "write it in full.",
            Need.WORK_BY.value,
        )
    first, second = answers.get(Need.TRAVEL_FIRST, ""), answers.get(Need.TRAVEL_SECOND, "")
    if travels(tag_out) and may_be(first, second):
        raise BadValue(
            "The travel is run by two people: name the second one. Write both in full.", Need.TRAVEL_SECOND.value
        )
    off = name_words(answers.get(Need.LOCKS_OFF, ""))
    missing = [name for name in who_hung(tag_out) if not name_words(name) <= off]
    if missing:
        raise BadValue(
            f"Hung by {', '.join(missing)}: each takes off their own. Name them, or who stood in for them and why.",
            Need.LOCKS_OFF.value,
        )


def _check_relook(text: str, today: date) -> None:
    try:
        day = date.fromisoformat(text.strip())
    except ValueError:
        raise BadValue("Write the day of the next look as 2026-03-04.", Need.RELOOK_ON.value) from None
    if not today < day <= today + timedelta(days=RELOOK_WITHIN_DAYS):
        raise BadValue(
            f"The next look must be soon: after today and within {RELOOK_WITHIN_DAYS} days.", Need.RELOOK_ON.value
        )


def check_withdrawal_ask(tag_out: TagOut, by: str, reason: str, asked: bool) -> None:
    """Raise unless the raiser may say that a stop was raised on the wrong set. The stop stands meanwhile."""
    if tag_out.state is not TagState.STANDING:
        raise Conflict(f"This tag-out was already {tag_out.state}.")
    if by != tag_out.raised_by:
        raise NotAllowed(
            f"Only the person who raised it, {tag_out.raised_by_name}, may withdraw it. It stays out of use."
        )
    if tag_out.event:
        raise Conflict(
            "A hold after an event is never withdrawn alone: it is released, or two people withdraw the event."
        )
    if asked:
        raise Conflict("You asked already. A second person confirms it on their own account; until then it stands.")
    if not reason.strip():
        raise BadValue("Say what was stopped by mistake and what was meant.", "reason")


def check_confirmation(tag_out: TagOut, ask: WithdrawalAsk | None, second: str) -> None:
    """Raise unless `second`, on their own account, confirms what the raiser asked."""
    if tag_out.state is not TagState.STANDING:
        raise Conflict(f"This tag-out was already {tag_out.state}.")
    if ask is None:
        raise Conflict(f"{tag_out.raised_by_name} has not asked to withdraw it. It stays out of use.")
    if second == ask.by:
        raise NotAllowed("A second person confirms it on their own account. It stays out of use.")
