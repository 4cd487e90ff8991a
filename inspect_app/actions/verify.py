"""Verify the record: the journal's chain, every digest, the seals, the filed PDFs, and one PDF from anywhere."""

import hashlib
import json
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import rfc8785
from sqlite_utils import Database

from inspect_app.actions.canonical import canonical_json
from inspect_app.actions.report import REPORTS
from inspect_app.actions.report_reader import read_report_file
from inspect_app.config import settings_for
from inspect_app.domain.errors import BadValue
from inspect_app.domain.journal import first_break
from inspect_app.domain.seal import root_of
from inspect_app.store.deficiency import list_states_unlike_events
from inspect_app.store.document import list_documents
from inspect_app.store.hand_over import list_packs
from inspect_app.store.journal import list_journal
from inspect_app.store.photo import read_photo
from inspect_app.store.search import find_search_fault
from inspect_app.store.verify import (
    StoredSeal,
    find_seals_by_data,
    list_attachment_digests,
    list_old_page_digests,
    list_original_digests,
    list_photo_digests,
    list_recording_digests,
    list_set_sound_digests,
    list_stored_entries,
    list_stored_seals,
)


class Check(NamedTuple):
    """One thing that was checked, whether it holds, and what was seen."""

    holds: bool
    says: str


class Verification(NamedTuple):
    """The answer, with every check behind it."""

    checks: tuple[Check, ...]

    @property
    def holds(self) -> bool:
        """Yes only when every check holds."""
        return bool(self.checks) and all(check.holds for check in self.checks)


def verify_data(db: Database, data_folder: Path) -> Verification:
    """Recompute all digests of a data folder from its bytes; nothing is changed."""
    heads = {row.hash.hex() for row in list_journal(db)}
    entries: dict[str, str] = {}
    seals = list_stored_seals(db)
    return Verification(
        (
            _journal(db),
            _entries(db, entries),
            *(check for seal in seals for check in _seal(seal, entries, heads)),
            *([] if seals else [Check(True, "no walk is sealed yet")]),
            _files("photos", list_photo_digests(db), data_folder),
            _files("originals", list_original_digests(db), data_folder),
            _files("voice notes", list_recording_digests(db), data_folder),
            _files("attachments", list_attachment_digests(db), data_folder),
            _files("old pages", list_old_page_digests(db), data_folder),
            _files("sounds of sets", list_set_sound_digests(db), data_folder),
            _deficiencies(db),
            _search(db),
            *_documents(db, data_folder, seals),
            *_packs(db, data_folder),
        )
    )


def _journal(db: Database) -> Check:
    broken = first_break(list_journal(db))
    if broken is not None:
        return Check(False, f"journal: the chain breaks at row {broken}")
    return Check(True, "journal: the chain holds from the first row to the last")


def _entries(db: Database, seen: dict[str, str]) -> Check:
    """Check all entries and fill `seen` with the digest recomputed for each."""
    wrong = []
    for entry in list_stored_entries(db):
        seen[entry.id] = hashlib.sha256(entry.raw).hexdigest()
        if seen[entry.id] != entry.sha256:
            wrong.append(entry.id)
    if wrong:
        return Check(False, f"entries: {len(wrong)} do not fit their digest, the first is {wrong[0]}")
    return Check(True, f"entries: all {len(seen)} fit their digests")


def _seal(seal: StoredSeal, entries: dict[str, str], heads: set[str]) -> Iterator[Check]:
    """What one seal says against what is there now."""
    name = f"report {seal.number}, seal {seal.n}"
    try:
        data = json.loads(seal.data)
        listed = [(str(row["id"]), str(row["sha256"])) for row in data["entries"]]
        stated = str(data["root_sha256"])
        canonical = canonical_json(data)
    except (ValueError, KeyError, TypeError, rfc8785.CanonicalizationError):
        yield Check(False, f"{name}: its data cannot be read")
        return
    faults = []
    if canonical != seal.data:
        faults.append("its data are not in canonical form")
    if stated != seal.root_sha256 or root_of(listed) != seal.root_sha256:
        faults.append("the root over its entries does not fit")
    lost = [entry for entry, sha256 in (*listed, *seal.entries) if entries.get(entry) != sha256]
    if lost:
        faults.append(f"entry {lost[0]} is missing or altered")
    if not set(seal.entries) <= set(listed):
        faults.append("it covers entries that its data do not list")
    if seal.journal_head not in heads | {"0" * 64}:
        faults.append("the journal row it was made on is gone")
    yield Check(not faults, f"{name}: {'; '.join(faults) or 'root, entries and data fit'}")


