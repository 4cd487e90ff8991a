"""The calendar of a house for other programs: entries that keep their identity, the file, and secret addresses."""

import hashlib
import secrets
from datetime import date, datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.calendar import HouseCalendar, house_calendar
from inspect_app.actions.walk import require_role
from inspect_app.config import Settings
from inspect_app.domain.calendar_item import KIND_TITLES, CalendarItem, ItemKind
from inspect_app.domain.errors import BadValue, NotAllowed, NotFound
from inspect_app.domain.role import allows
from inspect_app.output.calendar_file import FeedEntry, write_calendar
from inspect_app.store.calendar_entry import EntryRow, list_calendar_entries, set_calendar_entry
from inspect_app.store.calendar_link import (
    CalendarLink,
    add_calendar_link,
    end_calendar_link,
    find_calendar_link,
    list_calendar_links,
    set_calendar_link_used,
)
from inspect_app.store.db import write_transaction
from inspect_app.store.journal import append_journal, item

MOST_LINKS = 10  # of one person in one house
LONGEST_LABEL = 60
_LATE_MOVES_DAYS = 7
_NOTED_EVERY_S = 3600  # the use of an address is written no more often than this


class _Said(NamedTuple):
    """What an entry says: the same words make the same entry."""

    day: date
    summary: str
    words: str


def update_entries(db: Database, calendar: HouseCalendar, at: datetime) -> tuple[EntryRow, ...]:
    """Bring what the calendar says up to the items, and return all of it.

    The same thing keeps its id: it counts a change only when its day or words changed. What is done or gone is
    cancelled, and the next round of a walk is a new entry. Nothing is written when nothing has changed.
    """
    house = calendar.house.id
    if _changes(db, calendar, at):
        with write_transaction(db):
            for row in _changes(db, calendar, at):  # anew: another reader may have written them meanwhile
                set_calendar_entry(db, house, row)
    return tuple(list_calendar_entries(db, house, gone_too=True))


def _changes(db: Database, calendar: HouseCalendar, at: datetime) -> list[EntryRow]:
    """The entries to write: those that say something else than the items do, and new ones; what is gone first."""
    wanted = {one.key: one for one in calendar.items if one.shown_on is not None}
    standing = {row.key: row for row in list_calendar_entries(db, calendar.house.id)}
    gone = [row for key, row in standing.items() if key not in wanted or wanted[key].anchor > row.anchor]
    rows = [row._replace(sequence=row.sequence + 1, stamp=at, gone=True) for row in gone]
    for row in gone:
        standing.pop(row.key)
    for key, one in wanted.items():
        new = _brought_up(standing.get(key), one, calendar, at)
        rows += [new] if new is not None else []
    return rows


def _brought_up(row: EntryRow | None, one: CalendarItem, calendar: HouseCalendar, at: datetime) -> EntryRow | None:
    """The entry to write for an item; None when it says that already."""
    said = _said(one)
    if row is None:
        return EntryRow(clock.new_id(), one.key, one.anchor, *said, 0, at, at, False)
    if one.is_late and _holds(row.day, calendar):
        said = said._replace(day=row.day)
    if (row.day, row.summary, row.words) == said:
        return row._replace(anchor=one.anchor) if row.anchor != one.anchor else None
    return row._replace(
        anchor=one.anchor, day=said.day, summary=said.summary, words=said.words, sequence=row.sequence + 1, stamp=at
    )


def _holds(day: date, calendar: HouseCalendar) -> bool:
    """Whether something late stays on the day said last: it is free, or passed less than a week ago.

    Else its entry would move every day, and a calendar that changes daily is soon ignored.
    """
    ahead = (day - calendar.today).days
    return calendar.diary.is_free(day) if ahead >= 0 else ahead > -_LATE_MOVES_DAYS


def _said(one: CalendarItem) -> _Said:
    """Words that hold on any day: nothing in them counts from today."""
    if one.shown_on is None:
        raise BadValue("An item without a day has no place in a calendar.")
    if one.kind is not ItemKind.WALK:
        return _Said(one.shown_on, f"{KIND_TITLES[one.kind]}: {one.title}", one.words)
    shown = "Proposed day" if one.day else "No day is free in time; shown on the day it is due"
    lines = [f"{shown}. {'Due ' + one.due_on.isoformat() if one.due_on else 'Never recorded'}."]
    lines += [f"{reason[:1].upper()}{reason[1:]}." for reason in one.reasons]
    return _Said(one.shown_on, f"Walk: {one.title}", "\n".join(lines))


def calendar_bytes(
    db: Database, settings: Settings, house: str, at: datetime, calendar: HouseCalendar | None = None
) -> bytes:
    """The calendar of a house as a file. The same bytes as before unless something in it has changed."""
    found = calendar or house_calendar(db, settings, house, at)
    rows = update_entries(db, found, at)
    entries = [
        FeedEntry(row.id, row.day, row.summary, row.words, row.sequence, row.stamp, row.made_at, row.gone)
        for row in rows
    ]
    return write_calendar(f"{found.house.name}: walks", entries)


def make_link(db: Database, *, at: datetime, actor: str, house: str, label: str) -> tuple[CalendarLink, str]:
    """A new secret address for a person's own calendar program, and its secret, which is told this once.

    Raises BadValue for a label that is missing or too long, or a person who has ten addresses, NotAllowed.
    """
    label = " ".join(label.split())
    if not label or len(label) > LONGEST_LABEL:
        raise BadValue(f"Say where you will use it, in up to {LONGEST_LABEL} characters, as “my phone”.", "label")
    token = secrets.token_urlsafe(32)
    with write_transaction(db):
        require_role(db, house, actor, "calendar.feed")
        if len(list_calendar_links(db, house, person=actor)) >= MOST_LINKS:
            raise BadValue(f"You have {MOST_LINKS} addresses. End one first.", "label")
        link = CalendarLink(clock.new_id(), house, actor, "", label, at, None, False)
        add_calendar_link(db, link, hash_of(token))
        _journal(db, at, actor, "calendar.link", house, link.id, label)
    return link, token


def end_link(db: Database, *, at: datetime, actor: str, house: str, link: str) -> None:
    """End an address at once: one's own, or anybody's for who keeps the house. Raises NotFound, NotAllowed."""
    with write_transaction(db):
        roles = require_role(db, house, actor, "calendar.feed")
        found = next((one for one in list_calendar_links(db, house) if one.id == link), None)
        if found is None:
            raise NotFound("There is no such address in this house.")
        if found.person != actor and not allows("house.edit", roles):
            raise NotAllowed("Only its maker or who keeps the house ends an address.")
        end_calendar_link(db, link, at)
        _journal(db, at, actor, "calendar.unlink", house, link, found.label)


def read_feed(db: Database, settings: Settings, token: str, at: datetime) -> tuple[str, bytes] | None:
    """(house, file) for the secret of an address; None for one that is unknown, ended, or whose maker has left."""
    link = find_calendar_link(db, hash_of(token))
    if link is None:
        return None
    if link.last_used is None or (at - link.last_used).total_seconds() >= _NOTED_EVERY_S:
        with write_transaction(db):
            set_calendar_link_used(db, link.id, at)
    return link.house, calendar_bytes(db, settings, link.house, at)


def hash_of(token: str) -> bytes:
    """What is kept of a secret: its SHA-256. It has 256 random bits, so no slow hash is needed."""
    return hashlib.sha256(token.encode()).digest()


def _journal(db: Database, at: datetime, actor: str, action: str, house: str, row: str, label: str) -> None:
    append_journal(db, at=at, actor=actor, action=action, house=house, items=[item("calendar_link", row, label)])
