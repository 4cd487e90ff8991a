"""Mail that waits to be sent and mail that was: a message keeps its id and its words from the moment it is queued."""

from datetime import date, datetime
from enum import StrEnum
from typing import Any, NamedTuple

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key


class MailState(StrEnum):
    """Where a message stands. *In doubt*: it was handed over and no answer came, so it is sent again as it is."""

    WAITING = "waiting"
    IN_DOUBT = "in_doubt"
    SENT = "sent"
    REFUSED = "refused"
    DROPPED = "dropped"


class Mail(NamedTuple):
    """One message."""

    id: str
    house: str
    person: str
    day: date
    message_id: str
    address: str
    subject: str
    body: str
    queued_at: datetime
    state: MailState
    tries: int = 0
    last_error: str = ""


class DigestChoice(NamedTuple):
    """A person of a house who asked for the daily digest, and to what address."""

    house: str
    person: str
    address: str


_COLUMNS = (
    "SELECT id, house, person, day, message_id, address, subject, body, queued_at, state, tries, last_error FROM outbox"
)


def queue_mail(db: Database, mail: Mail) -> bool:
    """Keep a message to be sent; False when the person has one of that day already."""
    cursor = db.execute(
        "INSERT INTO outbox(id, house, person, day, message_id, address, subject, body, queued_at, state) "
        "VALUES (?,?,?,?,?,?,?,?,?,'waiting') ON CONFLICT(house, person, day) DO NOTHING",
        (
            to_key(mail.id),
            to_key(mail.house),
            to_key(mail.person),
            mail.day.isoformat(),
            mail.message_id,
            mail.address,
            mail.subject,
            mail.body,
            _stamp(mail.queued_at),
        ),
    )
    return bool(cursor.rowcount)


def list_unsent(db: Database) -> list[Mail]:
    """Everything that waits to be sent, oldest first."""
    rows = db.execute(f"{_COLUMNS} WHERE state IN ('waiting', 'in_doubt') ORDER BY queued_at, id")
    return [_to_mail(row) for row in rows.fetchall()]


def list_mail_of(db: Database, house: str, person: str, most: int = 10) -> list[Mail]:
    """The newest messages to one person of a house."""
    rows = db.execute(
        f"{_COLUMNS} WHERE house = ? AND person = ? ORDER BY queued_at DESC, id DESC LIMIT ?",
        (to_key(house), to_key(person), most),
    )
    return [_to_mail(row) for row in rows.fetchall()]


def set_mail_trying(db: Database, mail: str, at: datetime) -> None:
    """Note that a message is about to be handed over: until its outcome is noted it is in doubt."""
    db.execute(
        "UPDATE outbox SET state = 'in_doubt', tries = tries + 1, last_try = ? WHERE id = ?", (_stamp(at), to_key(mail))
    )


def set_mail_state(db: Database, mail: str, state: MailState, at: datetime, error: str = "") -> None:
    """Note what became of a message that was handed over."""
    db.execute(
        "UPDATE outbox SET state = ?, last_error = ?, sent_at = CASE WHEN ? = 'sent' THEN ? ELSE sent_at END "
        "WHERE id = ?",
        (state.value, error[:300], state.value, _stamp(at), to_key(mail)),
    )


def drop_mail_of(db: Database, house: str, person: str) -> int:
    """Send nothing more that waits for a person of a house; returns how many."""
    cursor = db.execute(
        "UPDATE outbox SET state = 'dropped' WHERE house = ? AND person = ? AND state IN ('waiting', 'in_doubt')",
        (to_key(house), to_key(person)),
    )
    return int(cursor.rowcount)


def drop_mail_of_leavers(db: Database) -> int:
    """Send nothing more to whoever has left the house since, or whose account is closed; returns how many."""
    cursor = db.execute(
        "UPDATE outbox SET state = 'dropped' WHERE state IN ('waiting', 'in_doubt') AND NOT EXISTS (SELECT 1 "
        "FROM membership m JOIN account a ON a.person = m.person WHERE m.house = outbox.house "
        "AND m.person = outbox.person AND m.ended_at IS NULL AND a.disabled_at IS NULL)"
    )
    return int(cursor.rowcount)


def list_digest_choices(db: Database, house: str) -> list[DigestChoice]:
    """Who of a house asked for the digest: members with an account in use."""
    rows = db.execute(
        "SELECT c.house, c.person, c.address FROM digest_choice c WHERE c.house = ? AND c.ended_at IS NULL "
        "AND EXISTS (SELECT 1 FROM membership m JOIN account a ON a.person = m.person WHERE m.house = c.house "
        "AND m.person = c.person AND m.ended_at IS NULL AND a.disabled_at IS NULL) ORDER BY c.person",
        (to_key(house),),
    )
    return [DigestChoice(from_key(house_key), from_key(person), address) for house_key, person, address in rows]


def get_digest_choice(db: Database, house: str, person: str) -> DigestChoice | None:
    """A person's own choice in a house."""
    return next((one for one in list_digest_choices(db, house) if one.person == person), None)


def set_digest_choice(db: Database, choice: DigestChoice, at: datetime) -> None:
    """Send the digest to a person, at this address."""
    db.execute(
        "INSERT INTO digest_choice(house, person, address, at) VALUES (?,?,?,?) ON CONFLICT(house, person) DO UPDATE "
        "SET address = excluded.address, at = excluded.at, ended_at = NULL",
        (to_key(choice.house), to_key(choice.person), choice.address, _stamp(at)),
    )


def end_digest_choice(db: Database, house: str, person: str, at: datetime) -> bool:
    """Send the digest no more; False when none was asked for."""
    cursor = db.execute(
        "UPDATE digest_choice SET ended_at = ? WHERE house = ? AND person = ? AND ended_at IS NULL",
        (_stamp(at), to_key(house), to_key(person)),
    )
    return bool(cursor.rowcount)


def _stamp(at: datetime) -> str:
    return at.isoformat(timespec="milliseconds")


def _to_mail(row: tuple[Any, ...]) -> Mail:
    key, house, person, day, message_id, address, subject, body, queued, state, tries, error = row
    return Mail(
        *(from_key(key), from_key(house), from_key(person), date.fromisoformat(day), message_id, address, subject),
        *(body, datetime.fromisoformat(queued), MailState(state), tries, error),
    )
