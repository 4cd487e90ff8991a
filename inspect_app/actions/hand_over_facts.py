"""What the pages of a hand-over pack are made of, read from a house at one moment."""

from collections import Counter
from collections.abc import Iterable, Mapping
from datetime import date, datetime

from sqlite_utils import Database

from inspect_app.actions.history import open_register
from inspect_app.config import Settings
from inspect_app.domain.blind_spot import BLIND_ORDER, BLIND_TITLES, BlindKind, blind_spots
from inspect_app.domain.checklist import GRADE_TITLES
from inspect_app.domain.criteria import Criterion
from inspect_app.domain.deficiency import STATE_TITLES
from inspect_app.domain.deficiency_register import due_words
from inspect_app.domain.event import KIND_TITLES as EVENT_TITLES
from inspect_app.domain.hand_over import Facts, Period
from inspect_app.domain.hand_over_question import answered
from inspect_app.domain.hand_over_table import BY_NAME, TABLES
from inspect_app.domain.house import House, Inventory
from inspect_app.domain.judge import Result, worst
from inspect_app.domain.judged_measure import verdict_words, verdicts_by
from inspect_app.domain.line_set import KIND_WORDS, SIDE_WORDS
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.part_kind import kind_title
from inspect_app.domain.report_words import zone
from inspect_app.domain.restriction import KIND_TITLES as RESTRICTION_TITLES
from inspect_app.domain.role import ROLE_TITLES
from inspect_app.domain.shown_length import length_words
from inspect_app.domain.system_sheet import NOT_RECORDED, SheetRow, system_sheet
from inspect_app.domain.tag_runs import Place, natural, runs_of
from inspect_app.domain.trend_words import as_typed, series_facts, series_title
from inspect_app.domain.worked_figure import outside_by_record
from inspect_app.store.blind_spot import list_part_records
from inspect_app.store.event_hold import list_aftermaths
from inspect_app.store.hand_over import each_sealed, list_answers, list_look_stubs, list_signed_checklists
from inspect_app.store.hand_over_table import read_rows
from inspect_app.store.house_criteria import criteria_for
from inspect_app.store.measure_history import list_house_outlooks
from inspect_app.store.reference import reference_at
from inspect_app.store.risen_grade import grades_risen
from inspect_app.store.set_state import list_other_bars, list_set_states
from inspect_app.store.walk_record import get_inventory

_LARGE = ("looks", "photos", "photo_uses", "countersigns", "deficiency_costs")  # in the files alone
_STANDING = ("walks", "deficiencies", "restrictions", "accepted_conditions", "relooks", "examinations")
_WORDS = {
    "grade": {key.value: words for key, words in GRADE_TITLES.items()},
    "state": {key.value: words for key, words in STATE_TITLES.items()},
    "restriction": {key.value: words for key, words in RESTRICTION_TITLES.items()},
    "event": {key.value: words for key, words in EVENT_TITLES.items()},
    "role": {key.value: words for key, words in ROLE_TITLES.items()},
    "answer": {"not_seen_now": "not seen now"},
}


def house_answers(db: Database, house: House) -> dict[str, tuple[str, str, str]]:
    """By question, the house's newest answer, who typed it, and the day by the house's clock."""
    where = zone(house.tz)
    return {
        key: (answer, name, datetime.fromisoformat(stamp).astimezone(where).date().isoformat())
        for key, (answer, name, stamp) in list_answers(db, house.id).items()
    }


def house_sheet(db: Database, house: House, inventory: Inventory) -> list[SheetRow]:
    """What inspectors ask in advance, answered from the inventory and by the house."""
    return answered(system_sheet(inventory), house_answers(db, house))


def facts_of(db: Database, settings: Settings, house: House, period: Period, at: datetime) -> Facts:
    """All facts of the pages. Call it inside one read transaction, so that they fit each other."""
    where = zone(house.tz)
    today = at.astimezone(where).date()
    inventory = get_inventory(db, house.id)
    criteria = criteria_for(db, house.id, reference_at(settings.shared).criteria)
    rows = {
        table.name: list(read_rows(db, table, house.id, period, where)) for table in TABLES if table.name not in _LARGE
    }
    now = {name: list(read_rows(db, BY_NAME[name], house.id, Period(), where)) for name in _STANDING}
    risen = grades_risen(db, house.id)
    for row in (*rows["deficiencies"], *now["deficiencies"]):
        row["grade"] = risen.get(row["id"], row["grade"])
    rows |= {f"{of}_looks": list_look_stubs(db, house.id, of) for of in ("finding", "measure")}
    counts: dict[str, tuple[int, int, int, int]] = {}
    for walk, data in each_sealed(db, house.id, period.first, period.last):
        parts = (data.get("coverage") or {}).get("parts") or {}
        looked, missed, none, scope = (
            int(parts.get(key) or 0) for key in ("looked_at", "not_reached", "not_looked_at", "in_scope")
        )
        counts[walk] = (looked, missed, none, scope)
    return Facts(
        zone=where,
        today=today.isoformat(),
        period=period,
        sheet=[(row.name, row.value) for row in house_sheet(db, house, inventory)],
        rows=rows,
        schedule=_schedule(inventory),
        counts=counts,
        due={one.row.id: due_words(one) for one in open_register(db, settings, house, today)},
        checklists={walk: "; ".join(titles) for walk, titles in list_signed_checklists(db, house.id).items()},
        states=[(one.number, "bar", text) for one in list_set_states(db, house.id, today) for text in one.bars],
        other_bars=list_other_bars(db, house.id),
        blind=_blind(db, inventory, period),
        words=_WORDS,
        now=now,
        outside=_outside(db, inventory),
        worked=_worked(inventory, criteria),
        after={event: one.words for event, one in list_aftermaths(db, house.id).items()},
    )


