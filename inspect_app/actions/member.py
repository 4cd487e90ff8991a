"""The first account with its house, and who belongs to a house: invitations, roles, ends."""

import json
from collections.abc import Iterable
from datetime import datetime
from zoneinfo import available_timezones

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.account import (
    INVITE_LASTS,
    check_new_password,
    clean_name,
    clean_username,
    insert_account,
    insert_person,
    make_code,
    take_code,
    use_code,
)
from inspect_app.actions.password import hash_password
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.house import House
from inspect_app.domain.person import Member, Person
from inspect_app.domain.role import Role
from inspect_app.store.db import write_transaction
from inspect_app.store.house import add_house
from inspect_app.store.journal import append_journal, item
from inspect_app.store.membership import (
    count_administrators,
    get_member,
    get_membership,
    list_houses_of,
    set_roles,
)
from inspect_app.store.one_time_code import end_codes
from inspect_app.store.person import count_accounts, get_account_of, set_disabled
from inspect_app.store.session import end_sessions


def set_up(
    db: Database,
    *,
    at: datetime,
    code: str,
    source: str,
    house_name: str,
    tz: str,
    units: str,
    name: str,
    username: str,
    password: str,
    roles: Iterable[Role],
) -> House:
    """Make the first house and the first account, its administrator, with the code from the server's console.

    Raises BadValue, TooManyTries, and Conflict when there is an account already.
    """
    if count_accounts(db):
        raise Conflict("This installation has been set up already. Sign in.")
    found = take_code(db, at=at, typed=code, source=source, purposes=frozenset({"setup"}))
    house = House(clock.new_id(), clean_name(house_name, "house_name"), _known_zone(tz), _known_units(units))
    username = clean_username(username)
    check_new_password(password, username, name, house.name)
    hash_text = hash_password(password)
    with write_transaction(db):
        if count_accounts(db):
            raise Conflict("This installation has been set up already. Sign in.")
        use_code(db, found, at)
        person = insert_person(db, name)
        insert_account(db, at, person.id, username, hash_text)
        add_house(db, house, at)
        held = frozenset(roles) | {Role.ADMIN}
        set_roles(db, house.id, person.id, held, at)
        _journal(db, at, person.id, "house.set_up", house.id, person.id, held)
    return house


def _known_zone(tz: str) -> str:
    if tz not in available_timezones():
        raise BadValue("Choose a time zone such as America/Chicago or Europe/London.", "tz")
    return tz


def _known_units(units: str) -> str:
    if units not in ("imperial", "metric"):
        raise BadValue("Choose feet and inches, or metres.", "units")
    return units


def _journal(
    db: Database, at: datetime, actor: str, action: str, house: str, person: str, roles: Iterable[Role]
) -> None:
    content = json.dumps(sorted(role.value for role in roles))
    append_journal(db, at=at, actor=actor, action=action, house=house, items=[item("membership", person, content)])


def invite(
    db: Database, *, at: datetime, actor: str, house: str, name: str, credential: str, roles: Iterable[Role]
) -> tuple[Person, str]:
    """Add a person to the house and make the code with which they choose user name and password. Raises BadValue."""
    held = frozenset(roles)
    if not held:
        raise BadValue("Choose at least one role.", "roles")
    with write_transaction(db):
        person = insert_person(db, name, credential)
        set_roles(db, house, person.id, held, at)
        code = make_code(db, at, "invite", INVITE_LASTS, house, person.id)
        _journal(db, at, actor, "member.invite", house, person.id, held)
    return person, code


def join_by_code(db: Database, *, at: datetime, actor: str, typed: str, source: str) -> str:
    """Someone who has an account uses an invitation for themselves: its roles become theirs. Returns the house's id.

    Raises BadValue and TooManyTries.
    """
    code = take_code(db, at=at, typed=typed, source=source, purposes=frozenset({"invite"}))
    invited = get_member(db, code.house, code.person)
    if invited is None or not invited.roles or invited.username:
        raise BadValue("This invitation was withdrawn. Ask for a new code.", "code")
    present = get_membership(db, code.house, actor)
    held = invited.roles | (present[1] if present else frozenset())
    with write_transaction(db):
        use_code(db, code, at)
        set_roles(db, code.house, invited.person.id, frozenset(), at)
        set_roles(db, code.house, actor, held, at)
        _journal(db, at, actor, "member.join", code.house, actor, held)
    return code.house


