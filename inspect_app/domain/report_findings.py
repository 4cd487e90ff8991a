"""What was found: stops, findings with their facts and citations, odd sets, old deficiencies."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Any, NamedTuple

from inspect_app.domain.report_measures import MeasureShown, VerdictGroup, conditions_of, measures_of
from inspect_app.domain.report_record import WalkData, rows, text
from inspect_app.domain.report_recordings import kept_of
from inspect_app.domain.report_words import (
    ANSWERS,
    GRADE_ORDER,
    GRADES,
    NONE_RECORDED,
    PHOTO_HERE,
    PHOTO_STATES,
    RESULTS,
    STEPS,
    TAG_STATES,
    cited,
    day,
    moment,
    reads,
    shortened,
)

MANY_RULES = 8


@dataclass(frozen=True, slots=True)
class StopShown:
    """A tag-out: what is out of use, why, who raised it, who was told and when."""

    scope: str
    why: str
    raised: str
    responsible: str
    steps: tuple[str, ...]
    state: str
    standing: bool
    from_this_walk: bool


@dataclass(frozen=True, slots=True)
class PhotoShown:
    """A photo by id, its caption and what it shows in words; `absent` says why there is no picture, or is ''."""

    id: str
    caption: str
    shows: str
    absent: str


@dataclass(frozen=True, slots=True)
class FindingShown:
    """One finding: the fact, the criterion, the grade and what is recommended, each kept apart."""

    label: str
    part: str
    where: str
    grade: str
    grade_word: str
    grade_note: str
    answer: str
    point: str
    brief: str
    fact: str
    wear: str
    basis: str
    measures: tuple[MeasureShown, ...]
    stop_words: str
    interim: str
    by: str
    deficiency: str
    counted: bool
    photos: tuple[PhotoShown, ...]
    recordings: tuple[str, ...] = ()
    conditions: tuple[VerdictGroup, ...] = ()

    @property
    def long(self) -> bool:
        """Whether so many rules are cited that it may go over to the next page."""
        return sum(len(measure.verdicts) for measure in self.measures) > MANY_RULES


@dataclass(frozen=True, slots=True)
class DeficiencyShown:
    """An open deficiency with what this walk says about it."""

    number: str
    part: str
    what: str
    grade: str
    grade_word: str
    state: str
    found: str
    answer: str
    more: str = ""


@dataclass(frozen=True, slots=True)
class AcceptedShown:
    """A condition the house has accepted, which is not a repair left open."""

    part: str
    what: str
    accepted: str
    reason: str
    paper: str
    review_by: str


@dataclass(frozen=True, slots=True)
class SiblingShown:
    """A set that differs from its siblings in one quantity."""

    line_set: str
    quantity: str
    value: str
    median: str
    siblings: str
    words: str


class DifferingShown(NamedTuple):
    """A part on which looks differ, and what was decided."""

    part: str
    looks: tuple[str, ...]
    decided: str


def stops_of(data: WalkData, where: tzinfo) -> tuple[StopShown, ...]:
    """All tag-outs, standing ones first."""
    shown = [_stop(row, where) for row in rows(data, "tag_outs")]
    return tuple(sorted(shown, key=lambda stop: not stop.standing))


def _stop(row: Mapping[str, Any], where: tzinfo) -> StopShown:
    return StopShown(
        scope=text(row, "scope", "scope not recorded"),
        why=text(row, "why", NONE_RECORDED),
        raised=f"{text(row, 'raised_by', 'name not recorded')}, {moment(text(row, 'raised_at'), where)}",
        responsible=text(row, "responsible", NONE_RECORDED),
        steps=tuple(_step(step, where) for step in rows(row, "steps")),
        state=reads(TAG_STATES, row.get("state")),
        standing=row.get("state") not in ("released", "withdrawn"),
        from_this_walk=bool(row.get("from_this_walk")),
    )


def _step(row: Mapping[str, Any], where: tzinfo) -> str:
    who = f": {text(row, 'who')}" if text(row, "who") else ""
    by = f" (recorded by {text(row, 'by')})" if text(row, "by") else ""
    note = f"; {text(row, 'note')}" if text(row, "note") else ""
    return f"{reads(STEPS, row.get('step'))}{who}, {moment(text(row, 'at'), where)}{note}{by}"


def findings_of(data: WalkData, where: tzinfo) -> tuple[FindingShown, ...]:
    """All findings, gravest grade first, numbered F1, F2 ... so that a reader can name one."""
    order = {grade: rank for rank, grade in enumerate(GRADE_ORDER)}
    found = sorted(rows(data, "findings"), key=lambda row: order.get(text(row, "grade"), -1))
    parts = {text(part, "tag"): part for part in rows(data, "parts")}
    photos = {text(photo, "id"): photo for photo in rows(data, "photos")}
    figures = measures_of(data)
    return tuple(_finding(data, n, row, parts, photos, figures, where) for n, row in enumerate(found, 1))


def _interim(data: WalkData, tag: str, number: str) -> str:
    """Says *out of use* only when the walk data hold a standing stop on the finding's set or part."""
    on_set = number and any(text(r, "number") == number and r.get("stopped") for r in rows(data, "line_sets"))
    scopes = [text(r, "scope") for r in rows(data, "tag_outs") if r.get("state") == "standing"]
    named = any(re.search(rf"(?<![\w-]){re.escape(tag)}(?![\w-])", scope) for scope in scopes) if tag else False
    return "out of use, see page one" if on_set or named else NONE_RECORDED


