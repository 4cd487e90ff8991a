"""What the store knows of the things that an entry names, looked up for the check of one entry."""

from datetime import date

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.role import Role
from inspect_app.domain.walk import WalkState

_SCOPE_TABLES = {"line_set": "line_set", "area": "area", "part": "part"}


def find_part_named(db: Database, house: str, part: str) -> Part | None:
    """The part of the house with this id, retired or not."""
    row = db.execute(
        "SELECT area, kind, tag, line_set, line, retired_on FROM part WHERE id = ? AND house = ?",
        (to_key(part), to_key(house)),
    ).fetchone()
    if row is None:
        return None
    area, kind, tag, line_set, line, retired = row
    retired_on = date.fromisoformat(retired) if retired else None
    on_set = from_key(line_set) if line_set else None
    return Part(part, house, from_key(area), PartKind(kind), tag, on_set, line, retired_on=retired_on)


def is_life_of(db: Database, part: str, life: str) -> bool:
    """Whether the life is one that the part has or had."""
    row = db.execute("SELECT 1 FROM part_life WHERE id = ? AND part = ?", (to_key(life), to_key(part))).fetchone()
    return row is not None


def is_scope_of(db: Database, house: str, scope: str, thing: str) -> bool:
    """Whether a line_set, area or part (`scope` says which) with this id is in the house."""
    table = _SCOPE_TABLES[scope]
    row = db.execute(f"SELECT 1 FROM {table} WHERE id = ? AND house = ?", (to_key(thing), to_key(house))).fetchone()
    return row is not None


def find_roles(db: Database, house: str, person: str) -> frozenset[Role] | None:
    """The roles a person holds in the house now; None for a person nobody knows."""
    if db.execute("SELECT 1 FROM person WHERE id = ?", (to_key(person),)).fetchone() is None:
        return None
    rows = db.execute(
        "SELECT role FROM membership WHERE house = ? AND person = ? AND ended_at IS NULL",
        (to_key(house), to_key(person)),
    )
    return frozenset(Role(role) for (role,) in rows.fetchall())


def find_device_owner(db: Database, house: str, device: str) -> str | None:
    """The person whom a device of the house is paired with, also when it has been revoked since."""
    row = db.execute("SELECT person FROM device WHERE id = ? AND house = ?", (to_key(device), to_key(house))).fetchone()
    return from_key(row[0]) if row else None


def find_walk_state(db: Database, walk: str) -> tuple[str, WalkState] | None:
    """(house, state) of a walk, or None while its opening has not arrived."""
    row = db.execute("SELECT house, state FROM walk WHERE id = ?", (to_key(walk),)).fetchone()
    return (from_key(row[0]), WalkState(row[1])) if row else None


def is_sequence_taken(db: Database, device: str, seq: int) -> bool:
    """Whether another entry of the device bears this number."""
    row = db.execute("SELECT 1 FROM entry WHERE device = ? AND seq = ?", (to_key(device), seq)).fetchone()
    return row is not None
