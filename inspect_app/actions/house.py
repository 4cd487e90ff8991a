"""Making and describing a house: itself, its areas, its line names, and its whole inventory from a few answers."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, replace
from datetime import date, datetime, timedelta
from zoneinfo import available_timezones

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.account import clean_name
from inspect_app.domain.errors import BadValue, Conflict
from inspect_app.domain.generator import generate
from inspect_app.domain.house import KEEP_ORIGINALS, Area, AreaKind, House, Inventory, LineSet
from inspect_app.domain.house_answers import Answers
from inspect_app.domain.journal import JournalItem
from inspect_app.domain.line_names import PRESET_TITLES, SETTING, check_names
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.role import Role
from inspect_app.store.db import write_transaction
from inspect_app.store.house import (
    add_areas,
    add_house,
    add_line_sets,
    get_area,
    get_house,
    list_areas,
    list_line_sets,
    set_area,
    set_house,
)
from inspect_app.store.journal import append_journal, item
from inspect_app.store.membership import set_roles
from inspect_app.store.part import add_lives, add_parts, list_parts

HIGHEST_MM = 60_000
LONGEST_DATUM = 60


def create_house(
    db: Database,
    *,
    at: datetime,
    actor: str,
    name: str,
    tz: str,
    units: str,
    datum: str = "plaster line",
    demo: bool = False,
    keeper: str | None = None,
) -> House:
    """Make an empty house; `keeper`, or else whoever makes it, is its administrator and technical director.

    The actor `system` without a keeper makes a house without members. Raises BadValue.
    """
    house = _checked(House(clock.new_id(), name, tz, units, datum, demo))
    with write_transaction(db):
        add_house(db, house, at)
        keeper = keeper or (actor if actor != "system" else None)
        if keeper is not None:
            set_roles(db, house.id, keeper, frozenset({Role.ADMIN, Role.TD}), at)
        _journal(db, at, actor, "house.create", house.id, [item("house", house.id, content_of(house))])
    return house


def change_house(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    name: str,
    tz: str,
    units: str,
    datum: str,
    keep_originals: bool | None = None,
) -> House:
    """Change a house's name, time zone, units shown first, datum, and whether originals of photos are kept (None leaves
    that as it is). Raises BadValue, NotFound."""
    before = get_house(db, house)
    settings = {key: value for key, value in before.settings.items() if key != KEEP_ORIGINALS}
    if before.keep_originals if keep_originals is None else keep_originals:
        settings[KEEP_ORIGINALS] = "yes"
    changed = _checked(replace(before, name=name, tz=tz, units=units, datum=datum, settings=settings))
    with write_transaction(db):
        set_house(db, changed)
        _journal(db, at, actor, "house.change", house, [item("house", house, content_of(changed))])
    return changed


def name_lines(
    db: Database, *, at: datetime, actor: str, house: str, preset: str, own: Mapping[int, Sequence[str]]
) -> House:
    """Choose the preset of line names and the house's own names for some counts of lines. Raises BadValue, NotFound."""
    if preset not in PRESET_TITLES:
        raise BadValue(f"Choose one of: {', '.join(PRESET_TITLES.values())}.", "preset")
    names = {count: check_names(count, given) for count, given in sorted(own.items())}
    before = get_house(db, house)
    changed = replace(before, line_names=names, settings={**before.settings, SETTING: preset})
    with write_transaction(db):
        set_house(db, changed)
        _journal(db, at, actor, "house.line_names", house, [item("house", house, content_of(changed))])
    return changed


def generate_house(db: Database, *, at: datetime, actor: str, house: str, answers: Answers) -> Inventory:
    """Make the whole inventory of an empty house from answers. Raises BadValue, NotFound, Conflict."""
    inventory = generate(get_house(db, house), answers, clock.new_id)
    fill_house(db, at=at, actor=actor, inventory=inventory, action="house.generate")
    return inventory


