"""An event together with its holds: tag-outs of their own kind on the set that was hit and its neighbours."""

from collections import defaultdict
from datetime import datetime

from sqlite_utils import Database

from inspect_app.domain.event import KIND_TITLES, NO_HOLD, Aftermath, Danger, EventKind, held_sets
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.tag_out import TagOut, TagState
from inspect_app.store.event import add_event, list_held_by
from inspect_app.store.house import list_line_sets
from inspect_app.store.tag_out import list_tag_outs, raise_tag_out


def add_event_with_holds(
    db: Database,
    *,
    house: str,
    kind: EventKind,
    line_set: str | None,
    area: str | None,
    what: str,
    danger: Danger,
    by: str,
    at: datetime,
    from_entry: str | None = None,
) -> tuple[str, list[str]]:
    """Keep an event and put on hold what its kind touches: its id, and those of the holds made now.

    An event whose danger is there or not known holds whatever its kind. Nothing is held twice for one event.
    """
    event = add_event(
        db, house=house, kind=kind, line_set=line_set, area=area, what=what, danger=danger, by=by, at=at,
        from_entry=from_entry,
    )  # fmt: skip
    if list_held_by(db, house, event) or (kind in NO_HOLD and danger is Danger.NO):
        return event, []
    order = [one.id for one in list_line_sets(db, house)]
    held = held_sets(order, line_set) if line_set else ()
    why = f"{KIND_TITLES[kind]}: {what}"[:500]
    made = [
        raise_tag_out(
            db, house=house, line_set=one, area=None, part=None, from_entry=None, why=why, by=by, at=at, event=event
        )
        for one in held
    ]
    if not held and area:
        made.append(
            raise_tag_out(
                db, house=house, line_set=None, area=area, part=None, from_entry=None, why=why, by=by, at=at,
                event=event,
            )
        )  # fmt: skip
    return event, made


def list_aftermaths(db: Database, house: str) -> dict[str, Aftermath]:
    """What became of each event of a house, by its id."""
    holds: dict[str, list[TagOut]] = defaultdict(list)
    for tag_out in sorted(list_tag_outs(db, house), key=lambda one: one.id):  # as they were made: in walking order
        if tag_out.event:
            holds[tag_out.event].append(tag_out)
    rows = db.execute(
        "SELECT e.id, coalesce(w.state, '') FROM event e LEFT JOIN walk w ON w.id = e.walk WHERE e.house = ?",
        (to_key(house),),
    )
    return {
        event: Aftermath(
            len(holds[event]), tuple(one.scope for one in holds[event] if one.state is TagState.STANDING), state
        )
        for event, state in ((from_key(key), state) for key, state in rows.fetchall())
    }
