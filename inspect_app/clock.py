"""The one place that reads the clock and makes ids; everything else takes them as arguments."""

import secrets
import threading
from datetime import UTC, datetime, timedelta

from inspect_app.domain.ids import uuid7

SENT_TWICE = timedelta(minutes=1)  # the same form with the same words by one person within this was sent twice
_lock = threading.Lock()
_last_ms = 0
_last_rand = 0


def now() -> datetime:
    """The time in UTC."""
    return datetime.now(UTC)


def new_id() -> str:
    """A new UUIDv7 (RFC 9562) in lower case; ids made by one process ascend, also when the clock steps back."""
    global _last_ms, _last_rand
    with _lock:
        ms = int(now().timestamp() * 1000)
        if ms > _last_ms:
            _last_ms, _last_rand = ms, secrets.randbits(73)
        else:
            _last_rand += 1 + secrets.randbits(16)
        return uuid7(_last_ms, _last_rand)


def new_seed() -> bytes:
    """32 bytes from the system's source of chance, for a draw that nobody can foresee."""
    return secrets.token_bytes(32)
