"""A phone in somebody's hand: it numbers and dates entries as the page does, keeps them, and sends them when told."""

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, NamedTuple, Protocol
from zoneinfo import ZoneInfo

from inspect_app import __version__
from inspect_app.demo.pictures import draw_picture
from inspect_app.domain.checklist import Competence
from inspect_app.domain.errors import DomainError
from inspect_app.domain.ids import uuid7
from inspect_app.domain.person import Person
from inspect_app.domain.sequence import ids_digest

BATCH = 400  # the field API takes up to 500 entries at once
Entry = dict[str, Any]


class NotAsPlanned(DomainError):
    """The demonstration could not be made as it is written: the program did not keep what it was given."""


class Shot(NamedTuple):
    """A photo still on the phone: what to draw, and when it was taken."""

    id: str
    scene: str
    tag: str
    amount: float
    taken_at: datetime
    close: bool


class Office(Protocol):
    """Where a phone sends to: the field API over HTTP, or for the past the same action with the day's own time."""

    def take_entries(self, phone: "Phone", entries: Sequence[Entry], sent_at: datetime) -> None:
        """Hand over a batch. Raises NotAsPlanned unless every entry was stored."""

    def take_photo(self, phone: "Phone", photo: str, data: bytes, sent_at: datetime) -> None:
        """Hand over one JPEG."""

    def finish(self) -> None:
        """Wait until everything that was handed over is kept. Raises NotAsPlanned when something is not."""


@dataclass(slots=True)
class Phone:
    """One paired device. `moment` is the time on it; it moves as its owner walks."""

    device: str
    token: str
    house: str
    person: Person
    competence: Competence
    tz: str
    chance: random.Random
    office: Office
    moment: datetime
    seed: int = 0
    seq: int = 0
    walk: str = ""
    outbox: list[Entry] = field(default_factory=list)
    shots: list[Shot] = field(default_factory=list)
    own: list[tuple[int, str]] = field(default_factory=list)  # (seq, id) of the walk in hand

    def begin(self, walk: str, at: datetime) -> None:
        """Take up a walk at a moment."""
        self.walk, self.moment = walk, at
        self.own.clear()

    def new_id(self) -> str:
        """A UUIDv7 of the moment."""
        return uuid7(int(self.moment.timestamp() * 1000), self.chance.getrandbits(74))

    def wait(self, least: float, most: float) -> None:
        """Let some seconds pass: mostly near the least, now and then up to the most."""
        share = self.chance.random() ** 2.2
        self.moment += timedelta(seconds=round(least + (most - least) * share, 3))

    def note(self, kind: str, **body: Any) -> str:
        """Record an entry and return its id; it stays on the phone until `send`."""
        self.seq += 1
        entry = {
            "schema": 1,
            "kind": kind,
            "id": self.new_id(),
            "house": self.house,
            "walk": self.walk or None,
            "device": self.device,
            "seq": self.seq,
            "recorded_at": self.moment.isoformat(timespec="milliseconds"),
            "tz": self.tz,
            "app": __version__,
            "by": self.person.id,
            **body,
        }
        self.outbox.append(entry)
        self.own.append((self.seq, entry["id"]))
        return str(entry["id"])

    def shoot(self, scene: str, tag: str, amount: float, close: bool = False) -> str:
        """Take a photo, from near by when `close`, and return its id; it is drawn and sent later."""
        self.wait(4, 12)
        shot = Shot(self.new_id(), scene, tag, amount, self.moment.astimezone(ZoneInfo(self.tz)), close)
        self.shots.append(shot)
        return shot.id

    def close(self, *, people: Sequence[tuple[str, str]], locks_left: str, note: str = "") -> str:
        """Record that this phone has finished the walk."""
        ids = [entry for _, entry in self.own]
        last = max((seq for seq, _ in self.own), default=0)
        return self.note(
            "closing",
            count=len(ids),
            last_seq=last,
            ids_sha256=ids_digest(ids),
            people_down=[{"name": name, "at": at} for name, at in people],
            tools_counted=True,
            sets_locked=True,
            locks_left=locks_left,
            note=note,
        )

    def send(self, at: datetime, told: Callable[[str], None] = lambda _: None, batch: int = BATCH) -> None:
        """Hand over all entries and photos, as a phone does when it is back in reach."""
        for start in range(0, len(self.outbox), batch):
            self.office.take_entries(self, self.outbox[start : start + batch], at)
            told(f"{min(start + batch, len(self.outbox))} of {len(self.outbox)} entries sent")
        self.outbox.clear()
        for n, shot in enumerate(self.shots, start=1):
            data = draw_picture(shot.scene, shot.tag, shot.amount, self.seed, shot.taken_at, shot.close)
            self.office.take_photo(self, shot.id, data, at)
            if n % 20 == 0 or n == len(self.shots):
                told(f"{n} of {len(self.shots)} photos sent")
        self.office.finish()
        self.shots.clear()
