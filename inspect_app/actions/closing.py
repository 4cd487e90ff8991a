"""Closing facts typed at the desk: an entry like a phone's, under the person's own desk device."""

from datetime import datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.desk import envelope_of
from inspect_app.actions.device import desk_device
from inspect_app.actions.ingest import record_entries
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.sequence import ids_digest
from inspect_app.store.db import write_transaction
from inspect_app.store.entry import list_tallies
from inspect_app.store.walk import get_walk


def close_walk(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    walk: str,
    people_down: str,
    tools_counted: bool,
    sets_locked: bool,
    locks_left: str,
    note: str = "",
) -> None:
    """Record who is down (one `name, time` a line), tools, locks and what is left on.

    Raises NotFound, BadValue when nobody is named, Conflict when the walk is sealed.
    """
    down = [line.strip() for line in people_down.splitlines() if line.strip()]
    if not down:
        raise BadValue("Name each person who is down, with the time.", "people_down")
    missing = [line for line in down if not line.partition(",")[2].strip()]
    if missing:
        raise BadValue(f"Write the time behind each name, as “name, 16:31”: {missing[0]}", "people_down")
    with write_transaction(db):
        found = get_walk(db, house, walk)
        if found is None:
            raise NotFound("There is no such walk in this house.")
        if found.sealed_at is not None:
            raise Conflict("This walk is signed already.")
        device = desk_device(db, at=at, actor=actor, house=house)
        own = next((tally for tally in list_tallies(db, house, walk) if tally.device == device.id), None)
        ids = own.ids if own else ()
        entry = {
            **envelope_of(device, "closing", clock.new_id(), at, walk=walk),
            "count": len(ids),
            "last_seq": own.last_seq if own else 0,
            "ids_sha256": ids_digest(ids),
            "people_down": [
                {"name": name.strip(), "at": time.strip()} for name, _, time in (line.partition(",") for line in down)
            ],
            "tools_counted": tools_counted,
            "sets_locked": sets_locked,
            "locks_left": locks_left.strip(),
            "note": note.strip(),
        }
        (verdict,) = record_entries(db, at=at, device=device, entries=[entry])
        if verdict.verdict != "stored":
            raise BadValue(f"The closing could not be stored: {verdict.reason}")
