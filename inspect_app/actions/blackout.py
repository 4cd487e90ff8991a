"""Typing in, importing and ending the days on which a house cannot be walked."""

from collections.abc import Sequence
from datetime import datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.walk import require_role
from inspect_app.domain.dark_day import Blackout
from inspect_app.domain.errors import BadValue, NotFound
from inspect_app.store.blackout import BlackoutRow, add_blackout, end_blackout, end_blackouts_of
from inspect_app.store.db import write_transaction
from inspect_app.store.journal import append_journal, item

LONGEST_WHY = 200
LONGEST_NAME = 120


def add_typed(db: Database, *, at: datetime, actor: str, house: str, blackout: Blackout) -> BlackoutRow:
    """Add a blackout that somebody typed in. Raises BadValue without a reason, NotAllowed."""
    why = " ".join(blackout.why.split())
    if not why or len(why) > LONGEST_WHY:
        raise BadValue(f"Say what is on, in up to {LONGEST_WHY} characters.", "why")
    row = BlackoutRow(clock.new_id(), Blackout(blackout.first, blackout.last, why), "")
    with write_transaction(db):
        require_role(db, house, actor, "calendar.plan")
        add_blackout(db, house, row, actor, at)
        _journal(db, at, actor, "blackout.add", house, [row])
    return row


def import_blackouts(
    db: Database, *, at: datetime, actor: str, house: str, name: str, found: Sequence[Blackout]
) -> tuple[int, int]:
    """Take the blackouts read from a file in place of those that a file of the same name brought before.

    Returns how many are new and how many were there before. Raises NotAllowed.
    """
    source = " ".join(name.split())[:LONGEST_NAME] or "calendar file"
    rows = [BlackoutRow(clock.new_id(), blackout, source) for blackout in found]
    with write_transaction(db):
        require_role(db, house, actor, "calendar.plan")
        ended = end_blackouts_of(db, house, source, at)
        for row in rows:
            add_blackout(db, house, row, actor, at)
        _journal(db, at, actor, "blackout.import", house, rows)
    return len(rows), ended


def end_one(db: Database, *, at: datetime, actor: str, house: str, blackout: str) -> None:
    """Take one blackout out of use. Raises NotFound, NotAllowed."""
    with write_transaction(db):
        require_role(db, house, actor, "calendar.plan")
        if not end_blackout(db, house, blackout, at):
            raise NotFound("There is no such blackout in this house.")
        items = [item("blackout", blackout, "ended")]
        append_journal(db, at=at, actor=actor, action="blackout.end", house=house, items=items)


def end_file(db: Database, *, at: datetime, actor: str, house: str, source: str) -> int:
    """Take all blackouts of one file out of use. Raises NotFound when there are none, NotAllowed."""
    with write_transaction(db):
        require_role(db, house, actor, "calendar.plan")
        ended = end_blackouts_of(db, house, source, at) if source else 0
        if not ended:
            raise NotFound("No blackout of this file is in use.")
        items = [item("blackout", house, ["ended", source, ended])]
        append_journal(db, at=at, actor=actor, action="blackout.end_file", house=house, items=items)
    return ended


def _journal(db: Database, at: datetime, actor: str, action: str, house: str, rows: Sequence[BlackoutRow]) -> None:
    content = [[r.id, r.blackout.first.isoformat(), r.blackout.last.isoformat(), r.blackout.why] for r in rows]
    name = rows[0].id if len(rows) == 1 else house
    append_journal(db, at=at, actor=actor, action=action, house=house, items=[item("blackout", name, content)])
