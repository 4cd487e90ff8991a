"""A walk as it was recorded: looks with their findings and measures, which of them stand, count, and differ."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum
from itertools import combinations
from typing import Any, NamedTuple

from inspect_app.domain.checklist import GRADE_RANK, Grade, Way


class WalkState(StrEnum):
    """Where a walk stands: being recorded, closed by at least one device, signed."""

    OPEN = "open"
    CLOSING = "closing"
    SEALED = "sealed"


STATE_WORDS: Mapping[WalkState, str] = {
    WalkState.OPEN: "being walked",
    WalkState.CLOSING: "closed, waits for review and signature",
    WalkState.SEALED: "signed and sealed",
}


class LookResult(StrEnum):
    """What a look says of a part; *withdrawn* takes back the looks it replaces."""

    NO_FINDING = "no_finding"
    FINDING = "finding"
    NOT_REACHED = "not_reached"
    NOT_APPLICABLE = "not_applicable"
    WITHDRAWN = "withdrawn"


LOOKED = frozenset({LookResult.NO_FINDING, LookResult.FINDING})


class How(StrEnum):
    """How a person countersigned what a helper recorded."""

    BESIDE_THEM = "beside_them"
    LOOKED_AGAIN = "looked_again"
    DID_NOT_SEE = "did_not_see"


HOW_TITLES: Mapping[How, str] = {
    How.BESIDE_THEM: "I stood beside them",
    How.LOOKED_AGAIN: "I looked again myself",
    How.DID_NOT_SEE: "I did not see it (does not count)",
}
COUNTING = frozenset({How.BESIDE_THEM, How.LOOKED_AGAIN})


class Countersign(NamedTuple):
    """One person's word for a helper's entry."""

    by: str
    by_name: str
    how: How
    at: datetime


class DecisionKind(StrEnum):
    """What was decided at review."""

    SET_ASIDE = "set_aside"  # entry: the look that does not count; choice: the entry that does
    NOT_APPLICABLE = "not_applicable"  # entry: the look; choice: confirmed or refused
    GRADE = "grade"  # finding: which; choice: the grade


class Decision(NamedTuple):
    """A decision with who made it. The newest one on the same thing holds."""

    kind: DecisionKind
    entry: str | None
    finding: str | None
    choice: str
    reason: str
    by_name: str
    at: datetime
    by: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """A finding as it was recorded."""

    id: str
    entry: str
    part: str
    point: str
    point_text: str
    defect: str
    answer: str
    of: str | None
    grade: Grade
    proposed_grade: str
    grade_reason: str
    wear: int | None
    note: str


@dataclass(frozen=True, slots=True)
class Measure:
    """A figure as it was typed; `value` is decimal text in `unit`, `hint` what was said of it when it was.

    `life` is what hung there when it was measured, '' when that is not known.
    """

    entry: str
    part: str
    point: str
    quantity: str
    value: str
    unit: str
    typed: str
    station: str
    gauge: str
    resolution: str
    hint: str = "none"
    readings: tuple[str, ...] = ()
    load_state: str = ""
    life: str = ""


def names_of(recorder: str, caller: str = "") -> str:
    """Who looked: whoever recorded it, or who called it by radio from aloft, with who wrote it down on the deck."""
    return f"{caller}, written down by {recorder}" if caller else recorder


@dataclass(frozen=True, slots=True)
class Look:
    """One look at one part in one pass. `replaced_by` names the entries that say they replace it; `by_name` is whoever
    looked as it is printed, with whoever wrote it down where that was somebody else (`names_of`): `called_by` and `by`.
    """

    entry: str
    part: str
    in_pass: str
    checklist: str
    points: tuple[str, ...]
    result: LookResult
    ways: frozenset[Way]
    by: str
    by_name: str
    at: datetime
    device: str = ""
    device_name: str = ""
    reason: str = ""
    note: str = ""
    tap: str | None = None
    adds_to: str | None = None
    replaced_by: tuple[str, ...] = ()
    needs_countersign: bool = False
    countersigns: tuple[Countersign, ...] = ()
    late: bool = False
    findings: tuple[Finding, ...] = ()
    measures: tuple[Measure, ...] = ()
    photos: tuple[str, ...] = ()
    recordings: tuple[str, ...] = ()
    called_by: str = ""

    @property
    def answered(self) -> frozenset[str]:
        """The points this look answers: those it lists, and those it has a finding or a figure for."""
        if self.result not in LOOKED and self.adds_to is None:
            return frozenset()
        return frozenset(self.points) | {f.point for f in self.findings} | {m.point for m in self.measures}

    @property
    def grade(self) -> Grade | None:
        """The gravest grade among its findings."""
        return max((f.grade for f in self.findings), key=lambda grade: GRADE_RANK[grade], default=None)


def is_counted(look: Look) -> bool:
    """Whether a look counts: no countersign needed, or one given by a person who stood by or looked again."""
    return not look.needs_countersign or any(sign.how in COUNTING for sign in look.countersigns)


def standing_looks(looks: Iterable[Look]) -> tuple[Look, ...]:
    """The looks that nothing has replaced or withdrawn, in any order of arrival.

    A look that does not count yet cannot take away one that does: a helper's correction waits for its countersign. An
    addition stands as long as a look stands that it adds to, directly or through corrections of it.
    """
    known = {look.entry: look for look in looks}
    whole = {
        look.entry: look
        for look in known.values()
        if look.result is not LookResult.WITHDRAWN and not _is_replaced(look, known)
    }
    return tuple(
        look for look in whole.values() if look.adds_to is None or _leads_to(look.adds_to, known, whole, frozenset())
    )


def _is_replaced(look: Look, known: Mapping[str, Look]) -> bool:
    by = [known.get(entry) for entry in look.replaced_by]
    return any(other is not None and (is_counted(other) or not is_counted(look)) for other in by)


def _leads_to(entry: str, known: Mapping[str, Look], whole: Mapping[str, Look], seen: frozenset[str]) -> bool:
    if entry in whole:
        return True
    look = known.get(entry)
    if look is None or entry in seen:
        return False
    return any(_leads_to(other, known, whole, seen | {entry}) for other in look.replaced_by)


class Outcome(NamedTuple):
    """What a look comes to when two are compared; a greater one is the worse."""

    severity: int
    grade: int


_SEVERITY = {
    LookResult.NO_FINDING: 0,
    LookResult.NOT_APPLICABLE: 1,
    LookResult.NOT_REACHED: 2,
    LookResult.FINDING: 3,
    LookResult.WITHDRAWN: -1,
}


def outcome(look: Look) -> Outcome:
    """Finding by grade, then not reached, not applicable, no finding."""
    grade = look.grade
    return Outcome(_SEVERITY[look.result], GRADE_RANK[grade] if grade else -1)


def do_differ(one: Look, other: Look) -> bool:
    """Whether two standing looks say different things of the same points of one part, so that a person has to decide.

    A person who finds something after having found nothing there has decided already; the finding counts. *Not reached*
    and *not applicable* without points speak of the whole pass; said by the same person as the other look they speak of
    the rest of it, and nothing differs.
    """
    if one.part != other.part or one.in_pass != other.in_pass or one.adds_to or other.adds_to:
        return False
    if outcome(one) == outcome(other) or _is_found_later(one, other):
        return False
    if (one.points and other.points) or {one.result, other.result} <= LOOKED:
        return bool(_spoken_of(one) & _spoken_of(other))
    return one.by != other.by


def _is_found_later(one: Look, other: Look) -> bool:
    """Whether the same person first saw less and then more."""
    if one.by != other.by or not {one.result, other.result} <= LOOKED:
        return False
    first, second = sorted((one, other), key=lambda look: look.at)
    return first.at < second.at and outcome(first) < outcome(second)


def _spoken_of(look: Look) -> frozenset[str]:
    return look.answered if look.result in LOOKED else frozenset(look.points)


@dataclass(frozen=True, slots=True)
class Differing:
    """Looks on one part in one pass that say different things; `set_aside` holds the decisions, if any."""

    part: str
    in_pass: str
    looks: tuple[Look, ...]
    set_aside: tuple[Decision, ...] = ()

    @property
    def decided(self) -> bool:
        """Whether what is left after the decisions says one thing."""
        gone = {decision.entry for decision in self.set_aside}
        left = [look for look in self.looks if look.entry not in gone]
        return not any(do_differ(a, b) for a, b in combinations(left, 2))

    @property
    def worst(self) -> Look:
        """The look that counts until a person decides."""
        return max(self.looks, key=outcome)


def differing_looks(looks: Sequence[Look], decisions: Iterable[Decision] = ()) -> tuple[Differing, ...]:
    """All groups of standing, counted looks that differ, by part and pass, oldest look first."""
    aside = set_aside(decisions)
    groups: dict[tuple[str, str], dict[str, Look]] = {}
    by_place: dict[tuple[str, str], list[Look]] = {}
    for look in looks:
        if is_counted(look):
            by_place.setdefault((look.part, look.in_pass), []).append(look)
    for place, here in by_place.items():
        for one, other in combinations(here, 2):
            if do_differ(one, other):
                groups.setdefault(place, {}).update({one.entry: one, other.entry: other})
    return tuple(
        Differing(
            part,
            in_pass,
            tuple(sorted(found.values(), key=lambda look: (look.at, look.entry))),
            tuple(aside[entry] for entry in found if entry in aside),
        )
        for (part, in_pass), found in groups.items()
    )


def set_aside(decisions: Iterable[Decision]) -> dict[str, Decision]:
    """The looks that a decision has set aside, by entry; a later decision for the look itself brings it back."""
    newest: dict[str, Decision] = {}
    for decision in sorted(decisions, key=lambda d: d.at):
        if decision.kind is DecisionKind.SET_ASIDE and decision.entry:
            newest[decision.entry] = decision
    return {entry: decision for entry, decision in newest.items() if decision.choice != entry}


def with_decided_grades(looks: Iterable[Look], decisions: Iterable[Decision]) -> tuple[Look, ...]:
    """The looks with each finding at the grade that a person decided at review, and the reason given."""
    decided = newest_choice(decisions, DecisionKind.GRADE)

    def regraded(finding: Finding) -> Finding:
        decision = decided.get(finding.id)
        if decision is None:
            return finding
        reason = (
            f"{decision.by_name} at review: {decision.reason}" if decision.reason else f"{decision.by_name} at review"
        )
        return replace(finding, grade=Grade(decision.choice), grade_reason=reason)

    return tuple(
        replace(look, findings=tuple(map(regraded, look.findings))) if look.findings else look for look in looks
    )


def newest_choice(decisions: Iterable[Decision], kind: DecisionKind) -> dict[str, Decision]:
    """The newest decision of a kind by the finding or entry it is about."""
    found: dict[str, Decision] = {}
    for decision in sorted(decisions, key=lambda d: d.at):
        about = decision.finding or decision.entry
        if decision.kind is kind and about:
            found[about] = decision
    return found


@dataclass(frozen=True, slots=True)
class Scope:
    """What a walk set out to look at: checklists with their exact revisions; None means all sets, all areas."""

    checklists: tuple[tuple[str, str], ...]
    line_sets: frozenset[str] | None = None
    areas: frozenset[str] | None = None


def scope_from_json(data: Mapping[str, Any]) -> Scope:
    """The scope as an opening states it."""
    sets, areas = data.get("line_sets"), data.get("areas")
    return Scope(
        tuple((item["id"], item["revision"]) for item in data.get("checklists", ())),
        None if sets is None else frozenset(sets),
        None if areas is None else frozenset(areas),
    )
