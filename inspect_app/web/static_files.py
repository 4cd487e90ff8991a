"""Static files: an address with the file's digest may be kept for ever, one without is asked for again each time."""

import hashlib
import mimetypes
from functools import lru_cache
from pathlib import Path

from flask import Flask, Response, abort, request

from inspect_app.web.access import permission
from inspect_app.web.compression import answer_with

FOLDER = Path(__file__).with_name("static")
_LETTERS = 16  # of the SHA-256: enough to tell versions apart


@lru_cache(maxsize=512)
def _digest(path: Path, mtime_ns: int, size: int) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()[:_LETTERS]


def version_of(filename: str) -> str:
    """The digest of a static file as it is now, or '' when there is no such file."""
    path = (FOLDER / filename).resolve()
    if not path.is_relative_to(FOLDER) or not path.is_file():
        return ""
    stat = path.stat()
    return _digest(path, stat.st_mtime_ns, stat.st_size)


@permission("public")
def static(filename: str) -> Response:
    """Send a static file; 404 for a version that is not the present one, so that no cache ever mixes two."""
    asked = request.args.get("v")
    version = version_of(filename) if "\x00" not in filename else ""
    if not version or asked not in (None, version):
        abort(404)
    kind = mimetypes.guess_type(filename)[0] or "application/octet-stream"
    response = Response((FOLDER / filename).read_bytes(), mimetype=kind)
    response.headers["Cache-Control"] = "public, max-age=31536000, immutable" if asked else "no-cache"
    return answer_with(response, version)


def _add_version(endpoint: str, values: dict[str, object]) -> None:
    if endpoint == "static" and "filename" in values and "v" not in values:
        values["v"] = version_of(str(values["filename"])) or None


def init_app(app: Flask) -> None:
    """Serve /static/ and put the digest into every `url_for('static', ...)`."""
    app.add_url_rule("/static/<path:filename>", endpoint="static", view_func=static)
    app.url_default_functions.setdefault(None, []).append(_add_version)
