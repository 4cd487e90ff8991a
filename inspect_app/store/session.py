"""Sign-in sessions: a row each, so that signing out, disabling and a new password take effect at once."""

from datetime import datetime, timedelta
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key
from inspect_app.domain.person import Person

IDLE = timedelta(hours=12)
ABSOLUTE = timedelta(days=30)
_SEEN_EVERY = timedelta(minutes=5)  # last_seen is written no more often than this


class Session(NamedTuple):
    """A session. `live` is False once it is ended, idle for too long or too old, or its account is disabled."""

    token_hash: bytes
    account: str
    person: Person
    label: str
    created_at: datetime
    last_seen: datetime
    live: bool
    disabled: bool


_COLUMNS = (
    "s.token_hash, s.account, s.label, s.created_at, s.last_seen, s.expires_at, s.ended_at, a.disabled_at, "
    "p.id, p.name, p.credential FROM session s JOIN account a ON a.id = s.account JOIN person p ON p.id = a.person"
)


def _stamp(at: datetime) -> str:
    return at.isoformat(timespec="milliseconds")


def _to_session(
    row: tuple[bytes, bytes, str, str, str, str, str | None, str | None, bytes, str, str], at: datetime
) -> Session:
    created, seen, expires = (datetime.fromisoformat(text) for text in row[3:6])
    live = row[6] is None and row[7] is None and at < expires and at - seen < IDLE
    person = Person(from_key(row[8]), row[9], row[10])
    return Session(row[0], from_key(row[1]), person, row[2], created, seen, live, row[7] is not None)


def get_session(db: Database, token_hash: bytes, at: datetime) -> Session | None:
    """The session whose token has this SHA-256, live or not."""
    row = db.execute(f"SELECT {_COLUMNS} WHERE s.token_hash = ?", (token_hash,)).fetchone()
    return _to_session(row, at) if row else None


def list_sessions(db: Database, account: str, at: datetime) -> list[Session]:
    """The account's live sessions, newest use first."""
    rows = db.execute(f"SELECT {_COLUMNS} WHERE s.account = ? ORDER BY s.last_seen DESC", (to_key(account),))
    return [session for session in (_to_session(row, at) for row in rows.fetchall()) if session.live]


def add_session(db: Database, token_hash: bytes, account: str, label: str, at: datetime) -> None:
    """Start a session that ends after 12 h without use or 30 days in any case."""
    db.execute(
        "INSERT INTO session(token_hash, account, created_at, last_seen, expires_at, label) VALUES (?,?,?,?,?,?)",
        (token_hash, to_key(account), _stamp(at), _stamp(at), _stamp(at + ABSOLUTE), label),
    )


def delete_old_sessions(db: Database, before: datetime) -> None:
    """Forget sessions that ran out before a moment; until then a form sent too late is still known by its account."""
    db.execute("DELETE FROM session WHERE expires_at < ?", (_stamp(before),))


def needs_seen(session: Session, at: datetime) -> bool:
    """Whether the last use noted is old enough to be written again."""
    return at - session.last_seen >= _SEEN_EVERY


def set_seen(db: Database, token_hash: bytes, at: datetime) -> None:
    """Note that the session was used."""
    db.execute("UPDATE session SET last_seen = ? WHERE token_hash = ? AND ended_at IS NULL", (_stamp(at), token_hash))


def end_session(db: Database, token_hash: bytes, account: str, at: datetime) -> bool:
    """End one session of the account; False when there was none to end."""
    cursor = db.execute(
        "UPDATE session SET ended_at = ? WHERE token_hash = ? AND account = ? AND ended_at IS NULL",
        (_stamp(at), token_hash, to_key(account)),
    )
    return bool(cursor.rowcount)


def end_sessions(db: Database, account: str, at: datetime, keep: bytes = b"") -> None:
    """End every session of the account but the one to keep."""
    db.execute(
        "UPDATE session SET ended_at = ? WHERE account = ? AND ended_at IS NULL AND token_hash <> ?",
        (_stamp(at), to_key(account), keep),
    )
