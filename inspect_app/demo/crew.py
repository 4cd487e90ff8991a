"""How people walk: stretch by stretch and row by row, with the blind spots, short cuts and reasons that people have."""

import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, NamedTuple

from inspect_app.demo.phone import Phone
from inspect_app.demo.planted import (
    ACCEPTED_WELL,
    PLANTED,
    STOPPED_SET,
    UNREACHED_SINCE,
    UNREACHED_WELL,
    UNREACHED_WHY,
    Planted,
    Today,
)
from inspect_app.domain.checklist import (
    COMPETENCE_RANK,
    GRADE_RANK,
    Checklist,
    Competence,
    Grade,
    Method,
    Point,
    State,
    Stop,
    Way,
)
from inspect_app.domain.entry import finding_id
from inspect_app.domain.fitting import fitting_points, is_asked_singly
from inspect_app.domain.house import Inventory
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.stretch import Row, Screen, screens

STATES = (State.STATIC, State.ISOLATED, State.MOVING, State.LOADED)
_HANDLED, _CLOSE, _AFAR, _HEARD = Way.HANDLED, Way.SEEN_CLOSE, Way.SEEN_FROM_AFAR, Way.HEARD

# pass (or vantage alone) -> how often which ways of looking are ticked; every stretch starts at *seen close*
WAYS: Mapping[str, tuple[tuple[float, frozenset[Way]], ...]] = {
    "grid/static": ((0.34, frozenset({_HANDLED, _CLOSE})), (0.07, frozenset({_AFAR})), (1.0, frozenset({_CLOSE}))),
    "grid/moving": ((1.0, frozenset({_HEARD, _AFAR})),),
    "rail/static": ((0.6, frozenset({_HANDLED, _CLOSE})), (1.0, frozenset({_CLOSE}))),
    "rail/moving": ((0.7, frozenset({_HANDLED, _HEARD, _AFAR})), (1.0, frozenset({_HEARD, _AFAR}))),
    "deck": ((1.0, frozenset({_AFAR})),),
    "access": ((0.8, frozenset({_HANDLED, _CLOSE})), (1.0, frozenset({_CLOSE}))),
    "machine/isolated": ((0.6, frozenset({_HANDLED, _CLOSE})), (1.0, frozenset({_CLOSE}))),
}
USUAL: tuple[tuple[float, frozenset[Way]], ...] = (
    (0.35, frozenset({_HANDLED, _CLOSE})),
    (1.0, frozenset({_CLOSE})),
)
PLANTED_AT: Mapping[str, tuple[Planted, ...]] = {
    tag: tuple(planted for planted in PLANTED if planted.tag == tag) for tag in {planted.tag for planted in PLANTED}
}
COLLAR = "collar"  # the planted stop that still stands
STOPPED_WHY = "Out of use since the collar was found missing: locked and tagged, left as it is"
LOADED_WHY = "Scenery hangs on it this week; the batten could not come in"


