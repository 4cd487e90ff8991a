"""The dates of a house, worked out once for as long as nothing is added to the journal and the day is the same."""

import threading
from collections import OrderedDict
from datetime import date, datetime

from sqlite_utils import Database

from inspect_app.actions.calendar import HouseCalendar, house_calendar
from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.store.checklist import load_shelf
from inspect_app.store.journal import get_journal_head
from inspect_app.store.point_clock import zone_of

MOST_HOUSES = 16
_lock = threading.Lock()
_kept: OrderedDict[tuple[object, ...], HouseCalendar] = OrderedDict()


def calendar_of(db: Database, settings: Settings, house: House, at: datetime) -> HouseCalendar:
    """The calendar of a house now. Every change of a house is in the journal, so its head tells whether it holds."""
    today: date = at.astimezone(zone_of(house.tz)).date()
    key = (str(settings.data), house.id, today, get_journal_head(db), id(load_shelf(settings)))
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return _kept[key]
    found = house_calendar(db, settings, house.id, at)
    with _lock:
        _kept[key] = found
        while len(_kept) > MOST_HOUSES:
            _kept.popitem(last=False)
    return found


def forget_all() -> None:
    """Empty what is kept (for tests)."""
    with _lock:
        _kept.clear()
