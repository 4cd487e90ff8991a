"""What a stored entry changes at once: the walk's row, projections, tag-outs and their steps, deficiencies."""

import json
from collections.abc import Callable, Mapping
from datetime import datetime

from sqlite_utils import Database

from inspect_app.actions.entry_lookup import Revisions
from inspect_app.domain.checklist import Checklist
from inspect_app.domain.entry import (
    ClosingEntry,
    Entry,
    EntryFinding,
    EntryKind,
    EventEntry,
    LookEntry,
    OpeningEntry,
    StopEntry,
    finding_id,
)
from inspect_app.domain.entry_reader import parse_entry
from inspect_app.domain.entry_stop import NOT_SO, Stopped, fault_words, only_repeats, readable_stops, stops_of
from inspect_app.domain.errors import BadValue
from inspect_app.domain.event import Danger, EventKind
from inspect_app.domain.journal import JournalItem
from inspect_app.store.deficiency_link import link_finding
from inspect_app.store.device import Device
from inspect_app.store.entry import EntryRow, HeldRow, find_entry, list_stop_steps
from inspect_app.store.entry_context import find_part_named, is_scope_of
from inspect_app.store.event_hold import add_event_with_holds
from inspect_app.store.journal import item
from inspect_app.store.look import facts_of, insert_look, update_part_state
from inspect_app.store.opening import update_walk_from_entries
from inspect_app.store.photo import add_photo_uses
from inspect_app.store.recording import add_recording_uses
from inspect_app.store.tag_out import (
    add_step,
    find_tag_out_of_entry,
    list_standing_on_part,
    raise_tag_out,
    set_tag_out_source,
)
from inspect_app.store.walk import find_line_set_of_part

NO_WHY = "Stopped; no reason was given"


def apply_effects(db: Database, entry: Entry, row: EntryRow, revisions: Revisions) -> list[JournalItem]:
    """Carry out what an entry that has just been stored means; returns the journal items of what it made."""
    add_photo_uses(db, entry.envelope.id, getattr(entry, "photos", ()))
    add_recording_uses(db, entry.envelope.id, getattr(entry, "recordings", ()))
    written = _raise_stops(db, entry, row, revisions)
    return written + _BY_KIND[entry.envelope.kind](db, entry, row, revisions)


def _of_look(db: Database, entry: Entry, row: EntryRow, revisions: Revisions) -> list[JournalItem]:
    if isinstance(entry, LookEntry):
        insert_look(db, entry, facts_of(row.flags, entry))
        revisions.keep(entry.revision, row.received_at)
        checklist = revisions.get(entry.revision)
        for n, finding in enumerate(entry.findings):
            link_finding(
                db,
                house=entry.envelope.house,
                part=entry.part,
                finding=finding_id(entry.envelope.id, n),
                what=_what(finding, entry, checklist),
                at=entry.envelope.recorded_at,
            )
        if entry.findings:
            update_part_state(db, entry.envelope.house, entry.part)
    return []


def _what(finding: EntryFinding, look: LookEntry, checklist: Checklist | None) -> str:
    """A fault in words: the usual defect that was picked, and what was typed; at least that the point is not met."""
    points = {point.id: point for point in checklist.points()} if checklist else {}
    point = points.get(finding.point)
    says = {defect.id: defect.says for defect in point.defects} if point else {}
    words = fault_words(finding, look, says.get(finding.defect or "", ""))
    return (words or f"{NOT_SO}: {point.ask if point else finding.point}")[:500]


def _of_stop(db: Database, entry: Entry, row: EntryRow, revisions: Revisions) -> list[JournalItem]:
    if not isinstance(entry, StopEntry) or not entry.of or entry.step is None:
        return []
    house = entry.envelope.house
    tag_out = find_tag_out_of_entry(db, house, entry.of)
    key = tag_out.id if tag_out else _stop_joined(db, house, entry.of)
    return [_step(db, key, entry)] if key else []


def _step(db: Database, tag_out: str, entry: StopEntry) -> JournalItem:
    if entry.step is None:
        raise BadValue("is missing", "step")
    envelope = entry.envelope
    key = add_step(
        db,
        tag_out=tag_out,
        step=entry.step,
        who=entry.who,
        note=entry.note,
        by=envelope.by,
        at=envelope.recorded_at,
    )
    return item("tag_step", key, {"tag_out": tag_out, "step": entry.step})


def _of_walk(db: Database, entry: Entry, row: EntryRow, revisions: Revisions) -> list[JournalItem]:
    if isinstance(entry, OpeningEntry):
        for _, revision in entry.checklists:
            revisions.keep(revision, row.received_at)
    if isinstance(entry, OpeningEntry | ClosingEntry) and entry.envelope.walk:
        update_walk_from_entries(db, entry.envelope.walk)
    return []


