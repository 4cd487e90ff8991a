"""A desk for what takes seconds to make: jobs go one after the other to a thread, and the last ones are remembered."""

import logging
import threading
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Generic, Protocol, TypeVar

from flask import current_app

from inspect_app.domain.errors import Conflict, DomainError

log = logging.getLogger(__name__)

_set_up = threading.Lock()


class Job(Protocol):
    """What a desk must know of a job; once `error` is set it is not running any more."""

    error: str

    @property
    def id(self) -> str:
        """Its id."""

    @property
    def running(self) -> bool:
        """Whether it is still waiting or being made."""


J = TypeVar("J", bound=Job)


class JobDesk(Generic[J]):
    """Takes jobs and has `work` done for each, one at a time; of those that are done it remembers the last `kept`.

    A job that was refused keeps the reason, with `thing` for *The report*; one that failed otherwise keeps `failed`.
    """

    def __init__(
        self, title: str, work: Callable[[J], None], failed: str, kept: int, thing: str = "The report"
    ) -> None:
        self._title, self._work, self._failed, self._kept, self._thing = title, work, failed, kept, thing
        self._lock = threading.Lock()
        self._jobs: dict[str, J] = {}
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix=title)

    def start(self, job: J, same: Callable[[J], bool] = lambda _: False, most: int | None = None, full: str = "") -> J:
        """The running job that is the same, or this one. Raises Conflict, saying `full`, while `most` are running."""
        with self._lock:
            running = [other for other in self._jobs.values() if other.running]
            for other in running:
                if same(other):
                    return other
            if most is not None and len(running) >= most:
                raise Conflict(full)
            self._jobs[job.id] = job
            done = [old for old in self._jobs.values() if not old.running]
            for old in done[: max(len(done) - self._kept, 0)]:
                del self._jobs[old.id]
        self._worker.submit(self._do, job)
        return job

    def get(self, job_id: str) -> J | None:
        """A job by its id; whose it is, the caller checks."""
        return self._jobs.get(job_id)

    def _do(self, job: J) -> None:
        try:
            self._work(job)
        except DomainError as error:
            job.error = error.message.replace("The report", self._thing)
        except Exception:  # the last stop of a thread: logged whole, told in a sentence
            log.exception("a job of the desk %s failed", self._title)
            job.error = self._failed


def desk_of(title: str, make: Callable[[], JobDesk[J]]) -> JobDesk[J]:
    """The desk of this title in the running application, made at its first use."""
    with _set_up:
        desks: dict[str, JobDesk[J]] = current_app.extensions.setdefault("inspect_app_desks", {})
        if title not in desks:
            desks[title] = make()
        return desks[title]
