"""What was known of each part on a day, for the plan: looks, replacements and stops with their days."""

import json
from datetime import date, datetime, tzinfo
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.checklist import Way
from inspect_app.domain.ids import from_key, to_key
from inspect_app.store.blind_spot import STANDS, counts_sql, not_aside_sql
from inspect_app.store.house import get_house
from inspect_app.store.point_clock import zone_of


class LookRow(NamedTuple):
    """A look that stands and counts; `way` is its closest way of looking."""

    part: str
    result: str
    on: date
    way: Way | None


class OpenSpan(NamedTuple):
    """A stop on a set, an area or a part from a day until the day on which it ended; None while it stands."""

    line_set: str
    area: str
    part: str
    why: str
    raised_on: date
    ended_on: date | None


def list_standing_looks(db: Database, house: str) -> list[LookRow]:
    """Every look that stands and counts, signed or not, oldest first.

    A clock that ran ahead must not put a look after the seal of its walk.
    """
    zone = zone_of(get_house(db, house).tz)
    rows = db.execute(
        "SELECT l.part, l.result, min(l.at, coalesce(w.sealed_at, l.at)) AS time, l.ways FROM look l "
        f"LEFT JOIN walk w ON w.id = l.walk WHERE l.house = ? AND {STANDS} AND {counts_sql('l')} "
        f"AND {not_aside_sql(db, house)} ORDER BY time, l.entry",
        (to_key(house),),
    ).fetchall()
    ways: dict[str, Way | None] = {}
    found = []
    for part, result, at, looked in rows:
        if looked not in ways:
            given = set(json.loads(looked))
            ways[looked] = next((way for way in Way if way.value in given), None)
        found.append(LookRow(from_key(part), result, _day(at, zone), ways[looked]))
    return found


def list_replaced_days(db: Database, house: str) -> dict[str, list[date]]:
    """By part, the days on which what hung there was taken out: a look before such a day is at what is gone."""
    rows = db.execute(
        "SELECT v.part, v.retired_on FROM part_life v JOIN part p ON p.id = v.part "
        "WHERE p.house = ? AND v.retired_on IS NOT NULL ORDER BY v.retired_on",
        (to_key(house),),
    )
    found: dict[str, list[date]] = {}
    for part, day in rows.fetchall():
        found.setdefault(from_key(part), []).append(date.fromisoformat(day))
    return found


def list_stop_spans(db: Database, house: str) -> list[OpenSpan]:
    """Every tag-out of the house with the days between which it stood."""
    zone = zone_of(get_house(db, house).tz)
    rows = db.execute(
        "SELECT t.line_set, t.area, t.part, t.why, t.raised_at, t.state, "
        "coalesce((SELECT max(r.at) FROM tag_release r WHERE r.tag_out = t.id), "
        "(SELECT max(w.at) FROM tag_withdrawal w WHERE w.tag_out = t.id)) "
        "FROM tag_out t WHERE t.house = ? ORDER BY t.raised_at, t.rowid",
        (to_key(house),),
    )
    return [
        OpenSpan(
            _text(line_set), _text(area), _text(part), why, _day(raised, zone),
            None if state == "standing" else _day(ended or raised, zone),
        )
        for line_set, area, part, why, raised, state, ended in rows.fetchall()
    ]  # fmt: skip


def _text(key: bytes | None) -> str:
    return from_key(key) if key else ""


def _day(at: str, zone: tzinfo) -> date:
    return datetime.fromisoformat(at).astimezone(zone).date()
