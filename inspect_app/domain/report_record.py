"""The walk as a record: title block, people, conditions, checklists, devices and signatures."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import tzinfo
from typing import Any, NamedTuple

from inspect_app.domain.inspection import NO_INSPECTION, NOT_VERIFIED, Inspection, inspection_from
from inspect_app.domain.report_words import COUNTERSIGNS, NONE_RECORDED, VANTAGES, day, listed, moment, reads

WalkData = Mapping[str, Any]


class Fact(NamedTuple):
    """A label with its text."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """What stands at the head of page one. `kind` is signed, amendment or draft; `short_house` fits a running head."""

    house: str
    short_house: str
    title: str
    number: str
    revision: int
    kind: str
    demo: bool
    facts: tuple[Fact, ...]

    @property
    def label(self) -> str:
        """The report's number with its revision."""
        if self.kind == "draft":
            return "draft, not numbered"
        return f"{self.number}, revision {self.revision}"


@dataclass(frozen=True, slots=True)
class ChecklistUsed:
    """A checklist at the revision that was used, with its notice and who reviewed it."""

    title: str
    id: str
    revision: str
    rhythm: str
    coverage: str
    notice: str
    reviewed: str


@dataclass(frozen=True, slots=True)
class DeviceUsed:
    """What one device recorded and the numbers missing between its first and last entry."""

    name: str
    entries: int
    closing: str
    gaps: str


@dataclass(frozen=True, slots=True)
class SignatureShown:
    """One signature. `drawn` is the path data of a drawn signature, or empty."""

    n: int
    name: str
    role: str
    credential: str
    statement: str
    drawn: str
    at: str
    gaps_reason: str
    inspection: Inspection = NO_INSPECTION
    not_verified: str = ""

    @property
    def credential_facts(self) -> tuple[Fact, ...]:
        """Body, number and expiry of an inspector's credential; what was not typed says so."""
        if not self.inspection.said:
            return ()
        said = (("Body", self.inspection.body), ("Number", self.inspection.number), ("Expiry", self.inspection.expires))
        return tuple(Fact(label, typed or "not stated") for label, typed in said)


@dataclass(frozen=True, slots=True)
class Record:
    """Everything about how the walk was made."""

    people: tuple[Fact, ...]
    conditions: tuple[Fact, ...]
    hangs: tuple[Fact, ...]
    checklists: tuple[ChecklistUsed, ...]
    devices: tuple[DeviceUsed, ...]
    signatures: tuple[SignatureShown, ...]
    countersigns: tuple[Fact, ...]
    root_sha256: str
    journal_head: str
    entries: int


def rows(data: WalkData, key: str) -> list[Mapping[str, Any]]:
    """A list of the walk data, empty when it is missing."""
    return [row for row in data.get(key) or () if isinstance(row, Mapping)]


def text(row: Mapping[str, Any], key: str, otherwise: str = "") -> str:
    """A field as text; None and an empty text read as `otherwise`."""
    value = row.get(key)
    return otherwise if value is None or value == "" else str(value)


def title_block(data: WalkData, where: tzinfo) -> TitleBlock:
    """House, number, revision, date, who and with what."""
    report, house, walk = data.get("report") or {}, data.get("house") or {}, data.get("walk") or {}
    name = text(house, "name", "House without a name")
    signers = [f"{text(s, 'name')}, {text(s, 'role')}" for s in rows(data, "signatures")]
    used = [f"{text(c, 'title')} (revision {text(c, 'revision')[:12]})" for c in rows(data, "checklists")]
    kind = text(report, "kind", "draft")
    return TitleBlock(
        house=name,
        short_house=name if len(name) <= 44 else name[:43].rstrip() + "…",
        title=text(walk, "title", "Walk"),
        number=text(report, "number", "not numbered yet"),
        revision=int(report.get("revision") or 0),
        kind=kind,
        demo=bool(house.get("demo")),
        facts=(
            Fact("Date of the walk", day(text(walk, "date_local"))),
            Fact("Aloft", listed(_names(walk), 12) or NONE_RECORDED),
            Fact("Deck kept by", text(walk.get("people") or {}, "deck", NONE_RECORDED)),
            *_recorders(walk),
            Fact("Signed by", "; ".join(signers) or "nobody yet: this is a draft"),
            Fact("Signed on", moment(text(walk, "signed_at"), where) if signers else "not signed"),
            Fact("Checklists", "; ".join(used) or NONE_RECORDED),
            Fact("Times", f"given in the house's time zone, {text(house, 'tz', 'UTC')}"),
        ),
    )


def _recorders(walk: Mapping[str, Any]) -> tuple[Fact, ...]:
    """Who recorded from where; nothing when the walk data do not say."""
    said = []
    for row in rows(walk, "recorders"):
        where = listed([reads(VANTAGES, vantage) for vantage in row.get("vantages") or ()], 9)
        said.append(f"{text(row, 'name', 'name not recorded')}" + (f" ({where})" if where else ""))
    return (Fact("Recorded by", "; ".join(said)),) if said else ()


