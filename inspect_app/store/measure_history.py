"""All measures of a part over the years, which of them count, and what they say of the limits of the house."""

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cached_property
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlite_utils import Database

from inspect_app.config import shared_dir
from inspect_app.domain.asked_limits import part_limits
from inspect_app.domain.criteria import Criterion
from inspect_app.domain.entry_check import clock_off
from inspect_app.domain.gauge import Doubt, Gauge, gauges_by_name, plain, resolution_in
from inspect_app.domain.house import House, Inventory
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.judge import Limit
from inspect_app.domain.judged_measure import judging_attributes
from inspect_app.domain.look_again import LookAgain, looks_again
from inspect_app.domain.measure_history import Outlook, Series, TakenMeasure, histories_of, outlook_of
from inspect_app.domain.part import Part
from inspect_app.domain.walk import Countersign, How, Look, LookResult, is_counted, set_aside, standing_looks
from inspect_app.store.checklist import NamedCriteria
from inspect_app.store.gauge import list_gauges, list_given_up
from inspect_app.store.house import get_house
from inspect_app.store.house_criteria import criteria_for
from inspect_app.store.part import get_part, list_lives, list_parts, list_present_lives
from inspect_app.store.reference import reference_at, student_t_at
from inspect_app.store.walk_look import list_decisions

PARTS_AT_ONCE = 400  # an older SQLite takes at most 999 values in one statement
CLOCK_FAR_OFF = timedelta(days=1)  # our choice, no source: less than that changes no date that rests on years


HouseOutlooks = list[tuple[Outlook, tuple[Limit, ...]]]


class _Reader:
    """One house: what the parts that are asked about are judged by, read once; from `inventory` where that is given."""

    def __init__(self, db: Database, house: str, inventory: Inventory | None = None) -> None:
        self.db, self.house, self._inventory = db, get_house(db, house), inventory
        self._beside: dict[str, Inventory] = {}
        self.gauges = gauges_by_name(list_gauges(db, house, retired=True))
        self.given_up = list_given_up(db, house)
        self.table = student_t_at(shared_dir())
        self.named = NamedCriteria(db)

    @cached_property
    def criteria(self) -> dict[str, Criterion]:
        return criteria_for(self.db, self.house.id, reference_at(shared_dir()).criteria)

    def beside(self, part: Part) -> Inventory:
        """What stands in the house beside a part; each set is read once."""
        if self._inventory is not None:
            return self._inventory
        key = part.line_set or part.id
        if key not in self._beside:
            self._beside[key] = parts_beside(self.db, self.house, part)
        return self._beside[key]

    def series(self, part: str, measures: Iterable[TakenMeasure]) -> tuple[Series, ...]:
        lives = list_lives(self.db, self.house.id, part)
        return histories_of(measures, lives, self.gauges, self.given_up.get(part, frozenset()))

    def outlooks(self, part: str, measures: Iterable[TakenMeasure]) -> tuple[Outlook, ...]:
        return tuple(outlook for outlook, _ in self.with_limits(part, measures))

    def with_limits(self, part: str, measures: Iterable[TakenMeasure]) -> HouseOutlooks:
        """Each series of a part with its outlook and the limits it is judged by."""
        series = self.series(part, measures)
        limits = [self.limits(one) for one in series]
        return [(outlook_of(one, some, self.table), some) for one, some in zip(series, limits, strict=True)]

    def limits(self, series: Series) -> tuple[Limit, ...]:
        """The limits that a series is judged by, worked out for what hangs there now.

        The criterion is the one that the checklist named when the newest measure was taken.
        """
        named = self.named.key(series.revision, series.key.point, series.key.quantity)
        criterion = self.criteria.get(named)
        if criterion is None:
            return ()
        part = get_part(self.db, self.house.id, series.part)
        return part_limits(criterion, judging_attributes(self.beside(part), part)).limits


def parts_beside(db: Database, house: House, part: Part) -> Inventory:
    """As much of a house as the measures of one part are judged by: the part with its set, and what hangs there now."""
    if part.line_set is None:
        life = next((life for life in list_lives(db, house.id, part.id) if life.retired_on is None), None)
        return Inventory(house, parts=(part,), lives={part.id: life} if life else {})
    beside = tuple(list_parts(db, house.id, line_set=part.line_set, retired=True))
    return Inventory(house, parts=beside, lives=list_present_lives(db, house.id, line_set=part.line_set))


