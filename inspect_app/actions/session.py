"""Keeping a session's and a device's last use, and the post of a session that has run out."""

import hashlib
import json
import secrets
from collections.abc import Iterable, Mapping
from datetime import datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.store.db import write_transaction
from inspect_app.store.device import Device, set_device_seen
from inspect_app.store.kept_post import KeptPost, add_kept_post, delete_kept_post
from inspect_app.store.session import Session, needs_seen, set_seen

_SECRET_WORDS = ("password", "csrf", "code", "token", "secret")


def note_session_use(db: Database, session: Session, at: datetime) -> None:
    """Write the time of use, at most every five minutes, so that idle sessions can end."""
    if needs_seen(session, at):
        with write_transaction(db):
            set_seen(db, session.token_hash, at)


def note_device_use(db: Database, device: Device, at: datetime) -> None:
    """Write when the device was last heard from, at most every five minutes."""
    if device.last_seen is None or (at - device.last_seen).total_seconds() >= 300:
        with write_transaction(db):
            set_device_seen(db, device.id, at)


def keep_post(
    db: Database, *, at: datetime, account: str, path: str, fields: Mapping[str, list[str]], files: Iterable[str]
) -> str:
    """Keep the text of a form whose session has run out, for its account only; returns the token that finds it.

    Passwords, codes and tokens are never kept. `files` are the names of what has to be chosen again.
    """
    kept = {name: values for name, values in fields.items() if not any(word in name.lower() for word in _SECRET_WORDS)}
    token = secrets.token_urlsafe(32)
    form = json.dumps({"fields": kept, "files": list(files)}, ensure_ascii=False)
    with write_transaction(db):
        add_kept_post(db, clock.new_id(), hash_token(token), account, path, form, at)
    return token


def drop_post(db: Database, post: KeptPost) -> None:
    """Forget a kept post, once it was sent again or is not wanted."""
    with write_transaction(db):
        delete_kept_post(db, post.id)


def hash_token(token: str) -> bytes:
    """The SHA-256 under which a random token is kept."""
    return hashlib.sha256(token.encode("utf-8", "surrogateescape")).digest()
