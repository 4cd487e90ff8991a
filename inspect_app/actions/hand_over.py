"""Making a hand-over pack: pages, tables, photos and manifest in one ZIP, filed, numbered and journalled."""

import hashlib
import json
import os
import re
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

import rfc8785
from sqlite_utils import Database

from inspect_app import __version__, clock
from inspect_app.actions.hand_over_facts import facts_of
from inspect_app.actions.report import PAPERS, REPORTS, slug_of
from inspect_app.actions.walk import require_role
from inspect_app.config import Settings
from inspect_app.domain.errors import BadValue, Conflict, NotSaved
from inspect_app.domain.hand_over import Facts, Period, as_document
from inspect_app.domain.hand_over_question import check_answer
from inspect_app.domain.hand_over_section import sections_of
from inspect_app.domain.hand_over_table import SCHEMA_ID, Table, tables_for
from inspect_app.domain.house import House
from inspect_app.domain.report_words import zone
from inspect_app.output.hand_over_pdf import KIND, TIME_LIMIT_S
from inspect_app.output.hand_over_zip import ZipPack, spool_table
from inspect_app.output.render import RenderJob, render_report
from inspect_app.store.db import write_transaction
from inspect_app.store.hand_over import Pack, add_answer, add_pack, find_pack_file_owner, list_answers, list_packs
from inspect_app.store.hand_over_table import read_rows
from inspect_app.store.house import get_house
from inspect_app.store.journal import append_journal, item
from inspect_app.store.person import get_person
from inspect_app.store.photo import photo_path
from inspect_app.store.risen_grade import grades_risen

Say = Callable[[str], None]
SCHEMA_FILE = "hand-over.schema.json"
_COPY = "print"
_NUMBER = re.compile(r"(\d{4})-H(\d{3,6})\Z", re.ASCII)


class Wanted(NamedTuple):
    """What a pack is asked to hold."""

    period: Period
    paper: str = "A4"
    with_costs: bool = False


class Made(NamedTuple):
    """A filed pack and where its two files are."""

    pack: Pack
    zip_path: Path
    pdf_path: Path


def make_pack(
    db: Database,
    settings: Settings,
    house: str,
    wanted: Wanted,
    at: datetime,
    *,
    actor: str = "",
    say: Say = lambda text: None,
) -> Made:
    """Make, file and journal a pack. `actor` is a person's id, '' for whoever has the data folder.

    The tables are read in one transaction that only reads, and written to disk row by row. Raises BadValue on a paper
    that is not known, NotAllowed, NotFound, Conflict, NotSaved.
    """
    if wanted.paper not in PAPERS:
        raise BadValue(f"There is no paper “{wanted.paper}”. Choose A4 or Letter.", "paper")
    if actor:
        require_role(db, house, actor, "hand_over.make")
    reports = settings.data / REPORTS
    try:
        with tempfile.TemporaryDirectory(prefix="hand-over-", dir=reports) as folder:
            return _Maker(db, settings, get_house(db, house), wanted, at, actor, say, Path(folder)).make()
    except OSError as error:
        raise NotSaved(f"The pack could not be written: {error.strerror or error}. Nothing was recorded.") from error