def list_outlooks(
    db: Database, house: str, part: str, *, until: date | None = None, as_signed: str | None = None
) -> tuple[Outlook, ...]:
    """What the measures of a part say, series by series; of those up to a day if one is named.

    `as_signed` names a walk whose measures count as if it were signed: the one whose paper is being made.
    """
    reader = _Reader(db, house)
    found = _measures(db, reader.house, reader.gauges, [part], as_signed)
    return reader.outlooks(part, [one for one in found if until is None or one.on <= until])


def list_series(db: Database, house: str, parts: Sequence[str]) -> dict[str, tuple[Series, ...]]:
    """By part, its measures put into series; parts that were never measured are left out."""
    reader = _Reader(db, house)
    by_part = _by_part(_measures(db, reader.house, reader.gauges, parts, None)).items()
    return {part: reader.series(part, taken) for part, taken in by_part}


def list_outlooks_of_walk(
    db: Database, house: str, walk: str, inventory: Inventory | None = None
) -> dict[str, tuple[Outlook, ...]]:
    """By part, what the measures of every part measured on a walk say, counted up to that walk.

    `inventory` is the house, read here where it is not at hand.
    """
    keys = (to_key(house), to_key(walk))
    rows = db.execute(
        "SELECT DISTINCT m.part FROM measure m JOIN look l ON l.entry = m.entry WHERE l.house = ? AND l.walk = ?", keys
    ).fetchall()
    if not rows:
        return {}
    reader = _Reader(db, house, inventory)
    measures = _measures(db, reader.house, reader.gauges, [from_key(part) for (part,) in rows], walk)
    own = {from_key(entry) for (entry,) in db.execute("SELECT entry FROM look WHERE house = ? AND walk = ?", keys)}
    until = max((one.on for one in measures if one.entry in own), default=None)
    return {
        part: reader.outlooks(part, [one for one in taken if until is None or one.on <= until])
        for part, taken in _by_part(measures).items()
    }


def list_house_outlooks(db: Database, house: str) -> HouseOutlooks:
    """Every series of every present part of the house with its outlook and the limits it is judged by."""
    reader = _Reader(db, house)
    by_part = _by_part(_of_present_parts(db, reader)).items()
    return [one for part, taken in by_part for one in reader.with_limits(part, taken)]


def _of_present_parts(db: Database, reader: _Reader) -> list[TakenMeasure]:
    rows = db.execute(
        "SELECT DISTINCT m.part FROM measure m JOIN part p ON p.id = m.part WHERE m.house = ? AND p.retired_on IS NULL",
        (to_key(reader.house.id),),
    ).fetchall()
    return _measures(db, reader.house, reader.gauges, [from_key(part) for (part,) in rows], None)


def list_look_again(db: Database, house: str) -> dict[str, tuple[LookAgain, ...]]:
    """By part of the house, what its measures ask for, the most urgent first; parts that ask for nothing left out."""
    reader = _Reader(db, house)
    by_part = _by_part(_of_present_parts(db, reader)).items()
    asked = ((part, looks_again(reader.outlooks(part, taken))) for part, taken in by_part)
    return {part: some for part, some in asked if some}


class MeasuredPart(NamedTuple):
    """A part of the house with its tag, and the last day on which it was measured with a gauge."""

    part: str
    tag: str
    on: date


def list_measured_with(db: Database, house: House, gauge: Gauge, doubt: Doubt) -> list[MeasuredPart]:
    """The present parts that were measured with a gauge on the days it read wrong, by tag."""
    zone = _zone(house.tz)
    rows = db.execute(
        "SELECT m.part, p.tag, l.at, m.gauge FROM measure m JOIN look l ON l.entry = m.entry "
        "JOIN part p ON p.id = m.part WHERE m.house = ? AND m.gauge <> '' AND p.retired_on IS NULL "
        "ORDER BY p.tag, l.at",
        (to_key(house.id),),
    )
    found = {
        (from_key(part), tag): on
        for part, tag, at, name in rows.fetchall()
        if plain(name) == plain(gauge.name) and doubt.covers(on := datetime.fromisoformat(at).astimezone(zone).date())
    }
    return [MeasuredPart(part, tag, on) for (part, tag), on in found.items()]


