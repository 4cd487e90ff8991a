"""An event together with its holds: tag-outs of their own kind on the set that was hit and its neighbours."""

from datetime import datetime

from sqlite_utils import Database

from inspect_app.domain.event import KIND_TITLES, NO_HOLD, Danger, EventKind, held_sets
from inspect_app.store.event import add_event, list_held_by
from inspect_app.store.house import list_line_sets
from inspect_app.store.tag_out import raise_tag_out


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
