"""What a walk comes to for each part: its result, its ways of looking, and which points were asked and answered."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from inspect_app.domain.checklist import GRADE_RANK, Checklist, Grade, Point, Way
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.walk import (
    LOOKED,
    Decision,
    DecisionKind,
    Look,
    LookResult,
    Scope,
    do_differ,
    is_counted,
    newest_choice,
    outcome,
    set_aside,
    standing_looks,
)


class PartOutcome(StrEnum):
    """The five things that are told apart wherever parts are counted."""

    NO_FINDING = "no_finding"
    FINDING = "finding"
    NOT_REACHED = "not_reached"
    NOT_APPLICABLE = "not_applicable"
    NOT_LOOKED_AT = "not_looked_at"


CONFIRMED = "confirmed"
REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class PartResult:
    """One part on one walk. `asked` and `answered` are point ids; `looks` those that count, additions included."""

    part: Part
    outcome: PartOutcome
    grade: Grade | None
    ways: frozenset[Way]
    asked: frozenset[str]
    answered: frozenset[str]
    looks: tuple[Look, ...]
    never_before: bool = False


def parts_in_scope(parts: Iterable[Part], scope: Scope, checklists: Sequence[Checklist]) -> tuple[Part, ...]:
    """The parts a walk set out to look at: not retired, within its sets and areas, of a kind that a checklist asks for.

    A part without a line set is left out by areas only.
    """
    kinds = {kind for checklist in checklists for point in checklist.points() for kind in point.parts}
    return tuple(
        part
        for part in parts
        if part.retired_on is None
        and part.kind in kinds
        and (scope.line_sets is None or part.line_set is None or part.line_set in scope.line_sets)
        and (scope.areas is None or part.area in scope.areas)
    )


def points_asked(kind: PartKind, checklists: Sequence[Checklist]) -> dict[str, Point]:
    """The points that the checklists ask of a kind, each once."""
    return {point.id: point for checklist in checklists for point in checklist.points_for(kind)}


def part_results(
    parts: Iterable[Part],
    checklists: Sequence[Checklist],
    looks: Iterable[Look],
    decisions: Sequence[Decision] = (),
    known_before: frozenset[str] = frozenset(),
) -> tuple[PartResult, ...]:
    """The result of every part of `parts`, in their order, from all looks of the walk.

    `known_before` are the parts that some earlier walk has a look at; a part without one that has no look now was never
    recorded at all.
    """
    by_part: dict[str, list[Look]] = {}
    for look in standing_looks(looks):
        by_part.setdefault(look.part, []).append(look)
    aside = set_aside(decisions)
    confirmed = newest_choice(decisions, DecisionKind.NOT_APPLICABLE)

    @cache
    def asked_of(kind: PartKind) -> Mapping[str, Point]:
        return points_asked(kind, checklists)

    return tuple(
        _result(part, asked_of(part.kind), by_part.get(part.id, []), aside, confirmed, part.id not in known_before)
        for part in parts
    )


def _result(
    part: Part,
    points: Mapping[str, Point],
    looks: Sequence[Look],
    aside: Mapping[str, Decision],
    confirmed: Mapping[str, Decision],
    never_before: bool,
) -> PartResult:
    counted = [look for look in looks if is_counted(look) and look.entry not in aside]
    counted = [look for look in counted if not _refused(look, confirmed)]
    answers = {look.entry: standing_answers(look, counted) for look in counted}
    outcomes = [look for look in counted if look.adds_to is None and not _eclipsed(look, answers[look.entry])]
    asked = set(points)
    for look in outcomes:
        if look.result is LookResult.NOT_APPLICABLE and _is_confirmed(look, confirmed):
            asked -= _spoken_of_by(look, points)
    looked = [look for look in outcomes if look.result in LOOKED]
    answered = frozenset().union(*answers.values()) if looked else frozenset[str]()
    return PartResult(
        part=part,
        outcome=_outcome(outcomes),
        grade=max((g for look in looked if (g := look.grade)), key=lambda g: GRADE_RANK[g], default=None),
        ways=frozenset().union(*(look.ways for look in looked)),
        asked=frozenset(asked),
        answered=frozenset(asked & answered),
        looks=tuple(counted),
        never_before=never_before,
    )


def _eclipsed(look: Look, answers: frozenset[str]) -> bool:
    """Whether a worse look on the same points leaves nothing of this one."""
    return look.result in LOOKED and bool(look.answered) and not answers


def standing_answers(look: Look, others: Sequence[Look]) -> frozenset[str]:
    """The points a look answers, without those that a worse look says were not reached or do not apply."""
    denied: set[str] = set()
    for other in others:
        if other.result in LOOKED or outcome(other) < outcome(look) or not do_differ(look, other):
            continue
        denied |= set(other.points) or look.answered
    return look.answered - denied


def _outcome(looks: Sequence[Look]) -> PartOutcome:
    results = {look.result for look in looks}
    for result in (LookResult.FINDING, LookResult.NO_FINDING, LookResult.NOT_REACHED, LookResult.NOT_APPLICABLE):
        if result in results:
            return PartOutcome(result.value)
    return PartOutcome.NOT_LOOKED_AT


def _is_confirmed(look: Look, confirmed: Mapping[str, Decision]) -> bool:
    return look.entry in confirmed and confirmed[look.entry].choice == CONFIRMED


def _refused(look: Look, confirmed: Mapping[str, Decision]) -> bool:
    return look.entry in confirmed and confirmed[look.entry].choice == REFUSED


def _spoken_of_by(look: Look, points: Mapping[str, Point]) -> set[str]:
    """The points a *not applicable* takes away: those it lists, else all of its pass."""
    if look.points:
        return set(look.points)
    return {point.id for point in points.values() if point.in_pass == look.in_pass}
