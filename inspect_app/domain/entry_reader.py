"""From decoded JSON to an entry: what is missing or of the wrong shape is named by its path."""

import re
from collections.abc import Callable, Mapping
from typing import NamedTuple

from inspect_app.domain.checklist import Grade, Way
from inspect_app.domain.deficiency import Answer
from inspect_app.domain.entry import (
    SCHEMA_MAX,
    SCHEMA_MIN,
    ClosingEntry,
    Entry,
    EntryFinding,
    EntryKind,
    EntryMeasure,
    Envelope,
    EventEntry,
    FieldProblem,
    Hint,
    LookEntry,
    OpeningEntry,
    PersonDown,
    StopEntry,
)
from inspect_app.domain.event import Danger, EventKind
from inspect_app.domain.field_reader import LONG_TEXT, TEXT, WORD, Fields
from inspect_app.domain.ids import is_uuid7
from inspect_app.domain.tag_out import Step
from inspect_app.domain.walk import LookResult

_SHA256 = re.compile(r"[0-9a-f]{64}")
_PASS = re.compile(r"[a-z_]{1,20}/[a-z_]{1,20}")
_CLOCK = re.compile(r"([01]\d|2[0-3]):[0-5]\d|")


class Parsed(NamedTuple):
    """An entry, or None with the problems that stood in the way; `unread` names members that nobody knows."""

    entry: Entry | None
    problems: tuple[FieldProblem, ...]
    unread: tuple[str, ...] = ()


def _schema_words(schema: object) -> str:
    """Why an entry of another age waits, and what to do about it."""
    reads = f"{SCHEMA_MIN} to {SCHEMA_MAX}" if SCHEMA_MIN < SCHEMA_MAX else f"{SCHEMA_MAX}"
    if isinstance(schema, int) and not isinstance(schema, bool):
        if schema > SCHEMA_MAX:
            return (
                f"is {str(schema)[:20]}: a newer walk page wrote this than the office reads ({reads}); it is kept. "
                "Update the program in the office, then read it again"
            )
        return (
            f"is {str(schema)[:20]}: an older walk page wrote this than the office reads ({reads}); it is kept. "
            "Open the walk page while connected, so that it updates itself"
        )
    return f"is {str(schema)[:20]}, which is no number; the office reads {reads}"


def parse_entry(data: object) -> Parsed:
    """Read one entry from decoded JSON (shapes in domain/entry.py). Never raises on bad data."""
    if not isinstance(data, dict):
        return Parsed(None, (FieldProblem("", "an entry must be a JSON object"),))
    schema = data.get("schema")
    if isinstance(schema, bool) or not isinstance(schema, int) or not SCHEMA_MIN <= schema <= SCHEMA_MAX:
        return Parsed(None, (FieldProblem("schema", _schema_words(schema)),))
    problems: list[FieldProblem] = []
    fields = Fields(data, "", problems)
    fields.whole("schema", SCHEMA_MIN, SCHEMA_MAX)
    kind = fields.choice_or_none("kind", EntryKind)
    if kind is None:
        return Parsed(None, (*problems, FieldProblem("kind", "must be look, stop, opening, closing or event"))[:1])
    nested: list[Fields] = []
    entry = _READERS[kind](_envelope(fields, kind), fields, nested)
    unread = tuple(name for part in (fields, *nested) for name in part.unread)
    return Parsed(None if problems else entry, tuple(problems), unread)


def readable_id(data: object) -> str | None:
    """The id that an entry claims, if it can be read at all."""
    claimed = data.get("id") if isinstance(data, dict) else None
    return str(claimed) if is_uuid7(claimed) else None


def _envelope(fields: Fields, kind: EntryKind) -> Envelope:
    walk = fields.id_or_none("walk", made_here=True)
    if walk is None and kind not in (EntryKind.STOP, EntryKind.EVENT) and not fields.has("walk"):
        fields.note("walk", "is missing")
    return Envelope(
        kind=kind,
        id=fields.id("id", made_here=True),
        house=fields.id("house"),
        walk=walk,
        device=fields.id("device"),
        seq=fields.whole("seq", 1),
        recorded_at=fields.time("recorded_at"),
        by=fields.id("by"),
        tz=fields.text("tz", WORD),
        mono_ms=fields.whole_or_none("mono_ms", 0),
        app=fields.text("app", WORD),
        with_people=fields.ids("with"),
        called_by=fields.id_or_none("called_by"),
    )


