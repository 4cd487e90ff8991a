"""How much of a walk was looked at, and how: counts that add up, by kind, area and checklist."""

from collections.abc import Callable, Iterable, Sequence
from decimal import ROUND_DOWN, Decimal
from fractions import Fraction
from typing import NamedTuple

from inspect_app.domain.checklist import Checklist, Way
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_result import PartOutcome, PartResult


class Counts(NamedTuple):
    """Parts counted. in_scope = looked_at + not_reached + not_applicable + not_looked_at, and looked_at = no_finding +
    finding. The four ways count parts looked at that way among others. `never_recorded` are parts without any look now
    or before; they are among not_looked_at. `asked` and `answered` count points."""

    in_scope: int
    looked_at: int
    no_finding: int
    finding: int
    not_reached: int
    not_applicable: int
    not_looked_at: int
    never_recorded: int
    handled: int
    seen_close: int
    seen_from_afar: int
    heard: int
    asked: int
    answered: int


def count_parts(results: Iterable[PartResult]) -> Counts:
    """The counts of some parts."""
    rows = list(results)
    outcomes = [row.outcome for row in rows]
    looked = [row for row in rows if row.outcome in (PartOutcome.NO_FINDING, PartOutcome.FINDING)]
    return Counts(
        in_scope=len(rows),
        looked_at=len(looked),
        no_finding=outcomes.count(PartOutcome.NO_FINDING),
        finding=outcomes.count(PartOutcome.FINDING),
        not_reached=outcomes.count(PartOutcome.NOT_REACHED),
        not_applicable=outcomes.count(PartOutcome.NOT_APPLICABLE),
        not_looked_at=outcomes.count(PartOutcome.NOT_LOOKED_AT),
        never_recorded=sum(row.outcome is PartOutcome.NOT_LOOKED_AT and row.never_before for row in rows),
        handled=sum(Way.HANDLED in row.ways for row in looked),
        seen_close=sum(Way.SEEN_CLOSE in row.ways for row in looked),
        seen_from_afar=sum(Way.SEEN_FROM_AFAR in row.ways for row in looked),
        heard=sum(Way.HEARD in row.ways for row in looked),
        asked=sum(len(row.asked) for row in rows),
        answered=sum(len(row.answered) for row in rows),
    )


def count_by(results: Iterable[PartResult], key: Callable[[PartResult], str]) -> dict[str, Counts]:
    """Counts of groups of parts, in the order in which the groups first appear."""
    groups: dict[str, list[PartResult]] = {}
    for row in results:
        groups.setdefault(key(row), []).append(row)
    return {name: count_parts(rows) for name, rows in groups.items()}


class ChecklistShare(NamedTuple):
    """How much of a checklist was answered. `complete` when the share reaches the checklist's own threshold."""

    id: str
    title: str
    asked: int
    answered: int
    share: str
    threshold: str
    complete: bool


def checklist_shares(results: Sequence[PartResult], checklists: Sequence[Checklist]) -> tuple[ChecklistShare, ...]:
    """The share of points answered by checklist. Where nothing was asked, nothing is complete."""
    return tuple(_share(checklist, results) for checklist in checklists)


def _share(checklist: Checklist, results: Sequence[PartResult]) -> ChecklistShare:
    by_kind = {kind: {p.id for p in checklist.points_for(kind)} for kind in PartKind}
    asked = sum(len(row.asked & by_kind[row.part.kind]) for row in results)
    answered = sum(len(row.answered & by_kind[row.part.kind]) for row in results)
    threshold = Decimal(str(checklist.coverage))
    share = (Decimal(answered) / Decimal(asked)).quantize(Decimal("0.0001"), ROUND_DOWN) if asked else Decimal("0.0000")
    complete = bool(asked) and Fraction(answered, asked) >= Fraction(threshold)
    return ChecklistShare(checklist.id, checklist.title, asked, answered, str(share), str(threshold), complete)


class OpenPoint(NamedTuple):
    """A point that stays unanswered on so many parts of a kind."""

    point: str
    ask: str
    kind: PartKind
    parts: int


def points_not_answered(results: Iterable[PartResult], checklists: Sequence[Checklist]) -> tuple[OpenPoint, ...]:
    """Points that were asked and not answered, most parts first."""
    asks = {point.id: point.ask for checklist in checklists for point in checklist.points()}
    missing: dict[tuple[str, PartKind], int] = {}
    for row in results:
        for point in row.asked - row.answered:
            missing[point, row.part.kind] = missing.get((point, row.part.kind), 0) + 1
    rows = [OpenPoint(point, asks.get(point, point), kind, parts) for (point, kind), parts in missing.items()]
    return tuple(sorted(rows, key=lambda row: (-row.parts, row.kind, row.point)))
