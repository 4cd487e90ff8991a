"""Stopping a set, an area or a part; the steps after it; its release, or its withdrawal when it was the wrong set."""

from datetime import datetime

from sqlite_utils import Database

from inspect_app.actions.walk import require_role
from inspect_app.domain.errors import BadValue, NotFound
from inspect_app.domain.role import Role
from inspect_app.domain.tag_out import (
    Group,
    Step,
    TagOut,
    check_release,
    check_step,
    check_withdrawal,
    group_of,
)
from inspect_app.store.db import write_transaction
from inspect_app.store.journal import append_journal, item
from inspect_app.store.membership import get_membership
from inspect_app.store.tag_out import (
    add_release,
    add_step,
    add_withdrawal,
    find_scope,
    get_tag_out,
    raise_tag_out,
    set_responsible,
)


def _standing(db: Database, house: str, tag_out: str) -> TagOut:
    found = get_tag_out(db, house, tag_out)
    if found is None:
        raise NotFound("There is no such tag-out in this house.")
    return found


def release_group(tag_out: TagOut) -> Group:
    """What the release of this tag-out turns on."""
    return group_of(tag_out.part_kind, tag_out.line_set is not None)


def stop_thing(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    why: str,
    line_set: str | None = None,
    area: str | None = None,
    part: str | None = None,
) -> str:
    """Take a line set, an area or a part of the house out of use; returns the tag-out's id. Anyone may.

    A part that belongs to a line set stops the set. Raises BadValue without a reason, NotFound.
    """
    if not why.strip():
        raise BadValue("Say in a few words what is wrong.", "why")
    with write_transaction(db):
        require_role(db, house, actor, "stop.raise")
        scope = find_scope(db, house, line_set=line_set, area=area, part=part)
        if scope is None:
            raise NotFound("There is no such line set, area or part in this house.")
        new = raise_tag_out(
            db, house=house, line_set=scope.line_set, area=scope.area, part=scope.part, from_entry=None,
            why=why.strip(), by=actor, at=at,
        )  # fmt: skip
        items = [item("tag_out", new, [scope.line_set, scope.area, scope.part, why.strip()])]
        append_journal(db, at=at, actor=actor, action="stop.raise", house=house, items=items)
    return new


def record_step(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    tag_out: str,
    step: Step,
    who: str = "",
    note: str = "",
    responsible: str = "",
) -> None:
    """Record what was done after a stop, and who sees to the rest. Raises NotFound, Conflict, BadValue."""
    check_step(step, who, note)
    with write_transaction(db):
        require_role(db, house, actor, "stop.step")
        _standing(db, house, tag_out)
        new = add_step(db, tag_out=tag_out, step=step, who=who.strip(), note=note.strip(), by=actor, at=at)
        if responsible.strip():
            set_responsible(db, tag_out, responsible.strip())
        items = [item("tag_step", new, [tag_out, step.value, who, note, responsible])]
        append_journal(db, at=at, actor=actor, action="stop.step", house=house, items=items)


def release_tag_out(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    tag_out: str,
    role: Role,
    reason: str,
    paper: str = "",
) -> None:
    """Put the thing back into use under a named role. Raises what check_release raises, or NotFound."""
    with write_transaction(db):
        held = require_role(db, house, actor, "stop.release")
        found = _standing(db, house, tag_out)
        check_release(found, release_group(found), role, held, reason, paper)
        add_release(db, tag_out, by=actor, role=role.value, at=at, reason=reason.strip(), proof=paper.strip())
        items = [item("tag_release", tag_out, [actor, role.value, reason, paper])]
        append_journal(db, at=at, actor=actor, action="stop.release", house=house, items=items)


def withdraw_tag_out(
    db: Database, *, at: datetime, actor: str, house: str, tag_out: str, second: str, reason: str
) -> None:
    """Withdraw a stop that was raised on the wrong set: by who raised it and a second person of the house."""
    with write_transaction(db):
        require_role(db, house, actor, "stop.withdraw")
        found = _standing(db, house, tag_out)
        check_withdrawal(found, actor, second, reason)
        if get_membership(db, house, second) is None:
            raise BadValue("The second person must belong to this house.", "second")
        add_withdrawal(db, tag_out, by=actor, second=second, at=at, reason=reason.strip())
        items = [item("tag_withdrawal", tag_out, [actor, second, reason])]
        append_journal(db, at=at, actor=actor, action="stop.withdraw", house=house, items=items)
