"""Importing a line-set schedule: new sets are added, known ones changed, in one transaction."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.house import content_of
from inspect_app.actions.line_set import Described, move_line_set, put_line_set
from inspect_app.domain.house import LineSet
from inspect_app.domain.journal import JournalItem
from inspect_app.domain.part import PartKind
from inspect_app.domain.schedule_import import ScheduleLine
from inspect_app.domain.set_parts import Site
from inspect_app.domain.site import site_of
from inspect_app.store.db import write_transaction
from inspect_app.store.house import list_line_sets
from inspect_app.store.journal import append_journal, item
from inspect_app.store.part import Change, add_part_change, list_parts, list_present_lives, set_life
from inspect_app.store.walk_record import get_inventory

# Column of a schedule -> the kind of part and the attribute that it describes.
SCHEDULE_ATTRIBUTES: Mapping[str, tuple[PartKind, str]] = {
    "arbor_capacity": (PartKind.ARBOR, "capacity_kg"),
    "batten_length": (PartKind.BATTEN, "length_mm"),
    "batten_capacity": (PartKind.BATTEN, "capacity_kg"),
}


class Imported(NamedTuple):
    """What an import did: numbers added, numbers changed, and (number, why) of sets whose parts could not be made."""

    added: tuple[str, ...]
    changed: tuple[str, ...]
    without_parts: tuple[tuple[str, str], ...]


def import_schedule(
    db: Database, *, at: datetime, actor: str, house: str, lines: Sequence[ScheduleLine], with_parts: bool
) -> Imported:
    """Add the sets of a schedule that are new and change those that are there; only columns that were given change.

    A new set whose parts cannot be made (more lines than wells are known) is added without and named.
    Raises Conflict when two sets would end with one number; nothing is imported then.
    """
    added, changed, without = [], [], []
    items: list[JournalItem] = []
    with write_transaction(db):
        site = site_of(get_inventory(db, house))
        known = {found.number.casefold(): found for found in list_line_sets(db, house, retired=True)}
        for line in lines:
            before = known.get(line.number.casefold())
            if before is None:
                reason = _add_from_schedule(db, house, line, site if with_parts else None, items)
                added.append(line.number)
                if reason:
                    without.append((line.number, reason))
                continue
            items += move_line_set(db, at, actor, before, _merged(before, line), site)[1]
            items += _set_attributes(db, at, actor, before, line)
            changed.append(line.number)
        append_journal(db, at=at, actor=actor, action="schedule.import", house=house, items=items)
    return Imported(tuple(added), tuple(changed), tuple(without))


def _add_from_schedule(
    db: Database, house: str, line: ScheduleLine, site: Site | None, items: list[JournalItem]
) -> str:
    """Add one set; returns why its parts could not be made, or ''."""
    described = Described(line.number, line.kind, line.y_mm, line.head_side, line.axis, line.lines, line.label)
    reason = ""
    if site is not None and not site.areas:
        reason = "the house has no areas yet"
    elif site is not None and line.lines > len(site.wells):
        reason = f"it has {line.lines} lines, the house {len(site.wells)} known wells"
    given = replace(site, attributes=by_kind(line.attributes)) if site is not None and not reason else None
    items += put_line_set(db, house, described, given)[1]
    return reason


def _merged(before: LineSet, line: ScheduleLine) -> Described:
    given = line.given
    return Described(
        number=before.number,
        kind=line.kind if "kind" in given else before.kind,
        y_mm=line.y_mm,
        head_side=line.head_side if "head_side" in given else before.head_side,
        axis=line.axis if "axis" in given else before.axis,
        lines=line.lines if "lines" in given else before.lines,
        label=line.label if "label" in given else before.label,
    )


def by_kind(attributes: Mapping[str, str]) -> dict[PartKind, dict[str, str]]:
    """The attributes of a schedule's row by the kind of part they describe."""
    found: dict[PartKind, dict[str, str]] = {}
    for name, value in attributes.items():
        kind, key = SCHEDULE_ATTRIBUTES[name]
        found.setdefault(kind, {})[key] = value
    return found


def _set_attributes(db: Database, at: datetime, actor: str, line_set: LineSet, line: ScheduleLine) -> list[JournalItem]:
    """Bring what the schedule says of arbor and batten to the present lives; the values before are kept."""
    wanted = by_kind(line.attributes)
    lives = list_present_lives(db, line_set.house, line_set=line_set.id) if wanted else {}
    items = []
    for part in list_parts(db, line_set.house, line_set=line_set.id) if wanted else ():
        life = lives.get(part.id)
        new = wanted.get(part.kind, {})
        if life is None or not new or all(life.attributes.get(key) == value for key, value in new.items()):
            continue
        for key, value in new.items():
            old = life.attributes.get(key, "")
            if old != value:
                change = Change(part.id, life.id, key, old, value)
                add_part_change(db, clock.new_id(), change, at, actor, "from the line-set schedule")
        changed = replace(life, attributes={**life.attributes, **new})
        set_life(db, changed)
        items.append(item("part_life", life.id, content_of(changed)))
    return items


def exported_attributes(db: Database, house: str) -> dict[str, dict[str, str]]:
    """What a schedule says of the arbor and the batten of each set, by id of the set."""
    lives = list_present_lives(db, house)
    found: dict[str, dict[str, str]] = {}
    for part in list_parts(db, house):
        if part.line_set is None or part.id not in lives:
            continue
        for name, (kind, key) in SCHEDULE_ATTRIBUTES.items():
            if part.kind is kind and key in lives[part.id].attributes:
                found.setdefault(part.line_set, {})[name] = lives[part.id].attributes[key]
    return found
