"""Hand-over packs in the making: one at a time in a thread, each with the lines of progress so far."""

import logging
import threading
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

from flask import current_app

from inspect_app import clock
from inspect_app.actions.hand_over import Wanted, make_pack
from inspect_app.config import Settings
from inspect_app.domain.errors import Conflict, DomainError
from inspect_app.store.data_folder import database_path
from inspect_app.store.db import open_db
from inspect_app.web.database import get_settings

log = logging.getLogger(__name__)

KEPT = 20  # finished jobs remembered, so that whoever comes late still finds the outcome
MOST_WAITING = 4
_set_up = threading.Lock()


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


class PackDesk:
    """Takes packs and makes them one after the other."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings
        self._lock = threading.Lock()
        self._jobs: dict[str, PackJob] = {}
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="hand-over")

    def start(self, house: str, person: str, wanted: Wanted) -> PackJob:
        """The person's running job for the same pack, or a new one. Raises Conflict while too many wait."""
        with self._lock:
            running = [job for job in self._jobs.values() if job.running]
            for job in running:
                if (job.house, job.person, job.wanted) == (house, person, wanted):
                    return job
            if len(running) >= MOST_WAITING:
                raise Conflict("Several packs are being made just now. Wait until they are ready, then ask again.")
            job = PackJob(clock.new_id(), house, person, wanted)
            self._jobs[job.id] = job
            done = [old for old in self._jobs.values() if not old.running]
            for old in done[: max(len(done) - KEPT, 0)]:
                del self._jobs[old.id]
        self._worker.submit(self._work, job)
        return job

    def find(self, house: str, person: str, job_id: str) -> PackJob | None:
        """A person's own job by its id."""
        job = self._jobs.get(job_id)
        return job if job and (job.house, job.person) == (house, person) else None

    def _work(self, job: PackJob) -> None:
        db = None
        try:
            db = open_db(database_path(self._settings))
            made = make_pack(
                db, self._settings, job.house, job.wanted, clock.now(), actor=job.person, say=job.lines.append
            )
            job.pack = made.pack.id
        except DomainError as error:
            job.error = error.message.replace("The report", "The pack")
        except Exception:  # the last stop of a thread: logged whole, told in a sentence
            log.exception("a hand-over pack failed")
            job.error = "The pack could not be made. Nothing was recorded; the log of the server says more."
        finally:
            if db is not None:
                db.conn.close()


def pack_desk() -> PackDesk:
    """The desk of the running application, set up at first use."""
    with _set_up:
        made = current_app.extensions.setdefault("inspect_app_pack_desk", PackDesk(get_settings()))
    if not isinstance(made, PackDesk):
        raise TypeError("something else stands where the pack desk belongs")
    return made
