"""Adding, changing and retiring line sets together with their parts."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.house import content_of
from inspect_app.domain.errors import BadValue, Conflict
from inspect_app.domain.house import AreaKind, LineSet, LineSetKind, Side
from inspect_app.domain.journal import JournalItem
from inspect_app.domain.line_set import check_line_set, clean_label, clean_number, sort_key_for
from inspect_app.domain.part import Life, Part
from inspect_app.domain.set_parts import Site, parts_of_set
from inspect_app.domain.site import missing_parts, moved_parts, site_of
from inspect_app.store.db import write_transaction
from inspect_app.store.house import add_line_sets, get_line_set, list_line_sets, set_line_set
from inspect_app.store.journal import append_journal, item
from inspect_app.store.part import (
    Change,
    add_lives,
    add_part_change,
    add_parts,
    end_life,
    find_part_by_tag,
    list_parts,
    set_part,
)
from inspect_app.store.walk_record import get_inventory


class Described(NamedTuple):
    """A line set as a form or a schedule describes it."""

    number: str
    kind: LineSetKind
    y_mm: int
    head_side: Side
    axis: str
    lines: int
    label: str = ""


def add_line_set(
    db: Database, *, at: datetime, actor: str, house: str, described: Described, with_parts: bool
) -> LineSet:
    """Add a set, with all usual parts of its kind if asked. Raises BadValue (a number twice, more lines than wells)."""
    with write_transaction(db):
        line_set, items = put_line_set(db, house, described, known_site(db, house) if with_parts else None)
        append_journal(db, at=at, actor=actor, action="line_set.add", house=house, items=items)
    return line_set


def change_line_set(
    db: Database, *, at: datetime, actor: str, house: str, line_set: str, described: Described
) -> LineSet:
    """Change a set; its parts follow number, distance and head side. Raises BadValue, NotFound, Conflict."""
    with write_transaction(db):
        before = get_line_set(db, house, line_set)
        changed, items = move_line_set(db, at, actor, before, described, site_of(get_inventory(db, house)))
        append_journal(db, at=at, actor=actor, action="line_set.change", house=house, items=items)
    return changed


def retire_line_set(db: Database, *, at: datetime, actor: str, house: str, line_set: str, on: date) -> LineSet:
    """Retire a set with all its parts; nothing is deleted. Raises NotFound, Conflict."""
    with write_transaction(db):
        before = get_line_set(db, house, line_set)
        if before.retired_on is not None:
            raise Conflict(f"Set {before.number} was retired on {before.retired_on} already.")
        changed = replace(before, retired_on=on)
        set_line_set(db, changed)
        items = [item("line_set", line_set, content_of(changed))]
        for part in list_parts(db, house, line_set=line_set):
            set_part(db, replace(part, retired_on=on))
            end_life(db, part.id, on)
            items.append(item("part", part.id, content_of(replace(part, retired_on=on))))
        append_journal(db, at=at, actor=actor, action="line_set.retire", house=house, items=items)
    return changed


def add_missing_parts(db: Database, *, at: datetime, actor: str, house: str, line_set: str) -> list[Part]:
    """Make the usual parts that a set of its kind lacks. Raises BadValue, NotFound, Conflict."""
    with write_transaction(db):
        found = get_line_set(db, house, line_set)
        made = missing_parts(found, list_parts(db, house, line_set=line_set), known_site(db, house), clock.new_id)
        items = _add_parts(db, house, [part for part, _ in made], [life for _, life in made])
        append_journal(db, at=at, actor=actor, action="line_set.complete", house=house, items=items)
    return [part for part, _ in made]


def _checked(line_set: LineSet, described: Described) -> LineSet:
    return check_line_set(
        replace(
            line_set,
            number=clean_number(described.number),
            sort_key=sort_key_for(described.axis, described.y_mm),
            kind=described.kind,
            y_mm=described.y_mm,
            head_side=described.head_side,
            axis=described.axis,
            lines=described.lines,
            label=clean_label(described.label),
        )
    )


def known_site(db: Database, house: str) -> Site:
    """Where things are in the house now. Raises BadValue when it has no areas for parts to be in."""
    site = site_of(get_inventory(db, house))
    if not any(kind in (AreaKind.DECK_RAIL, AreaKind.GRID) for kind, _ in site.areas):
        raise BadValue("The house has no deck and no grid yet. Add these areas first.", "with_parts")
    return site


def put_line_set(
    db: Database, house: str, described: Described, site: Site | None
) -> tuple[LineSet, list[JournalItem]]:
    """Write a new set inside the caller's transaction, with its usual parts where a site is given. Raises BadValue."""
    empty = LineSet(clean_number(described.number), house, "", 0, described.kind, 0)
    line_set = replace(_checked(empty, described), id=clock.new_id())
    _refuse_twice(db, line_set)
    parts, lives = parts_of_set(line_set, site, clock.new_id) if site else ((), ())
    add_line_sets(db, [line_set])
    return line_set, [item("line_set", line_set.id, content_of(line_set)), *_add_parts(db, house, parts, lives)]


def _add_parts(db: Database, house: str, parts: Sequence[Part], lives: Sequence[Life]) -> list[JournalItem]:
    for part in parts:
        _refuse_tag_twice(db, house, part)
    add_parts(db, parts)
    add_lives(db, lives)
    return [item("part", part.id, content_of(part)) for part in parts]


def move_line_set(
    db: Database, at: datetime, actor: str, before: LineSet, described: Described, site: Site
) -> tuple[LineSet, list[JournalItem]]:
    """Change a set and let its parts follow, inside the caller's transaction. Raises BadValue, Conflict."""
    if before.retired_on is not None:
        raise Conflict(f"Set {before.number} was retired on {before.retired_on}. Give the new set another number.")
    changed = _checked(before, described)
    _refuse_twice(db, changed)
    set_line_set(db, changed)
    items = [item("line_set", changed.id, content_of(changed))]
    parts = list_parts(db, changed.house, line_set=changed.id)
    old = {part.id: part for part in parts}
    for part in moved_parts(before, changed, parts, site):
        was = old[part.id]
        if part.tag != was.tag:
            _refuse_tag_twice(db, changed.house, part)
            add_part_change(db, clock.new_id(), Change(part.id, None, "tag", was.tag, part.tag), at, actor)
        if place_words(part) != place_words(was):
            change = Change(part.id, None, "place", place_words(was), place_words(part))
            add_part_change(db, clock.new_id(), change, at, actor)
        set_part(db, part)
        items.append(item("part", part.id, content_of(part)))
    return changed, items


def place_words(part: Part) -> str:
    """Where a part is, as the record of a change keeps it."""
    return f"x {part.x_mm}, y {part.y_mm}, z {part.z_mm} mm"


def _refuse_twice(db: Database, line_set: LineSet) -> None:
    for other in list_line_sets(db, line_set.house, retired=True):
        if other.id != line_set.id and other.number.casefold() == line_set.number.casefold():
            retired = f", retired on {other.retired_on}" if other.retired_on else ""
            raise BadValue(f"There is a set {other.number} already{retired}. Each number is used once.", "number")


def _refuse_tag_twice(db: Database, house: str, part: Part) -> None:
    other = find_part_by_tag(db, house, part.tag)
    if other is not None and other.id != part.id:
        retired = f" (retired on {other.retired_on})" if other.retired_on else ""
        raise Conflict(f"The tag {part.tag} belongs to another part already{retired}. Each tag is used once.")
