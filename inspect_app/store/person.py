"""People and their accounts."""

from datetime import datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.person import Person


class Account(NamedTuple):
    """What someone signs in with. `hash` is an argon2id text."""

    id: str
    person: Person
    username: str
    hash: str
    disabled: bool


_ACCOUNT = (
    "SELECT a.id, p.id, p.name, p.credential, a.username, a.hash, a.disabled_at IS NOT NULL "
    "FROM account a JOIN person p ON p.id = a.person"
)


def _to_account(row: tuple[bytes, bytes, str, str, str, str, int]) -> Account:
    return Account(from_key(row[0]), Person(from_key(row[1]), row[2], row[3]), row[4], row[5], bool(row[6]))


def get_person(db: Database, person: str) -> Person | None:
    """A person by id."""
    row = db.execute("SELECT name, credential FROM person WHERE id = ?", (to_key(person),)).fetchone()
    return Person(person, *row) if row else None


def add_person(db: Database, person: Person, salt: bytes) -> None:
    """Add a person; `salt` (16 random bytes) keeps a digest of the name from being guessed."""
    db.execute(
        "INSERT INTO person(id, name, credential, salt) VALUES (?,?,?,?)",
        (to_key(person.id), person.name, person.credential, salt),
    )


def set_person(db: Database, person: Person) -> None:
    """Change a person's name and credential."""
    db.execute(
        "UPDATE person SET name = ?, credential = ? WHERE id = ?", (person.name, person.credential, to_key(person.id))
    )


def find_account(db: Database, username: str) -> Account | None:
    """An account by its user name, upper or lower case."""
    row = db.execute(f"{_ACCOUNT} WHERE a.username = ?", (username,)).fetchone()
    return _to_account(row) if row else None


def get_account(db: Database, account: str) -> Account | None:
    """An account by its id."""
    row = db.execute(f"{_ACCOUNT} WHERE a.id = ?", (to_key(account),)).fetchone()
    return _to_account(row) if row else None


def get_account_of(db: Database, person: str) -> Account | None:
    """The account of a person, if they have one."""
    row = db.execute(f"{_ACCOUNT} WHERE a.person = ?", (to_key(person),)).fetchone()
    return _to_account(row) if row else None


def list_accounts(db: Database) -> list[Account]:
    """All accounts by user name."""
    return [_to_account(row) for row in db.execute(f"{_ACCOUNT} ORDER BY a.username").fetchall()]


def count_accounts(db: Database) -> int:
    """How many accounts there are."""
    return int(db.execute("SELECT count(*) FROM account").fetchone()[0])


def add_account(db: Database, account: str, person: str, username: str, hash_text: str, at: datetime) -> None:
    """Give a person an account."""
    db.execute(
        "INSERT INTO account(id, person, username, hash, created_at) VALUES (?,?,?,?,?)",
        (to_key(account), to_key(person), username, hash_text, at.isoformat(timespec="milliseconds")),
    )


def set_hash(db: Database, account: str, hash_text: str) -> None:
    """Replace an account's password hash."""
    db.execute("UPDATE account SET hash = ? WHERE id = ?", (hash_text, to_key(account)))


def set_disabled(db: Database, account: str, at: datetime | None) -> None:
    """Close an account from this moment, or open it again (None)."""
    stamp = at.isoformat(timespec="milliseconds") if at else None
    db.execute("UPDATE account SET disabled_at = ? WHERE id = ?", (stamp, to_key(account)))
