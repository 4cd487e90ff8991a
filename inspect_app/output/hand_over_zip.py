"""A hand-over pack as a ZIP: each file goes through to disk and its digest into SHA256SUMS; memory stays bounded."""

import csv
import hashlib
import json
import zipfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import IO, Any, Protocol, Self

from inspect_app.domain.hand_over_table import Table
from inspect_app.output.register_file import harmless

MANIFEST = "SHA256SUMS"
_CHUNK = 1 << 20
_STORED = (".jpg", ".pdf")  # compressed already


class _Sink(Protocol):
    def write(self, data: bytes, /) -> int: ...


class _Hashing:
    """Passes bytes on and keeps their SHA-256."""

    def __init__(self, sink: _Sink) -> None:
        self._sink, self._digest = sink, hashlib.sha256()

    def write(self, data: bytes) -> int:
        self._digest.update(data)
        return self._sink.write(data)

    def hexdigest(self) -> str:
        return self._digest.hexdigest()


class ZipPack:
    """Writes one ZIP, file by file; leaving the context writes the manifest. `at` is the time its files carry."""

    def __init__(self, path: Path, at: datetime) -> None:
        self._zip = zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, allowZip64=True)
        self._at, self._digests = at, dict[str, str]()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, _: TracebackType | None) -> None:
        if kind is None:
            lines = [f"{digest}  {name}\n" for name, digest in sorted(self._digests.items())]
            self._zip.writestr(self._info(MANIFEST), "".join(lines))
        self._zip.close()

    def _info(self, name: str) -> zipfile.ZipInfo:
        info = zipfile.ZipInfo(name, self._at.timetuple()[:6])
        info.compress_type = zipfile.ZIP_STORED if name.endswith(_STORED) else zipfile.ZIP_DEFLATED
        info.external_attr = 0o644 << 16
        return info

    @contextmanager
    def writing(self, name: str) -> Iterator[_Hashing]:
        """A file of the pack that is written piece by piece. Raises ValueError on a name given twice."""
        if name in self._digests or name == MANIFEST:
            raise ValueError(f"{name} is in the pack already")
        with self._zip.open(self._info(name), "w", force_zip64=True) as sink:
            hashing = _Hashing(sink)
            yield hashing
        self._digests[name] = hashing.hexdigest()

    def add(self, name: str, content: bytes) -> None:
        """A small file."""
        with self.writing(name) as sink:
            sink.write(content)

    def copy(self, name: str, source: IO[bytes]) -> None:
        """A file from disk."""
        with self.writing(name) as sink:
            while chunk := source.read(_CHUNK):
                sink.write(chunk)


class _Lines:
    """What csv writes, as UTF-8."""

    def __init__(self, sink: _Sink) -> None:
        self._sink = sink

    def write(self, text: str) -> int:
        return self._sink.write(text.encode())


def cell(value: Any) -> str:
    """A value as the text of a cell; no office program takes it for a formula."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict | list):
        return harmless(json.dumps(value, ensure_ascii=False))
    return harmless(str(value).replace("\x00", ""))


def spool_table(table: Table, rows: Iterable[Mapping[str, Any]], as_csv: IO[bytes], as_json: IO[bytes]) -> int:
    """Write a table in both forms as its rows come; returns how many there were."""
    as_csv.write("\ufeff".encode())
    writer = csv.writer(_Lines(as_csv), lineterminator="\r\n")
    writer.writerow(table.names)
    as_json.write(b"[")
    count = 0
    for count, row in enumerate(rows, 1):
        writer.writerow([cell(row[name]) for name in table.names])
        as_json.write((b",\n" if count > 1 else b"\n") + json.dumps(row, ensure_ascii=False).encode())
    as_json.write(b"]")
    return count
