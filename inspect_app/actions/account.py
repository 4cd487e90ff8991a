"""Signing in and out, the first account, one-time codes, and changes of one's own account."""

import secrets
from datetime import datetime, timedelta
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.password import check_password, hash_password, is_outdated
from inspect_app.actions.session import hash_token
from inspect_app.actions.throttle import forget_tries, take_try
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.one_time_code import code_text, read_code
from inspect_app.domain.password import password_problem
from inspect_app.domain.person import Person
from inspect_app.store.db import write_transaction
from inspect_app.store.device import Device, end_device, list_devices
from inspect_app.store.journal import append_journal, item
from inspect_app.store.one_time_code import OneTimeCode, add_code, find_code, set_used
from inspect_app.store.person import (
    Account,
    add_account,
    add_person,
    count_accounts,
    find_account,
    get_account,
    get_account_of,
    get_person,
    set_hash,
    set_person,
)
from inspect_app.store.session import add_session, delete_old_sessions, end_session, end_sessions

SETUP_CODE_LASTS = timedelta(minutes=30)
INVITE_LASTS = timedelta(days=7)
_NAME_LENGTH = 120
_SESSIONS_KNOWN = timedelta(days=30)  # after they ran out


class SignIn(NamedTuple):
    """A fresh session: the token for the cookie and the account it belongs to."""

    token: str
    account: Account


def sign_in(
    db: Database, *, at: datetime, username: str, password: str, source: str, label: str, known: bool = False
) -> SignIn:
    """Check a password and start a session. `known`: the browser has signed in to this account before.

    Raises BadValue (the same for every reason) and TooManyTries.
    """
    name = username.strip()[:_NAME_LENGTH].casefold()
    counter = f"{'known' if known else 'name'} {name}"
    take_try(db, at, counter, source)
    account = find_account(db, name)
    usable = account is not None and not account.disabled
    right = check_password(account.hash if account and usable else None, password)
    if account is None or not right:
        raise BadValue("User name and password do not belong together, or the account is closed.", "password")
    forget_tries(db, counter)
    return SignIn(_start_session(db, at, account, label, password), account)


def _start_session(db: Database, at: datetime, account: Account, label: str, password: str = "") -> str:
    token = secrets.token_urlsafe(32)
    fresh = hash_password(password) if password and is_outdated(account.hash) else ""
    with write_transaction(db):
        if fresh:
            set_hash(db, account.id, fresh)
        delete_old_sessions(db, at - _SESSIONS_KNOWN)
        add_session(db, hash_token(token), account.id, label[:_NAME_LENGTH], at)
        append_journal(db, at=at, actor=account.person.id, action="account.sign_in")
    return token


def sign_out(db: Database, *, at: datetime, actor: str, account: str, token_hash: bytes) -> bool:
    """End one session of one's own; False when there was none."""
    with write_transaction(db):
        ended = end_session(db, token_hash, account, at)
        if ended:
            append_journal(db, at=at, actor=actor, action="account.sign_out")
    return ended


def sign_out_elsewhere(db: Database, *, at: datetime, actor: str, account: str, keep: bytes) -> None:
    """End every session of the account but this one."""
    with write_transaction(db):
        end_sessions(db, account, at, keep)
        append_journal(db, at=at, actor=actor, action="account.sign_out_elsewhere")


def change_password(
    db: Database, *, at: datetime, account: Account, old: str, new: str, source: str, keep: bytes
) -> None:
    """Change one's own password, knowing the old one; all other sessions end. Raises BadValue and TooManyTries."""
    take_try(db, at, f"own {account.id}", source)
    if not check_password(account.hash, old):
        raise BadValue("This is not your present password.", "old")
    forget_tries(db, f"own {account.id}")
    check_new_password(new, account.username, account.person.name)
    hash_text = hash_password(new)
    with write_transaction(db):
        set_hash(db, account.id, hash_text)
        end_sessions(db, account.id, at, keep)
        append_journal(db, at=at, actor=account.person.id, action="account.password")


def change_details(db: Database, *, at: datetime, actor: str, name: str, credential: str) -> None:
    """Change one's own name and credential as they will be printed from now on. Raises BadValue."""
    person = Person(actor, clean_name(name, "name"), credential.strip()[:200])
    with write_transaction(db):
        set_person(db, person)
        append_journal(
            db,
            at=at,
            actor=actor,
            action="person.change",
            items=[item("person", actor, [person.name, person.credential])],
        )


