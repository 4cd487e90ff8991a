"""What was looked at and what was not: counts by reach, kind and area, the lists of gaps, and the table by set."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import tzinfo
from typing import Any, NamedTuple

from inspect_app.domain.length import format_feet_inches
from inspect_app.domain.report_gaps import (
    LOOKED,
    Gap,
    never_of,
    not_applicable_of,
    not_counted_of,
    not_reached_of,
    places_of_parts,
    without_look_of,
)
from inspect_app.domain.report_record import WalkData, percent, rows, text
from inspect_app.domain.report_words import GRADE_ORDER, GRADES, NONE_RECORDED, RESULTS, SET_KINDS, clock, reads
from inspect_app.domain.tag_runs import natural, runs_of

REACH = (
    "in_scope",
    "looked_at",
    "handled",
    "seen_close",
    "seen_from_afar",
    "heard",
    "not_reached",
    "not_applicable",
    "not_looked_at",
)
FULL = "none: every part in scope has a look"


class Reach(NamedTuple):
    """Counts of parts for one kind, one area or all; `numbers` in the order of REACH."""

    title: str
    numbers: tuple[int, ...]

    def of(self, name: str) -> int:
        """One of the counts by its name in REACH."""
        return self.numbers[REACH.index(name)]


class Nearness(NamedTuple):
    """Parts looked at by the nearest way of looking: each part counts once."""

    handled: int
    close: int
    farther: int


class Share(NamedTuple):
    """How much of a checklist was answered against its own threshold."""

    title: str
    answered: str
    share: str
    threshold: str
    verdict: str


class OpenPoint(NamedTuple):
    """A point of the checklist that stays unanswered, with the number of parts it stays open on."""

    ask: str
    parts: int


class OpenPoints(NamedTuple):
    """The unanswered points of one kind of part."""

    kind: str
    points: tuple[OpenPoint, ...]


@dataclass(frozen=True, slots=True)
class SetRow:
    """One line set in the table by set. `found` names each part with a finding by grade, gravest first."""

    number: str
    label: str
    kind: str
    distance: str
    in_scope: bool
    stopped: bool
    parts: int
    looked_at: int
    not_reached: int
    not_looked_at: int
    found: tuple[str, ...]


class PlaceRow(NamedTuple):
    """Parts of one area that belong to no line set, with one common result."""

    area: str
    kind: str
    result: str
    tags: tuple[str, ...]
    runs: str


class PaceShown(NamedTuple):
    """A stretch in which entries came implausibly fast, told as a plain fact."""

    device: str
    when: str
    words: str


@dataclass(frozen=True, slots=True)
class Coverage:
    """All of what was and was not looked at. `not_reached_words` is set exactly when the list is empty."""

    whole: Reach
    nearness: Nearness
    by_kind: tuple[Reach, ...]
    by_area: tuple[Reach, ...]
    shares: tuple[Share, ...]
    not_reached: tuple[Gap, ...]
    not_reached_words: str
    not_looked_at: tuple[Gap, ...]
    not_applicable: tuple[Gap, ...]
    never: tuple[Gap, ...]
    open_points: tuple[OpenPoints, ...]
    not_counted: tuple[Gap, ...]
    pace: tuple[PaceShown, ...]


def coverage_of(data: WalkData, where: tzinfo) -> Coverage:
    """Coverage as the walk data count it; a part that the lists of gaps forget is added from the parts themselves."""
    counts = data.get("coverage") or {}
    parts = rows(data, "parts")
    missing = not_reached_of(data, parts)
    return Coverage(
        whole=_reach("All parts in scope", counts.get("parts") or {}),
        nearness=_nearness(parts),
        by_kind=tuple(_reach(text(row, "kind_title", text(row, "kind")), row) for row in rows(counts, "by_kind")),
        by_area=tuple(_reach(text(row, "area", "no area"), row) for row in rows(counts, "by_area")),
        shares=tuple(_share(row) for row in rows(counts, "by_checklist")),
        not_reached=missing,
        not_reached_words="" if missing else _why_empty(parts),
        not_looked_at=without_look_of(parts),
        not_applicable=not_applicable_of(data, parts),
        never=never_of(parts),
        open_points=_open_points(counts),
        not_counted=not_counted_of(data, parts),
        pace=tuple(
            PaceShown(
                text(row, "device"),
                f"{clock(text(row, 'from'), where)} to {clock(text(row, 'to'), where)}",
                text(row, "words") or f"{row.get('entries')} entries in {row.get('seconds')} seconds",
            )
            for row in rows(data, "pace")
        ),
    )  # fmt: skip


def _reach(title: str, row: Mapping[str, Any]) -> Reach:
    return Reach(title, tuple(int(row.get(name) or 0) for name in REACH))


def _share(row: Mapping[str, Any]) -> Share:
    complete = "reaches its threshold" if row.get("complete") else "does not reach its threshold"
    answered = f"{text(row, 'answered', '0')} of {text(row, 'asked', '0')}"
    return Share(text(row, "title"), answered, percent(text(row, "share")), percent(text(row, "threshold")), complete)


def _why_empty(parts: list[Mapping[str, Any]]) -> str:
    if not parts:
        return "no part was in scope"
    if all(text(part, "result") in LOOKED for part in parts):
        return FULL
    return "no part was recorded as not reached; parts without a look are listed below"


def _nearness(parts: list[Mapping[str, Any]]) -> Nearness:
    ways = [set(part.get("ways") or ()) for part in parts if text(part, "result") in LOOKED]
    handled = sum("handled" in found for found in ways)
    close = sum("seen_close" in found and "handled" not in found for found in ways)
    return Nearness(handled, close, len(ways) - handled - close)


def _open_points(counts: Mapping[str, Any]) -> tuple[OpenPoints, ...]:
    by_kind: dict[str, list[OpenPoint]] = defaultdict(list)
    for row in rows(counts, "points_not_answered"):
        point = OpenPoint(text(row, "ask", text(row, "point")), int(row.get("parts") or 0))
        by_kind[text(row, "kind_title")].append(point)
    return tuple(OpenPoints(kind, tuple(points)) for kind, points in by_kind.items())


def sets_of(data: WalkData) -> tuple[SetRow, ...]:
    """The table by set, in the order of the walk data."""
    house = data.get("house") or {}
    parts: dict[str, list[Mapping[str, Any]]] = defaultdict(list)
    for part in rows(data, "parts"):
        parts[text(part, "line_set")].append(part)
    return tuple(
        _set_row(row, parts[text(row, "number")], text(house, "units", "imperial")) for row in rows(data, "line_sets")
    )


def _set_row(row: Mapping[str, Any], parts: list[Mapping[str, Any]], units: str) -> SetRow:
    results = [text(part, "result") for part in parts]
    return SetRow(
        number=text(row, "number"),
        label=text(row, "label"),
        kind=reads(SET_KINDS, row.get("kind")),
        distance=distance(row.get("y_mm"), units),
        in_scope=row.get("in_scope") is not False,
        stopped=bool(row.get("stopped")),
        parts=len(parts),
        looked_at=sum(result in LOOKED for result in results),
        not_reached=results.count("not_reached"),
        not_looked_at=results.count("not_looked_at"),
        found=_found(parts),
    )


def _found(parts: list[Mapping[str, Any]]) -> tuple[str, ...]:
    lines = []
    for grade in (*GRADE_ORDER, ""):
        tags = [text(p, "tag") for p in parts if text(p, "result") == "finding" and text(p, "grade") == grade]
        if tags:
            lines.append(f"{GRADES.get(grade, 'no grade given')}: {', '.join(sorted(tags, key=natural))}")
    return tuple(lines)


def distance(y_mm: object, units: str) -> str:
    """A distance in the units the house shows first."""
    if not isinstance(y_mm, int):
        return NONE_RECORDED
    return format_feet_inches(y_mm) if units == "imperial" else f"{y_mm / 1000:.2f} m"


def places_of(data: WalkData) -> tuple[PlaceRow, ...]:
    """Parts that belong to no line set, grouped by area, kind and result."""
    groups: dict[tuple[str, str, str], list[str]] = defaultdict(list)
    on_line = places_of_parts(rows(data, "parts"))
    for part in rows(data, "parts"):
        if not text(part, "line_set"):
            grade = f": {reads(GRADES, part.get('grade'))}" if text(part, "grade") else ""
            result = reads(RESULTS, part.get("result")) + grade
            groups[text(part, "area", "no area"), text(part, "kind_title"), result].append(text(part, "tag"))
    return tuple(
        PlaceRow(area, kind, result, tuple(sorted(tags, key=natural)), runs_of(tags, on_line))
        for (area, kind, result), tags in sorted(groups.items(), key=lambda item: item[0][:2])
    )
