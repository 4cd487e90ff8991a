"""Photos: the bytes as received, kept in files by their SHA-256, the copies made from them, and their rows."""

import hashlib
import os
import secrets
from collections.abc import Iterable, Mapping
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.config import Settings
from inspect_app.domain.errors import NotSaved
from inspect_app.domain.ids import from_key, to_key

FOLDER = "photos"
COPIES = ("print", "report", "thumb")  # JPEGs without any metadata: long side 1200, 600 and 320 px
_PART = ".part"


class Photo(NamedTuple):
    """One photo. `state` is stored, damaged (kept, but cannot be read whole) or undecoded (its copies are still due).

    `taken_at` is the camera's own time in ISO 8601, with an offset only where the camera gave one; '' when unknown.
    Width and height are those of the picture held upright.
    """

    id: str
    house: str
    device: str | None
    sha256: str
    mime: str
    bytes: int
    width: int | None
    height: int | None
    taken_at: str
    received_at: datetime
    state: str
    caption: str = ""


_COLUMNS = (
    "SELECT id, house, device, sha256, mime, bytes, width, height, taken_at, received_at, state, caption FROM photo"
)


def add_photo(db: Database, photo: Photo) -> bool:
    """Add the row of a photo whose bytes are in their file; False when the id is there already."""
    cursor = db.execute(
        "INSERT INTO photo(id, house, device, sha256, mime, bytes, width, height, taken_at, received_at, state, "
        "caption) VALUES (?,?,?,?,?,?,?,?,?,?,?,?) ON CONFLICT(id) DO NOTHING",
        (
            to_key(photo.id),
            to_key(photo.house),
            to_key(photo.device) if photo.device else None,
            bytes.fromhex(photo.sha256),
            photo.mime,
            photo.bytes,
            photo.width,
            photo.height,
            photo.taken_at or None,
            photo.received_at.isoformat(timespec="milliseconds"),
            photo.state,
            photo.caption,
        ),
    )
    return bool(cursor.rowcount)


def set_photo_decoded(
    db: Database, photo: str, *, state: str, width: int | None, height: int | None, taken_at: str
) -> None:
    """Note what came of decoding a photo that was undecoded before."""
    db.execute(
        "UPDATE photo SET state = ?, width = ?, height = ?, taken_at = coalesce(?, taken_at) WHERE id = ?",
        (state, width, height, taken_at or None, to_key(photo)),
    )


def add_photo_uses(db: Database, entry: str, photos: Iterable[str]) -> None:
    """Note that an entry names these photos, whether their bytes are here or not."""
    for photo in photos:
        db.execute(
            "INSERT INTO photo_use(photo, entry) VALUES (?,?) ON CONFLICT(photo, entry) DO NOTHING",
            (to_key(photo), to_key(entry)),
        )


def get_photo(db: Database, house: str, photo: str) -> Photo | None:
    """One photo of the house."""
    row = db.execute(f"{_COLUMNS} WHERE house = ? AND id = ?", (to_key(house), to_key(photo))).fetchone()
    return _to_photo(row) if row else None


def find_photo(db: Database, photo: str) -> Photo | None:
    """The photo with this id, in whichever house."""
    row = db.execute(f"{_COLUMNS} WHERE id = ?", (to_key(photo),)).fetchone()
    return _to_photo(row) if row else None


def list_undecoded_photos(db: Database) -> list[Photo]:
    """Photos whose copies are still due, oldest first."""
    rows = db.execute(f"{_COLUMNS} WHERE state = 'undecoded' ORDER BY received_at, id")
    return [_to_photo(row) for row in rows.fetchall()]


def list_missing_photos(db: Database, house: str, photos: Iterable[str]) -> list[str]:
    """Those of the ids that the house has no photo for, in the order given."""
    return [photo for photo in dict.fromkeys(photos) if get_photo(db, house, photo) is None]


def list_photos_missing_of_walk(db: Database, house: str, walk: str) -> list[str]:
    """The photos that entries of a walk name and whose bytes have not arrived."""
    rows = db.execute(
        "SELECT DISTINCT u.photo FROM photo_use u JOIN entry e ON e.id = u.entry WHERE e.house = ? AND e.walk = ? "
        "AND NOT EXISTS (SELECT 1 FROM photo p WHERE p.id = u.photo AND p.house = e.house) ORDER BY u.photo",
        (to_key(house), to_key(walk)),
    )
    return [from_key(photo) for (photo,) in rows.fetchall()]


