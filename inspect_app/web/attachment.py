"""Files that belong to deficiencies: a picture's clean copies to look at, and every file as it came as a download."""

from flask import Blueprint, Response

from inspect_app.domain.errors import NotFound
from inspect_app.store.deficiency_story import Attachment, get_attachment
from inspect_app.store.photo import COPIES, read_photo
from inspect_app.web.access import may, permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.guest_pass import costs_hidden
from inspect_app.web.photo import name_download, send_kept, send_sandboxed

blueprint = Blueprint("attachment", __name__, url_prefix="/houses/<house_id>/attachments/<attachment_id>")


def _find(house_id: str, attachment_id: str) -> Attachment:
    found = get_attachment(get_db(), house_id, attachment_id)
    if found is None:
        raise NotFound("There is no such file.")
    return found


@blueprint.get("/<size>")
@permission("photo.view")
def copy(house_id: str, attachment_id: str, size: str) -> Response:
    """A picture's copy without metadata: `thumb` 320, `report` 600 or `print` 1200 px on the long side."""
    found = _find(house_id, attachment_id)
    if costs_hidden() and found.shows not in ("before", "after"):
        raise NotFound("There is no such picture.")  # it may be the picture of a quote
    content = read_photo(get_settings(), found.sha256, size) if size in COPIES and found.picture else None
    if content is None:
        raise NotFound("There is no such picture.")
    return send_kept(content, "image/jpeg", f"{found.sha256[:32]}-{size}")


@blueprint.get("")
@permission("deficiency.view")
def download(house_id: str, attachment_id: str) -> Response:
    """The file as it came; of a picture the copy without metadata, unless the person may have originals."""
    found = _find(house_id, attachment_id)
    clean = found.picture and not may("photo.original")
    content = read_photo(get_settings(), found.sha256, "print" if clean else "")
    if content is None:
        raise NotFound("The bytes of this file are missing. Restore the last backup.")
    response = send_sandboxed(content, "image/jpeg" if clean else found.mime)
    name_download(response, found.name)
    return response
