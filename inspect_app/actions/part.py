"""Adding, describing, replacing and retiring parts: the place stays, lives follow each other, old values are kept."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.house import content_of, latest_day
from inspect_app.actions.line_set import place_words
from inspect_app.domain.errors import BadValue, Conflict
from inspect_app.domain.journal import JournalItem
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.store.db import write_transaction
from inspect_app.store.house import get_area, get_line_set
from inspect_app.store.journal import append_journal, item
from inspect_app.store.part import (
    Change,
    add_lives,
    add_part_change,
    add_parts,
    end_life,
    find_part_by_tag,
    get_part,
    list_lives,
    set_life,
    set_part,
)

LONGEST_TAG = 24
LONGEST_LOT = 60
FARTHEST_MM = 100_000


def add_part(
    db: Database,
    *,
    at: datetime,
    actor: str,
    part: Part,
    installed_on: date | None,
    lot: str,
    attributes: Mapping[str, str],
) -> Part:
    """Add a part (its id is made here) with its first life. Raises BadValue, and NotFound for a foreign set or area."""
    with write_transaction(db):
        made = _checked(db, replace(part, id=clock.new_id()))
        life = Life(clock.new_id(), made.id, _not_after(installed_on, at), None, _lot(lot), dict(attributes))
        add_parts(db, [made])
        add_lives(db, [life])
        items = [item("part", made.id, content_of(made)), item("part_life", life.id, content_of(life))]
        append_journal(db, at=at, actor=actor, action="part.add", house=made.house, items=items)
    return made


def change_part(
    db: Database,
    *,
    at: datetime,
    actor: str,
    part: Part,
    installed_on: date | None,
    lot: str,
    attributes: Mapping[str, str],
    reason: str = "",
) -> Part:
    """Change where a part is and what is recorded about its present life; each old value is kept with the reason.

    Kind, house and set of a part never change. Raises BadValue, NotFound, and Conflict for a retired part.
    """
    with write_transaction(db):
        before = get_part(db, part.house, part.id)
        _refuse_retired(before)
        changed = _checked(db, replace(part, kind=before.kind, line_set=before.line_set, retired_on=None))
        changes = [("tag", before.tag, changed.tag), ("place", place_words(before), place_words(changed))]
        changes.append(("area", before.area, changed.area))
        items = [item("part", changed.id, content_of(changed))]
        set_part(db, changed)
        life = _present_life(db, before)
        if life is not None:
            new = replace(life, installed_on=_not_after(installed_on, at), lot=_lot(lot), attributes=dict(attributes))
            changes += _life_changes(life, new)
            set_life(db, new)
            items.append(item("part_life", life.id, content_of(new)))
        for what, old, value in changes:
            if old != value:
                change = Change(part.id, life.id if life else None, what, old, value)
                add_part_change(db, clock.new_id(), change, at, actor, reason.strip())
        append_journal(db, at=at, actor=actor, action="part.change", house=part.house, items=items)
    return changed


def replace_part(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    part: str,
    on: date,
    lot: str,
    attributes: Mapping[str, str],
    reason: str,
) -> Life:
    """End what hangs in a part's place and start its next life under the same tag. Raises BadValue, NotFound, Conflict.

    Baselines and trends begin anew with the new life; looks at the old one stay with it.
    """
    with write_transaction(db):
        found = get_part(db, house, part)
        _refuse_retired(found)
        if not reason.strip():
            raise BadValue("Say why it was replaced and by whom.", "reason")
        if on > latest_day(at):
            raise BadValue("The day of the replacement lies in the future.", "on")
        before = _present_life(db, found)
        if before is not None and before.installed_on is not None and on < before.installed_on:
            raise BadValue(f"What hangs there now was installed on {before.installed_on}, after that day.", "on")
        end_life(db, part, on)
        life = Life(clock.new_id(), part, on, None, _lot(lot), dict(attributes))
        add_lives(db, [life])
        change = Change(part, life.id, "replaced", _life_words(before), _life_words(life))
        add_part_change(db, clock.new_id(), change, at, actor, reason.strip())
        items = [item("part_life", life.id, content_of(life))]
        append_journal(db, at=at, actor=actor, action="part.replace", house=house, items=items)
    return life


def retire_part(db: Database, *, at: datetime, actor: str, house: str, part: str, on: date, reason: str) -> Part:
    """Take a part out of the inventory; it and its record stay readable. Raises BadValue, NotFound, Conflict."""
    with write_transaction(db):
        before = get_part(db, house, part)
        _refuse_retired(before)
        if not reason.strip():
            raise BadValue("Say why the part is retired.", "reason")
        if on > latest_day(at):
            raise BadValue("The day lies in the future.", "on")
        changed = replace(before, retired_on=on)
        set_part(db, changed)
        end_life(db, part, on)
        change = Change(part, None, "retired", "", on.isoformat())
        add_part_change(db, clock.new_id(), change, at, actor, reason.strip())
        items: list[JournalItem] = [item("part", part, content_of(changed))]
        append_journal(db, at=at, actor=actor, action="part.retire", house=house, items=items)
    return changed


def _checked(db: Database, part: Part) -> Part:
    tag = " ".join(part.tag.split())
    if not tag or len(tag) > LONGEST_TAG or not tag.isprintable():
        raise BadValue(f"A tag has 1 to {LONGEST_TAG} characters, such as LB 12-3.", "tag")
    other = find_part_by_tag(db, part.house, tag)
    if other is not None and other.id != part.id:
        retired = f", retired on {other.retired_on}" if other.retired_on else ""
        raise BadValue(f"The tag {other.tag} belongs to another part already{retired}. Each tag is used once.", "tag")
    get_area(db, part.house, part.area)
    if part.line_set is not None:
        line_set = get_line_set(db, part.house, part.line_set)
        if part.line is not None and not 1 <= part.line <= line_set.lines:
            raise BadValue(f"Set {line_set.number} has lines 1 to {line_set.lines}.", "line")
    elif part.line is not None:
        raise BadValue("A line is counted within a set; choose the set first.", "line")
    if part.well is not None and get_part(db, part.house, part.well).kind is not PartKind.WELL:
        raise BadValue("A part stands at a well; what was chosen is not one.", "well")
    for name in ("x_mm", "y_mm", "z_mm"):
        if abs(getattr(part, name) or 0) > FARTHEST_MM:
            raise BadValue("That is farther than 100 m; check the unit.", name)
    return replace(part, tag=tag)


def _present_life(db: Database, part: Part) -> Life | None:
    return next((life for life in list_lives(db, part.house, part.id) if life.retired_on is None), None)


def _life_changes(old: Life, new: Life) -> list[tuple[str, str, str]]:
    keys = sorted({*old.attributes, *new.attributes})
    changes = [(key, old.attributes.get(key, ""), new.attributes.get(key, "")) for key in keys]
    changes.append(("installed on", str(old.installed_on or ""), str(new.installed_on or "")))
    changes.append(("lot", old.lot, new.lot))
    return changes


def _life_words(life: Life | None) -> str:
    if life is None:
        return ""
    since = f"since {life.installed_on}" if life.installed_on else "since unknown"
    return f"{since}, lot {life.lot}" if life.lot else since


def _refuse_retired(part: Part) -> None:
    if part.retired_on is not None:
        raise Conflict(f"{part.tag} was retired on {part.retired_on}; it is kept as it was.")


def _not_after(day: date | None, at: datetime) -> date | None:
    if day is not None and day > latest_day(at):
        raise BadValue("The day of installation lies in the future.", "installed_on")
    return day


def _lot(text: str) -> str:
    lot = " ".join(text.split())
    if len(lot) > LONGEST_LOT:
        raise BadValue(f"A lot or serial number has up to {LONGEST_LOT} characters.", "lot")
    return lot
