"""Keeping the gauges of a house and the named measuring places of its parts; old figures go on naming them."""

from dataclasses import fields, replace
from datetime import date, datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.errors import Conflict, NotFound
from inspect_app.domain.gauge import Doubt, Gauge, Station, check_doubt, check_gauge, check_station, plain
from inspect_app.store.db import write_transaction
from inspect_app.store.gauge import (
    add_doubt,
    add_gauge_row,
    add_station_row,
    end_doubt,
    get_gauge,
    get_station,
    list_gauges,
    list_stations,
    set_gauge,
    set_station_retired,
)
from inspect_app.store.journal import append_journal, item
from inspect_app.store.part import get_part


def add_gauge(db: Database, *, at: datetime, actor: str, gauge: Gauge) -> Gauge:
    """Add a gauge (its id is made here). Raises BadValue, and Conflict when one of that name is or was in the house."""
    with write_transaction(db):
        made = check_gauge(replace(gauge, id=clock.new_id(), retired_on=None))
        _check_name(db, made)
        add_gauge_row(db, made)
        _journal(db, at, actor, "gauge.add", made)
    return made


def change_gauge(db: Database, *, at: datetime, actor: str, gauge: Gauge) -> Gauge:
    """Change what is recorded of a gauge, its name aside: figures taken with it name it. Raises as add_gauge."""
    with write_transaction(db):
        kept = get_gauge(db, gauge.house, gauge.id)
        made = check_gauge(replace(gauge, name=kept.name, retired_on=kept.retired_on))
        set_gauge(db, made)
        _journal(db, at, actor, "gauge.change", made)
    return made


def retire_gauge(db: Database, *, at: datetime, actor: str, house: str, gauge: str, on: date) -> Gauge:
    """Offer a gauge no more. Raises NotFound and, when it is retired, Conflict."""
    with write_transaction(db):
        kept = get_gauge(db, house, gauge)
        if kept.retired_on is not None:
            raise Conflict(f"{kept.name} is retired already.")
        made = replace(kept, retired_on=on)
        set_gauge(db, made)
        _journal(db, at, actor, "gauge.retire", made)
    return made


def doubt_gauge(
    db: Database, *, at: datetime, actor: str, house: str, gauge: str, first: date | None, last: date | None, why: str,
    today: date,
) -> Gauge:  # fmt: skip
    """Note days on which a gauge read wrong: its figures of those days count in no trend, and every report stands.

    Raises BadValue and NotFound.
    """
    with write_transaction(db):
        kept = get_gauge(db, house, gauge)
        made = replace(check_doubt(first, last, why, today), id=clock.new_id())
        add_doubt(db, kept.id, made, actor, at)
        _journal_doubt(db, at, actor, "gauge.doubt", kept, made)
    return kept


def trust_gauge(db: Database, *, at: datetime, actor: str, house: str, gauge: str, doubt: str) -> Gauge:
    """Take back days that were noted by mistake. Raises NotFound."""
    with write_transaction(db):
        kept = get_gauge(db, house, gauge)
        found = next((one for one in kept.doubts if one.id == doubt), None)
        if found is None:
            raise NotFound("Nothing of that kind is noted against this gauge.")
        end_doubt(db, found.id, at)
        _journal_doubt(db, at, actor, "gauge.trust", kept, found)
    return kept


def add_station(db: Database, *, at: datetime, actor: str, house: str, part: str, name: str) -> Station:
    """Name a measuring place of a part. Raises BadValue, NotFound, and Conflict when the part has one of that name."""
    with write_transaction(db):
        get_part(db, house, part)
        made = Station(clock.new_id(), part, check_station(name))
        if plain(made.name) in {plain(one.name) for one in list_stations(db, house, part)}:
            raise Conflict("This part has a measuring place of that name already.")
        add_station_row(db, made)
        _journal_station(db, at, actor, "station.add", house, made)
    return made


def retire_station(db: Database, *, at: datetime, actor: str, house: str, station: str, on: date) -> Station:
    """Offer a measuring place no more. Raises NotFound and, when it is given up already, Conflict."""
    with write_transaction(db):
        kept = get_station(db, house, station)
        if kept.retired_on is not None:
            raise Conflict("This measuring place is given up already.")
        made = replace(kept, retired_on=on)
        set_station_retired(db, made)
        _journal_station(db, at, actor, "station.retire", house, made)
    return made


def _check_name(db: Database, gauge: Gauge) -> None:
    if plain(gauge.name) in {plain(one.name) for one in list_gauges(db, gauge.house, retired=True)}:
        raise Conflict(f"A gauge named {gauge.name} is or was in this house. Give this one a name of its own.")


def _content(value: Gauge | Station) -> list[str]:
    return [str(getattr(value, one.name)) for one in fields(value) if one.name != "doubts"]


def _journal_doubt(db: Database, at: datetime, actor: str, action: str, gauge: Gauge, doubt: Doubt) -> None:
    content = [doubt.id, doubt.first.isoformat(), doubt.last.isoformat(), doubt.why]
    items = [item("gauge", gauge.id, content)]
    append_journal(db, at=at, actor=actor, action=action, house=gauge.house, items=items)


def _journal(db: Database, at: datetime, actor: str, action: str, gauge: Gauge) -> None:
    items = [item("gauge", gauge.id, _content(gauge))]
    append_journal(db, at=at, actor=actor, action=action, house=gauge.house, items=items)


def _journal_station(db: Database, at: datetime, actor: str, action: str, house: str, station: Station) -> None:
    append_journal(
        db, at=at, actor=actor, action=action, house=house, items=[item("station", station.id, _content(station))]
    )
