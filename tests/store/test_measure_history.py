"""Measures from signed walks of several years become one series; what is not signed or was withdrawn does not count."""

import json
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from html import escape
from typing import Any

import pytest
from flask.testing import FlaskClient
from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.gauge import add_gauge, add_station, doubt_gauge, retire_station, trust_gauge
from inspect_app.actions.ingest import Verdict, ingest_entries
from inspect_app.actions.part import change_part
from inspect_app.actions.seal import amend_walk, draft_data
from inspect_app.config import Settings
from inspect_app.domain.gauge import Gauge
from inspect_app.domain.house import House
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.report import build_report
from inspect_app.domain.report_measures import measures_of
from inspect_app.domain.role import Role
from inspect_app.domain.strict_json import WireItem
from inspect_app.domain.trend import CAUTION, Refusal, Refused, Trend
from inspect_app.output.report_html import PrintFacts, report_html
from inspect_app.store.db import write_transaction
from inspect_app.store.device import Device
from inspect_app.store.gauge import get_gauge, list_given_up
from inspect_app.store.measure_history import list_look_again, list_measured_with, list_outlooks
from inspect_app.store.part import find_part_by_tag
from tests import walk_builder
from tests.walk_builder import BuiltWalk, add_person

FIGURES = ("0.2550", "0.2525", "0.2500", "0.2480", "0.2455")
ROPE = {"rope_diameter_mm": "6.35", "rope_construction": "7x19"}


def measure(value: str, **change: Any) -> dict[str, Any]:
    given = {
        "point": "lift-line-diameter", "quantity": "rope_diameter", "value": value, "unit": "in", "typed": value,
        "readings": [value], "station": "over the loft block", "gauge": "caliper C1", "load_state": "unloaded",
    }  # fmt: skip
    return {**given, **change}


@pytest.fixture
def line(db: Database, house: House) -> str:
    """A lift line of set 1, its rope a quarter inch; returns the part's id."""
    like, new = find_part_by_tag(db, house.id, "LB 1-1"), clock.new_id()
    assert like is not None
    with write_transaction(db):
        db.execute(
            "INSERT INTO part(id, house, area, kind, tag, line_set, line) VALUES (?,?,?,?,?,?,?)",
            (to_key(new), to_key(house.id), to_key(like.area), "lift_line", "LL 1-1", to_key(like.line_set or ""), 1),
        )
        db.execute("INSERT INTO part_life(id, part) VALUES (?,?)", (to_key(clock.new_id()), to_key(new)))
    return new


def walk_on(built: BuiltWalk, at: datetime, **fields: Any) -> str:
    """One more walk of the house on a day, with one look at the line; returns the look's entry."""
    built.id, built.at, built.sent = clock.new_id(), at, {}
    built.open()
    return built.look("LL 1-1", points=["lift-line-diameter"], **fields)


def years_of(db: Database, settings: Settings, house: House, sign_last: bool = True) -> BuiltWalk:
    built = BuiltWalk(db, settings, house, "annual-hands-on")
    inspector = add_person(db, house, "Jo Marsh", Role.INSPECTOR)
    for n, figure in enumerate(FIGURES):
        walk_on(built, walk_builder.START + timedelta(days=182 * n), measures=[measure(figure)])
        if sign_last or n < len(FIGURES) - 1:
            built.close()
            built.sign(inspector, role=Role.INSPECTOR)
    return built


def describe(db: Database, house: House, line: str, actor: str) -> None:
    part = find_part_by_tag(db, house.id, "LL 1-1")
    assert part is not None
    change_part(
        db, at=datetime(2026, 3, 1, tzinfo=UTC), actor=actor, part=part, installed_on=None, lot="", attributes=ROPE,
        reason="",
    )  # fmt: skip


def test_five_signed_looks_give_a_date_for_the_calendar(
    db: Database, settings: Settings, house: House, line: str
) -> None:
    built = years_of(db, settings, house)
    describe(db, house, line, built.td.id)
    (outlook,) = list_outlooks(db, house.id, line)
    assert isinstance(outlook.trend, Trend)
    assert len(outlook.series.taken) == 5
    (found,) = list_look_again(db, house.id)[line]
    assert found.before == outlook.before
    assert found.before is not None
    assert outlook.trend.last < found.by < found.before
    assert found.words.startswith(f"rope diameter: look again before {found.before} (trend of 5 looks since 2026-03)")


