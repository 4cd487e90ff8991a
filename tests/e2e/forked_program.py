"""Starts the program, as its command line does, from a process that has read and compiled all it needs already.

Run as a module it reads lines of JSON, {"arguments": [...], "log": path}, and answers each with the number of the
process it started: a leader of its own group, which ends with this process. `ForkedPrograms` is the other end.
"""

import contextlib
import gc
import json
import os
import signal
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import NoReturn

ROOT = Path(__file__).parent.parent.parent


class ForkedPrograms:
    """The process that starts programs; one for all tests of a worker."""

    def __init__(self) -> None:
        command = [sys.executable, "-m", "tests.e2e.forked_program"]
        self.process = subprocess.Popen(command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE)

    def start(self, arguments: list[str], log: Path) -> int:
        """Start the program with these arguments; its output is added to `log`. Returns the number of the process."""
        asks, answers = self.process.stdin, self.process.stdout
        assert asks is not None
        assert answers is not None
        asks.write(json.dumps({"arguments": arguments, "log": str(log)}).encode() + b"\n")
        asks.flush()
        return int(answers.readline())

    def close(self) -> None:
        """End it and all that it started."""
        self.process.communicate(timeout=20)


def is_running(process: int) -> bool:
    """Whether the process is there; one that has ended is not waited for by anybody."""
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    return True


def _read_all() -> None:
    from inspect_app import cli_serve  # noqa: F401  (read once, for all)
    from inspect_app.actions import password
    from inspect_app.store.checklist import load_shelf
    from inspect_app.store.data_folder import open_data_folder
    from inspect_app.store.reference import reference_at
    from inspect_app.web import create_app

    password.hasher = password.make_hasher(password.FLOOR_KIB, password.FLOOR_PASSES, 1)  # as in the tests' own process
    with tempfile.TemporaryDirectory() as folder:
        settings = open_data_folder(Path(folder)).settings
        load_shelf(settings)
        reference_at(settings.shared)
        templates = create_app(settings).jinja_env
        for name in templates.list_templates():
            templates.get_template(name)
    gc.freeze()


def _become(arguments: list[str], log: str) -> NoReturn:
    from inspect_app.cli import main

    os.setsid()
    signal.signal(signal.SIGCHLD, signal.SIG_DFL)
    out = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    for stream in (1, 2):
        os.dup2(out, stream)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    status = 1
    try:
        main(arguments)
    except SystemExit as end:
        status = end.code if isinstance(end.code, int) else 1
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(status)


def run() -> None:
    """Start what is asked for until nobody asks any more."""
    from tests.compiled_once import compiled_once

    signal.signal(signal.SIGCHLD, signal.SIG_IGN)  # whoever ends is gone at once
    started = []
    with compiled_once():
        _read_all()
        for line in sys.stdin:
            asked = json.loads(line)
            if (process := os.fork()) == 0:
                _become(asked["arguments"], asked["log"])
            started.append(process)
            print(process, flush=True)
    for process in started:
        with contextlib.suppress(ProcessLookupError, PermissionError):
            os.killpg(process, signal.SIGKILL)


if __name__ == "__main__":
    run()
