"""Keeping a photo: checked, written to its file, copies made, then its row; nothing that was taken is thrown away."""

import hashlib
import json
from datetime import datetime, timedelta
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue, DomainError, NotSaved
from inspect_app.domain.ids import is_uuid7
from inspect_app.output.picture import Picture, kind_of, make_copies
from inspect_app.store.db import write_transaction
from inspect_app.store.device import Device
from inspect_app.store.entry import HeldRow, insert_held
from inspect_app.store.journal import append_journal, item
from inspect_app.store.photo import (
    Photo,
    add_photo,
    count_photos_since,
    find_photo,
    free_bytes,
    keep_photo_files,
    list_undecoded_photos,
    read_photo,
    set_photo_decoded,
)

MOST_BYTES = 15_000_000
MOST_A_DAY, MOST_BYTES_A_DAY = 2_000, 6_000_000_000  # of one device
LEAST_FREE = 200_000_000  # below this photos are refused first, so that entries still fit


class TooLarge(DomainError):
    """The photo has too many bytes or pixels to be taken in."""


class WrongKind(DomainError):
    """The bytes are not of a kind of picture that is taken in."""


class TooMany(DomainError):
    """The device has sent more in one day than any walk needs."""


class Kept(NamedTuple):
    """What became of a photo: `state` is stored, damaged, undecoded or held; `new` is false when it was here before."""

    id: str
    state: str
    sha256: str
    new: bool
    reason: str = ""


def save_photo(
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
    """Keep one photo under its id. `sha256` (hex) is what the phone says the bytes are; '' when it could not tell.
    `imported_by` is the person who brought it in a file, and whom the journal then names.

    Repeating it changes nothing. Other bytes under a known id are kept and held. Raises BadValue (id or digest wrong),
    TooLarge, WrongKind, TooMany and NotSaved; nothing is kept then, and the phone still has it.
    """
    digest = hashlib.sha256(content).hexdigest()
    _check(photo, content, digest, sha256)
    known = find_photo(db, photo)
    if known is not None and known.sha256 == digest and known.house == device.house:
        return Kept(photo, known.state, digest, False)
    _check_room(db, settings, device, at, len(content))
    picture = make_copies(content)
    if picture.state == "too_large":
        raise TooLarge(f"The photo has {picture.width} x {picture.height} pixels; 40 million are the most.", "photo")
    keep_photo_files(settings, content, picture.copies)
    if known is not None:
        return hold_other_bytes(db, device, "photo", photo, digest, kind_of(content), at, imported_by)
    return _add(db, device, photo, content, digest, picture, at, imported_by)


def _check(photo: str, content: bytes, digest: str, sha256: str) -> None:
    if not is_uuid7(photo):
        raise BadValue("The id of a photo must be a UUIDv7 in lower case.", "id")
    if sha256 and sha256 != digest:
        raise BadValue("The photo arrived damaged: its digest does not match. Send it again.", "Content-Digest")
    if not content:
        raise BadValue("The photo is empty. Send it again.", "photo")
    if len(content) > MOST_BYTES:
        raise TooLarge("The photo is larger than 15 MB. Send it in a smaller size.", "photo")
    if not kind_of(content):
        raise WrongKind("This is no JPEG, PNG, WebP or HEIC picture. Only these are kept.", "photo")


def _check_room(db: Database, settings: Settings, device: Device, at: datetime, size: int) -> None:
    if free_bytes(settings) < LEAST_FREE + size:
        raise NotSaved(
            "Not saved: the disk is full. Photos are refused first so that entries still fit. Free some space and send "
            "again; nothing was lost on your side."
        )
    count, total = count_photos_since(db, device.id, at - timedelta(days=1))
    if count >= MOST_A_DAY or total + size > MOST_BYTES_A_DAY:
        raise TooMany("This device has sent more photos in a day than are taken in. Send the rest tomorrow.")


def _add(
    db: Database,
    device: Device,
    photo: str,
    content: bytes,
    digest: str,
    picture: Picture,
    at: datetime,
    imported_by: str,
) -> Kept:
    row = Photo(
        id=photo,
        house=device.house,
        device=device.id,
        sha256=digest,
        mime=kind_of(content),
        bytes=len(content),
        width=picture.width,
        height=picture.height,
        taken_at=picture.taken_at,
        received_at=at,
        state=picture.state,
    )
    with write_transaction(db):
        if not add_photo(db, row):  # it came twice at once
            return Kept(photo, picture.state, digest, False)
        items = [item("photo", photo, bytes.fromhex(digest))]
        who, action = imported_by or device.person.id, "photo.import" if imported_by else "photo.receive"
        append_journal(db, at=at, actor=who, action=action, house=device.house, items=items)
    return Kept(photo, picture.state, digest, True)


def hold_other_bytes(
    db: Database, device: Device, kind: str, key: str, digest: str, mime: str, at: datetime, imported_by: str
) -> Kept:
    """Hold other bytes under the known id `key` of a photo or a recording (`kind`).

    They are in their file; a held text names them, so that a person can tell which is meant.
    """
    why = f"another {kind} with this id is here, with other content"
    raw = json.dumps({"kind": kind, "id": key, "sha256": digest, "mime": mime}, separators=(",", ":")).encode()
    row = HeldRow(
        id=clock.new_id(),
        house=device.house,
        device=device.id,
        raw=raw,
        sha256=hashlib.sha256(raw).digest(),
        why=why,
        received_at=at,
        entry=None,
        walk=None,
        kind=kind,
        seq=None,
    )
    with write_transaction(db):
        new = insert_held(db, row)
        if new:
            items = [item("held", row.id, raw)]
            who = imported_by or device.person.id
            append_journal(db, at=at, actor=who, action=f"{kind}.hold", house=device.house, items=items)
    return Kept(key, "held", digest, new, why)


def decode_again(db: Database, settings: Settings, *, at: datetime, most: int = 5) -> int:
    """Make the copies of photos for which time or memory was short, `most` at once; returns how many are done now."""
    done = 0
    for photo in list_undecoded_photos(db)[:most]:
        content = read_photo(settings, photo.sha256)
        picture = make_copies(content) if content else Picture("undecoded")
        if content is None or picture.state not in ("stored", "damaged"):
            continue
        keep_photo_files(settings, content, picture.copies)
        with write_transaction(db):
            set_photo_decoded(
                db,
                photo.id,
                state=picture.state,
                width=picture.width,
                height=picture.height,
                taken_at=picture.taken_at,
            )
            items = [item("photo", photo.id, bytes.fromhex(photo.sha256))]
            append_journal(db, at=at, actor="system", action="photo.decode", house=photo.house, items=items)
        done += 1
    return done


def record_original_read(db: Database, *, at: datetime, actor: str, photo: Photo) -> None:
    """Note in the journal that someone took the original, with all that the camera wrote into it."""
    with write_transaction(db):
        items = [item("photo", photo.id, bytes.fromhex(photo.sha256))]
        append_journal(db, at=at, actor=actor, action="photo.read_original", house=photo.house, items=items)
