"""Photos for the members of a house: clean copies for everyone, the original for those who may, as a download."""

import unicodedata
from urllib.parse import quote

from flask import Blueprint, Response, g, make_response, request

from inspect_app import clock
from inspect_app.actions.photo import record_original_read
from inspect_app.domain.errors import NotFound
from inspect_app.store.original import find_original
from inspect_app.store.photo import COPIES, Photo, get_photo, read_photo
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings

blueprint = Blueprint("photo", __name__)

SANDBOX = "sandbox; default-src 'none'"
_ENDINGS = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp", "image/heic": "heic"}


@blueprint.get("/houses/<house_id>/photos/<photo_id>/<size>")
@permission("photo.view")
def copy(house_id: str, photo_id: str, size: str) -> Response:
    """A copy without metadata: `thumb` 320, `report` 600 or `print` 1200 px on the long side."""
    photo = _find(house_id, photo_id)
    content = read_photo(get_settings(), photo.sha256, size) if size in COPIES else None
    if content is None:
        raise NotFound("There is no such picture. If the photo is damaged, only its original is kept.")
    return send_kept(content, "image/jpeg", f"{photo.sha256[:32]}-{size}")


@blueprint.get("/houses/<house_id>/photos/<photo_id>/original")
@permission("photo.original")
def original(house_id: str, photo_id: str) -> Response:
    """The camera's own bytes where they came, else those of the photo as received; the journal notes who took them."""
    photo = _find(house_id, photo_id)
    kept = find_original(get_db(), photo.id)
    if kept is not None and kept.house == house_id:
        photo = photo._replace(sha256=kept.sha256, mime=kept.mime)
    content = read_photo(get_settings(), photo.sha256)
    if content is None:
        raise NotFound("The file of this photo is missing. Restore the last backup.")
    record_original_read(get_db(), at=clock.now(), actor=g.person.id, photo=photo)
    response = send_sandboxed(content, photo.mime)
    ending = _ENDINGS.get(photo.mime, "bin")
    response.headers["Content-Disposition"] = f'attachment; filename="photo-{photo.id}.{ending}"'
    return response


def _find(house: str, photo: str) -> Photo:
    found = get_photo(get_db(), house, photo)
    if found is None:
        raise NotFound("There is no such photo.")
    return found


def send_sandboxed(content: bytes, mime: str) -> Response:
    """Bytes that came from a phone, so that no browser runs or guesses at them."""
    response = make_response(content)
    response.mimetype = mime
    response.headers["Content-Security-Policy"] = SANDBOX
    response.headers["X-Content-Type-Options"] = "nosniff"
    return response


def name_download(response: Response, name: str) -> None:
    """Have a browser keep the response under a name from outside; letters beyond ASCII go as RFC 8187 has them."""
    names = {"filename": unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()}
    if names["filename"] != name:
        names["filename*"] = "UTF-8''" + quote(name, safe="!#$&+-.^_`|~")
    response.headers.set("Content-Disposition", "attachment", **names)


def send_kept(content: bytes, mime: str, tag: str, *, in_parts: bool = False) -> Response:
    """The same for a browser to keep, which asks each time whether `tag` still stands, and may ask for a part."""
    response = send_sandboxed(content, mime)
    response.headers["Cache-Control"] = "private, no-cache"
    response.set_etag(tag)
    response.make_conditional(request, accept_ranges=in_parts, complete_length=len(content) if in_parts else None)
    return response