def fill_house(db: Database, *, at: datetime, actor: str, inventory: Inventory, action: str = "house.fill") -> None:
    """Write an inventory made in memory into a house that has no line sets and no parts yet. Raises Conflict."""
    house = inventory.house.id
    with write_transaction(db):
        if list_line_sets(db, house, retired=True) or list_parts(db, house, retired=True):
            raise Conflict(
                "This house has line sets or parts already, so it is not generated again. Add sets one by one, "
                "or import a line-set schedule."
            )
        add_areas(db, inventory.areas)
        add_line_sets(db, inventory.line_sets)
        add_parts(db, _wells_first(inventory))
        add_lives(db, inventory.lives.values())
        items = [item("area", area.id, content_of(area)) for area in inventory.areas]
        items += [item("line_set", line_set.id, content_of(line_set)) for line_set in inventory.line_sets]
        items.append(item("part", house, [content_of(part) for part in inventory.parts]))
        items.append(item("part_life", house, [content_of(life) for life in inventory.lives.values()]))
        _journal(db, at, actor, action, house, items)


def add_area(db: Database, *, at: datetime, actor: str, house: str, kind: AreaKind, name: str, z_mm: int) -> Area:
    """Add an area to a house. Raises BadValue."""
    area = _checked_area(Area(clock.new_id(), get_house(db, house).id, kind, name, z_mm), list_areas(db, house))
    with write_transaction(db):
        add_areas(db, [area])
        _journal(db, at, actor, "area.add", house, [item("area", area.id, content_of(area))])
    return area


def change_area(
    db: Database, *, at: datetime, actor: str, house: str, area: str, kind: AreaKind, name: str, z_mm: int
) -> Area:
    """Change an area's kind, name and height. Raises BadValue, NotFound."""
    before = get_area(db, house, area)
    changed = _checked_area(replace(before, kind=kind, name=name, z_mm=z_mm), list_areas(db, house))
    with write_transaction(db):
        set_area(db, changed)
        _journal(db, at, actor, "area.change", house, [item("area", area, content_of(changed))])
    return changed


def retire_area(db: Database, *, at: datetime, actor: str, house: str, area: str, on: date) -> None:
    """Retire an area that holds no present part. Raises NotFound, Conflict."""
    before = get_area(db, house, area)
    with write_transaction(db):
        held = list_parts(db, house, area=area)
        if held:
            raise Conflict(
                f"{before.name} still holds {len(held)} parts, the first is {held[0].tag}. Move or retire them first."
            )
        changed = replace(before, retired_on=on)
        set_area(db, changed)
        _journal(db, at, actor, "area.retire", house, [item("area", area, content_of(changed))])


def _checked(house: House) -> House:
    name, datum = clean_name(house.name, "name"), " ".join(house.datum.split())
    if house.tz not in available_timezones():
        raise BadValue("Choose a time zone such as America/Chicago or Europe/London.", "tz")
    if house.units not in ("imperial", "metric"):
        raise BadValue("Choose feet and inches, or metres.", "units")
    if not datum or len(datum) > LONGEST_DATUM:
        raise BadValue(f"Name what distances are measured from, in up to {LONGEST_DATUM} characters.", "datum")
    return replace(house, name=name, datum=datum)


def _checked_area(area: Area, others: Iterable[Area]) -> Area:
    name = clean_name(area.name, "name")
    if any(other.id != area.id and other.name.casefold() == name.casefold() for other in others):
        raise BadValue(f"There is an area named {name} already. Tell the two apart by their names.", "name")
    if not -HIGHEST_MM <= area.z_mm <= HIGHEST_MM:
        raise BadValue("That is more than 60 m from the deck; check the unit.", "z_mm")
    return replace(area, name=name)


def _wells_first(inventory: Inventory) -> list[Part]:
    return sorted(inventory.parts, key=lambda part: part.kind is not PartKind.WELL)


def content_of(value: House | Area | LineSet | Part | Life) -> list[str]:
    """A row of the inventory as the journal digests it."""
    return [str(getattr(value, one.name)) for one in fields(value)]


def latest_day(at: datetime) -> date:
    """The latest date that it can be anywhere at this moment: a house may be up to 14 hours ahead of UTC."""
    return (at + timedelta(hours=14)).date()


def _journal(db: Database, at: datetime, actor: str, action: str, house: str, items: Iterable[JournalItem]) -> None:
    append_journal(db, at=at, actor=actor, action=action, house=house, items=items)
