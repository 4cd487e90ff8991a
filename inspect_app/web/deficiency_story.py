"""Stories in order, of a deficiency or of a set: found, decided, done, checked, stopped, released, looked again."""

from datetime import datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.deficiency import STATE_TITLES, Answer, Deficiency, DeficiencyState
from inspect_app.domain.part import Part
from inspect_app.domain.relook import Relook
from inspect_app.domain.restriction import Restriction, RestrictionKind, limit_words
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.tag_out import STEP_TITLES, TagOut, TagPlace, TagState
from inspect_app.domain.tag_release import NEED_TITLES, Need, checked_by_repairer_only
from inspect_app.store.deficiency import list_deficiencies, list_deficiency_events
from inspect_app.store.deficiency_story import (
    Attachment,
    FindingOfDeficiency,
    list_attachments,
    list_findings_of_deficiency,
    list_stops_of_deficiency,
)
from inspect_app.store.person import get_person
from inspect_app.store.relook import list_relooks
from inspect_app.store.restriction import list_restrictions
from inspect_app.store.tag_out import get_ending, get_tag_check, get_tag_out, list_tag_outs, list_tag_outs_of_set
from inspect_app.web.guest_pass import costs_hidden

ANSWER_WORDS = {
    "new": "Found",
    "still_there": "Still there",
    "worse": "Worse",
    "not_seen_now": "Not seen now, which settles nothing",
}


class Told(NamedTuple):
    """One thing in the story. `kind` is found, moved, said or stop; `photos` and `files` are shown with it.

    `about` says in the story of a set which thing it is about, and `leads` is that thing as (noun, id).
    """

    at: datetime
    kind: str
    head: str
    text: str
    who: str
    grade: str = ""
    photos: tuple[str, ...] = ()
    file: Attachment | None = None
    walk: str = ""
    walk_title: str = ""
    withdrawn: bool = False
    facts: tuple[tuple[str, str], ...] = ()
    about: str = ""
    leads: tuple[str, str] = ("", "")


def story_of(
    db: Database, found: Deficiency, findings: list[FindingOfDeficiency], files: list[Attachment]
) -> list[Told]:
    """Everything that is recorded about a deficiency, oldest first, with its stops and the looks asked for after it."""
    told, stops = _of_deficiency(db, found, findings, files), list_stops_of_deficiency(db, found.house, found.id)
    for key in stops:
        tag_out = get_tag_out(db, found.house, key)
        if tag_out is not None:
            told += _stop(db, tag_out)
    for relook in list_relooks(db, found.house, part=found.part, open_only=False):
        if relook.deficiency == found.id or relook.tag_out in stops:
            told += _relook(relook)
    return _in_order(told)


def story_of_set(db: Database, house: str, line_set: str, parts: set[str]) -> list[Told]:
    """What was found, stopped, limited, put right, checked, released and looked at again on a set, oldest first.

    `parts` are the ids of all parts that the set has or had.
    """
    told: list[Told] = []
    for row in list_deficiencies(db, house):
        if row.part in parts:
            findings, files = list_findings_of_deficiency(db, house, row.id), list_attachments(db, house, row.id)
            about = f"{row.part_tag}, deficiency {row.number}"
            told += _named(_of_deficiency(db, row, findings, files), about, ("deficiency", row.id))
    for tag_out in list_tag_outs_of_set(db, house, line_set):
        told += _named(_stop(db, tag_out), tag_out.part_tag or tag_out.scope, ("tag_out", tag_out.id))
    for relook in list_relooks(db, house, open_only=False):
        if relook.part in parts:
            told += _named(_relook(relook), relook.name, ("part", relook.part))
    for limit in list_restrictions(db, house, ended=True):
        if limit.line_set == line_set or limit.part in parts:
            told += _limit(limit)
    return _in_order(told)


def story_of_parts(db: Database, house: str, parts: list[Part], line_set: str = "") -> list[Told]:
    """What was decided, done, stopped, limited and asked for about some parts, without their looks, oldest first.

    What binds the whole set of a part or stops its area counts as well, and with `line_set` whatever binds that set or
    a part of it.
    """
    ids, sets = {part.id for part in parts}, {part.line_set for part in parts if part.line_set} | {line_set} - {""}
    areas = {part.area for part in parts}
    told: list[Told] = []
    for row in list_deficiencies(db, house):
        if row.part in ids:
            files, about = list_attachments(db, house, row.id), f"{row.part_tag}, deficiency {row.number}"
            told += _named(_of_deficiency(db, row, [], files), about, ("deficiency", row.id))
    for tag_out in list_tag_outs(db, house):
        if tag_out.part in ids or (tag_out.part is None and (tag_out.line_set in sets or tag_out.area in areas)):
            told += _named(_stop(db, tag_out), tag_out.part_tag or tag_out.scope, ("tag_out", tag_out.id))
    for relook in list_relooks(db, house, open_only=False):
        if relook.part in ids:
            told += _named(_relook(relook), relook.name, ("part", relook.part))
    for limit in list_restrictions(db, house, ended=True):
        if limit.part in ids or (limit.part is None and limit.line_set in sets):
            told += _limit(limit)
    return _in_order(told)


def _in_order(told: list[Told]) -> list[Told]:
    return sorted(told, key=lambda one: one.at)


def _named(told: list[Told], about: str, leads: tuple[str, str]) -> list[Told]:
    return [one._replace(about=about, leads=leads) for one in told]


