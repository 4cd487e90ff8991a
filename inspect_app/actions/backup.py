"""A data folder kept in one ZIP with a digest for each file, and made again from it."""

import hashlib
import os
import re
import shutil
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

from inspect_app.domain.errors import Conflict, NotFound, NotSaved
from inspect_app.output.hand_over_zip import MANIFEST, ZipPack
from inspect_app.store.data_folder import DATABASE, FOLDERS, MARKER
from inspect_app.store.db import copy_database, is_sound

Say = Callable[[str], None]
_KEPT = tuple(name for name in FOLDERS if name != "backups")
_LINE = re.compile(r"([0-9a-f]{64})  (\S[^\n\0]*)\Z")
_CHUNK = 1 << 20
_SPARE = 16 << 20  # what stays free on the disk for everything else
# What reading a ZIP raises when its bytes are damaged, when it is locked by a pass phrase, or packed in another way.
_UNREADABLE = (zipfile.BadZipFile, zlib.error, EOFError, UnicodeDecodeError, RuntimeError)


def make_backup(data: Path, out: Path | None, at: datetime, say: Say = lambda text: None) -> Path:
    """Write the database, as it is at one moment, with the folders of files, to a ZIP; returns where.

    Private keys are not kept: a restored folder makes a new secret.key, and lan/ is copied by hand. Raises NotFound
    without a database, Conflict on a file that is there, NotSaved when the disk will not take it.
    """
    if not (data / DATABASE).is_file():
        raise NotFound(f"There is no data folder at {data}.")
    path = out or data / "backups" / f"inspect-{at:%Y%m%dT%H%M%SZ}.zip"
    if path.exists():
        raise Conflict(f"{path} is there already. Name another file.")
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with tempfile.TemporaryDirectory(prefix="backup-", dir=path.parent) as folder:
            say("Copying the database")
            copied = Path(folder) / DATABASE
            copy_database(data / DATABASE, copied)
            _write(data, copied, part, at, say)
        os.chmod(part, 0o600)
        part.replace(path)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise NotSaved(f"The backup could not be written: {error.strerror or error}.") from error
    return path


def _write(data: Path, copied: Path, part: Path, at: datetime, say: Say) -> None:
    with ZipPack(part, at) as pack:
        with copied.open("rb") as source:
            pack.copy(DATABASE, source)
        if (data / MARKER).is_file():
            pack.add(MARKER, (data / MARKER).read_bytes())
        for name in _KEPT:
            say(f"Copying {name}")
            for file in _files_below(data / name):
                with file.open("rb") as source:
                    pack.copy(file.relative_to(data).as_posix(), source)
    with part.open("rb") as written:
        os.fsync(written.fileno())


def _files_below(folder: Path) -> Iterator[Path]:
    """Plain files, without those that are only half written."""
    for path in sorted(folder.rglob("*")):
        if path.is_file() and not path.is_symlink() and not path.name.endswith(".part"):
            yield path


def restore_backup(file: Path, data: Path, say: Say = lambda text: None) -> int:
    """Make a data folder from a backup; returns the number of files. Nothing is left behind when it fails.

    Raises Conflict when the folder holds anything, when the file is no backup, or when a digest or the database does
    not hold.
    """
    if data.exists() and (not data.is_dir() or any(data.iterdir())):
        raise Conflict(f"{data} is not empty. Nothing was touched: name an empty folder, or move this one away.")
    data.parent.mkdir(parents=True, exist_ok=True)
    new = Path(tempfile.mkdtemp(prefix=f".{data.name}-", dir=data.parent))
    try:
        count = _unpack(file, new, say)
        say("Checking the database")
        if not is_sound(new / DATABASE):
            raise Conflict(f"The database in {file} is damaged. Nothing was restored: take an earlier backup.")
        if data.exists():
            data.rmdir()
        new.rename(data)
    except _UNREADABLE as error:
        shutil.rmtree(new, ignore_errors=True)
        raise Conflict(f"{file} cannot be read as a backup ({error}). Nothing was restored.") from None
    except OSError as error:
        shutil.rmtree(new, ignore_errors=True)
        raise NotSaved(f"{data} could not be written: {error.strerror or error}. Nothing was restored.") from error
    except BaseException:
        shutil.rmtree(new, ignore_errors=True)
        raise
    return count


def _unpack(file: Path, new: Path, say: Say) -> int:
    with zipfile.ZipFile(file) as packed:
        _check_room(packed, new)
        wanted = _manifest(packed, file)
        for n, (name, digest) in enumerate(wanted.items(), 1):
            if n % 200 == 1:
                say(f"File {n} of {len(wanted)}")
            path = new / name
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            seen = hashlib.sha256()
            with packed.open(name) as source, path.open("xb") as sink:
                os.chmod(path, 0o600)
                while chunk := source.read(_CHUNK):
                    seen.update(chunk)
                    sink.write(chunk)
                sink.flush()
                os.fsync(sink.fileno())
            if seen.hexdigest() != digest:
                raise Conflict(f"{name} in {file} is not as it was kept. Nothing was restored.")
    return len(wanted)


def _check_room(packed: zipfile.ZipFile, new: Path) -> None:
    """Raise NotSaved when the disk will not take what the ZIP says it holds; no more than that is ever unpacked."""
    needed, free = sum(one.file_size for one in packed.infolist()), shutil.disk_usage(new).free
    if needed + _SPARE > free:
        raise NotSaved(
            f"The files need {needed // 1_000_000} MB and the disk has {free // 1_000_000} MB free. Nothing was "
            "restored: free some space, or name a folder on another disk."
        )


def _manifest(packed: zipfile.ZipFile, file: Path) -> dict[str, str]:
    """Digest by name: exactly the files that are in the ZIP, each below the folder. Raises Conflict."""
    names = packed.namelist()
    if MANIFEST not in names or DATABASE not in names:
        raise Conflict(f"{file} is no backup of a data folder. Nothing was restored.")
    found = [_LINE.match(line) for line in packed.read(MANIFEST).decode().splitlines()]
    wanted = {match[2]: match[1] for match in found if match}
    if sorted(names) != sorted([*wanted, MANIFEST]):
        raise Conflict(f"The list of files in {file} does not fit what is in it. Nothing was restored.")
    for name in wanted:
        place = Path(name)
        known = name in (DATABASE, MARKER) or (len(place.parts) > 1 and place.parts[0] in _KEPT)
        if place.is_absolute() or ".." in place.parts or "\\" in name or not known:
            raise Conflict(f"{file} holds a file that belongs to no data folder: {name}. Nothing was restored.")
    return wanted
