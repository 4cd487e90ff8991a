"""What is due in a house and when it can be walked: everything that its calendar, Today and the digest say."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from sqlite_utils import Database

from inspect_app.actions.interval import WATCHED, WEEKDAYS, Known
from inspect_app.config import Settings
from inspect_app.domain.calendar_item import (
    CalendarItem,
    Dated,
    Diary,
    Expected,
    ItemKind,
    dated_item,
    examination_item,
    expected_rounds,
    in_order,
    pull_rows,
    walk_item,
)
from inspect_app.domain.checklist import GRADE_TITLES
from inspect_app.domain.deficiency_register import accepted_until
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import House
from inspect_app.domain.interval import Interval, after, parse_interval
from inspect_app.domain.interval_scope import HouseFacts, Pull, ScopePlan, plan_scopes, unplaced_pulls
from inspect_app.domain.point_clock import PointLook
from inspect_app.domain.repair_policy import due_of, policy_of
from inspect_app.domain.restriction import KIND_TITLES
from inspect_app.domain.rule_choice import chosen_sets, rules_that_apply, standing_choices
from inspect_app.domain.rule_set import Rule, RuleSet
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.blackout import BlackoutRow, list_blackouts
from inspect_app.store.checklist import load_shelf
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.gauge import list_gauges
from inspect_app.store.house import get_house, list_line_sets
from inspect_app.store.interval import list_examinations, list_rule_choices, list_scopes
from inspect_app.store.measure_history import list_look_again
from inspect_app.store.part import list_parts
from inspect_app.store.point_clock import list_point_looks, zone_of
from inspect_app.store.reference import reference_at, rule_sets_at
from inspect_app.store.relook import list_relooks
from inspect_app.store.restriction import list_restrictions

YEAR_DAYS = 366


@dataclass(frozen=True, slots=True)
class HouseCalendar:
    """All that is due in a house as it stands on `today`, by the house's own clock.

    `items` are in order of day; `unmet` are chosen rules that ask for a checklist which the house does not have.
    """

    house: House
    today: date
    plans: tuple[ScopePlan, ...]
    items: tuple[CalendarItem, ...]
    blackouts: tuple[BlackoutRow, ...]
    diary: Diary
    sets: tuple[RuleSet, ...]
    rules: tuple[Rule, ...]
    unmet: tuple[Rule, ...]

    def expected(self) -> list[Expected]:
        """The later rounds of each walk within a year, if each is walked on its proposed day."""
        until = self.today + timedelta(days=YEAR_DAYS)
        walks = {item.key: item for item in self.items if item.kind is ItemKind.WALK}
        return [
            round_
            for plan in self.plans
            if plan.key in walks
            for round_ in expected_rounds(walks[plan.key], plan, self.diary, self.today, until)
        ]


def known_of(settings: Settings) -> Known:
    """The rule sets that are shipped and the checklists in use."""
    return Known(rule_sets_at(settings.shared)[0], load_shelf(settings).checklists)


def house_calendar(db: Database, settings: Settings, house: str, at: datetime) -> HouseCalendar:
    """Everything that is due in a house at a moment. Raises NotFound."""
    found, known = get_house(db, house), known_of(settings)
    zone = zone_of(found.tz)
    today = at.astimezone(zone).date()
    choices = standing_choices(list_rule_choices(db, house))
    rules = rules_that_apply(known.sets, choices)
    parts, looks = list_parts(db, house), list_point_looks(db, house)
    facts = HouseFacts(
        checklists=tuple(known.checklists.values()),
        scopes=list_scopes(db, house),
        rules=[rule for rule in rules if rule.interval and not rule.by_paper],
        parts=parts,
        line_sets=list_line_sets(db, house, retired=True),
        looks=looks,
        zone=zone,
        pulls=[*_trends(db, house), *_watched(db, found, looks, at)],
    )
    blackouts = list_blackouts(db, house, since=today)
    diary = Diary([row.blackout for row in blackouts], weekdays_of(found))
    plans, names = plan_scopes(facts, today), {part.id: part.tag for part in parts}
    walks = [item for plan in plans if (item := walk_item(plan, diary, today, names))]
    papers = [item for rule in rules if rule.by_paper and (item := _examination(db, house, rule, today))]
    dated = [
        dated_item(row, today)
        for row in [*_dated(db, settings, found, today), *pull_rows(unplaced_pulls(facts), names)]
    ]
    return HouseCalendar(
        found, today, plans, in_order([*walks, *papers, *dated]), tuple(blackouts), diary,
        chosen_sets(known.sets, choices), rules, _unmet(rules, known),
    )  # fmt: skip


def weekdays_of(house: House) -> frozenset[int]:
    """The days of the week that suit a house for walks, Monday = 0; every day unless it says otherwise."""
    said = frozenset(
        int(day) for day in house.settings.get(WEEKDAYS, "").split(",") if day.strip() in "0123456" and day
    )
    return said or frozenset(range(7))


def watched_interval_of(house: House) -> Interval | None:
    """How long after its last look a part with an open finding is looked at again, if the house says so."""
    try:
        return parse_interval(house.settings.get(WATCHED, "none"))
    except BadValue:
        return None


def _unmet(rules: Sequence[Rule], known: Known) -> tuple[Rule, ...]:
    periodic = (rule for rule in rules if rule.interval and not rule.by_paper)
    return tuple(rule for rule in periodic if not rule.checklists & set(known.checklists))


def _trends(db: Database, house: str) -> list[Pull]:
    asked = list_look_again(db, house).values()
    return [Pull(one.part, one.by, one.words, one.quantity, one.before) for some in asked for one in some]


def _watched(db: Database, house: House, looks: Mapping[str, Sequence[PointLook]], at: datetime) -> list[Pull]:
    """Parts with an open finding, to be looked at again after the interval that the house gave itself for these."""
    interval = watched_interval_of(house)
    if interval is None:
        return []
    zone = zone_of(house.tz)
    found: dict[str, Pull] = {}
    for row in list_deficiencies(db, house.id, open_only=True):
        last = max((look.at for look in looks.get(row.part, ())), default=row.found_at)
        on = after(max(last, row.found_at).astimezone(zone).date(), interval)
        why = f"deficiency {row.number} is open ({GRADE_TITLES[row.grade]}): {row.what[:80]}"
        if row.part not in found or on < found[row.part].on:
            found[row.part] = Pull(row.part, on, why)
    return list(found.values())


def _examination(db: Database, house: str, rule: Rule, today: date) -> CalendarItem | None:
    last = max((one.held_on for one in list_examinations(db, house) if one.rule == rule.id), default=None)
    return examination_item(rule, last, today)


def _dated(db: Database, settings: Settings, house: House, today: date) -> list[Dated]:
    """What has a date of its own: re-looks, reviews, repairs, limits and measures that end, gauges."""
    rows = [
        Dated(
            f"relook:{one.id}",
            ItemKind.RELOOK,
            f"{one.name}: look again",
            one.look_on,
            one.waits + one.reason,
            one.part,
        )
        for one in list_relooks(db, house.id)
    ]
    rows += [
        Dated(
            f"accepted:{one.id}", ItemKind.ACCEPTED, f"{one.part_tag}: review what was accepted",
            date.fromisoformat(one.review_by), f"{one.what}. Accepted by {one.accepted_by}, {one.role}.", one.part,
        )
        for one in list_accepted(db, house.id)
    ]  # fmt: skip
    rows += _repairs(db, settings, house, today)
    for one in list_restrictions(db, house.id):
        words = f"{KIND_TITLES[one.kind].capitalize()}: {one.what}"
        rows.append(Dated(f"restriction:{one.id}", ItemKind.MEASURE, one.scope, one.until, words, one.id))
        if one.recheck_on is not None:
            rows.append(Dated(f"recheck:{one.id}", ItemKind.RECHECK, one.scope, one.recheck_on, words, one.id))
    rows += [
        Dated(f"gauge:{one.id}", ItemKind.GAUGE, f"Gauge {one.name}", one.calibration_due, "Calibration is due", one.id)
        for one in list_gauges(db, house.id)
        if one.calibration_due
    ]
    return rows


def _repairs(db: Database, settings: Settings, house: House, today: date) -> list[Dated]:
    """The day by which each open deficiency is to be put right; one put off waits for the end of that.

    What the house accepts for a time has its review in the calendar instead.
    """
    accepted = list_accepted(db, house.id)
    policy, zone = policy_of(house.settings, reference_at(settings.shared).repair_days), zone_of(house.tz)
    return [
        Dated(
            f"deficiency:{row.id}", ItemKind.REPAIR, f"Deficiency {row.number}, {row.part_tag}",
            date.fromisoformat(row.put_off_until) if row.put_off(today) else due_of(row, policy, zone),
            f"{row.what} ({GRADE_TITLES[row.grade]}{', put off until this day' if row.put_off(today) else ''})", row.id,
        )
        for row in list_deficiencies(db, house.id, open_only=True)
        if not accepted_until(row, accepted, today)
    ]  # fmt: skip
