"""Keeping pages of old paper logs as history, and taking one back that was pinned wrongly."""

from collections.abc import Mapping
from datetime import datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.attachment import LEAST_FREE, MOST_BYTES, clean_name, kind_of_file
from inspect_app.actions.walk import require_role
from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue, Conflict, NotFound, NotSaved
from inspect_app.domain.old_page import LONGEST_WORDS, OldPage, read_year
from inspect_app.output.picture import make_copies
from inspect_app.store.db import write_transaction
from inspect_app.store.house import get_house, get_line_set
from inspect_app.store.journal import append_journal, item
from inspect_app.store.old_page import add_old_page, add_old_page_withdrawal, get_old_page
from inspect_app.store.photo import free_bytes, keep_photo_files
from inspect_app.store.point_clock import zone_of


def keep_old_page(
    db: Database,
    settings: Settings,
    *,
    at: datetime,
    actor: str,
    house: str,
    line_set: str | None,
    year: str,
    says: str,
    name: str,
    content: bytes,
) -> str:
    """Keep one page, pinned to a set or to the house (None) and a year; returns its id.

    Raises BadValue by field (file, year, says), NotFound for a set of another house, NotSaved when the disk is full.
    """
    require_role(db, house, actor, "walk.record")
    pinned = get_line_set(db, house, line_set).id if line_set else None
    this_year = at.astimezone(zone_of(get_house(db, house).tz)).year
    found_year, words = read_year(year, this_year), " ".join(says.split())
    if len(words) > LONGEST_WORDS:
        raise BadValue(f"At most {LONGEST_WORDS} signs; the page itself says the rest.", "says")
    mime, copies = _checked(content)
    if free_bytes(settings) < LEAST_FREE + len(content):
        raise NotSaved("Not saved: the disk is full. Free some space and send again; nothing else was changed.")
    sha256 = keep_photo_files(settings, content, copies)
    row = OldPage(
        clock.new_id(), house, pinned, found_year, words, clean_name(name, mime), mime, len(content), sha256, at
    )
    with write_transaction(db):
        add_old_page(db, row, actor)
        items = [item("old_page", row.id, [pinned or "", found_year, words, sha256])]
        append_journal(db, at=at, actor=actor, action="old_page.keep", house=house, items=items)
    return row.id


def _checked(content: bytes) -> tuple[str, Mapping[str, bytes]]:
    """The kind of a page and, of a picture, its clean copies."""
    if not content:
        raise BadValue("Choose a file.", "file")
    if len(content) > MOST_BYTES:
        raise BadValue("The file is larger than 15 MB. Send it in a smaller size, or page by page.", "file")
    mime = kind_of_file(content)
    if not mime:
        raise BadValue("This is no PDF, JPEG or PNG. Only these are kept.", "file")
    if mime == "application/pdf":
        return mime, {}
    picture = make_copies(content)
    if picture.state != "stored":
        raise BadValue("This picture cannot be read whole, or is too large to be looked at. Save it anew.", "file")
    return mime, picture.copies


def withdraw_old_page(db: Database, *, at: datetime, actor: str, house: str, page: str, reason: str) -> None:
    """Take a page back that was pinned wrongly, saying why; its bytes are kept. Raises BadValue, Conflict, NotFound."""
    if not reason.strip():
        raise BadValue("Say why the page is taken back.", "reason")
    with write_transaction(db):
        require_role(db, house, actor, "house.edit")
        found = get_old_page(db, house, page)
        if found is None:
            raise NotFound("There is no such page in this house.")
        if found.withdrawn:
            raise Conflict("This page was taken back already.")
        add_old_page_withdrawal(db, page, reason.strip()[:LONGEST_WORDS], actor, at)
        items = [item("old_page_withdrawal", page, reason.strip()[:LONGEST_WORDS])]
        append_journal(db, at=at, actor=actor, action="old_page.withdraw", house=house, items=items)
