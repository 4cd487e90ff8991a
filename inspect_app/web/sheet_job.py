"""Papers being printed: one at a time in the render process, the last ones kept in memory for a while."""

import io
from dataclasses import dataclass, field, replace

from inspect_app import clock
from inspect_app.output.render import RenderJob, render_report
from inspect_app.web.job_desk import JobDesk, desk_of

KEPT = 20  # finished papers, each some tens of kilobytes; they are made anew from their address at any time
MOST_WAITING = 8
TIME_LIMIT_S = 45.0


@dataclass(slots=True)
class SheetJob:
    """One paper in the making, for the person who asked. `content` is set when it is ready, `error` when it is not."""

    id: str
    house: str
    person: str
    name: str
    task: RenderJob
    again: str
    time_limit_s: float
    lines: list[str] = field(default_factory=lambda: ["Waiting for its turn"])
    content: bytes | None = None
    error: str = ""

    @property
    def running(self) -> bool:
        """Whether it is still waiting or being made."""
        return self.content is None and not self.error

    def stream(self) -> io.BytesIO:
        """The PDF to be sent."""
        return io.BytesIO(self.content or b"")


def start_sheet(
    house: str, person: str, name: str, task: RenderJob, again: str, time_limit_s: float = TIME_LIMIT_S
) -> SheetJob:
    """A new job; `again` is the page that leads to it. Raises Conflict while too many wait."""
    job = SheetJob(clock.new_id(), house, person, name, task, again, time_limit_s)
    full = "Several sheets are being printed just now. Wait some seconds, then ask again."
    return _desk().start(job, most=MOST_WAITING, full=full)


def find_sheet(house: str, person: str, job_id: str) -> SheetJob | None:
    """A person's own job by its id."""
    job = _desk().get(job_id)
    return job if job and (job.house, job.person) == (house, person) else None


def _print(job: SheetJob) -> None:
    job.content = render_report(job.task, job.lines.append, job.time_limit_s)
    job.task = replace(job.task, sealed=b"", photos={})


def _desk() -> JobDesk[SheetJob]:
    failed = "The sheet could not be made. The log of the server says more."
    return desk_of("sheet", lambda: JobDesk("sheet", _print, failed, KEPT, "The sheet"))
