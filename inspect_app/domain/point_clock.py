"""Which points of which parts a sealed walk looked at, in what way and by whom: what starts the clock of a point anew.

Kept are facts, not a verdict: whether a look was adequate is asked of the checklist in use when a date is wanted, so
that a point which asks for more than it once did does not count what was seen before.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, tzinfo
from typing import NamedTuple

from inspect_app.domain.checklist import COMPETENCE_RANK, Checklist, Competence, Method, Point, Way
from inspect_app.domain.fitting import is_met
from inspect_app.domain.part import Life, Part
from inspect_app.domain.part_result import part_results, standing_answers
from inspect_app.domain.walk import Decision, Look


@dataclass(frozen=True, slots=True)
class PointLook:
    """One point of one part looked at on a sealed walk; `life` is what hung there, `figure` whether it was measured.

    `competence` is that of who looked, `signer` that under which the walk was signed.
    """

    part: str
    life: str
    point: str
    in_pass: str
    ways: frozenset[Way]
    competence: Competence
    signer: Competence
    figure: bool
    at: datetime


class Sealed(NamedTuple):
    """How a look was sealed: when, and as what its signer signed."""

    at: datetime
    signer: Competence


class WalkFacts(NamedTuple):
    """What the clocks of a walk are made from; `looks` are the sealed ones, by entry their `lives`, `seals` and the
    `competence` of who looked, where it was noted on arrival."""

    parts: Sequence[Part]
    checklists: Sequence[Checklist]
    looks: Sequence[Look]
    decisions: Sequence[Decision]
    lives: Mapping[str, str]
    seals: Mapping[str, Sealed]
    competence: Mapping[str, Competence]


def point_looks(walk: WalkFacts) -> Iterator[PointLook]:
    """The points that count on a sealed walk, by the same rule as its report.

    Not applicable, not reached, uncountersigned, withdrawn and set-aside looks give none.
    """
    seen = {look.part for look in walk.looks}
    parts = [part for part in walk.parts if part.id in seen]
    points = {point.id: point for checklist in walk.checklists for point in checklist.points()}
    known = {look.entry: look for look in walk.looks}
    for row in part_results(parts, walk.checklists, walk.looks, walk.decisions):
        for look in row.looks:
            life, seal = walk.lives.get(look.entry), walk.seals.get(look.entry)
            if life is None or seal is None:
                continue
            base = known.get(look.adds_to or "", look)
            at = min(look.at, base.at, seal.at)  # a clock that ran ahead must not put a date back
            measured = {measure.point for measure in look.measures}
            for point in standing_answers(look, row.looks) & row.answered:
                yield PointLook(
                    part=row.part.id,
                    life=life,
                    point=point,
                    in_pass=look.in_pass,
                    ways=look.ways or base.ways,
                    competence=_competence(look, points.get(point), walk.competence),
                    signer=seal.signer,
                    figure=point in measured,
                    at=at,
                )


def _competence(look: Look, point: Point | None, noted: Mapping[str, Competence]) -> Competence:
    """The competence of who looked; where it was not noted, that of the point which the tap was let answer."""
    if look.entry in noted:
        return noted[look.entry]
    shown = {finding.point for finding in look.findings} | {measure.point for measure in look.measures}
    return point.competence if point is not None and point.id not in shown else Competence.TRAINED


def is_adequate(look: PointLook, point: Point, checklist: Checklist) -> bool:
    """Whether a look starts the clock of a point of a checklist anew: in its pass, way and competence, measured if it
    asks for a measure, on a walk signed by somebody who may sign that checklist."""
    return (
        look.in_pass == point.in_pass
        and is_met(point, look.ways)
        and COMPETENCE_RANK[look.competence] >= COMPETENCE_RANK[point.competence]
        and COMPETENCE_RANK[look.signer] >= COMPETENCE_RANK[checklist.competence]
        and (look.figure or point.method is not Method.MEASURE)
    )


def point_clocks(
    points: Sequence[Point], checklist: Checklist, looks: Iterable[PointLook], zone: tzinfo
) -> dict[str, date | None]:
    """By point, the house's day of the last adequate look at one part; None where there was none."""
    asked = {point.id: point for point in points}
    newest: dict[str, datetime] = {}
    for look in looks:
        point = asked.get(look.point)
        if point is None or (look.point in newest and look.at <= newest[look.point]):
            continue
        if is_adequate(look, point, checklist):
            newest[look.point] = look.at
    return {key: newest[key].astimezone(zone).date() if key in newest else None for key in asked}


def life_at(lives: Iterable[Life], on: date) -> str | None:
    """What hung in a place on a day, for a look that does not name it: the only life, else the one that covers the day.

    None when it cannot be told: such a look starts no clock.
    """
    known = list(lives)
    if len(known) == 1:
        return known[0].id
    fit = [one for one in known if one.installed_on and one.installed_on <= on and not _is_over(one, on)]
    return fit[0].id if len(fit) == 1 else None


def _is_over(life: Life, on: date) -> bool:
    return life.retired_on is not None and life.retired_on <= on
