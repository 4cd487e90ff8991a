"""Pairing a phone by a short-lived code, which stands for the person who had it made while signed in."""

import secrets
from datetime import datetime, timedelta
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.actions.account import use_code
from inspect_app.actions.device import Paired, pair_device
from inspect_app.actions.session import hash_token
from inspect_app.actions.throttle import forget_tries, take_try
from inspect_app.domain.errors import BadValue
from inspect_app.domain.one_time_code import PAIRING_LENGTH, code_text, read_code
from inspect_app.domain.person import Person
from inspect_app.domain.role import allows
from inspect_app.store.db import write_transaction
from inspect_app.store.journal import append_journal, item
from inspect_app.store.membership import get_membership
from inspect_app.store.one_time_code import add_code, find_code
from inspect_app.store.person import get_account_of

PURPOSE = "pair"
PAIRING_LASTS = timedelta(minutes=10)


class PairedByCode(NamedTuple):
    """A pairing and whom and which house it is for."""

    paired: Paired
    person: Person
    house: str


def make_pairing_code(db: Database, *, at: datetime, actor: str, house: str) -> str:
    """A code with which one phone can be paired with the acting person in a house; one made before ends.

    Only its digest is kept.
    """
    code = code_text(secrets.randbits(5 * PAIRING_LENGTH), PAIRING_LENGTH)
    with write_transaction(db):
        add_code(db, hash_token(code), PURPOSE, at + PAIRING_LASTS, house, actor)
        items = [item("person", actor, PURPOSE)]
        append_journal(db, at=at, actor=actor, action="device.code", house=house, items=items)
    return code


def pair_by_code(db: Database, *, at: datetime, typed: str, label: str, source: str, device: str = "") -> PairedByCode:
    """Pair the device that a code was typed on; the code is used up with it.

    Raises BadValue (a code that is wrong, used or too old; a name that will not do) and TooManyTries.
    """
    take_try(db, at, f"code {source}", source)
    found = find_code(db, hash_token(read_code(typed, PAIRING_LENGTH)), at)
    account = get_account_of(db, found.person) if found is not None and found.purpose == PURPOSE else None
    standing = get_membership(db, found.house, found.person) if found is not None and account is not None else None
    if found is None or account is None or account.disabled or not standing or not allows("device.pair", standing[1]):
        raise BadValue("This code is not known, was used before, or is older than ten minutes. Make a new one.", "code")
    forget_tries(db, f"code {source}")
    with write_transaction(db):
        use_code(db, found, at)
        paired = pair_device(db, at=at, actor=found.person, house=found.house, label=label, device=device)
    return PairedByCode(paired, account.person, found.house)
