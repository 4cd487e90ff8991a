"""What stands against a line set: what keeps it out of use or limits its use, and figures outside a criterion."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.config import shared_dir
from inspect_app.domain.asked_limits import part_limits
from inspect_app.domain.criteria import Criterion
from inspect_app.domain.errors import BadValue
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.judge import Result, judge
from inspect_app.domain.measure_history import Series, TakenMeasure
from inspect_app.domain.part import Part
from inspect_app.domain.set_load import CARRIES, SetRecord
from inspect_app.domain.worked_figure import worked_figures
from inspect_app.store.checklist import get_revision
from inspect_app.store.house import get_house, get_line_set
from inspect_app.store.house_criteria import criteria_for
from inspect_app.store.measure_history import list_outlooks
from inspect_app.store.part import list_parts, list_present_lives
from inspect_app.store.reference import reference_at
from inspect_app.store.set_state import list_set_states
from inspect_app.store.walk_record import get_inventory


def get_set_record(db: Database, house: str, line_set: str) -> SetRecord:
    """A set with its present parts and lives. Raises NotFound."""
    found = get_line_set(db, house, line_set)
    parts = tuple(list_parts(db, house, line_set=line_set))
    return SetRecord(get_house(db, house), found, parts, list_present_lives(db, house, line_set=line_set))


class Standing(NamedTuple):
    """What stands against a set today, fit to be shown.

    `bars` keep it out of use, `limits` bind its use (its own and those on the areas where it hangs), `outside` are
    figures of its lines, line ends, trims and blocks outside a criterion.
    """

    bars: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()
    outside: tuple[str, ...] = ()


def get_use(db: Database, record: SetRecord, today: date) -> Standing:
    """What keeps a set out of use today and what limits its use, as every view of the set says it."""
    for state in list_set_states(db, record.house.id, today):
        if state.line_set == record.line_set.id:
            return Standing(state.bars, (*state.limits, *state.around))
    return Standing()


def get_standing(db: Database, record: SetRecord, today: date) -> Standing:
    """The same with what is outside a criterion, so that no design factor may be given for the set."""
    carries = [part for part in record.parts if part.kind in CARRIES]
    outside = (*_outside(db, record, carries), *_worked_out(db, record, carries))
    return get_use(db, record, today)._replace(outside=outside)


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
    """Which criteria the signed measures of the last day are outside of, and those taken since that nobody signed yet:
    they may add a doubt and take none away."""
    last = max((one.on for one in series.taken), default=date.min)
    now = [one for one in series.taken if one.on == last] + [one for one in series.waiting if one.on >= last]
    if not now:
        return []
    life = record.lives.get(part.id)
    attributes = dict(life.attributes) if life else {}
    if record.house.settings.get("jurisdiction"):
        attributes["jurisdiction"] = record.house.settings["jurisdiction"]
    try:
        limits = part_limits(criterion, attributes).limits
    except BadValue:
        return []
    return [
        f"{part.tag}: {series.key.quantity.replace('_', ' ')} of {one.value} {one.unit} on {one.on.isoformat()} is "
        f"outside {verdict.limit.citation}"
        for one in now
        for verdict in judge(Decimal(one.value), one.unit, _step(one), limits)
        if verdict.result is Result.OUTSIDE and verdict.limit is not None
    ]


def _step(one: TakenMeasure) -> Decimal | None:
    try:
        step = Decimal(one.resolution)
    except InvalidOperation:
        return None
    return step if step.is_finite() and step > 0 else None
