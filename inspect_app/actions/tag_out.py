"""Stopping a set, an area or a part; the steps after it; its release, or its withdrawal when it was the wrong set."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.relook import ask_relook
from inspect_app.actions.walk import require_role
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.role import Role
from inspect_app.domain.tag_out import Step, TagAt, TagOut, TagState, check_place, check_step
from inspect_app.domain.tag_release import (
    Need,
    check_confirmation,
    check_release,
    check_second_check,
    check_withdrawal_ask,
    check_work_checked,
)
from inspect_app.domain.walk import WalkState
from inspect_app.store.db import write_transaction
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.event import get_event
from inspect_app.store.journal import append_journal, item
from inspect_app.store.person import get_person
from inspect_app.store.tag_out import (
    add_place,
    add_release,
    add_step,
    add_tag_check,
    add_withdrawal,
    add_withdrawal_ask,
    find_lockout_point,
    find_part_to_look_at,
    find_same_stop,
    find_scope,
    get_ending,
    get_tag_check,
    get_tag_out,
    get_withdrawal_ask,
    raise_tag_out,
    set_responsible,
)
from inspect_app.store.walk import get_walk


def _standing(db: Database, house: str, tag_out: str) -> TagOut:
    found = get_tag_out(db, house, tag_out)
    if found is None:
        raise NotFound("There is no such tag-out in this house.")
    return found


def _check_stands(tag_out: TagOut) -> None:
    """Raise Conflict for what has ended: nobody is to think that it still keeps anything out of use."""
    if tag_out.state is not TagState.STANDING:
        raise Conflict(
            f"This tag-out was {tag_out.state} meanwhile: it stops nothing any more. If it must, stop it anew."
        )


def _check_inspected(db: Database, tag_out: TagOut) -> None:
    """Raise Conflict while the inspection after the event, for which something is on hold, is not signed."""
    event = get_event(db, tag_out.house, tag_out.event) if tag_out.event else None
    if event is None:
        return
    walk = get_walk(db, tag_out.house, event.walk) if event.walk else None
    if walk is None or walk.state is not WalkState.SEALED:
        raise Conflict("The inspection after this event is not signed yet. It stays on hold.")


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

    A part that belongs to a line set stops the set; a form that is sent twice raises one stop. Raises BadValue without
    a reason, NotFound.
    """
    if not why.strip():
        raise BadValue("Say in a few words what is wrong.", "why")
    with write_transaction(db):
        require_role(db, house, actor, "stop.raise")
        scope = find_scope(db, house, line_set=line_set, area=area, part=part)
        if scope is None:
            raise NotFound("There is no such line set, area or part in this house.")
        same = find_same_stop(db, house, **scope._asdict(), why=why.strip(), by=actor, since=at - clock.SENT_TWICE)
        if same is not None:
            return same
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
        _check_stands(_standing(db, house, tag_out))
        new = add_step(db, tag_out=tag_out, step=step, who=who.strip(), note=note.strip(), by=actor, at=at)
        if responsible.strip():
            set_responsible(db, tag_out, responsible.strip())
        items = [item("tag_step", new, [tag_out, step.value, who, note, responsible])]
        append_journal(db, at=at, actor=actor, action="stop.step", house=house, items=items)


def record_place(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    tag_out: str,
    height: str = "",
    load: str = "",
    tags_at: Sequence[TagAt] = (),
    lockout_point: str = "",
) -> None:
    """Record how high the batten was left, what is on it and where tags hang. Raises NotFound, Conflict, BadValue."""
    with write_transaction(db):
        require_role(db, house, actor, "stop.step")
        found = _standing(db, house, tag_out)
        _check_stands(found)
        known = find_lockout_point(db, found.line_set) if found.line_set else None
        point = lockout_point.strip() or known or ""
        check_place(height, load, tags_at, known is not None, point)
        new = add_place(
            db, tag_out=tag_out, height=height.strip(), load=load.strip(), tags_at=tags_at, lockout_point=point,
            by=actor, at=at,
        )  # fmt: skip
        items = [item("tag_place", new, [tag_out, height, load, [one.value for one in tags_at], point])]
        append_journal(db, at=at, actor=actor, action="stop.place", house=house, items=items)


