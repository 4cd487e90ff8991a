"""The story of one deficiency in order: what was found, decided, done, checked, paid, stopped and released."""

from datetime import datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app.domain.deficiency import STATE_TITLES, Deficiency, DeficiencyState
from inspect_app.domain.tag_out import STEP_TITLES, TagOut
from inspect_app.store.deficiency import list_deficiency_events
from inspect_app.store.deficiency_story import Attachment, FindingOfDeficiency, list_stops_of_deficiency
from inspect_app.store.tag_out import get_ending, get_tag_out

ANSWER_WORDS = {
    "new": "Found",
    "still_there": "Still there",
    "worse": "Worse",
    "not_seen_now": "Not seen now, which settles nothing",
}


class Told(NamedTuple):
    """One thing in the story. `kind` is found, moved, said or stop; `photos` and `files` are shown with it."""

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


def story_of(
    db: Database, found: Deficiency, findings: list[FindingOfDeficiency], files: list[Attachment]
) -> list[Told]:
    """Everything that is recorded about a deficiency, oldest first."""
    told = [_finding(row) for row in findings] + _events(db, found, {file.id: file for file in files})
    for key in list_stops_of_deficiency(db, found.house, found.id):
        tag_out = get_tag_out(db, found.house, key)
        if tag_out is not None:
            told += _stop(db, tag_out)
    if found.made_by:
        told.append(Told(found.found_at, "found", "Entered by hand", found.what, ""))
    return sorted(told, key=lambda one: one.at)


def _finding(row: FindingOfDeficiency) -> Told:
    wear = (("Wear", f"{row.wear} of 0 to 4"),) if row.wear is not None else ()
    return Told(
        row.at, "found", ANSWER_WORDS.get(row.answer, row.answer), row.note or row.point_text, row.by_name, row.grade,
        row.photos, walk=row.walk, walk_title=row.walk_title, withdrawn=row.withdrawn, facts=wear,
    )  # fmt: skip


_FACTS = (
    ("responsible", "Who sees to it"), ("due_on", "To be put right by"), ("usual_due_on", "By the house's days"),
    ("order_number", "Order"), ("put_right_by", "Put right by"), ("done_on", "Put right on"),
    ("parts_used", "Parts used"), ("decided_by", "Decided by"), ("until", "Until"), ("re_look_on", "Look again on"),
)  # fmt: skip


def _events(db: Database, found: Deficiency, files: dict[str, Attachment]) -> list[Told]:
    told = []
    for event in list_deficiency_events(db, found.id):
        moved = event.from_state != event.to_state
        mark = not moved and event.to_state == "work_done" and "looked_at" in event.proof
        head = STATE_TITLES[DeficiencyState(event.to_state)].capitalize() if moved else ""
        head = "Checked by the repairer only: unfinished" if mark else head
        facts = tuple((words, event.proof[key]) for key, words in _FACTS if event.proof.get(key)) if head else ()
        who = event.by_name + (f" as {event.role.replace('_', ' ')}" if event.role else "")
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
    ending = get_ending(db, tag_out.id)
    if ending is not None:
        head = f"Stop {ending.state.value}: {tag_out.scope}"
        who = ", ".join(filter(None, (ending.by_name, ending.second_name)))
        told.append(Told(ending.at, "stop", head, ending.reason, who))
    return told
