"""Reports being made for waiting readers: one at a time in a thread, each with the lines of progress so far."""

import logging
import threading
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from flask import current_app

from inspect_app import clock
from inspect_app.actions.report import file_report
from inspect_app.config import Settings
from inspect_app.domain.errors import DomainError
from inspect_app.store.data_folder import database_path
from inspect_app.store.db import open_db
from inspect_app.web.database import get_settings

log = logging.getLogger(__name__)

_set_up = threading.Lock()
KEPT = 50  # finished jobs remembered, so that a reader who comes late still finds the outcome


@dataclass(slots=True)
class Job:
    """One report in the making. `path` is set when it is ready, `error` when it cannot be made."""

    id: str
    house: str
    walk: str
    paper: str
    actor: str
    lines: list[str] = field(default_factory=list)
    path: Path | None = None
    error: str = ""

    @property
    def running(self) -> bool:
        """Whether it is still waiting or being made."""
        return self.path is None and not self.error


class Desk:
    """Takes jobs and works on them one after the other."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._lock = threading.Lock()
        self._jobs: dict[str, Job] = {}
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="report")

    def start(self, house: str, walk: str, paper: str, actor: str) -> Job:
        """The running job for this report, or a new one."""
        with self._lock:
            for job in self._jobs.values():
                if job.running and (job.house, job.walk, job.paper) == (house, walk, paper):
                    return job
            job = Job(clock.new_id(), house, walk, paper, actor, ["Waiting for its turn"])
            self._jobs[job.id] = job
            for old in list(self._jobs)[:-KEPT]:
                if not self._jobs[old].running:
                    del self._jobs[old]
        self._worker.submit(self._work, job)
        return job

    def find(self, house: str, walk: str, job_id: str) -> Job | None:
        """A job of this walk by its id."""
        job = self._jobs.get(job_id)
        return job if job and (job.house, job.walk) == (house, walk) else None

    def _work(self, job: Job) -> None:
        db = None
        try:
            db = open_db(database_path(self._settings))
            path = file_report(
                db, self._settings.data, job.house, job.walk, job.paper, clock.now(),
                actor=job.actor, say=job.lines.append,
            )  # fmt: skip
            job.path = path
        except DomainError as error:
            job.error = error.message
        except Exception:  # the last stop of a thread: logged whole, told in a sentence
            log.exception("the report of walk %s failed", job.walk)
            job.error = "The report could not be made. Nothing was changed; the log of the server says more."
        finally:
            if db is not None:
                db.conn.close()


def desk() -> Desk:
    """The desk of the running application, set up at first use."""
    with _set_up:
        made = current_app.extensions.setdefault("inspect_app_report_desk", Desk(get_settings()))
    if not isinstance(made, Desk):
        raise TypeError("something else stands where the report desk belongs")
    return made