def _names(walk: Mapping[str, Any]) -> list[str]:
    return [str(name) for name in (walk.get("people") or {}).get("aloft") or ()]


def record_of(data: WalkData, where: tzinfo) -> Record:
    """The record of how the walk was made."""
    walk = data.get("walk") or {}
    people = walk.get("people") or {}
    return Record(
        people=(
            Fact("Aloft", listed(_names(walk), 40) or NONE_RECORDED),
            Fact("Keeping the deck clear", text(people, "deck", NONE_RECORDED)),
            Fact("Radio", text(people, "radio", NONE_RECORDED)),
            Fact("Rescue", text(people, "rescue", NONE_RECORDED)),
            Fact("Expected down", text(people, "down_at", NONE_RECORDED)),
        ),
        conditions=(
            Fact("Opened", moment(text(walk, "opened_at"), where)),
            Fact("Closed", moment(text(walk, "closed_at"), where)),
            *_closings(walk),
        ),
        hangs=tuple(Fact(f"Set {text(h, 'set')}", text(h, "what", NONE_RECORDED)) for h in rows(walk, "hangs")),
        checklists=tuple(_checklist(c) for c in rows(data, "checklists")),
        devices=tuple(_device(d) for d in rows(walk, "devices")),
        signatures=tuple(_signature(s, where) for s in rows(data, "signatures")),
        countersigns=tuple(
            Fact(text(c, "by"), f"{reads(COUNTERSIGNS, c.get('how'))}: {text(c, 'entries', '0')} entries")
            for c in rows(data, "countersigns")
        ),
        root_sha256=text(data, "root_sha256"),
        journal_head=text(data, "journal_head"),
        entries=len(rows(data, "entries")),
    )


def _closings(walk: Mapping[str, Any]) -> tuple[Fact, ...]:
    facts: list[Fact] = []
    for closing in rows(walk, "closing"):
        device = text(closing, "device", "a device")
        down = [f"{text(p, 'name')} {text(p, 'at')}".strip() for p in rows(closing, "people_down")]
        said = [
            f"down: {listed(down, 40)}" if down else "nobody recorded as down",
            "tools counted" if closing.get("tools_counted") else "tools not recorded as counted",
            "sets locked, ringed and in weight" if closing.get("sets_locked") else "sets not recorded as locked",
            f"left on: {text(closing, 'locks_left', 'no locks or tags')}",
        ]
        facts.append(Fact(f"Closing, {device}", "; ".join(filter(None, [*said, text(closing, "note")]))))
    return tuple(facts) or (Fact("Closing", "no closing was recorded"),)


def _checklist(row: Mapping[str, Any]) -> ChecklistUsed:
    review = row.get("reviewed") or {}
    by = ", ".join(filter(None, (text(review, "by"), text(review, "credential"))))
    interval = text(row, "interval")
    return ChecklistUsed(
        title=text(row, "title"),
        id=text(row, "id"),
        revision=text(row, "revision"),
        rhythm=", ".join(filter(None, (text(row, "when"), interval if interval != "none" else ""))) or NONE_RECORDED,
        coverage=percent(text(row, "coverage")),
        notice=text(row, "notice"),
        reviewed=f"{by}, {day(text(review, 'on'))}" if by else "no review by a qualified person is recorded",
    )


def percent(share: str) -> str:
    """`0.95` as `95 %`, rounded down so that a share never reads as reached when it is not; other text as it stands."""
    try:
        hundredths = int(float(share) * 10_000 + 1e-6)
    except ValueError:
        return share or NONE_RECORDED
    whole, rest = divmod(hundredths, 100)
    return f"{whole}.{rest // 10} %" if rest >= 10 else f"{whole} %"


def _device(row: Mapping[str, Any]) -> DeviceUsed:
    gaps = [f"{a} to {b}" if a != b else str(a) for a, b in row.get("gaps") or ()]
    closing, unclosed = row.get("closing_count"), "none needed" if row.get("at_desk") else "no closing received"
    return DeviceUsed(
        name=text(row, "name", "a device"),
        entries=int(row.get("entries") or 0),
        closing=f"{closing} entries" if closing is not None else unclosed,
        gaps="missing: " + listed(gaps, 20) if gaps else "none missing",
    )


def _signature(row: Mapping[str, Any], where: tzinfo) -> SignatureShown:
    return SignatureShown(
        n=int(row.get("n") or 1),
        name=text(row, "name"),
        role=text(row, "role"),
        credential=text(row, "credential", "no credential stated"),
        statement=text(row, "statement"),
        drawn=text(row, "drawn"),
        at=moment(text(row, "at"), where),
        gaps_reason=text(row, "gaps_reason"),
        inspection=inspection_from(row.get("inspection") or {}),
        not_verified=NOT_VERIFIED,
    )