@dataclass(frozen=True)
class Ground:
    """What a walk goes over: the house, the checklists, and where each thing is."""

    inventory: Inventory
    checklists: Mapping[str, Checklist]
    _screens: dict[tuple[str, str], tuple[Screen, ...]] = field(default_factory=dict)
    _points: dict[tuple[object, ...], tuple[Point, ...]] = field(default_factory=dict)

    @cached_property
    def parts(self) -> dict[str, Part]:
        """Parts by id."""
        return {part.id: part for part in self.inventory.parts}

    @cached_property
    def tags(self) -> dict[str, Part]:
        """Parts by tag."""
        return {part.tag: part for part in self.inventory.parts}

    @cached_property
    def lives(self) -> dict[str, str]:
        """The life of each part that hangs now; who replaces a part writes the new one here."""
        return {part: life.id for part, life in self.inventory.lives.items()}

    @cached_property
    def wells(self) -> dict[tuple[str | None, int | None], str]:
        """The tag of the well of each line of each set."""
        return {(p.line_set, p.line): self.parts[p.well].tag for p in self.inventory.parts if p.well}

    @cached_property
    def numbers(self) -> dict[str, str]:
        """Set numbers by id."""
        return {line_set.id: line_set.number for line_set in self.inventory.line_sets}

    @cached_property
    def stopped_set(self) -> str:
        """The set that stands out of use."""
        return next(key for key, number in self.numbers.items() if number == STOPPED_SET)

    @cached_property
    def loaded_sets(self) -> frozenset[str | None]:
        """The sets that cannot come in today: the automatic walk passes by what is planted at their battens."""
        passed = (p for p in PLANTED if p.standing and p.today is Today.PASSED_BY and p.tag.startswith(("TB", "CB")))
        return frozenset(self.tags[planted.tag].line_set for planted in passed)

    def screens(self, checklist: Checklist, stop: Stop) -> tuple[Screen, ...]:
        """The screens of a stop as the feet go: by well where the stop is one, else set by set; odd ones backward."""
        key = (checklist.id, stop.id)
        if key not in self._screens:
            order = "well" if stop.order == "well" else "set"
            self._screens[key] = screens(checklist, stop, self.inventory, order)
        return self._screens[key]

    def asked(self, checklist: Checklist, kind: PartKind, in_pass: str) -> tuple[Point, ...]:
        """The points asked of a kind in a pass."""
        key = (checklist.id, kind, in_pass)
        if key not in self._points:
            self._points[key] = tuple(p for p in checklist.points_for(kind) if p.in_pass == in_pass)
        return self._points[key]

    def fitting(
        self, checklist: Checklist, kind: PartKind, in_pass: str, ways: frozenset[Way], competence: Competence
    ) -> tuple[Point, ...]:
        """The points one tap answers, remembered."""
        key = (checklist.id, kind, in_pass, ways, competence)
        if key not in self._points:
            self._points[key] = fitting_points(checklist, kind, in_pass, ways, competence)
        return self._points[key]

    def is_beyond_reach(self, part: Part) -> bool:
        """Whether a part lies at or beyond the well that nobody can reach any more."""
        n = UNREACHED_WELL.removeprefix("W ")
        beyond = (UNREACHED_WELL, f"LM {n}-", f"GD {int(n) + 1}-")
        return self.wells.get((part.line_set, part.line)) == UNREACHED_WELL or part.tag.startswith(beyond)


@dataclass
class Memory:
    """What the house knows of planted defects: the finding that each was first recorded as."""

    known: dict[str, str] = field(default_factory=dict)


class Habits(NamedTuple):
    """How one walk is walked. `days_ago` is 0 for the walk of today."""

    days_ago: int
    chance: random.Random
    skip: float = 0.03  # rows passed by without a record
    operate: float = 0.5  # share of the points asked singly that somebody tries
    most_seconds: float = 40.0


