"""Keeping the sound of a set: checked by its bytes, written to its file, then its row."""

from datetime import date, datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.photo import LEAST_FREE
from inspect_app.actions.walk import require_role
from inspect_app.config import Settings
from inspect_app.domain.by_ear import LONGEST_NOTE, SetSound, check_place, check_sound, tenths_of
from inspect_app.domain.errors import BadValue, NotSaved
from inspect_app.store.db import write_transaction
from inspect_app.store.house import get_house, get_line_set
from inspect_app.store.journal import append_journal, item
from inspect_app.store.photo import free_bytes, keep_photo_files
from inspect_app.store.point_clock import zone_of
from inspect_app.store.set_sound import add_set_sound


def keep_set_sound(
    db: Database,
    settings: Settings,
    *,
    at: datetime,
    actor: str,
    house: str,
    line_set: str,
    place: str,
    recorded_on: date,
    note: str,
    content: bytes,
) -> SetSound:
    """Keep one recording of a set at a named place; its length is told and never refused.

    Raises BadValue by field (file, place, recorded_on, note), NotFound, and NotSaved when the disk is full.
    """
    require_role(db, house, actor, "walk.record")
    found, where, words = get_line_set(db, house, line_set), check_place(place), " ".join(note.split())
    if recorded_on > at.astimezone(zone_of(get_house(db, house).tz)).date():
        raise BadValue("This day has not come yet.", "recorded_on")
    if len(words) > LONGEST_NOTE:
        raise BadValue(f"At most {LONGEST_NOTE} signs.", "note")
    mime = check_sound(content)
    if free_bytes(settings) < LEAST_FREE + len(content):
        raise NotSaved("Not saved: the disk is full. Free some space and send again; nothing else was changed.")
    sha256 = keep_photo_files(settings, content, {})
    sound = SetSound(
        clock.new_id(), house, found.id, where, recorded_on, words, mime, len(content), sha256,
        tenths_of(content, mime), at, set_number=found.number,
    )  # fmt: skip
    with write_transaction(db):
        add_set_sound(db, sound, actor)
        items = [item("set_sound", sound.id, [found.id, where, recorded_on.isoformat(), sha256])]
        append_journal(db, at=at, actor=actor, action="set_sound.keep", house=house, items=items)
    return sound