def release_tag_out(
    db: Database,
    *,
    at: datetime,
    today: date,
    actor: str,
    house: str,
    tag_out: str,
    role: Role,
    answers: Mapping[str, str],
) -> None:
    """Put the thing back into use under a named role. `answers` is text by need, `today` the day in the house.

    Raises what check_release raises, or NotFound.
    """
    given = {need.value: answers.get(need, "").strip() for need in Need if answers.get(need, "").strip()}
    with write_transaction(db):
        held = require_role(db, house, actor, "stop.release")
        found = _standing(db, house, tag_out)
        _check_inspected(db, found)
        person = get_person(db, actor)
        check_release(found, role, held, given, releaser=person.name if person else "", today=today)
        check_work_checked(found, list_deficiencies(db, house, open_only=True))
        add_release(
            db, tag_out, by=actor, role=role.value, at=at, reason=given[Need.REASON], proof=given.get(Need.PAPER, ""),
            answers=given,
        )  # fmt: skip
        part = find_part_to_look_at(db, found)
        if part:
            ask_relook(
                db, at=at, actor=actor, house=house, part=part, look_on=date.fromisoformat(given[Need.RELOOK_ON]),
                reason=f"{found.scope} was released: {given[Need.REASON]}"[:300], tag_out=tag_out,
                line_set=None if found.part else found.line_set, area=None if found.part else found.area,
            )  # fmt: skip
        items = [item("tag_release", tag_out, [actor, role.value, given])]
        append_journal(db, at=at, actor=actor, action="stop.release", house=house, items=items)


def check_released_work(
    db: Database, *, at: datetime, actor: str, house: str, tag_out: str, role: Role, looked_at: str
) -> None:
    """Check, as somebody else, work that came back into use checked by its repairer only.

    Raises what check_second_check raises, or NotFound.
    """
    with write_transaction(db):
        held = require_role(db, house, actor, "stop.release")
        found, person = _standing(db, house, tag_out), get_person(db, actor)
        check_second_check(
            found, get_ending(db, tag_out), get_tag_check(db, tag_out), role, held,
            name=person.name if person else "", looked_at=looked_at,
        )  # fmt: skip
        add_tag_check(db, tag_out, by=actor, role=role.value, at=at, looked_at=looked_at.strip())
        items = [item("tag_check", tag_out, [actor, role.value, looked_at.strip()])]
        append_journal(db, at=at, actor=actor, action="stop.check", house=house, items=items)


def ask_withdrawal(db: Database, *, at: datetime, actor: str, house: str, tag_out: str, reason: str) -> None:
    """Say, as its raiser, that a stop was raised on the wrong set. It stands until a second person confirms it."""
    with write_transaction(db):
        require_role(db, house, actor, "stop.withdraw")
        found = _standing(db, house, tag_out)
        check_withdrawal_ask(found, actor, reason, get_withdrawal_ask(db, tag_out) is not None)
        add_withdrawal_ask(db, tag_out, by=actor, at=at, reason=reason.strip())
        items = [item("withdrawal_ask", tag_out, [actor, reason])]
        append_journal(db, at=at, actor=actor, action="stop.ask_withdrawal", house=house, items=items)


def confirm_withdrawal(db: Database, *, at: datetime, actor: str, house: str, tag_out: str) -> None:
    """Withdraw a stop that its raiser says was raised on the wrong set, as the second person, on one's own account."""
    with write_transaction(db):
        require_role(db, house, actor, "stop.withdraw")
        found = _standing(db, house, tag_out)
        ask = get_withdrawal_ask(db, tag_out)
        check_confirmation(found, ask, actor)
        if ask is not None:
            add_withdrawal(db, tag_out, by=ask.by, second=actor, at=at, reason=ask.reason)
        items = [item("tag_withdrawal", tag_out, [found.raised_by, actor])]
        append_journal(db, at=at, actor=actor, action="stop.withdraw", house=house, items=items)
