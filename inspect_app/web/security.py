"""Headers on every response, limits on what is taken in, and the refusal of requests from other sites."""

import re
from urllib.parse import urlsplit

from flask import Flask, Response, abort, request

from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue, NotAllowed
from inspect_app.web.elsewhere import send_elsewhere

CONTENT_SECURITY_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' blob: data:",
        "media-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "object-src 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}
# The walk page may ask for camera (live picture, labels, light) and microphone (voice notes).
FIELD_PERMISSIONS = "camera=(self), geolocation=(), microphone=(self)"
# The page on which a set is recorded by ear may ask for the microphone.
LISTENING_PERMISSIONS = "camera=(), geolocation=(), microphone=(self)"
_HSTS = "max-age=31536000"  # a year; no includeSubDomains, which would be wrong for a name on a house's own network
MEGABYTE = 1024 * 1024
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})


def _limits() -> dict[str, object]:
    return {
        "MAX_CONTENT_LENGTH": 16 * MEGABYTE,
        "MAX_FORM_MEMORY_SIZE": 200_000,
        "MAX_FORM_PARTS": 2_000,
        "PROPAGATE_EXCEPTIONS": False,
        "WTF_CSRF_TIME_LIMIT": None,  # a form may lie open for a day; its token belongs to the session
        "WTF_CSRF_CHECK_DEFAULT": False,  # access.py checks, route by route
        "WTF_CSRF_METHODS": ["POST", "PUT", "PATCH", "DELETE"],
    }


def _add_headers(response: Response) -> Response:
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    if "Cache-Control" not in response.headers:
        response.headers["Cache-Control"] = "no-store"
    return response


def _keep_to_tls(response: Response) -> Response:
    if request.is_secure:
        response.headers.setdefault("Strict-Transport-Security", _HSTS)
    return response


def refuse_other_sites() -> None:
    """Raise NotAllowed for a change asked for by a page of another site, as far as the browser tells."""
    origin = request.headers.get("Origin")
    fetch_site = request.headers.get("Sec-Fetch-Site")
    foreign = fetch_site in ("cross-site", "same-site") or (
        origin is not None and urlsplit(origin).netloc != request.host
    )
    if foreign:
        raise NotAllowed("This request came from a page of another site. Nothing was changed. Open the page here.")


def refuse_unreadable() -> None:
    """Hold JSON to 1 MB, and raise BadValue on a NUL character, which no form has a use for."""
    if request.is_json:
        request.max_content_length = MEGABYTE
    texts = [*request.args.values(), *(str(value) for value in (request.view_args or {}).values())]
    if request.mimetype in ("application/x-www-form-urlencoded", "multipart/form-data"):
        texts += [text for values in request.form.listvalues() for text in values]
    if any("\x00" in text for text in texts):
        raise BadValue("The request holds a NUL character. Take it out and send again.")


def init_app(app: Flask, settings: Settings) -> None:
    """Set the limits and put the headers on everything that leaves."""
    app.config.update(_limits())
    app.after_request(_add_headers)
    if settings.lan is None:  # a phone must be able to reach the plain page again when it has to trust a new authority
        app.after_request(_keep_to_tls)
    known = frozenset(name.lower() for name in settings.trusted_hosts)

    @app.before_request
    def refuse_unknown_host() -> Response | None:
        # Werkzeug's TRUSTED_HOSTS cannot hold an IPv6 address, so the check is made here.
        if re.sub(r":\d+\Z", "", request.host.lower()) in known:
            return None
        if settings.lan is not None:
            return send_elsewhere(settings.lan)
        abort(400, "This server does not answer to that host name. Start it with --name to add one.")
