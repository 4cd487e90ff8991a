"""The one table of moves in the life of a deficiency: from where to where, by whom, with what, and when never."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import NamedTuple

from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import CLOSED_STATES, OPEN_STATES, STATE_TITLES, DeficiencyState
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.tag_out import GROUP_TITLES, Group

S = DeficiencyState


class Never(StrEnum):
    """What a move is refused for, whoever asks."""

    NO_INSPECTOR = "no_inspector"  # load path, brake or structure above *watch*: a qualified inspector's word
    OWN_WORK = "own_work"  # nobody checks what they put right
    NOT_OWN_WORK = "not_own_work"  # the mark *checked by the repairer only* is the repairer's
    GUARDED = "guarded"  # load path, brake or structure at any grade
    NOT_INSPECTED = "not_inspected"  # it is the inspector's to check now, and somebody else did, while it was milder
    STOP_STANDS = "stop_stands"  # a tag-out raised from it stands
    STOP_USE = "stop_use"
    HELPER_FOR_OTHERS = "helper_for_others"  # a helper tells of their own work only


class Transition(NamedTuple):
    """One row: from any of `from_states` to `to_state`, by people in `roles`, by an entry (`by_entry`), or by both.

    A move by an entry needs nothing and asks nobody: what is found is found. A move to the same state is a mark.
    """

    from_states: frozenset[DeficiencyState]
    to_state: DeficiencyState
    roles: frozenset[Role]
    needs: tuple[str, ...] = ()
    may_have: tuple[str, ...] = ()
    never: tuple[Never, ...] = ()
    by_entry: bool = False
    verb: str = ""


_TD, _INSPECTOR, _MANAGER, _HELPER = Role.TD, Role.INSPECTOR, Role.MANAGER, Role.HELPER
_NOBODY: frozenset[Role] = frozenset()

TRANSITIONS: tuple[Transition, ...] = (
    Transition(
        frozenset({S.FOUND, S.PUT_OFF, S.SENT_BACK}), S.DECIDED, frozenset({_TD, _INSPECTOR, _MANAGER}),
        ("decision", "responsible", "due_on"), ("order_number",), verb="Decide what is done",
    ),
    Transition(
        frozenset({S.FOUND, S.DECIDED}), S.NO_FAULT, frozenset({_TD, _INSPECTOR}),
        ("reason",), never=(Never.NO_INSPECTOR,), verb="Say that it is no fault",
    ),
    Transition(
        frozenset({S.DECIDED, S.SENT_BACK}), S.IN_HAND, frozenset({_TD, _MANAGER}),
        ("responsible",), ("order_number", "note"), verb="Take it in hand",
    ),
    Transition(
        frozenset({S.DECIDED, S.IN_HAND, S.SENT_BACK}), S.WORK_DONE, frozenset({_TD, _INSPECTOR, _MANAGER, _HELPER}),
        ("put_right_by", "done_on", "what"), ("parts_used",), (Never.HELPER_FOR_OTHERS,), verb="Record the work done",
    ),
    Transition(
        frozenset({S.WORK_DONE}), S.WORK_DONE, frozenset({_TD, _INSPECTOR}),
        ("looked_at",), never=(Never.NOT_OWN_WORK, Never.GUARDED), verb="Mark it as checked by the repairer only",
    ),
    Transition(
        frozenset({S.WORK_DONE}), S.CHECKED, frozenset({_TD, _INSPECTOR}),
        ("looked_at",), never=(Never.OWN_WORK, Never.NO_INSPECTOR), verb="Record that it was checked",
    ),
    Transition(
        frozenset({S.WORK_DONE, S.CHECKED}), S.SENT_BACK, frozenset({_TD, _INSPECTOR}),
        ("reason",), by_entry=True, verb="Send it back",
    ),
    Transition(
        frozenset({S.CHECKED}), S.SETTLED, frozenset({_TD, _INSPECTOR, _MANAGER}),
        (), ("re_look_on", "note"), (Never.STOP_STANDS, Never.NOT_INSPECTED), verb="Settle it",
    ),
    Transition(
        frozenset({S.FOUND, S.DECIDED, S.IN_HAND, S.SENT_BACK}), S.PUT_OFF, frozenset({_TD, _MANAGER}),
        ("decision", "decided_by", "until"), never=(Never.STOP_USE,), verb="Put it off until a date",
    ),
    Transition(OPEN_STATES, S.SAME, frozenset({_TD, _INSPECTOR}), ("same_as",), (), (), True,
               "Say that it is the same as another"),
    Transition(CLOSED_STATES, S.SAME, _NOBODY, by_entry=True),
    # An entry shows that what was closed stood open under another number, or was graver than anyone knew; or that
    # something got worse after it was put off.
    Transition(CLOSED_STATES | {S.PUT_OFF}, S.FOUND, _NOBODY, by_entry=True),
)  # fmt: skip

NEED_WORDS: Mapping[str, str] = {
    "decision": "Say what is decided.",
    "responsible": "Name who sees to it: a person of the house, or a contractor.",
    "due_on": "Set the day by which it is put right.",
    "put_right_by": "Say who put it right.",
    "done_on": "Say on which day it was put right.",
    "what": "Say what was done.",
    "looked_at": "Say what was looked at, measured and tried.",
    "reason": "Say why.",
    "decided_by": "Name the person who decided to put it off.",
    "until": "Set the day until which it is put off.",
    "same_as": "Give the number of the deficiency that carries on.",
}
DAYS = ("due_on", "done_on", "until", "re_look_on")
NOT_AHEAD, AHEAD = frozenset({"done_on"}), frozenset({"until", "re_look_on"})


@dataclass(frozen=True, slots=True)
class Standing:
    """What a move turns on. `group`: what the part carries or guards; `repairer`: the id of who put it right, if they
    belong to the house; `stopped`: whether a tag-out raised from it stands; `checked_as`: the role of its check."""

    state: DeficiencyState
    grade: Grade
    group: Group = Group.OTHER
    repairer: str = ""
    stopped: bool = False
    checked_as: str = ""


def needs_inspector(group: Group, grade: Grade) -> bool:
    """Whether a repair is checked by a qualified inspector: load path, brakes and structure, above *watch*."""
    return group is not Group.OTHER and grade is not Grade.WATCH


def transition_for(from_state: DeficiencyState, to_state: DeficiencyState) -> Transition:
    """The row of the table for a move by people or, failing that, by an entry. Raises Conflict when there is none."""
    rows = [row for row in TRANSITIONS if from_state in row.from_states and row.to_state is to_state]
    if not rows:
        raise Conflict(f"A deficiency that is {STATE_TITLES[from_state]} cannot become {STATE_TITLES[to_state]}.")
    return next((row for row in rows if row.roles), rows[0])


def state_pairs() -> frozenset[tuple[str, str]]:
    """Every (from, to) that the table has; what no row allows, the database refuses as well."""
    return frozenset((old.value, row.to_state.value) for row in TRANSITIONS for old in row.from_states)


def may_move(standing: Standing, row: Transition, by: str, roles: Iterable[Role]) -> tuple[Role, ...]:
    """The roles, of those a person holds, under which they may make this move now; so far as is known beforehand."""
    return tuple(
        role
        for role in Role
        if role in set(roles) and role in row.roles and _refusal(standing, row, by, role, {}) is None
    )


def refused_words(standing: Standing, row: Transition, by: str, roles: Iterable[Role]) -> str:
    """Why a person whose roles have this move cannot make it now; '' where they can, or where it is not for them."""
    held = [role for role in Role if role in set(roles) and role in row.roles]
    found = [_refusal(standing, row, by, role, {}) for role in held]
    return found[0].message if found and found[0] is not None and None not in found else ""


def moves_from(state: DeficiencyState) -> tuple[Transition, ...]:
    """The rows by which people lead on from a state, in the order in which they are offered."""
    return tuple(row for row in TRANSITIONS if state in row.from_states and row.roles)


def check_move(
    standing: Standing,
    to_state: DeficiencyState,
    *,
    by: str,
    role: Role,
    held: Iterable[Role],
    proof: Mapping[str, str],
    today: date,
) -> Transition:
    """The row of the table under which `by`, acting as `role`, makes this move with this proof; raises otherwise.

    Conflict for a move that does not exist or that the present state of things forbids; NotAllowed for a role not held
    or not entitled, and for checking one's own work; BadValue for proof that is missing or a day that cannot be, on the
    field it belongs to. `proof["put_right_by_id"]` is the id of who did the work, when they belong to the house.
    """
    row = transition_for(standing.state, to_state)
    if role not in set(held):
        raise NotAllowed(f"You do not hold the role {ROLE_TITLES[role]} in this house.")
    if role not in row.roles:
        raise NotAllowed(f"A {ROLE_TITLES[role].lower()} may not make a deficiency {STATE_TITLES[to_state]}.")
    refused = _refusal(standing, row, by, role, proof)
    if refused is not None:
        raise refused
    check_proof(row.needs, proof, today)
    return row


def missing_proof(needs: Iterable[str], proof: Mapping[str, str]) -> dict[str, str]:
    """What a move still has to say, and how to say it, by need."""
    return {need: NEED_WORDS[need] for need in needs if not proof.get(need, "").strip()}


def check_proof(needs: Iterable[str], proof: Mapping[str, str], today: date) -> None:
    """Raise BadValue for the first thing that is missing, or a day that cannot be read or lies on the wrong side."""
    for need, words in missing_proof(needs, proof).items():
        raise BadValue(words, need)
    for name in DAYS:
        text = proof.get(name, "")
        if not text:
            continue
        try:
            day = date.fromisoformat(text)
        except ValueError:
            raise BadValue("Write the day as YYYY-MM-DD.", name) from None
        if name in NOT_AHEAD and day > today:
            raise BadValue("The day of the repair lies ahead.", name)
        if name in AHEAD and day <= today:
            raise BadValue("This day must lie ahead.", name)


def _refusal(
    standing: Standing, row: Transition, by: str, role: Role, proof: Mapping[str, str]
) -> NotAllowed | Conflict | None:
    for never in row.never:
        found = _HOLDS[never](standing, by, role, proof)
        if found:
            kind = Conflict if never in (Never.STOP_STANDS, Never.STOP_USE, Never.NOT_INSPECTED) else NotAllowed
            return kind(_WORDS[never].format(group=GROUP_TITLES[standing.group]))
    return None


_HOLDS: Mapping[Never, Callable[[Standing, str, Role, Mapping[str, str]], bool]] = {
    Never.NO_INSPECTOR: lambda s, by, role, proof: role is not Role.INSPECTOR and needs_inspector(s.group, s.grade),
    Never.OWN_WORK: lambda s, by, role, proof: bool(s.repairer) and s.repairer == by,
    Never.NOT_OWN_WORK: lambda s, by, role, proof: s.repairer != by,
    Never.GUARDED: lambda s, by, role, proof: s.group is not Group.OTHER,
    Never.NOT_INSPECTED: lambda s, by, role, proof: (
        needs_inspector(s.group, s.grade) and s.checked_as != Role.INSPECTOR
    ),
    Never.STOP_STANDS: lambda s, by, role, proof: s.stopped,
    Never.STOP_USE: lambda s, by, role, proof: s.stopped or s.grade is Grade.STOP_USE,
    Never.HELPER_FOR_OTHERS: lambda s, by, role, proof: (
        role is Role.HELPER and "put_right_by" in proof and proof.get("put_right_by_id", "") != by
    ),
}
_WORDS: Mapping[Never, str] = {
    Never.NO_INSPECTOR: "This concerns {group}: a qualified inspector says so, or nobody. It stays open.",
    Never.OWN_WORK: (
        "Somebody other than the person who put it right must check it. It stays open. Where that was somebody with a "
        "name like yours, send it back and record the work under their full name."
    ),
    Never.NOT_OWN_WORK: "This mark is for the person who put it right. You may check it as the second person.",
    Never.GUARDED: "This concerns {group}: it waits for a second person; a check by the repairer alone is not taken.",
    Never.NOT_INSPECTED: (
        "This concerns {group} and is graver than when it was checked: send it back, so that a qualified inspector "
        "checks it. It stays open."
    ),
    Never.STOP_STANDS: "The stop raised from it still stands. Release the tag-out first; it stays open.",
    Never.STOP_USE: "Stop use is never put off: it stays out of use until it is put right and released.",
    Never.HELPER_FOR_OTHERS: "A helper records only the work they did themselves.",
}


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
