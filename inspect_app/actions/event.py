"""Recording an event with its holds, saying who may approach, and opening the inspection after it."""

from collections.abc import Sequence
from datetime import date, datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.desk import envelope_of
from inspect_app.actions.device import desk_device
from inspect_app.actions.ingest import record_entries
from inspect_app.actions.walk import require_role
from inspect_app.domain.errors import Conflict, NotFound
from inspect_app.domain.event import (
    CHECKLIST,
    KIND_TITLES,
    Danger,
    EventKind,
    check_approach,
    check_event,
    check_standing,
    check_walk,
)
from inspect_app.store.checklist import Shelf
from inspect_app.store.db import write_transaction
from inspect_app.store.event import add_approach, find_same_event, get_event, list_held_by, set_event_walk
from inspect_app.store.event_hold import add_event_with_holds
from inspect_app.store.journal import append_journal, item
from inspect_app.store.tag_out import find_scope, get_tag_out


def record_event(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    kind: EventKind,
    danger: Danger,
    what: str,
    line_set: str | None = None,
    area: str | None = None,
) -> str:
    """Record an event; the set it hit and its neighbours, or the area, are on hold at once. Anyone may.

    Returns the event's id; a form that is sent twice makes one. Raises BadValue, NotFound.
    """
    check_event(what, line_set, area)
    with write_transaction(db):
        require_role(db, house, actor, "stop.raise")
        if find_scope(db, house, line_set=line_set, area=area) is None:
            raise NotFound("There is no such line set or area in this house.")
        same = find_same_event(
            db, house, kind=kind, line_set=line_set, area=area, what=what.strip(), danger=danger, by=actor,
            since=at - clock.SENT_TWICE,
        )  # fmt: skip
        if same is not None:
            return same
        new, held = add_event_with_holds(
            db, house=house, kind=kind, line_set=line_set, area=area, what=what.strip(), danger=danger, by=actor, at=at
        )
        said = [kind.value, line_set, area, what.strip(), danger.value]
        items = [item("event", new, said), *(item("tag_out", key, ["hold", new]) for key in held)]
        append_journal(db, at=at, actor=actor, action="event.record", house=house, items=items)
    return new


def allow_approach(
    db: Database, *, at: datetime, actor: str, house: str, event: str, name: str, credential: str, who: str, how: str
) -> None:
    """Record that a named qualified person says who may approach and how. Raises BadValue, NotFound."""
    check_approach(name, credential, who, how)
    with write_transaction(db):
        require_role(db, house, actor, "event.approach")
        found = get_event(db, house, event)
        if found is None:
            raise NotFound("There is no such event in this house.")
        check_standing(found)
        texts = {"name": name.strip(), "credential": credential.strip(), "who": who.strip(), "how": how.strip()}
        new = add_approach(db, event, by=actor, at=at, **texts)
        items = [item("event_approach", new, [event, texts])]
        append_journal(db, at=at, actor=actor, action="event.approach", house=house, items=items)


def open_event_walk(
    db: Database, *, at: datetime, today: date, actor: str, house: str, event: str, shelf: Shelf
) -> str:
    """Open the inspection after an event over the sets on hold, from the grid down; returns the walk's id.

    Raises Conflict while no walk may be offered, when it is open already, or without its checklist; NotFound.
    """
    with write_transaction(db):
        require_role(db, house, actor, "walk.record")
        found = get_event(db, house, event)
        if found is None:
            raise NotFound("There is no such event in this house.")
        check_walk(found)
        checklist = shelf.checklists.get(CHECKLIST)
        if checklist is None:
            raise Conflict(f"The checklist {CHECKLIST} is not in use here. Put it back, then open the inspection.")
        walk, device = clock.new_id(), desk_device(db, at=at, actor=actor, house=house)
        entry = {
            **envelope_of(device, "opening", clock.new_id(), at, walk=walk),
            "title": f"After an event: {KIND_TITLES[found.kind]}, {found.scope}"[:180],
            "date_local": today.isoformat(),
            "scope": {
                "checklists": [{"id": checklist.id, "revision": checklist.revision}],
                "line_sets": _sets(db, house, event, found.line_set),
                "areas": [found.area] if found.area else None,
            },
            "people": {"aloft": [], "deck": "", "radio": "", "rescue": "", "down_at": ""},
            "hangs": {},
            "cautions_read": False,
        }
        (verdict,) = record_entries(db, at=at, device=device, entries=[entry], shelf=shelf)
        if verdict.verdict != "stored":
            raise Conflict(f"The inspection could not be opened: {verdict.reason}")
        set_event_walk(db, event, walk)
        items = [item("event", event, ["walk", walk])]
        append_journal(db, at=at, actor=actor, action="event.walk", house=house, items=items)
    return walk


def _sets(db: Database, house: str, event: str, hit: str | None) -> Sequence[str] | None:
    """The sets on hold for an event; the one that was hit where none is; None for an event in an area."""
    tags = [get_tag_out(db, house, key) for key in list_held_by(db, house, event)]
    held = [tag.line_set for tag in tags if tag is not None and tag.line_set]
    return held or ([hit] if hit else None)
