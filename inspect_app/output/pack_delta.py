"""What has changed in a pack since one that a phone holds, told by the ETag alone; nothing old is kept for it.

A pack is made of sections, the members of its object. Its ETag is a digest of their names and, for each section in
order, a digest of its text, joined by points. Whoever shows an ETag so says which sections they have.

The answer to ?since=<ETag> is one of two:
 {"schema", "made_at", "last_seq", "since": the ETag asked about, "etag": the ETag now, "same": true or false,
  "changed": {section: its value now}}
 the whole pack (which has no "since"), when the ETag is not one of a pack with these sections, or when most of it
 has changed, so that there is nothing to save.
The text of a section is the one that a browser writes of its value (JSON.stringify, ECMA-262, 25.5.2): no blanks,
nothing escaped that need not be, numbers in their shortest form. So a phone can work out the ETag of what it holds.
A phone applies it by putting the sections of "changed" over those of its pack, and "made_at" and "last_seq" over its
own; what comes out is the whole pack as it is now.
"""

import hashlib
import json
from collections.abc import Mapping
from typing import Any

_LETTERS = 12  # of the SHA-256: 48 bits for each section
_WORTH_IT = 0.7  # of the whole; above that the whole is sent


def etag_of(sections: Mapping[str, str]) -> str:
    """The ETag of the sections: {name: JSON text}, in order."""
    return ".".join(_digest(text) for text in (json.dumps(list(sections)), *sections.values()))


def delta_of(head: Mapping[str, Any], sections: Mapping[str, str], since: str) -> bytes | None:
    """The answer to a phone that holds the pack with the ETag `since`; None when it needs the whole pack."""
    asked = since.removeprefix("W/").strip('"')
    present = etag_of(sections)
    (names, *digests), (names_then, *digests_then) = present.split("."), asked.split(".")
    if names != names_then or len(digests) != len(digests_then):
        return None
    changed = [name for name, now, then in zip(sections, digests, digests_then, strict=True) if now != then]
    size = sum(len(sections[name]) for name in changed)
    if changed and size > _WORTH_IT * sum(map(len, sections.values())):
        return None
    said = {**head, "since": asked, "etag": present, "same": not changed}
    parts = ",".join(f"{json.dumps(name)}:{sections[name]}" for name in changed)
    return f'{json.dumps(said, separators=(",", ":"))[:-1]},"changed":{{{parts}}}}}'.encode()


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:_LETTERS]
