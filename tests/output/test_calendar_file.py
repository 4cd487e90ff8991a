"""Calendar files: what is read of a house's own calendar, and the feed as two other libraries read it."""

from contextlib import suppress
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import ics
import pytest
import vobject
from dateutil.rrule import rrulestr
from hypothesis import given
from hypothesis import strategies as st

from inspect_app.domain.dark_day import Blackout
from inspect_app.domain.errors import BadValue
from inspect_app.output.calendar_file import (
    MOST_BYTES,
    FeedEntry,
    ReadCalendar,
    Wanted,
    read_calendar,
    write_calendar,
)

CHICAGO, TODAY = ZoneInfo("America/Chicago"), date(2026, 3, 1)
AT = datetime(2026, 1, 1, 12, tzinfo=UTC)


def event(*lines: str, summary: str = "Opera") -> str:
    return "\r\n".join(["BEGIN:VEVENT", f"SUMMARY:{summary}", *lines, "END:VEVENT"])


def read(*events: str, zone: ZoneInfo = CHICAGO, wanted: Wanted | None = None, today: date = TODAY) -> ReadCalendar:
    text = "\r\n".join(["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:test", *events, "END:VCALENDAR", ""])
    return read_calendar(text.encode(), zone, today, wanted or Wanted())


def spans(found: ReadCalendar) -> list[tuple[str, str]]:
    return [(span.first.isoformat(), span.last.isoformat()) for span in found.found]


def test_an_event_of_whole_days_ends_the_day_before_its_end() -> None:
    """RFC 5545 section 3.6.1: the end is not part of the event; without one it lasts its day."""
    found = read(
        event("DTSTART;VALUE=DATE:20260310", "DTEND;VALUE=DATE:20260313"), event("DTSTART;VALUE=DATE:20260401")
    )
    assert found.found == (
        Blackout(date(2026, 3, 10), date(2026, 3, 12), "Opera"),
        Blackout(date(2026, 4, 1), date(2026, 4, 1), "Opera"),
    )


def test_hours_are_days_by_the_house_s_clock() -> None:
    late = event("DTSTART:20260311T020000Z", "DTEND:20260311T050000Z")  # 21:00 to midnight on the 10th in Chicago
    assert spans(read(late)) == [("2026-03-10", "2026-03-10")]
    assert spans(read(late, zone=ZoneInfo("Europe/Berlin"))) == [("2026-03-11", "2026-03-11")]
    over = event("DTSTART;TZID=America/Chicago:20260310T200000", "DURATION:PT6H")
    assert spans(read(over)) == [("2026-03-10", "2026-03-11")]
    floating = event("DTSTART:20260310T233000", "DTEND:20260310T235900")
    assert spans(read(floating)) == [("2026-03-10", "2026-03-10")]


def test_a_repeated_hour_keeps_its_wall_clock_over_daylight_saving() -> None:
    """Clocks in Chicago go forward on 8 March and back on 1 November 2026; 23:30 stays 23:30."""
    found = read(event("DTSTART;TZID=America/Chicago:20260306T233000", "DURATION:PT20M", "RRULE:FREQ=DAILY;COUNT=4"))
    assert spans(found) == [(day, day) for day in ("2026-03-06", "2026-03-07", "2026-03-08", "2026-03-09")]
    night = read(event("DTSTART;TZID=America/Chicago:20261031T230000", "DURATION:PT2H"), today=date(2026, 10, 1))
    assert spans(night) == [("2026-10-31", "2026-11-01")]


def test_repetition_is_followed_for_two_years_and_no_longer() -> None:
    found = read(event("DTSTART;VALUE=DATE:20200101", "RRULE:FREQ=MONTHLY;BYDAY=1MO"))
    days = [span.first for span in found.found]
    listed = rrulestr("RRULE:FREQ=MONTHLY;BYDAY=1MO", dtstart=datetime(2020, 1, 1))
    expected = listed.between(datetime(2026, 3, 1), datetime(2026, 3, 1) + timedelta(days=2 * 366), inc=True)
    assert days == [one.date() for one in expected]


def test_a_month_that_lacks_the_day_is_left_out_as_the_standard_says() -> None:
    """RFC 5545 section 3.3.10: a date that a month lacks is ignored, not moved."""
    found = read(event("DTSTART;VALUE=DATE:20260331", "RRULE:FREQ=MONTHLY;COUNT=4"))
    assert [first for first, _ in spans(found)] == ["2026-03-31", "2026-05-31", "2026-07-31", "2026-08-31"]


def test_left_out_extra_and_moved_days_are_taken_as_the_file_says() -> None:
    series = event(
        "UID:a", "DTSTART;VALUE=DATE:20260302", "RRULE:FREQ=WEEKLY;COUNT=4", "EXDATE;VALUE=DATE:20260309",
        "RDATE;VALUE=DATE:20260401",
    )  # fmt: skip
    moved = event("UID:a", "RECURRENCE-ID;VALUE=DATE:20260316", "DTSTART;VALUE=DATE:20260318")
    dropped = event("UID:a", "RECURRENCE-ID;VALUE=DATE:20260323", "DTSTART;VALUE=DATE:20260323", "STATUS:CANCELLED")
    assert [first for first, _ in spans(read(series, moved, dropped))] == ["2026-03-02", "2026-03-18", "2026-04-01"]