def _by_part(measures: Iterable[TakenMeasure]) -> dict[str, list[TakenMeasure]]:
    found: dict[str, list[TakenMeasure]] = defaultdict(list)
    for one in measures:
        found[one.part].append(one)
    return found


def _measures(
    db: Database, house: House, gauges: Mapping[str, Gauge], parts: Sequence[str], as_signed: str | None
) -> list[TakenMeasure]:
    """Every measure of these parts that stands, each with why it does not count yet, if it does not."""
    found: list[TakenMeasure] = []
    for start in range(0, len(parts), PARTS_AT_ONCE):
        some = _Some([to_key(part) for part in parts[start : start + PARTS_AT_ONCE]])
        found += _measures_of(db, house, gauges, some, as_signed)
    return found


class _Some(NamedTuple):
    """A few parts by key, for a condition in SQL."""

    keys: list[bytes]

    @property
    def marks(self) -> str:
        return ",".join("?" * len(self.keys))


def _measures_of(
    db: Database, house: House, gauges: Mapping[str, Gauge], parts: _Some, as_signed: str | None
) -> list[TakenMeasure]:
    standing, zone = _standing(db, house.id, parts, as_signed), _zone(house.tz)
    rows = db.execute(
        "SELECT m.entry, m.part, coalesce(m.life, l.life), m.point, m.quantity, m.value, m.unit, m.typed, "
        "m.readings, m.station, m.gauge, m.resolution, m.load_state, l.revision "
        "FROM measure m JOIN look l ON l.entry = m.entry "
        f"WHERE m.house = ? AND m.part IN ({parts.marks}) ORDER BY l.at, m.entry, m.n",
        (to_key(house.id), *parts.keys),
    )
    return [_to_measure(row, zone, gauges, standing[row[0]]) for row in rows.fetchall() if row[0] in standing]


def _to_measure(row: tuple[Any, ...], zone: ZoneInfo, gauges: Mapping[str, Gauge], stands: "_Stands") -> TakenMeasure:
    entry, part, life, point, quantity, value, unit, typed, readings, station, gauge, step, load, revision = row
    on, known = stands.at.astimezone(zone).date(), gauges.get(plain(gauge))
    doubt = known.doubt_on(on) if known else None
    why_not = stands.why_not or (f"the gauge read wrong: {doubt.why}" if doubt else "")
    return TakenMeasure(
        from_key(entry), from_key(part), from_key(life) if life else None, on,
        point, quantity, value, unit, tuple(json.loads(readings)), station, gauge,
        step or resolution_in(known, unit), load, revision.hex() if revision else "",
        why_not, typed, doubted=why_not != stands.why_not,
    )  # fmt: skip


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return ZoneInfo("UTC")


class _Stands(NamedTuple):
    """A look whose figures stand: when it was taken, and why they do not count, or ''."""

    at: datetime
    why_not: str


def _standing(db: Database, house: str, parts: _Some, as_signed: str | None) -> dict[bytes, _Stands]:
    """The looks at these parts that stand, by the rule of domain/walk.py.

    What is signed is judged by what is signed only, as the clocks are: a correction or withdrawal that came after the
    signature changes nothing until it is signed in turn. What is not signed stands beside it, and says so.
    """
    looks, seals = _looks(db, house, parts), _seals(db, house, parts)
    decisions = {walk: list_decisions(db, walk) for walk in {one.walk for one in looks.values() if one.walk}}
    signed = {
        key: _as_sealed(row.look, None if row.walk == as_signed else seals.get(key))
        for key, row in looks.items()
        if key in seals or (as_signed is not None and row.walk == as_signed)
    }
    found: dict[bytes, _Stands] = {}
    aside = set_aside(decision for walk in decisions.values() for decision in walk)
    for look in standing_looks(row.look for row in looks.values()):
        if look.entry not in aside and to_key(look.entry) not in signed:
            found[to_key(look.entry)] = _stands(looks, look, None, "not signed yet")
    last = {looks[key].walk: seal.newest for key, seal in seals.items()}
    aside = set_aside(
        decision
        for walk, made in decisions.items()
        for decision in made
        if walk == as_signed or walk not in last or decision.at <= last[walk]
    )
    for look in standing_looks(signed.values()):
        if look.entry not in aside:
            why = "" if is_counted(look) else "no countersign yet"
            found[to_key(look.entry)] = _stands(looks, look, seals.get(to_key(look.entry)), why)
    return found


