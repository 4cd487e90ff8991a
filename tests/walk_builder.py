"""A walk built for tests through the same door that phones use: entries in, one by one."""

from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from pathlib import Path
from typing import Any

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.account import insert_account, insert_person
from inspect_app.actions.device import pair_device
from inspect_app.actions.ingest import Verdict, record_entries
from inspect_app.actions.seal import Signing, amend_walk, sign_walk
from inspect_app.config import Settings
from inspect_app.domain.checklist import Checklist
from inspect_app.domain.criteria import Criterion
from inspect_app.domain.house import House
from inspect_app.domain.person import Person
from inspect_app.domain.role import Role
from inspect_app.domain.seal import STATEMENT, root_of
from inspect_app.domain.sequence import ids_digest
from inspect_app.domain.walk_record import Signature, WalkRecord
from inspect_app.store.checklist import Shelf, freeze_revision, load_shelf
from inspect_app.store.db import write_transaction
from inspect_app.store.device import list_devices
from inspect_app.store.membership import set_roles
from inspect_app.store.part import find_part_by_tag
from inspect_app.store.reference import reference_at
from inspect_app.store.walk_record import get_walk_record

START = datetime(2026, 3, 4, 19, 0, tzinfo=UTC)


@lru_cache
def _shelf(checklists: Path, shared: Path) -> Shelf:
    """The shipped checklists, read once for all tests."""
    return load_shelf(Settings(checklists / "no-data-folder", checklists, shared))


def add_person(db: Database, house: House, name: str, *roles: Role) -> Person:
    """A person with an account and these roles in the house."""
    with write_transaction(db):
        person = insert_person(db, name)
        insert_account(db, START, person.id, f"user-{person.id}", "not a hash")
        set_roles(db, house.id, person.id, frozenset(roles), START)
    return person


class Phone:
    """One paired phone of one person, with its own count."""

    def __init__(self, db: Database, house: House, person: Person, name: str = "Grid phone") -> None:
        self.db, self.person, self.seq = db, person, 0
        paired = pair_device(db, at=START, actor=person.id, house=house.id, label=name)
        self.device = next(d for d in list_devices(db, house.id, person.id) if d.id == paired.device)


class BuiltWalk:
    """A walk of a house with one checklist; `td` opens it with a phone of their own."""

    def __init__(self, db: Database, settings: Settings, house: House, checklist: str = "grid-quarterly") -> None:
        self.db, self.house, self.settings = db, house, settings
        shelf = _shelf(settings.checklists, settings.shared)
        self.checklist: Checklist = shelf.checklists[checklist]
        self.criteria: Mapping[str, Criterion] = reference_at(settings.shared).criteria
        with write_transaction(db):
            freeze_revision(db, self.checklist, shelf.sources[checklist], START)
        self.td = add_person(db, house, "Ines Halloran", Role.TD)
        self.phone = Phone(db, house, self.td)
        self.id = clock.new_id()
        self.at = START
        self.sent: dict[str, list[str]] = {}

    def send(self, kind: str, phone: Phone | None = None, **fields: Any) -> Verdict:
        """One entry from a phone; time moves on by a minute."""
        phone = phone or self.phone
        phone.seq += 1
        self.at += timedelta(minutes=1)
        entry = {
            "schema": 1, "kind": kind, "id": clock.new_id(), "house": self.house.id, "walk": self.id,
            "device": phone.device.id, "seq": phone.seq, "recorded_at": self.at.isoformat(), "by": phone.person.id,
            **fields,
        }  # fmt: skip
        (verdict,) = record_entries(self.db, at=self.at, device=phone.device, entries=[entry])
        self.sent.setdefault(phone.device.id, []).append(entry["id"])
        return verdict

    def open(self, **fields: Any) -> Verdict:
        scope = {
            "checklists": [{"id": self.checklist.id, "revision": self.checklist.revision}],
            "line_sets": None, "areas": None,
        }  # fmt: skip
        people = {
            "aloft": ["Ines Halloran"],
            "deck": "Joan Pell",
            "radio": "4",
            "rescue": "house kit",
            "down_at": "22:00",
        }
        return self.send("opening", title="Spring walk", date_local="2026-03-04", scope=scope, people=people, hangs={},
                         cautions_read=True, **fields)  # fmt: skip

    def points(self, tag: str, in_pass: str = "grid/static") -> list[str]:
        """The points that a tap may claim on a part in a pass."""
        return [p.id for p in self.checklist.points_for(self.part(tag).kind) if p.in_pass == in_pass]

    def part(self, tag: str) -> Any:
        part = find_part_by_tag(self.db, self.house.id, tag)
        assert part is not None
        return part

    def look(self, tag: str, result: str = "no_finding", phone: Phone | None = None, **fields: Any) -> str:
        """One look at a part; returns the entry's id."""
        given = {
            "part": self.part(tag).id, "checklist": self.checklist.id, "revision": self.checklist.revision,
            "pass": "grid/static", "points": self.points(tag) if result in ("no_finding", "finding") else [],
            "result": result, "ways": ["handled", "seen_close"], "reason": "scenery in the way", **fields,
        }  # fmt: skip
        verdict = self.send("look", phone, **given)
        assert verdict.verdict == "stored", verdict
        assert verdict.id
        return verdict.id

    def finding(
        self, tag: str, grade: str = "watch", phone: Phone | None = None, point: str = "", **fields: Any
    ) -> str:
        """A look with one finding on the first point of the part."""
        point = point or self.points(tag)[0]
        of = fields.pop("of", None)
        found = {
            "point": point, "point_text": "as seen", "answer": fields.pop("answer", "new"), "of": of, "grade": grade,
            "grade_reason": fields.pop("grade_reason", "seen in good light"), "wear": fields.pop("wear", 2),
            "note": fields.pop("note", "worn"),
        }  # fmt: skip
        return self.look(tag, "finding", phone, points=[point], findings=[found], **fields)

    def close(self, phone: Phone | None = None, **fields: Any) -> Verdict:
        phone = phone or self.phone
        ids = self.sent.get(phone.device.id, [])
        facts = {
            "count": len(ids), "last_seq": phone.seq, "ids_sha256": ids_digest(ids),
            "people_down": [{"name": "Ines Halloran", "at": "21:40"}], "tools_counted": True, "sets_locked": True,
            "locks_left": "none", "note": "", **fields,
        }  # fmt: skip
        return self.send("closing", phone, **facts)

    @property
    def record(self) -> WalkRecord:
        record = get_walk_record(self.db, self.house.id, self.id)
        assert record is not None
        return record

    def signing(self, **fields: Any) -> Signing:
        given = {
            "role": Role.TD, "name": "Ines Halloran", "credential": "TD of the house", "statement": STATEMENT,
            "reviewed_root": root_of(self.record.entries), **fields,
        }  # fmt: skip
        return Signing(**given)

    def sign(self, actor: Person | None = None, **fields: Any) -> Signature:
        self.at += timedelta(minutes=1)
        return sign_walk(
            self.db, at=self.at, actor=(actor or self.td).id, house=self.house.id, walk=self.id,
            signing=self.signing(**fields), criteria=self.criteria,
        )  # fmt: skip

    def amend(self, **fields: Any) -> Signature:
        self.at += timedelta(minutes=1)
        return amend_walk(
            self.db, at=self.at, actor=self.td.id, house=self.house.id, walk=self.id, signing=self.signing(**fields),
            criteria=self.criteria,
        )  # fmt: skip
