"""UUIDv7 ids (RFC 9562, section 5.7) as lower-case text; 16 bytes in the database."""

import re
import uuid

from inspect_app.domain.errors import BadValue

_UUID7 = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}\Z")


def uuid7(ms: int, rand: int) -> str:
    """The UUIDv7 of a Unix time in milliseconds (48 bits) and 74 random bits (more are cut off)."""
    rand_a, rand_b = (rand >> 62) & 0xFFF, rand & ((1 << 62) - 1)
    value = (ms & ((1 << 48) - 1)) << 80 | 0x7 << 76 | rand_a << 64 | 0b10 << 62 | rand_b
    return from_key(value.to_bytes(16, "big"))


def is_uuid7(text: object) -> bool:
    """Whether `text` is a UUIDv7 written in lower case with hyphens."""
    return isinstance(text, str) and bool(_UUID7.match(text))


def uuid7_ms(text: str) -> int:
    """The Unix time in milliseconds inside a UUIDv7. Raises BadValue."""
    if not is_uuid7(text):
        raise BadValue(f"{text!r} is not a UUIDv7")
    return uuid.UUID(text).int >> 80


def to_key(text: str) -> bytes:
    """An id as the 16 bytes that the database holds. Raises BadValue on anything that is not a UUID."""
    try:
        if len(text) == 36 and text[8] == text[13] == text[18] == text[23] == "-":  # the usual form, quicker
            key = bytes.fromhex(text.replace("-", ""))
            if len(key) == 16:
                return key
    except (ValueError, AttributeError, TypeError):
        pass
    try:
        return uuid.UUID(text).bytes
    except (ValueError, AttributeError, TypeError):
        raise BadValue(f"{text!r} is not an id") from None


def from_key(key: bytes) -> str:
    """An id from the 16 bytes that the database holds. Raises ValueError on any other length."""
    text = key.hex()  # a page may read tens of thousands: a tenth of the time that uuid.UUID takes
    if len(text) != 32:
        raise ValueError(f"an id has 16 bytes, not {len(key)}")
    return f"{text[:8]}-{text[8:12]}-{text[12:16]}-{text[16:20]}-{text[20:]}"
