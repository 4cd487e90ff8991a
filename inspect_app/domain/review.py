"""What a person reviews before signing: all that was recorded, what is missing and what waits for a decision."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from inspect_app.domain.checklist import GRADE_RANK, Checklist, Grade, Point
from inspect_app.domain.condition import condition_verdicts, conditions_by_defect
from inspect_app.domain.coverage import (
    ChecklistShare,
    Counts,
    OpenPoint,
    checklist_shares,
    count_by,
    count_parts,
    points_not_answered,
)
from inspect_app.domain.criteria import Criterion
from inspect_app.domain.judge import Verdict
from inspect_app.domain.judged_measure import JudgedMeasure, judged_measures, judging_attributes, values_of_sets
from inspect_app.domain.pace import PaceFact, pace_facts, pace_limits
from inspect_app.domain.part import Part
from inspect_app.domain.part_result import PartResult, part_results, parts_in_scope
from inspect_app.domain.siblings import OddOne, odd_ones
from inspect_app.domain.walk import (
    Decision,
    DecisionKind,
    Differing,
    Finding,
    Look,
    LookResult,
    differing_looks,
    is_counted,
    newest_choice,
    set_aside,
    standing_looks,
    with_decided_grades,
)
from inspect_app.domain.walk_record import WalkRecord


class FoundOn(NamedTuple):
    """A finding with the look and the part it was found on."""

    finding: Finding
    look: Look
    part: Part
    point: Point | None
    counted: bool
    proposed: str
    conditions: tuple[Verdict, ...] = ()

    @property
    def lowered_without_reason(self) -> bool:
        """Whether the grade lies below what the checklist proposes and nobody has said why."""
        if not self.proposed or self.finding.grade_reason.strip():
            return False
        return GRADE_RANK[self.finding.grade] < GRADE_RANK[Grade(self.proposed)]


class Lacking(NamedTuple):
    """Something a point asks for that a finding came without: a photo, a note or a wear rating."""

    part: Part
    look: Look
    finding: Finding | None
    what: str


class NotApplicable(NamedTuple):
    """A part said not to be asked, and whether that was confirmed."""

    look: Look
    part: Part
    decision: Decision | None


@dataclass(frozen=True, slots=True)
class WalkReview:
    """A walk reviewed. `uncounted` are standing looks without a countersign that makes them count."""

    parts: Mapping[str, Part]
    results: tuple[PartResult, ...]
    counts: Counts
    by_area: Mapping[str, Counts]
    by_kind: Mapping[str, Counts]
    shares: tuple[ChecklistShare, ...]
    open_points: tuple[OpenPoint, ...]
    looks: tuple[Look, ...]
    uncounted: tuple[Look, ...]
    withdrawn: tuple[Look, ...]
    not_reached: tuple[Look, ...]
    not_applicable: tuple[NotApplicable, ...]
    findings: tuple[FoundOn, ...]
    measures: tuple[JudgedMeasure, ...]
    lacking: tuple[Lacking, ...]
    differing: tuple[Differing, ...]
    pace: tuple[PaceFact, ...]
    odd: tuple[OddOne, ...]
    has_gaps: bool

    @property
    def complete(self) -> bool:
        """Whether the walk may be titled complete: every checklist reaches its threshold."""
        return bool(self.shares) and all(share.complete for share in self.shares)

    @property
    def undecided(self) -> tuple[Differing, ...]:
        """Differing looks on which the worse counts, because nobody has decided."""
        return tuple(group for group in self.differing if not group.decided)

    @property
    def unconfirmed(self) -> tuple[NotApplicable, ...]:
        """Parts said not to apply that nobody has confirmed."""
        return tuple(row for row in self.not_applicable if row.decision is None)

    @property
    def must_decide(self) -> tuple[FoundOn, ...]:
        """Findings graded below the proposal without a reason."""
        return tuple(row for row in self.findings if row.lowered_without_reason)


def review_of(record: WalkRecord, criteria: Mapping[str, Criterion]) -> WalkReview:
    """The review of a walk from all that was recorded on it."""
    parts = {part.id: part for part in record.inventory.parts}
    looks = with_decided_grades(record.looks, record.decisions)
    standing = tuple(look for look in standing_looks(looks) if look.part in parts)
    aside = set_aside(record.decisions)
    in_force = tuple(look for look in standing if look.entry not in aside)
    counted = tuple(look for look in in_force if is_counted(look))
    scope = parts_in_scope(record.inventory.parts, record.walk.scope, record.checklists)
    results = part_results(scope, record.checklists, looks, record.decisions, record.known_before)
    areas = {area.id: area.name for area in record.inventory.areas}
    judged = judged_measures(in_force, parts, record.inventory, record.checklists, criteria)
    values = values_of_sets([row for row in judged if is_counted(row.look)], counted, parts, record.inventory)
    most, within = pace_limits(record.inventory.house.settings)
    return WalkReview(
        parts=parts,
        results=results,
        counts=count_parts(results),
        by_area=count_by(results, lambda row: areas.get(row.part.area, "")),
        by_kind=count_by(results, lambda row: row.part.kind.value),
        shares=checklist_shares(results, record.checklists),
        open_points=points_not_answered(results, record.checklists),
        looks=standing,
        uncounted=tuple(look for look in in_force if not is_counted(look)),
        withdrawn=_withdrawn(looks, parts),
        not_reached=tuple(look for look in counted if look.result is LookResult.NOT_REACHED),
        not_applicable=_not_applicable(counted, parts, record.decisions),
        findings=_findings(in_force, parts, record, criteria),
        measures=judged,
        lacking=_lacking(in_force, parts, record.checklists, record.looks),
        differing=differing_looks(standing, record.decisions),
        pace=pace_facts(record.looks, most, within),
        odd=odd_ones(values),
        has_gaps=record.has_gaps,
    )


def _withdrawn(looks: Sequence[Look], parts: Mapping[str, Part]) -> tuple[Look, ...]:
    """The looks that a withdrawal took back."""
    takes_back = {look.entry for look in looks if look.result is LookResult.WITHDRAWN}
    return tuple(
        look
        for look in looks
        if look.part in parts and look.result is not LookResult.WITHDRAWN and takes_back & set(look.replaced_by)
    )


def _not_applicable(
    counted: Sequence[Look], parts: Mapping[str, Part], decisions: Sequence[Decision]
) -> tuple[NotApplicable, ...]:
    decided = newest_choice(decisions, DecisionKind.NOT_APPLICABLE)
    return tuple(
        NotApplicable(look, parts[look.part], decided.get(look.entry))
        for look in counted
        if look.result is LookResult.NOT_APPLICABLE
    )


def points_by_id(checklists: Sequence[Checklist]) -> dict[str, Point]:
    """Every point of some checklists by its id."""
    return {point.id: point for checklist in checklists for point in checklist.points()}


def _findings(
    looks: Sequence[Look], parts: Mapping[str, Part], record: WalkRecord, criteria: Mapping[str, Criterion]
) -> tuple[FoundOn, ...]:
    points = points_by_id(record.checklists)
    of_defect = conditions_by_defect(criteria)

    def found(finding: Finding, look: Look) -> FoundOn:
        point, attributes = points.get(finding.point), judging_attributes(record.inventory, parts[look.part])
        conditions = of_defect.get(f"{finding.point}/{finding.defect}", ()) if finding.answer != "not_seen_now" else ()
        seen = condition_verdicts(conditions, attributes)
        return FoundOn(finding, look, parts[look.part], point, is_counted(look), _proposed(finding, point), seen)

    rows = [found(finding, look) for look in looks for finding in look.findings]
    return tuple(sorted(rows, key=lambda row: (-GRADE_RANK[row.finding.grade], row.look.at, row.finding.id)))


def _proposed(finding: Finding, point: Point | None) -> str:
    if finding.proposed_grade:
        return finding.proposed_grade
    return point.grade.value if point and finding.answer == "new" else ""


def _lacking(
    looks: Sequence[Look], parts: Mapping[str, Part], checklists: Sequence[Checklist], every: Sequence[Look]
) -> tuple[Lacking, ...]:
    points = points_by_id(checklists)
    added: dict[str, list[Look]] = {}
    for look in every:
        if look.adds_to:
            added.setdefault(look.adds_to, []).append(look)
    rows: list[Lacking] = []
    for look in looks:
        if look.adds_to is None:
            rows += _lacking_on(look, parts[look.part], points, added.get(look.entry, []))
    return tuple(rows)


def _lacking_on(look: Look, part: Part, points: Mapping[str, Point], added: Sequence[Look]) -> list[Lacking]:
    has_photo = any(one.photos for one in (look, *added))
    has_note = any(one.note.strip() for one in (look, *added))
    rows = []
    for finding in look.findings:
        point = points.get(finding.point)
        if point is not None and point.photo in ("finding", "always") and not has_photo:
            rows.append(Lacking(part, look, finding, "photo"))
        if not (finding.note.strip() or finding.defect or has_note):
            rows.append(Lacking(part, look, finding, "note"))
        if finding.wear is None and finding.answer != "not_seen_now":
            rows.append(Lacking(part, look, finding, "wear rating"))
    always = [points[p] for p in look.points if p in points and points[p].photo == "always"]
    if always and not look.findings and not has_photo:
        rows.append(Lacking(part, look, None, "photo"))
    return rows
