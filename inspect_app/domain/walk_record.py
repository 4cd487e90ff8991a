"""All that the store knows of one walk, as one value from which review pages and sealed data are made."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

from inspect_app.domain.checklist import Checklist, Review
from inspect_app.domain.deficiency import Deficiency
from inspect_app.domain.house import Inventory
from inspect_app.domain.inspection import NO_INSPECTION, Inspection
from inspect_app.domain.measure_history import Outlook
from inspect_app.domain.tag_out import TagOut
from inspect_app.domain.walk import Decision, Look, Scope, WalkState

Numbers = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Walk:
    """A walk as the list of walks shows it. `opened_by` is a person's id."""

    id: str
    house: str
    title: str
    date_local: str
    state: WalkState
    scope: Scope
    opened_by: str
    opened_by_name: str
    opened_at: datetime
    sealed_at: datetime | None = None


class Opening(NamedTuple):
    """What was said before anyone climbed. `hangs` maps a line set's id to what hangs on it."""

    aloft: tuple[str, ...] = ()
    deck: str = ""
    radio: str = ""
    rescue: str = ""
    down_at: str = ""
    hangs: Mapping[str, str] = {}


class Closing(NamedTuple):
    """What one device said when it closed. `people_down` are (name, time) as typed."""

    device: str
    device_name: str
    at: datetime
    entry_count: int | None
    last_seq: int | None
    people_down: tuple[tuple[str, str], ...]
    tools_counted: bool
    sets_locked: bool
    locks_left: str
    note: str


class DeviceUse(NamedTuple):
    """What arrived from one device for this walk. `gaps` are the runs of numbers that never arrived.

    `skew_ms` is how far its clock was behind the office's when it sent, at the worst; 0 within what is flagged.
    `at_desk` is the device that stands for what a person types on the office's own pages.
    """

    id: str
    name: str
    person_name: str
    entries: int
    last_seq: int
    closing_count: int | None
    gaps: tuple[Numbers, ...]
    skew_ms: int = 0
    at_desk: bool = False

    @property
    def whole(self) -> bool:
        """Whether the device closed and everything it counted is here; what is typed at the desk is here at once."""
        closed = self.at_desk if self.closing_count is None else self.closing_count <= self.entries
        return closed and not self.gaps


class Photo(NamedTuple):
    """A photo that an entry of the walk names. `sha256` is '' while its bytes have not arrived."""

    id: str
    sha256: str
    mime: str
    taken_at: str
    state: str
    entries: tuple[str, ...]

    @property
    def here(self) -> bool:
        """Whether its bytes have arrived."""
        return bool(self.sha256)


class Recording(NamedTuple):
    """A voice note that an entry of the walk names. `sha256` is '' while its bytes have not arrived."""

    id: str
    sha256: str
    mime: str
    entries: tuple[str, ...]

    @property
    def here(self) -> bool:
        """Whether its bytes have arrived."""
        return bool(self.sha256)


class Accepted(NamedTuple):
    """A condition the house has accepted; `review_by` is a date in ISO form.

    `deficiency` is the id of the one it covers, '' for whatever had been found on the part by the moment `at`.
    """

    id: str
    part: str
    part_tag: str
    what: str
    accepted_by: str
    role: str
    reason: str
    paper: str
    review_by: str
    ended: bool = False
    deficiency: str = ""
    ended_why: str = ""
    at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Signature:
    """One seal of a walk: the signature (n = 1) or an amendment."""

    n: int
    number: str
    root_sha256: str
    journal_head: str
    person: str
    name: str
    role: str
    credential: str
    statement: str
    drawn: str
    gaps_reason: str
    complete: bool
    at: datetime
    inspection: Inspection = NO_INSPECTION


@dataclass(frozen=True, slots=True)
class WalkRecord:
    """One walk with all that was recorded on it and all it stands on.

    `looks` leaves late ones out unless they are being amended in. `entries` are (id, SHA-256 in hex) as they
    arrived. `known_before` are parts with a look on an earlier walk. `numbers` maps a finding's id to the number of its
    deficiency.
    """

    walk: Walk
    inventory: Inventory
    checklists: tuple[Checklist, ...]
    reviews: Mapping[str, Review]
    opening: Opening
    closings: tuple[Closing, ...]
    devices: tuple[DeviceUse, ...]
    looks: tuple[Look, ...]
    decisions: tuple[Decision, ...]
    known_before: frozenset[str]
    photos: tuple[Photo, ...]
    tag_outs: tuple[TagOut, ...]
    deficiencies: tuple[Deficiency, ...]
    numbers: Mapping[str, int]
    accepted: tuple[Accepted, ...]
    entries: tuple[tuple[str, str], ...]
    signatures: tuple[Signature, ...] = ()
    late: tuple[str, ...] = ()
    recordings: tuple[Recording, ...] = ()
    outlooks: tuple[Outlook, ...] = ()  # what the measures of every part measured on this walk say over the years

    @property
    def has_gaps(self) -> bool:
        """Whether something a device counted is missing: entries, a closing, photos or voice notes on a phone."""
        return not (
            all(device.whole for device in self.devices)
            and all(photo.here for photo in self.photos)
            and all(recording.here for recording in self.recordings)
        )


def opening_from_json(body: Mapping[str, Any]) -> Opening:
    """The opening as an entry states it; what is missing reads as empty."""
    people = body.get("people") or {}
    said = {key: str(people.get(key) or "") for key in ("deck", "radio", "rescue", "down_at")}
    hangs = {str(key): str(text) for key, text in (body.get("hangs") or {}).items()}
    return Opening(tuple(str(name) for name in people.get("aloft") or ()), hangs=hangs, **said)


def closing_from_json(body: Mapping[str, Any], device: str, device_name: str, at: datetime) -> Closing:
    """A closing as an entry states it."""
    down = tuple((str(row.get("name") or ""), str(row.get("at") or "")) for row in body.get("people_down") or ())
    return Closing(
        device,
        device_name,
        at,
        body.get("count"),
        body.get("last_seq"),
        down,
        bool(body.get("tools_counted")),
        bool(body.get("sets_locked")),
        str(body.get("locks_left") or ""),
        str(body.get("note") or ""),
    )
