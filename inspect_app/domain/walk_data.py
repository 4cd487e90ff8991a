"""Walk data: the one document that is sealed, printed, attached to the PDF and recomputed to verify (JSON values)."""

from collections.abc import Mapping
from typing import Any, NamedTuple

from inspect_app.domain.checklist import Checklist
from inspect_app.domain.coverage import Counts
from inspect_app.domain.line_names import names_for
from inspect_app.domain.part import Part
from inspect_app.domain.part_kind import kind_title
from inspect_app.domain.part_result import PartResult
from inspect_app.domain.report_words import DEMO_LINE
from inspect_app.domain.review import WalkReview
from inspect_app.domain.seal import root_of
from inspect_app.domain.tag_runs import natural
from inspect_app.domain.walk_data_found import (
    accepted_rows,
    deficiency_rows,
    differing_rows,
    finding_rows,
    look_again_rows,
    measure_rows,
    not_applicable_rows,
    not_counted_rows,
    not_reached_rows,
    pace_rows,
    photo_rows,
    recorder_rows,
    recording_rows,
    sibling_rows,
    stamp,
    tag_out_rows,
)
from inspect_app.domain.walk_record import Signature, WalkRecord

SCHEMA = "inspect-app/walk-data/1"


class Issue(NamedTuple):
    """Which paper this is: kind signed, amendment or draft; its number and revision; the journal's head before it."""

    kind: str
    number: str = ""
    revision: int = 1
    journal_head: str = ""
    signature: Signature | None = None


def walk_data_of(record: WalkRecord, review: WalkReview, issue: Issue) -> dict[str, Any]:
    """The whole document. Every number that was measured is text, so that nothing is rounded on its way."""
    return {
        "schema": SCHEMA,
        "report": {"number": issue.number, "revision": issue.revision, "kind": issue.kind},
        **_frame(record, review, issue),
        "line_sets": _line_sets(record),
        "parts": _part_rows(record, review),
        "findings": finding_rows(record, review),
        "measures": measure_rows(review),
        "look_again": look_again_rows(record, review),
        "not_reached": not_reached_rows(record, review),
        "not_applicable": not_applicable_rows(review),
        "coverage": _coverage(review),
        "tag_outs": tag_out_rows(record),
        "deficiencies": deficiency_rows(record, review),
        "accepted": accepted_rows(record),
        "siblings": sibling_rows(record, review),
        "pace": pace_rows(review),
        "differing": differing_rows(review),
        "not_counted": not_counted_rows(review),
        "signatures": _signatures(record, issue),
        "countersigns": _countersigns(review),
        "photos": photo_rows(record, review),
        "recordings": recording_rows(record, review),
        "entries": [{"id": entry, "sha256": sha256} for entry, sha256 in record.entries],
        "root_sha256": root_of(record.entries),
        "journal_head": issue.journal_head,
    }


def _frame(record: WalkRecord, review: WalkReview, issue: Issue) -> dict[str, Any]:
    house = record.inventory.house
    return {
        "house": {
            "id": house.id,
            "name": house.name,
            "tz": house.tz,
            "units": house.units,
            "datum": house.datum,
            "demo": house.demo,
            **({"notice": DEMO_LINE} if house.demo else {}),
        },
        "walk": {**_walk(record, issue), "recorders": recorder_rows(review)},
        "checklists": [_checklist(record, checklist) for checklist in record.checklists],
        "areas": [
            {"id": area.id, "kind": area.kind.value, "name": area.name, "z_mm": area.z_mm}
            for area in record.inventory.areas
        ],
    }


def _walk(record: WalkRecord, issue: Issue) -> dict[str, Any]:
    walk, opening = record.walk, record.opening
    numbers = {line_set.id: line_set.number for line_set in record.inventory.line_sets}
    first = record.signatures[0].at if record.signatures else issue.signature.at if issue.signature else None
    return {
        "id": walk.id,
        "title": walk.title,
        "date_local": walk.date_local,
        "opened_at": stamp(walk.opened_at),
        "closed_at": stamp(max((closing.at for closing in record.closings), default=None)),
        "signed_at": stamp(first),
        "people": {
            "aloft": list(opening.aloft),
            "deck": opening.deck,
            "radio": opening.radio,
            "rescue": opening.rescue,
            "down_at": opening.down_at,
        },
        "hangs": [{"set": numbers.get(line_set, line_set), "what": text} for line_set, text in opening.hangs.items()],
        "closing": [
            {
                "device": closing.device_name,
                "people_down": [{"name": name, "at": at} for name, at in closing.people_down],
                "tools_counted": closing.tools_counted,
                "sets_locked": closing.sets_locked,
                "locks_left": closing.locks_left,
                "note": closing.note,
            }
            for closing in record.closings
        ],
        "devices": [
            {
                "name": device.name,
                "entries": device.entries,
                "last_seq": device.last_seq,
                "closing_count": device.closing_count,
                "gaps": [list(gap) for gap in device.gaps],
                **({"at_desk": True} if device.at_desk else {}),
            }
            for device in record.devices
        ],
    }


