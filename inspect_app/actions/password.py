"""Hashing passwords with argon2id, a bounded number at a time, and checking them in the same time for everyone."""

import threading

from argon2 import PasswordHasher, Type
from argon2.exceptions import InvalidHashError, VerificationError
from argon2.profiles import RFC_9106_LOW_MEMORY

# RFC 9106, second recommended option: 64 MiB, 3 passes, 4 lanes; well over the least that OWASP's Password Storage
# Cheat Sheet allows (19 MiB, 2 passes, 1 lane), below which a setting is refused.
FLOOR_KIB, FLOOR_PASSES = 19 * 1024, 2
_AT_ONCE = threading.BoundedSemaphore(2)  # each takes 64 MiB


def make_hasher(memory_kib: int, passes: int, lanes: int) -> PasswordHasher:
    """An argon2id hasher. Raises ValueError for settings weaker than OWASP's least."""
    if memory_kib < FLOOR_KIB or passes < FLOOR_PASSES:
        raise ValueError(f"argon2id needs at least {FLOOR_KIB} KiB and {FLOOR_PASSES} passes")
    return PasswordHasher(passes, memory_kib, lanes, type=Type.ID)


hasher = make_hasher(RFC_9106_LOW_MEMORY.memory_cost, RFC_9106_LOW_MEMORY.time_cost, RFC_9106_LOW_MEMORY.parallelism)
_nobody: list[str] = []


def hash_password(password: str) -> str:
    """The argon2id text of a password."""
    with _AT_ONCE:
        return hasher.hash(password.encode("utf-8", "surrogatepass"))


def check_password(hash_text: str | None, password: str) -> bool:
    """Whether the password belongs to the hash; None (no such account) takes as long and is False."""
    if hash_text is None and not _nobody:
        _nobody.append(hash_password("nobody has this password"))
    with _AT_ONCE:
        try:
            right = hasher.verify(hash_text or _nobody[0], password.encode("utf-8", "surrogatepass"))
        except (VerificationError, InvalidHashError):
            return False
    return right and hash_text is not None


def is_outdated(hash_text: str) -> bool:
    """Whether the hash was made with other settings than those of today."""
    return hasher.check_needs_rehash(hash_text)
