"""The walk page: a shell without user data that records through the field API with a device's token."""

import hashlib
import re

from flask import Blueprint, Response, make_response, render_template

from inspect_app import __version__
from inspect_app.web.access import permission
from inspect_app.web.compression import answer_with
from inspect_app.web.security import FIELD_PERMISSIONS
from inspect_app.web.static_files import FOLDER

blueprint = Blueprint("walk_shell", __name__)

EARLY, MAIN = "js/field/early.js", "js/field/main.js"
_IMPORT = re.compile(r'^import [^;]*?"\./([a-z0-9_]+\.js)";', re.MULTILINE)


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
    early = needed_by(EARLY)
    rest = [name for name in needed_by(MAIN) if name not in early]
    return render_template("field/shell.html", version=__version__, early=early, modules=rest)


def needed_by(script: str) -> list[str]:
    """A script and all that it needs to start: a browser told of them asks for all at once, where it would otherwise
    find each only in the one that imports it."""
    found = [script]
    for name in found:
        text = (FOLDER / name).read_text(encoding="utf-8")
        here = name.rpartition("/")[0]
        found += [one for other in _IMPORT.findall(text) if (one := f"{here}/{other}") not in found]
    return found
