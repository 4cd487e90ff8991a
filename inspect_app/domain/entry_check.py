"""The one rule that checks an entry, whichever face it came from: problems keep it from counting, remarks do not."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import NamedTuple

from inspect_app.domain.checklist import (
    COMPETENCE_RANK,
    GRADE_RANK,
    GRADE_TITLES,
    Checklist,
    Competence,
    Grade,
    Point,
    State,
    Vantage,
)
from inspect_app.domain.deficiency import Answer
from inspect_app.domain.entry import (
    ClosingEntry,
    Entry,
    EventEntry,
    FieldProblem,
    LookEntry,
    OpeningEntry,
    Remark,
    StopEntry,
)
from inspect_app.domain.fitting import NotCounted, competence_of, fit_of_claim
from inspect_app.domain.part import Part
from inspect_app.domain.role import Role
from inspect_app.domain.units import UNITS
from inspect_app.domain.walk import LOOKED, LookResult, WalkState

SKEW_LIMIT = timedelta(minutes=5)
_UNASSISTED = frozenset(Role) - {Role.HELPER}


@dataclass(frozen=True, slots=True)
class EntryContext:
    """What the store knows of the things that one entry names.

    `roles` holds each known person the entry names or came through, with the roles held in the house now. `owner` is
    the person whom the named device is paired with, None for a device unknown in this house; `sender` and
    `sending_device` are whose token or session brought the entry. `scope_known` says whether the set, area or part that
    a stop or an event names is there; `unknown_revisions` are those of an opening that the program has never seen.
    """

    house: str
    sender: str
    sending_device: str
    owner: str | None
    roles: Mapping[str, frozenset[Role]]
    received_at: datetime
    skew_ms: int | None = None
    walk_state: WalkState | None = None
    walk_elsewhere: bool = False
    seq_taken: bool = False
    part: Part | None = None
    life_known: bool = True
    checklist: Checklist | None = None
    scope_known: bool = True
    unknown_revisions: tuple[str, ...] = ()


class Checked(NamedTuple):
    """What the check found. With problems the entry is held; without, it is stored with the remarks.

    `counted` are the claimed points that count; `proposed` the checklist's own grade for each finding, in order;
    `competence` that of who looked, for a look that says a part was looked at.
    """

    problems: tuple[FieldProblem, ...]
    remarks: tuple[Remark, ...] = ()
    counted: tuple[str, ...] = ()
    not_counted: tuple[NotCounted, ...] = ()
    proposed: tuple[Grade | None, ...] = ()
    needs_countersign: bool = False
    late: bool = False
    competence: Competence | None = None


def check_entry(entry: Entry, context: EntryContext) -> Checked:
    """Check one entry against what is known. Nothing is refused here: the face decides what to do about problems."""
    problems = _envelope_problems(entry, context)
    if isinstance(entry, LookEntry):
        problems += _look_problems(entry, context)
    elif isinstance(entry, StopEntry):
        problems += _stop_problems(entry, context)
    elif isinstance(entry, OpeningEntry):
        problems += _opening_problems(entry, context)
    elif isinstance(entry, EventEntry) and not context.scope_known:
        problems.append(FieldProblem("line_set", "names a set, area or part that is not in this house"))
    if problems:
        return Checked(tuple(problems))
    late = context.walk_state is WalkState.SEALED
    remarks = _envelope_remarks(entry, context)
    if late:
        remarks.append(Remark("late", "walk", "arrived after the walk was signed; it waits for an amendment"))
    countersign = needs_countersign(entry, context)
    if isinstance(entry, LookEntry):
        return _checked_look(entry, context, remarks, countersign, late)
    remarks += _other_remarks(entry)
    return Checked((), tuple(remarks), needs_countersign=countersign, late=late)


def needs_countersign(entry: Entry, context: EntryContext) -> bool:
    """Whether a named person has to countersign: the recorder, or whoever sent it, holds no role beyond helper's."""
    people = {entry.envelope.by, context.sender}
    return not all(context.roles.get(person, frozenset()) & _UNASSISTED for person in people)


def _envelope_problems(entry: Entry, context: EntryContext) -> list[FieldProblem]:
    found = []
    if entry.envelope.house != context.house:
        found.append(FieldProblem("house", "is not the house that this device is paired with"))
    if context.owner is None:
        found.append(FieldProblem("device", "is not a device of this house"))
    if context.walk_elsewhere:
        found.append(FieldProblem("walk", "belongs to another house"))
    return found


