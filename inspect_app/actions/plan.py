"""What the plan of a house shows, now and at the end of each year of its record."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, tzinfo

from sqlite_utils import Database

from inspect_app.domain.blind_spot import BlindSpot, blind_spots, years_before
from inspect_app.domain.changes import Told, standing_ratings
from inspect_app.domain.checklist import GRADE_RANK, Grade, Way
from inspect_app.domain.deficiency import OPEN_STATES, Deficiency, DeficiencyEvent, DeficiencyState
from inspect_app.domain.house import House, Inventory
from inspect_app.domain.part import Part
from inspect_app.domain.plan_view import Look, PlanFacts
from inspect_app.store.blind_spot import list_part_records
from inspect_app.store.changes import list_ratings, list_settled_days, list_told
from inspect_app.store.deficiency import list_deficiencies, list_house_events
from inspect_app.store.plan_look import LookRow, OpenSpan, list_replaced_days, list_standing_looks, list_stop_spans
from inspect_app.store.point_clock import zone_of
from inspect_app.store.set_state import list_set_states
from inspect_app.store.walk_record import get_inventory

_LOOKED = frozenset({"no_finding", "finding"})


@dataclass(frozen=True, slots=True)
class PlanRecord:
    """A house with what was known of its parts today (`now`) and at the end of each earlier year with a look."""

    inventory: Inventory
    now: PlanFacts
    years: Mapping[int, PlanFacts]


def plan_record(db: Database, house: House, today: date) -> PlanRecord:
    """All that the plan may show of a house. Costs one reading of its looks."""
    inventory = get_inventory(db, house.id)
    parts = {part.id: part for part in inventory.parts if part.retired_on is None}
    looks, replaced = list_standing_looks(db, house.id), list_replaced_days(db, house.id)
    past = _Past(db, house, parts)
    years = sorted({row.on.year for row in looks if row.on.year < today.year})
    ends = {year: date(year, 12, 31) for year in years}
    seen = looks_at(looks, replaced, [*ends.values(), today])
    since = years_before(today, 2)
    now = PlanFacts(
        day=today,
        looks=seen[today],
        grades=past.grades_now(),
        wear=past.wear_at(today),
        stopped={one.line_set: one.bars for one in list_set_states(db, house.id, today) if one.bars},
        blind=blind_spots(list_part_records(db, house.id).values(), since),
    )
    return PlanRecord(inventory, now, {year: past.facts(day, seen[day]) for year, day in ends.items()})


def looks_at(
    looks: Iterable[LookRow], replaced: Mapping[str, list[date]], days: Iterable[date]
) -> dict[date, dict[str, Look]]:
    """By day, the last look at what hung in each part's place on that day, in the closest way of the looks of its day.

    `looks` come oldest first.
    """
    waiting, kept = list(looks), dict[str, Look]()
    found: dict[date, dict[str, Look]] = {}
    at = 0
    for day in sorted(days):
        while at < len(waiting) and waiting[at].on <= day:
            row = waiting[at]
            kept[row.part] = _next(kept.get(row.part, Look()), row, replaced.get(row.part, ()))
            at += 1
        found[day] = {part: _of_present(look, replaced.get(part, ()), day) for part, look in kept.items()}
    return found


def _next(old: Look, row: LookRow, replaced: Iterable[date]) -> Look:
    old = _of_present(old, replaced, row.on)
    if row.result in _LOOKED:
        ways = (row.way, old.way if old.looked_on == row.on else None)  # one walk comes by from grid, rail and deck
        return Look(row.result, row.on, row.on, next((way for way in Way if way in ways), None))
    return Look(row.result, row.on, old.looked_on, old.way)


def _of_present(look: Look, replaced: Iterable[date], day: date) -> Look:
    """The look without what was seen before the last replacement up to a day."""
    last = max((one for one in replaced if one <= day), default=None)
    if last is None or look.on is None:
        return look
    if look.on < last:
        return Look()
    return look if look.looked_on is None or look.looked_on >= last else Look(look.result, look.on)


class _Past:
    """Deficiencies, stops and ratings of a house, told for any day."""

    def __init__(self, db: Database, house: House, parts: Mapping[str, Part]) -> None:
        self._db, self._house, self._parts = db, house, parts
        self._zone: tzinfo = zone_of(house.tz)
        self._rows = list_deficiencies(db, house.id)
        self._events = list_house_events(db, house.id)
        self._told: dict[str, list[Told]] = defaultdict(list)
        for told in list_told(db, house.id):
            self._told[told.deficiency].append(told)
        self._ratings = list_ratings(db, house.id)
        self._settled = list_settled_days(db, house.id)
        self._stops = list_stop_spans(db, house.id)

    def facts(self, day: date, looks: Mapping[str, Look]) -> PlanFacts:
        """What was known at the end of a day in the past."""
        standing = [row for row in self._rows if self._open_at(row, day)]
        graded = [(row, self._grade_at(row, day)) for row in standing]
        blind: dict[str, BlindSpot] = {}
        return PlanFacts(day, looks, _worst(graded), self.wear_at(day), self._stopped_at(day, graded), blind)

    def grades_now(self) -> dict[str, tuple[Grade, tuple[int, ...]]]:
        """The gravest open grade of each part, as the register has it."""
        return _worst((row, row.grade) for row in self._rows if row.open)

    def wear_at(self, day: date) -> dict[str, tuple[int, date]]:
        """The gravest of the ratings that count at the points of each part."""
        found: dict[str, tuple[int, date]] = {}
        for rated in standing_ratings(self._ratings, self._settled, day).values():
            found[rated.part] = max(found.get(rated.part, (-1, date.min)), (rated.wear, rated.on))
        return found

    def _open_at(self, row: Deficiency, day: date) -> bool:
        if row.found_at.astimezone(self._zone).date() > day:
            return False
        moves: list[DeficiencyEvent] = self._events.get(row.id, [])
        past = [move for move in moves if move.at.astimezone(self._zone).date() <= day]
        state = past[-1].to_state if past else DeficiencyState.FOUND.value
        return state in {one.value for one in OPEN_STATES}

    def _grade_at(self, row: Deficiency, day: date) -> Grade:
        """What the looks had said by then; the grade of the register where none had."""
        grades = [told.grade for told in self._told[row.id] if told.on <= day and told.grade]
        return Grade(grades[-1]) if grades and grades[-1] in set(Grade) else row.grade

    def _stopped_at(self, day: date, graded: Iterable[tuple[Deficiency, Grade]]) -> dict[str, tuple[str, ...]]:
        found: dict[str, list[str]] = defaultdict(list)
        for stop in self._stops:
            if stop.raised_on <= day and (stop.ended_on is None or stop.ended_on > day):
                for line_set in self._sets_of(stop):
                    found[line_set].append(stop.why)
        for row, grade in graded:
            if grade is Grade.STOP_USE and row.line_set_id:
                found[row.line_set_id].append(f"deficiency {row.number}: {row.what}")
        return {line_set: tuple(reasons) for line_set, reasons in found.items()}

    def _sets_of(self, stop: OpenSpan) -> set[str]:
        """The sets that a stop puts out of use: its own, that of its part, or all that hang in its area."""
        if stop.line_set:
            return {stop.line_set}
        if stop.part:
            part = self._parts.get(stop.part)
            return {part.line_set} if part and part.line_set else set()
        return {part.line_set for part in self._parts.values() if part.area == stop.area and part.line_set}


def _worst(rows: Iterable[tuple[Deficiency, Grade]]) -> dict[str, tuple[Grade, tuple[int, ...]]]:
    found: dict[str, tuple[Grade, tuple[int, ...]]] = {}
    for row, grade in rows:
        old = found.get(row.part)
        worst = max((grade, old[0]) if old else (grade,), key=GRADE_RANK.__getitem__)
        found[row.part] = (worst, (*(old[1] if old else ()), row.number))
    return found
