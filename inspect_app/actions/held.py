"""Resolving what was held: read again, typed in by a person, or set aside with a reason. The raw text stays."""

import json
from collections.abc import Sequence
from datetime import datetime

from sqlite_utils import Database

from inspect_app.actions.ingest import ingest_entries
from inspect_app.actions.walk import require_role
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.strict_json import WireItem
from inspect_app.store.db import write_transaction
from inspect_app.store.device import get_device
from inspect_app.store.entry import HeldRow, get_held, set_held_resolved
from inspect_app.store.journal import append_journal, item


def _waiting(db: Database, house: str, actor: str, held: str) -> HeldRow:
    require_role(db, house, actor, "walk.held")
    found = get_held(db, house, held)
    if found is None:
        raise NotFound("There is no such held entry in this house.")
    if found.resolved_as:
        raise Conflict("This held entry was dealt with already.")
    return found


def _resolve(db: Database, at: datetime, actor: str, house: str, held: str, resolved_as: str) -> None:
    set_held_resolved(db, held, by=actor, at=at, resolved_as=resolved_as)
    items = [item("held", held, resolved_as)]
    append_journal(db, at=at, actor=actor, action="walk.held", house=house, items=items)


def set_held_aside(db: Database, *, at: datetime, actor: str, house: str, held: str, reason: str) -> None:
    """Say that a held entry is not needed. Raises BadValue without a reason, NotFound, Conflict."""
    if not reason.strip():
        raise BadValue("Say why it is not needed.", "reason")
    with write_transaction(db):
        _waiting(db, house, actor, held)
        _resolve(db, at, actor, house, held, f"set aside: {reason.strip()}")


def resolve_typed(db: Database, *, at: datetime, actor: str, house: str, held: str, entries: Sequence[str]) -> None:
    """Note that a person typed a held entry in as these entries. Raises NotFound, Conflict."""
    with write_transaction(db):
        _waiting(db, house, actor, held)
        _resolve(db, at, actor, house, held, f"typed in: {' '.join(entries)}")


def read_held_again(db: Database, *, at: datetime, actor: str, house: str, held: str) -> None:
    """Take the raw text in once more, for when what it names has arrived since.

    Raises Conflict with the reason when it still cannot be stored, NotFound.
    """
    with write_transaction(db):
        found = _waiting(db, house, actor, held)
        device = get_device(db, house, found.device)
        if device is None:
            raise Conflict("The device that sent it is not known in this house any more.")
        text = found.raw.decode("utf-8", "surrogatepass")
        try:
            data = json.loads(text)
        except ValueError:
            raise Conflict("It is not readable as an entry. Type it in, or set it aside.") from None
        (verdict,) = ingest_entries(db, at=at, device=device, items=[WireItem(text, data, "")])
        if verdict.verdict == "held":
            raise Conflict(f"Still held: {verdict.reason}. Type it in, or set it aside.")
        _resolve(db, at, actor, house, held, f"read again: {verdict.id}")
