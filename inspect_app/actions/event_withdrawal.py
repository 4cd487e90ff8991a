"""Withdrawing an event that was recorded by mistake: by who recorded it and a second person, both named."""

from datetime import datetime

from sqlite_utils import Database

from inspect_app.actions.walk import require_role
from inspect_app.domain.errors import NotFound
from inspect_app.domain.event import Event, check_event_ask, check_event_confirmation
from inspect_app.domain.tag_out import TagOut, TagState
from inspect_app.domain.walk import WalkState
from inspect_app.store.db import write_transaction
from inspect_app.store.event import add_event_ask, add_event_withdrawal, get_event, list_held_by
from inspect_app.store.journal import append_journal, item
from inspect_app.store.tag_out import add_withdrawal, get_tag_out
from inspect_app.store.walk import get_walk


def ask_event_withdrawal(db: Database, *, at: datetime, actor: str, house: str, event: str, reason: str) -> None:
    """Say, as who recorded it, that an event was a mistake. It and its holds stand until a second person confirms it.

    Raises BadValue without a reason, NotAllowed to others, Conflict when asked before or inspected, NotFound.
    """
    with write_transaction(db):
        require_role(db, house, actor, "stop.withdraw")
        found = _found(db, house, event)
        check_event_ask(found, actor, reason, _is_signed(db, found))
        add_event_ask(db, event, by=actor, at=at, reason=reason.strip())
        items = [item("event_withdrawal_ask", event, [actor, reason.strip()])]
        append_journal(db, at=at, actor=actor, action="event.ask_withdrawal", house=house, items=items)


def confirm_event_withdrawal(db: Database, *, at: datetime, actor: str, house: str, event: str) -> list[TagOut]:
    """Withdraw an event as the second person, on one's own account; returns the holds that ended with it.

    Only the holds of this event end: every other stop and hold on the same sets stands as before. Raises NotAllowed to
    who asked, Conflict when nobody asked, it is withdrawn already or inspected, NotFound.
    """
    with write_transaction(db):
        require_role(db, house, actor, "stop.withdraw")
        found = _found(db, house, event)
        check_event_confirmation(found, actor, _is_signed(db, found))
        ended: list[TagOut] = []
        if found.ask is not None:
            by, reason = found.ask.by, found.ask.reason
            add_event_withdrawal(db, event, by=by, second=actor, at=at, reason=reason)
            ended = _standing_holds(db, house, event)
            for hold in ended:
                add_withdrawal(db, hold.id, by=by, second=actor, at=at, reason=reason)
        items = [item("event_withdrawal", event, [found.by, actor])]
        items += [item("tag_withdrawal", hold.id, [found.by, actor]) for hold in ended]
        append_journal(db, at=at, actor=actor, action="event.withdraw", house=house, items=items)
    return ended


def _found(db: Database, house: str, event: str) -> Event:
    found = get_event(db, house, event)
    if found is None:
        raise NotFound("There is no such event in this house.")
    return found


def _is_signed(db: Database, event: Event) -> bool:
    walk = get_walk(db, event.house, event.walk) if event.walk else None
    return walk is not None and walk.state is WalkState.SEALED


def _standing_holds(db: Database, house: str, event: str) -> list[TagOut]:
    holds = [get_tag_out(db, house, key) for key in list_held_by(db, house, event)]
    return [one for one in holds if one is not None and one.state is TagState.STANDING]
