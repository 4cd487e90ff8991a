"""Photos of the field API: one PUT for each, repeatable, and the question which have not arrived.

PUT  /api/v1/photos/<UUIDv7>   the bytes, Content-Type as the camera says, Content-Digest: sha-256=:base64: (RFC 9530)
                               when the phone can make one. 201 {"id", "state": "stored|damaged|undecoded", "sha256"};
                               200 the same when it was here before; 200 {"state": "held", "reason"} for other bytes
                               under a known id; 413 too large, 415 no such kind of picture, 422 damaged on the way,
                               429, 503 or 507 not saved: nothing was kept then.
GET  /api/v1/photos/<UUIDv7>/thumb   a JPEG of at most 320 px without metadata, of a photo of the house; 404 when
                               there is none (yet). The bytes under an id never change.
POST /api/v1/photos/missing    {"ids": [UUIDv7, ... at most 500]}, voice notes as well -> {"missing": [those not here]}
"""

import base64
import binascii
import re
from collections.abc import Callable

from flask import Blueprint, Response, g, jsonify, request
from flask.typing import ResponseReturnValue

from inspect_app import clock
from inspect_app.actions.photo import MOST_BYTES, Kept, TooLarge, TooMany, WrongKind, save_photo
from inspect_app.domain.errors import BadValue, NotFound
from inspect_app.domain.ids import is_uuid7
from inspect_app.domain.strict_json import read_strict
from inspect_app.store.photo import get_photo, list_missing_photos, read_photo
from inspect_app.store.recording import list_missing_recordings
from inspect_app.web import field_limit
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.errors import answer
from inspect_app.web.field import read_body, read_bytes, unreadable

blueprint = Blueprint("field_photo", __name__)

MOST_IDS = 500
_DIGEST = re.compile(r"(?:^|,)\s*sha-256=:([A-Za-z0-9+/=]+):\s*(?:;[^,]*)?(?:,|$)")
_REFUSALS = ((TooLarge, 413, "too_large"), (WrongKind, 415, "wrong_kind"), (TooMany, 429, "too_many"))


@blueprint.put("/api/v1/photos/<photo_id>")
@permission("device")
def put(photo_id: str) -> ResponseReturnValue:
    """Keep one photo under the id the phone gave it."""
    at = clock.now()
    if refused := field_limit.take("photo", g.device.id, at):
        return refused
    content = read_bytes(MOST_BYTES)
    return answer_kept(
        lambda: save_photo(
            get_db(), get_settings(), at=at, device=g.device, photo=photo_id, content=content, sha256=read_digest()
        )
    )


def answer_kept(save: Callable[[], Kept]) -> ResponseReturnValue:
    """Save a photo or a voice note and tell the phone what became of it."""
    try:
        kept = save()
    except (TooLarge, WrongKind, TooMany) as error:
        status, word = next((status, word) for kind, status, word in _REFUSALS if isinstance(error, kind))
        return answer(status, word, "Not kept", error.message)
    said = {"id": kept.id, "state": kept.state, "sha256": kept.sha256, "reason": kept.reason}
    return jsonify(said), 201 if kept.new and kept.state != "held" else 200


@blueprint.get("/api/v1/photos/<photo_id>/thumb")
@permission("device")
def thumb(photo_id: str) -> ResponseReturnValue:
    """A small picture of a photo of the house, for a phone to take along."""
    if refused := field_limit.take("thumb", g.device.id, clock.now()):
        return refused
    photo = get_photo(get_db(), g.device.house, photo_id)
    content = read_photo(get_settings(), photo.sha256, "thumb") if photo is not None else None
    if content is None:
        raise NotFound("There is no such picture.")
    response = Response(content, mimetype="image/jpeg")
    response.headers["Cache-Control"] = "private, max-age=31536000, immutable"
    response.headers["Vary"] = "Authorization"
    return response


@blueprint.post("/api/v1/photos/missing")
@permission("device")
def missing() -> ResponseReturnValue:
    """Which of these photos and voice notes the house does not have."""
    if refused := field_limit.take("read", g.device.id, clock.now()):
        return refused
    try:
        data = read_strict(read_body())
    except BadValue as error:
        return unreadable(error)
    ids = data.get("ids") if isinstance(data, dict) else None
    if not isinstance(ids, list) or len(ids) > MOST_IDS or not all(is_uuid7(one) for one in ids):
        return unreadable(BadValue(f"ids must be a list of at most {MOST_IDS} UUIDv7"))
    db, house = get_db(), g.device.house
    return jsonify(missing=list_missing_recordings(db, house, list_missing_photos(db, house, ids)))


def read_digest() -> str:
    """The SHA-256 the phone says the bytes have, in hex; '' when it says none. Raises BadValue on an unreadable one."""
    header = request.headers.get("Content-Digest", "")
    found = _DIGEST.search(header)
    if not found:
        return ""
    try:
        digest = base64.b64decode(found.group(1), validate=True)
    except binascii.Error:
        digest = b""
    if len(digest) != 32:
        raise BadValue("Content-Digest cannot be read; send sha-256=:base64: or leave it out.", "Content-Digest")
    return digest.hex()