def _outside(db: Database, inventory: Inventory) -> list[tuple[str, str, str]]:
    """Of each newest figure that a limit puts outside or that its gauge cannot tell: what each limit says."""
    tags = {part.id: part.tag for part in inventory.parts}
    found = []
    for outlook, limits in list_house_outlooks(db, inventory.house.id):
        series = outlook.series
        if not series.taken or not limits:
            continue
        last = series.taken[-1]
        verdicts = verdicts_by(last, limits)
        if worst(verdicts).result in {Result.OUTSIDE, Result.CANNOT_TELL}:
            figure = f"{series_title(series)}: {as_typed(last)}, {last.on.isoformat()}"
            how = f"{figure}; {series_facts(series)}"
            governing = next((f" Governing here: {one.chosen}." for one in limits if one.chosen), "")
            found.append((tags.get(series.part, ""), how, verdict_words(verdicts, last.unit) + governing))
    return sorted(found, key=lambda row: (natural(row[0]), row[1]))


def _worked(inventory: Inventory, criteria: Mapping[str, Criterion]) -> list[tuple[str, str, str]]:
    """Of each figure that the record itself puts outside: of which parts, from what, and what each limit says."""
    unit = "in" if inventory.house.units == "imperial" else "mm"
    found = []
    for figure, parts in outside_by_record(inventory, criteria):
        governing = f" {figure.governing[:1].upper()}{figure.governing[1:]}." if figure.governing else ""
        said = verdict_words(figure.verdicts, unit) + governing
        tags = runs_of([part.tag for part in parts], _places(parts, inventory))
        found.append((tags, f"{figure.title}: {figure.shown}; {figure.how}", said))
    return sorted(found, key=lambda row: (natural(row[0]), row[1]))


def _places(parts: Iterable[Part], inventory: Inventory) -> dict[str, Place]:
    numbers = {row.id: row.number for row in inventory.line_sets}
    return {p.tag: Place(numbers.get(p.line_set or "", ""), p.line) for p in parts if p.line and p.line_set}


def _schedule(inventory: Inventory) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    for one in sorted(inventory.line_sets, key=lambda row: (row.sort_key, row.number)):
        if one.retired_on is None:
            rows.append(
                (
                    *(one.number, one.label or NOT_RECORDED, KIND_WORDS[one.kind], str(one.lines)),
                    *(length_words(one.y_mm, inventory.house.units), SIDE_WORDS[one.head_side]),
                    _since(inventory, one.id, PartKind.LIFT_LINE),
                    _since(inventory, one.id, PartKind.HAND_LINE),
                )
            )
    return rows


def _since(inventory: Inventory, line_set: str, kind: PartKind) -> str:
    """The install days of the parts of a kind on a set, and on how many none is recorded."""
    days: Counter[str] = Counter()
    for part in inventory.parts:
        if part.line_set == line_set and part.kind is kind and part.retired_on is None:
            life = inventory.lives.get(part.id)
            days[life.installed_on.isoformat() if life and life.installed_on else ""] += 1
    if not days:
        return "none"
    missing = days.pop("", 0)
    said = " to ".join(dict.fromkeys((min(days), max(days)))) if days else ""
    lacking = NOT_RECORDED + (f" on {missing}" if said else "") if missing else ""
    return "; ".join(filter(None, (said, lacking)))


def _blind(db: Database, inventory: Inventory, period: Period) -> list[tuple[str, str]]:
    since = date.fromisoformat(period.first) if period.first else None
    spots = blind_spots(list_part_records(db, inventory.house.id).values(), since)
    groups: list[tuple[str, str]] = []
    for kind in BLIND_ORDER:
        if kind is BlindKind.HANDLED:
            continue
        parts = [p for p in inventory.parts if p.id in spots and spots[p.id].kind is kind]
        for title in sorted({kind_title(part.kind) for part in parts}):
            own = [part for part in parts if kind_title(part.kind) == title]
            words = BLIND_TITLES[kind] + (f" {since}" if since and kind is BlindKind.NOT_SINCE else "")
            groups.append((f"{words}: {title}", runs_of([part.tag for part in own], _places(own, inventory))))
    return groups
