"""A house's day in sentences: what is stopped, overdue, due and waiting, for the page, the digest and the terminal."""

from collections.abc import Sequence
from datetime import date, datetime

from sqlite_utils import Database

from inspect_app.actions.calendar import HouseCalendar, house_calendar
from inspect_app.config import Settings
from inspect_app.domain.checklist import GRADE_RANK, GRADE_TITLES, Grade
from inspect_app.domain.deficiency import Deficiency, DeficiencyState
from inspect_app.domain.deficiency_register import accepted_until
from inspect_app.domain.role import Role
from inspect_app.domain.tag_out import TagOut
from inspect_app.domain.today import Assigned, Barred, OpenWalk, Phone, Sentence, TodayFacts, sentences_of
from inspect_app.domain.walk import WalkState
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.deficiency_story import Worse, list_worse
from inspect_app.store.device_count import DeviceCount, list_device_counts
from inspect_app.store.entry import list_held
from inspect_app.store.house import list_line_sets
from inspect_app.store.point_clock import zone_of
from inspect_app.store.set_state import list_bars, set_places
from inspect_app.store.tag_out import list_standing, list_unfinished
from inspect_app.store.walk import list_uncounted, list_walks

MOST_NAMED = 8
_DECIDERS = frozenset({Role.TD, Role.INSPECTOR, Role.MANAGER})
_CHECKERS = frozenset({Role.TD, Role.INSPECTOR})
_REPAIRERS = frozenset({Role.TD, Role.MANAGER})
# state -> what a deficiency waits for, and whom it waits for when nobody is named
_WAITS: dict[DeficiencyState, tuple[str, frozenset[Role]]] = {
    DeficiencyState.FOUND: ("to be decided", _DECIDERS),
    DeficiencyState.DECIDED: ("decided, to be taken in hand", _REPAIRERS),
    DeficiencyState.SENT_BACK: ("sent back, to be put right", _REPAIRERS),
    DeficiencyState.IN_HAND: ("in hand, not done yet", _REPAIRERS),
    DeficiencyState.WORK_DONE: ("put right, to be checked by somebody else", _CHECKERS),
    DeficiencyState.CHECKED: ("checked, to be settled", _DECIDERS),
}
_NAMED_STATES = frozenset(
    {DeficiencyState.DECIDED, DeficiencyState.SENT_BACK, DeficiencyState.IN_HAND}
)  # the person named has to do something
_SINGLY = frozenset({Grade.STOP_USE, Grade.RESTRICT})


def today_of(
    db: Database, settings: Settings, house: str, at: datetime, calendar: HouseCalendar | None = None
) -> tuple[Sentence, ...]:
    """All sentences of a house at a moment. Raises NotFound."""
    found, stops = calendar or house_calendar(db, settings, house, at), list_standing(db, house)
    facts = TodayFacts(
        now=at,
        zone=zone_of(found.house.tz),
        items=found.items,
        stops=stops,
        barred=_barred(db, house, found.today, stops),
        walks=_open_walks(db, house),
        held=len(list_held(db, house)),
        phones=[phone for one in list_device_counts(db, house) if (phone := _phone(one)) is not None],
        unmet=found.unmet,
        assigned=_assigned_here(db, found),
        has_rules=bool(found.sets),
        unfinished=list_unfinished(db, house),
    )
    return sentences_of(facts)


def _barred(db: Database, house: str, today: date, stops: Sequence[TagOut]) -> list[Barred]:
    """The sets that something bars on which no stop stands: those with one are told by it."""
    bars, places = list_bars(db, house, today), set_places(db, house)
    held = {line_set for stop in stops for line_set in places.sets_of(stop)}
    return [
        Barred(one.id, f"Line set {one.number}", bars[one.id])
        for one in list_line_sets(db, house)
        if one.id in bars and one.id not in held
    ]


def _assigned_here(db: Database, found: HouseCalendar) -> list[Assigned]:
    rows, worse, zone = _not_accepted(db, found.house.id, found.today), list_worse(db, found.house.id), found.house.tz
    return _assigned(rows, found.today) + [
        Assigned(row.id, row.number, _worse_text(row, worse[row.id], zone), "", _CHECKERS, GRADE_RANK[row.grade])
        for row in rows
        if row.id in worse
    ]


def _worse_text(row: Deficiency, worse: Worse, tz: str) -> str:
    on = worse.at.astimezone(zone_of(tz)).date()
    return (
        f"Deficiency {row.number}, {row.part_tag}, {GRADE_TITLES[row.grade]}: found worse on {on} by {worse.by_name}; "
        f"nobody has said since whether the grade still fits. {row.what}"
    )


def _not_accepted(db: Database, house: str, today: date) -> list[Deficiency]:
    """The open deficiencies that the house has not accepted for a time; those come back with their review."""
    accepted = list_accepted(db, house)
    return [row for row in list_deficiencies(db, house, open_only=True) if not accepted_until(row, accepted, today)]


def _open_walks(db: Database, house: str) -> list[OpenWalk]:
    uncounted = list_uncounted(db, house)
    rows = [
        OpenWalk(
            row.walk.id, row.walk.title, row.walk.date_local, row.walk.state is WalkState.CLOSING, row.late,
            uncounted.get(row.walk.id, 0),
        )
        for row in list_walks(db, house)
        if row.walk.state is not WalkState.SEALED or row.late
    ]  # fmt: skip
    return rows[::-1]


def _phone(count: DeviceCount) -> Phone | None:
    if count.whole:
        return None
    entries = sum(last - first + 1 for first, last in count.gaps)
    rows = (
        (entries, "entry", "entries"),
        (count.photos_missing, "photo", "photos"),
        (count.recordings_missing, "voice note", "voice notes"),
    )
    missing = [f"{number} {one if number == 1 else many}" for number, one, many in rows if number]
    missing += [f"{short.counted - short.here} of {short.counted} for {short.title}" for short in count.short]
    return Phone(count.device.id, count.device.name, count.device.person.name, ", ".join(dict.fromkeys(missing)))


def _assigned(rows: Sequence[Deficiency], today: date) -> list[Assigned]:
    """What each open deficiency waits for: grave ones and those of a named person one by one, others together."""
    found: list[Assigned] = []
    together: dict[DeficiencyState, list[Deficiency]] = {state: [] for state in _WAITS}
    for row in rows:
        state = DeficiencyState.FOUND if row.back_from_put_off(today) else row.state
        waits = _WAITS.get(state)
        if waits is None:
            continue
        person = row.responsible if state in _NAMED_STATES else ""
        if person or row.grade in _SINGLY or state is DeficiencyState.WORK_DONE:
            who = f" by {row.responsible_name}" if person else ""
            text = f"Deficiency {row.number}, {row.part_tag}, {GRADE_TITLES[row.grade]}: {waits[0]}{who}. {row.what}"
            found.append(Assigned(row.id, row.number, text, person, waits[1], GRADE_RANK[row.grade]))
        else:
            together[state].append(row)
    for state, group in together.items():
        if group:
            found.append(_grouped(group, *_WAITS[state]))
    return found


def _grouped(group: Sequence[Deficiency], waits: str, roles: frozenset[Role]) -> Assigned:
    named = ", ".join(str(row.number) for row in group[:MOST_NAMED])
    more = f" and {len(group) - MOST_NAMED} more" if len(group) > MOST_NAMED else ""
    noun = "Deficiency" if len(group) == 1 else "Deficiencies"
    text = f"{noun} {named}{more}: {waits}."
    return Assigned(group[0].id if len(group) == 1 else "", group[0].number, text, "", roles, -1)
