"""Forms that were sent after their session had run out, kept until their owner signs in again."""

import json
from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.ids import from_key, to_key

KEPT_FOR = timedelta(days=30)


class KeptPost(NamedTuple):
    """A form as it was sent: where to, its text fields, and the names of files that must be chosen again."""

    id: str
    path: str
    fields: Mapping[str, list[str]]
    files: tuple[str, ...]
    created_at: datetime


def add_kept_post(db: Database, post: str, token_hash: bytes, account: str, path: str, form: str, at: datetime) -> None:
    """Keep a form for an account; what is older than 30 days goes."""
    db.execute("DELETE FROM kept_post WHERE created_at < ?", ((at - KEPT_FOR).isoformat(timespec="milliseconds"),))
    db.execute(
        "INSERT INTO kept_post(id, token_hash, account, path, form, created_at) VALUES (?,?,?,?,?,?)",
        (to_key(post), token_hash, to_key(account), path, form, at.isoformat(timespec="milliseconds")),
    )


def find_kept_post(db: Database, token_hash: bytes, account: str) -> KeptPost | None:
    """The kept form of this token, if it is this account's."""
    row = db.execute(
        "SELECT id, path, form, created_at FROM kept_post WHERE token_hash = ? AND account = ?",
        (token_hash, to_key(account)),
    ).fetchone()
    if not row:
        return None
    form = json.loads(row[2])
    return KeptPost(from_key(row[0]), row[1], form["fields"], tuple(form["files"]), datetime.fromisoformat(row[3]))


def delete_kept_post(db: Database, post: str) -> None:
    """Forget a kept form."""
    db.execute("DELETE FROM kept_post WHERE id = ?", (to_key(post),))
