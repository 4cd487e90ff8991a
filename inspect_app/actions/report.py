"""File a dated PDF of a walk: rendered once per seal and paper, kept below reports/, recorded and journalled."""

import hashlib
import json
import os
import re
import unicodedata
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.report_photo import print_copies
from inspect_app.actions.seal import draft_data
from inspect_app.config import settings_for
from inspect_app.domain.errors import BadValue, Conflict, NotSaved
from inspect_app.domain.report import build_report
from inspect_app.output.render import RenderJob, render_report
from inspect_app.store.db import write_transaction
from inspect_app.store.document import (
    Document,
    SealedData,
    add_document,
    find_file_owner,
    get_document,
    get_sealed_data,
)
from inspect_app.store.journal import append_journal, item
from inspect_app.store.reference import reference_at

REPORTS, DRAFTS = "reports", "drafts"
PAPERS = ("A4", "Letter")
Say = Callable[[str], None]


def file_report(
    db: Database,
    data_folder: Path,
    house: str,
    walk: str,
    paper: str,
    at: datetime,
    *,
    actor: str = "system",
    n: int | None = None,
    say: Say = lambda text: None,
) -> Path:
    """The PDF of a walk on A4 or Letter paper: of its newest seal (or seal `n`), or a draft when nobody has signed.

    A sealed report is rendered once and found again after that; a draft is rendered each time and never recorded.
    `say` gets the lines of progress. Raises BadValue, NotFound, Conflict or NotSaved.
    """
    if paper not in PAPERS:
        raise BadValue(f"There is no paper “{paper}”. Choose A4 or Letter.", "paper")
    sealed = get_sealed_data(db, house, walk, n)
    if sealed is None:
        return _make_draft(db, data_folder, house, walk, paper, at, say)
    return _file_sealed(db, data_folder, house, walk, paper, at, actor, sealed, say)


def find_filed(db: Database, data_folder: Path, house: str, walk: str, paper: str, n: int | None = None) -> Path | None:
    """The PDF of a seal when it is filed already and its bytes are as filed; None when it has still to be made."""
    sealed = get_sealed_data(db, house, walk, n)
    if sealed is None:
        return None
    report = _report_of(sealed)
    known = get_document(db, house, report[0], report[1], paper)
    if known is None:
        return None
    path = data_folder / REPORTS / known.file
    return path if _digest_of(path) == known.sha256 else None


def _report_of(sealed: SealedData) -> tuple[str, int]:
    report = json.loads(sealed.data).get("report") or {}
    return str(report.get("number") or sealed.number), int(report.get("revision") or sealed.n)


def _file_sealed(
    db: Database,
    data_folder: Path,
    house: str,
    walk: str,
    paper: str,
    at: datetime,
    actor: str,
    sealed: SealedData,
    say: Say,
) -> Path:
    number, revision = _report_of(sealed)
    found = find_filed(db, data_folder, house, walk, paper, sealed.n)
    if found is not None:
        return found
    data = json.loads(sealed.data)
    pdf = _render(db, data_folder, house, sealed.data, data, paper, _whole_second(sealed.at), say)
    digest = hashlib.sha256(pdf).hexdigest()
    known = get_document(db, house, number, revision, paper)
    if known is not None and known.sha256 != digest:
        raise Conflict(
            f"The filed report {known.file} is missing or altered, and this release lays it out differently. "
            "Restore it from the last backup."
        )
    file = known.file if known else _free_name(db, house, _file_name(data, number, revision, paper))
    path = data_folder / REPORTS / file
    _write(path, pdf)
    if known is None:
        document = Document(
            clock.new_id(), house, walk, sealed.n, number, revision, paper, digest,
            hashlib.sha256(sealed.data).hexdigest(), file, len(pdf), at.isoformat(timespec="milliseconds"),
        )  # fmt: skip
        _record(db, document, at, actor)
    return path


def _record(db: Database, document: Document, at: datetime, actor: str) -> None:
    """Insert the document with its journal row, unless another request has just filed the same report."""
    with write_transaction(db):
        known = get_document(db, document.house, document.number, document.revision, document.paper)
        if known is not None:
            return
        add_document(db, document)
        items = [item("document", document.id, document._asdict())]
        append_journal(db, at=at, actor=actor, action="report.file", house=document.house, items=items)


def _make_draft(db: Database, data_folder: Path, house: str, walk: str, paper: str, at: datetime, say: Say) -> Path:
    say("Gathering the walk")
    raw = draft_data(db, house, walk, reference_at(settings_for(data_folder).shared).criteria)
    data = json.loads(raw)
    pdf = _render(db, data_folder, house, raw, data, paper, at.replace(microsecond=0).isoformat(), say)
    name = f"{slug_of(data)}-draft-{walk[-12:]}-{paper}.pdf"
    path = data_folder / REPORTS / DRAFTS / name
    path.parent.mkdir(mode=0o700, exist_ok=True)
    _write(path, pdf)
    return path


def _render(
    db: Database, data_folder: Path, house: str, raw: bytes, data: Any, paper: str, made_at: str, say: Say
) -> bytes:
    say("Fetching the photos")
    photos = print_copies(db, data_folder, house, build_report(data).photo_ids)
    return render_report(RenderJob(raw, photos, paper, made_at), say)


def _whole_second(text: str) -> str:
    return datetime.fromisoformat(text).replace(microsecond=0).isoformat()


def slug_of(data: Any) -> str:
    """The house's name as it may stand in a file name."""
    name = unicodedata.normalize("NFKD", str((data.get("house") or {}).get("name") or ""))
    slug = re.sub(r"[^a-z0-9]+", "-", name.encode("ascii", "ignore").decode().lower()).strip("-")
    return slug[:40].rstrip("-") or "house"


def _file_name(data: Any, number: str, revision: int, paper: str) -> str:
    safe = re.sub(r"[^A-Za-z0-9-]+", "-", number)[:24]
    return f"{slug_of(data)}-{safe}-r{revision}-{paper}.pdf"


def _free_name(db: Database, house: str, name: str) -> str:
    """`name`, or with the end of the house's id when another house of the same name has it."""
    owner = find_file_owner(db, name)
    return name if owner in (None, house) else f"{name.removesuffix('.pdf')}-{house[-8:]}.pdf"


def _digest_of(path: Path) -> str:
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return ""


def _write(path: Path, content: bytes) -> None:
    """Write beside and move into place, so that no reader ever sees half a report. Raises NotSaved."""
    part = path.with_name(f"{path.name}.{os.getpid()}.part")
    try:
        with part.open("wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError as error:
        part.unlink(missing_ok=True)
        raise NotSaved(f"The report could not be written: {error.strerror or error}. Nothing was recorded.") from error
