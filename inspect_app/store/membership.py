"""Who belongs to which house, in which roles."""

from datetime import datetime

from sqlite_utils import Database

from inspect_app.domain.house import House
from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.person import Member, Person
from inspect_app.domain.role import Role
from inspect_app.store.house import get_house


def get_membership(db: Database, house: str, person: str) -> tuple[House, frozenset[Role]] | None:
    """The house and the person's roles in it now, or None when there is no such house or no membership."""
    rows = db.execute(
        "SELECT role FROM membership WHERE house = ? AND person = ? AND ended_at IS NULL",
        (to_key(house), to_key(person)),
    ).fetchall()
    return (get_house(db, house), frozenset(Role(row[0]) for row in rows)) if rows else None


def list_houses_of(db: Database, person: str) -> list[tuple[House, frozenset[Role]]]:
    """Every house the person belongs to now with the roles there, by name."""
    roles: dict[str, set[Role]] = {}
    for house, role in db.execute(
        "SELECT house, role FROM membership WHERE person = ? AND ended_at IS NULL", (to_key(person),)
    ).fetchall():
        roles.setdefault(from_key(house), set()).add(Role(role))
    found = [(get_house(db, house), frozenset(held)) for house, held in roles.items()]
    return sorted(found, key=lambda one: (one[0].name.casefold(), one[0].id))


def list_members(db: Database, house: str) -> list[Member]:
    """Everyone who belongs or once belonged to the house, by name; roles are those held now."""
    rows = db.execute(
        "SELECT p.id, p.name, p.credential, group_concat(CASE WHEN m.ended_at IS NULL THEN m.role END), "
        "coalesce(a.username, ''), a.disabled_at IS NOT NULL "
        "FROM membership m JOIN person p ON p.id = m.person LEFT JOIN account a ON a.person = p.id "
        "WHERE m.house = ? GROUP BY p.id ORDER BY p.name COLLATE NOCASE, p.id",
        (to_key(house),),
    ).fetchall()
    return [_to_member(row) for row in rows]


def _to_member(row: tuple[bytes, str, str, str | None, str, int]) -> Member:
    roles = frozenset(Role(role) for role in row[3].split(",")) if row[3] else frozenset()
    return Member(Person(from_key(row[0]), row[1], row[2]), roles, row[4], bool(row[5]), not roles)


def get_member(db: Database, house: str, person: str) -> Member | None:
    """One person who belongs or once belonged to the house."""
    wanted = [member for member in list_members(db, house) if member.person.id == person]
    return wanted[0] if wanted else None


def set_roles(db: Database, house: str, person: str, roles: frozenset[Role], at: datetime) -> None:
    """Make `roles` the person's roles in the house: missing ones end now, new ones start now."""
    stamp = at.isoformat(timespec="milliseconds")
    keys = (to_key(house), to_key(person))
    for role in Role:
        if role in roles:
            db.execute(
                "INSERT INTO membership(house, person, role, since) VALUES (?,?,?,?) ON CONFLICT(house, person, role) "
                "DO UPDATE SET since = excluded.since, ended_at = NULL WHERE ended_at IS NOT NULL",
                (*keys, role.value, stamp),
            )
        else:
            db.execute(
                "UPDATE membership SET ended_at = ? WHERE house = ? AND person = ? AND role = ? AND ended_at IS NULL",
                (stamp, *keys, role.value),
            )


def count_administrators(db: Database, house: str) -> int:
    """How many people with an account in use hold the administrator's role in the house."""
    row = db.execute(
        "SELECT count(*) FROM membership m JOIN account a ON a.person = m.person "
        "WHERE m.house = ? AND m.role = ? AND m.ended_at IS NULL AND a.disabled_at IS NULL",
        (to_key(house), Role.ADMIN.value),
    ).fetchone()
    return int(row[0])
