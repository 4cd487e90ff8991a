"""What stands against a line set: open stops, deficiencies graded stop use, and figures outside a criterion."""

from collections.abc import Iterable
from decimal import Decimal, InvalidOperation

from sqlite_utils import Database

from inspect_app.config import shared_dir
from inspect_app.domain.asked_limits import part_limits
from inspect_app.domain.checklist import Grade
from inspect_app.domain.criteria import Criterion
from inspect_app.domain.deficiency import OPEN_STATES
from inspect_app.domain.errors import BadValue
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.judge import Result, judge
from inspect_app.domain.measure_history import Series, TakenMeasure
from inspect_app.domain.part import Part
from inspect_app.domain.set_load import CARRIES, SetRecord
from inspect_app.domain.worked_figure import worked_figures
from inspect_app.store.checklist import get_revision
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.house import get_house, get_line_set
from inspect_app.store.house_criteria import criteria_for
from inspect_app.store.measure_history import list_outlooks
from inspect_app.store.part import list_parts, list_present_lives
from inspect_app.store.reference import reference_at
from inspect_app.store.tag_out import list_standing
from inspect_app.store.walk_record import get_inventory


def get_set_record(db: Database, house: str, line_set: str) -> SetRecord:
    """A set with its present parts and lives. Raises NotFound."""
    found = get_line_set(db, house, line_set)
    parts = tuple(list_parts(db, house, line_set=line_set))
    return SetRecord(get_house(db, house), found, parts, list_present_lives(db, house, line_set=line_set))


def list_against(db: Database, record: SetRecord) -> tuple[str, ...]:
    """Why no design factor may be given for a set now, each reason fit to be shown; empty when nothing stands."""
    carries = {part.id: part for part in record.parts if part.kind in CARRIES}
    return (
        *_stops(db, record, carries),
        *_deficiencies(db, record, carries),
        *_outside(db, record, carries.values()),
        *_worked_out(db, record, carries.values()),
    )


def _worked_out(db: Database, record: SetRecord, parts: Iterable[Part]) -> list[str]:
    """What the record itself puts outside without a walk: tread to rope, fleet angle, a new rope's first measure."""
    inventory = get_inventory(db, record.house.id)
    criteria = criteria_for(db, record.house.id, reference_at(shared_dir()).criteria)
    return [
        f"{part.tag}: {figure.title}: {figure.shown} is outside {verdict.limit.citation}"
        for part in parts
        for figure in worked_figures(part, inventory, criteria)
        for verdict in figure.verdicts
        if verdict.result is Result.OUTSIDE and verdict.limit is not None
    ]


def _stops(db: Database, record: SetRecord, carries: dict[str, Part]) -> list[str]:
    areas = {part.area for part in carries.values()}
    return [
        f"an open stop stands on {stop.scope}: {stop.why}"
        for stop in list_standing(db, record.house.id)
        if stop.line_set == record.line_set.id or stop.part in carries or (stop.area and stop.area in areas)
    ]


def _deficiencies(db: Database, record: SetRecord, carries: dict[str, Part]) -> list[str]:
    return [
        f"deficiency {one.number} on {carries[one.part].tag} is graded stop use: {one.what}"
        for one in list_deficiencies(db, record.house.id, open_only=True)
        if one.part in carries and one.grade is Grade.STOP_USE and one.state in OPEN_STATES
    ]


def _outside(db: Database, record: SetRecord, parts: Iterable[Part]) -> list[str]:
    criteria: dict[str, Criterion] | None = None
    asked: dict[str, dict[tuple[str, str], str]] = {}
    found: list[str] = []
    measured = _measured(db, record)
    for part in parts:
        if part.id not in measured:
            continue
        if criteria is None:
            criteria = criteria_for(db, record.house.id, reference_at(shared_dir()).criteria)
        for outlook in list_outlooks(db, record.house.id, part.id):
            criterion = criteria.get(_criterion(db, outlook.series, asked))
            if criterion is not None:
                found += _verdicts(record, part, outlook.series, criterion)
    return list(dict.fromkeys(found))


def _measured(db: Database, record: SetRecord) -> set[str]:
    """The parts of the set that anybody ever measured."""
    rows = db.execute(
        "SELECT DISTINCT m.part FROM measure m JOIN part p ON p.id = m.part WHERE p.house = ? AND p.line_set = ?",
        (to_key(record.house.id), to_key(record.line_set.id)),
    )
    return {from_key(part) for (part,) in rows.fetchall()}


def _criterion(db: Database, series: Series, asked: dict[str, dict[tuple[str, str], str]]) -> str:
    revision = series.revision
    if revision not in asked:
        checklist = get_revision(db, revision)
        points = checklist.points() if checklist else ()
        asked[revision] = {(one.id, spec.quantity): spec.criterion for one in points for spec in one.measures}
    return asked[revision].get(series.key[:2], "")


def _verdicts(record: SetRecord, part: Part, series: Series, criterion: Criterion) -> list[str]:
    """Which criteria the measures of the last day are outside of; one that is not signed yet counts here as well."""
    taken = (*series.taken, *series.waiting)
    if not taken:
        return []
    life = record.lives.get(part.id)
    attributes = dict(life.attributes) if life else {}
    if record.house.settings.get("jurisdiction"):
        attributes["jurisdiction"] = record.house.settings["jurisdiction"]
    try:
        limits = part_limits(criterion, attributes).limits
    except BadValue:
        return []
    last = max(one.on for one in taken)
    return [
        f"{part.tag}: {series.key.quantity.replace('_', ' ')} of {one.value} {one.unit} on {one.on.isoformat()} is "
        f"outside {verdict.limit.citation}"
        for one in taken
        if one.on == last
        for verdict in judge(Decimal(one.value), one.unit, _step(one), limits)
        if verdict.result is Result.OUTSIDE and verdict.limit is not None
    ]


def _step(one: TakenMeasure) -> Decimal | None:
    try:
        step = Decimal(one.resolution)
    except InvalidOperation:
        return None
    return step if step.is_finite() and step > 0 else None
