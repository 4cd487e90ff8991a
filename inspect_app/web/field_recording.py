"""Voice notes of the field API: one PUT for each, repeatable, as for photos.

PUT  /api/v1/recordings/<UUIDv7>   the bytes of a WebM, Ogg or MP4 recording of at most 4 MB, Content-Digest:
                                   sha-256=:base64: (RFC 9530) when the phone can make one.
                                   201 {"id", "state": "stored", "sha256", "reason"}; 200 the same when it was here
                                   before; 200 {"state": "held", "reason"} for other bytes under a known id; 413 too
                                   large, 415 no such kind, 422 damaged on the way, 429, 503 or 507 not saved.
POST /api/v1/photos/missing        takes the ids of voice notes as well.
"""

from flask import Blueprint, g
from flask.typing import ResponseReturnValue

from inspect_app import clock
from inspect_app.actions.recording import save_recording
from inspect_app.domain.recording import MOST_BYTES
from inspect_app.web import field_limit
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.field import read_bytes
from inspect_app.web.field_photo import answer_kept, read_digest

blueprint = Blueprint("field_recording", __name__)


@blueprint.put("/api/v1/recordings/<recording_id>")
@permission("device")
def put(recording_id: str) -> ResponseReturnValue:
    """Keep one voice note under the id the phone gave it."""
    at = clock.now()
    if refused := field_limit.take("photo", g.device.id, at):
        return refused
    content = read_bytes(MOST_BYTES)
    return answer_kept(
        lambda: save_recording(
            get_db(),
            get_settings(),
            at=at,
            device=g.device,
            recording=recording_id,
            content=content,
            sha256=read_digest(),
        )
    )
