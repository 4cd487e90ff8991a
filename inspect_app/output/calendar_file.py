"""Calendars as files, iCalendar (RFC 5545): the days of a house's own calendar read in, and the feed written.

The library icalendar reads and writes; python-dateutil expands repeated events.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from itertools import islice
from typing import Any, NamedTuple

from dateutil.rrule import rrulestr
from icalendar import Calendar, Event

from inspect_app import __version__
from inspect_app.domain.dark_day import Blackout
from inspect_app.domain.errors import BadValue

MOST_BYTES = 2_000_000
MOST_EVENTS, MOST_SPANS, LONGEST_WHY = 5_000, 2_000, 200
LONGEST_SPAN_DAYS = 3 * 366
AHEAD_DAYS = 2 * 366  # repeated events are followed so far
_EARLIEST = date(1900, 1, 1)
_OFTEN = ("SECONDLY", "MINUTELY", "HOURLY")
PRODID = f"-//inspect-app//Grid and gallery inspection log {__version__.split('+')[0]}//EN"


class ReadCalendar(NamedTuple):
    """The stretches of days found in a file, and in words what was left out and why."""

    found: tuple[Blackout, ...]
    left_out: tuple[str, ...]


class Wanted(NamedTuple):
    """Which events of a file count: only those of whole days, only those whose title holds these words."""

    whole_days: bool = False
    holding: str = ""


EVERY = Wanted()


def read_calendar(data: bytes, zone: tzinfo, today: date, wanted: Wanted = EVERY) -> ReadCalendar:
    """The days that the events of a calendar file cover, by the clock of the house, from today on for two years.

    Cancelled events, and those that are marked as leaving the time free, are left out. Raises BadValue when the file
    cannot be read at all.
    """
    events = _events(data)
    moved = {(str(e.get("UID", "")), _key(e["RECURRENCE-ID"].dt, zone)) for e in events if "RECURRENCE-ID" in e}
    found: dict[Blackout, None] = {}
    left_out: list[str] = []
    until = today + timedelta(days=AHEAD_DAYS)
    for event in events:
        name = _title(event)
        why_not = _why_not(event, wanted)
        if why_not is None:
            continue
        try:
            if why_not:
                raise BadValue(why_not)
            for span in _spans(event, zone, until, moved):
                if span.last >= today and span.first <= until:
                    found[span] = None
                if len(found) > MOST_SPANS:
                    raise BadValue(
                        f"the file has more than {MOST_SPANS} days or stretches of days; nothing after it was read"
                    )
        except BadValue as error:
            left_out.append(f"{name}: {error.message}")
    return ReadCalendar(tuple(sorted(found, key=lambda s: (s.first, s.last, s.why))), tuple(left_out))


def _events(data: bytes) -> list[Any]:
    if not data.strip():
        raise BadValue("Choose a file: a calendar saved as .ics.", "file")
    if len(data) > MOST_BYTES:
        raise BadValue(
            f"The file has {len(data) // 1000} kB; a calendar here has up to {MOST_BYTES // 1000} kB.", "file"
        )
    if b"BEGIN:VCALENDAR" not in data[:2000].upper():
        raise BadValue(
            "This is no calendar file. Export the calendar as iCalendar (.ics) and choose that file.", "file"
        )
    try:
        calendars = Calendar.from_ical(data, multiple=True)
        events = [event for one in calendars for event in one.walk("VEVENT")]
    except (ValueError, KeyError, TypeError, IndexError, AttributeError, RecursionError) as error:
        said = str(error).splitlines()[0][:160] if str(error) else type(error).__name__
        raise BadValue(
            f"The calendar file cannot be read: {said}. Export it again as iCalendar (.ics).", "file"
        ) from None
    if not events:
        raise BadValue("The calendar file has no events. Export the calendar with its events.", "file")
    if len(events) > MOST_EVENTS:
        raise BadValue(f"The file has {len(events)} events; up to {MOST_EVENTS} are read. Export fewer years.", "file")
    return events


def _title(event: Any) -> str:
    return " ".join(str(event.get("SUMMARY", "")).split())[:LONGEST_WHY] or "event without a title"


def _why_not(event: Any, wanted: Wanted) -> str | None:
    """None for an event that is not wanted; a reason for one that cannot be read; '' for one to read."""
    if str(event.get("STATUS", "")).upper() == "CANCELLED" or str(event.get("TRANSP", "")).upper() == "TRANSPARENT":
        return None
    if wanted.holding.strip() and wanted.holding.strip().casefold() not in _title(event).casefold():
        return None
    if event.errors:
        return f"could not be read ({event.errors[0][1]})"[:200]
    start = getattr(event.get("DTSTART"), "dt", None)
    if not isinstance(start, date):
        return "has no day on which it starts"
    if wanted.whole_days and isinstance(start, datetime):
        return None
    if _day(start) < _EARLIEST:
        return f"starts in the year {start.year}; check the file"
    return ""


def _day(value: date) -> date:
    return value.date() if isinstance(value, datetime) else value


def _key(value: date, zone: tzinfo) -> str:
    """A moment or a day in one form, to find the occurrence that another event takes the place of."""
    if isinstance(value, datetime):
        return _in_zone(value, zone).isoformat()
    return value.isoformat()


def _in_zone(value: datetime, zone: tzinfo) -> datetime:
    """The moment by the house's clock; one without a time zone is by that clock already."""
    return value.astimezone(zone) if value.tzinfo is not None else value.replace(tzinfo=zone)