def test_events_that_take_no_time_or_are_not_asked_for_are_left_out() -> None:
    off = event("DTSTART;VALUE=DATE:20260310", "STATUS:CANCELLED")
    free = event("DTSTART;VALUE=DATE:20260311", "TRANSP:TRANSPARENT")
    hours = event("DTSTART:20260312T180000Z", "DTEND:20260312T190000Z", summary="Tour of the house")
    assert read(off, free).found == ()
    assert read(hours, wanted=Wanted(whole_days=True)).found == ()
    assert read(hours, wanted=Wanted(holding="tour")).found != ()
    assert read(hours, wanted=Wanted(holding="ballet")) == ReadCalendar((), ())


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        (("DTSTART:garbage",), "could not be read"),
        ((), "no day on which it starts"),
        (("DTSTART;VALUE=DATE:20260310", "DTEND;VALUE=DATE:20260301"), "ends before it starts"),
        (("DTSTART;VALUE=DATE:00010101",), "check the file"),
        (("DTSTART;VALUE=DATE:20260310", "DTEND;VALUE=DATE:20460310"), "check the file"),
        (("DTSTART:20260310T100000Z", "RRULE:FREQ=SECONDLY"), "more often than once a day"),
        (("DTSTART;VALUE=DATE:20260310", "RRULE:FREQ=SOMETIMES"), "read"),
    ],
)
def test_a_bad_event_is_named_and_the_others_are_kept(lines: tuple[str, ...], says: str) -> None:
    found = read(event(*lines, summary="Gala"), event("DTSTART;VALUE=DATE:20260401"))
    assert spans(found) == [("2026-04-01", "2026-04-01")]
    assert len(found.left_out) == 1
    assert found.left_out[0].startswith("Gala: ")
    assert says in found.left_out[0]


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "Choose a file"),
        (b"%PDF-1.7", "no calendar file"),
        (b"PK\x03\x04 BEGIN:VCALENDAR-ish", "no calendar file|cannot be read|no events"),
        (b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n", "no events"),
        (b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nEND:VCALENDAR\r\n", "cannot be read|no events"),
        (b"BEGIN:VCALENDAR\r\n" + b"x" * MOST_BYTES, "kB"),
    ],
)
def test_a_file_that_is_no_calendar_says_so(data: bytes, says: str) -> None:
    with pytest.raises(BadValue, match=says) as caught:
        read_calendar(data, CHICAGO, TODAY)
    assert caught.value.field == "file"


@given(st.binary(max_size=300))
def test_no_bytes_bring_anything_but_an_answer(data: bytes) -> None:
    for raw in (data, b"BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\n" + data + b"\r\nEND:VEVENT\r\nEND:VCALENDAR"):
        with suppress(BadValue):
            read_calendar(raw, CHICAGO, TODAY)


def entry(uid: str, day: date, **fields: object) -> FeedEntry:
    given_fields = {
        "summary": "Walk: grid",
        "words": "Due.\nEvery 3 months.",
        "sequence": 0,
        "stamp": AT,
        "made_at": AT,
    }
    return FeedEntry(uid, day, **{**given_fields, "gone": False, **fields})  # type: ignore[arg-type]


def test_two_other_libraries_read_the_feed_back() -> None:
    rows = [
        entry("a", date(2026, 2, 28)),
        entry("b", date(2028, 2, 29), summary="Walk; “grid”, ärgerlich", sequence=3, gone=True),
    ]
    text = write_calendar("Old Mill: walks", rows).decode()
    assert all(len(line.encode()) <= 75 for line in text.split("\r\n"))
    by_ics = {one.uid: one for one in ics.Calendar(text).events}
    assert {uid: (one.begin.date(), one.all_day, one.name) for uid, one in by_ics.items()} == {
        row.uid: (row.day, True, row.summary) for row in rows
    }
    assert by_ics["a"].description == "Due.\nEvery 3 months."
    by_vobject = {one.uid.value: one for one in vobject.readOne(text).contents["vevent"]}
    assert {uid: (one.dtstart.value, one.dtend.value) for uid, one in by_vobject.items()} == {
        row.uid: (row.day, row.day + timedelta(days=1)) for row in rows
    }
    assert (by_vobject["b"].status.value, by_vobject["b"].sequence.value) == ("CANCELLED", "3")
    assert by_vobject["a"].dtstamp.value == AT


@given(st.lists(st.tuples(st.text(max_size=120), st.dates(date(2000, 1, 1), date(2100, 1, 1))), max_size=4))
def test_any_words_come_back_as_they_were(rows: list[tuple[str, date]]) -> None:
    plain = [("".join(c for c in text if c.isprintable()).strip() or "x", day) for text, day in rows]
    data = write_calendar("H", [entry(str(n), day, summary=text) for n, (text, day) in enumerate(plain)])
    assert data == write_calendar("H", [entry(str(n), day, summary=text) for n, (text, day) in enumerate(plain)])
    if plain:
        events = vobject.readOne(data.decode()).contents["vevent"]
        assert [(one.summary.value, one.dtstart.value) for one in events] == plain