def change_roles(db: Database, *, at: datetime, actor: str, house: str, person: str, roles: Iterable[Role]) -> None:
    """Set a member's roles; none ends the membership. Raises NotFound, and Conflict for the last administrator."""
    member, held = _member(db, house, person), frozenset(roles)
    with write_transaction(db):
        set_roles(db, house, person, held, at)
        if not held:
            end_codes(db, person)
        _refuse_no_administrator(db, house)
        _journal(db, at, actor, "member.roles" if held else "member.end", house, member.person.id, held)


def change_account(db: Database, *, at: datetime, actor: str, house: str, person: str, closed: bool) -> None:
    """An administrator of the house closes or opens a member's account.

    Raises NotFound, and Conflict for the last administrator or for someone who belongs to other houses as well.
    """
    _member(db, house, person)
    _refuse_other_houses(db, actor, person)
    set_account_closed(db, at=at, actor=actor, person=person, closed=closed)


def set_account_closed(db: Database, *, at: datetime, actor: str, person: str, closed: bool) -> None:
    """Close or open an account; closing ends its sessions and codes at once.

    Raises Conflict when there is no account, or a house would be left without an administrator.
    """
    account = get_account_of(db, person)
    if account is None:
        raise Conflict("This person has no account yet. End the membership to withdraw the invitation.")
    with write_transaction(db):
        set_disabled(db, account.id, at if closed else None)
        if closed:
            end_sessions(db, account.id, at)
            end_codes(db, person)
        for house, roles in list_houses_of(db, person):
            if Role.ADMIN in roles:
                _refuse_no_administrator(db, house.id)
        action = "account.close" if closed else "account.open"
        append_journal(db, at=at, actor=actor, action=action, items=[item("account", account.id, action)])


def renew_code(db: Database, *, at: datetime, actor: str, house: str, person: str) -> str:
    """A new one-time code for a member: to accept the invitation, or to set a forgotten password anew.

    Raises NotFound, and Conflict for someone who belongs to other houses as well.
    """
    member = _member(db, house, person)
    if not member.roles:
        raise Conflict("This person is no member any more. Set their roles first.")
    _refuse_other_houses(db, actor, person)
    if member.username:
        return make_reset_code(db, at=at, actor=actor, person=person)
    with write_transaction(db):
        code = make_code(db, at, "invite", INVITE_LASTS, house, person)
        append_journal(db, at=at, actor=actor, action="member.code", house=house, items=[item("person", person, "")])
    return code


def make_reset_code(db: Database, *, at: datetime, actor: str, person: str) -> str:
    """A one-time code for setting a new password."""
    with write_transaction(db):
        code = make_code(db, at, "reset", INVITE_LASTS, person=person)
        append_journal(db, at=at, actor=actor, action="account.code", items=[item("person", person, "reset")])
    return code


def _member(db: Database, house: str, person: str) -> Member:
    member = get_member(db, house, person)
    if member is None:
        raise NotFound("There is no such person in this house.")
    return member


def _refuse_other_houses(db: Database, actor: str, person: str) -> None:
    """An account opens every house of its person, so only someone who administers all of them may reach for it."""
    own = {house.id for house, roles in list_houses_of(db, actor) if Role.ADMIN in roles}
    if any(house.id not in own for house, _ in list_houses_of(db, person)):
        raise Conflict("This person belongs to a house that you do not administer. You may end the membership here.")


def _refuse_no_administrator(db: Database, house: str) -> None:
    if count_administrators(db, house) == 0:
        raise Conflict("A house needs one administrator with an open account. Give the role to somebody else first.")
