"""Settling a deficiency, finding no fault, and accepting a condition for a time."""

from collections.abc import Mapping
from datetime import date, datetime

from sqlite_utils import Database

from inspect_app.actions.walk import require_role
from inspect_app.domain.checklist import GRADE_RANK
from inspect_app.domain.deficiency import Deficiency, DeficiencyState, check_acceptance, check_move
from inspect_app.domain.errors import BadValue, NotFound
from inspect_app.domain.part import PartKind
from inspect_app.domain.role import Role
from inspect_app.domain.tag_out import group_of
from inspect_app.store.accepted_condition import add_accepted, end_accepted
from inspect_app.store.db import write_transaction
from inspect_app.store.deficiency import add_deficiency_event, get_deficiency, list_deficiencies
from inspect_app.store.journal import append_journal, item
from inspect_app.store.look import update_part_state
from inspect_app.store.tag_out import find_scope, list_standing


def _deficiency(db: Database, house: str, deficiency: str) -> Deficiency:
    found = get_deficiency(db, house, deficiency)
    if found is None:
        raise NotFound("There is no such deficiency in this house.")
    return found


def _move(
    db: Database,
    at: datetime,
    actor: str,
    house: str,
    deficiency: str,
    to_state: DeficiencyState,
    role: Role,
    note: str,
    proof: Mapping[str, str],
) -> None:
    with write_transaction(db):
        held = require_role(db, house, actor, "deficiency.settle")
        found = _deficiency(db, house, deficiency)
        group = group_of(PartKind(found.part_kind), on_line_set=False)
        check_move(found, to_state, by=actor, role=role, held=held, proof=proof, group=group)
        add_deficiency_event(
            db, deficiency=found, to_state=to_state, by=actor, role=role.value, at=at, note=note, proof=proof
        )
        update_part_state(db, house, found.part)
        items = [item("deficiency", deficiency, [to_state.value, role.value, note, dict(proof)])]
        append_journal(db, at=at, actor=actor, action=f"deficiency.{to_state.value}", house=house, items=items)


def settle_deficiency(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    deficiency: str,
    role: Role,
    put_right_by: str,
    put_right_by_id: str,
    done_on: str,
    what: str,
) -> None:
    """Settle a repair that was checked by somebody other than the repairer, acting under a named role.

    `put_right_by` is the repairer's name, `put_right_by_id` their id when they belong to the house. Raises what
    check_move raises, NotFound, and BadValue on a date that is none or lies ahead.
    """
    if done_on:
        try:
            ahead = date.fromisoformat(done_on) > at.date()
        except ValueError:
            raise BadValue("Write the day as YYYY-MM-DD.", "done_on") from None
        if ahead:
            raise BadValue("The day of the repair lies ahead.", "done_on")
    proof = {"put_right_by": put_right_by, "put_right_by_id": put_right_by_id, "done_on": done_on, "what": what}
    _move(db, at, actor, house, deficiency, DeficiencyState.SETTLED, role, what.strip(), proof)


def find_no_fault(
    db: Database, *, at: datetime, actor: str, house: str, deficiency: str, role: Role, reason: str
) -> None:
    """Say that there is no fault, with the reason."""
    proof = {"reason": reason}
    _move(db, at, actor, house, deficiency, DeficiencyState.NO_FAULT, role, reason.strip(), proof)


def accept_condition(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    part: str,
    what: str,
    accepted_by: str,
    role: str,
    reason: str,
    paper: str,
    review_by: str,
) -> str:
    """Keep that the house accepts a condition until a review date; returns its id. Never for stop use.

    Deficiencies of the part stay open and say that the condition is accepted. Raises BadValue, Conflict, NotFound.
    """
    texts = {"what": what, "accepted_by": accepted_by, "role": role, "reason": reason}
    try:
        day = date.fromisoformat(review_by)
    except ValueError:
        raise BadValue("Write the review date as YYYY-MM-DD.", "review_by") from None
    with write_transaction(db):
        require_role(db, house, actor, "condition.accept")
        scope = find_scope(db, house, part=part)
        if scope is None:
            raise NotFound("There is no such part in this house.")
        open_here = [row.grade for row in list_deficiencies(db, house, open_only=True) if row.part == part]
        worst = max(open_here, key=GRADE_RANK.__getitem__, default=None)
        stopped = any(
            tag.part == part or (tag.line_set and tag.line_set == scope.line_set) for tag in list_standing(db, house)
        )
        check_acceptance(worst, stopped, day, at.date(), texts)
        new = add_accepted(
            db, house=house, part=part, what=what.strip(), accepted_by=accepted_by.strip(), role=role.strip(),
            reason=reason.strip(), paper=paper.strip(), review_by=day.isoformat(), by=actor, at=at,
        )  # fmt: skip
        items = [item("accepted_condition", new, [part, *texts.values(), paper, day.isoformat()])]
        append_journal(db, at=at, actor=actor, action="condition.accept", house=house, items=items)
    return new


def end_condition(db: Database, *, at: datetime, actor: str, house: str, condition: str) -> None:
    """End an accepted condition: it counts as open again. Raises NotFound."""
    with write_transaction(db):
        require_role(db, house, actor, "condition.accept")
        if not end_accepted(db, house, condition, at):
            raise NotFound("There is no such accepted condition in this house, or it has ended already.")
        items = [item("accepted_condition", condition, "ended")]
        append_journal(db, at=at, actor=actor, action="condition.end", house=house, items=items)