def _files(what: str, rows: list[tuple[str, str]], data_folder: Path) -> Check:
    settings = settings_for(data_folder)
    for key, sha256 in rows:
        content = read_photo(settings, sha256)
        if content is None:
            return Check(False, f"{what}: {key} is missing")
        if hashlib.sha256(content).hexdigest() != sha256:
            return Check(False, f"{what}: {key} was altered")
    return Check(True, f"{what}: all {len(rows)} fit their digests")


def _deficiencies(db: Database) -> Check:
    wrong = list_states_unlike_events(db)
    if wrong:
        return Check(False, f"deficiencies: the state of number {wrong[0][0]} is not where its events lead")
    return Check(True, "deficiencies: each stands where its events lead")


def _search(db: Database) -> Check:
    fault = find_search_fault(db)
    return Check(not fault, f"search: {fault or 'its texts and the index of their words agree with the record'}")


def _documents(db: Database, data_folder: Path, seals: list[StoredSeal]) -> Iterator[Check]:
    sealed = {(seal.walk, seal.n): hashlib.sha256(seal.data).hexdigest() for seal in seals}
    for document in list_documents(db):
        path = data_folder / REPORTS / document.file
        if sealed.get((document.walk, document.seal_n)) != document.data_sha256:
            yield Check(False, f"{document.file}: filed for data that are not the sealed ones")
        elif not path.is_file():
            yield Check(False, f"{document.file}: the filed PDF is missing")
        elif hashlib.sha256(path.read_bytes()).hexdigest() != document.sha256:
            yield Check(False, f"{document.file}: the filed PDF was altered")
        else:
            yield Check(True, f"{document.file}: as it was filed")


def _packs(db: Database, data_folder: Path) -> Iterator[Check]:
    """Hand-over packs: both files of each, read piece by piece."""
    for pack in list_packs(db):
        for name, wanted in ((pack.zip_file, pack.zip_sha256), (pack.pdf_file, pack.pdf_sha256)):
            try:
                with (data_folder / REPORTS / name).open("rb") as file:
                    seen = hashlib.file_digest(file, "sha256").hexdigest()
            except OSError:
                yield Check(False, f"{name}: the filed pack is missing")
            else:
                yield Check(seen == wanted, f"{name}: {'as it was filed' if seen == wanted else 'was altered'}")


def verify_pdf(db: Database, path: Path) -> Verification:
    """Hold one PDF against itself and against the sealed data: yes only when it is a filed report, byte for byte."""
    try:
        content = path.read_bytes()
        report = read_report_file(content)
    except OSError as error:
        return Verification((Check(False, f"{path.name}: cannot be opened ({error.strerror})"),))
    except BadValue as error:
        return Verification((Check(False, f"{path.name}: {error.message}"),))
    digest = hashlib.sha256(report.sealed).hexdigest()
    seals = find_seals_by_data(db, report.sealed)
    return Verification(
        (
            Check(True, f"SHA-256 of the attached walk.json: {digest}"),
            _says(report.stated == digest, "the digest in the file's description"),
            _says(digest in report.printed, "the digest printed on its pages"),
            _against_seals(seals),
            _against_filed(db, hashlib.sha256(content).hexdigest(), digest),
        )
    )


def _says(holds: bool, what: str) -> Check:
    return Check(holds, f"{what} {'is the same' if holds else 'is not that of the attached data'}")


def _against_seals(seals: list[StoredSeal]) -> Check:
    if not seals:
        return Check(
            False, "the attached data are not sealed in this data folder: a draft, altered, or another house's"
        )
    names = ", ".join(f"report {seal.number}, seal {seal.n}" for seal in seals)
    return Check(True, f"the attached data are those sealed as {names}")


def _against_filed(db: Database, sha256: str, data_sha256: str) -> Check:
    """The pages can only be vouched for when the whole file is one that was filed here."""
    filed = [document for document in list_documents(db) if document.data_sha256 == data_sha256]
    if any(document.sha256 == sha256 for document in filed):
        return Check(True, "the file is, byte for byte, the one that was filed")
    if filed:
        return Check(False, "the file is not the one that was filed: its pages may say something else than its data")
    return Check(False, "no PDF of these data is filed here, so its pages cannot be vouched for")
