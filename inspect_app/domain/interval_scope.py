"""How often each checklist is walked in a house, by the checklist, the chosen rules and the house; and what is due."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, tzinfo
from typing import NamedTuple

from inspect_app.domain.checklist import Checklist, Point
from inspect_app.domain.due import PartDue, PulledForward, ScopeDue, Tolerance, part_due, scope_due
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSet
from inspect_app.domain.interval import NO_INTERVAL, Interval, parse_interval
from inspect_app.domain.part import Part
from inspect_app.domain.point_clock import PointLook, point_clocks
from inspect_app.domain.rule_set import Rule

MOST_DAYS = 366
_SHORT_MONTHS = 3  # below that a walk is offered a week ahead, else two (our choice, no source)


@dataclass(frozen=True, slots=True)
class HouseScope:
    """What a house set itself for one checklist: on some sets and areas, or with both None on the whole house.

    `interval` is ISO 8601 text, '' without one of its own, or `none` when the checklist is not walked there.
    """

    id: str
    house: str
    checklist: str
    name: str = ""
    line_sets: frozenset[str] | None = None
    areas: frozenset[str] | None = None
    interval: str = ""
    early_days: int | None = None
    late_days: int | None = None
    reason: str = ""

    @property
    def is_whole(self) -> bool:
        """Whether it is about the whole house: all that no narrower scope of the checklist holds."""
        return self.line_sets is None and self.areas is None

    @property
    def is_left_out(self) -> bool:
        """Whether the house says that the checklist is not walked there."""
        return self.interval == NO_INTERVAL

    def holds(self, part: Part) -> bool:
        """Whether a part is in it; a part of no set is in it by its area only."""
        if self.is_whole:
            return True
        by_set = self.line_sets is None or part.line_set in self.line_sets
        return by_set and (self.areas is None or part.area in self.areas)


def check_scope(scope: HouseScope, checklists: Mapping[str, Checklist], bound: bool) -> HouseScope:
    """The scope with its texts trimmed; `bound` says whether a chosen rule asks for its checklist.

    Raises BadValue on the field that is wrong.
    """
    if scope.checklist not in checklists:
        raise BadValue("Choose one of the checklists of the house.", "checklist")
    interval = parse_interval(scope.interval) if scope.interval.strip() else None
    text = str(interval) if interval else NO_INTERVAL if scope.interval.strip() else ""
    name, reason = " ".join(scope.name.split()), scope.reason.strip()
    if not scope.is_whole and not name:
        raise BadValue("Name the part of the house, as “sets 1 to 12” or “pin rail”.", "name")
    if not scope.is_whole and not (scope.line_sets or scope.areas):
        raise BadValue("Choose at least one set or area.", "line_sets")
    if text == NO_INTERVAL and bound:
        raise BadValue("A rule that the house chose asks for this checklist, so it cannot be left out.", "interval")
    if text and not reason:
        raise BadValue("Say why: what wears faster, who asked for it, or why it is not walked here.", "reason")
    if not text and parse_interval(checklists[scope.checklist].interval) is None and not bound:
        raise BadValue("This checklist has no interval of its own; give one.", "interval")
    for field_name in ("early_days", "late_days"):
        days = getattr(scope, field_name)
        if days is not None and not 0 <= days <= MOST_DAYS:
            raise BadValue(f"Give days from 0 to {MOST_DAYS}.", field_name)
    return HouseScope(
        scope.id, scope.house, scope.checklist, name, scope.line_sets, scope.areas, text,
        scope.early_days, scope.late_days, reason,
    )  # fmt: skip


class Pull(NamedTuple):
    """What brings the look at a part forward. A `quantity` leads it to the checklists that measure it there; without
    one it is for the checklist that is walked most often there. A second look is to fall before `before`, if named."""

    part: str
    on: date
    why: str
    quantity: str = ""
    before: date | None = None


@dataclass(frozen=True, slots=True)
class ScopePlan:
    """One checklist on one scope: what asks for it, and when its parts are due.

    `key` lasts as long as the scope does; `dues` are those of its parts, `due` all of them together.
    """

    key: str
    checklist: Checklist
    name: str
    tolerance: Tolerance
    interval: Interval | None
    own: HouseScope | None = None
    rules: tuple[Rule, ...] = ()
    dues: tuple[PartDue, ...] = ()
    due: ScopeDue | None = None

    @property
    def title(self) -> str:
        """What is walked, and where if not everywhere."""
        return f"{self.checklist.title}: {self.name}" if self.name else self.checklist.title

    @property
    def anchor(self) -> str:
        """The day of the oldest look that counts, '' without one: while it stands, this is the same round."""
        return min((due.oldest_on.isoformat() for due in self.dues if due.oldest_on), default="")

    @property
    def before(self) -> date | None:
        """The day before which two looks are to fall, by the measures of some part; None without one."""
        return min((due.before for due in self.dues if due.before is not None), default=None)


@dataclass(frozen=True, slots=True)
class HouseFacts:
    """What the dates of a house are worked out from. `rules` are those of the chosen sets that apply here."""

    checklists: Sequence[Checklist]
    scopes: Sequence[HouseScope]
    rules: Sequence[Rule]
    parts: Sequence[Part]
    line_sets: Sequence[LineSet]
    looks: Mapping[str, Sequence[PointLook]]
    zone: tzinfo
    pulls: Sequence[Pull] = field(default=())


class _Scope(NamedTuple):
    key: str
    checklist: Checklist
    own: HouseScope | None
    parts: list[Part]


def plan_scopes(facts: HouseFacts, today: date) -> tuple[ScopePlan, ...]:
    """Every scope that asks something of some part, in the order of the checklists, the whole house first."""
    scopes = [scope for checklist in facts.checklists for scope in _scopes_of(checklist, facts)]
    pulls = _placed_pulls(scopes, facts)
    made = (_plan(scope, facts, pulls, today) for scope in scopes)
    return tuple(plan for plan in made if plan is not None)


def unplaced_pulls(facts: HouseFacts) -> tuple[Pull, ...]:
    """What would bring a look forward and belongs to no checklist that is walked at intervals."""
    scopes = [scope for checklist in facts.checklists for scope in _scopes_of(checklist, facts)]
    placed = {pull for found in _placed_pulls(scopes, facts).values() for pull in found}
    return tuple(pull for pull in facts.pulls if pull not in placed)


def bound_checklists(rules: Iterable[Rule]) -> frozenset[str]:
    """The checklists that some rule asks for at intervals."""
    return frozenset(checklist for rule in rules if rule.interval for checklist in rule.checklists)


def default_tolerance(interval: Interval | None) -> Tolerance:
    """Days ahead at which a walk is offered unless the house says otherwise; late there is none."""
    return Tolerance(7 if interval is not None and interval.months < _SHORT_MONTHS else 14, 0)


def _scopes_of(checklist: Checklist, facts: HouseFacts) -> list[_Scope]:
    own = [scope for scope in facts.scopes if scope.checklist == checklist.id]
    kinds = {kind for point in checklist.points() for kind in point.parts}
    parts = [part for part in facts.parts if part.kind in kinds and part.retired_on is None]
    narrow = [scope for scope in own if not scope.is_whole]
    rest = [part for part in parts if not any(scope.holds(part) for scope in narrow)]
    whole = next((scope for scope in own if scope.is_whole), None)
    found = [_Scope(f"checklist:{checklist.id}", checklist, whole, rest)]
    found += [_Scope(scope.id, checklist, scope, [p for p in parts if scope.holds(p)]) for scope in narrow]
    return [scope for scope in found if scope.parts and _shortest(_all_intervals(scope, facts)) is not None]


def _rhythm(scope: _Scope) -> tuple[Interval | None, ...]:
    """The intervals of the checklist and of the house; a scope that is left out has none."""
    if scope.own is not None and scope.own.is_left_out:
        return ()
    own = parse_interval(scope.own.interval) if scope.own is not None and scope.own.interval else None
    return parse_interval(scope.checklist.interval), own


def _all_intervals(scope: _Scope, facts: HouseFacts) -> list[Interval | None]:
    return [*_rhythm(scope), *(rule.interval for rule in facts.rules if scope.checklist.id in rule.checklists)]


def _shortest(intervals: Iterable[Interval | None]) -> Interval | None:
    known = [interval for interval in intervals if interval is not None]
    return min(known, key=lambda one: one.months * 30.44 + one.days, default=None)


def _placed_pulls(scopes: Sequence[_Scope], facts: HouseFacts) -> dict[str, list[Pull]]:
    """By key of a scope, the pulls that belong to it."""
    often = {scope.key: n for n, scope in enumerate(sorted(scopes, key=lambda one: _often(one, facts)))}
    by_part: dict[str, list[tuple[_Scope, Part]]] = defaultdict(list)
    wanted = {pull.part for pull in facts.pulls}
    for scope in scopes:
        for part in scope.parts:
            if part.id in wanted:
                by_part[part.id].append((scope, part))
    found: dict[str, list[Pull]] = defaultdict(list)
    for pull in facts.pulls:
        here = by_part.get(pull.part, [])
        if pull.quantity:
            fit = [scope for scope, part in here if _measures(scope.checklist, part, pull.quantity)]
        else:
            fit = sorted((scope for scope, _ in here), key=lambda scope: often[scope.key])[:1]
        for scope in fit:
            found[scope.key].append(pull)
    return found


def _often(scope: _Scope, facts: HouseFacts) -> tuple[float, str]:
    shortest = _shortest(_all_intervals(scope, facts))
    return (shortest.months * 30.44 + shortest.days if shortest else float("inf"), scope.key)


def _measures(checklist: Checklist, part: Part, quantity: str) -> bool:
    return any(
        spec.quantity.replace("_", " ") == quantity
        for point in checklist.points_for(part.kind)
        for spec in point.measures
    )


def _plan(scope: _Scope, facts: HouseFacts, pulls: Mapping[str, list[Pull]], today: date) -> ScopePlan | None:
    set_kinds = {line_set.id: line_set.kind for line_set in facts.line_sets}
    by_kind: dict[str, tuple[Point, ...]] = {}
    forward: dict[str, list[PulledForward]] = defaultdict(list)
    for pull in pulls.get(scope.key, ()):
        forward[pull.part].append(PulledForward(pull.on, pull.why, pull.before))
    rhythm = _rhythm(scope)
    dues: list[PartDue] = []
    bound: set[str] = set()
    for part in scope.parts:
        rules = [
            rule
            for rule in facts.rules
            if rule.interval and rule.binds(scope.checklist.id, part.kind, set_kinds.get(part.line_set or ""))
        ]
        bound.update(rule.id for rule in rules)
        points = by_kind.setdefault(part.kind, scope.checklist.points_for(part.kind))
        clocks = point_clocks(points, scope.checklist, facts.looks.get(part.id, ()), facts.zone)
        due = part_due(part.id, clocks, rhythm, forward[part.id], [rule.interval for rule in rules])
        dues += [due] if due is not None else []
    if not dues:
        return None
    shortest = _shortest([*rhythm, *(rule.interval for rule in facts.rules if rule.id in bound)])
    tolerance = _tolerance(scope.own, shortest)
    return ScopePlan(
        key=scope.key,
        checklist=scope.checklist,
        name=scope.own.name if scope.own is not None else "",
        tolerance=tolerance,
        interval=shortest,
        own=scope.own,
        rules=tuple(rule for rule in facts.rules if rule.id in bound),
        dues=tuple(dues),
        due=scope_due(dues, today, tolerance),
    )


def _tolerance(own: HouseScope | None, interval: Interval | None) -> Tolerance:
    usual = default_tolerance(interval)
    if own is None:
        return usual
    early = usual.early_days if own.early_days is None else own.early_days
    return Tolerance(early, usual.late_days if own.late_days is None else own.late_days)