def _stands(looks: Mapping[bytes, "_Row"], look: Look, seal: "_Seal | None", why_not: str) -> _Stands:
    """When a look was taken: a clock that ran ahead must not put a date back, and one that is far off tells no day."""
    row = looks[to_key(look.entry)]
    base = looks.get(to_key(look.adds_to), row) if look.adds_to else row
    at = min(filter(None, (look.at, base.look.at, row.received_at, seal.at if seal else None)))
    if abs(row.skew) > CLOCK_FAR_OFF:
        off = clock_off(round(row.skew / timedelta(milliseconds=1)))
        why_not = why_not or f"the clock of the device was {off}, so the day is not known"
    return _Stands(at, why_not)


class _Row(NamedTuple):
    """A look with its walk, when it was received, and how far the clock of its device was behind then."""

    look: Look
    walk: str | None
    received_at: datetime
    skew: timedelta


def _looks(db: Database, house: str, parts: _Some) -> dict[bytes, _Row]:
    of, keys = f"FROM look l WHERE l.house = ? AND l.part IN ({parts.marks})", (to_key(house), *parts.keys)
    replaced: dict[bytes, list[str]] = defaultdict(list)
    for entry, by in db.execute(
        f"SELECT entry, by_entry FROM look_replaced WHERE entry IN (SELECT l.entry {of})", keys
    ):
        replaced[entry].append(from_key(by))
    signs: dict[bytes, list[Countersign]] = defaultdict(list)
    for entry, how, at in db.execute(
        f"SELECT entry, how, at FROM countersign WHERE entry IN (SELECT l.entry {of})", keys
    ).fetchall():
        signs[entry].append(Countersign("", "", How(how), datetime.fromisoformat(at)))
    rows = db.execute(
        "SELECT l.entry, l.part, l.result, l.at, l.adds_to, l.needs_countersign, l.walk, e.received_at, e.skew_ms "
        f"{of.replace('look l', 'look l JOIN entry e ON e.id = l.entry')}",
        keys,
    ).fetchall()
    found = {}
    for entry, part, result, at, adds_to, needs, walk, received, skew in rows:
        look = Look(
            from_key(entry), from_key(part), "", "", (), LookResult(result), frozenset(), "", "",
            datetime.fromisoformat(at), adds_to=from_key(adds_to) if adds_to else None,
            replaced_by=tuple(replaced[entry]), needs_countersign=bool(needs), countersigns=tuple(signs[entry]),
        )  # fmt: skip
        arrived = datetime.fromisoformat(received)
        found[entry] = _Row(look, from_key(walk) if walk else None, arrived, timedelta(milliseconds=skew))
    return found


class _Seal(NamedTuple):
    """When an entry was sealed, and when its walk was sealed last."""

    at: datetime
    newest: datetime


def _seals(db: Database, house: str, parts: _Some) -> dict[bytes, _Seal]:
    at: dict[tuple[bytes, int], datetime] = {}
    newest: dict[bytes, datetime] = {}
    for walk, n, when in db.execute("SELECT walk, n, at FROM seal WHERE house = ? ORDER BY n", (to_key(house),)):
        at[walk, n] = newest[walk] = datetime.fromisoformat(when)
    rows = db.execute(
        "SELECT s.entry, s.walk, s.n FROM sealed_entry s JOIN look l ON l.entry = s.entry AND l.walk = s.walk "
        f"WHERE l.part IN ({parts.marks})",
        tuple(parts.keys),
    )
    return {entry: _Seal(at[walk, n], newest[walk]) for entry, walk, n in rows.fetchall()}


def _as_sealed(look: Look, seal: _Seal | None) -> Look:
    """The look with the countersigns that the newest seal covers; with all on a walk whose paper is being made."""
    if seal is None or all(one.at <= seal.newest for one in look.countersigns):
        return look
    return replace(look, countersigns=tuple(one for one in look.countersigns if one.at <= seal.newest))
