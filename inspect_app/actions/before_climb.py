"""The answers of *Before you climb*, put together from what the house has recorded."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from sqlite_utils import Database

from inspect_app.actions.calendar import HouseCalendar
from inspect_app.actions.changes import Since, changes_since, usual_since
from inspect_app.actions.hand_over_facts import house_sheet
from inspect_app.actions.history import BlindRow, blind_rows, counts_of, open_register, recurring_of, wear_rows
from inspect_app.config import Settings
from inspect_app.domain.before_climb import (
    MOST_OF_A_KIND,
    Answer,
    Line,
    Question,
    answer,
    changed_lead,
    grave_changes,
    untouched_lead,
)
from inspect_app.domain.blind_spot import BlindKind, years_before
from inspect_app.domain.calendar_item import ItemKind
from inspect_app.domain.checklist import GRADE_RANK, GRADE_TITLES
from inspect_app.domain.deficiency import Deficiency, DeficiencyState
from inspect_app.domain.deficiency_register import RegisterRow
from inspect_app.domain.event import KIND_TITLES as EVENT_TITLES
from inspect_app.domain.house import House
from inspect_app.domain.judge import Result, worst
from inspect_app.domain.judged_measure import lead_words
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_kind import KIND_WORDS
from inspect_app.domain.restriction import KIND_TITLES, Restriction, RestrictionKind, is_expired, limit_words
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.system_sheet import SheetRow
from inspect_app.domain.tag_runs import runs_of
from inspect_app.domain.walk import WalkState
from inspect_app.domain.walk_record import Accepted
from inspect_app.domain.wear_list import NEARNESS_TITLES, Nearness, WearRow
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.event import list_events
from inspect_app.store.event_hold import list_aftermaths
from inspect_app.store.interval import list_examinations
from inspect_app.store.measure_history import HouseOutlooks, list_house_outlooks
from inspect_app.store.membership import list_members
from inspect_app.store.point_clock import zone_of
from inspect_app.store.relook import list_relooks
from inspect_app.store.restriction import list_restrictions
from inspect_app.store.tag_out import list_standing
from inspect_app.store.walk import list_walks
from inspect_app.store.walk_record import get_inventory

UNTOUCHED_YEARS = 2
MOST_NAMED = 6  # kinds of parts in one sentence
_NEAR = (Nearness.PASSED, Nearness.NOW, Nearness.DATED, Nearness.WORN_ON)


@dataclass(frozen=True, slots=True)
class BeforeClimb:
    """The page: what the house is as a sheet, and the answers in their order."""

    today: date
    sheet: tuple[SheetRow, ...]
    answers: tuple[Answer, ...]


def before_climb(db: Database, settings: Settings, house: House, calendar: HouseCalendar) -> BeforeClimb:
    """Everything that an inspector new to the house asks before going up. Raises NotFound."""
    today = calendar.today
    sheet = tuple(house_sheet(db, house, get_inventory(db, house.id)))
    since, outlooks = usual_since(db, settings, house.id, today), list_house_outlooks(db, house.id)
    answers = (
        _out_of_use(db, house, today),
        answer(Question.HOUSE, house.name, (), ("The house", "house"), ("All line sets", "line_sets")),
        _changed(db, house.id, since, today, outlooks),
        _wears(db, settings, house, outlooks, today),
        _breaks(db, settings, house),
        _happened(db, house),
        _promised(db, settings, house, calendar),
        _untouched(db, house, calendar),
        _reports(db, house.id),
        _ask(db, house.id),
    )
    return BeforeClimb(today, sheet, answers)


def _out_of_use(db: Database, house: House, today: date) -> Answer:
    zone = zone_of(house.tz)
    stops, limits = list_standing(db, house.id), list_restrictions(db, house.id)
    lines = [
        Line(one.scope, f"out of use since {one.raised_at.astimezone(zone).date()}: {one.why}", ("tag_out", one.id))
        for one in stops
    ]
    lines += [
        Line(
            one.scope,
            f"{KIND_TITLES[one.kind]}: {limit_words(one)}"
            + (". Its last day has passed" if is_expired(one, today) else ""),
            ("restriction", one.id),
        )
        for one in limits
    ]
    bound = _count(len(limits), "limit or condition", "limits or conditions")
    lead = f"{_count(len(stops), 'tag-out')} and {bound} stand."
    if not lines:
        lead = "No tag-out and no limit stands. That says nothing about what has not been looked at."
    return answer(
        Question.OUT_OF_USE, lead, lines, ("All that is out of use", "tag_outs"), ("All limits", "restriction"), most=12
    )


def _changed(db: Database, house: str, since: Since, today: date, outlooks: HouseOutlooks) -> Answer:
    changes = changes_since(db, house, since, today, outlooks)
    lines = grave_changes(changes)
    found = answer(
        Question.CHANGED, changed_lead(changes, since.words), lines, ("All changes by set", "since"), most=12
    )
    return replace(found, more=len(changes) - len(found.lines))


def _wears(db: Database, settings: Settings, house: House, outlooks: HouseOutlooks, today: date) -> Answer:
    groups = wear_rows(db, settings, house, outlooks)
    near = [row for nearness, rows in groups if nearness in _NEAR for row in rows]
    lines = [
        Line(
            f"{row.part.tag}, {row.title[:1].lower()}{row.title[1:]}",
            f"{row.limit or NEARNESS_TITLES[row.nearness]}{_passed(row, today)}; {row.direction}{_said(row)}"
            + (f". {row.odd[:1].upper()}{row.odd[1:]}" if row.odd else ""),
            ("part", row.part.id),
        )
        for row in near
    ]
    total = sum(len(rows) for _, rows in groups)
    series = f"{_count(total, 'series', 'series')} of measures and ratings"
    if not total:
        lead = "Nothing has been measured or rated twice, so no wear can be seen."
    elif not near:
        lead = f"{series}; none nears a limit by its trend."
    else:
        lead = f"{len(near)} of {series} near a limit or have risen; nearest first."
    return answer(Question.WEARS, lead, lines, ("All that wears, with pictures", "wear"))


def _said(row: WearRow) -> str:
    """The verdict of the newest measure, where it is not inside every limit."""
    if row.outlook is None or worst(row.verdicts).result not in {Result.OUTSIDE, Result.CANNOT_TELL}:
        return ""
    words = lead_words(row.verdicts, row.outlook.series.taken[-1].unit)
    return f". {words[:1].upper()}{words[1:]}"


def _passed(row: WearRow, today: date) -> str:
    return ", and that day has passed" if row.before is not None and row.before < today else ""


def _breaks(db: Database, settings: Settings, house: House) -> Answer:
    found, zone = recurring_of(db, settings, house.id), zone_of(house.tz)
    lines = [
        Line(
            one.last.part_tag,
            f"{one.last.what}. Found again after it was settled {_count(one.settled, 'time')}; "
            f"first found {one.first.found_at.astimezone(zone).date()} as number {one.first.number}",
            ("deficiency", one.last.id),
        )
        for one in found.again
    ]
    lines += [
        Line(
            one.says,
            f"on {one.parts} {_MANY[one.kind]}: {', '.join(row.part_tag for row in one.rows)}",
            ("recurring", ""),
        )
        for one in found.sisters
    ]
    lead = (
        f"{_count(len(found.again), 'fault')} came again after being settled; "
        f"{_count(len(found.sisters), 'defect')} {'is' if len(found.sisters) == 1 else 'are'} on several sister parts."
        if lines
        else "No fault is recorded as found again after it was settled, and no defect on several sister parts."
    )
    return answer(Question.BREAKS, lead, lines, ("All that keeps coming back", "recurring"))


_MANY = {kind.value: words.many for kind, words in KIND_WORDS.items()}


def _happened(db: Database, house: House) -> Answer:
    events, after, zone = list_events(db, house.id), list_aftermaths(db, house.id), zone_of(house.tz)
    lines = [
        Line(
            f"{one.at.astimezone(zone).date()}, {one.scope}",
            f"Withdrawn, recorded by mistake. {EVENT_TITLES[one.kind]}: {one.what}"
            if one.withdrawn
            else f"{EVENT_TITLES[one.kind]}: {one.what} ({after[one.id].words})",
            ("event", one.id),
        )
        for one in events
    ]
    lead = (
        f"{_count(len(events), 'event')} recorded, the newest first."
        if events
        else "No event is recorded: no fall, shock, overload or flood. What nobody told this log is not in it."
    )
    return answer(Question.HAPPENED, lead, lines, ("All events", "event"))


def _promised(db: Database, settings: Settings, house: House, calendar: HouseCalendar) -> Answer:
    today = calendar.today
    rows = _register(db, settings, house, today)
    late = [row for row in rows if row.overdue]
    rest = [row for row in rows if row.row.state is DeficiencyState.PUT_OFF]
    accepted = list_accepted(db, house.id)
    lines = [_deficiency(row.row, f"Overdue since {row.due}") for row in late]
    lines += [_deficiency(row.row, row.state) for row in rest if not row.overdue]
    lines += [_expired(one) for one in list_restrictions(db, house.id) if is_expired(one, today)]
    lines += [_accepted(one, today) for one in accepted]
    lines += [*_conditions(db, house.id, today), *_dates(db, house.id, calendar)]
    lead = (
        f"{_count(len(late), 'repair')} overdue, {len(rest)} put off, "
        f"{_count(len(accepted), 'condition')} accepted for a time; {len(rows)} open in all."
    )
    return answer(
        Question.PROMISED, lead, lines, ("All deficiencies", "deficiencies"), ("Only what is overdue", "overdue"),
        ("The calendar", "calendar"), most=8,
    )  # fmt: skip


def _register(db: Database, settings: Settings, house: House, today: date) -> list[RegisterRow]:
    """What is open, gravest first, as the register has it."""
    rows = open_register(db, settings, house, today)
    return sorted(rows, key=lambda one: (-GRADE_RANK[one.row.grade], one.due, one.row.number))


def _deficiency(row: Deficiency, state: str) -> Line:
    text = f"{row.part_tag}, {GRADE_TITLES[row.grade]}: {row.what}. {state[:1].upper()}{state[1:]}"
    return Line(f"Number {row.number}", text, ("deficiency", row.id))


def _expired(one: Restriction) -> Line:
    text = f"{KIND_TITLES[one.kind]} expired {one.until} and nobody ended it: {one.what}"
    return Line(one.scope, text, ("restriction", one.id))


def _accepted(one: Accepted, today: date) -> Line:
    late = one.review_by < today.isoformat()
    review = f"review overdue since {one.review_by}" if late else f"to be reviewed by {one.review_by}"
    return Line(one.part_tag, f"{one.what}. Accepted by {one.accepted_by}, {review}", ("part", one.part))


def _conditions(db: Database, house: str, today: date) -> list[Line]:
    """Conditions on use that earlier inspectors set with their signature and nobody has lifted."""
    return [
        Line(one.scope, f"condition on use by {one.who}: {one.what}, until {one.until}", ("restriction", one.id))
        for one in list_restrictions(db, house)
        if one.kind is RestrictionKind.CONDITION and not is_expired(one, today)
    ]


def _dates(db: Database, house: str, calendar: HouseCalendar) -> list[Line]:
    """Re-looks and examinations whose day has passed."""
    today = calendar.today
    lines = [
        Line(one.name, f"was to be looked at again by {one.look_on}: {one.reason}", ("part", one.part))
        for one in list_relooks(db, house)
        if one.look_on < today
    ]
    kinds = (ItemKind.EXAMINATION, ItemKind.GAUGE)
    late = [one for one in calendar.items if one.kind in kinds and one.due_on is not None and one.due_on < today]
    return lines + [Line(one.title, f"was due {one.due_on}", ("calendar", "")) for one in late]


def _untouched(db: Database, house: House, calendar: HouseCalendar) -> Answer:
    since = years_before(calendar.today, UNTOUCHED_YEARS)
    rows = blind_rows(db, house, calendar, since)
    lead = untouched_lead(counts_of(rows), str(since))
    return answer(
        Question.UNTOUCHED, lead, _untouched_lines(rows), ("All blind spots", "blind_spots"),
        ("Which wells, points and habits", "patterns"), most=12,
    )  # fmt: skip


def _untouched_lines(rows: Sequence[BlindRow]) -> list[Line]:
    """Most unknown first: which parts of each kind, written short, and since when the oldest of them."""
    lines = []
    for kind in (BlindKind.NEVER_RECORDED, BlindKind.NOT_REACHED, BlindKind.NOT_SINCE, BlindKind.NOT_HANDLED):
        by_part: dict[PartKind, list[BlindRow]] = {}
        for row in rows:
            if row.spot.kind is kind:
                by_part.setdefault(row.part.kind, []).append(row)
        groups = sorted(by_part.items(), key=lambda pair: -len(pair[1]))
        for part_kind, group in groups[:MOST_OF_A_KIND]:
            tags = runs_of(row.part.tag for row in group)
            head = f"{_KINDS[kind]}: {_parts(part_kind, group)}"
            lines.append(Line(head, f"{_short(tags)}; {_longest(kind, group)}", (f"blind:{kind.value}", "")))
        rest = groups[MOST_OF_A_KIND:]
        if rest:
            others = ", ".join(_parts(*pair) for pair in rest[:MOST_NAMED])
            others += f" and {_count(len(rest) - MOST_NAMED, 'more kind')}" if len(rest) > MOST_NAMED else ""
            lines.append(Line(f"{_KINDS[kind]} as well", others, (f"blind:{kind.value}", "")))
    return lines


def _parts(kind: PartKind, group: Sequence[BlindRow]) -> str:
    return _count(len(group), KIND_WORDS[kind].one, KIND_WORDS[kind].many)


def _longest(kind: BlindKind, group: Sequence[BlindRow]) -> str:
    """Since when the one looked at, or handled, the longest ago, and how many never were."""
    by_hand = kind is BlindKind.NOT_HANDLED
    days = [row.handled_on if by_hand else row.looked_on for row in group]
    known, verb = [day for day in days if day], "handled" if by_hand else "looked at"
    never = len(days) - len(known)
    if not known:
        return f"none was ever {verb}"
    said = [f"{never} of them never {verb}"] if never else []
    return ", ".join([*said, f"the longest ago last {verb} {min(known)}"])


_KINDS = {
    BlindKind.NEVER_RECORDED: "Never recorded",
    BlindKind.NOT_REACHED: "Not reached",
    BlindKind.NOT_SINCE: "Not looked at since",
    BlindKind.NOT_HANDLED: "Seen, but not handled",
}


def _short(tags: str, most: int = 90) -> str:
    return tags if len(tags) <= most else f"{tags[:most].rpartition(',')[0]} and more"


def _reports(db: Database, house: str) -> Answer:
    sealed = [row for row in list_walks(db, house) if row.walk.state is WalkState.SEALED]
    lines = [
        Line(row.walk.date_local, f"{row.walk.title}, report {row.number}", ("walk", row.walk.id)) for row in sealed
    ]
    held = list_examinations(db, house)
    lines += [
        Line(str(one.held_on), f"examined by {one.examiner}: {one.paper}", ("interval", ""))
        for one in sorted(held, key=lambda one: one.held_on, reverse=True)
    ]
    lead = f"{_count(len(sealed), 'signed walk')}, {_count(len(held), 'examination')} by others. The newest first."
    return answer(Question.REPORTS, lead, lines, ("All reports", "reports"), ("All walks", "walks"))


def _ask(db: Database, house: str) -> Answer:
    order = (Role.TD, Role.MANAGER, Role.INSPECTOR, Role.ADMIN)
    members = [row for row in list_members(db, house) if not row.ended]
    lines = []
    for role in order:
        names = sorted(row.person.name for row in members if role in row.roles)
        lines.append(Line(ROLE_TITLES[role], ", ".join(names) if names else "not recorded"))
    lead = "People of this log. Addresses and telephone numbers are not recorded in it."
    return answer(Question.ASK, lead, lines, most=len(lines))


def _count(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"