def _finding(
    data: WalkData,
    n: int,
    row: Mapping[str, Any],
    parts: Mapping[str, Mapping[str, Any]],
    photos: Mapping[str, Mapping[str, Any]],
    figures: tuple[MeasureShown, ...],
    where: tzinfo,
) -> FindingShown:
    tag, grade = text(row, "part"), text(row, "grade")
    label = f"F{n}"
    return FindingShown(
        label=label,
        part=tag,
        where=place_of(parts.get(tag, {}), text(row, "line_set")),
        grade=grade,
        grade_word=reads(GRADES, grade) or "no grade given",
        grade_note=_grade_note(row),
        answer=reads(ANSWERS, row.get("answer")),
        point=text(row, "point_text", text(row, "point", NONE_RECORDED)),
        brief=shortened(text(row, "defect", text(row, "note", NONE_RECORDED)), 60).rstrip("."),
        fact=". ".join(filter(None, (text(row, "defect").rstrip("."), text(row, "note")))) or NONE_RECORDED,
        wear=_wear(row),
        basis=cited(text(row, "basis", "common practice, no source")),
        measures=tuple(f for f in figures if f.part == tag and f.point == text(row, "point")),
        conditions=conditions_of(row),
        stop_words=text(row, "stop_words"),
        interim=_interim(data, tag, text(row, "line_set")),
        by=f"{text(row, 'by', 'name not recorded')}, {moment(text(row, 'at'), where)}",
        deficiency=f"Deficiency {row['deficiency']}" if row.get("deficiency") is not None else "",
        counted=row.get("counted") is not False,
        photos=tuple(
            _photo_of(photo, f"{label}, {tag}", photos, where)
            for photo in map(str, row.get("photos") or ())
        ),
        recordings=_recordings(data, row),
    )  # fmt: skip


def _recordings(data: WalkData, finding: Mapping[str, Any]) -> tuple[str, ...]:
    known = {text(row, "id"): row for row in rows(data, "recordings")}
    return tuple(kept_of(known.get(str(one), {})) for one in finding.get("recordings") or ())


def _photo_of(photo: str, title: str, photos: Mapping[str, Mapping[str, Any]], where: tzinfo) -> PhotoShown:
    row = photos.get(photo, {})
    taken = _taken(row, where)
    caption = f"{title.partition(',')[0]}, {taken.removeprefix('taken ')}"
    return PhotoShown(photo, caption, f"Photo of {title}, {taken}", _absent(row))


def _wear(row: Mapping[str, Any]) -> str:
    if row.get("wear") is None:
        return ""
    return f"{row['wear']} of 0 to 4" + (f": {text(row, 'wear_text')}" if text(row, "wear_text") else "")


def _grade_note(row: Mapping[str, Any]) -> str:
    proposed, reason = text(row, "proposed_grade"), text(row, "grade_reason")
    if proposed and proposed != text(row, "grade"):
        return f"the checklist proposes {reads(GRADES, proposed)}; reason given: {reason or NONE_RECORDED}"
    return f"reason given: {reason}" if reason else ""


def _absent(photo: Mapping[str, Any]) -> str:
    """Why no picture of a photo can be printed, or '' when one can. A photo the data do not list never arrived."""
    state = text(photo, "state", "missing")
    return "" if state == PHOTO_HERE else reads(PHOTO_STATES, state)


