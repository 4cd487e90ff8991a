"""The pictures a report prints, by photo id, and where the bytes as received lie."""

from collections.abc import Iterable
from pathlib import Path

from sqlite_utils import Database

from inspect_app.domain.errors import Conflict
from inspect_app.store.document import get_photo_digest

PHOTOS = "photos"


def original_path(data_folder: Path, sha256: str) -> Path:
    """Where the bytes of a photo as received are kept."""
    return data_folder / PHOTOS / sha256[:2] / sha256


def print_copies(db: Database, data_folder: Path, house: str, photos: Iterable[str]) -> dict[str, bytes]:
    """Print-size JPEGs by photo id. Raises Conflict naming the first photo whose picture is not there."""
    found = {}
    for photo in photos:
        digest = get_photo_digest(db, house, photo)
        path = original_path(data_folder, digest) if digest else None
        try:
            found[photo] = path.read_bytes() if path else b""
        except OSError:
            found[photo] = b""
        if not found[photo]:
            raise Conflict(f"The picture of photo {photo} is not in the data folder. Restore it from the last backup.")
    return found