@dataclass
class Round:
    """One phone's share of a walk. `seen` collects the planted defects that this walk has recorded."""

    phone: Phone
    ground: Ground
    habits: Habits
    memory: Memory
    seen: set[str]
    overview: Mapping[str, str] = field(default_factory=dict)  # tag -> scene: record photos from the same spots

    def walk(self, checklist: Checklist, stop: Stop, only_sets: frozenset[str] | None = None) -> None:
        """Walk all passes of a stop of the walk, on the sets given or everywhere."""
        for state in STATES:
            in_pass = f"{stop.vantage}/{state}"
            if not any(point.in_pass == in_pass for kind in stop.parts for point in checklist.points_for(kind)):
                continue
            for n, screen in enumerate(self.ground.screens(checklist, stop)):
                rows = screen.rows[::-1] if n % 2 and stop.order == "well" else screen.rows
                for row in rows:
                    if only_sets is None or self._number(row) in only_sets:
                        self._row(checklist, in_pass, row)
                self.phone.wait(5, 60)

    def _number(self, row: Row) -> str:
        line_set = self.ground.parts[row.part_ids[0]].line_set
        return self.ground.numbers[line_set] if line_set else ""

    def _row(self, checklist: Checklist, in_pass: str, row: Row) -> None:
        parts = [self.ground.parts[part] for part in row.part_ids]
        asked = [part for part in parts if self._asked(checklist, in_pass, part)]
        if not asked:
            return
        why = self._why_not(in_pass, asked)
        if why:
            if in_pass.endswith("static") or why == STOPPED_WHY:
                self._not_reached(checklist, in_pass, asked, why)
            return
        marked = any(self._defect(checklist, in_pass, part) for part in asked)
        if not marked and self.habits.chance.random() < self.habits.skip:
            return
        self.phone.wait(3, self.habits.most_seconds)
        self._look(checklist, in_pass, asked)

    def _asked(self, checklist: Checklist, in_pass: str, part: Part) -> tuple[Point, ...]:
        return self.ground.asked(checklist, part.kind, in_pass)

    def _why_not(self, in_pass: str, parts: list[Part]) -> str:
        stopped = (
            COLLAR in self.memory.known and COLLAR not in self.seen and parts[0].line_set == self.ground.stopped_set
        )
        if stopped and not in_pass.startswith("grid/"):
            return STOPPED_WHY
        duct_hung = in_pass.startswith("grid/") and self.habits.days_ago < UNREACHED_SINCE
        if duct_hung and any(self.ground.is_beyond_reach(part) for part in parts):
            return UNREACHED_WHY
        if self.habits.days_ago == 0 and in_pass.startswith("batten/") and parts[0].line_set in self.ground.loaded_sets:
            return LOADED_WHY
        return ""

    def _not_reached(self, checklist: Checklist, in_pass: str, parts: list[Part], why: str) -> None:
        self.phone.wait(3, 12)
        tap = self.phone.new_id()
        for part in parts:
            self._note_look(checklist, in_pass, part, [], frozenset(), result="not_reached", reason=why, tap=tap)

    def _look(self, checklist: Checklist, in_pass: str, parts: list[Part]) -> None:
        ways = pick_ways(in_pass, self.habits.chance)
        tap = self.phone.new_id()
        for part in parts:
            found = self._defect(checklist, in_pass, part)
            fit = self.ground.fitting(checklist, part.kind, in_pass, ways, self.phone.competence)
            points = [point.id for point in fit if found is None or point.id != found[1].id]
            if points:
                photos = (
                    [self.phone.shoot(self.overview[part.tag], part.tag, 0.0)] if self._is_due(part, in_pass) else []
                )
                self._note_look(checklist, in_pass, part, points, ways, tap=tap, photos=photos)
        for part in parts:
            found = self._defect(checklist, in_pass, part)
            if found:
                self.record(checklist, in_pass, part, *found, ways)
            self._singly(checklist, in_pass, part, ways)

    def _is_due(self, part: Part, in_pass: str) -> bool:
        """Whether this place gets its record photo now, once in a walk."""
        key = f"photo {part.tag}"
        if part.tag not in self.overview or key in self.seen or not in_pass.endswith("static"):
            return False
        self.seen.add(key)
        return True

    def _singly(self, checklist: Checklist, in_pass: str, part: Part, ways: frozenset[Way]) -> None:
        """Points that are asked one by one: tried by hand, or with the photo they always ask for."""
        for point in self._asked(checklist, in_pass, part):
            tried = point.method is Method.OPERATE or point.photo == "always"
            able = COMPETENCE_RANK[self.phone.competence] >= COMPETENCE_RANK[point.competence]
            if not (tried and able and is_asked_singly(point)) or self.habits.chance.random() > self.habits.operate:
                continue
            self.phone.wait(4, self.habits.most_seconds)
            photos = []
            if point.photo == "always" and self.habits.days_ago == 0:
                photos = [self.phone.shoot("open_well", part.tag, 0.8 if part.tag == ACCEPTED_WELL else 0.2)]
            self._note_look(checklist, in_pass, part, [point.id], ways | {point.way}, photos=photos)

    def _defect(self, checklist: Checklist, in_pass: str, part: Part) -> tuple[Planted, Point] | None:
        """The planted defect that this walk records here, with the point it is recorded under."""
        for planted in PLANTED_AT.get(part.tag, ()):
            if planted.key in self.seen or not self._notices(planted):
                continue
            asked = {point.id: point for point in self._asked(checklist, in_pass, part)}
            for point in (asked[key] for key in planted.points if key in asked):
                able = COMPETENCE_RANK[self.phone.competence] >= COMPETENCE_RANK[point.competence]
                if point.method is not Method.MEASURE and able:
                    return planted, point
        return None

    def _notices(self, planted: Planted) -> bool:
        days_ago = self.habits.days_ago
        if not planted.there(days_ago):
            return False
        if days_ago == 0:
            return planted.today is Today.FOUND
        return planted.noticed is not None and days_ago <= planted.noticed

    def record(
        self,
        checklist: Checklist,
        in_pass: str,
        part: Part,
        planted: Planted,
        point: Point,
        ways: frozenset[Way],
    ) -> str:
        """Record a planted defect as a finding, new or known, with its pictures; a stop also gets its first steps."""
        self.seen.add(planted.key)
        self.phone.wait(15, 75)
        root = self.memory.known.get(planted.key)
        shots = 2 if self.habits.days_ago == 0 else 1 if root is None else 0
        photos = [self.phone.shoot(planted.scene, part.tag, planted.amount, close=n == 1) for n in range(shots)]
        finding = self.finding(planted, point, planted.what)
        entry = self._note_look(
            checklist, in_pass, part, [point.id], ways | {point.way},
            result="finding", findings=[finding], photos=photos,
        )  # fmt: skip
        if root is None:
            self.memory.known[planted.key] = finding_id(entry, 0)
            if planted.grade is Grade.STOP_USE:
                self._stop_steps(entry)
        return entry

    def finding(self, planted: Planted, point: Point, note: str) -> dict[str, Any]:
        """A planted defect in the words of an entry: new, or known and answered."""
        root = self.memory.known.get(planted.key)
        lowered = GRADE_RANK[planted.grade] < GRADE_RANK[point.grade]
        return {
            "point": point.id,
            "point_text": point.ask,
            "defect": planted.defect if any(d.id == planted.defect for d in point.defects) else None,
            "answer": "new" if root is None else "worse" if _grows(planted, self.habits) else "still_there",
            "of": root,
            "grade": planted.grade.value,
            "proposed_grade": point.grade.value,
            "grade_reason": "Small and stable; watched at each walk" if lowered else "",
            "wear": planted.wear,
            "note": note,
        }

    def _stop_steps(self, entry: str) -> None:
        self.phone.wait(20, 60)
        self.phone.note("stop", of=entry, step="told_rail", who="Petra Vossler, at the rail", note="")
        self.phone.wait(60, 300)
        self.phone.note("stop", of=entry, step="lock_and_tag_on", who="Petra Vossler", note="Lock P2, tag on the rail")

    def _note_look(
        self, checklist: Checklist, in_pass: str, part: Part, points: list[str], ways: frozenset[Way], **more: Any
    ) -> str:
        body: dict[str, Any] = {
            "part": part.id,
            "life": self.ground.lives[part.id],
            "tag_seen": part.tag,
            "checklist": checklist.id,
            "revision": checklist.revision,
            "pass": in_pass,
            "points": points,
            "result": "no_finding",
            "ways": sorted(ways),
            "reason": None,
            "findings": [],
            "measures": [],
            "photos": [],
            "note": "",
            "replaces": [],
        }
        return self.phone.note("look", **{**body, **more})

    def look(self, checklist: Checklist, in_pass: str, tag: str, points: list[str], **more: Any) -> str:
        """One look at the part with this tag, for stations and overview photos."""
        ways = frozenset({_HANDLED, _CLOSE}) if more.get("measures") else frozenset({_CLOSE})
        return self._note_look(checklist, in_pass, self.ground.tags[tag], points, ways, **more)


def _grows(planted: Planted, habits: Habits) -> bool:
    return habits.days_ago == 0 and planted.key in ("groove", "rope-thin")


def pick_ways(in_pass: str, chance: random.Random) -> frozenset[Way]:
    """The ways of looking that are ticked for one tap."""
    table = WAYS.get(in_pass) or WAYS.get(in_pass.partition("/")[0]) or USUAL
    draw = chance.random()
    return next(ways for share, ways in _running(table) if draw < share)


def _running(table: tuple[tuple[float, frozenset[Way]], ...]) -> Iterator[tuple[float, frozenset[Way]]]:
    total = 0.0
    for share, ways in table[:-1]:
        total += share
        yield total, ways
    yield 2.0, table[-1][1]
