"""Deficiencies: the thing to repair that findings point at, its states, and who may move it from one to the next."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import NamedTuple

from inspect_app.domain.checklist import GRADE_RANK, Grade
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.tag_out import GROUP_TITLES, Group


class DeficiencyState(StrEnum):
    """Where a deficiency stands."""

    FOUND = "found"
    SETTLED = "settled"
    NO_FAULT = "no_fault"
    SAME = "same"  # as another one, which carries on: an entry in between arrived after both had a number


STATE_TITLES: Mapping[DeficiencyState, str] = {
    DeficiencyState.FOUND: "found",
    DeficiencyState.SETTLED: "settled",
    DeficiencyState.NO_FAULT: "no fault",
    DeficiencyState.SAME: "same as another",
}
OPEN_STATES = frozenset({DeficiencyState.FOUND})


class Answer(StrEnum):
    """What a finding says of a deficiency that is known."""

    NEW = "new"
    STILL_THERE = "still_there"
    WORSE = "worse"
    NOT_SEEN_NOW = "not_seen_now"


FINDS_AGAIN = frozenset({Answer.NEW, Answer.STILL_THERE, Answer.WORSE})  # *not seen now* settles nothing, finds nothing


class Transition(NamedTuple):
    """One allowed move. `roles` is empty for a move that an entry makes by itself; `needs` names the proof."""

    from_state: DeficiencyState
    to_state: DeficiencyState
    roles: frozenset[Role]
    needs: tuple[str, ...] = ()


_DECIDERS = frozenset({Role.TD, Role.INSPECTOR, Role.MANAGER})
_VERIFIERS = frozenset({Role.TD, Role.INSPECTOR})

TRANSITIONS: tuple[Transition, ...] = (
    Transition(DeficiencyState.FOUND, DeficiencyState.SETTLED, _VERIFIERS, ("put_right_by", "done_on", "what")),
    Transition(DeficiencyState.FOUND, DeficiencyState.NO_FAULT, _DECIDERS - {Role.MANAGER}, ("reason",)),
    Transition(DeficiencyState.SETTLED, DeficiencyState.FOUND, frozenset()),
    Transition(DeficiencyState.NO_FAULT, DeficiencyState.FOUND, frozenset()),
)
NEED_WORDS: Mapping[str, str] = {
    "put_right_by": "Say who put it right.",
    "done_on": "Say on which day it was put right.",
    "what": "Say what was done and how it was checked (parts used, measured, tried).",
    "reason": "Say why it is no fault.",
}


@dataclass(frozen=True, slots=True)
class Deficiency:
    """One deficiency as it stands. `findings` are the ids of the findings that point at it, oldest first."""

    id: str
    house: str
    number: int
    part: str
    what: str
    grade: Grade
    state: DeficiencyState
    found_at: datetime
    due_on: str = ""
    part_tag: str = ""
    part_kind: str = ""
    line_set: str = ""
    findings: tuple[str, ...] = ()

    @property
    def open(self) -> bool:
        """Whether somebody still has to do something about it."""
        return self.state in OPEN_STATES


@dataclass(frozen=True, slots=True)
class DeficiencyEvent:
    """One move in the life of a deficiency, with the proof as it was given."""

    from_state: str
    to_state: str
    by: str
    by_name: str
    role: str
    at: datetime
    note: str
    proof: Mapping[str, str]


def worse_grade(known: Grade, said: Grade) -> Grade:
    """The graver of two grades: a finding raises a deficiency's grade, it never lowers it."""
    return max(known, said, key=lambda grade: GRADE_RANK[grade])


def needs_inspector(group: Group, grade: Grade) -> bool:
    """Whether a repair is checked by a qualified inspector: load path, brakes and structure, above *watch*."""
    return group is not Group.OTHER and grade is not Grade.WATCH


def transition_for(from_state: DeficiencyState, to_state: DeficiencyState) -> Transition:
    """The row of the table for a move. Raises Conflict when there is none."""
    for row in TRANSITIONS:
        if (row.from_state, row.to_state) == (from_state, to_state):
            return row
    raise Conflict(f"A deficiency that is {STATE_TITLES[from_state]} cannot become {STATE_TITLES[to_state]}.")


def check_move(
    deficiency: Deficiency,
    to_state: DeficiencyState,
    *,
    by: str,
    role: Role,
    held: Iterable[Role],
    proof: Mapping[str, str],
    group: Group = Group.OTHER,
) -> None:
    """Raise unless `by` may make this move, acting under `role`, with this proof.

    NotAllowed for a role not held or not entitled (`group`: what the part carries or guards), and for settling one's
    own work (`proof["put_right_by_id"]`); BadValue for proof that is missing, on the field it belongs to; Conflict for
    a move that does not exist.
    """
    row = transition_for(deficiency.state, to_state)
    if role not in set(held):
        raise NotAllowed(f"You do not hold the role {ROLE_TITLES[role]} in this house.")
    if role not in row.roles:
        raise NotAllowed(f"A {ROLE_TITLES[role].lower()} may not make a deficiency {STATE_TITLES[to_state]}.")
    if role is not Role.INSPECTOR and needs_inspector(group, deficiency.grade):
        raise NotAllowed(
            f"This concerns {GROUP_TITLES[group]}: the repair is checked by a qualified inspector. It stays open."
        )
    for need in row.needs:
        if not proof.get(need, "").strip():
            raise BadValue(NEED_WORDS[need], need)
    if to_state is DeficiencyState.SETTLED and proof.get("put_right_by_id", "") == by:
        raise NotAllowed("Somebody other than the person who put it right must check it. It stays open.")


def check_acceptance(
    worst: Grade | None, stopped: bool, review_by: date, today: date, texts: Mapping[str, str]
) -> None:
    """Raise unless a house may accept a condition for a time.

    `worst` is the gravest open grade on the part and `stopped` whether a tag-out stands on it or its set. Conflict for
    stop use, which is never accepted; BadValue for a review date that is not ahead, or a text that is missing.
    """
    if stopped or worst is Grade.STOP_USE:
        raise Conflict("Stop use is never accepted: the thing stays out of use until it is put right and released.")
    for field, words in ACCEPTANCE_NEEDS.items():
        if not texts.get(field, "").strip():
            raise BadValue(words, field)
    if review_by <= today:
        raise BadValue("The review date must lie ahead: an accepted condition comes back for review.", "review_by")


ACCEPTANCE_NEEDS: Mapping[str, str] = {
    "what": "Say what the condition is.",
    "accepted_by": "Name the person who accepts it.",
    "role": "Say in what role they accept it.",
    "reason": "Say why it is accepted, and what protects people meanwhile.",
}
