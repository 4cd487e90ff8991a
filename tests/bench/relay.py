"""A relay between browser and server that counts what really went over the wire, answer by answer."""

import contextlib
import socket
import threading
from collections import deque
from typing import NamedTuple


class Answer(NamedTuple):
    """One answer: its path, status, and bytes of headers and of body as sent, which is after compression."""

    path: str
    status: int
    head: int
    body: int


class Relay:
    """Listens on a port of its own. HTTP/1.1 with Content-Length, one request after another on a connection."""

    def __init__(self, upstream: int) -> None:
        self.upstream = upstream
        self.answers: list[Answer] = []
        self.listener = socket.create_server(("127.0.0.1", 0), backlog=128)
        self.port = int(self.listener.getsockname()[1])
        threading.Thread(target=self._accept, daemon=True).start()

    def close(self) -> None:
        """Nobody answers on the port from here on."""
        self.listener.shutdown(socket.SHUT_RDWR)
        self.listener.close()

    def _accept(self) -> None:
        while True:
            try:
                browser, _ = self.listener.accept()
                server = socket.create_connection(("127.0.0.1", self.upstream))
            except OSError:
                return
            asked: deque[str] = deque()
            threading.Thread(target=self._ask, args=(browser, server, asked), daemon=True).start()
            threading.Thread(target=self._answer, args=(browser, server, asked), daemon=True).start()

    def _ask(self, browser: socket.socket, server: socket.socket, asked: deque[str]) -> None:
        stream = browser.makefile("rb")
        try:
            while head := _head(stream):
                length = _length(head)
                asked.append(head.split(b" ", 2)[1].decode())
                server.sendall(head + stream.read(length))
        except OSError:
            pass
        finally:
            _shut(server, browser)

    def _answer(self, browser: socket.socket, server: socket.socket, asked: deque[str]) -> None:
        stream = server.makefile("rb")
        try:
            while head := _head(stream):
                status = int(head.split(b" ", 2)[1])
                body = b"" if status in (204, 304) else stream.read(_length(head))
                self.answers.append(Answer(asked.popleft(), status, len(head), len(body)))
                browser.sendall(head + body)
        except OSError:
            pass
        finally:
            _shut(server, browser)


def _head(stream) -> bytes:  # type: ignore[no-untyped-def]
    lines = []
    while line := stream.readline():
        lines.append(line)
        if line == b"\r\n":
            return b"".join(lines)
    return b""


def _length(head: bytes) -> int:
    for line in head.split(b"\r\n"):
        name, _, value = line.partition(b":")
        if name.lower() == b"content-length":
            return int(value)
    return 0


def _shut(*sockets: socket.socket) -> None:
    for one in sockets:
        with contextlib.suppress(OSError):
            one.shutdown(socket.SHUT_RDWR)
        one.close()
