"""Voice notes for the members of a house: played on its pages, never run as anything else."""

from datetime import datetime
from typing import NamedTuple

from flask import Blueprint, Response

from inspect_app.domain.errors import NotFound
from inspect_app.domain.recording import ending_of
from inspect_app.domain.walk_record import WalkRecord
from inspect_app.store.photo import read_photo
from inspect_app.store.recording import get_recording
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.photo import send_kept

blueprint = Blueprint("recording", __name__)


@blueprint.get("/houses/<house_id>/recordings/<recording_id>")
@permission("photo.view")
def play(house_id: str, recording_id: str) -> Response:
    """The bytes as received; a player may ask for a part of them."""
    found = get_recording(get_db(), house_id, recording_id)
    content = read_photo(get_settings(), found.sha256) if found is not None else None
    if found is None or content is None:
        raise NotFound("There is no such voice note, or its file is missing.")
    return send_sound(content, found.mime, found.sha256, f"voice-note-{found.id}")


def send_sound(content: bytes, mime: str, sha256: str, name: str) -> Response:
    """A recording as received, to be played under a name without its ending."""
    response = send_kept(content, mime, sha256[:32], in_parts=True)
    response.headers["Content-Disposition"] = f'inline; filename="{name}.{ending_of(mime)}"'
    return response


class VoiceNote(NamedTuple):
    """A voice note as a page of its walk lists it."""

    id: str
    here: bool
    part: str
    by: str
    at: datetime | None


@blueprint.app_template_global()
def voice_notes(record: WalkRecord) -> list[VoiceNote]:
    """The voice notes of a walk in the order in which they were spoken."""
    tags = {part.id: part.tag for part in record.inventory.parts}
    looks = {look.entry: look for look in record.looks}
    rows = []
    for one in record.recordings:
        look = next((looks[entry] for entry in one.entries if entry in looks), None)
        tag, by = (tags.get(look.part, ""), look.by_name) if look else ("", "")
        rows.append(VoiceNote(one.id, one.here, tag, by, look.at if look else None))
    return rows
