"""Taking in a batch of entries: each is stored, recognised as a duplicate, or held with its raw text; none is lost.

A batch is one transaction with one journal row; inside it each entry has its own savepoint, so that one that cannot be
stored does not take the others with it. The bytes of each entry are kept exactly as they stood in the request.
"""

import hashlib
import json
import logging
from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import NamedTuple

from sqlite_utils import Database
from sqlite_utils.utils import sqlite3

from inspect_app import clock
from inspect_app.actions.entry_effect import apply_effects, stop_from_held
from inspect_app.actions.entry_lookup import Revisions, context_of
from inspect_app.domain.entry import Entry, FieldProblem, LookEntry
from inspect_app.domain.entry_check import Checked, check_entry
from inspect_app.domain.entry_reader import parse_entry, readable_id
from inspect_app.domain.errors import DomainError
from inspect_app.domain.ids import is_uuid7
from inspect_app.domain.journal import JournalItem
from inspect_app.domain.strict_json import MAX_WHOLE, WireItem
from inspect_app.store.checklist import Shelf
from inspect_app.store.db import write_transaction
from inspect_app.store.device import Device, set_last_seq, set_told_seq
from inspect_app.store.entry import EntryRow, HeldRow, find_entry_digest, insert_entry, insert_held
from inspect_app.store.journal import append_journal, item

log = logging.getLogger(__name__)

MOST_ENTRIES = 500
_LONGEST_WHY = 500
_FURTHEST_TOLD = 100_000  # beyond what came: a device that says more is mistaken


class Verdict(NamedTuple):
    """The answer for one entry: stored, duplicate or held, and why. `id` is None when no id could be read."""

    id: str | None
    verdict: str
    reason: str = ""


class Sending(NamedTuple):
    """Who sends and when: the device whose token or session it is, and how far its clock was off (None: not told)."""

    device: Device
    at: datetime
    skew_ms: int | None


def ingest_entries(
    db: Database,
    *,
    at: datetime,
    device: Device,
    items: Sequence[WireItem],
    skew_ms: int | None = None,
    shelf: Shelf | None = None,
    told_seq: int = 0,
    imported_by: str = "",
) -> tuple[Verdict, ...]:
    """Take in a batch from one device: one verdict for each item, in order. Raises NotSaved when nothing was written.

    `shelf` holds the checklists in use now; a revision that an entry names is kept for good with the first such entry.
    `told_seq` is the highest number that the device says it has given out. `imported_by` is the person who brought the
    device's entries in a file, and whom the journal then names; else the device's own person sent them.
    """
    sending, revisions = Sending(device, at, skew_ms), Revisions(db, shelf)
    verdicts: list[Verdict] = []
    journal: list[JournalItem] = []
    with write_transaction(db):
        for wire in items:
            verdict, written = _take(db, sending, revisions, wire)
            verdicts.append(verdict)
            journal += written
        if device.last_seq < told_seq <= device.last_seq + _FURTHEST_TOLD:
            set_told_seq(db, device.id, told_seq)
        if journal:
            who, action = imported_by or device.person.id, "entry.import" if imported_by else "entry.receive"
            append_journal(db, at=at, actor=who, action=action, house=device.house, items=journal)
    return tuple(verdicts)


def record_entries(
    db: Database,
    *,
    at: datetime,
    device: Device,
    entries: Sequence[Mapping[str, object]],
    shelf: Shelf | None = None,
) -> tuple[Verdict, ...]:
    """The same for entries made in this program (desk form, demo), which are written as compact JSON and kept so."""
    items = [WireItem(json.dumps(one, ensure_ascii=False, separators=(",", ":")), one, "") for one in entries]
    return ingest_entries(db, at=at, device=device, items=items, skew_ms=0, shelf=shelf)


def problems_of(
    db: Database, *, at: datetime, device: Device, data: Mapping[str, object], shelf: Shelf | None = None
) -> tuple[FieldProblem, ...]:
    """What keeps an entry from counting, for a form that asks before it saves. Empty when it would be stored."""
    parsed = parse_entry(data)
    if parsed.entry is None:
        return parsed.problems
    return check_entry(parsed.entry, context_of(db, parsed.entry, device, at, 0, Revisions(db, shelf))).problems


