"""Originals of the field API, for a house that keeps them (`house.keep_originals` of the pack).

PUT  /api/v1/photos/<UUIDv7>/original   the camera's bytes of a photo whose scaled picture goes to /api/v1/photos/<id>,
                                        in either order; headers and answers as there, at most 40 MB. Taken in also
                                        when the house has stopped asking for them meanwhile.
"""

from flask import Blueprint, g
from flask.typing import ResponseReturnValue

from inspect_app import clock
from inspect_app.actions.original import MOST_BYTES, save_original
from inspect_app.web import field_limit
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.field import read_bytes
from inspect_app.web.field_photo import answer_kept, read_digest

blueprint = Blueprint("field_original", __name__)


@blueprint.put("/api/v1/photos/<photo_id>/original")
@permission("device", most_bytes=MOST_BYTES + 1)
def put(photo_id: str) -> ResponseReturnValue:
    """Keep the original of one photo."""
    at = clock.now()
    if refused := field_limit.take("photo", g.device.id, at):
        return refused
    content = read_bytes(MOST_BYTES)
    return answer_kept(
        lambda: save_original(
            get_db(), get_settings(), at=at, device=g.device, photo=photo_id, content=content, sha256=read_digest()
        )
    )