def _taken(photo: Mapping[str, Any], where: tzinfo) -> str:
    at = text(photo, "taken_at")
    if not at:
        return "time of the picture not recorded"
    try:
        aware = datetime.fromisoformat(at).tzinfo is not None
    except ValueError:
        aware = True
    return f"taken {moment(at, where)}" + ("" if aware else " by the camera's clock")


def place_of(part: Mapping[str, Any], line_set: str = "") -> str:
    """Where a part is: set, line with its ordinal name, well, area."""
    number = text(part, "line_set", line_set)
    line = part.get("line")
    named = f"line {line}" + (f" ({text(part, 'line_name')})" if text(part, "line_name") else "") if line else ""
    well = f"well {text(part, 'well')}" if text(part, "well") else ""
    return ", ".join(
        filter(None, (text(part, "kind_title"), f"set {number}" if number else "", named, well, text(part, "area")))
    )


def loose_photos(data: WalkData, where: tzinfo) -> tuple[PhotoShown, ...]:
    """Photos that belong to no finding."""
    used = {str(photo) for row in rows(data, "findings") for photo in row.get("photos") or ()}
    return tuple(_loose(row, where) for row in rows(data, "photos") if text(row, "id") not in used)


def _loose(row: Mapping[str, Any], where: tzinfo) -> PhotoShown:
    parts, taken = ", ".join(map(str, row.get("parts") or ())) or "no part named", _taken(row, where)
    caption = f"{parts}, {taken.removeprefix('taken ')}"
    return PhotoShown(text(row, "id"), caption, f"Photo of {parts}, {taken}", _absent(row))


def deficiencies_of(data: WalkData, where: tzinfo) -> tuple[DeficiencyShown, ...]:
    """Open deficiencies, each with this walk's answer."""
    return tuple(
        DeficiencyShown(
            number=text(row, "number"),
            part=text(row, "part"),
            what=text(row, "what", NONE_RECORDED),
            grade=text(row, "grade"),
            grade_word=reads(GRADES, row.get("grade")),
            state=reads({}, row.get("state")),
            more=_more(row),
            found=moment(text(row, "found_at"), where).split(",")[0],
            answer=reads(ANSWERS, row.get("this_walk") or "not_looked_at"),
        )
        for row in rows(data, "deficiencies")
    )


def _more(row: Mapping[str, Any]) -> str:
    """By when and by whom it is to be put right, and what it is again; '' in data that do not say."""
    again = (
        f"{'recurring, ' if row.get('recurring') else ''}again after no. {row['again_of']}"
        if row.get("again_of")
        else ""
    )
    due = f"to be put right by {day(text(row, 'due_on'))}" if row.get("due_on") else ""
    return "; ".join(filter(None, (again, due, text(row, "who"))))


def accepted_of(data: WalkData) -> tuple[AcceptedShown, ...]:
    """Accepted conditions."""
    return tuple(
        AcceptedShown(
            part=text(row, "part"),
            what=text(row, "what", NONE_RECORDED),
            accepted=", ".join(filter(None, (text(row, "accepted_by"), reads({}, row.get("role"))))) or NONE_RECORDED,
            reason=text(row, "reason", NONE_RECORDED),
            paper=text(row, "paper", NONE_RECORDED),
            review_by=day(text(row, "review_by")),
        )
        for row in rows(data, "accepted")
    )


def siblings_of(data: WalkData) -> tuple[SiblingShown, ...]:
    """Sets that differ from their siblings."""
    return tuple(
        SiblingShown(
            line_set=text(row, "line_set"),
            quantity=text(row, "quantity").replace("_", " "),
            value=f"{text(row, 'value')} {text(row, 'unit')}".strip(),
            median=f"{text(row, 'median')} {text(row, 'unit')}".strip(),
            siblings=text(row, "siblings"),
            words=text(row, "words"),
        )
        for row in rows(data, "siblings")
    )


def differing_of(data: WalkData, where: tzinfo) -> tuple[DifferingShown, ...]:
    """Parts on which two looks differ."""
    return tuple(
        DifferingShown(
            text(row, "part"),
            tuple(_look(look, where) for look in rows(row, "looks")),
            text(row, "decided", "not decided: the worse counts"),
        )
        for row in rows(data, "differing")
    )


def _look(row: Mapping[str, Any], where: tzinfo) -> str:
    grade = f", {reads(GRADES, row.get('grade'))}" if text(row, "grade") else ""
    return f"{text(row, 'by')}: {reads(RESULTS, row.get('result'))}{grade}, {moment(text(row, 'at'), where)}"
