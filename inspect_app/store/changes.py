"""What happened in a house since a moment, read for comparing: what was told of faults, ratings, lives, the record."""

import json
from collections import defaultdict
from collections.abc import Mapping
from datetime import date, datetime, tzinfo
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.changes import Rated, Told
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.walk import names_of
from inspect_app.store.blind_spot import PRESENT, STANDS, counts_sql, not_aside_sql
from inspect_app.store.house import get_house, to_day
from inspect_app.store.part import PartChange
from inspect_app.store.point_clock import zone_of

_COUNTED = f"(q.n IS NOT NULL AND {counts_sql('l')})"
_LOOK = (
    "JOIN look l ON l.entry = f.entry LEFT JOIN sealed_entry q ON q.walk = l.walk AND q.entry = l.entry "
    "LEFT JOIN person p ON p.id = l.by LEFT JOIN person c ON c.id = l.called_by"
)


class LifeRow(NamedTuple):
    """What hung in a part's place from a day to a day; None where it is not recorded, or where it hangs still."""

    part: str
    installed_on: date | None
    retired_on: date | None
    lot: str


class PartChanged(NamedTuple):
    """A change of what is recorded of a part."""

    part: str
    change: PartChange


class Said(NamedTuple):
    """Something that somebody decided or altered: what, in words, when, and the ids of the rows it wrote."""

    noun: str
    words: str
    at: datetime
    by_name: str
    keys: tuple[str, ...] = ()


def list_told(db: Database, house: str) -> list[Told]:
    """What every standing look said of every deficiency, oldest first; what is not signed yet is marked so."""
    zone = zone_of(get_house(db, house).tz)
    rows = db.execute(
        f"SELECT x.deficiency, f.answer, f.grade, l.at, coalesce(p.name, ''), coalesce(c.name, ''), f.note, {_COUNTED} "
        f"FROM deficiency_finding x JOIN finding f ON f.id = x.finding {_LOOK} "
        f"WHERE f.house = ? AND {STANDS} AND {not_aside_sql(db, house)} ORDER BY l.at, f.id",
        (to_key(house),),
    )
    return [
        Told(from_key(key), answer, grade, _day(at, zone), names_of(by, caller), note, bool(counted))
        for key, answer, grade, at, by, caller, note, counted in rows.fetchall()
    ]


class DefectSeen(NamedTuple):
    """A finding that points at a deficiency: at which point, and which usual defect was named, '' for none."""

    deficiency: str
    point: str
    defect: str


def list_defects_seen(db: Database, house: str) -> list[DefectSeen]:
    """The defects that standing looks named, each once for each deficiency."""
    rows = db.execute(
        "SELECT DISTINCT x.deficiency, f.point, f.defect FROM deficiency_finding x JOIN finding f ON f.id = x.finding "
        f"JOIN look l ON l.entry = f.entry WHERE f.house = ? AND {STANDS} AND {not_aside_sql(db, house)}",
        (to_key(house),),
    )
    return [DefectSeen(from_key(key), point, defect) for key, point, defect in rows.fetchall()]


def list_ratings(db: Database, house: str) -> list[Rated]:
    """Every wear rating of what hangs in its place now, of standing looks on signed walks, oldest first."""
    zone = zone_of(get_house(db, house).tz)
    rows = db.execute(
        "SELECT f.part, f.point, f.wear, l.at, coalesce(l.called_by, l.by), coalesce(p.name, ''), "
        f"coalesce(c.name, '') FROM finding f {_LOOK} "
        f"JOIN part_life v ON v.part = l.part AND v.retired_on IS NULL AND {PRESENT} "
        f"WHERE f.house = ? AND f.wear IS NOT NULL AND {_COUNTED} AND {STANDS} AND {not_aside_sql(db, house)} "
        "ORDER BY l.at, f.id",
        (to_key(house),),
    )
    return [
        Rated(from_key(part), point, wear, _day(at, zone), from_key(by), names_of(name, caller))
        for part, point, wear, at, by, name, caller in rows.fetchall()
    ]


def list_settled_days(db: Database, house: str) -> dict[tuple[str, str], list[date]]:
    """By part and point, the days on which a fault found there was settled."""
    zone = zone_of(get_house(db, house).tz)
    rows = db.execute(
        "SELECT DISTINCT f.part, f.point, e.at FROM deficiency_event e "
        "JOIN deficiency_finding x ON x.deficiency = e.deficiency JOIN finding f ON f.id = x.finding "
        "WHERE f.house = ? AND e.to_state = 'settled' AND e.from_state <> e.to_state",
        (to_key(house),),
    )
    found: dict[tuple[str, str], list[date]] = defaultdict(list)
    for part, point, at in rows.fetchall():
        found[from_key(part), point].append(_day(at, zone))
    return found


def list_life_rows(db: Database, house: str) -> list[LifeRow]:
    """Every life of every part that began or ended on a recorded day, in order of day."""
    rows = db.execute(
        "SELECT v.part, v.installed_on, v.retired_on, v.lot FROM part_life v JOIN part p ON p.id = v.part "
        "WHERE p.house = ? AND (v.installed_on IS NOT NULL OR v.retired_on IS NOT NULL) "
        "ORDER BY coalesce(v.installed_on, ''), v.rowid",
        (to_key(house),),
    )
    return [LifeRow(from_key(part), to_day(a), to_day(b), lot) for part, a, b, lot in rows.fetchall()]


