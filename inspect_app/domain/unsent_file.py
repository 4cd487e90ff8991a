"""The file into which a phone saves what it has not sent: read into the texts of its entries and its photos.

{"format": "inspect-log/unsent/1", "house": id, "device": id, "made_at": the phone's time in ISO 8601,
 "entries": [the exact text of each entry as it would have been sent],
 "photos": [{"id": UUIDv7, "sha256": hex or "", "mime", "data": the bytes in base64, "original": true when these are
             the camera's own bytes of the photo, "kind": "recording" when it is a voice note; absent otherwise}],
 "part": n, "parts": how many files there are when there is too much for one}

Each part is whole by itself: they may come in any order, alone or together, and what stands in two of them is the same
entry or photo and is stored once.
"""

import base64
import binascii
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from inspect_app.domain.errors import BadValue
from inspect_app.domain.ids import is_uuid7
from inspect_app.domain.strict_json import WireItem, decode_text, read_item, read_strict

FORMAT = "inspect-log/unsent/1"
_BYTE_ORDER_MARK = "\ufeff"


class UnsentPhoto(NamedTuple):
    """One photo of the file. `problem` says why its bytes could not be read, or is empty."""

    id: str
    sha256: str
    content: bytes
    problem: str = ""
    original: bool = False
    recording: bool = False


@dataclass(frozen=True, slots=True)
class UnsentFile:
    """What a phone saved: for which house and by which device, and all that it had not sent."""

    house: str
    device: str
    made_at: datetime | None
    entries: tuple[WireItem, ...]
    photos: tuple[UnsentPhoto, ...]
    part: tuple[int, int] = (1, 1)  # this one, of how many


def read_unsent_file(content: bytes) -> UnsentFile:
    """The file's content. One odd entry or photo spoils no other. Raises BadValue when it is no such file."""
    try:
        data = read_strict(decode_text(content).removeprefix(_BYTE_ORDER_MARK))
    except BadValue as error:
        raise BadValue(
            f"This file cannot be read ({error.message}). It may have been cut short on the way: save it on the phone "
            "again. Nothing was brought in.",
            "file",
        ) from None
    if not isinstance(data, dict) or not str(data.get("format", "")).startswith("inspect-log/unsent/"):
        raise BadValue("This is no file that the walk page saved. Choose the one that it made on the phone.", "file")
    if data["format"] != FORMAT:
        raise BadValue("This file was saved by a newer walk page. Update this program first; keep the file.", "file")
    house, device = data.get("house"), data.get("device")
    if not is_uuid7(house) or not is_uuid7(device):
        raise BadValue("The file does not say which house and phone it is from. Save it on the phone again.", "file")
    entries, photos = data.get("entries", []), data.get("photos", [])
    if not isinstance(entries, list) or not isinstance(photos, list):
        raise BadValue("The file's lists of entries and photos are damaged. Save it on the phone again.", "file")
    return UnsentFile(
        str(house),
        str(device),
        _time(data.get("made_at")),
        tuple(_entry(one) for one in entries),
        tuple(_photo(one) for one in photos),
        _part(data.get("part"), data.get("parts")),
    )


def _part(part: object, parts: object) -> tuple[int, int]:
    """Which of how many; (1, 1) when that is not said or makes no sense."""
    both = isinstance(part, int) and isinstance(parts, int) and 1 <= part <= parts
    return (int(part), int(parts)) if both else (1, 1)  # type: ignore[call-overload]


def _time(text: object) -> datetime | None:
    """A moment with its offset; None when it cannot be read."""
    try:
        found = datetime.fromisoformat(text) if isinstance(text, str) else None
    except ValueError:
        return None
    return found if found is not None and found.tzinfo is not None else None


def _entry(one: object) -> WireItem:
    """An entry's text; what is not text is kept as the JSON it is, so that it is held and not lost."""
    return read_item(one if isinstance(one, str) else json.dumps(one, ensure_ascii=False, separators=(",", ":")))


def _photo(one: object) -> UnsentPhoto:
    given: Mapping[str, object] = one if isinstance(one, dict) else {}
    name, sha256, data = (given.get(key) for key in ("id", "sha256", "data"))
    shown = name[:60] if isinstance(name, str) else ""
    if not isinstance(data, str):
        return UnsentPhoto(shown, "", b"", "has no data")
    try:
        content = base64.b64decode(data, validate=True)
    except (binascii.Error, ValueError):
        return UnsentPhoto(shown, "", b"", "its data is no base64")
    digest = sha256.lower()[:64] if isinstance(sha256, str) else ""
    return UnsentPhoto(
        shown, digest, content, original=given.get("original") is True, recording=given.get("kind") == "recording"
    )
