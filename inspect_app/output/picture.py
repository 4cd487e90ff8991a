"""Pictures: what kind the bytes claim to be, and clean copies made by a worker process with little memory and time."""

import json
import logging
import subprocess
import sys
import threading
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

log = logging.getLogger(__name__)

WORKER = Path(__file__).with_name("picture_worker.py")
TIMEOUT_S = 30
AT_ONCE = threading.BoundedSemaphore(2)
_HEIC_BRANDS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")


class Picture(NamedTuple):
    """What came of decoding. `state` is stored, damaged, too_large or undecoded (the worker ran out of time or memory).

    Width and height are those of the upright picture (of the file as it is when too large); `copies` are JPEGs by name.
    """

    state: str
    width: int | None = None
    height: int | None = None
    taken_at: str = ""
    copies: Mapping[str, bytes] = {}


def kind_of(content: bytes) -> str:
    """The media type that the first bytes announce: JPEG, PNG, WebP or HEIC; '' for anything else."""
    if content[:3] == b"\xff\xd8\xff":
        return "image/jpeg"
    if content[:8] == b"\x89PNG\r\n\x1a\n":
        return "image/png"
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return "image/webp"
    if content[4:8] == b"ftyp" and content[8:12] in _HEIC_BRANDS:
        return "image/heic"
    return ""


def make_copies(content: bytes) -> Picture:
    """Decode a picture in a worker process; never raises for what is in the picture."""
    with AT_ONCE:
        try:
            done = subprocess.run(  # noqa: S603  our own file, no shell, nothing of the picture on the command line
                [sys.executable, "-I", str(WORKER)],
                input=content,
                capture_output=True,
                timeout=TIMEOUT_S,
                check=False,
                env={"MALLOC_ARENA_MAX": "2"},  # else each thread of a decoder sets aside address space of its own
            )
        except subprocess.TimeoutExpired:
            log.warning("a picture of %d bytes took longer than %d s", len(content), TIMEOUT_S)
            return Picture("undecoded")
    if done.returncode != 0:
        log.warning(
            "the picture worker ended with %d: %s", done.returncode, done.stderr[-500:].decode(errors="replace")
        )
        return Picture("undecoded")
    return _read(done.stdout)


def _read(answer: bytes) -> Picture:
    line, _, rest = answer.partition(b"\n")
    head = json.loads(line)
    copies, at = {}, 0
    for name, size in head.get("copies", ()):
        copies[name] = rest[at : at + size]
        at += size
    return Picture(head["state"], head.get("width"), head.get("height"), head.get("taken_at", ""), copies)
