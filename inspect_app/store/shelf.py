"""The checklists in use now, read again only when one of their files has changed."""

import threading

from inspect_app.config import Settings
from inspect_app.store.checklist import Shelf, load_shelf

_lock = threading.Lock()
_MOST = 8
_kept: dict[tuple[object, ...], Shelf] = {}


def current_shelf(settings: Settings) -> Shelf:
    """The shelf of these settings; it is read anew (a third of a second) only after a file has changed."""
    mark = _mark_of(settings)
    with _lock:
        if mark not in _kept:
            shelf = load_shelf(settings)
            while len(_kept) >= _MOST:
                del _kept[next(iter(_kept))]
            _kept[mark] = shelf
        return _kept[mark]


def _mark_of(settings: Settings) -> tuple[object, ...]:
    """Name, size and time of change of every file the shelf is read from."""
    own = settings.data / "checklists"
    folders = [settings.shared, settings.checklists, settings.checklists / "points", own, own / "points"]
    files = [path for folder in folders for path in sorted(folder.glob("*.yaml"))]
    return tuple((str(path), stat.st_size, stat.st_mtime_ns) for path in files if (stat := path.stat()))