def _of_event(db: Database, entry: Entry, row: EntryRow, revisions: Revisions) -> list[JournalItem]:
    """An event holds the set it hit and its neighbours, or its area; a part counts for its set or its area."""
    if not isinstance(entry, EventEntry):
        return []
    line_set, area = entry.line_set, entry.area
    if entry.part and not line_set:
        line_set, found = find_line_set_of_part(db, row.house, entry.part)
        area = area or (None if line_set else found)
    key, held = add_event_with_holds(
        db,
        house=row.house,
        kind=entry.event or EventKind.OTHER,
        line_set=line_set,
        area=area,
        what=": ".join(filter(None, (entry.what.strip(), entry.note.strip()))),
        danger=entry.danger or Danger.NOT_KNOWN,
        by=row.by,
        at=row.recorded_at,
        from_entry=row.id,
    )
    return [item("event", key, {"entry": row.id}), *(item("tag_out", one, {"event": key}) for one in held)]


_BY_KIND: Mapping[EntryKind, Callable[[Database, Entry, EntryRow, Revisions], list[JournalItem]]] = {
    EntryKind.LOOK: _of_look,
    EntryKind.STOP: _of_stop,
    EntryKind.OPENING: _of_walk,
    EntryKind.CLOSING: _of_walk,
    EntryKind.EVENT: _of_event,
}


def _raise_stops(db: Database, entry: Entry, row: EntryRow, revisions: Revisions) -> list[JournalItem]:
    """Raise what the entry stops, then add the steps that arrived before it."""
    written = []
    checklist = revisions.get(entry.revision) if isinstance(entry, LookEntry) else None
    for stop in stops_of(entry, lambda finding, look: _what(finding, look, checklist)):
        key, item_of_stop = _raise_or_join(db, entry, row, stop)
        written += item_of_stop
        for waiting in list_stop_steps(db, row.house, row.id):
            step = parse_entry(json.loads(waiting.raw)).entry
            if isinstance(step, StopEntry):
                written.append(_step(db, key, step))
    return written


def _raise_or_join(db: Database, entry: Entry, row: EntryRow, stop: Stopped) -> tuple[str, list[JournalItem]]:
    """The tag-out for a stop, raised now or standing already, and the journal items of what changed.

    While a stop stands on a part, an answer to a known finding raises no second one. Where answers came first, what
    they answer (or an earlier answer) takes over the stop that they raised: the order of arrival makes no difference.
    """
    standing = list_standing_on_part(db, row.house, stop.id) if stop.scope == "part" else []
    answers = [(key, known) for key, source in standing if (known := _answer_that_raised(db, row.house, source))]
    repeats, written = only_repeats(entry), {"scope": stop.scope, "id": stop.id, "why": stop.why}
    if answers:
        key, known = answers[0]
        if repeats and (known.recorded_at, known.id) <= (row.recorded_at, row.id):
            return key, []
        why = stop.why.strip() or NO_WHY
        set_tag_out_source(db, key, from_entry=row.id, why=why, by=row.by, at=row.recorded_at)
        return key, [item("tag_out", key, written)]
    if repeats and standing:
        return standing[0][0], []
    key = _raise(db, row.house, stop, row.id, row.by, row.recorded_at)
    return key, [item("tag_out", key, written)]


def _answer_that_raised(db: Database, house: str, source: str | None) -> EntryRow | None:
    """The entry that raised a stop, if it only answers findings known before."""
    found = find_entry(db, house, source) if source else None
    entry = parse_entry(json.loads(found.raw)).entry if found else None
    return found if entry is not None and only_repeats(entry) else None


def _stop_joined(db: Database, house: str, of: str) -> str:
    """The tag-out that the stop of an entry stands in without having raised it; '' when there is none."""
    found = find_entry(db, house, of)
    entry = parse_entry(json.loads(found.raw)).entry if found else None
    parts = [stop.id for stop in stops_of(entry) if stop.scope == "part"] if entry is not None else []
    standing = list_standing_on_part(db, house, parts[0]) if parts else []
    return standing[0][0] if standing else ""


def _raise(db: Database, house: str, stop: Stopped, entry: str, by: str, at: datetime) -> str:
    """A tag-out for what a stop names; one on a part takes the part's whole line set out of use."""
    line_set = stop.id if stop.scope == "line_set" else None
    part = stop.id if stop.scope == "part" else None
    if part:
        found = find_part_named(db, house, part)
        line_set = found.line_set if found else None
    return raise_tag_out(
        db,
        house=house,
        line_set=line_set,
        area=stop.id if stop.scope == "area" else None,
        part=part,
        from_entry=entry,
        why=stop.why.strip() or NO_WHY,
        by=by,
        at=at,
    )


def stop_from_held(db: Database, data: object, held: HeldRow, device: Device) -> list[str]:
    """Raise the stops in a held text that name something in this house; returns the tag-outs' ids."""
    raised = []
    for stop in readable_stops(data):
        try:
            known = is_scope_of(db, held.house, stop.scope, stop.id)
        except BadValue:
            continue
        if known:
            source = held.entry or held.id
            raised.append(_raise(db, held.house, stop, source, device.person.id, held.received_at))
    return raised
