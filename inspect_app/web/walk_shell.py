"""The walk page: a shell without user data that records through the field API with a device's token."""

import hashlib

from flask import Blueprint, Response, make_response, render_template

from inspect_app import __version__
from inspect_app.web.access import permission
from inspect_app.web.compression import answer_with
from inspect_app.web.security import FIELD_PERMISSIONS

blueprint = Blueprint("walk_shell", __name__)


@blueprint.get("/walk")
@permission("public")
def shell() -> Response:
    """The same page for everyone; what it shows comes from the field API."""
    text = shell_text()
    response = make_response(text)
    response.headers["Cache-Control"] = "no-cache"
    response.headers["Permissions-Policy"] = FIELD_PERMISSIONS
    return answer_with(response, hashlib.sha256(text.encode()).hexdigest()[:16])


def shell_text() -> str:
    """The page as HTML: the same bytes for everyone, so that phones may keep it."""
    return render_template("field/shell.html", version=__version__)