def test_the_page_of_the_part_counts_and_lists_the_measures(
    db: Database, settings: Settings, house: House, line: str, client: FlaskClient, sign_in: Callable[..., object]
) -> None:
    """A value of the program's own never stands on the page where a number or a sentence belongs."""
    built = years_of(db, settings, house)
    describe(db, house, line, built.td.id)
    sign_in(client)
    page = client.get(f"/houses/{house.id}/parts/{line}/").text
    assert "5 measures</summary>" in page
    assert page.count("0.2455 in") >= 1
    assert "MeasureRow(" not in page
    assert "NIST/SEMATECH e-Handbook of Statistical Methods" in page
    assert "(from a secondary source)" in page


def test_an_unsigned_walk_is_shown_and_counts_only_for_its_own_paper(
    db: Database, settings: Settings, house: House, line: str
) -> None:
    built = years_of(db, settings, house, sign_last=False)
    describe(db, house, line, built.td.id)
    (outlook,) = list_outlooks(db, house.id, line)
    assert [one.why_not for one in outlook.series.waiting] == ["not signed yet"]
    assert len(outlook.series.taken) == 4
    (own,) = built.record.outlooks
    assert len(own.series.taken) == 5


def test_a_withdrawn_look_takes_its_measure_along(db: Database, settings: Settings, house: House, line: str) -> None:
    built = years_of(db, settings, house, sign_last=False)
    wrong = built.look("LL 1-1", points=["lift-line-diameter"], measures=[measure("0.1000")])
    built.look("LL 1-1", "withdrawn", replaces=[wrong])
    (outlook,) = list_outlooks(db, house.id, line)
    assert "0.1000" not in {one.value for one in (*outlook.series.taken, *outlook.series.waiting)}


def test_a_part_measured_once_asks_nothing_of_the_calendar(
    db: Database, settings: Settings, house: House, line: str
) -> None:
    built = BuiltWalk(db, settings, house, "annual-hands-on")
    walk_on(built, walk_builder.START, measures=[measure("0.25")])
    built.close()
    built.sign(add_person(db, house, "Jo Marsh", Role.INSPECTOR), role=Role.INSPECTOR)
    (outlook,) = list_outlooks(db, house.id, line)
    assert isinstance(outlook.trend, Refused)
    assert outlook.trend.reason is Refusal.TOO_FEW
    assert list_look_again(db, house.id) == {}


def test_the_resolution_of_a_listed_gauge_reaches_the_judgement_and_the_series(
    db: Database, settings: Settings, house: House, line: str
) -> None:
    built = years_of(db, settings, house, sign_last=False)
    describe(db, house, line, built.td.id)
    gauge = Gauge("", house.id, "Caliper C1", "caliper", "0.0254", "mm", calibrated_on=date(2026, 1, 5))
    add_gauge(db, at=built.at, actor=built.td.id, gauge=gauge)
    (look,) = (one for one in built.record.looks if one.measures)
    assert look.measures[0].resolution == "0.001"
    assert {one.resolution for one in list_outlooks(db, house.id, line)[0].series.taken} == {"0.001"}


def test_the_sealed_paper_says_when_to_look_again(db: Database, settings: Settings, house: House, line: str) -> None:
    built = years_of(db, settings, house)
    describe(db, house, line, built.td.id)
    data = json.loads(draft_data(db, house.id, built.id, built.criteria))
    (row,) = data["look_again"]
    assert row["part"] == "LL 1-1"
    (shown,) = measures_of(data)
    assert shown.look_again == row["words"]
    page = report_html(build_report(data), PrintFacts("Letter", "00" * 32, "2026-03-04T12:00:00+00:00"))
    assert row["words"].partition(": ")[2] in page
    assert escape(CAUTION, quote=False) in page.replace("&#39;", "'")
    old = {key: value for key, value in data.items() if key != "look_again"}
    assert measures_of(old)[0].look_again == ""


