"""What phones say beside a set, area or part: its limits, and whether a set is to be kept off after an event."""

from datetime import date

from sqlite_utils import Database

from inspect_app.domain.restriction import expiry_words, is_expired, limit_words
from inspect_app.store.event import list_events
from inspect_app.store.restriction import list_restrictions
from inspect_app.store.set_state import set_places
from inspect_app.store.tag_out import list_standing


def limits_by_place(db: Database, house: str, today: date) -> dict[str, tuple[str, ...]]:
    """The restrictions and measures in words, by the set that each binds, else by its part or area; one that expired
    says so."""
    found: dict[str, tuple[str, ...]] = {}
    for one in list_restrictions(db, house):
        words = expiry_words(one) if is_expired(one, today) else limit_words(one)
        if place := one.line_set or one.part or one.area:
            found[place] = (*found.get(place, ()), words)
    return found


def keep_off_sets(db: Database, house: str) -> frozenset[str]:
    """The sets on hold for an event of which nobody has said yet who may approach and how."""
    holds = [stop for stop in list_standing(db, house) if stop.event]
    if not holds:
        return frozenset()
    blocked, places = {event.id for event in list_events(db, house) if event.walk_blocked}, set_places(db, house)
    return frozenset(line_set for stop in holds if stop.event in blocked for line_set in places.sets_of(stop))