def _envelope_remarks(entry: Entry, context: EntryContext) -> list[Remark]:
    envelope = entry.envelope
    ahead = envelope.recorded_at - context.received_at
    rows = (
        (envelope.device != context.sending_device, "other_device", "device", "was sent through another device"),
        (envelope.by != context.owner, "author_not_owner", "by", "is not the person this device is paired with"),
        (envelope.by not in context.roles, "author_unknown", "by", "is not a person known here"),
        (context.seq_taken, "seq_taken", "seq", "stands on another entry of this device as well"),
        (
            context.skew_ms is not None and abs(context.skew_ms) > SKEW_LIMIT / timedelta(milliseconds=1),
            "clock_skew",
            "recorded_at",
            f"the device's clock was {clock_off(context.skew_ms or 0)} when this was sent",
        ),
        (ahead > SKEW_LIMIT, "time_ahead", "recorded_at", "lies after the time at which it was received"),
    )
    return [Remark(code, field, message) for holds, code, field, message in rows if holds]


def clock_off(skew_ms: int) -> str:
    """How far a clock is off in words; `skew_ms` is how far it is behind: 12 minutes fast, 2 days slow."""
    minutes = round(abs(skew_ms) / 60_000)
    for unit, size in (("days", 2 * 24 * 60), ("hours", 2 * 60)):
        if minutes >= size:
            return f"{round(minutes / (size / 2))} {unit} {'slow' if skew_ms > 0 else 'fast'}"
    return f"{minutes} minutes {'slow' if skew_ms > 0 else 'fast'}"


def _look_problems(entry: LookEntry, context: EntryContext) -> list[FieldProblem]:
    vantage, _, state = entry.in_pass.partition("/")
    whole, found, is_finding = entry.adds_to is None, bool(entry.findings), entry.result is LookResult.FINDING
    rows = (
        (context.part is None, "part", "is not a part of this house"),
        (context.checklist is None, "revision", "is a revision of a checklist that is not known here"),
        (vantage not in set(Vantage) or state not in set(State), "pass", f"{entry.in_pass} is no vantage and state"),
        (
            context.checklist is not None and context.checklist.id != entry.checklist,
            "checklist",
            "is not the one that the revision belongs to",
        ),
        (whole and found and not is_finding, "result", "must be finding: one is listed"),
        (whole and is_finding and not found, "findings", "lists nothing, yet the result is finding"),
        (entry.result is LookResult.WITHDRAWN and not entry.replaces, "replaces", "must name what is withdrawn"),
        (
            entry.result in (LookResult.NOT_REACHED, LookResult.NOT_APPLICABLE) and not entry.reason.strip(),
            "reason",
            "is missing; say why the part was not looked at",
        ),
        (entry.envelope.id in (*entry.replaces, entry.adds_to), "replaces", "names the entry itself"),
    )  # fmt: skip
    return [FieldProblem(field, message) for holds, field, message in rows if holds]


def _stop_problems(entry: StopEntry, context: EntryContext) -> list[FieldProblem]:
    named = [scope for scope in (entry.line_set, entry.area, entry.part) if scope]
    if entry.of or entry.step:
        rows = (
            (not entry.of, "of", "must name the entry that raised the stop"),
            (entry.step is None, "step", "is missing"),
            (bool(named), "line_set", "must be left out of a step"),
        )
        return [FieldProblem(field, message) for holds, field, message in rows if holds]
    if len(named) != 1:
        return [FieldProblem("line_set", "a stop names exactly one line set, area or part")]
    return (
        [] if context.scope_known else [FieldProblem("line_set", "names a set, area or part that is not in this house")]
    )


def _opening_problems(entry: OpeningEntry, context: EntryContext) -> list[FieldProblem]:
    found = [] if entry.checklists else [FieldProblem("scope.checklists", "must name at least one checklist")]
    if context.unknown_revisions:
        names = ", ".join(revision[:12] for revision in context.unknown_revisions)
        found.append(FieldProblem("scope.checklists", f"names revisions that are not known here: {names}"))
    return found


