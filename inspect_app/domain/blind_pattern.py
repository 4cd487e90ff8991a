"""Patterns of not looking: sound by one person in a full minute, points never answered, wells that are skipped.

Each is told as a fact with its figures, as it stands in signed walks. None of it accuses anyone, and none is a score.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import NamedTuple

from inspect_app.domain.checklist import Checklist, Point
from inspect_app.domain.pace import MOST_STOPS, WITHIN_SECONDS
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.part_result import parts_in_scope
from inspect_app.domain.walk import Scope

LEAST_WALKS = 2  # fewer say nothing of a habit


class SoundRecord(NamedTuple):
    """Every look of signed walks at one part that one person made, none of them with a finding.

    `least` and `most` are how many stops without a finding that person recorded within the same minute as each look.
    """

    part: str
    by_name: str
    walks: int
    least: int
    most: int
    first: date
    last: date

    @property
    def words(self) -> str:
        """The fact with its figures."""
        span = f"{self.least}" if self.least == self.most else f"{self.least} to {self.most}"
        return (
            f"no finding on each of {self.walks} walks from {self.first} to {self.last}, always by {self.by_name}, "
            f"each time in a minute in which {span} stops were recorded without a finding"
        )


def stops_in_a_minute(most: int = MOST_STOPS, within_s: int = WITHIN_SECONDS) -> int:
    """How many stops in a minute the house's rule on pace (domain/pace.py) lets pass: more are implausibly fast."""
    return most * 60 // within_s


def always_in_full_minutes(records: Iterable[SoundRecord], more_than: int) -> list[SoundRecord]:
    """The parts that were always marked sound by one person in a minute with more than so many stops."""
    return [one for one in records if one.walks >= LEAST_WALKS and one.least > more_than]


class Unanswered(NamedTuple):
    """One point of a checklist that was never answered for some of the parts that it is asked of."""

    checklist: str
    point: str
    asks: str
    kind: PartKind
    parts: tuple[Part, ...]
    asked: int

    @property
    def nowhere(self) -> bool:
        """Whether it was answered for none of them."""
        return len(self.parts) == self.asked


def unanswered_points(
    parts: Sequence[Part], checklists: Iterable[Checklist], answered: Mapping[str, frozenset[str]]
) -> list[Unanswered]:
    """The points of these checklists that no signed walk ever answered for a part, the most often missing first.

    `answered` are the points answered by part. A point that several checklists ask is told with the first of them.
    """
    by_kind: dict[PartKind, list[Part]] = defaultdict(list)
    for part in parts:
        by_kind[part.kind].append(part)
    found: dict[tuple[str, PartKind], Unanswered] = {}
    for checklist in checklists:
        for kind, here in by_kind.items():
            for point in checklist.points_for(kind):
                if (point.id, kind) not in found:
                    found[point.id, kind] = _unanswered(checklist, point, kind, here, answered)
    rows = [row for row in found.values() if row.parts]
    return sorted(rows, key=lambda row: (row.checklist, not row.nowhere, -len(row.parts), row.kind, row.point))


def _unanswered(
    checklist: Checklist, point: Point, kind: PartKind, here: Sequence[Part], answered: Mapping[str, frozenset[str]]
) -> Unanswered:
    missing = tuple(part for part in here if point.id not in answered.get(part.id, frozenset()))
    return Unanswered(checklist.title, point.id, point.ask, kind, missing, len(here))


class WalkedScope(NamedTuple):
    """A signed walk: its day, what it set out to look at, and by which checklists."""

    walk: str
    on: date
    scope: Scope
    checklists: tuple[Checklist, ...]


class PartOnWalk(NamedTuple):
    """What a signed walk says of one part: looked at, else not reached."""

    walk: str
    part: str
    looked: bool
    not_reached: bool


class Share(NamedTuple):
    """Of `asked` times that a walk set out to look at a part: not reached, without any record, and the rest looked at.

    *Not applicable* counts with neither.
    """

    asked: int
    not_reached: int
    no_record: int

    @property
    def skipped(self) -> int:
        """Not reached or without a record."""
        return self.not_reached + self.no_record

    @property
    def words(self) -> str:
        """The share as a table shows it."""
        if not self.asked:
            return "not walked"
        if not self.skipped:
            return f"all {self.asked} looked at"
        said = [f"{self.not_reached} not reached"] if self.not_reached else []
        said += [f"{self.no_record} without a record"] if self.no_record else []
        return f"{' and '.join(said)} of {self.asked} ({round(100 * self.skipped / self.asked)} %)"


class SkippedPlace(NamedTuple):
    """One line position in one well, year by year and over all."""

    well: str
    line: int | None
    lines: int
    years: Mapping[int, Share]
    total: Share


def skipped_places(
    parts: Sequence[Part],
    walks: Iterable[WalkedScope],
    said: Iterable[PartOnWalk],
    lines: Mapping[str, int],
    installed: Mapping[str, date],
) -> list[SkippedPlace]:
    """How often the parts at each well were not reached, by line position, the most skipped first.

    `lines` counts the lines of each set; a walk before the day in `installed` asks nothing of that part.
    """
    at_wells = [part for part in parts if part.well is not None]
    by_pair = {(one.walk, one.part): one for one in said}
    counts: dict[tuple[str, int | None, int], dict[int, list[int]]] = defaultdict(dict)
    for walk in walks:
        for part in parts_in_scope(at_wells, walk.scope, walk.checklists):
            if installed.get(part.id, walk.on) > walk.on:
                continue
            key = (part.well or "", part.line, lines.get(part.line_set or "", 0))
            row = counts[key].setdefault(walk.on.year, [0, 0, 0])
            pair = by_pair.get((walk.walk, part.id))
            row[0] += 1
            row[1] += pair is not None and not pair.looked and pair.not_reached
            row[2] += pair is None
    found = [_place(key, years) for key, years in counts.items()]
    return sorted(found, key=lambda one: (-one.total.skipped / max(one.total.asked, 1), one.line or 0, one.well))


def _place(key: tuple[str, int | None, int], years: Mapping[int, Sequence[int]]) -> SkippedPlace:
    shares = {year: Share(*row) for year, row in sorted(years.items())}
    total = Share(*(sum(row[n] for row in years.values()) for n in range(3)))
    return SkippedPlace(*key, shares, total)
