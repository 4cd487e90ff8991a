"""Which points a tap answers, and which of the points that a look claims are counted."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from inspect_app.domain.checklist import (
    COMPETENCE_RANK,
    TAP_METHODS,
    WAY_MET_BY,
    Checklist,
    Competence,
    Method,
    Point,
    Way,
)
from inspect_app.domain.part import PartKind
from inspect_app.domain.role import Role

COMPETENCE_OF: Mapping[Role, Competence] = {
    Role.HELPER: Competence.TRAINED,
    Role.MANAGER: Competence.TRAINED,
    Role.ADMIN: Competence.TRAINED,
    Role.TD: Competence.COMPETENT,
    Role.INSPECTOR: Competence.QUALIFIED,
}


class NotCounted(NamedTuple):
    """A claimed point that is not counted, and why."""

    point: str
    why: str


class Fit(NamedTuple):
    """The claimed points that count, in the order claimed, and the others."""

    counted: tuple[str, ...]
    not_counted: tuple[NotCounted, ...]


def competence_of(roles: Iterable[Role]) -> Competence:
    """The highest competence that any of the roles stands for; `trained` without a role."""
    return max((COMPETENCE_OF[role] for role in roles), key=COMPETENCE_RANK.__getitem__, default=Competence.TRAINED)


def is_met(point: Point, ways: frozenset[Way]) -> bool:
    """Whether the ways of looking meet the least way that a point asks for."""
    return bool(WAY_MET_BY[point.way] & ways)


def is_asked_singly(point: Point) -> bool:
    """Whether a point is asked one by one: it measures, operates, or asks for a photo in any case."""
    return point.method not in TAP_METHODS or point.photo == "always"


def fitting_points(
    checklist: Checklist, kind: PartKind, in_pass: str, ways: frozenset[Way], competence: Competence
) -> tuple[Point, ...]:
    """The points that one tap answers: asked of this kind in this pass, by looking, feeling or listening in one of
    these ways, and within the recorder's competence. The others stay *not looked at*."""
    return tuple(
        point
        for point in checklist.points_for(kind)
        if point.in_pass == in_pass
        and not is_asked_singly(point)
        and is_met(point, ways)
        and COMPETENCE_RANK[competence] >= COMPETENCE_RANK[point.competence]
    )


def fit_of_claim(
    checklist: Checklist,
    kind: PartKind,
    in_pass: str,
    ways: frozenset[Way],
    competence: Competence,
    claimed: tuple[str, ...],
    shown: frozenset[str],
) -> Fit:
    """Sort the points that a look claims into those that count and those that do not.

    `shown` are the points for which the look itself brings a finding or a figure: these count wherever they are asked.
    A point asked singly counts only when nothing else is claimed with it, and one that measures only with its figure.
    """
    asked = {point.id: point for point in checklist.points_for(kind)}
    whys = {
        claim: _why_not(asked.get(claim), in_pass, ways, competence, claim in shown, len(claimed) == 1)
        for claim in claimed
    }
    counted = tuple(claim for claim, why in whys.items() if not why)
    return Fit(counted, tuple(NotCounted(claim, why) for claim, why in whys.items() if why))


def _why_not(
    point: Point | None, in_pass: str, ways: frozenset[Way], competence: Competence, shown: bool, alone: bool
) -> str:
    if point is None:
        return "is not asked of this part"
    if shown:
        return ""
    if point.in_pass != in_pass:
        return f"belongs to {point.in_pass}, not to {in_pass}"
    if COMPETENCE_RANK[competence] < COMPETENCE_RANK[point.competence]:
        return f"needs a {point.competence} person"
    if point.method is Method.MEASURE:
        return "asks for a figure, and none was given"
    if not is_met(point, ways):
        return f"has to be {point.way.replace('_', ' ')}"
    if is_asked_singly(point) and not alone:
        return "is asked one by one, not with others"
    return ""
