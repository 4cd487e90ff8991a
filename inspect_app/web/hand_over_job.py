"""Hand-over packs in the making: one at a time in a thread, each with the lines of progress so far."""

from dataclasses import dataclass, field
from functools import partial

from inspect_app import clock
from inspect_app.actions.hand_over import Wanted, make_pack
from inspect_app.config import Settings
from inspect_app.store.data_folder import database_path
from inspect_app.store.db import open_db
from inspect_app.web.database import get_settings
from inspect_app.web.job_desk import JobDesk, desk_of

KEPT = 20  # finished jobs remembered, so that whoever comes late still finds the outcome
MOST_WAITING = 4


@dataclass(slots=True)
class PackJob:
    """One pack for the person who asked. `pack` is its id when it is filed, `error` is set when it cannot be made."""

    id: str
    house: str
    person: str
    wanted: Wanted
    lines: list[str] = field(default_factory=lambda: ["Waiting for its turn"])
    pack: str = ""
    error: str = ""

    @property
    def running(self) -> bool:
        """Whether it is still waiting or being made."""
        return not self.pack and not self.error


def start_pack(house: str, person: str, wanted: Wanted) -> PackJob:
    """The person's running job for the same pack, or a new one. Raises Conflict while too many wait."""
    return _desk().start(
        PackJob(clock.new_id(), house, person, wanted),
        same=lambda job: (job.house, job.person, job.wanted) == (house, person, wanted),
        most=MOST_WAITING,
        full="Several packs are being made just now. Wait until they are ready, then ask again.",
    )


def find_pack(house: str, person: str, job_id: str) -> PackJob | None:
    """A person's own job by its id."""
    job = _desk().get(job_id)
    return job if job and (job.house, job.person) == (house, person) else None


def _make(settings: Settings, job: PackJob) -> None:
    db = open_db(database_path(settings))
    try:
        made = make_pack(db, settings, job.house, job.wanted, clock.now(), actor=job.person, say=job.lines.append)
        job.pack = made.pack.id
    finally:
        db.conn.close()


def _desk() -> JobDesk[PackJob]:
    failed = "The pack could not be made. Nothing was recorded; the log of the server says more."
    return desk_of("hand-over", lambda: JobDesk("hand-over", partial(_make, get_settings()), failed, KEPT, "The pack"))
