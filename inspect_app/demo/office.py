"""Where the phones of the past send to: the same actions as the field API, with the day's own time."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime

from sqlite_utils import Database

from inspect_app.actions.ingest import record_entries
from inspect_app.actions.photo import save_photo
from inspect_app.config import Settings
from inspect_app.demo.phone import Entry, NotAsPlanned, Phone
from inspect_app.store.device import Device, list_devices


@dataclass(slots=True)
class PastOffice:
    """Takes in what phones send as if it were then. `remarks` counts what the check remarked upon."""

    db: Database
    settings: Settings
    stored: int = 0
    remarks: Counter[str] = field(default_factory=Counter)

    def take_entries(self, phone: Phone, entries: Sequence[Entry], sent_at: datetime) -> None:
        """Store a batch. Raises NotAsPlanned when an entry is held: the demonstration's own entries must all fit."""
        for verdict in record_entries(self.db, at=sent_at.astimezone(UTC), device=self._device(phone), entries=entries):
            if verdict.verdict != "stored":
                raise NotAsPlanned(f"entry {verdict.id} was not stored but {verdict.verdict}: {verdict.reason}")
            if verdict.reason:
                self.remarks[verdict.reason] += 1
        self.stored += len(entries)

    def take_photo(self, phone: Phone, photo: str, data: bytes, sent_at: datetime) -> None:
        """Keep a photo. Raises NotAsPlanned when it is not kept as it should be."""
        kept = save_photo(self.db, self.settings, at=sent_at, device=self._device(phone), photo=photo, content=data)
        if kept.state != "stored":
            raise NotAsPlanned(f"photo {photo} was not stored but {kept.state}: {kept.reason}")

    def finish(self) -> None:
        """Nothing waits here."""

    def _device(self, phone: Phone) -> Device:
        return next(one for one in list_devices(self.db, phone.house, phone.person.id) if one.id == phone.device)