def revoke_device(db: Database, *, at: datetime, actor: str, device: str, house: str = "", person: str = "") -> Device:
    """Withdraw the pairing of a device of this person or this house and return it. Raises NotFound."""
    found = next((one for one in list_devices(db, house, person) if one.id == device), None)
    if found is None:
        raise NotFound("There is no such device.")
    with write_transaction(db):
        end_device(db, device, at)
        append_journal(
            db, at=at, actor=actor, action="device.revoke", house=found.house, items=[item("device", device, "revoked")]
        )
    return found


def make_code(db: Database, at: datetime, purpose: str, lasts: timedelta, house: str = "", person: str = "") -> str:
    """A new one-time code; only its digest is kept. Runs inside the caller's transaction or its own."""
    code = code_text(secrets.randbits(100))
    with write_transaction(db):
        add_code(db, hash_token(code), purpose, at + lasts, house, person)
    return code


def make_setup_code(db: Database, *, at: datetime) -> str:
    """The code for making the first account; '' once there is an account."""
    return "" if count_accounts(db) else make_code(db, at, "setup", SETUP_CODE_LASTS)


def take_code(db: Database, *, at: datetime, typed: str, source: str, purposes: frozenset[str]) -> OneTimeCode:
    """A code that can still be used. Raises BadValue and TooManyTries."""
    take_try(db, at, f"code {source}", source)
    found = find_code(db, hash_token(read_code(typed)), at)
    if found is None or found.purpose not in purposes:
        raise BadValue("This code is not known, was used before, or is too old. Ask for a new one.", "code")
    forget_tries(db, f"code {source}")
    return found


def accept_code(
    db: Database, *, at: datetime, typed: str, username: str, password: str, source: str, label: str
) -> SignIn:
    """Make the account of an invitation, or set a new password for one that has an account; then sign in.

    Raises BadValue, Conflict (the user name is taken) and TooManyTries.
    """
    code = take_code(db, at=at, typed=typed, source=source, purposes=frozenset({"invite", "reset"}))
    person = get_person(db, code.person)
    if person is None:
        raise BadValue("This code belongs to nobody. Ask for a new one.", "code")
    present = get_account_of(db, person.id)
    username = present.username if present else clean_username(username)
    check_new_password(password, username, person.name)
    hash_text = hash_password(password)
    with write_transaction(db):
        use_code(db, code, at)
        if present:
            set_hash(db, present.id, hash_text)
            end_sessions(db, present.id, at)
        else:
            insert_account(db, at, person.id, username, hash_text)
        action = "account.reset" if present else "account.create"
        append_journal(db, at=at, actor=person.id, action=action, items=[item("account", person.id, username)])
    account = get_account_of(db, person.id)
    if account is None or account.disabled:
        raise Conflict("The account is closed. Ask an administrator of your house.")
    return SignIn(_start_session(db, at, account, label), account)


def use_code(db: Database, code: OneTimeCode, at: datetime) -> None:
    """Use a code up inside the transaction of what it allows. Raises Conflict when somebody else just did."""
    if find_code(db, code.hash, at) is None:
        raise Conflict("This code was just used.")
    set_used(db, code.hash, at)


def insert_account(db: Database, at: datetime, person: str, username: str, hash_text: str) -> str:
    """Add an account inside a transaction. Raises Conflict when the user name is taken."""
    if find_account(db, username) is not None:
        raise Conflict(f"The user name {username} is taken. Choose another.", "username")
    account = clock.new_id()
    add_account(db, account, person, username, hash_text, at)
    return account


def insert_person(db: Database, name: str, credential: str = "") -> Person:
    """Add a person inside a transaction. Raises BadValue on an empty name."""
    person = Person(clock.new_id(), clean_name(name, "name"), credential.strip()[:200])
    add_person(db, person, secrets.token_bytes(16))
    return person


def clean_name(name: str, field: str) -> str:
    """A person's or house's name without blanks at its ends. Raises BadValue when empty, too long or not printable."""
    name = " ".join(name.split())
    if not name or len(name) > _NAME_LENGTH or not name.isprintable():
        raise BadValue(f"Write a name of 1 to {_NAME_LENGTH} characters.", field)
    return name


def clean_username(username: str) -> str:
    """A user name in lower case. Raises BadValue."""
    username = username.strip().casefold()
    good = 2 <= len(username) <= 64 and all(sign.isalnum() or sign in ".-_@+" for sign in username)
    if not good:
        raise BadValue("A user name has 2 to 64 letters, digits or . - _ @ + and no spaces.", "username")
    return username


def check_new_password(password: str, *words: str) -> None:
    """Raises BadValue when the password will not do; `words` are names that it must not be built from."""
    problem = password_problem(password, words)
    if problem:
        raise BadValue(problem, "password")


def get_own_account(db: Database, account: str) -> Account:
    """The signed-in person's account. Raises NotFound."""
    found = get_account(db, account)
    if found is None:
        raise NotFound("There is no such account.")
    return found