def _checklist(record: WalkRecord, checklist: Checklist) -> dict[str, Any]:
    review = record.reviews.get(checklist.revision, checklist.reviewed)
    return {
        "id": checklist.id,
        "title": checklist.title,
        "revision": checklist.revision,
        "interval": checklist.interval,
        "when": checklist.when,
        "coverage": str(checklist.coverage),
        "competence": checklist.competence.value,
        "notice": checklist.notice,
        "reviewed": {"by": review.by, "credential": review.credential, "on": review.on},
    }


def _line_sets(record: WalkRecord) -> list[dict[str, Any]]:
    scope = record.walk.scope.line_sets
    stopped = {tag.line_set for tag in record.tag_outs if tag.state == "standing"}
    return [
        {
            "id": row.id,
            "number": row.number,
            "label": row.label,
            "kind": row.kind.value,
            "y_mm": row.y_mm,
            "head_side": row.head_side.value,
            "lines": row.lines,
            "in_scope": scope is None or row.id in scope,
            "stopped": row.id in stopped,
        }
        for row in sorted(record.inventory.line_sets, key=lambda row: (row.sort_key, row.number))
        if row.retired_on is None
    ]


def _part_rows(record: WalkRecord, review: WalkReview) -> list[dict[str, Any]]:
    sets = {row.id: row for row in record.inventory.line_sets}
    areas = {area.id: area.name for area in record.inventory.areas}
    names = {row.id: names_for(record.inventory.house, row.lines) for row in record.inventory.line_sets}

    def order(row: PartResult) -> tuple[Any, ...]:
        line_set = sets.get(row.part.line_set or "")
        return (line_set.sort_key if line_set else -1, row.part.kind.value, natural(row.part.tag))

    rows = []
    for row in sorted(review.results, key=order):
        part = row.part
        lines = names.get(part.line_set or "", ())
        rows.append(
            {
                "tag": part.tag,
                "kind": part.kind.value,
                "kind_title": kind_title(part.kind),
                "line_set": sets[part.line_set].number if part.line_set in sets else None,
                "line": part.line,
                "line_name": lines[part.line - 1] if part.line and part.line <= len(lines) else "",
                "well": _tag(review.parts, part.well),
                "area": areas.get(part.area, ""),
                "x_mm": part.x_mm,
                "y_mm": part.y_mm,
                "z_mm": part.z_mm,
                "result": row.outcome.value,
                "grade": row.grade.value if row.grade else "",
                "ways": sorted(way.value for way in row.ways),
                "asked": len(row.asked),
                "answered": len(row.answered),
                "never_before": row.never_before,
            }
        )
    return rows


def _tag(parts: Mapping[str, Part], part: str | None) -> str | None:
    return parts[part].tag if part and part in parts else None


def _coverage(review: WalkReview) -> dict[str, Any]:
    return {
        "parts": _counts(review.counts),
        "by_kind": [
            {"kind": row_kind, "kind_title": _title(review, row_kind), **_counts(counts)}
            for row_kind, counts in review.by_kind.items()
        ],
        "by_area": [{"area": name, **_counts(counts)} for name, counts in review.by_area.items()],
        "by_checklist": [share._asdict() for share in review.shares],
        "points_not_answered": [
            {"point": row.point, "ask": row.ask, "kind_title": kind_title(row.kind), "parts": row.parts}
            for row in review.open_points
        ],
        "complete": review.complete,
    }


def _title(review: WalkReview, kind: str) -> str:
    return next((kind_title(row.part.kind) for row in review.results if row.part.kind.value == kind), kind)


def _counts(counts: Counts) -> dict[str, int]:
    return counts._asdict()


def _signatures(record: WalkRecord, issue: Issue) -> list[dict[str, Any]]:
    signatures = [*record.signatures, *([issue.signature] if issue.signature else [])]
    return [
        {
            "n": row.n,
            "name": row.name,
            "role": row.role,
            "credential": row.credential,
            "statement": row.statement,
            "drawn": row.drawn,
            "at": stamp(row.at),
            "gaps_reason": row.gaps_reason,
            **({"inspection": row.inspection.to_json()} if row.inspection.said else {}),
        }
        for row in signatures
    ]


def _countersigns(review: WalkReview) -> list[dict[str, Any]]:
    counts: dict[tuple[str, str], int] = {}
    for look in review.looks:
        for sign in look.countersigns:
            counts[sign.by_name, sign.how.value] = counts.get((sign.by_name, sign.how.value), 0) + 1
    return [{"by": by, "how": how, "entries": entries} for (by, how), entries in counts.items()]
