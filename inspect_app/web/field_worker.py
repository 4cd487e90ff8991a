"""What makes the walk page an app on a phone: its service worker with the list of files to keep, and its manifest."""

import hashlib
import json

from flask import Blueprint, Response, url_for
from flask.typing import ResponseReturnValue

from inspect_app.web.access import permission
from inspect_app.web.compression import answer_with
from inspect_app.web.static_files import FOLDER
from inspect_app.web.walk_shell import shell_text

blueprint = Blueprint("field_worker", __name__)

SHELL = "/walk"
MANIFEST = "/walk.webmanifest"
SCALE = "/walk/scale.js"
_SERVICE = FOLDER / "js" / "field" / "worker" / "service.js"
_SCALE = "js/field/worker/scale.js"
_STYLES = ("css/app.css", "css/field.css")
_ICONS = {"icons/walk-192.png": 192, "icons/walk-512.png": 512, "icons/walk-512-maskable.png": 512}
_GROUND = "#16181a"
_LETTERS = 16  # of the SHA-256: enough to tell versions apart


@blueprint.get("/walk-worker.js")
@permission("public")
def worker() -> ResponseReturnValue:
    """The service worker: VERSION and FILES as they are now, then the script that uses them."""
    return _answer(worker_text(), "text/javascript")


@blueprint.get(MANIFEST)
@permission("public")
def manifest() -> ResponseReturnValue:
    """How the walk page stands on a home screen."""
    return _answer(manifest_text(), "application/manifest+json")


@blueprint.get(SCALE)
@permission("public")
def scale() -> ResponseReturnValue:
    """The script that scales photos, in the scope of the service worker: browsers go by the address of a worker."""
    return _answer((FOLDER / _SCALE).read_text(encoding="utf-8"), "text/javascript")


def _answer(text: str, kind: str) -> Response:
    response = Response(text, mimetype=kind)
    response.headers["Cache-Control"] = "no-cache"
    return answer_with(response, hashlib.sha256(text.encode()).hexdigest()[:_LETTERS])


def worker_text() -> str:
    """The worker's script. Any change of it or of a file it keeps changes VERSION, and so makes browsers update."""
    files = json.dumps(app_files(), indent=0)
    service = _SERVICE.read_text(encoding="utf-8")
    version = hashlib.sha256(f"{files}\n{service}".encode()).hexdigest()[:_LETTERS]
    return f'"use strict";\nconst VERSION = "{version}";\nconst FILES = {files};\n{service}'


def app_files() -> dict[str, str]:
    """Everything the walk page needs off line: the path of each file and the SHA-256 of its bytes in hex."""
    files = {SHELL: shell_text().encode(), MANIFEST: manifest_text().encode()}
    scripts = sorted(path for path in (FOLDER / "js" / "field").rglob("*.js") if path != _SERVICE)
    names = ["icon.svg", *_STYLES, *_ICONS, *(path.relative_to(FOLDER).as_posix() for path in scripts)]
    files |= {url_for("static", filename=name, v=None): (FOLDER / name).read_bytes() for name in names}
    files[SCALE] = (FOLDER / _SCALE).read_bytes()
    return {path: hashlib.sha256(content).hexdigest() for path, content in files.items()}


def manifest_text() -> str:
    """The manifest as JSON."""
    icons = [
        {
            "src": url_for("static", filename=name),
            "sizes": f"{size}x{size}",
            "type": "image/png",
            "purpose": "maskable" if "maskable" in name else "any",
        }
        for name, size in _ICONS.items()
    ]
    said = {
        "id": SHELL,
        "name": "Grid and gallery walk",
        "short_name": "Grid walk",
        "description": "Records a walk of grid, galleries and rail, with or without a signal.",
        "lang": "en",
        "start_url": SHELL,
        "scope": SHELL,
        "display": "standalone",
        "background_color": _GROUND,
        "theme_color": _GROUND,
        "icons": icons,
    }
    return json.dumps(said, indent=1)
