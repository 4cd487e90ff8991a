"""The calendar that goes out: lasting identity, changes and cancellations, the same bytes, and secret addresses."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import date, datetime, timedelta

import ics
import pytest
import vobject
from flask.testing import FlaskClient
from icalendar import Calendar
from sqlite_utils import Database

from inspect_app.actions import calendar_feed
from inspect_app.actions.blackout import add_typed
from inspect_app.actions.calendar_feed import calendar_bytes, end_link, hash_of, make_link, read_feed
from inspect_app.actions.relook import ask_relook, move_relook, take_back_relook
from inspect_app.config import Settings
from inspect_app.domain.dark_day import Blackout
from inspect_app.domain.errors import BadValue, NotAllowed, NotFound
from inspect_app.domain.house import House
from inspect_app.domain.role import Role
from inspect_app.store.data_folder import database_path
from inspect_app.store.db import open_db, write_transaction
from inspect_app.store.membership import set_roles
from inspect_app.web import field_limit
from tests.walk_builder import START, BuiltWalk, add_person

LATER = START + timedelta(days=1)


@pytest.fixture
def walk(db: Database, settings: Settings, house: House) -> BuiltWalk:
    built = BuiltWalk(db, settings, house)
    built.open()
    for tag in ("HB 1", "LB 1-1", "LB 1-2", "HB 2", "LB 2-1", "LB 2-2"):
        built.look(tag)
    built.close()
    built.sign()
    return built


def feed(walk: BuiltWalk, at: datetime) -> bytes:
    return calendar_bytes(walk.db, walk.settings, walk.house.id, at)


def events(data: bytes) -> dict[str, vobject.base.Component]:
    """By title, what one library reads of the feed; the other has to read the same ids and days."""
    found = vobject.readOne(data.decode()).contents.get("vevent", [])
    by_ics = {one.uid: one.begin.date() for one in ics.Calendar(data.decode()).events}
    assert by_ics == {one.uid.value: one.dtstart.value for one in found}
    return {one.uid.value: one for one in found}


def standing(data: bytes, title: str) -> vobject.base.Component:
    (one,) = (e for e in events(data).values() if title in e.summary.value and e.status.value == "CONFIRMED")
    return one


def test_a_feed_in_which_nothing_changed_is_the_same_bytes_whenever_it_is_asked(walk: BuiltWalk) -> None:
    first = feed(walk, LATER)
    assert first == feed(walk, LATER)
    assert first == feed(walk, LATER + timedelta(hours=9))
    assert first == feed(walk, LATER + timedelta(days=6)), "no word of it counts from today"
    assert standing(first, "Quarterly").dtstart.value == date(2026, 6, 4)


def test_two_that_read_it_at_once_make_each_entry_once(walk: BuiltWalk, monkeypatch: pytest.MonkeyPatch) -> None:
    between: list[bytes] = []

    def written_late(db: Database) -> AbstractContextManager[Database]:
        monkeypatch.setattr(calendar_feed, "write_transaction", write_transaction)
        other = open_db(database_path(walk.settings))
        between.append(calendar_bytes(other, walk.settings, walk.house.id, LATER))
        other.conn.close()
        return write_transaction(db)

    monkeypatch.setattr(calendar_feed, "write_transaction", written_late)
    assert [feed(walk, LATER)] == between
    assert standing(between[0], "Quarterly")


def test_the_last_day_that_there_is_breaks_no_calendar(walk: BuiltWalk) -> None:
    ask_relook(
        walk.db, at=LATER, actor=walk.td.id, house=walk.house.id, part=walk.part("LB 1-1").id, look_on=date.max,
        reason="a slip of the pen",
    )  # fmt: skip
    (one,) = (e for e in Calendar.from_ical(feed(walk, LATER)).walk("VEVENT") if "LB 1-1" in e["SUMMARY"])
    assert one["DTSTART"].dt == date.max
    assert "DTEND" not in one, "the day after is no day"


def test_a_changed_day_keeps_the_id_and_counts_the_change(walk: BuiltWalk) -> None:
    before = standing(feed(walk, LATER), "Quarterly")
    closed = Blackout(date(2026, 6, 1), date(2026, 6, 8), "festival")
    add_typed(walk.db, at=LATER, actor=walk.td.id, house=walk.house.id, blackout=closed)
    at = LATER + timedelta(hours=1)
    after = standing(feed(walk, at), "Quarterly")
    assert (after.uid.value, after.dtstart.value) == (before.uid.value, date(2026, 5, 31))
    assert int(after.sequence.value) == int(before.sequence.value) + 1
    assert after.dtstamp.value == at.replace(microsecond=0)
    assert after.created.value == before.created.value


def test_a_walk_that_was_done_cancels_its_entry_and_the_next_round_is_a_new_one(walk: BuiltWalk) -> None:
    before = standing(feed(walk, LATER), "Quarterly")
    again = BuiltWalk(walk.db, walk.settings, walk.house)
    again.at = START + timedelta(days=85)
    again.open()
    for tag in ("HB 1", "LB 1-1", "LB 1-2", "HB 2", "LB 2-1", "LB 2-2"):
        again.look(tag)
    again.close()
    again.sign()
    data = feed(walk, again.at)
    gone = events(data)[before.uid.value]
    assert (gone.status.value, int(gone.sequence.value)) == ("CANCELLED", 1)
    now = standing(data, "Quarterly")
    assert now.uid.value != before.uid.value
    assert now.dtstart.value == date(2026, 8, 28)
    assert data == feed(walk, again.at + timedelta(days=2))


def test_a_re_look_moves_under_one_id_and_is_cancelled_when_it_is_taken_back(walk: BuiltWalk) -> None:
    part = walk.part("LB 1-1").id
    asked = ask_relook(walk.db, at=LATER, actor=walk.td.id, house=walk.house.id, part=part,
                       look_on=date(2026, 4, 1), reason="new sheave")  # fmt: skip
    first = standing(feed(walk, LATER), "LB 1-1")
    move_relook(walk.db, at=LATER, actor=walk.td.id, house=walk.house.id, relook=asked.id, look_on=date(2026, 4, 20),
                reason="on tour")  # fmt: skip
    second = standing(feed(walk, LATER), "LB 1-1")
    assert (second.uid.value, second.dtstart.value, second.sequence.value) == (first.uid.value, date(2026, 4, 20), "1")
    take_back_relook(walk.db, at=LATER, actor=walk.td.id, house=walk.house.id, relook=asked.id, reason="gone")
    gone = events(feed(walk, LATER))[first.uid.value]
    assert (gone.status.value, gone.sequence.value, gone.dtstart.value) == ("CANCELLED", "2", date(2026, 4, 20))


def test_an_overdue_walk_is_not_moved_from_day_to_day_while_its_proposal_lies_ahead(walk: BuiltWalk) -> None:
    at = START + timedelta(days=100)
    closed = Blackout(at.date(), at.date() + timedelta(days=9), "opera")
    add_typed(walk.db, at=at, actor=walk.td.id, house=walk.house.id, blackout=closed)
    first = feed(walk, at)
    day = at.date() + timedelta(days=10)
    assert standing(first, "Quarterly").dtstart.value == day
    assert feed(walk, at + timedelta(days=5)) == first
    assert standing(feed(walk, at + timedelta(days=16)), "Quarterly").dtstart.value == day, "not every day"
    moved = standing(feed(walk, at + timedelta(days=17)), "Quarterly")
    assert moved.dtstart.value == day + timedelta(days=7)
    assert moved.uid.value == standing(first, "Quarterly").uid.value


def test_an_address_is_kept_only_as_a_digest_and_reads_one_house(walk: BuiltWalk, other_house: House) -> None:
    link, secret = make_link(walk.db, at=LATER, actor=walk.td.id, house=walk.house.id, label="my phone")
    kept = b"".join(bytes(str(row), "utf-8") for row in walk.db.execute("SELECT * FROM calendar_link").fetchall())
    journal = str(walk.db.execute("SELECT * FROM journal").fetchall())
    assert secret.encode() not in kept
    assert secret not in journal
    assert walk.db.execute("SELECT token_hash FROM calendar_link").fetchone()[0] == hash_of(secret)
    found = read_feed(walk.db, walk.settings, secret, LATER)
    assert found is not None
    assert found[0] == walk.house.id
    assert other_house.name.encode() not in found[1]
    end_link(walk.db, at=LATER, actor=walk.td.id, house=walk.house.id, link=link.id)
    assert read_feed(walk.db, walk.settings, secret, LATER) is None
    with pytest.raises(NotFound):
        end_link(walk.db, at=LATER, actor=walk.td.id, house=walk.house.id, link=link.id)


def test_whoever_leaves_the_house_takes_no_calendar_along(walk: BuiltWalk) -> None:
    helper = add_person(walk.db, walk.house, "Kit", Role.HELPER)
    _, secret = make_link(walk.db, at=LATER, actor=helper.id, house=walk.house.id, label="phone")
    assert read_feed(walk.db, walk.settings, secret, LATER) is not None
    with write_transaction(walk.db):
        set_roles(walk.db, walk.house.id, helper.id, frozenset(), LATER)
    assert read_feed(walk.db, walk.settings, secret, LATER) is None


def test_only_its_maker_or_a_keeper_of_the_house_ends_an_address(walk: BuiltWalk) -> None:
    helper = add_person(walk.db, walk.house, "Kit", Role.HELPER)
    mine, _ = make_link(walk.db, at=LATER, actor=walk.td.id, house=walk.house.id, label="phone")
    theirs, _ = make_link(walk.db, at=LATER, actor=helper.id, house=walk.house.id, label="phone")
    with pytest.raises(NotAllowed):
        end_link(walk.db, at=LATER, actor=helper.id, house=walk.house.id, link=mine.id)
    end_link(walk.db, at=LATER, actor=walk.td.id, house=walk.house.id, link=theirs.id)
    with pytest.raises(BadValue):
        make_link(walk.db, at=LATER, actor=helper.id, house=walk.house.id, label=" ")


def test_the_address_answers_without_a_session_with_a_digest_and_within_a_rate(
    walk: BuiltWalk, client: FlaskClient, clock_at: Callable[[datetime], None]
) -> None:
    field_limit.forget_all()
    _, secret = make_link(walk.db, at=LATER, actor=walk.td.id, house=walk.house.id, label="my phone")
    clock_at(LATER)
    answer = client.get(f"/calendar/{secret}.ics")
    assert (answer.status_code, answer.mimetype) == (200, "text/calendar")
    assert events(answer.data)
    again = client.get(f"/calendar/{secret}.ics", headers={"If-None-Match": answer.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")
    assert client.get("/calendar/nobody-knows.ics").status_code == 404
    codes = [client.get(f"/calendar/{secret}.ics").status_code for _ in range(12)]
    assert codes[-1] == 429
    field_limit.forget_all()
