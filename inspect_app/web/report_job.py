"""Reports being made for waiting readers: one at a time in a thread, each with the lines of progress so far."""

from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from inspect_app import clock
from inspect_app.actions.report import file_report
from inspect_app.config import Settings
from inspect_app.store.data_folder import database_path
from inspect_app.store.db import open_db
from inspect_app.web.database import get_settings
from inspect_app.web.job_desk import JobDesk, desk_of

KEPT = 50  # finished jobs remembered, so that a reader who comes late still finds the outcome


@dataclass(slots=True)
class ReportJob:
    """One report in the making. `path` is set when it is ready, `error` when it cannot be made."""

    id: str
    house: str
    walk: str
    paper: str
    actor: str
    lines: list[str] = field(default_factory=lambda: ["Waiting for its turn"])
    path: Path | None = None
    error: str = ""

    @property
    def running(self) -> bool:
        """Whether it is still waiting or being made."""
        return self.path is None and not self.error


def start_report(house: str, walk: str, paper: str, actor: str) -> ReportJob:
    """The running job for this report, or a new one."""
    return _desk().start(
        ReportJob(clock.new_id(), house, walk, paper, actor),
        same=lambda job: (job.house, job.walk, job.paper) == (house, walk, paper),
    )


def find_report(house: str, walk: str, job_id: str) -> ReportJob | None:
    """A job of this walk by its id."""
    job = _desk().get(job_id)
    return job if job and (job.house, job.walk) == (house, walk) else None


def _make(settings: Settings, job: ReportJob) -> None:
    db = open_db(database_path(settings))
    try:
        job.path = file_report(
            db, settings.data, job.house, job.walk, job.paper, clock.now(), actor=job.actor, say=job.lines.append
        )
    finally:
        db.conn.close()


def _desk() -> JobDesk[ReportJob]:
    failed = "The report could not be made. Nothing was changed; the log of the server says more."
    return desk_of("report", lambda: JobDesk("report", partial(_make, get_settings()), failed, KEPT))
