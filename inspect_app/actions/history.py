"""What an inspector asks of a house's history, gathered for pages: blind spots, patterns, wear, what comes back."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlite_utils import Database

from inspect_app.actions.calendar import HouseCalendar
from inspect_app.config import Settings
from inspect_app.domain.blind_filter import BlindWanted
from inspect_app.domain.blind_pattern import (
    SkippedPlace,
    SoundRecord,
    Unanswered,
    always_in_full_minutes,
    skipped_places,
    stops_in_a_minute,
    unanswered_points,
)
from inspect_app.domain.blind_spot import BLIND_TITLES, BlindKind, BlindSpot, PartRecord, blind_spots
from inspect_app.domain.deficiency_register import RegisterRow, register_rows
from inspect_app.domain.due import Standing, standing
from inspect_app.domain.house import House, LineSet
from inspect_app.domain.line_names import line_words
from inspect_app.domain.pace import pace_limits
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.part_kind import KIND_WORDS, kind_title
from inspect_app.domain.recurring import ComesBack, Sisters, coming_back, on_sisters
from inspect_app.domain.repair_policy import policy_of
from inspect_app.domain.wear_list import Nearness, WearRow, by_nearness, measure_row, odd_by_part, rating_rows
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.blind_pattern import (
    answered_points,
    first_installed,
    list_parts_at_wells,
    list_sound_records,
    list_walked_scopes,
)
from inspect_app.store.blind_spot import list_part_records
from inspect_app.store.changes import list_defects_seen, list_ratings, list_settled_days
from inspect_app.store.checklist import load_shelf
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.house import list_line_sets
from inspect_app.store.measure_history import HouseOutlooks, list_house_outlooks
from inspect_app.store.part import list_parts
from inspect_app.store.point_clock import zone_of
from inspect_app.store.reference import reference_at


@dataclass(frozen=True, slots=True)
class BlindRow:
    """A part with what it is since a day; `overdue` names the checklists by which it is overdue as well."""

    part: Part
    line_set: LineSet | None
    well: str
    line: str
    spot: BlindSpot
    overdue: tuple[str, ...]
    looked_on: date | None
    handled_on: date | None
    missed_on: date | None
    reason: str
    waiting_on: date | None

    @property
    def cells(self) -> list[str]:
        """The row of a table in a file."""
        days = (self.looked_on, self.handled_on, self.missed_on, self.waiting_on)
        return [
            *(self.line_set.number if self.line_set else "", self.part.tag, kind_title(self.part.kind)),
            *(self.well, self.line, BLIND_TITLES[self.spot.kind], *(str(day or "") for day in days)),
            *("; ".join(self.overdue), self.spot.words),
        ]


MOST_TAGS = 3  # named in the heading of a group
COLUMNS = (
    "Set", "Part", "Kind", "Well", "Line", "What it is", "Last looked at (signed)", "Last handled (signed)",
    "Not reached on", "Look that does not count yet", "Overdue by", "In words",
)  # fmt: skip


def blind_rows(
    db: Database,
    house: House,
    calendar: HouseCalendar,
    since: date | None,
    known: Mapping[str, PartRecord] | None = None,
) -> list[BlindRow]:
    """Every present part in the order of the sets, with what it is since a day; `known` are the records, if read."""
    records = list_part_records(db, house.id) if known is None else known
    spots, overdue = blind_spots(records.values(), since), overdue_by_part(calendar)
    sets = {one.id: one for one in list_line_sets(db, house.id)}
    parts = list_parts(db, house.id)
    tags = {part.id: part.tag for part in parts}
    rows = []
    for part in parts:
        line_set, record = sets.get(part.line_set or ""), records[part.id]
        line = line_words(house, line_set.lines, part.line) if line_set and part.line else ""
        rows.append(
            BlindRow(
                part, line_set, tags.get(part.well or "", ""), line, spots[part.id], overdue.get(part.id, ()),
                record.looked, record.handled, record.missed, record.reason, record.waiting,
            )
        )  # fmt: skip
    return sorted(rows, key=lambda row: (row.line_set is None, row.line_set.sort_key if row.line_set else 0))


def overdue_by_part(calendar: HouseCalendar) -> dict[str, tuple[str, ...]]:
    """By part, the checklists by whose interval it is overdue today."""
    found: dict[str, list[str]] = defaultdict(list)
    for plan in calendar.plans:
        for due in plan.dues:
            late = due.due_on is not None and standing(due, calendar.today, plan.tolerance) is Standing.OVERDUE
            if late:
                found[due.part].append(plan.title)
    return {part: tuple(titles) for part, titles in found.items()}


@dataclass(frozen=True, slots=True)
class Patterns:
    """Patterns of not looking; `wells` are (tag of the well, line in words, place), `records` those of one person each.

    `usual` is how many stops in a minute the house's rule on pace lets pass, `fullest` the most in any minute.
    """

    wells: tuple[tuple[str, str, SkippedPlace], ...]
    years: tuple[int, ...]
    records: tuple[SoundRecord, ...]
    parts: Mapping[str, Part]
    usual: int
    fullest: int
    unanswered: tuple[Unanswered, ...]

    def sound(self, more_than: int) -> list[tuple[Part, SoundRecord]]:
        """The parts always marked sound by one person in minutes with more than so many stops."""
        found = always_in_full_minutes(self.records, more_than)
        return [(self.parts[one.part], one) for one in found if one.part in self.parts]


def patterns_of(db: Database, settings: Settings, house: House) -> Patterns:
    """All patterns of a house."""
    parts, walks = list_parts(db, house.id), list_walked_scopes(db, house.id)
    by_id = {part.id: part for part in parts}
    lines = {one.id: one.lines for one in list_line_sets(db, house.id, retired=True)}
    places = skipped_places(parts, walks, list_parts_at_wells(db, house.id), lines, first_installed(db, house.id))
    records = list_sound_records(db, house.id)
    used = {checklist.id: checklist for walk in reversed(walks) for checklist in walk.checklists}
    shelf = load_shelf(settings).checklists
    lists = [shelf.get(key, checklist) for key, checklist in used.items()]
    return Patterns(
        wells=tuple(
            (by_id[one.well].tag if one.well in by_id else "", _line_of(house, one), one) for one in places
        ),
        years=tuple(sorted({year for one in places for year in one.years})),
        records=tuple(records.rows),
        parts=by_id,
        usual=stops_in_a_minute(*pace_limits(house.settings)),
        fullest=records.fullest,
        unanswered=tuple(unanswered_points(parts, lists, answered_points(db, house.id))),
    )  # fmt: skip


def _line_of(house: House, place: SkippedPlace) -> str:
    return line_words(house, place.lines, place.line) if place.line else "no line"


def wear_rows(
    db: Database, settings: Settings, house: House, known: HouseOutlooks | None = None
) -> list[tuple[Nearness, list[WearRow]]]:
    """What wears in a house, nearest first; `known` are its outlooks where the caller has them already."""
    parts = {part.id: part for part in list_parts(db, house.id)}
    kinds = {one.id: one.kind.value for one in list_line_sets(db, house.id)}
    known = list_house_outlooks(db, house.id) if known is None else known
    odd = odd_by_part([outlook for outlook, _ in known], parts, kinds)
    rows = []
    for outlook, limits in known:
        part = parts.get(outlook.series.part)
        if part is not None and (outlook.series.taken or outlook.series.waiting):
            apart = odd.get((part.id, outlook.series.key.quantity))
            rows.append(measure_row(part, outlook, apart.words if apart else "", limits))
    asks = {point.id: point.ask for one in load_shelf(settings).checklists.values() for point in one.points()}
    rows += rating_rows(list_ratings(db, house.id), parts, asks, list_settled_days(db, house.id))
    return by_nearness(rows)


@dataclass(frozen=True, slots=True)
class Recurring:
    """What keeps coming back in a house."""

    again: tuple[ComesBack, ...]
    sisters: tuple[Sisters, ...]


def recurring_of(db: Database, settings: Settings, house: str) -> Recurring:
    """Faults found again after they were settled, and one defect on several sister parts."""
    rows = list_deficiencies(db, house)
    return Recurring(
        tuple(coming_back(rows)), tuple(on_sisters(rows, list_defects_seen(db, house), defect_words(settings)))
    )


def defect_words(settings: Settings) -> Mapping[tuple[str, str], str]:
    """The words of every usual defect by its point and key."""
    shelf = load_shelf(settings).checklists.values()
    return {(point.id, defect.id): defect.says for one in shelf for point in one.points() for defect in point.defects}


def counts_of(rows: Sequence[BlindRow]) -> dict[BlindKind, int]:
    """How many parts are of each kind, in the order of the kinds; they add up to all."""
    return {kind: sum(row.spot.kind is kind for row in rows) for kind in BlindKind}


def select_blind(rows: Iterable[BlindRow], wanted: BlindWanted) -> list[BlindRow]:
    """The wanted rows, in the wanted order."""
    kinds = wanted.kinds()
    found = [
        row
        for row in rows
        if row.spot.kind in kinds
        and (wanted.show != "overdue" or row.overdue)
        and wanted.line_set in ("", row.part.line_set or "")
        and wanted.part in ("", row.part.kind.value)
        and wanted.well in ("", row.part.well or "")
    ]
    if wanted.sort == "oldest":
        return sorted(found, key=lambda row: row.spot.last_on or date.min)
    if wanted.sort == "kind":
        return sorted(found, key=lambda row: list(PartKind).index(row.part.kind))
    return found


def grouped_blind(rows: Iterable[BlindRow], sort: str) -> list[tuple[str, list[BlindRow]]]:
    """The rows under headings: by set, by the year of the last look, or by kind of part."""
    groups: dict[str, list[BlindRow]] = {}
    for row in rows:
        groups.setdefault(_head(row, sort), []).append(row)
    return list(groups.items())


def _head(row: BlindRow, sort: str) -> str:
    if sort == "oldest":
        return f"Last looked at in {row.spot.last_on.year}" if row.spot.last_on else "Never looked at"
    if sort == "kind":
        many = KIND_WORDS[row.part.kind].many
        return many[:1].upper() + many[1:]
    return f"Set {row.line_set.number}" if row.line_set else "Of no set"


def kinds_in(rows: Sequence[BlindRow]) -> str:
    """What kinds of records a group holds, most unknown first: a few parts by their tags, more by their count."""
    counts = Counter(row.spot.kind for row in rows)
    said = []
    for kind in (one for one in BlindKind if counts[one]):
        few = [row.part.tag for row in rows if row.spot.kind is kind] if counts[kind] <= MOST_TAGS else []
        said.append(f"{BLIND_TITLES[kind]}: {', '.join(few) or counts[kind]}")
    return "; ".join(said)


def open_register(db: Database, settings: Settings, house: House, today: date) -> list[RegisterRow]:
    """What is open, as the register has it: when it is due, whether overdue, until when accepted."""
    return register_rows(
        list_deficiencies(db, house.id, open_only=True),
        policy=policy_of(house.settings, reference_at(settings.shared).repair_days),
        zone=zone_of(house.tz),
        today=today,
        accepted=list_accepted(db, house.id),
    )