def _look(envelope: Envelope, fields: Fields, nested: list[Fields]) -> LookEntry:
    findings, measures = fields.groups("findings"), fields.groups("measures")
    nested += [*findings, *measures]
    return LookEntry(
        envelope=envelope,
        part=fields.id("part"),
        life=fields.id_or_none("life"),
        tag_seen=fields.text("tag_seen", WORD),
        tap=fields.id_or_none("tap", made_here=True),
        checklist=fields.text("checklist", WORD, needed=True),
        revision=fields.pattern("revision", _SHA256, "a SHA-256 in hex"),
        in_pass=fields.pattern("pass", _PASS, "a vantage and a state, such as grid/static"),
        points=tuple(dict.fromkeys(fields.texts("points"))),
        result=fields.choice("result", LookResult),
        ways=fields.choices("ways", Way),
        reason=fields.text("reason"),
        findings=tuple(_finding(finding) for finding in findings),
        measures=tuple(_measure(measure) for measure in measures),
        photos=fields.ids("photos", made_here=True),
        recordings=fields.ids("recordings", made_here=True),
        note=fields.text("note", LONG_TEXT),
        replaces=fields.ids("replaces", made_here=True),
        adds_to=fields.id_or_none("adds_to", made_here=True),
    )


def _finding(fields: Fields) -> EntryFinding:
    return EntryFinding(
        point=fields.text("point", WORD),
        point_text=fields.text("point_text"),
        defect=fields.text("defect", WORD),
        answer=fields.choice("answer", Answer),
        of=fields.id_or_none("of"),
        grade=fields.choice("grade", Grade),
        proposed_grade=fields.choice_or_none("proposed_grade", Grade),
        grade_reason=fields.text("grade_reason"),
        wear=fields.whole_or_none("wear", 0, 4),
        note=fields.text("note", LONG_TEXT),
    )


def _measure(fields: Fields) -> EntryMeasure:
    return EntryMeasure(
        point=fields.text("point", WORD, needed=True),
        quantity=fields.text("quantity", WORD, needed=True),
        value=fields.decimal("value", needed=True),
        unit=fields.text("unit", 20, needed=True),
        typed=fields.text("typed", WORD),
        readings=fields.decimals("readings"),
        station=fields.text("station", WORD),
        gauge=fields.text("gauge", WORD),
        resolution=fields.decimal("resolution"),
        load_state=fields.text("load_state", WORD),
        hint=fields.choice_or_none("hint", Hint) or Hint.NONE,
    )


def _stop(envelope: Envelope, fields: Fields, nested: list[Fields]) -> StopEntry:
    return StopEntry(
        envelope=envelope,
        why=fields.text("why", LONG_TEXT),
        line_set=fields.id_or_none("line_set"),
        area=fields.id_or_none("area"),
        part=fields.id_or_none("part"),
        of=fields.id_or_none("of"),
        step=fields.choice_or_none("step", Step),
        who=fields.text("who"),
        note=fields.text("note", LONG_TEXT),
        photos=fields.ids("photos", made_here=True),
    )


def _opening(envelope: Envelope, fields: Fields, nested: list[Fields]) -> OpeningEntry:
    scope, people = fields.group("scope"), fields.group("people")
    lists = scope.groups("checklists")
    nested += [scope, people, *lists]
    return OpeningEntry(
        envelope=envelope,
        title=fields.text("title", needed=True),
        date_local=fields.day("date_local"),
        checklists=tuple(
            (one.text("id", WORD, needed=True), one.pattern("revision", _SHA256, "a SHA-256 in hex")) for one in lists
        ),
        line_sets=scope.ids_or_none("line_sets"),
        areas=scope.ids_or_none("areas"),
        aloft=people.texts("aloft"),
        deck=people.text("deck"),
        radio=people.text("radio"),
        rescue=people.text("rescue"),
        down_at=people.pattern("down_at", _CLOCK, "a time such as 14:30, or empty") if people.has("down_at") else "",
        hangs=fields.text_by_id("hangs"),
        cautions_read=fields.flag("cautions_read"),
    )


def _closing(envelope: Envelope, fields: Fields, nested: list[Fields]) -> ClosingEntry:
    people = fields.groups("people_down")
    nested += people
    return ClosingEntry(
        envelope=envelope,
        count=fields.whole("count", 0),
        last_seq=fields.whole("last_seq", 0),
        ids_sha256=fields.pattern("ids_sha256", _SHA256, "a SHA-256 in hex"),
        people_down=tuple(PersonDown(one.text("name", WORD, needed=True), one.text("at", WORD)) for one in people),
        tools_counted=fields.flag("tools_counted"),
        sets_locked=fields.flag("sets_locked"),
        locks_left=fields.text("locks_left"),
        note=fields.text("note", LONG_TEXT),
    )


def _event(envelope: Envelope, fields: Fields, nested: list[Fields]) -> EventEntry:
    return EventEntry(
        envelope=envelope,
        what=fields.text("what", TEXT, needed=True),
        line_set=fields.id_or_none("line_set"),
        area=fields.id_or_none("area"),
        part=fields.id_or_none("part"),
        note=fields.text("note", LONG_TEXT),
        photos=fields.ids("photos", made_here=True),
        event=fields.choice_or_none("event", EventKind),
        danger=fields.choice_or_none("danger", Danger),
    )


_READERS: Mapping[EntryKind, Callable[[Envelope, Fields, list[Fields]], Entry]] = {
    EntryKind.LOOK: _look,
    EntryKind.STOP: _stop,
    EntryKind.OPENING: _opening,
    EntryKind.CLOSING: _closing,
    EntryKind.EVENT: _event,
}
