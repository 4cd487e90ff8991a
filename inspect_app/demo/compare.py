"""What was planted beside what a walk recorded: found, not found, not looked at. A list, never a score."""

from collections.abc import Iterator, Sequence
from enum import StrEnum
from typing import NamedTuple

from inspect_app.demo.planted import Planted, standing
from inspect_app.domain.walk import LOOKED, Finding, Look, LookResult, is_counted, standing_looks
from inspect_app.domain.walk_record import WalkRecord


class Seen(StrEnum):
    """What a walk made of a planted defect."""

    FOUND = "found"
    OTHER_POINT = "a finding at this part, under another point"
    NOT_FOUND = "looked at, not found"
    NOT_REACHED = "not reached"
    NOT_LOOKED_AT = "not looked at"
    NOT_ASKED = "not asked by the checklists of this walk"


class Comparison(NamedTuple):
    """One planted defect with what the walk made of it; `note` holds the walk's own words, `counted` is False while a
    helper's entry waits for its countersign."""

    planted: Planted
    seen: Seen
    note: str
    counted: bool = True


def compare_walk(record: WalkRecord) -> tuple[Comparison, ...]:
    """Every defect that stands in the demonstration house, against the looks of one walk."""
    parts = {part.tag: part.id for part in record.inventory.parts}
    by_part: dict[str, list[Look]] = {}
    for look in standing_looks(record.looks):
        by_part.setdefault(look.part, []).append(look)
    asked = {point.id for checklist in record.checklists for point in checklist.points()}
    return tuple(
        _compare(planted, by_part.get(parts.get(planted.tag, ""), []), bool(asked & set(planted.points)))
        for planted in standing()
    )


def _compare(planted: Planted, looks: Sequence[Look], asked: bool) -> Comparison:
    wanted = set(planted.points)
    found = [(look, finding) for look in looks for finding in look.findings if finding.answer != "not_seen_now"]
    fitting = [(look, finding) for look, finding in found if finding.point in wanted]
    for seen, pairs in ((Seen.FOUND, fitting), (Seen.OTHER_POINT, found)):
        if pairs:
            look, finding = pairs[0]
            return Comparison(planted, seen, _words(finding), is_counted(look))
    looked = [look for look in looks if look.result in LOOKED and look.answered & wanted]
    if looked:
        return Comparison(planted, Seen.NOT_FOUND, f"no finding by {looked[0].by_name}", is_counted(looked[0]))
    missed = [look for look in looks if look.result is LookResult.NOT_REACHED]
    if missed:
        return Comparison(planted, Seen.NOT_REACHED, missed[0].reason)
    return Comparison(planted, Seen.NOT_LOOKED_AT if asked else Seen.NOT_ASKED, "")


def _words(finding: Finding) -> str:
    return f"{finding.grade.value.replace('_', ' ')}: {finding.note or finding.point_text}"


def beside_planted(record: WalkRecord) -> tuple[tuple[str, str], ...]:
    """Findings of the walk that match nothing planted, as (tag, words); they may well be right in a trainee's eyes."""
    tags = {part.id: part.tag for part in record.inventory.parts}
    known = {(planted.tag, point) for planted in standing() for point in planted.points}
    return tuple(
        (tags.get(finding.part, "?"), _words(finding))
        for look in standing_looks(record.looks)
        for finding in look.findings
        if (tags.get(finding.part), finding.point) not in known
    )


def comparison_lines(record: WalkRecord) -> Iterator[str]:
    """The comparison as text, planted defects in the order of the table, grouped by what was made of them."""
    rows = compare_walk(record)
    yield f"Planted in the invented house, against “{record.walk.title}” of {record.walk.date_local}"
    for seen in Seen:
        group = [row for row in rows if row.seen is seen]
        if not group:
            continue
        yield ""
        yield f"{seen.value.capitalize()}:"
        for row in group:
            waiting = "" if row.counted else " (waits for a countersign)"
            yield f"  {row.planted.tag:<8} {row.planted.what} [{row.planted.grade.value.replace('_', ' ')}]"
            if row.note:
                yield f"           the walk says: {row.note}{waiting}"
    others = beside_planted(record)
    if others:
        yield ""
        yield "Recorded beside what was planted:"
        yield from (f"  {tag:<8} {words}" for tag, words in others)
    yield ""
    yield "This sets looking beside what was hidden here. It says nothing about a person, nor about a real house."