def list_last_photos(db: Database, house: str, most: int) -> dict[str, tuple[str, ...]]:
    """For each part of the house its last photos of which there are copies, newest look first, at most `most`.

    Photos of a look that was taken back are left out: it may have been at another part.
    """
    rows = db.execute(
        "SELECT part, photo FROM (SELECT l.part, u.photo, row_number() OVER "
        "(PARTITION BY l.part ORDER BY l.at DESC, u.photo DESC) AS n FROM photo_use u JOIN look l ON l.entry = u.entry "
        "JOIN photo p ON p.id = u.photo AND p.house = l.house AND p.state = 'stored' "
        "WHERE l.house = ? AND l.result <> 'withdrawn' AND NOT EXISTS (SELECT 1 FROM look_replaced r "
        "JOIN look b ON b.entry = r.by_entry WHERE r.entry = l.entry AND b.result = 'withdrawn')) "
        "WHERE n <= ? ORDER BY part, n",
        (to_key(house), most),
    )
    found: dict[str, tuple[str, ...]] = {}
    for key, photo in rows.fetchall():
        part = from_key(key)
        found[part] = (*found.get(part, ()), from_key(photo))
    return found


def count_photos_since(db: Database, device: str, since: datetime) -> tuple[int, int]:
    """(count, bytes) of the photos a device has sent since a time."""
    row = db.execute(
        "SELECT count(*), coalesce(sum(bytes), 0) FROM photo WHERE device = ? AND received_at >= ?",
        (to_key(device), since.isoformat(timespec="milliseconds")),
    ).fetchone()
    return int(row[0]), int(row[1])


def photo_path(settings: Settings, sha256: str, copy: str = "") -> Path:
    """Where the bytes as received are, or one of the copies (COPIES)."""
    return settings.data / FOLDER / sha256[:2] / (f"{sha256}.{copy}.jpg" if copy else sha256)


def read_photo(settings: Settings, sha256: str, copy: str = "") -> bytes | None:
    """The bytes as received, or of one of the copies; None when the file is not there."""
    try:
        return photo_path(settings, sha256, copy).read_bytes()
    except FileNotFoundError:
        return None


def keep_photo_files(settings: Settings, content: bytes, copies: Mapping[str, bytes]) -> str:
    """Write the bytes as received under their SHA-256 (returned in hex) and the copies beside them, durably.

    Raises NotSaved when the disk will not take them. Files that are there already are left alone.
    """
    sha256 = hashlib.sha256(content).hexdigest()
    files = {photo_path(settings, sha256): content}
    files.update({photo_path(settings, sha256, name): data for name, data in copies.items()})
    try:
        folder = photo_path(settings, sha256).parent
        if not folder.is_dir():
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            _sync_folder(folder.parent)
        for path, data in files.items():
            _write_file(path, data)
        _sync_folder(folder)
    except OSError as error:
        raise NotSaved(_why_not_kept(error)) from error
    return sha256


def _write_file(path: Path, data: bytes) -> None:
    if path.exists() and path.stat().st_size == len(data):
        return
    part = path.with_name(f".{path.name}.{secrets.token_hex(6)}{_PART}")
    fd = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, 0o600)
    try:
        with os.fdopen(fd, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.rename(part, path)
    except OSError:
        part.unlink(missing_ok=True)
        raise


def _sync_folder(folder: Path) -> None:
    fd = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
    try:
        os.fsync(fd)
    finally:
        os.close(fd)


def _why_not_kept(error: OSError) -> str:
    why = error.strerror or str(error)
    if "space" in why.lower() or "quota" in why.lower():
        return "Not saved: the disk is full. Free some space and send again; nothing was lost on your side."
    return f"Not saved: the photo could not be written ({why}). Send again; nothing was lost on your side."


def sweep_part_files(settings: Settings) -> int:
    """Remove what a crash left half written; returns how many. Run only while no server writes."""
    parts = list((settings.data / FOLDER).glob(f"*/.*{_PART}"))
    for part in parts:
        part.unlink(missing_ok=True)
    return len(parts)


def free_bytes(settings: Settings) -> int:
    """How much room is left on the disk of the data folder."""
    stat = os.statvfs(settings.data)
    return stat.f_bavail * stat.f_frsize


def _to_photo(row: tuple) -> Photo:  # type: ignore[type-arg]
    return Photo(
        id=from_key(row[0]),
        house=from_key(row[1]),
        device=from_key(row[2]) if row[2] else None,
        sha256=row[3].hex(),
        mime=row[4],
        bytes=row[5],
        width=row[6],
        height=row[7],
        taken_at=row[8] or "",
        received_at=datetime.fromisoformat(row[9]),
        state=row[10],
        caption=row[11],
    )