def _of_deficiency(
    db: Database, found: Deficiency, findings: list[FindingOfDeficiency], files: list[Attachment]
) -> list[Told]:
    told = [_finding(row) for row in findings] + _events(db, found, {file.id: file for file in files})
    if found.made_by:
        person = get_person(db, found.made_by)
        told.append(Told(found.found_at, "found", "Entered by hand", found.what, person.name if person else ""))
    return told


def _finding(row: FindingOfDeficiency) -> Told:
    new = row.answer == Answer.NEW  # an answer repeats the words of what it answers where a point would stand
    facts = [("Asked", row.point_text)] if new and row.point_text else []
    facts += [("Wear", f"{row.wear} of 0 to 4")] if row.wear is not None else []
    return Told(
        row.at, "found", ANSWER_WORDS.get(row.answer, row.answer), row.note, row.by_name, row.grade, row.photos,
        walk=row.walk, walk_title=row.walk_title, withdrawn=row.withdrawn, facts=tuple(facts),
    )  # fmt: skip


_FACTS = (
    ("responsible", "Who sees to it"), ("due_on", "To be put right by"), ("usual_due_on", "By the house's days"),
    ("order_number", "Order"), ("put_right_by", "Put right by"), ("done_on", "Put right on"),
    ("parts_used", "Parts used"), ("decided_by", "Decided by"), ("until", "Until"), ("re_look_on", "Look again on"),
)  # fmt: skip


def _events(db: Database, found: Deficiency, files: dict[str, Attachment]) -> list[Told]:
    told = []
    for event in list_deficiency_events(db, found.id):
        if costs_hidden() and "cost" in event.proof:
            continue
        moved = event.from_state != event.to_state
        mark = not moved and event.to_state == "work_done" and "looked_at" in event.proof
        head = STATE_TITLES[DeficiencyState(event.to_state)].capitalize() if moved else ""
        head = "Checked by the repairer only: unfinished" if mark else head
        facts = tuple((words, event.proof[key]) for key, words in _FACTS if event.proof.get(key)) if head else ()
        who = event.by_name + (f" as {ROLE_TITLES[Role(event.role)].lower()}" if event.role else "")
        kind = "moved" if head else "said"
        told.append(
            Told(event.at, kind, head, event.note, who, facts=facts, file=files.get(event.proof.get("file", "")))
        )
    return told


def _stop(db: Database, tag_out: TagOut) -> list[Told]:
    told = [Told(tag_out.raised_at, "stop", f"Out of use: {tag_out.scope}", tag_out.why, tag_out.raised_by_name)]
    for step in tag_out.steps:
        said = ": ".join(filter(None, (STEP_TITLES[step.step], step.who)))
        told.append(Told(step.at, "stop", said, step.note, step.by_name))
    told += [Told(one.at, "stop", "How it was left", "", one.by_name, facts=_left(one)) for one in tag_out.places]
    ending = get_ending(db, tag_out.id)
    if ending is None:
        return told
    who = ", ".join(filter(None, (ending.by_name, ending.second_name)))
    who += f" as {ROLE_TITLES[Role(ending.role)].lower()}" if ending.role else ""
    facts = tuple(
        (NEED_TITLES[need], ending.answers[need])
        for need in Need
        if need is not Need.REASON and ending.answers.get(need)
    )
    check = get_tag_check(db, tag_out.id)
    head = "Stop released, back into use" if ending.state is TagState.RELEASED else _withdrawn_head(tag_out)
    head += ", checked by the repairer only" if checked_by_repairer_only(ending.answers) else ""
    told.append(Told(ending.at, "stop", f"{head}: {tag_out.scope}", ending.reason, who, facts=facts))
    if check is not None:
        who = f"{check.by_name} as {ROLE_TITLES[Role(check.role)].lower()}"
        told.append(Told(check.at, "stop", "Checked by another person after the release", check.looked_at, who))
    return told


def _withdrawn_head(tag_out: TagOut) -> str:
    if tag_out.event:
        return "Hold ended: the event was recorded by mistake"
    return "Stop withdrawn: the wrong set"


def _left(place: TagPlace) -> tuple[tuple[str, str], ...]:
    said = (
        ("Batten height", place.height),
        ("Load on it", place.load),
        ("Tags hang at", ", ".join(one.value for one in place.tags_at)),
        ("Locked off at", place.lockout_point),
    )
    return tuple((name, text) for name, text in said if text)


def _relook(relook: Relook) -> list[Told]:
    asked = Told(
        relook.asked_at, "said", f"To be looked at again by {relook.look_on}", relook.reason, relook.asked_by_name
    )
    if relook.done_at is not None:
        done = Told(
            relook.done_at, "moved", "Looked at again", f"As asked for by {relook.look_on}, on a walk that is signed.",
            "", walk=relook.done_walk or "", walk_title="this walk" if relook.done_walk else "",
        )  # fmt: skip
        return [asked, done]
    if relook.ended_at is not None:
        return [asked, Told(relook.ended_at, "said", "Need not be looked at again", relook.end_reason, "")]
    return [asked]


def _limit(one: Restriction) -> list[Told]:
    kind = "Restricted" if one.kind is RestrictionKind.LIMIT else "Temporary measure"
    about, leads = one.part_tag or one.scope, ("restriction", one.id)
    told = [Told(one.at, "moved", kind, limit_words(one), one.by_name, about=about, leads=leads)]
    if one.ended_at is not None:
        head = f"{kind}: ended"
        told.append(Told(one.ended_at, "moved", head, one.ended_reason, one.ended_by_name, about=about, leads=leads))
    return told