def withdrawn_late(built: BuiltWalk, figure: str) -> None:
    """The look of the last walk with this figure, withdrawn after it was signed."""
    row = built.db.execute("SELECT entry FROM measure WHERE value = ? AND quantity = 'rope_diameter'", (figure,))
    (entry,) = (from_key(key) for (key,) in row.fetchall())
    built.look("LL 1-1", "withdrawn", replaces=[entry])


def test_what_comes_after_the_signature_takes_no_measure_away_until_it_is_signed_too(
    db: Database, settings: Settings, house: House, line: str
) -> None:
    """A late withdrawal by one phone must not quietly put a date off."""
    built = years_of(db, settings, house)
    describe(db, house, line, built.td.id)
    before = list_outlooks(db, house.id, line)[0].before
    withdrawn_late(built, FIGURES[-1])
    (outlook,) = list_outlooks(db, house.id, line)
    assert (len(outlook.series.taken), outlook.before) == (5, before)
    built.at += timedelta(minutes=1)
    amend_walk(
        db, at=built.at, actor=add_person(db, house, "Ada Quill", Role.INSPECTOR).id, house=house.id, walk=built.id,
        signing=built.signing(role=Role.INSPECTOR, name="Ada Quill", gaps_reason="late"), criteria=built.criteria,
    )  # fmt: skip
    assert len(list_outlooks(db, house.id, line)[0].series.taken) == 4


def test_a_clock_that_ran_ahead_puts_no_date_back(db: Database, settings: Settings, house: House, line: str) -> None:
    built = years_of(db, settings, house)
    describe(db, house, line, built.td.id)
    (right,) = list_outlooks(db, house.id, line)
    assert isinstance(right.trend, Trend)
    db.execute("UPDATE look SET at = ? WHERE at = (SELECT max(at) FROM look)", ("2066-01-01T12:00:00+00:00",))
    (ahead,) = list_outlooks(db, house.id, line)
    assert isinstance(ahead.trend, Trend)
    assert (ahead.trend.last, ahead.before) == (right.trend.last, right.before)


