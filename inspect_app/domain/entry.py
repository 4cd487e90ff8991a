"""Entries: the immutable records that phones, desk forms and imports send, as frozen values.

Every entry is one JSON object. Members of all kinds (`?` may be left out or null):

    schema 1 | kind "look", "stop", "opening", "closing", "event" | id UUIDv7 | house id
    walk UUIDv7 (a stop or an event may have none) | device id
    seq whole number from 1, counted by the device over all it records | recorded_at ISO 8601 with Z or offset
    tz? text | mono_ms? whole number | app? text | by person id | with? [person id] | called_by? person id

Kind `look` (one part, one pass):

    part id | life? id | tag_seen? text | checklist text | revision SHA-256 in hex | pass "vantage/state"
    points [point id] | result "no_finding", "finding", "not_reached", "not_applicable", "withdrawn"
    ways [way] | reason text, must be given with not_reached and not_applicable | tap? UUIDv7
    findings? [{point text, point_text text, defect? text, answer "new", "still_there", "worse", "not_seen_now",
                of finding id, must be given unless answer is new, grade "stop_use", "restrict", "repair_by", "watch",
                proposed_grade? grade, grade_reason? text, wear? 0 to 4, note? text}]
    measures? [{point text, quantity text, value decimal text, unit text, typed? text, readings? [decimal text],
                station? text, gauge? text, resolution? decimal text, load_state? text,
                hint? "inside", "outside", "cannot_tell", "none"}]
    photos? [UUIDv7] | recordings? [UUIDv7], its voice notes | note? text
    replaces? [entry id], must be given with withdrawn | adds_to? entry id

Kind `stop` raises a tag-out: why text | exactly one of line_set, area, part: id | photos? [UUIDv7];
or adds a step to one: of entry id | step "told_rail", "lock_and_tag_on", "area_cleared", "isolator_locked", "could_not"
| who? text | note? text.

Kind `opening`: title text | date_local YYYY-MM-DD | scope {checklists [{id, revision}], line_sets [id] or null,
areas [id] or null} | people {aloft [name], deck text, radio text, rescue text, down_at "HH:MM" or ""}
| hangs? {line set id: text} | cautions_read true or false.

Kind `closing` (of one device): count entries of this device in this walk before this one | last_seq the highest seq
among them | ids_sha256 as domain/sequence.py makes it | people_down [{name, at}] | tools_counted true or false
| sets_locked true or false | locks_left text | note? text.

Kind `event` (something happened to the house): what text | line_set?, area?, part? id | note? text | photos? [UUIDv7].

Further members are kept with the text and remarked upon. Schemas only grow.
"""

import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import NamedTuple

from inspect_app.domain.checklist import Grade, Way
from inspect_app.domain.deficiency import Answer
from inspect_app.domain.event import Danger, EventKind
from inspect_app.domain.tag_out import Step
from inspect_app.domain.walk import LookResult

SCHEMA_MIN, SCHEMA_MAX = 1, 1


class EntryKind(StrEnum):
    """What an entry is about."""

    OPENING = "opening"
    LOOK = "look"
    STOP = "stop"
    EVENT = "event"
    CLOSING = "closing"


class Hint(StrEnum):
    """What the phone said of a measure; the office judges again."""

    INSIDE = "inside"
    OUTSIDE = "outside"
    CANNOT_TELL = "cannot_tell"
    NONE = "none"


class FieldProblem(NamedTuple):
    """What is wrong and where: `field` is a path such as `findings[0].grade`."""

    field: str
    message: str


class Remark(NamedTuple):
    """Something to know about an entry that was stored all the same. `code` is for programs, `message` for people."""

    code: str
    field: str
    message: str


@dataclass(frozen=True, slots=True)
class Envelope:
    """What every entry carries."""

    kind: EntryKind
    id: str
    house: str
    walk: str | None
    device: str
    seq: int
    recorded_at: datetime
    by: str
    tz: str = ""
    mono_ms: int | None = None
    app: str = ""
    with_people: tuple[str, ...] = ()
    called_by: str | None = None


@dataclass(frozen=True, slots=True)
class EntryFinding:
    """One finding of a look."""

    point: str
    point_text: str
    answer: Answer
    grade: Grade
    defect: str = ""
    of: str | None = None
    proposed_grade: Grade | None = None
    grade_reason: str = ""
    wear: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class EntryMeasure:
    """One figure of a look; `value`, `readings` and `resolution` are decimal text in `unit`, `typed` as typed."""

    point: str
    quantity: str
    value: str
    unit: str
    typed: str = ""
    readings: tuple[str, ...] = ()
    station: str = ""
    gauge: str = ""
    resolution: str = ""
    load_state: str = ""
    hint: Hint = Hint.NONE


@dataclass(frozen=True, slots=True)
class LookEntry:
    """One look at one part in one pass. `adds_to` brings a late photo, note or figure and leaves the result alone."""

    envelope: Envelope
    part: str
    checklist: str
    revision: str
    in_pass: str
    points: tuple[str, ...]
    result: LookResult
    ways: frozenset[Way]
    life: str | None = None
    tag_seen: str = ""
    tap: str | None = None
    reason: str = ""
    findings: tuple[EntryFinding, ...] = ()
    measures: tuple[EntryMeasure, ...] = ()
    photos: tuple[str, ...] = ()
    recordings: tuple[str, ...] = ()
    note: str = ""
    replaces: tuple[str, ...] = ()
    adds_to: str | None = None


@dataclass(frozen=True, slots=True)
class StopEntry:
    """Raises a tag-out (one of line_set, area, part, with a why) or, with `of` and `step`, adds a step to one."""

    envelope: Envelope
    why: str = ""
    line_set: str | None = None
    area: str | None = None
    part: str | None = None
    of: str | None = None
    step: Step | None = None
    who: str = ""
    note: str = ""
    photos: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class OpeningEntry:
    """Makes a walk: its scope with the exact revisions, the people, what hangs on each set."""

    envelope: Envelope
    title: str
    date_local: str
    checklists: tuple[tuple[str, str], ...]  # (checklist id, revision)
    line_sets: tuple[str, ...] | None
    areas: tuple[str, ...] | None
    aloft: tuple[str, ...]
    deck: str
    radio: str
    rescue: str
    down_at: str
    hangs: Mapping[str, str]
    cautions_read: bool


class PersonDown(NamedTuple):
    """Who came down, and when, as typed."""

    name: str
    at: str


@dataclass(frozen=True, slots=True)
class ClosingEntry:
    """One device has finished a walk: how many entries it made, and the facts asked before review."""

    envelope: Envelope
    count: int
    last_seq: int
    ids_sha256: str
    people_down: tuple[PersonDown, ...]
    tools_counted: bool
    sets_locked: bool
    locks_left: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class EventEntry:
    """Something happened to the house: an overload, a collision, water, an alteration."""

    envelope: Envelope
    what: str
    line_set: str | None = None
    area: str | None = None
    part: str | None = None
    note: str = ""
    photos: tuple[str, ...] = ()
    event: EventKind | None = None
    danger: Danger | None = None  # not said is not known


Entry = LookEntry | StopEntry | OpeningEntry | ClosingEntry | EventEntry


def finding_id(entry: str, n: int) -> str:
    """The id of the n-th finding (from 0) of an entry: UUIDv5 (RFC 9562, section 5.5) in the entry's own name space."""
    return str(uuid.uuid5(uuid.UUID(entry), f"finding/{n}"))
