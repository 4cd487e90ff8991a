"""What stands against a line set: what keeps it out of use or limits its use, and figures outside a criterion."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.config import shared_dir
from inspect_app.domain.checklist import Grade
from inspect_app.domain.criteria import Criterion
from inspect_app.domain.house import Inventory
from inspect_app.domain.judge import Limit, Result, Verdict
from inspect_app.domain.judged_measure import judging_attributes, verdicts_of
from inspect_app.domain.measure_history import Series, TakenMeasure
from inspect_app.domain.part import Part
from inspect_app.domain.set_load import BLOCKS, CARRIES, STEEL, SetRecord
from inspect_app.domain.units import with_unit
from inspect_app.domain.worked_figure import worked_figures
from inspect_app.store.checklist import NamedCriteria
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.house import get_house, get_line_set
from inspect_app.store.house_criteria import criteria_for
from inspect_app.store.measure_history import list_series
from inspect_app.store.part import list_parts, list_present_lives
from inspect_app.store.reference import reference_at
from inspect_app.store.set_state import list_use
from inspect_app.store.tag_out import list_standing
from inspect_app.store.walk_record import get_inventory


def get_set_record(db: Database, house: str, line_set: str) -> SetRecord:
    """A set with its present parts and lives. Raises NotFound."""
    found = get_line_set(db, house, line_set)
    parts = tuple(list_parts(db, house, line_set=line_set))
    return SetRecord(get_house(db, house), found, parts, list_present_lives(db, house, line_set=line_set))


class Standing(NamedTuple):
    """What stands against a set today, fit to be shown.

    `bars` keep it out of use, `limits` bind its use (its own and those on the areas where it hangs), `outside` are
    figures of its lines, line ends, trims and blocks outside a criterion, and stops on the steel where they hang.
    """

    bars: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()
    outside: tuple[str, ...] = ()


def get_use(db: Database, record: SetRecord, today: date) -> Standing:
    """What keeps a set out of use today and what limits its use, as every view of the set says it."""
    if record.line_set.retired_on is not None:
        return Standing()
    bars, limits, around = list_use(db, record.house.id, record.line_set.id, today)
    return Standing(bars, (*limits, *around))


def get_standing(db: Database, record: SetRecord, today: date) -> Standing:
    """The same with what is outside a criterion, so that no design factor may be given for the set."""
    carries = [part for part in record.parts if part.kind in CARRIES]
    inventory = get_inventory(db, record.house.id)
    criteria = criteria_for(db, record.house.id, reference_at(shared_dir()).criteria)
    outside = (*_outside(db, inventory, carries, criteria), *_worked_out(inventory, carries, criteria))
    return get_use(db, record, today)._replace(outside=(*_steel(db, record, inventory), *outside))


def _steel(db: Database, record: SetRecord, inventory: Inventory) -> list[str]:
    """Stops and open deficiencies graded stop use on the steel of the places where its blocks hang: which sets a beam
    carries is not recorded, so that each of them may be one."""
    areas = {part.area for part in record.of(*BLOCKS)}
    steel = {part.id: part.tag for part in inventory.parts if part.kind in STEEL and part.area in areas}
    stops = {one.part: f"stopped: {one.why}" for one in list_standing(db, record.house.id) if one.part in steel}
    graded = {
        one.part: f"deficiency {one.number} is graded stop use: {one.what}"
        for one in list_deficiencies(db, record.house.id, open_only=True)
        if one.part in steel and one.grade is Grade.STOP_USE
    }
    found = (graded | stops).items()
    return [f"{steel[part]}, steel where blocks of this set hang: {said}" for part, said in found if part is not None]


def _worked_out(inventory: Inventory, parts: Iterable[Part], criteria: Mapping[str, Criterion]) -> list[str]:
    """What the record itself puts outside without a walk: tread to rope, fleet angle, a new rope's first measure."""
    return [
        f"{part.tag}: {figure.title}: {figure.shown} is outside {verdict.limit.citation}"
        for part in parts
        for figure in worked_figures(part, inventory, criteria)
        for verdict in figure.verdicts
        if verdict.result is Result.OUTSIDE and verdict.limit is not None
    ]


def _outside(
    db: Database, inventory: Inventory, parts: Sequence[Part], criteria: Mapping[str, Criterion]
) -> tuple[str, ...]:
    """The measures that stand outside a criterion, of what hangs there now."""
    found: list[str] = []
    named = NamedCriteria(db)
    measured = list_series(db, inventory.house.id, [part.id for part in parts])
    for part in parts:
        attributes = judging_attributes(inventory, part)
        for taken in _by_place(measured.get(part.id, ())):
            keys = (named.key(one.revision, one.point, one.quantity) for one in taken)
            judged = [
                (one, verdicts_of(one, criteria.get(key), attributes)) for one, key in zip(taken, keys, strict=True)
            ]
            found += [
                f"{part.tag}: {one.quantity.replace('_', ' ')} {with_unit(one.value, one.unit)} "
                f"on {one.on.isoformat()} is outside {limit.citation}"
                for one, limit in _standing_outside(judged)
            ]
    return tuple(dict.fromkeys(found))


def _by_place(series: Iterable[Series]) -> list[list[TakenMeasure]]:
    """What was measured of one thing in one place and load state, with whatever gauge, oldest first."""
    found: dict[tuple[str, ...], list[TakenMeasure]] = {}
    for one in series:
        found.setdefault(one.key._replace(gauge=""), []).extend((*one.taken, *one.waiting))
    return [sorted(taken, key=lambda one: one.on) for taken in found.values()]


def _standing_outside(
    judged: Iterable[tuple[TakenMeasure, tuple[Verdict, ...]]],
) -> Iterable[tuple[TakenMeasure, Limit]]:
    """The measures outside a limit that no measure of a later day puts inside it again, by rule; oldest first.

    What nobody has signed yet may add a doubt and takes none away, and a gauge that cannot tell neither.
    """
    outside: dict[str, tuple[TakenMeasure, Limit]] = {}
    for one, verdicts in judged:
        for verdict in verdicts:
            if verdict.limit is None:
                continue
            known = outside.get(verdict.limit.rule)
            if verdict.result is Result.OUTSIDE:
                outside[verdict.limit.rule] = one, verdict.limit
            elif verdict.result is Result.INSIDE and known is not None and not one.why_not and known[0].on < one.on:
                del outside[verdict.limit.rule]
    return outside.values()
