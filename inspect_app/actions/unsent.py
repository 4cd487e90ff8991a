"""Bringing in a file of what a phone has not sent: the same intake, in the name of whoever brings it."""

from collections import Counter
from collections.abc import Callable
from datetime import datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.actions.ingest import MOST_ENTRIES, Verdict, ingest_entries
from inspect_app.actions.original import save_original
from inspect_app.actions.photo import Kept, save_photo
from inspect_app.actions.recording import save_recording
from inspect_app.actions.walk import require_role
from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue, DomainError
from inspect_app.domain.unsent_file import UnsentFile, UnsentPhoto, read_unsent_file
from inspect_app.store.checklist import Shelf
from inspect_app.store.device import Device, get_device


class PhotoVerdict(NamedTuple):
    """What became of one photo or voice note: stored, known, held or refused, and why."""

    id: str
    verdict: str
    reason: str = ""


class Imported(NamedTuple):
    """What became of a file, item by item."""

    device: Device
    made_at: datetime | None
    entries: tuple[Verdict, ...]
    photos: tuple[PhotoVerdict, ...]
    part: tuple[int, int] = (1, 1)

    @property
    def counts(self) -> Counter[str]:
        """How many entries were stored, duplicate or held."""
        return Counter(one.verdict for one in self.entries)

    @property
    def photo_counts(self) -> Counter[str]:
        """How many photos were stored, known, held or refused."""
        return Counter(one.verdict for one in self.photos)

    @property
    def whole(self) -> bool:
        """Whether all of the file is in the office now, so that it need not be kept."""
        return not self.photo_counts["refused"]


def import_unsent(
    db: Database, settings: Settings, *, at: datetime, actor: str, house: str, content: bytes, shelf: Shelf | None
) -> Imported:
    """Take in a file that a phone saved, also one whose pairing was withdrawn. Doing it again stores nothing twice.

    Raises BadValue (no such file, another house, a device that is not of this house), NotAllowed, and NotSaved when an
    entry could not be written; what was taken in before that is known as such when the file is brought in again.
    """
    require_role(db, house, actor, "walk.import")
    file = read_unsent_file(content)
    device = _device(db, house, file)
    verdicts: list[Verdict] = []
    for start in range(0, len(file.entries), MOST_ENTRIES):
        items = file.entries[start : start + MOST_ENTRIES]
        verdicts += ingest_entries(db, at=at, device=device, items=items, shelf=shelf, imported_by=actor)

    def save(photo: UnsentPhoto) -> Kept:
        content, sha256 = photo.content, photo.sha256
        if photo.recording:
            return save_recording(
                db,
                settings,
                at=at,
                device=device,
                recording=photo.id,
                content=content,
                sha256=sha256,
                imported_by=actor,
            )
        keep = save_original if photo.original else save_photo
        return keep(
            db, settings, at=at, device=device, photo=photo.id, content=content, sha256=sha256, imported_by=actor
        )

    photos = tuple(_keep(photo, save) for photo in file.photos)
    return Imported(device, file.made_at, tuple(verdicts), photos, file.part)


def _device(db: Database, house: str, file: UnsentFile) -> Device:
    if file.house != house:
        raise BadValue("This file is from another house. Bring it in there; nothing was stored here.", "file")
    device = get_device(db, house, file.device)
    if device is None:
        raise BadValue("This file is from a phone that was never paired with this house. Nothing was stored.", "file")
    return device


def _keep(photo: UnsentPhoto, save: Callable[[UnsentPhoto], Kept]) -> PhotoVerdict:
    """One photo that cannot be kept stops no other."""
    if photo.problem:
        return PhotoVerdict(photo.id, "refused", photo.problem)
    try:
        kept = save(photo)
    except DomainError as error:
        return PhotoVerdict(photo.id, "refused", error.message)
    if kept.state == "held":
        return PhotoVerdict(photo.id, "held", kept.reason)
    return PhotoVerdict(photo.id, "stored" if kept.new else "known")
