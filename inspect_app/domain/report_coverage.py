"""What was looked at and what was not: counts by reach, kind and area, the lists of gaps, and the table by set."""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import tzinfo
from typing import Any, NamedTuple

from inspect_app.domain.length import format_feet_inches
from inspect_app.domain.report_record import WalkData, percent, rows, text
from inspect_app.domain.report_words import GRADE_ORDER, GRADES, NONE_RECORDED, RESULTS, SET_KINDS, clock, reads

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
LOOKED = frozenset({"no_finding", "finding"})
FULL = "none: every part in scope has a look"


class Reach(NamedTuple):
    """Counts of parts for one kind, one area or all; `numbers` in the order of REACH."""

    title: str
    numbers: tuple[int, ...]

    def of(self, name: str) -> int:
        """One of the counts by its name in REACH."""
        return self.numbers[REACH.index(name)]


class Gap(NamedTuple):
    """Parts of one kind left out for one reason."""

    kind: str
    tags: tuple[str, ...]
    reason: str
    who: str


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
    kind: str
    parts: int


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


class PaceShown(NamedTuple):
    """A stretch in which entries came implausibly fast, told as a plain fact."""

    device: str
    when: str
    words: str


@dataclass(frozen=True, slots=True)
class Coverage:
    """All of what was and was not looked at. `not_reached_words` is set exactly when the list is empty."""

    whole: Reach
    by_kind: tuple[Reach, ...]
    by_area: tuple[Reach, ...]
    shares: tuple[Share, ...]
    not_reached: tuple[Gap, ...]
    not_reached_words: str
    not_looked_at: tuple[Gap, ...]
    not_applicable: tuple[Gap, ...]
    never: tuple[Gap, ...]
    open_points: tuple[OpenPoint, ...]
    not_counted: tuple[Gap, ...]
    pace: tuple[PaceShown, ...]


def natural(tag: str) -> tuple[tuple[int, int, str], ...]:
    """A key that sorts LB 2-1 before LB 10-1."""
    return tuple(
        (0, int(piece), "") if piece.isdigit() else (1, 0, piece) for piece in re.findall(r"[0-9]+|[^0-9]+", tag)
    )


def coverage_of(data: WalkData, where: tzinfo) -> Coverage:
    """Coverage as the walk data count it; a part that the lists of gaps forget is added from the parts themselves."""
    counts = data.get("coverage") or {}
    parts = rows(data, "parts")
    missing = _not_reached(data, parts)
    return Coverage(
        whole=_reach("All parts in scope", counts.get("parts") or {}),
        by_kind=tuple(_reach(text(row, "kind_title", text(row, "kind")), row) for row in rows(counts, "by_kind")),
        by_area=tuple(_reach(text(row, "area", "no area"), row) for row in rows(counts, "by_area")),
        shares=tuple(_share(row) for row in rows(counts, "by_checklist")),
        not_reached=missing,
        not_reached_words="" if missing else _why_empty(parts),
        not_looked_at=_without_look(parts),
        not_applicable=_gaps(rows(data, "not_applicable"), parts, _confirmed),
        never=_never(parts),
        open_points=tuple(
            OpenPoint(text(row, "ask", text(row, "point")), text(row, "kind_title"), int(row.get("parts") or 0))
            for row in rows(counts, "points_not_answered")
        ),
        not_counted=_gaps(rows(data, "not_counted"), parts, lambda row: text(row, "by"), "why"),
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


def _not_reached(data: WalkData, parts: list[Mapping[str, Any]]) -> tuple[Gap, ...]:
    """The list of the walk data, and every part with that result that the list forgets."""
    given = rows(data, "not_reached")
    named = {text(row, "part") for row in given}
    lost: list[Mapping[str, Any]] = [
        {"part": text(p, "tag"), "kind_title": text(p, "kind_title")}
        for p in parts
        if text(p, "result") == "not_reached" and text(p, "tag") not in named
    ]
    return _gaps([*given, *lost], parts, lambda row: text(row, "by", "name not recorded"))


def _without_look(parts: list[Mapping[str, Any]]) -> tuple[Gap, ...]:
    left: list[Mapping[str, Any]] = [
        {"part": text(p, "tag"), "reason": "no entry on this walk"}
        for p in parts
        if p.get("result") == "not_looked_at" or text(p, "result") not in RESULTS
    ]
    return _gaps(left, parts, lambda row: "")


def _never(parts: list[Mapping[str, Any]]) -> tuple[Gap, ...]:
    """Parts without a look on this walk or any before it, as far as the walk data say so."""
    left = [
        {"part": text(p, "tag"), "reason": reads(RESULTS, p.get("result"))}
        for p in parts
        if p.get("never_before") is True and text(p, "result") not in LOOKED
    ]
    return _gaps(left, parts, lambda row: "")


def _confirmed(row: Mapping[str, Any]) -> str:
    by = text(row, "confirmed_by")
    return f"{text(row, 'by')}; " + (f"confirmed by {by}" if by else "not confirmed")


def _gaps(
    listed: Iterable[Mapping[str, Any]], parts: list[Mapping[str, Any]], who: Any, why: str = "reason"
) -> tuple[Gap, ...]:
    kinds = {text(part, "tag"): text(part, "kind_title") for part in parts}
    groups: dict[tuple[str, str, str], list[str]] = defaultdict(list)
    for row in listed:
        tag = text(row, "part")
        kind = text(row, "kind_title", kinds.get(tag, ""))
        during = f" (pass: {text(row, 'pass')})" if text(row, "pass") else ""
        groups[kind, text(row, why, "reason not recorded") + during, who(row)].append(tag)
    return tuple(
        Gap(kind, tuple(sorted(dict.fromkeys(tags), key=natural)), reason, name)
        for (kind, reason, name), tags in groups.items()
    )


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
    for part in rows(data, "parts"):
        if not text(part, "line_set"):
            grade = f": {reads(GRADES, part.get('grade'))}" if text(part, "grade") else ""
            result = reads(RESULTS, part.get("result")) + grade
            groups[text(part, "area", "no area"), text(part, "kind_title"), result].append(text(part, "tag"))
    return tuple(
        PlaceRow(area, kind, result, tuple(sorted(tags, key=natural)))
        for (area, kind, result), tags in sorted(groups.items(), key=lambda item: item[0][:2])
    )