class _Maker:
    """One pack in the making; `folder` is where its pieces wait until they are all there."""

    def __init__(
        self, db: Database, settings: Settings, house: House, wanted: Wanted, at: datetime, actor: str, say: Say,
        folder: Path,
    ) -> None:  # fmt: skip
        self.db, self.settings, self.house, self.wanted = db, settings, house, wanted
        self.at, self.actor, self.say, self.folder = at.replace(microsecond=0), actor, say, folder
        self.number = _next_number(self.at.year, [pack.number for pack in list_packs(db, house.id)])
        self.stamp = self.at.isoformat()
        self.photos: list[tuple[str, Path]] = []
        self.risen: Mapping[str, str] = {}

    def make(self) -> Made:
        """Read, render, write, file."""
        with _reading(self.db):
            self.say("Reading the record")
            self.risen = grades_risen(self.db, self.house.id)
            facts = facts_of(self.db, self.settings, self.house, self.wanted.period, self.at)
            self._spool(facts)
        pages = rfc8785.dumps(self._document(facts))
        del facts
        pdf = render_report(RenderJob(pages, {}, self.wanted.paper, self.stamp, KIND), self.say, TIME_LIMIT_S)
        packed = self.folder / "pack.zip"
        self._write_zip(packed, pdf)
        return self._file(packed, pdf, hashlib.sha256(pages).hexdigest())

    def _document(self, facts: Facts) -> dict[str, Any]:
        person = get_person(self.db, self.actor) if self.actor else None
        return {
            "schema": "inspect-app/hand-over-pages/1",
            "number": self.number,
            "house": self.house.name,
            "demo": self.house.demo,
            "tz": self.house.tz,
            "datum": self.house.datum,
            "period_words": self.wanted.period.words,
            "made_local": self.at.astimezone(facts.zone).strftime("%Y-%m-%d %H:%M"),
            "made_by": person.name if person else "whoever keeps the data folder",
            "with_costs": self.wanted.with_costs,
            "sections": as_document(sections_of(facts)),
        }

    def _spool(self, facts: Facts) -> None:
        """Write every table as CSV and the whole as JSON, in one pass over the rows."""
        head = {
            "schema": SCHEMA_ID,
            "number": self.number,
            "made_at": self.stamp,
            "program": f"inspect-app {__version__}",
            "house": {
                "id": self.house.id, "name": self.house.name, "tz": self.house.tz, "units": self.house.units,
                "datum": self.house.datum, "demo": self.house.demo,
            },
            "period": self.wanted.period._asdict(),
            "with_costs": self.wanted.with_costs,
            "sheet": [{"question": question, "answer": answer} for question, answer in facts.sheet],
        }  # fmt: skip
        with (self.folder / "json").open("wb") as document:
            document.write(json.dumps(head, ensure_ascii=False).encode()[:-1] + b',\n"tables": {')
            for n, table in enumerate(tables_for(self.wanted.with_costs)):
                self.say(f"Writing {table.name.replace('_', ' ')}")
                document.write((b",\n" if n else b"\n") + json.dumps(table.name).encode() + b": ")
                with (self.folder / f"{table.name}.csv").open("wb") as sheet:
                    spool_table(table, self._rows(table), sheet, document)
            document.write(b"\n}}\n")

    def _rows(self, table: Table) -> Iterator[Mapping[str, Any]]:
        wanted, where = self.wanted, zone(self.house.tz)
        for row in read_rows(self.db, table, self.house.id, wanted.period, where, wanted.with_costs):
            if table.name in ("photos", "old_pages"):
                pdf = row["mime"] == "application/pdf"  # only an old page may be one; it goes as it came
                path = photo_path(self.settings, row["sha256"], "" if pdf else _COPY)
                if path.is_file():
                    row["file"] = f"{table.name.replace('_', '-')}/{row['id']}.{'pdf' if pdf else 'jpg'}"
                    self.photos.append((row["file"], path))
            elif table.name == "deficiencies":
                row["grade"] = self.risen.get(row["id"], row["grade"])
            yield row

    def _write_zip(self, path: Path, pdf: bytes) -> None:
        self.say("Putting the pack together")
        with ZipPack(path, self.at) as pack:
            pack.add("hand-over.pdf", pdf)
            pack.add(SCHEMA_FILE, (self.settings.shared / SCHEMA_FILE).read_bytes())
            with (self.folder / "json").open("rb") as source:
                pack.copy("hand-over.json", source)
            for table in tables_for(self.wanted.with_costs):
                with (self.folder / f"{table.name}.csv").open("rb") as source:
                    pack.copy(f"csv/{table.name}.csv", source)
            for n, (name, photo) in enumerate(self.photos, 1):
                if n % 100 == 0:
                    self.say(f"Adding photo {n} of {len(self.photos)}")
                with photo.open("rb") as source:
                    pack.copy(name, source)

    def _file(self, packed: Path, pdf: bytes, data_sha256: str) -> Made:
        name = self._free_name()
        reports = self.settings.data / REPORTS
        part = self.folder / "pages.pdf"
        part.write_bytes(pdf)
        for file in (packed, part):
            _make_last(file)
        pack = Pack(
            clock.new_id(), self.house.id, self.number, *self.wanted.period, self.wanted.paper, self.wanted.with_costs,
            f"{name}.pdf", hashlib.sha256(pdf).hexdigest(), data_sha256, f"{name}.zip", _digest(packed),
            packed.stat().st_size, "", self.at,
        )  # fmt: skip
        with write_transaction(self.db):
            if pack.number in {one.number for one in list_packs(self.db, self.house.id)}:
                raise Conflict("Another pack was made meanwhile. Nothing was recorded; ask for it again.")
            add_pack(self.db, pack, self.actor)
            said = item("hand_over_pack", pack.id, {**pack._asdict(), "made_at": self.stamp})
            append_journal(
                self.db, at=self.at, actor=self.actor or "system", action="hand_over.make", house=self.house.id,
                items=[said],
            )  # fmt: skip
            packed.replace(reports / pack.zip_file)
            part.replace(reports / pack.pdf_file)
        return Made(pack, reports / pack.zip_file, reports / pack.pdf_file)

    def _free_name(self) -> str:
        name = f"{slug_of({'house': {'name': self.house.name}})}-hand-over-{self.number}"
        owner = find_pack_file_owner(self.db, f"{name}.zip")
        return name if owner in (None, self.house.id) else f"{name}-{self.house.id[-8:]}"


@contextmanager
def _reading(db: Database) -> Iterator[None]:
    """All reads inside see the same moment; nothing is written."""
    db.execute("BEGIN")
    try:
        yield
    finally:
        db.execute("ROLLBACK")


def _next_number(year: int, taken: list[str]) -> str:
    found = [int(match[2]) for number in taken if (match := _NUMBER.match(number)) and int(match[1]) == year]
    return f"{year}-H{max(found, default=0) + 1:03d}"


def _make_last(path: Path) -> None:
    with path.open("rb") as file:
        os.fsync(file.fileno())


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def answer_questions(db: Database, *, at: datetime, actor: str, house: str, answers: Mapping[str, str]) -> int:
    """Keep the answers that changed; returns how many. Raises BadValue, NotAllowed."""
    clean = {key: check_answer(key, text) for key, text in answers.items()}
    with write_transaction(db):
        require_role(db, house, actor, "hand_over.answer")
        known = list_answers(db, house)
        new = {key: text for key, text in clean.items() if text != known.get(key, ("",))[0]}
        items = [
            item("house_answer", add_answer(db, house, key, text, actor, at), [key, text]) for key, text in new.items()
        ]
        if items:
            append_journal(db, at=at, actor=actor, action="hand_over.answer", house=house, items=items)
    return len(new)
