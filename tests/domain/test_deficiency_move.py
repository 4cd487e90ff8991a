"""The one table of moves: every state, every role, allowed and refused, held against a table written down apart."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import OPEN_STATES, DeficiencyState
from inspect_app.domain.deficiency_move import (
    NEED_WORDS,
    TRANSITIONS,
    Standing,
    check_move,
    may_move,
    moves_from,
    state_pairs,
    transition_for,
)
from inspect_app.domain.errors import BadValue, Conflict, DomainError, NotAllowed
from inspect_app.domain.role import Role
from inspect_app.domain.tag_out import Group

TODAY = date(2026, 3, 4)
FULL = {
    "decision": "replace", "responsible": "R. Abara", "responsible_id": "abara", "due_on": "2026-04-01",
    "put_right_by": "Harbour Rigging", "put_right_by_id": "", "done_on": "2026-03-02", "what": "new bolt",
    "looked_at": "torque tried", "reason": "a paint run", "decided_by": "R. Abara", "until": "2026-06-01",
    "same_as": "7",
}  # fmt: skip

# Who may move what, as it was agreed; letters: T director, I inspector, M manager, H helper. `!` marks rows that are
# the inspector's alone on load path, brake and structure above *watch*.
AGREED: Mapping[tuple[str, str], str] = {
    ("found", "decided"): "TIM", ("put_off", "decided"): "TIM", ("sent_back", "decided"): "TIM",
    ("found", "no_fault"): "TI!", ("decided", "no_fault"): "TI!",
    ("decided", "in_hand"): "TM", ("sent_back", "in_hand"): "TM",
    ("decided", "work_done"): "TIMH", ("in_hand", "work_done"): "TIMH", ("sent_back", "work_done"): "TIMH",
    ("work_done", "work_done"): "TI",
    ("work_done", "checked"): "TI!",
    ("work_done", "sent_back"): "TI", ("checked", "sent_back"): "TI",
    ("checked", "settled"): "TIM",
    ("found", "put_off"): "TM", ("decided", "put_off"): "TM", ("in_hand", "put_off"): "TM",
    ("sent_back", "put_off"): "TM",
    **{(state.value, "same"): "TI" for state in OPEN_STATES},
}  # fmt: skip
LETTERS = {Role.TD: "T", Role.INSPECTOR: "I", Role.MANAGER: "M", Role.HELPER: "H", Role.ADMIN: "A"}
MOVES = list(product(DeficiencyState, DeficiencyState))
ACTOR = "me"


def tried(standing: Standing, to_state: DeficiencyState, role: Role, **proof: str) -> DomainError | None:
    """What a move with all that is asked for is answered, by somebody who did the work only where that is asked."""
    mine = role is Role.HELPER or (standing.state, to_state) == (DeficiencyState.WORK_DONE, DeficiencyState.WORK_DONE)
    given_proof = {**FULL, "put_right_by_id": ACTOR if mine else "", **proof}
    now = replace(standing, repairer=ACTOR) if mine and not standing.repairer else standing
    try:
        check_move(now, to_state, by=ACTOR, role=role, held={role}, proof=given_proof, today=TODAY)
    except DomainError as error:
        return error
    return None


@pytest.mark.parametrize("role", Role)
def test_every_move_by_every_role_is_as_agreed(role: Role) -> None:
    wrong = []
    for old, new in MOVES:
        letters = AGREED.get((old.value, new.value), "")
        error = tried(Standing(old, Grade.REPAIR_BY), new, role)
        if not (error is None if LETTERS[role] in letters else isinstance(error, NotAllowed | Conflict)):
            wrong.append(f"{old.value} to {new.value}: {error!r}")
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize("group", [Group.LOAD_PATH, Group.BRAKE_OR_LIMIT, Group.STRUCTURE])
@pytest.mark.parametrize("role", Role)
@pytest.mark.parametrize(("move", "letters"), [(m, w) for m, w in AGREED.items() if "!" in w])
def test_load_path_brake_and_structure_above_watch_are_judged_by_an_inspector_alone(
    move: tuple[str, str], letters: str, role: Role, group: Group
) -> None:
    old, new = DeficiencyState(move[0]), DeficiencyState(move[1])
    error = tried(Standing(old, Grade.REPAIR_BY, group), new, role)
    assert (error is None) == (role is Role.INSPECTOR)
    watched = tried(Standing(old, Grade.WATCH, group), new, role)
    assert (watched is None) == (LETTERS[role] in letters)


@pytest.mark.parametrize("role", [Role.TD, Role.INSPECTOR])
@pytest.mark.parametrize("group", Group)
@pytest.mark.parametrize("grade", Grade)
def test_nobody_checks_what_they_put_right(role: Role, group: Group, grade: Grade) -> None:
    mine = Standing(DeficiencyState.WORK_DONE, grade, group, repairer=ACTOR)
    assert isinstance(tried(mine, DeficiencyState.CHECKED, role), NotAllowed)


@pytest.mark.parametrize("group", Group)
def test_the_mark_of_the_repairer_is_theirs_and_never_for_the_load_path(group: Group) -> None:
    for repairer, expected in ((ACTOR, group is Group.OTHER), ("another", False)):
        standing = Standing(DeficiencyState.WORK_DONE, Grade.WATCH, group, repairer=repairer)
        assert (tried(standing, DeficiencyState.WORK_DONE, Role.TD) is None) == expected
    assert transition_for(DeficiencyState.WORK_DONE, DeficiencyState.WORK_DONE).to_state not in (
        DeficiencyState.CHECKED, DeficiencyState.SETTLED,
    )  # fmt: skip


@pytest.mark.parametrize("role", Role)
def test_nothing_settles_while_a_stop_raised_from_it_stands(role: Role) -> None:
    standing = Standing(DeficiencyState.CHECKED, Grade.STOP_USE, stopped=True)
    assert tried(standing, DeficiencyState.SETTLED, role) is not None
    assert may_move(standing, transition_for(standing.state, DeficiencyState.SETTLED), ACTOR, Role) == ()


@pytest.mark.parametrize("group", Group)
@pytest.mark.parametrize("grade", Grade)
def test_what_somebody_else_checked_while_it_was_milder_is_not_settled(group: Group, grade: Grade) -> None:
    for checked_as in (Role.TD, Role.INSPECTOR):
        standing = Standing(DeficiencyState.CHECKED, grade, group, checked_as=checked_as)
        refused = group is not Group.OTHER and grade is not Grade.WATCH and checked_as is Role.TD
        for role in (Role.TD, Role.INSPECTOR, Role.MANAGER):
            assert isinstance(tried(standing, DeficiencyState.SETTLED, role), Conflict) == refused
            assert (tried(standing, DeficiencyState.SETTLED, role) is None) != refused


@pytest.mark.parametrize("state", [s for s in DeficiencyState if (s.value, "put_off") in AGREED])
def test_stop_use_is_never_put_off(state: DeficiencyState) -> None:
    for standing in (Standing(state, Grade.STOP_USE), Standing(state, Grade.WATCH, stopped=True)):
        assert isinstance(tried(standing, DeficiencyState.PUT_OFF, Role.MANAGER), Conflict)


def test_a_helper_tells_only_of_their_own_work() -> None:
    standing = Standing(DeficiencyState.IN_HAND, Grade.WATCH)
    assert tried(standing, DeficiencyState.WORK_DONE, Role.HELPER) is None
    error = tried(standing, DeficiencyState.WORK_DONE, Role.HELPER, put_right_by_id="another")
    assert isinstance(error, NotAllowed)


@pytest.mark.parametrize(
    ("row", "need"), [(row, need) for row in TRANSITIONS if row.roles for need in row.needs], ids=lambda x: str(x)[:40]
)
def test_each_need_is_asked_for_on_its_own_field(row, need: str) -> None:  # type: ignore[no-untyped-def]
    role = next(iter(sorted(row.roles)))
    for state in row.from_states:
        error = tried(Standing(state, Grade.WATCH), row.to_state, role, **{need: " "})
        assert isinstance(error, BadValue | NotAllowed)
        if isinstance(error, BadValue):
            assert (error.field, error.message) == (need, NEED_WORDS[need])


@given(st.integers(-400, 400))
def test_work_is_not_dated_ahead_and_a_put_off_never_behind(days: int) -> None:
    day = (TODAY + timedelta(days=days)).isoformat()
    done = tried(Standing(DeficiencyState.IN_HAND, Grade.WATCH), DeficiencyState.WORK_DONE, Role.TD, done_on=day)
    assert (done is None) == (days <= 0)
    until = tried(Standing(DeficiencyState.FOUND, Grade.WATCH), DeficiencyState.PUT_OFF, Role.TD, until=day)
    assert (until is None) == (days > 0)


def test_a_day_in_words_is_asked_for_again() -> None:
    error = tried(Standing(DeficiencyState.IN_HAND, Grade.WATCH), DeficiencyState.WORK_DONE, Role.TD, done_on="Monday")
    assert isinstance(error, BadValue)
    assert error.field == "done_on"


def test_a_role_that_is_not_held_counts_for_nothing() -> None:
    with pytest.raises(NotAllowed, match="do not hold"):
        check_move(
            Standing(DeficiencyState.FOUND, Grade.WATCH), DeficiencyState.DECIDED, by=ACTOR, role=Role.INSPECTOR,
            held={Role.HELPER}, proof=FULL, today=TODAY,
        )  # fmt: skip


@pytest.mark.parametrize("state", DeficiencyState)
def test_what_is_offered_is_what_is_allowed(state: DeficiencyState) -> None:
    offered = {(row.to_state.value, role) for row in moves_from(state) for role in may_move(
        Standing(state, Grade.REPAIR_BY, repairer="another"), row, ACTOR, Role)}  # fmt: skip
    agreed = {
        (new, role) for (old, new), letters in AGREED.items() for role in Role
        if old == state.value and LETTERS[role] in letters and old != new
    }  # fmt: skip
    assert offered == agreed


def test_people_lead_nowhere_from_what_is_closed_and_every_open_state_leads_on() -> None:
    for state in DeficiencyState:
        assert bool(moves_from(state)) == (state in OPEN_STATES)


def test_the_database_is_told_every_pair_of_the_table_and_no_other() -> None:
    by_entry = {
        ("settled", "same"), ("no_fault", "same"), ("settled", "found"), ("no_fault", "found"), ("put_off", "found"),
    }  # fmt: skip
    assert state_pairs() == set(AGREED) | by_entry