def _checked_look(
    entry: LookEntry, context: EntryContext, remarks: list[Remark], countersign: bool, late: bool
) -> Checked:
    checklist, part = context.checklist, context.part
    if checklist is None or part is None:  # said as problems before
        return Checked((FieldProblem("part", "is not known"),))
    points = {point.id: point for point in checklist.points_for(part.kind)}
    remarks += _look_remarks(entry, context, part)
    for n, finding in enumerate(entry.findings):
        remarks += _finding_remarks(entry, n, points.get(finding.point))
    remarks += [
        Remark("unit_unknown", f"measures[{n}].unit", f"“{measure.unit}” is not a unit this program can judge")
        for n, measure in enumerate(entry.measures)
        if measure.unit not in UNITS
    ]
    counted: tuple[str, ...] = entry.points
    dropped: tuple[NotCounted, ...] = ()
    competence = _competence(entry, context)
    if entry.result in LOOKED:
        counted, dropped = fit_of_claim(
            checklist, part.kind, entry.in_pass, entry.ways, competence, entry.points, _shown(entry)
        )
    remarks += [Remark("not_counted", "points", f"{point}: {why}") for point, why in dropped]
    proposed = tuple(points[f.point].grade if f.point in points else None for f in entry.findings)
    return Checked((), tuple(remarks), counted, dropped, proposed, countersign, late, competence)


def _shown(entry: LookEntry) -> frozenset[str]:
    return frozenset(f.point for f in entry.findings) | frozenset(m.point for m in entry.measures)


def _competence(entry: LookEntry, context: EntryContext) -> Competence:
    """The competence of who looked, the caller aloft if there is one; another's word no more than the sender's."""
    looker = entry.envelope.called_by or entry.envelope.by
    people = {looker} if entry.envelope.by == context.sender else {looker, context.sender}
    return min((competence_of(context.roles.get(one, ())) for one in people), key=COMPETENCE_RANK.__getitem__)


def _look_remarks(entry: LookEntry, context: EntryContext, part: Part) -> list[Remark]:
    no_way = entry.result in LOOKED and not entry.ways and entry.adds_to is None
    rows = (
        (part.retired_on is not None, "part_retired", "part", f"{part.tag} was retired on {part.retired_on}"),
        (not context.life_known, "life_unknown", "life", "is not a life of this part"),
        (no_way, "no_way", "ways", "names no way of looking"),
        (bool(entry.tag_seen) and entry.tag_seen != part.tag, "tag_changed", "tag_seen", f"is {part.tag} here"),
    )  # fmt: skip
    return [Remark(code, field, message) for holds, code, field, message in rows if holds]


def _finding_remarks(entry: LookEntry, n: int, point: Point | None) -> list[Remark]:
    finding, at = entry.findings[n], f"findings[{n}]"
    found = []
    if point is None and (finding.point or not finding.of):  # what was entered by hand belongs to no point
        found.append(Remark("point_unknown", f"{at}.point", "is not a point asked of this part"))
    if point is not None and GRADE_RANK[finding.grade] < GRADE_RANK[point.grade] and not finding.grade_reason.strip():
        message = f"is missing: the checklist proposes {GRADE_TITLES[point.grade]}"
        found.append(Remark("lower_without_reason", f"{at}.grade_reason", message))
    if finding.answer is not Answer.NEW and finding.of is None:
        found.append(Remark("of_missing", f"{at}.of", "does not name the finding it answers"))
    return found


def _other_remarks(entry: Entry) -> list[Remark]:
    if isinstance(entry, StopEntry) and not entry.of and not entry.why.strip():
        return [Remark("no_why", "why", "the stop does not say why")]
    if isinstance(entry, OpeningEntry):
        rows = (
            (not entry.aloft, "no_aloft", "people.aloft", "nobody is named who goes aloft"),
            (not entry.deck.strip(), "no_deck", "people.deck", "nobody is named who keeps the deck clear"),
            (not entry.rescue.strip(), "no_rescue", "people.rescue", "no rescue contact is named"),
            (not entry.cautions_read, "cautions_not_read", "cautions_read", "the cautions were not read out"),
        )
        return [Remark(code, field, message) for holds, code, field, message in rows if holds]
    if isinstance(entry, ClosingEntry) and not entry.people_down:
        return [Remark("nobody_down", "people_down", "nobody is named as down")]
    return []
