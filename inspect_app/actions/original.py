"""Keeping the original of a photo, where a house asks for it: the camera's bytes as they are, with their digest."""

import hashlib
from datetime import datetime, timedelta

from sqlite_utils import Database

from inspect_app.actions.photo import LEAST_FREE, Kept, TooLarge, TooMany, WrongKind, hold_other_bytes
from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue, NotSaved
from inspect_app.domain.ids import is_uuid7
from inspect_app.output.picture import kind_of
from inspect_app.store.db import write_transaction
from inspect_app.store.device import Device
from inspect_app.store.journal import append_journal, item
from inspect_app.store.original import Original, add_original, find_original, sum_originals_since
from inspect_app.store.photo import free_bytes, keep_photo_files

MOST_BYTES = 40_000_000  # a phone's largest pictures; the scaled one that is looked at stays below 15 MB
MOST_BYTES_A_DAY = 20_000_000_000  # of one device


def save_original(
    db: Database,
    settings: Settings,
    *,
    at: datetime,
    device: Device,
    photo: str,
    content: bytes,
    sha256: str = "",
    imported_by: str = "",
) -> Kept:
    """Keep the original of the photo with this id, before or after the photo itself has come; no copies are made of it.
    `sha256` (hex) is what the phone says the bytes are; '' when it could not tell. `imported_by` is the person who
    brought it in a file, and whom the journal then names.

    Repeating it changes nothing. Other bytes for the same photo are kept and held. Raises BadValue (id or digest
    wrong), TooLarge, WrongKind, TooMany and NotSaved; nothing is kept then, and the phone still has it.
    """
    digest = hashlib.sha256(content).hexdigest()
    _check(photo, content, digest, sha256)
    known = find_original(db, photo)
    if known is not None and known.sha256 == digest and known.house == device.house:
        return Kept(photo, "stored", digest, False)
    _check_room(db, settings, device, at, len(content))
    keep_photo_files(settings, content, {})
    mime = kind_of(content)
    if known is not None:
        return hold_other_bytes(db, device, "original", photo, digest, mime, at, imported_by)
    row = Original(photo, device.house, device.id, digest, mime, len(content), at)
    with write_transaction(db):
        if not add_original(db, row):  # it came twice at once
            return Kept(photo, "stored", digest, False)
        items = [item("original", photo, bytes.fromhex(digest))]
        who, action = imported_by or device.person.id, "original.import" if imported_by else "original.receive"
        append_journal(db, at=at, actor=who, action=action, house=device.house, items=items)
    return Kept(photo, "stored", digest, True)


def _check(photo: str, content: bytes, digest: str, sha256: str) -> None:
    if not is_uuid7(photo):
        raise BadValue("The id of a photo must be a UUIDv7 in lower case.", "id")
    if sha256 and sha256 != digest:
        raise BadValue("The original arrived damaged: its digest does not match. Send it again.", "Content-Digest")
    if not content:
        raise BadValue("The original is empty. Send it again.", "photo")
    if len(content) > MOST_BYTES:
        raise TooLarge("The original is larger than 40 MB. The picture itself is sent in a smaller size.", "photo")
    if not kind_of(content):
        raise WrongKind("This is no JPEG, PNG, WebP or HEIC picture. Only these are kept.", "photo")


def _check_room(db: Database, settings: Settings, device: Device, at: datetime, size: int) -> None:
    if free_bytes(settings) < LEAST_FREE + size:
        raise NotSaved(
            "Not saved: the disk is full. Originals and photos are refused first so that entries still fit. Free some "
            "space and send again; nothing was lost on your side."
        )
    if sum_originals_since(db, device.id, at - timedelta(days=1)) + size > MOST_BYTES_A_DAY:
        raise TooMany("This device has sent more originals in a day than are taken in. Send the rest tomorrow.")
