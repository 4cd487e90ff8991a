"""Render processes that start with the typesetter loaded: forked from one process of a worker that has read it.

Each is a process of its own and runs the program's own worker; only the reading of the modules is not repeated.
`tests/output/test_render.py` and each test that compares bytes start it as the program does, with `started_cold`.
"""

import contextlib
import gc
import os
import signal
import socket
import subprocess
import sys
import traceback
from collections.abc import Iterator
from pathlib import Path
from threading import Lock
from typing import IO, NoReturn

import pytest

from inspect_app.output import render

ROOT = Path(__file__).parent.parent
START_AS_THE_PROGRAM_DOES = render._start


class WarmProcess:
    """A forked render process, with what render.py uses of a Popen."""

    def __init__(self, number: int, asks: int, answers: int) -> None:
        self.number = number  # a pidfd, which never means another process
        self.stdin: IO[bytes] = os.fdopen(asks, "wb")
        self.stdout: IO[bytes] = os.fdopen(answers, "rb")

    def kill(self) -> None:
        with contextlib.suppress(OSError):
            signal.pidfd_send_signal(self.number, signal.SIGKILL)

    def wait(self) -> None:
        os.close(self.number)
        self.number = -1


class WarmRenders:
    """The process that is forked; started at the first render."""

    def __init__(self) -> None:
        self.link: socket.socket | None = None
        self.process: subprocess.Popen[bytes] | None = None
        self.one_at_a_time = Lock()

    def start(self, complaints: IO[bytes]) -> WarmProcess:
        """Stands in for render._start."""
        asks, answers = os.pipe(), os.pipe()
        try:
            with self.one_at_a_time:
                link = self.link or self._open()
                socket.send_fds(link, [b"!"], [asks[0], answers[1], complaints.fileno()])
                _, (number,), *_ = socket.recv_fds(link, 1, 1)
        finally:
            os.close(asks[0])
            os.close(answers[1])
        return WarmProcess(number, asks[1], answers[0])

    def _open(self) -> socket.socket:
        self.link, theirs = socket.socketpair()
        command = [sys.executable, "-m", "tests.warm_render", str(theirs.fileno())]
        self.process = subprocess.Popen(command, cwd=ROOT, pass_fds=[theirs.fileno()])
        theirs.close()
        return self.link

    def close(self) -> None:
        if self.link and self.process:
            self.link.shutdown(socket.SHUT_RDWR)
            self.link.close()
            self.process.wait(20)


@contextlib.contextmanager
def warm_renders() -> Iterator[None]:
    """While this lasts, renders of this process start warm, where the system can tell processes apart for good."""
    if not hasattr(os, "pidfd_open"):
        yield
        return
    warm = WarmRenders()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(render, "_start", warm.start)
        yield
    warm.close()


@contextlib.contextmanager
def started_cold() -> Iterator[None]:
    """While this lasts, each render is a new process, started as the program starts it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(render, "_start", START_AS_THE_PROGRAM_DOES)
        yield


def _take_leave(*_: object) -> None:
    """Wait for those that have ended, so that their processor time is counted."""
    with contextlib.suppress(ChildProcessError):
        while os.waitpid(-1, os.WNOHANG)[0]:
            pass


def _serve(link: socket.socket) -> None:
    signal.signal(signal.SIGCHLD, _take_leave)
    while True:
        asked, pipes, *_ = socket.recv_fds(link, 1, 3)
        if not asked:
            return
        process = os.fork()
        if not process:
            link.close()
            _become(pipes)
        number = os.pidfd_open(process)  # it waits for its job, so it is there
        socket.send_fds(link, [b"!"], [number])
        for one in (number, *pipes):
            os.close(one)


def _become(pipes: list[int]) -> NoReturn:
    from inspect_app.output.worker import main

    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    for number, pipe in enumerate(pipes):
        os.dup2(pipe, number)
        os.close(pipe)
    status = 1
    try:
        main()
        status = 0
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stderr.flush()
        os._exit(status)


if __name__ == "__main__":
    from inspect_app.output.worker import load_papers

    load_papers()
    gc.freeze()
    _serve(socket.socket(fileno=int(sys.argv[1])))
