"""What a person or a device is told when something cannot be done: a page, or JSON under /api/."""

import logging
import secrets

from flask import Flask, Response, jsonify, make_response, render_template, request
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import HTTPException

from inspect_app.domain.errors import BadValue, Conflict, DomainError, NotAllowed, NotFound, NotSaved

log = logging.getLogger(__name__)


class Unauthorised(DomainError):
    """Nobody is signed in, or the device's token is not good."""


# class -> status, word for programs, title of the page
_KINDS: dict[type[DomainError], tuple[int, str, str]] = {
    BadValue: (422, "bad_value", "This could not be read"),
    NotAllowed: (403, "not_allowed", "Not allowed"),
    NotFound: (404, "not_found", "Not found"),
    Conflict: (409, "conflict", "Not done"),
    NotSaved: (503, "not_saved", "Not saved"),
    Unauthorised: (401, "unauthorised", "Sign in first"),
}
# status -> title, message
_HTTP: dict[int, tuple[str, str]] = {
    400: ("This could not be read", "The request is malformed. Nothing was changed."),
    404: ("Not found", "There is no such page. Check the address, or start from your houses."),
    405: ("Not done", "This address cannot be used that way. Nothing was changed."),
    413: ("Too large", "What was sent is too large. Nothing was saved. Send less at once, or a smaller file."),
    414: ("Address too long", "The address is too long to be read."),
    415: ("This could not be read", "This kind of content is not taken here. Nothing was changed."),
    429: ("Wait a little", "Too many requests. Wait a minute, then send again; nothing was lost on your side."),
}
_UNREADABLE = (RecursionError, OverflowError, UnicodeError)


def answer(status: int, word: str, title: str, message: str) -> Response:
    """The error as JSON for programs and as a page for people."""
    if request.path.startswith("/api/"):
        return make_response(jsonify(error=word, message=message), status)
    return make_response(render_template("error.html", title=title, message=message, status=status), status)


def _domain_error(error: DomainError) -> Response:
    status, word, title = next(
        (found for kind, found in _KINDS.items() if isinstance(error, kind)), (422, "bad_value", "Not done")
    )
    if isinstance(error, NotSaved) and "disk is full" in error.message:
        status = 507
    return answer(status, word, title, error.message)


def _http_error(error: HTTPException) -> Response:
    status = error.code or 500
    if error.response is not None and status < 400:
        return error.response  # type: ignore[return-value]
    title, message = _HTTP.get(status, ("Not done", error.description or "The request could not be carried out."))
    response = answer(status, error.name.lower().replace(" ", "_"), title, message)
    for name, value in error.get_headers(request.environ):
        if name in ("Allow", "Retry-After"):
            response.headers[name] = value
    return response


def _csrf_error(_: CSRFError) -> Response:
    message = (
        "The form did not carry the mark of your present session, so nothing was changed. "
        "Go back: what you typed is still in the form. Load the page again in a second tab, sign in there, then send."
    )
    return answer(400, "form_token", "Not done", message)


def _unreadable(error: Exception) -> Response:
    log.warning("unreadable request to %s: %s", request.endpoint, type(error).__name__)
    return answer(400, "bad_request", *_HTTP[400])


def _unexpected(error: Exception) -> Response:
    number = secrets.token_hex(4)
    log.error("error %s at %s", number, request.endpoint, exc_info=error)
    message = (
        "The program failed at this. It may not have been saved: look before you send again. "
        f"The server's log tells more under the number {number}."
    )
    try:
        return answer(500, "failed", "Something went wrong", message)
    except Exception:
        log.exception("the error page itself failed")
        return Response(message, 500, mimetype="text/plain")


def init_app(app: Flask) -> None:
    """Answer every error in the program's own words."""
    app.register_error_handler(CSRFError, _csrf_error)
    app.register_error_handler(DomainError, _domain_error)
    app.register_error_handler(HTTPException, _http_error)
    for kind in _UNREADABLE:
        app.register_error_handler(kind, _unreadable)
    app.register_error_handler(Exception, _unexpected)
