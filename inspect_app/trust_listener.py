"""A second listener, in plain HTTP, for phones that do not trust the house's certificate yet: one page and one file.

It reads no cookie and no body, knows nothing of the record, and sends only what was made when it started.
"""

import threading
from collections.abc import Mapping
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from socket import socket
from typing import Any, NamedTuple

_AT_ONCE = 32
_SILENCE_S = 10  # after which a connection that says nothing is closed
_HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; img-src 'self'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
    "Connection": "close",
}


class File(NamedTuple):
    """What is sent for a path."""

    kind: str
    content: bytes


class TrustListener(ThreadingHTTPServer):
    """Sends `files` by their path and answers everything else with 404; few connections at once, none for long."""

    daemon_threads = True
    allow_reuse_port = True  # while one worker hands over to the next, both listen
    request_queue_size = 128

    def __init__(self, host: str, port: int, files: Mapping[str, File]) -> None:
        self.files = files
        self._room = threading.BoundedSemaphore(_AT_ONCE)
        super().__init__((host, port), _Answer)

    def process_request(self, request: Any, client_address: Any) -> None:
        """Start a thread for a connection, or close it when there are too many."""
        if self._room.acquire(blocking=False):
            super().process_request(request, client_address)
        else:
            self.shutdown_request(request)

    def process_request_thread(self, request: Any, client_address: Any) -> None:
        """Answer one connection."""
        try:
            super().process_request_thread(request, client_address)
        finally:
            self._room.release()

    def handle_error(self, request: socket | tuple[bytes, socket], client_address: Any) -> None:
        """A phone that goes away, or speaks TLS here, is no news."""

    def start(self) -> None:
        """Serve from a thread that ends with the process."""
        threading.Thread(target=self.serve_forever, name="trust page", daemon=True).start()


class _Answer(BaseHTTPRequestHandler):
    timeout = _SILENCE_S
    server_version, sys_version = "inspect-app", ""

    def do_GET(self) -> None:
        self._send(with_content=True)

    def do_HEAD(self) -> None:
        self._send(with_content=False)

    def _send(self, with_content: bool) -> None:
        files: Mapping[str, File] = self.server.files  # type: ignore[attr-defined]
        found = files.get(self.path.partition("?")[0])
        kind, content = found or File("text/plain; charset=utf-8", b"Only the page /trust is here.\n")
        self.send_response(200 if found else 404)
        for name, value in _HEADERS.items():
            self.send_header(name, value)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        if with_content:
            self.wfile.write(content)

    def log_message(self, format: str, *args: Any) -> None:
        """Say nothing: a log of who asked is not wanted."""
