"""Calculation sheets being printed: one at a time in the render process, the last ones kept in memory for a while."""

import io
import logging
import threading
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

from flask import current_app

from inspect_app import clock
from inspect_app.domain.errors import Conflict, DomainError
from inspect_app.output.render import RenderJob, render_report

log = logging.getLogger(__name__)

KEPT = 20  # finished sheets, each some tens of kilobytes; they are made anew from their address at any time
MOST_WAITING = 8
TIME_LIMIT_S = 45.0
_set_up = threading.Lock()


@dataclass(slots=True)
class SheetJob:
    """One sheet in the making, for the person who asked. `content` is set when it is ready, `error` when it is not."""

    id: str
    house: str
    person: str
    sheet: str
    paper: str
    document: bytes
    made_at: str
    again: str
    kind: str = "calculation_sheet"
    time_limit_s: float = TIME_LIMIT_S
    photos: Mapping[str, bytes] = field(default_factory=dict)
    lines: list[str] = field(default_factory=list)
    content: bytes | None = None
    error: str = ""

    @property
    def running(self) -> bool:
        """Whether it is still waiting or being made."""
        return self.content is None and not self.error

    def stream(self) -> io.BytesIO:
        """The PDF to be sent."""
        return io.BytesIO(self.content or b"")


class SheetDesk:
    """Takes sheets and prints them one after the other."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._jobs: dict[str, SheetJob] = {}
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="sheet")

    def start(
        self,
        house: str,
        person: str,
        sheet: str,
        paper: str,
        document: bytes,
        made_at: str,
        again: str,
        kind: str = "calculation_sheet",
        photos: Mapping[str, bytes] | None = None,
        time_limit_s: float = TIME_LIMIT_S,
    ) -> SheetJob:
        """A new job of a kind that output/render.py knows. Raises Conflict while too many wait."""
        job = SheetJob(
            clock.new_id(), house, person, sheet, paper, document, made_at, again, kind, time_limit_s, photos or {}
        )
        job.lines.append("Waiting for its turn")
        with self._lock:
            if sum(other.running for other in self._jobs.values()) >= MOST_WAITING:
                raise Conflict("Several sheets are being printed just now. Wait some seconds, then ask again.")
            self._jobs[job.id] = job
            done = [old for old in self._jobs.values() if not old.running]
            for old in done[: max(len(done) - KEPT, 0)]:
                del self._jobs[old.id]
        self._worker.submit(self._work, job)
        return job

    def find(self, house: str, person: str, job_id: str) -> SheetJob | None:
        """A person's own job by its id."""
        job = self._jobs.get(job_id)
        return job if job and (job.house, job.person) == (house, person) else None

    def _work(self, job: SheetJob) -> None:
        try:
            task = RenderJob(job.document, job.photos, job.paper, job.made_at, job.kind)
            job.content = render_report(task, job.lines.append, job.time_limit_s)
            job.photos = {}
        except DomainError as error:
            job.error = error.message.replace("The report", "The sheet")
        except Exception:  # the last stop of a thread: logged whole, told in a sentence
            log.exception("the sheet %s failed", job.sheet)
            job.error = "The sheet could not be made. The log of the server says more."


def sheet_desk() -> SheetDesk:
    """The desk of the running application, set up at first use."""
    with _set_up:
        made = current_app.extensions.setdefault("inspect_app_sheet_desk", SheetDesk())
    if not isinstance(made, SheetDesk):
        raise TypeError("something else stands where the sheet desk belongs")
    return made
