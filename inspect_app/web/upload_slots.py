"""A bound on how many requests with a body are under way at once, so that slow uploads leave room for reading."""

import threading
from collections.abc import Callable, Iterable
from typing import Any

from inspect_app.web.security import HEADERS

Wsgi = Callable[[dict[str, Any], Callable[..., Any]], Iterable[bytes]]

_BUSY = b'{"error": "busy", "message": "Too many uploads at once. Send again in a moment; nothing was lost."}'


class UploadSlots:
    """WSGI middleware. A phone on a weak signal holds a thread while its photo trickles in; some threads stay free."""

    def __init__(self, app: Wsgi, slots: int) -> None:
        self.app = app
        self.free = threading.BoundedSemaphore(slots)

    def __call__(self, environ: dict[str, Any], start_response: Callable[..., Any]) -> Iterable[bytes]:
        """Pass the request on, or answer 503 when every slot is taken."""
        length = environ.get("CONTENT_LENGTH") or "0"
        if length == "0" and not environ.get("HTTP_TRANSFER_ENCODING"):
            return self.app(environ, start_response)
        if not self.free.acquire(blocking=False):
            own = [("Content-Type", "application/json"), ("Retry-After", "5"), ("Cache-Control", "no-store")]
            start_response("503 Service Unavailable", [*own, *HEADERS.items()])
            return [_BUSY]
        try:
            return self.app(environ, start_response)
        finally:
            self.free.release()