def _take(db: Database, sending: Sending, revisions: Revisions, wire: WireItem) -> tuple[Verdict, list[JournalItem]]:
    """Store one entry in a savepoint of its own, or hold it."""
    raw = wire.text.encode("utf-8", "surrogatepass")
    digest, claimed = hashlib.sha256(raw).digest(), readable_id(wire.data)
    if claimed:
        known = find_entry_digest(db, claimed)
        if known == digest:
            return Verdict(claimed, "duplicate"), []
        if known is not None:
            return _hold(db, sending, wire, raw, "another entry with this id is here, with other content")
    if wire.problem:
        return _hold(db, sending, wire, raw, wire.problem)
    parsed = parse_entry(wire.data)
    if parsed.entry is None:
        return _hold(db, sending, wire, raw, _why(parsed.problems))
    checked = check_entry(
        parsed.entry, context_of(db, parsed.entry, sending.device, sending.at, sending.skew_ms, revisions)
    )
    if checked.problems:
        return _hold(db, sending, wire, raw, _why(checked.problems))
    try:
        with db.atomic():
            return _store(db, sending, parsed.entry, checked, parsed.unread, raw, digest, revisions)
    except (sqlite3.IntegrityError, sqlite3.DataError, DomainError) as error:
        log.error("entry %s could not be stored: %s", parsed.entry.envelope.id, error)
        revisions.look_again()
        return _hold(db, sending, wire, raw, f"could not be stored: {error}")


def _store(
    db: Database,
    sending: Sending,
    entry: Entry,
    checked: Checked,
    unread: tuple[str, ...],
    raw: bytes,
    digest: bytes,
    revisions: Revisions,
) -> tuple[Verdict, list[JournalItem]]:
    envelope = entry.envelope
    row = EntryRow(
        id=envelope.id,
        house=envelope.house,
        walk=envelope.walk,
        kind=envelope.kind.value,
        device=envelope.device,
        seq=envelope.seq,
        part=getattr(entry, "part", None),
        by=envelope.by,
        recorded_at=envelope.recorded_at,
        received_at=sending.at,
        skew_ms=sending.skew_ms or 0,
        late=checked.late,
        flags=_flags(entry, checked, unread),
        raw=raw,
        sha256=digest,
    )
    insert_entry(db, row)
    set_last_seq(db, envelope.device, envelope.seq)
    written = apply_effects(db, entry, row, revisions)
    remark = "; ".join(f"{r.field} {r.message}" for r in checked.remarks)
    written = [JournalItem("entry", envelope.id, digest.hex()), *written]
    return Verdict(envelope.id, "stored", remark[:_LONGEST_WHY]), written


def _flags(entry: Entry, checked: Checked, unread: tuple[str, ...]) -> str:
    """What was found out on arrival, as JSON: remarks, points not counted, whether a countersign is needed, and the
    competence of who looked, which roles held later could not tell."""
    flags: dict[str, object] = {}
    remarks = [list(remark) for remark in checked.remarks if remark.code != "not_counted"]
    remarks += [["unknown_member", name, "is not known to this program; it is kept in the text"] for name in unread]
    if remarks:
        flags["remarks"] = remarks
    if checked.not_counted:
        flags["not_counted"] = [list(one) for one in checked.not_counted]
    if checked.needs_countersign:
        flags["countersign"] = True
    if checked.competence is not None:
        flags["competence"] = checked.competence.value
    if isinstance(entry, LookEntry) and entry.findings:
        flags["proposed"] = [grade.value if grade else "" for grade in checked.proposed]
    return json.dumps(flags, ensure_ascii=False, separators=(",", ":"))


def _hold(db: Database, sending: Sending, wire: WireItem, raw: bytes, why: str) -> tuple[Verdict, list[JournalItem]]:
    """Keep the raw text for a person to resolve; a stop in it acts all the same, as far as it can be read."""
    data: Mapping[str, object] = wire.data if isinstance(wire.data, Mapping) else {}
    claimed, seq, walk, kind = readable_id(wire.data), data.get("seq"), data.get("walk"), data.get("kind")
    whole = isinstance(seq, int) and not isinstance(seq, bool) and 0 < seq < MAX_WHOLE
    row = HeldRow(
        id=clock.new_id(),
        house=sending.device.house,
        device=sending.device.id,
        raw=raw,
        sha256=hashlib.sha256(raw).digest(),
        why=why[:_LONGEST_WHY],
        received_at=sending.at,
        entry=claimed,
        walk=str(walk) if is_uuid7(walk) else None,
        kind=kind[:20] if isinstance(kind, str) else "",
        seq=int(seq) if whole and isinstance(seq, int) else None,
    )
    verdict = Verdict(claimed or _shown_id(data), "held", row.why)
    if not insert_held(db, row):
        return verdict, []
    if row.seq is not None:
        set_last_seq(db, row.device, row.seq)
    stops = stop_from_held(db, wire.data, row, sending.device)
    return verdict, [JournalItem("held", row.id, row.sha256.hex()), *(item("tag_out", key, row.why) for key in stops)]


def _shown_id(data: Mapping[str, object]) -> str | None:
    claimed = data.get("id")
    return claimed[:100] if isinstance(claimed, str) else None


def _why(problems: Sequence[FieldProblem]) -> str:
    return "; ".join(f"{problem.field} {problem.message}".strip() for problem in problems)