def _spans(event: Any, zone: tzinfo, until: date, moved: set[tuple[str, str]]) -> Iterator[Blackout]:
    start, length = event["DTSTART"].dt, _length(event)
    name, uid = _title(event), str(event.get("UID", ""))
    for begin in _starts(event, start, until):
        if "RECURRENCE-ID" not in event and (uid, _key(begin, zone)) in moved:
            continue  # another event of the file says what becomes of this one
        yield _span(begin, length, zone, name)


def _length(event: Any) -> timedelta:
    """How long an event lasts: to its end, for its duration, or for its day."""
    start = event["DTSTART"].dt
    end = getattr(event.get("DTEND"), "dt", None)
    duration = getattr(event.get("DURATION"), "dt", None)
    if isinstance(duration, timedelta):
        length = duration
    elif end is None:
        length = timedelta(0) if isinstance(start, datetime) else timedelta(days=1)
    elif isinstance(start, datetime) and isinstance(end, datetime):
        aware = start.tzinfo is not None and end.tzinfo is not None
        length = end - start if aware else end.replace(tzinfo=None) - start.replace(tzinfo=None)
    else:
        length = _day(end) - _day(start)
    if length < timedelta(0):
        raise BadValue("ends before it starts")
    if length > timedelta(days=LONGEST_SPAN_DAYS):
        raise BadValue(f"lasts {length.days} days; check the file")
    return length


def _span(begin: date, length: timedelta, zone: tzinfo, name: str) -> Blackout:
    if not isinstance(begin, datetime):
        return Blackout(begin, begin + max(length - timedelta(days=1), timedelta(0)), name)
    first = _in_zone(begin, zone)
    # counted as time that passes, so that an hour skipped or repeated by the clock does not shift the end
    last = (first.astimezone(UTC) + length).astimezone(zone)
    ends_at_midnight = length > timedelta(0) and last.time() == time(0)
    return Blackout(first.date(), max(first.date(), last.date() - timedelta(days=int(ends_at_midnight))), name)


def _starts(event: Any, start: date, until: date) -> Iterator[date]:
    """The starts of an event: its own, those of its rule and its extra dates, without those it leaves out."""
    rules, extra, without = _listed(event, "RRULE"), _dates(event, "RDATE"), _dates(event, "EXDATE")
    if not rules or "RECURRENCE-ID" in event:
        yield from _kept([start, *extra], without)
        return
    starts: list[date] = [start, *extra]
    for rule in rules:
        starts += _expanded(rule, start, until)
    yield from _kept(starts, without)


def _kept(starts: Iterable[date], without: Sequence[date]) -> Iterator[date]:
    yield from dict.fromkeys(one for one in starts if one not in without)


def _listed(event: Any, name: str) -> list[Any]:
    value = event.get(name)
    return [] if value is None else value if isinstance(value, list) else [value]


def _dates(event: Any, name: str) -> list[date]:
    return [one.dt for row in _listed(event, name) for one in row.dts if isinstance(one.dt, date)]


def _expanded(rule: Any, start: date, until: date) -> Iterator[date]:
    """The starts by a rule, by the clock of the event's own time zone, up to a day."""
    if str((rule.get("FREQ") or [""])[0]).upper() in _OFTEN:
        raise BadValue("repeats more often than once a day; enter it by hand")
    most = int((rule.get("COUNT") or [10_000])[0])
    end = datetime.combine(until, time.max)
    last = (rule.get("UNTIL") or [None])[0]
    if isinstance(last, datetime):
        own = start.tzinfo if isinstance(start, datetime) else None
        last = last.astimezone(own).replace(tzinfo=None) if last.tzinfo and own else last.replace(tzinfo=None)
        end = min(end, last)
    elif isinstance(last, date):
        end = min(end, datetime.combine(last, time.max))
    plain = {key: value for key, value in rule.items() if key.upper() not in ("COUNT", "UNTIL")}
    naive = start.replace(tzinfo=None) if isinstance(start, datetime) else datetime.combine(start, time(0))
    text = type(rule)(plain).to_ical().decode() + f";UNTIL={end.replace(microsecond=0):%Y%m%dT%H%M%S}"
    try:
        found = list(islice(rrulestr(text, dtstart=naive), most))
    except (ValueError, TypeError, KeyError, OverflowError) as error:
        raise BadValue(f"its rule of repetition cannot be read ({str(error)[:80]})") from None
    if isinstance(start, datetime):
        yield from (one.replace(tzinfo=start.tzinfo) for one in found)
    else:
        yield from (one.date() for one in found)


class FeedEntry(NamedTuple):
    """One entry of the feed: its lasting id, and how often and when it changed last. `gone` cancels it."""

    uid: str
    day: date
    summary: str
    words: str
    sequence: int
    stamp: datetime
    made_at: datetime
    gone: bool


def write_calendar(name: str, entries: Iterable[FeedEntry]) -> bytes:
    """The feed of a house: an event of a whole day for each entry. The same entries give the same bytes."""
    calendar = Calendar()
    calendar.add("prodid", PRODID)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", name)  # RFC 7986
    calendar.add("refresh-interval", timedelta(hours=12), parameters={"VALUE": "DURATION"})
    for entry in entries:
        event = Event()
        event.add("uid", entry.uid)
        event.add("dtstamp", entry.stamp)
        event.add("created", entry.made_at)
        event.add("last-modified", entry.stamp)
        event.add("sequence", entry.sequence)
        event.add("dtstart", entry.day)
        if entry.day < date.max:  # without an end it lasts its day (RFC 5545 section 3.6.1)
            event.add("dtend", entry.day + timedelta(days=1))
        event.add("summary", entry.summary)
        event.add("description", entry.words)
        event.add("status", "CANCELLED" if entry.gone else "CONFIRMED")
        event.add("transp", "TRANSPARENT")  # something to do on that day, not a time that is taken
        calendar.add_component(event)
    return bytes(calendar.to_ical())
