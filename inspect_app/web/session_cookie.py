"""The two cookies: the session's random id, and a signed one for passing messages from one page to the next.

The session itself is a row in the database (store/session.py). The form token of someone signed in is derived from
the session's id, so it is as old as the session and worth nothing in another one.
"""

import hashlib
import hmac
from typing import Any, cast

from flask import Flask, Request, Response, request
from flask.sessions import SecureCookieSessionInterface, SessionMixin

from inspect_app.web.database import get_settings

CSRF = "csrf_token"
_MAX_AGE_S = (
    60 * 24 * 3600
)  # longer than any session, so that a form sent too late can still be told apart from a forged one


def cookie_name(secure: bool) -> str:
    """A name that browsers bind to this very host wherever the connection is encrypted."""
    return "__Host-session" if secure else "inspect-session"


def get_session_token() -> str:
    """The session id the browser sent, or ''."""
    return request.cookies.get(cookie_name(get_settings().secure_cookies), "")


def set_session_token(response: Response, token: str) -> None:
    """Give the browser a session id; an empty one takes it away."""
    secure = get_settings().secure_cookies
    response.set_cookie(
        cookie_name(secure),
        token,
        max_age=_MAX_AGE_S if token else 0,
        secure=secure,
        httponly=True,
        samesite="Lax",
        path="/",
    )


class MessageCookie(SecureCookieSessionInterface):
    """Flask's signed cookie, which holds messages between pages and a visitor's form token, nothing else."""

    def open_session(self, app: Flask, request: Request) -> Any:
        """Read the cookie; for someone with a session the form token comes from the session's id."""
        session = super().open_session(app, request)
        token = request.cookies.get(cookie_name(bool(app.config["SESSION_COOKIE_SECURE"])), "")
        if session is not None and token:
            key = app.secret_key if isinstance(app.secret_key, bytes) else str(app.secret_key).encode()
            mac = hmac.new(key, b"form token " + token.encode("utf-8", "surrogateescape"), hashlib.sha256)
            dict.__setitem__(session, CSRF, mac.hexdigest())  # not through the session: it would mark it as changed
        return session

    def save_session(self, app: Flask, session: SessionMixin, response: Response) -> None:
        """Write the cookie when it changed; the form token of a session is never written."""
        if request.cookies.get(cookie_name(bool(app.config["SESSION_COOKIE_SECURE"]))):
            dict.pop(cast(dict[str, object], session), CSRF, None)
        super().save_session(app, session, response)


def init_app(app: Flask) -> None:
    """Set the cookies' names and marks."""
    secure = get_settings_of(app).secure_cookies
    app.config.update(
        SESSION_COOKIE_NAME="__Host-messages" if secure else "inspect-messages",
        SESSION_COOKIE_SECURE=secure,
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_COOKIE_PATH="/",
    )
    app.session_interface = MessageCookie()


def get_settings_of(app: Flask) -> Any:
    """The settings that `app` was made with."""
    return app.extensions["inspect_app_settings"]