def list_changes_of_parts(db: Database, house: str, since: datetime) -> list[PartChanged]:
    """Every change of what is recorded of parts after a moment, oldest first."""
    rows = db.execute(
        "SELECT c.part, c.at, coalesce(p.name, ''), c.what, c.old, c.new, c.reason FROM part_change c "
        "JOIN part q ON q.id = c.part LEFT JOIN person p ON p.id = c.by WHERE q.house = ? "
        "AND julianday(c.at) > julianday(?) ORDER BY julianday(c.at), c.rowid",
        (to_key(house), since.isoformat()),
    )
    return [
        PartChanged(from_key(part), PartChange(datetime.fromisoformat(at), *rest))
        for part, at, *rest in rows.fetchall()
    ]


# action of the journal -> (noun of the page, what was done in words); what has lines of its own is left out
_ACTIONS: Mapping[str, tuple[str, str]] = {
    "area.add": ("house", "an area was added"),
    "area.change": ("house", "an area was changed"),
    "area.retire": ("house", "an area was retired"),
    "checklist.review": ("checklist", "a checklist was reviewed by name"),
    "criteria.govern": ("criteria", "which document governs a criterion was chosen"),
    "criteria.place": ("criteria", "the place whose law is shown was changed"),
    "criteria.sign": ("criteria", "a published figure was entered from the house's own copy"),
    "criteria.withdraw": ("criteria", "an entered figure was withdrawn"),
    "gauge.add": ("gauge", "a gauge was added"),
    "gauge.change": ("gauge", "a gauge was changed"),
    "gauge.doubt": ("gauge", "a gauge was found to have read wrong"),
    "gauge.retire": ("gauge", "a gauge was retired"),
    "gauge.trust": ("gauge", "a note that a gauge read wrong was taken back"),
    "house.change": ("house", "the settings of the house were changed"),
    "house.fill": ("house", "the inventory was filled"),
    "house.generate": ("house", "the inventory was made from a few answers"),
    "house.line_names": ("house", "the names of lift lines were changed"),
    "house.repair_policy": ("register", "the days that the house gives for repairs were changed"),
    "interval.days": ("interval", "the days that suit the house for walks were changed"),
    "interval.end": ("interval", "an interval of the house's own was ended"),
    "examination.enter": ("interval", "an examination by others was entered"),
    "interval.rule": ("interval", "a rule set or rule was chosen or left off"),
    "interval.set": ("interval", "how often a checklist is walked was set"),
    "line_set.add": ("line_set", "a line set was added"),
    "line_set.change": ("line_set", "a line set was changed"),
    "line_set.complete": ("line_set", "parts were added to a line set"),
    "line_set.retire": ("line_set", "a line set was retired"),
    "part.add": ("part", "a part was added"),
    "schedule.import": ("line_set", "a line-set schedule was taken in"),
}


def list_said(db: Database, house: str, since: datetime) -> list[Said]:
    """What was decided or altered for the whole house after a moment, by the journal, oldest first."""
    marks = ",".join("?" * len(_ACTIONS))
    rows = db.execute(
        f"SELECT action, at, actor, items FROM journal WHERE house = ? AND action IN ({marks}) "
        "AND julianday(at) > julianday(?) ORDER BY n",
        (house, *_ACTIONS, since.isoformat()),
    ).fetchall()
    names = {from_key(key): name for key, name in db.execute("SELECT id, name FROM person").fetchall()}
    return [
        Said(
            *_ACTIONS[action],
            datetime.fromisoformat(at),
            names.get(actor, ""),
            tuple(str(one[1]) for one in json.loads(items)),
        )
        for action, at, actor, items in rows
    ]


def list_accepted_times(db: Database, house: str) -> dict[str, tuple[datetime, datetime | None]]:
    """By accepted condition, when it was accepted and when that ended."""
    rows = db.execute("SELECT id, at, ended_at FROM accepted_condition WHERE house = ?", (to_key(house),))
    return {
        from_key(key): (datetime.fromisoformat(at), datetime.fromisoformat(ended) if ended else None)
        for key, at, ended in rows.fetchall()
    }


class RevisionUsed(NamedTuple):
    """Which revision of a checklist a walk used."""

    checklist: str
    revision: str
    on: date


def list_revisions_used(db: Database, house: str) -> list[RevisionUsed]:
    """The revisions of checklists that signed walks used, oldest walk first."""
    rows = db.execute(
        "SELECT scope, date_local FROM walk WHERE house = ? AND state = 'sealed' ORDER BY date_local, opened_at",
        (to_key(house),),
    )
    return [
        RevisionUsed(item["id"], item["revision"], date.fromisoformat(on))
        for scope, on in rows.fetchall()
        for item in json.loads(scope).get("checklists", ())
    ]


def _day(at: str, zone: tzinfo) -> date:
    return datetime.fromisoformat(at).astimezone(zone).date()
