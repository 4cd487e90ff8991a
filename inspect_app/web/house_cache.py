"""Values worked out for a whole house, kept for as long as nothing is added to the journal and the day is the same."""

import threading
from collections import OrderedDict
from collections.abc import Callable
from datetime import datetime
from typing import Generic, TypeVar

from sqlite_utils import Database

from inspect_app.config import Settings
from inspect_app.domain.house import House
from inspect_app.store.checklist import load_shelf
from inspect_app.store.journal import get_journal_head
from inspect_app.store.point_clock import zone_of

MOST_HOUSES = 16
T = TypeVar("T")


class HouseCache(Generic[T]):
    """One kind of value by house. Every change of a house is in the journal: its head tells whether a value holds."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._kept: OrderedDict[tuple[object, ...], T] = OrderedDict()

    def get(self, db: Database, settings: Settings, house: House, at: datetime, make: Callable[[], T]) -> T:
        """The value of a house now, made when it is not kept."""
        today = at.astimezone(zone_of(house.tz)).date()
        key = (str(settings.data), house.id, today, get_journal_head(db), id(load_shelf(settings)))
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        found = make()
        with self._lock:
            self._kept[key] = found
            while len(self._kept) > MOST_HOUSES:
                self._kept.popitem(last=False)
        return found
