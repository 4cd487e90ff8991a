"""The people of the demonstration house: made-up names, one account for each role, passwords new at every build."""

import os
import secrets
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlite_utils import Database

from inspect_app.actions.account import insert_account, insert_person
from inspect_app.actions.password import hash_password
from inspect_app.domain.person import Person
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.store.db import write_transaction
from inspect_app.store.journal import append_journal, item
from inspect_app.store.membership import set_roles

ACCOUNTS_FILE = "accounts.txt"
_ONSETS, _VOWELS = "bdfgklmnprstvz", "aeiou"


@dataclass(frozen=True, slots=True)
class Player:
    """Whom somebody plays in the demonstration: key, name, credential as printed, user name and roles."""

    key: str
    name: str
    credential: str
    username: str
    roles: frozenset[Role]


CAST = (
    Player("td", "Wren Halloway", "Technical director", "wren", frozenset({Role.TD})),
    Player("manager", "Odile Marchbanks", "", "odile", frozenset({Role.MANAGER})),
    Player(
        "inspector",
        "Tobias Quennell",
        "Rigging inspector, invented papers no. 0000",
        "tobias",
        frozenset({Role.INSPECTOR}),
    ),
    Player("helper", "Juniper Ashdown", "", "juniper", frozenset({Role.HELPER})),
    Player("admin", "Petra Vossler", "Assistant technical director", "petra", frozenset({Role.ADMIN, Role.TD})),
)


@dataclass(frozen=True, slots=True)
class DemoAccount:
    """What is printed once and kept in the demo's own accounts.txt."""

    username: str
    password: str
    name: str
    roles: str


def new_password() -> str:
    """Eight syllables and four digits that nobody chose: about 62 bits."""
    groups = ("".join(secrets.choice(_ONSETS) + secrets.choice(_VOWELS) for _ in range(2)) for _ in range(4))
    return "-".join(groups) + f"-{secrets.randbelow(10_000):04}"


def add_people(db: Database, *, at: datetime, house: str) -> tuple[dict[str, Person], list[DemoAccount]]:
    """Add everybody with an account and the roles of `house`; returns people by key and the accounts to print."""
    people: dict[str, Person] = {}
    accounts = []
    for part in CAST:
        password = new_password()
        hash_text = hash_password(password)
        with write_transaction(db):
            person = insert_person(db, part.name, part.credential)
            insert_account(db, at, person.id, part.username, hash_text)
            set_roles(db, house, person.id, part.roles, at)
            content = sorted(role.value for role in part.roles)
            append_journal(
                db,
                at=at,
                actor="system",
                action="member.add",
                house=house,
                items=[item("membership", person.id, content)],
            )
        people[part.key] = person
        roles = ", ".join(ROLE_TITLES[role] for role in Role if role in part.roles)
        accounts.append(DemoAccount(part.username, password, part.name, roles))
    return people, accounts


def write_accounts(data: Path, accounts: list[DemoAccount]) -> Path:
    """Keep the accounts in a file that only its owner can read."""
    path = data / ACCOUNTS_FILE
    path.unlink(missing_ok=True)
    fd = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(fd, "w", encoding="utf-8") as file:
        file.write("Accounts of the demonstration, invented house. Made anew with every fresh build.\n\n")
        file.writelines(f"{line}\n" for line in account_lines(accounts))
    return path


def account_lines(accounts: list[DemoAccount]) -> Iterator[str]:
    """The accounts as an aligned table."""
    for account in accounts:
        yield f"  {account.username:<9} {account.password}   {account.name}, {account.roles}"


def read_accounts(data: Path) -> list[str]:
    """The lines of the kept accounts, or none when the file is gone."""
    path = data / ACCOUNTS_FILE
    if not path.is_file():
        return []
    return [line for line in path.read_text(encoding="utf-8").splitlines() if line.startswith("  ")]
