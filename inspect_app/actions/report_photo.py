"""The pictures a report prints, by photo id."""

from collections.abc import Iterable
from pathlib import Path

from sqlite_utils import Database

from inspect_app.config import settings_for
from inspect_app.domain.errors import Conflict
from inspect_app.store.photo import get_photo, read_photo

COPY = "print"  # long side 1200 px; output/report_photo.py makes a smaller one of what is too heavy for paper


def print_copies(db: Database, data_folder: Path, house: str, photos: Iterable[str]) -> dict[str, bytes]:
    """Print-size JPEGs by photo id. Raises Conflict naming the first photo whose picture is not there."""
    settings, found = settings_for(data_folder), {}
    for photo in photos:
        row = get_photo(db, house, photo)
        content = (read_photo(settings, row.sha256, COPY) or read_photo(settings, row.sha256)) if row else None
        if not content:
            raise Conflict(f"The picture of photo {photo} is not in the data folder. Restore it from the last backup.")
        found[photo] = content
    return found
