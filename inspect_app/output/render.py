"""Render a report in a process of its own, with progress and a hard time limit."""

import json
import logging
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import inspect_app
from inspect_app.domain.errors import Conflict
from inspect_app.output.fonts import isolated_fontconfig

log = logging.getLogger(__name__)

TIME_LIMIT_S = 120.0
_START = "import sys; sys.path.insert(0, sys.argv[1]); from inspect_app.output.worker import main; main()"


@dataclass(frozen=True, slots=True)
class RenderJob:
    """What a report is made of: canonical walk data, JPEGs by photo id, A4 or Letter, and the time the file carries.

    `kind` is report, or the KIND of the module in output/ whose document `sealed` is; worker.py knows them all.
    """

    sealed: bytes
    photos: Mapping[str, bytes]
    paper: str
    made_at: str
    kind: str = "report"


def render_report(job: RenderJob, say: Callable[[str], None], time_limit_s: float = TIME_LIMIT_S) -> bytes:
    """The PDF of a job; `say` gets each line of progress, such as *Laying out page 7*.

    Raises Conflict when the report cannot be made or takes longer than `time_limit_s`; the process is ended then.
    """
    with tempfile.TemporaryDirectory(prefix="inspect-app-render-") as folder:
        conf = isolated_fontconfig(Path(folder))
        with tempfile.TemporaryFile() as complaints:
            return _run(job, conf, say, time_limit_s, complaints)


def _run(job: RenderJob, conf: Path, say: Callable[[str], None], time_limit_s: float, complaints: IO[bytes]) -> bytes:
    process = _start(complaints)
    late = threading.Event()
    timer = threading.Timer(time_limit_s, _give_up, (process, late))
    feeder = threading.Thread(target=_feed, args=(process.stdin, job, conf), daemon=True)
    timer.start()
    feeder.start()
    try:
        pdf, error = _listen(process.stdout, say)
    finally:
        timer.cancel()
        process.kill()
        process.wait()
        feeder.join(5)
        for pipe in (process.stdin, process.stdout):
            if pipe is not None:
                _close(pipe)
    _log_complaints(complaints)
    if late.is_set():
        raise Conflict(
            f"The report was not ready after {time_limit_s:g} seconds and was given up. Nothing was changed."
        )
    if pdf is None:
        raise Conflict(
            f"The report could not be made: {error or 'the render process ended early'}. Nothing was changed."
        )
    return pdf


def _start(complaints: IO[bytes]) -> subprocess.Popen[bytes]:
    package = Path(inspect_app.__file__).resolve().parent.parent
    return subprocess.Popen(  # noqa: S603  our own interpreter and our own code
        [sys.executable, "-I", "-c", _START, str(package)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=complaints,
    )


def _give_up(process: subprocess.Popen[bytes], late: threading.Event) -> None:
    late.set()
    process.kill()


def _feed(pipe: IO[bytes], job: RenderJob, conf: Path) -> None:
    head = {
        "fontconfig": str(conf),
        "kind": job.kind,
        "paper": job.paper,
        "made_at": job.made_at,
        "sealed": len(job.sealed),
        "photos": [[photo, len(content)] for photo, content in sorted(job.photos.items())],
    }
    try:
        pipe.write(json.dumps(head).encode() + b"\n")
        pipe.write(job.sealed)
        for _, content in sorted(job.photos.items()):
            pipe.write(content)
        pipe.close()
    except (BrokenPipeError, ValueError, OSError):
        log.debug("the render process stopped reading")


def _listen(pipe: IO[bytes] | None, say: Callable[[str], None]) -> tuple[bytes | None, str]:
    if pipe is None:
        return None, ""
    while line := pipe.readline():
        verb, _, rest = line.decode(errors="replace").rstrip("\n").partition(" ")
        if verb == "say":
            say(rest)
        elif verb == "error":
            return None, rest
        elif verb == "pdf":
            content = pipe.read(int(rest))
            return (content, "") if len(content) == int(rest) else (None, "the answer was cut short")
    return None, ""


def _close(pipe: IO[bytes]) -> None:
    try:
        pipe.close()
    except OSError:
        log.debug("pipe was closed already")


def _log_complaints(complaints: IO[bytes]) -> None:
    complaints.seek(0)
    text = complaints.read(20_000).decode(errors="replace").strip()
    if text:
        log.warning("render process: %s", text)
