"""The rows of walk data that say what was found, measured, missed, decided and left out."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from inspect_app.domain.checklist import Checklist, Grade, Point
from inspect_app.domain.criteria import Consequence, Op
from inspect_app.domain.deficiency import STATE_TITLES, Deficiency, DeficiencyState
from inspect_app.domain.judge import Verdict
from inspect_app.domain.judged_measure import said_alike
from inspect_app.domain.part_kind import kind_title
from inspect_app.domain.review import FoundOn, WalkReview
from inspect_app.domain.tag_out import TagOut, TagState
from inspect_app.domain.units import decimal_text
from inspect_app.domain.walk import Differing, How, Look
from inspect_app.domain.walk_record import Photo, Recording, WalkRecord

# How a limit is printed before its value: it says when a figure is outside, so that it cannot be read the other way.
LIMIT_WORDS: Mapping[Op, str] = {
    Op.MORE_THAN: "outside when more than",
    Op.AT_LEAST: "outside from",
    Op.LESS_THAN: "outside when less than",
    Op.AT_MOST: "outside up to",
}
Row = dict[str, Any]


def stamp(at: datetime | None) -> str:
    """A time as UTC text in ISO 8601 with milliseconds and Z; '' for None."""
    if at is None:
        return ""
    return at.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def finding_rows(record: WalkRecord, review: WalkReview) -> list[Row]:
    """Every finding that stands, gravest first; one that does not count is marked so."""
    numbers = {row.id: row.number for row in record.inventory.line_sets}
    return [_finding(record, row, numbers.get(row.part.line_set or "")) for row in review.findings]


def _finding(record: WalkRecord, row: FoundOn, line_set: str | None) -> Row:
    finding, point = row.finding, row.point
    stops = point.stop_use if point and finding.grade is Grade.STOP_USE else ()
    return {
        "id": finding.id,
        "part": row.part.tag,
        "line_set": line_set,
        "point": finding.point,
        "point_text": finding.point_text or (point.ask if point else ""),
        "defect": _defect_text(finding.defect, point),
        "answer": finding.answer,
        "grade": finding.grade.value,
        "proposed_grade": row.proposed,
        "grade_reason": finding.grade_reason,
        "wear": finding.wear,
        "wear_text": _wear_text(record.checklists, finding.point, finding.wear),
        "note": finding.note or row.look.note,
        "photos": list(row.look.photos),
        "recordings": list(row.look.recordings),
        "by": row.look.by_name,
        "at": stamp(row.look.at),
        "basis": point.basis.text if point else "",
        "stop_words": "; ".join(stops),
        "deficiency": record.numbers.get(finding.id),
        "counted": row.counted,
        "conditions": [_condition(verdict) for verdict in row.conditions],
    }


def _defect_text(defect: str, point: Point | None) -> str:
    known = {row.id: row.says for row in point.defects} if point else {}
    return known.get(defect, defect)


def _wear_text(checklists: tuple[Checklist, ...], point: str, wear: int | None) -> str:
    if wear is None:
        return ""
    for checklist in checklists:
        if wear in (scale := checklist.wear_for(point)):
            return scale[wear]
    return ""


def measure_rows(review: WalkReview) -> list[Row]:
    """Every figure that stands, with one verdict for each criterion cited, gravest first, then the strictest."""
    return [
        {
            "part": row.part.tag,
            "point": row.measure.point,
            "quantity": row.measure.quantity,
            "value": row.measure.value,
            "unit": row.measure.unit,
            "typed": row.measure.typed,
            "station": row.measure.station,
            "gauge": row.measure.gauge,
            "resolution": row.measure.resolution,
            "readings": list(row.measure.readings),
            "load_state": row.measure.load_state,
            "governing": row.governing,
            "differs": row.differs,
            "former": row.former,
            "verdicts": [_verdict(verdict) for alike in said_alike(row.verdicts) for verdict in alike.verdicts],
        }
        for row in review.measures
    ]


def look_again_rows(record: WalkRecord, review: WalkReview) -> list[Row]:
    """For each series with a measure of this walk whose trend asks for a look before a date, or at once: the words."""
    own = {entry for entry, _ in record.entries}
    asking = [one for one in record.outlooks if one.look_again and own & {m.entry for m in one.series.taken}]
    return [
        {
            "part": review.parts[one.series.part].tag,
            "point": one.series.key.point,
            "quantity": one.series.key.quantity,
            "station": one.series.station,
            "before": one.before.isoformat() if one.before and not one.now else "",
            "words": one.look_again,
        }
        for one in asking
        if one.series.part in review.parts
    ]


def _verdict(verdict: Verdict) -> Row:
    limit = verdict.limit
    value = decimal_text(limit.value) if limit is not None and limit.value is not None else ""
    return {
        "state": verdict.hint,
        "words": verdict.words,
        "limit": value,
        "op": LIMIT_WORDS[limit.op] if limit and value else "",
        "unit": limit.unit if limit and value else "",
        "source": limit.document if limit else "",
        "clause": limit.clause if limit else "",
        "mark": (limit.entered or limit.mark) if limit else "",
        "by_analogy": limit.by_analogy if limit else False,
        "governing": limit.governing if limit else False,
    }


def _condition(verdict: Verdict) -> Row:
    """A clause on something seen: no figure, and no *outside* where the document only says to look for it."""
    only_look = verdict.limit is not None and verdict.limit.consequence is Consequence.LOOK
    return _verdict(verdict) | {"limit": "", "op": "", "unit": ""} | ({"state": "none"} if only_look else {})


def recorder_rows(review: WalkReview) -> list[Row]:
    """Who recorded looks that stand, from where, and how many: in the order of their first look."""
    found: dict[str, list[Look]] = {}
    for look in sorted((*review.looks, *review.uncounted), key=lambda look: (look.at, look.entry)):
        found.setdefault(look.by_name, []).append(look)
    return [
        {
            "name": name,
            "vantages": list(dict.fromkeys(look.in_pass.partition("/")[0] for look in looks)),
            "looks": len({look.entry for look in looks}),
        }
        for name, looks in found.items()
    ]


def not_reached_rows(record: WalkRecord, review: WalkReview) -> list[Row]:
    """Every *not reached* that counts, also on parts that were looked at in another pass."""
    numbers = {row.id: row.number for row in record.inventory.line_sets}
    return [
        {
            "part": part.tag,
            "line_set": numbers.get(part.line_set or ""),
            "kind_title": kind_title(part.kind),
            "pass": look.in_pass,
            "reason": look.reason,
            "by": look.by_name,
            "at": stamp(look.at),
        }
        for look in review.not_reached
        for part in [review.parts[look.part]]
    ]


def not_applicable_rows(review: WalkReview) -> list[Row]:
    """Parts said not to be asked; `confirmed_by` is empty until somebody confirmed it."""
    return [
        {
            "part": row.part.tag,
            "reason": row.look.reason,
            "by": row.look.by_name,
            "confirmed_by": row.decision.by_name if row.decision else "",
        }
        for row in review.not_applicable
    ]


def tag_out_rows(record: WalkRecord) -> list[Row]:
    """What stands out of use in the house, and every stop that this walk raised, released or withdrawn ones too."""
    own = {entry for entry, _ in record.entries}
    rows = []
    for tag_out in record.tag_outs:
        here = tag_out.from_entry in own
        if here or tag_out.state is TagState.STANDING:
            rows.append(_tag_out(tag_out, here))
    return rows


def _tag_out(tag_out: TagOut, from_this_walk: bool) -> Row:
    named = f" ({tag_out.part_tag})" if tag_out.part_tag and tag_out.part_tag != tag_out.scope else ""
    return {
        "scope": f"{tag_out.scope}{named}",
        "why": tag_out.why,
        "raised_by": tag_out.raised_by_name,
        "raised_at": stamp(tag_out.raised_at),
        "responsible": tag_out.responsible,
        "steps": [
            {"step": s.step.value, "who": s.who, "by": s.by_name, "at": stamp(s.at), "note": s.note}
            for s in tag_out.steps
        ],
        "state": tag_out.state.value,
        "from_this_walk": from_this_walk,
    }


_ANSWER_RANK = {"not_seen_now": 0, "still_there": 1, "worse": 2, "new": 3}


def deficiency_rows(record: WalkRecord, review: WalkReview) -> list[Row]:
    """Each open deficiency with what this walk says of it: the gravest answer that counts, or *not looked at*."""
    said: dict[int, str] = {}
    for row in review.findings:
        number = record.numbers.get(row.finding.id)
        if number is not None and row.counted:
            said[number] = max(said.get(number, "not_seen_now"), row.finding.answer, key=_ANSWER_RANK.__getitem__)
    return [
        {
            "number": row.number,
            "part": row.part_tag,
            "line_set": row.line_set or None,
            "what": row.what,
            "grade": row.grade.value,
            "state": _state_words(row),
            "found_at": stamp(row.found_at),
            "this_walk": said.get(row.number, "not_looked_at"),
            "due_on": row.due_on,
            "who": ", ".join(filter(None, (row.responsible_name, row.contractor))),
            "again_of": row.again_of,
            "recurring": row.recurring,
        }
        for row in record.deficiencies
    ]


def _state_words(row: Deficiency) -> str:
    """The state as it is printed. No day is compared here: the paper is read long after it was made."""
    if row.state is DeficiencyState.PUT_OFF:
        return f"put off until {row.put_off_until}"
    if row.state is DeficiencyState.WORK_DONE and row.own_check:
        return "work done, checked by the repairer only: unfinished"
    return STATE_TITLES[row.state]


def accepted_rows(record: WalkRecord) -> list[Row]:
    """Conditions that the house has accepted and that have not ended."""
    return [
        {
            "part": row.part_tag,
            "what": row.what,
            "accepted_by": row.accepted_by,
            "role": row.role,
            "reason": row.reason,
            "paper": row.paper,
            "review_by": row.review_by,
        }
        for row in record.accepted
        if not row.ended
    ]


def sibling_rows(record: WalkRecord, review: WalkReview) -> list[Row]:
    """Sets that stand apart from their siblings in one quantity."""
    numbers = {row.id: row.number for row in record.inventory.line_sets}
    return [
        {
            "line_set": numbers.get(row.line_set, row.line_set),
            "quantity": row.quantity,
            "value": row.value,
            "unit": row.unit,
            "median": row.median,
            "siblings": row.siblings,
            "words": row.words,
        }
        for row in review.odd
    ]


def pace_rows(review: WalkReview) -> list[Row]:
    """Stretches whose entries came implausibly fast, as a plain fact."""
    return [
        {
            "device": fact.device,
            "from": stamp(fact.start),
            "to": stamp(fact.end),
            "entries": fact.stops,
            "seconds": fact.seconds,
            "words": fact.words,
        }
        for fact in review.pace
    ]


def differing_rows(review: WalkReview) -> list[Row]:
    """Parts on which looks differ, and what was decided."""
    return [
        {
            "part": review.parts[group.part].tag,
            "looks": [
                {
                    "by": look.by_name,
                    "result": look.result.value,
                    "grade": look.grade.value if look.grade else "",
                    "at": stamp(look.at),
                }
                for look in group.looks
            ],
            "decided": decided_words(group),
        }
        for group in review.differing
    ]


def decided_words(group: Differing) -> str:
    """Who set which look aside and why; '' while nothing is decided."""
    by_entry = {look.entry: look for look in group.looks}
    return "; ".join(
        f"{d.by_name} set aside the look of {by_entry[d.entry].by_name} ({d.reason or 'no reason given'})"
        for d in group.set_aside
        if d.entry in by_entry
    )


def not_counted_rows(review: WalkReview) -> list[Row]:
    """Looks that do not count, and why."""
    rows = [(look, _why_uncounted(look)) for look in review.uncounted]
    rows += [(look, "withdrawn") for look in review.withdrawn]
    return [{"part": review.parts[look.part].tag, "by": look.by_name, "why": why} for look, why in rows]


def _why_uncounted(look: Look) -> str:
    unseen = [sign.by_name for sign in look.countersigns if sign.how is How.DID_NOT_SEE]
    return f"{', '.join(unseen)} did not see it" if unseen else "no countersign yet"


def photo_rows(record: WalkRecord, review: WalkReview) -> list[Row]:
    """Every photo that an entry names; one whose bytes never arrived has the state *missing*."""
    tags = {look.entry: review.parts[look.part].tag for look in record.looks if look.part in review.parts}
    return [_photo(photo, tags) for photo in record.photos]


def _photo(photo: Photo, tags: Mapping[str, str]) -> Row:
    return {
        "id": photo.id,
        "sha256": photo.sha256,
        "mime": photo.mime,
        "taken_at": photo.taken_at,
        "parts": sorted({tags[entry] for entry in photo.entries if entry in tags}),
        "state": photo.state if photo.here else "missing",
    }


def recording_rows(record: WalkRecord, review: WalkReview) -> list[Row]:
    """Every voice note that an entry names; one whose bytes never arrived has the state *missing*."""
    looks = {look.entry: look for look in record.looks if look.part in review.parts}
    return [
        _recording(one, [looks[entry] for entry in one.entries if entry in looks], review) for one in record.recordings
    ]


def _recording(recording: Recording, looks: list[Look], review: WalkReview) -> Row:
    first = looks[0] if looks else None
    return {
        "id": recording.id,
        "sha256": recording.sha256,
        "mime": recording.mime,
        "parts": sorted({review.parts[look.part].tag for look in looks}),
        "by": first.by_name if first else "",
        "at": stamp(first.at if first else None),
        "state": "stored" if recording.here else "missing",
    }
