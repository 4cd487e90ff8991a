"""Writing down what was read on the labels of a set."""

from collections.abc import Mapping
from datetime import date, datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.walk import require_role
from inspect_app.domain.errors import BadValue, NotFound
from inspect_app.domain.label_audit import LabelPlace, Reading, check_reading
from inspect_app.store.db import write_transaction
from inspect_app.store.house import get_house, get_line_set
from inspect_app.store.journal import append_journal, item
from inspect_app.store.label_audit import add_label_reading
from inspect_app.store.point_clock import zone_of


def record_labels(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    line_set: str,
    read_on: date,
    read: Mapping[LabelPlace, tuple[str, str]],
) -> int:
    """Write down what was read at places of a set, as (state, label) by place; all of it or nothing. Returns how many.

    Raises NotFound, and BadValue whose field is the place, or read_on.
    """
    if not read:
        raise BadValue("Say at one place at least what was read.", LabelPlace.RAIL.value)
    with write_transaction(db):
        require_role(db, house, actor, "walk.record")
        found = get_line_set(db, house, line_set)
        if found.retired_on is not None:
            raise NotFound("There is no such set in this house any more.")
        today = at.astimezone(zone_of(get_house(db, house).tz)).date()
        items = []
        for place, (state, label) in read.items():
            try:
                kept, words = check_reading(state, label, read_on, today)
            except BadValue as error:
                raise BadValue(error.message, "read_on" if error.field == "read_on" else place.value) from None
            key = clock.new_id()
            add_label_reading(db, key, house, Reading(line_set, place, kept, words, read_on), actor, at)
            items.append(item("label_reading", key, [line_set, place.value, kept.value, words, read_on.isoformat()]))
        append_journal(db, at=at, actor=actor, action="labels.read", house=house, items=items)
    return len(items)
