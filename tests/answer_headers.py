"""The headers that every answer of the application must carry, whatever was asked."""

from typing import Any

from werkzeug.test import TestResponse

from inspect_app.web.security import FIELD_PERMISSIONS, HEADERS, LISTENING_PERMISSIONS

# What these pages alone may ask the browser for; refusals and errors under their addresses may ask for nothing.
_MAY_ASK = {"walk_shell.shell": FIELD_PERMISSIONS, "by_ear.one": LISTENING_PERMISSIONS}


def faulty_headers(route: Any, response: TestResponse) -> list[str]:
    """Names and values of the headers of security and of caching that an answer lacks or has otherwise."""
    bad = [
        f"{name}: {response.headers.get(name)}"
        for name, value in HEADERS.items()
        if response.headers.get(name) not in _own_values(name, value, route, response.status_code)
    ]
    cache = response.headers.get("Cache-Control", "")
    if cache != "no-store" and not _may_be_kept(route, cache):
        bad.append(f"Cache-Control: {cache}")
    return bad


def _own_values(name: str, value: str, route: Any, status: int) -> tuple[str, ...]:
    """Photos may go out under a stricter policy still; a page with its form may have a policy of its own."""
    if name == "Permissions-Policy" and status in (200, 422):
        return (_MAY_ASK.get(route.rule.endpoint, value),)
    return (value, "sandbox; default-src 'none'") if name == "Content-Security-Policy" else (value,)


def _may_be_kept(route: Any, cache: str) -> bool:
    """Static files, and what is asked for again each time and answered by its digest."""
    return "no-cache" in cache or route.rule.endpoint == "static"
