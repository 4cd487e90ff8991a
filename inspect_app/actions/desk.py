"""Entries typed at the desk, from a paper form or to put a held text right: the same rule as for a phone's."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.device import desk_device
from inspect_app.actions.ingest import Verdict, problems_of, record_entries
from inspect_app.domain.errors import BadValue
from inspect_app.store.db import write_transaction
from inspect_app.store.device import Device


def envelope_of(device: Device, kind: str, entry: str, at: datetime, *, walk: str | None, n: int = 0) -> dict[str, Any]:
    """The envelope of an entry typed at the desk; `n` counts entries made at once, from 0."""
    return {
        "schema": 1,
        "kind": kind,
        "id": entry,
        "house": device.house,
        "walk": walk,
        "device": device.id,
        "seq": device.last_seq + 1 + n,
        "recorded_at": at.isoformat(timespec="milliseconds"),
        "by": device.person.id,
    }


def record_typed(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    walk: str,
    looks: Sequence[Mapping[str, Any]],
    by: str = "",
    recorded_at: datetime | None = None,
) -> tuple[Verdict, ...]:
    """Record looks typed at the desk, all or none; `by` is who looked, when it was not the person who types.

    Raises BadValue that names the field when the entry rule finds a look wrong; nothing is stored then.
    """
    with write_transaction(db):
        device = desk_device(db, at=at, actor=actor, house=house)
        entries = [
            {
                **envelope_of(device, "look", clock.new_id(), recorded_at or at, walk=walk, n=n),
                **({"by": by} if by else {}),
                **look,
            }
            for n, look in enumerate(looks)
        ]
        for entry in entries:
            for problem in problems_of(db, at=at, device=device, data=entry):
                raise BadValue(f"{problem.field} {problem.message}", problem.field)
        verdicts = record_entries(db, at=at, device=device, entries=entries)
        for verdict in verdicts:
            if verdict.verdict != "stored":
                raise BadValue(f"Not stored: {verdict.reason}")
    return verdicts