def test_a_measure_from_a_device_whose_clock_was_far_off_has_no_day(
    db: Database, settings: Settings, house: House, line: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def slow(db: Database, *, at: datetime, device: Device, entries: list[dict[str, Any]]) -> tuple[Verdict, ...]:
        items = [WireItem(json.dumps(one), one, "") for one in entries]
        return ingest_entries(db, at=at, device=device, items=items, skew_ms=40 * 86_400_000)

    built = years_of(db, settings, house, sign_last=False)
    monkeypatch.setattr(walk_builder, "record_entries", slow)
    built.look("LL 1-1", points=["lift-line-diameter"], measures=[measure("0.2000")])
    monkeypatch.undo()
    built.close()
    built.sign(add_person(db, house, "Ada Quill", Role.INSPECTOR), role=Role.INSPECTOR)
    (outlook,) = list_outlooks(db, house.id, line)
    assert len(outlook.series.taken) == 5
    assert [(one.value, one.why_not) for one in outlook.series.waiting] == [
        ("0.2000", "the clock of the device was 40 days slow, so the day is not known")
    ]


def test_each_quantity_of_a_part_asks_for_itself(db: Database, settings: Settings, house: House, line: str) -> None:
    """Two quantities may be measured on different walks: the nearer date of one must not hide the other's."""
    built = BuiltWalk(db, settings, house, "annual-hands-on")
    inspector = add_person(db, house, "Jo Marsh", Role.INSPECTOR)
    for n, figure in enumerate(FIGURES):
        broken = measure(str(2 * n), quantity="broken_wires", unit="count", point="lift-line-broken-wires", gauge=None)
        walk_on(built, walk_builder.START + timedelta(days=182 * n), measures=[measure(figure), broken])
        built.close()
        built.sign(inspector, role=Role.INSPECTOR)
    describe(db, house, line, built.td.id)
    asked = list_look_again(db, house.id)[line]
    assert {one.quantity for one in asked} == {"rope diameter", "broken wires"}
    outlooks = {one.series.key.quantity for one in list_outlooks(db, house.id, line) if one.look_again}
    assert {one.quantity.replace(" ", "_") for one in asked} == outlooks


def test_what_a_gauge_read_on_days_it_was_wrong_counts_in_no_trend_and_the_signed_paper_stands(
    db: Database, settings: Settings, house: House, line: str
) -> None:
    built = years_of(db, settings, house)
    describe(db, house, line, built.td.id)
    paper = db.execute("SELECT data FROM seal ORDER BY at").fetchall()
    made = add_gauge(db, at=built.at, actor=built.td.id, gauge=Gauge("", house.id, "Caliper C1", "caliper"))
    first, last = date(2026, 8, 1), date(2027, 10, 1)
    doubt_gauge(
        db, at=built.at, actor=built.td.id, house=house.id, gauge=made.id, first=first, last=last, why="dropped",
        today=built.at.date(),
    )  # fmt: skip
    (outlook,) = list_outlooks(db, house.id, line)
    assert [one.value for one in outlook.series.taken] == ["0.2550", "0.2455"]
    assert {one.why_not for one in outlook.series.waiting} == {"the gauge read wrong: dropped"}
    assert isinstance(outlook.trend, Refused)
    assert list_look_again(db, house.id) == {}, "the newest figure is a good one"
    doubt_gauge(
        db, at=built.at, actor=built.td.id, house=house.id, gauge=made.id, first=last, last=built.at.date(),
        why="never set again", today=built.at.date(),
    )  # fmt: skip
    ((asked,),) = list_look_again(db, house.id).values()
    assert (asked.before, asked.by) == (None, built.at.date() + timedelta(1))
    assert "with a gauge that read wrong; measure it again" in asked.words
    assert db.execute("SELECT data FROM seal ORDER BY at").fetchall() == paper
    gauge = get_gauge(db, house.id, made.id)
    (part,) = list_measured_with(db, house, gauge, gauge.doubts[0])
    assert (part.tag, first <= part.on <= last) == ("LL 1-1", True)
    for doubt in gauge.doubts:
        trust_gauge(db, at=built.at, actor=built.td.id, house=house.id, gauge=made.id, doubt=doubt.id)
    assert len(list_outlooks(db, house.id, line)[0].series.taken) == 5


def test_a_place_named_anew_is_in_use_again(db: Database, settings: Settings, house: House, line: str) -> None:
    actor, at = add_person(db, house, "Ines", Role.TD).id, walk_builder.START
    made = add_station(db, at=at, actor=actor, house=house.id, part=line, name="Paint mark")
    assert list_given_up(db, house.id) == {}
    retire_station(db, at=at, actor=actor, house=house.id, station=made.id, on=at.date())
    assert list_given_up(db, house.id) == {line: frozenset({"paint mark"})}
    add_station(db, at=at, actor=actor, house=house.id, part=line, name="paint  mark")
    assert list_given_up(db, house.id) == {}


def test_a_part_described_anew_gets_its_present_limits_and_the_signed_paper_stands(
    db: Database, settings: Settings, house: House, line: str
) -> None:
    built = years_of(db, settings, house)
    describe(db, house, line, built.td.id)
    paper = db.execute("SELECT data FROM seal ORDER BY at").fetchall()
    (before,) = list_outlooks(db, house.id, line)
    part = find_part_by_tag(db, house.id, "LL 1-1")
    assert part is not None
    change_part(
        db, at=built.at, actor=built.td.id, part=part, installed_on=None, lot="",
        attributes={**ROPE, "rope_diameter_mm": "7.9375"}, reason="measured again: it is 5/16",
    )  # fmt: skip
    (after,) = list_outlooks(db, house.id, line)
    assert [one.edge for one in after.limits] != [one.edge for one in before.limits]
    assert after.before is None
    assert "the verdict stands" in after.words
    assert db.execute("SELECT data FROM seal ORDER BY at").fetchall() == paper
