"""Files that belong to a deficiency: checked by their bytes, kept among the photos by digest, never thrown away."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.deficiency import move_deficiency, require_deficiency
from inspect_app.actions.walk import require_role
from inspect_app.config import Settings
from inspect_app.domain.deficiency import DeficiencyState
from inspect_app.domain.errors import BadValue, NotSaved
from inspect_app.domain.role import Role
from inspect_app.output.picture import kind_of, make_copies
from inspect_app.store.db import write_transaction
from inspect_app.store.deficiency import add_deficiency_event
from inspect_app.store.deficiency_story import Attachment, add_attachment
from inspect_app.store.journal import append_journal, item
from inspect_app.store.photo import free_bytes, keep_photo_files

MOST_BYTES = 15_000_000
LEAST_FREE = 200_000_000  # entries must still fit when files no longer do
SHOWS = ("before", "after", "paper")
LONGEST_NAME = 120
_PICTURES = ("image/jpeg", "image/png")
_PDF = b"%PDF-"


def kind_of_file(content: bytes) -> str:
    """The media type that the first bytes announce: PDF, JPEG or PNG; '' for anything else."""
    if content.startswith(_PDF):
        return "application/pdf"
    kind = kind_of(content)
    return kind if kind in _PICTURES else ""


def attach_file(
    db: Database,
    settings: Settings,
    *,
    at: datetime,
    actor: str,
    house: str,
    deficiency: str,
    content: bytes,
    name: str,
    shows: str,
    note: str = "",
) -> str:
    """Keep a file with a deficiency; returns its id. `shows`: before, after or paper.

    Raises BadValue for what is no PDF, JPEG or PNG, is empty, too large or cannot be read as the picture it claims to
    be; NotFound; NotSaved when the disk will not take it.
    """
    row = _prepare(db, settings, at, actor, house, deficiency, (name, content), shows, note)
    with write_transaction(db):
        _add(db, row, actor)
    return row.id


def record_work(
    db: Database,
    settings: Settings,
    *,
    at: datetime,
    actor: str,
    house: str,
    deficiency: str,
    role: Role,
    proof: Mapping[str, str],
    photos: Sequence[tuple[str, bytes]] = (),
) -> None:
    """Record the work done with its photos, as (name, bytes): all of it or nothing.

    Raises what move_deficiency and attach_file raise; what is wrong with a photo belongs to the field `photos`.
    """
    try:
        rows = [_prepare(db, settings, at, actor, house, deficiency, photo, "after", "") for photo in photos]
    except BadValue as error:
        raise BadValue(f"{error.message} Nothing was saved; choose the photos again.", "photos") from None
    with write_transaction(db):
        move_deficiency(
            db, at=at, actor=actor, house=house, deficiency=deficiency, to_state=DeficiencyState.WORK_DONE, role=role,
            proof=proof,
        )  # fmt: skip
        for row in rows:
            _add(db, row, actor)


def _prepare(
    db: Database,
    settings: Settings,
    at: datetime,
    actor: str,
    house: str,
    deficiency: str,
    file: tuple[str, bytes],
    shows: str,
    note: str,
) -> Attachment:
    """The row of a file that was checked and whose bytes and copies are in their place."""
    name, content = file
    mime = _check(content, shows)
    require_role(db, house, actor, "deficiency.remark")
    require_deficiency(db, house, deficiency)
    if free_bytes(settings) < LEAST_FREE + len(content):
        raise NotSaved("Not saved: the disk is full. Free some space and send again; nothing else was changed.")
    copies: Mapping[str, bytes] = {}
    if mime in _PICTURES:
        picture = make_copies(content)
        if picture.state != "stored":
            raise BadValue("This picture cannot be read whole, or is too large to be looked at. Save it anew.", "file")
        copies = picture.copies
    sha256 = keep_photo_files(settings, content, copies)
    return Attachment(
        clock.new_id(), house, deficiency, clean_name(name, mime), shows, note.strip()[:300], mime, len(content),
        sha256, "", at,
    )  # fmt: skip


def _add(db: Database, row: Attachment, actor: str) -> None:
    found = require_deficiency(db, row.house, row.deficiency)
    add_attachment(db, row, actor)
    says = f"File added: {row.name}{f' ({row.note})' if row.note else ''}"
    add_deficiency_event(
        db, deficiency=found, to_state=found.state, by=actor, role="", at=row.at, note=says, proof={"file": row.id}
    )
    items = [item("attachment", row.id, bytes.fromhex(row.sha256))]
    append_journal(db, at=row.at, actor=actor, action="deficiency.attach", house=row.house, items=items)


def _check(content: bytes, shows: str) -> str:
    if not content:
        raise BadValue("Choose a file.", "file")
    if len(content) > MOST_BYTES:
        raise BadValue("The file is larger than 15 MB. Send it in a smaller size.", "file")
    mime = kind_of_file(content)
    if not mime:
        raise BadValue("This is no PDF, JPEG or PNG. Only these are kept.", "file")
    if shows not in SHOWS:
        raise BadValue("Say what it shows: before, after, or a paper.", "shows")
    if shows != "paper" and mime not in _PICTURES:
        raise BadValue("Before and after are pictures. Keep a PDF as a paper.", "shows")
    return mime


def clean_name(name: str, mime: str) -> str:
    """The last part of a file's name without signs that mean something to a system; a plain one if none is left."""
    last = name.replace("\\", "/").rpartition("/")[2]
    clean = "".join(sign for sign in last if sign.isprintable() and sign not in '<>:"|?*').strip(" .")
    ending = {"application/pdf": "pdf", "image/jpeg": "jpg", "image/png": "png"}[mime]
    return clean[-LONGEST_NAME:] or f"file.{ending}"
