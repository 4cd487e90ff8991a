"""Keeping a voice note: checked by its bytes, written to its file, then its row; other bytes under its id are held."""

import hashlib
from datetime import datetime, timedelta

from sqlite_utils import Database

from inspect_app.actions.photo import LEAST_FREE, Kept, TooLarge, TooMany, WrongKind, hold_other_bytes
from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue, NotSaved
from inspect_app.domain.ids import is_uuid7
from inspect_app.domain.recording import MOST_BYTES, kind_of_sound
from inspect_app.store.db import write_transaction
from inspect_app.store.device import Device
from inspect_app.store.journal import append_journal, item
from inspect_app.store.photo import free_bytes, keep_photo_files
from inspect_app.store.recording import Recording, add_recording, count_recordings_since, find_recording

MOST_A_DAY = 500  # of one device


def save_recording(
    db: Database,
    settings: Settings,
    *,
    at: datetime,
    device: Device,
    recording: str,
    content: bytes,
    sha256: str = "",
    imported_by: str = "",
) -> Kept:
    """Keep one voice note under its id. `sha256` (hex) is what the phone says the bytes are; '' when it could not tell.
    `imported_by` is the person who brought it in a file, and whom the journal then names.

    Repeating it changes nothing. Other bytes under a known id are kept and held. Raises BadValue (id or digest wrong),
    TooLarge, WrongKind, TooMany and NotSaved; nothing is kept then, and the phone still has it.
    """
    digest = hashlib.sha256(content).hexdigest()
    mime = _check(recording, content, digest, sha256)
    known = find_recording(db, recording)
    if known is not None and known.sha256 == digest and known.house == device.house:
        return Kept(recording, "stored", digest, False)
    _check_room(db, settings, device, at, len(content))
    keep_photo_files(settings, content, {})
    if known is not None:
        return hold_other_bytes(db, device, "recording", recording, digest, mime, at, imported_by)
    row = Recording(recording, device.house, device.id, digest, mime, len(content), at)
    with write_transaction(db):
        if not add_recording(db, row):  # it came twice at once
            return Kept(recording, "stored", digest, False)
        items = [item("recording", recording, bytes.fromhex(digest))]
        who, action = imported_by or device.person.id, "recording.import" if imported_by else "recording.receive"
        append_journal(db, at=at, actor=who, action=action, house=device.house, items=items)
    return Kept(recording, "stored", digest, True)


def _check(recording: str, content: bytes, digest: str, sha256: str) -> str:
    """The media type of what may be kept."""
    if not is_uuid7(recording):
        raise BadValue("The id of a voice note must be a UUIDv7 in lower case.", "id")
    if sha256 and sha256 != digest:
        raise BadValue("The voice note arrived damaged: its digest does not match. Send it again.", "Content-Digest")
    if not content:
        raise BadValue("The voice note is empty. Send it again.", "recording")
    if len(content) > MOST_BYTES:
        raise TooLarge("The voice note is larger than 4 MB. Two minutes of speech are far smaller.", "recording")
    mime = kind_of_sound(content)
    if not mime:
        raise WrongKind("This is no WebM, Ogg or MP4 recording. Only these are kept.", "recording")
    return mime


def _check_room(db: Database, settings: Settings, device: Device, at: datetime, size: int) -> None:
    if free_bytes(settings) < LEAST_FREE + size:
        raise NotSaved(
            "Not saved: the disk is full. Photos and voice notes are refused first so that entries still fit. Free "
            "some space and send again; nothing was lost on your side."
        )
    if count_recordings_since(db, device.id, at - timedelta(days=1)) >= MOST_A_DAY:
        raise TooMany("This device has sent more voice notes in a day than are taken in. Send the rest tomorrow.")
