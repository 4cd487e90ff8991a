"""What people decide on a walk at review: countersigns, differing looks, grades, parts that do not apply."""

from collections.abc import Sequence
from datetime import datetime

from sqlite_utils import Database

from inspect_app.domain.checklist import GRADE_RANK, GRADE_TITLES, Grade
from inspect_app.domain.deficiency import DeficiencyState
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed, NotFound
from inspect_app.domain.ids import to_key
from inspect_app.domain.part_result import CONFIRMED, REFUSED
from inspect_app.domain.role import Role, allows
from inspect_app.domain.walk import (
    DecisionKind,
    Finding,
    How,
    Look,
    LookResult,
    differing_looks,
    outcome,
    standing_looks,
    with_decided_grades,
)
from inspect_app.store.accepted_condition import end_accepted_of_part
from inspect_app.store.db import write_transaction
from inspect_app.store.deficiency import (
    add_deficiency_event,
    find_deficiency_of_finding,
    get_deficiency,
    set_deficiency_grade,
)
from inspect_app.store.journal import append_journal, item
from inspect_app.store.look import update_part_state
from inspect_app.store.membership import get_membership
from inspect_app.store.person import get_person
from inspect_app.store.tag_out import raise_tag_out
from inspect_app.store.walk import find_line_set_of_part, get_walk
from inspect_app.store.walk_look import add_countersign, add_decision, list_decisions, list_looks_of_walk


def require_role(db: Database, house: str, person: str, permission: str) -> frozenset[Role]:
    """The person's roles in the house. Raises NotAllowed unless one of them carries the permission."""
    standing = get_membership(db, house, person)
    roles = standing[1] if standing else frozenset()
    if not allows(permission, roles):
        raise NotAllowed("Your role in this house does not allow this.")
    return roles


def _looks(db: Database, house: str, walk: str) -> tuple[Look, ...]:
    if get_walk(db, house, walk) is None:
        raise NotFound("There is no such walk in this house.")
    return with_decided_grades(list_looks_of_walk(db, house, walk), list_decisions(db, walk))


def countersign_entries(
    db: Database, *, at: datetime, actor: str, house: str, walk: str, entries: Sequence[str], how: How
) -> int:
    """Give one's word for entries that a helper recorded; returns how many were not yet answered by this person.

    Raises BadValue when none is named, NotFound for an entry that waits for no countersign on this walk, NotAllowed for
    one's own entries.
    """
    if not entries:
        raise BadValue("Choose at least one entry.", "entries")
    with write_transaction(db):
        require_role(db, house, actor, "walk.countersign")
        waiting = {look.entry: look for look in _looks(db, house, walk) if look.needs_countersign}
        for entry in entries:
            if entry not in waiting:
                raise NotFound("One of these entries waits for no countersign on this walk. Load the page again.")
            if waiting[entry].by == actor:
                raise NotAllowed("Nobody countersigns their own entries. Ask another director or inspector.")
        done = [entry for entry in entries if add_countersign(db, entry=entry, by=actor, how=how, at=at)]
        for part in {waiting[entry].part for entry in done}:
            update_part_state(db, house, part)
        items = [item("countersign", entry, [actor, how.value]) for entry in done]
        append_journal(db, at=at, actor=actor, action="walk.countersign", house=house, items=items)
    return len(done)


def decide_between(db: Database, *, at: datetime, actor: str, house: str, walk: str, keep: str, reason: str) -> None:
    """Let the look `keep` count and set aside those that say something else of the same points.

    Raises NotFound when nothing differs from it, BadValue when a worse look is set aside without a reason, NotAllowed
    when a qualified inspector's look would be set aside by somebody who is not one.
    """
    with write_transaction(db):
        roles = require_role(db, house, actor, "walk.decide")
        standing = standing_looks(_looks(db, house, walk))
        groups = differing_looks(standing, list_decisions(db, walk))
        group = next((g for g in groups if any(look.entry == keep for look in g.looks)), None)
        if group is None:
            raise NotFound("No other look differs from this one. Load the page again.")
        kept = next(look for look in group.looks if look.entry == keep)
        others = [look for look in group.looks if look.entry != keep]
        if any(outcome(look) > outcome(kept) for look in others) and not reason.strip():
            raise BadValue("Say why the worse look does not count.", "reason")
        if Role.INSPECTOR not in roles:
            for name in filter(None, (_inspector_of(db, house, look.called_by, look.by) for look in others)):
                raise NotAllowed(f"{name} is a qualified inspector: only a qualified inspector sets that look aside.")
        choices = [(keep, keep), *((look.entry, keep) for look in others)]
        items = []
        for entry, choice in choices:
            new = add_decision(
                db, walk=walk, part=kept.part, entry=entry, kind=DecisionKind.SET_ASIDE, choice=choice,
                reason=reason.strip(), by=actor, at=at,
            )  # fmt: skip
            items.append(item("decision", new, [entry, choice, reason.strip()]))
        append_journal(db, at=at, actor=actor, action="walk.decide", house=house, items=items)


def _inspector_of(db: Database, house: str, *people: str) -> str:
    """The name of the first of these people who is a qualified inspector in the house; '' when none is."""
    for key in filter(None, people):
        standing, person = get_membership(db, house, key), get_person(db, key)
        if standing and person and Role.INSPECTOR in standing[1]:
            return person.name
    return ""


def _check_lowered(db: Database, house: str, walk: str, finding: str, grade: Grade) -> None:
    """Raise NotAllowed for a grade below the last that a qualified inspector gave, on the walk or at review."""
    look, found = _finding(list_looks_of_walk(db, house, walk), finding)
    said = [(found.grade, _inspector_of(db, house, look.called_by, look.by))]
    said += [
        (Grade(one.choice), _inspector_of(db, house, one.by))
        for one in list_decisions(db, walk)
        if one.kind is DecisionKind.GRADE and one.finding == finding
    ]
    last, name = next(((graded, name) for graded, name in reversed(said) if name), (grade, ""))
    if GRADE_RANK[grade] < GRADE_RANK[last]:
        raise NotAllowed(f"{name} is a qualified inspector: only a qualified inspector lowers that grade.")


def decide_grade(
    db: Database, *, at: datetime, actor: str, house: str, walk: str, finding: str, grade: Grade, reason: str
) -> None:
    """Give a finding another action grade. Raising it is free, lowering it needs a reason and is printed.

    The deficiency follows. *Stop use* also takes the set, area or part out of use at once; lowering never lifts a stop.
    Raises NotFound, BadValue, and NotAllowed where somebody else would lower what a qualified inspector said.
    """
    with write_transaction(db):
        roles = require_role(db, house, actor, "walk.decide")
        look, found = _finding(_looks(db, house, walk), finding)
        proposed = Grade(found.proposed_grade) if found.proposed_grade else found.grade
        floor = max(GRADE_RANK[found.grade], GRADE_RANK[proposed])
        if GRADE_RANK[grade] < floor and not reason.strip():
            raise BadValue(f"Say why {GRADE_TITLES[grade]} is enough; the reason is printed in the report.", "reason")
        if Role.INSPECTOR not in roles:
            _check_lowered(db, house, walk, finding, grade)
        new = add_decision(
            db, walk=walk, part=found.part, finding=finding, kind=DecisionKind.GRADE, choice=grade.value,
            reason=reason.strip(), by=actor, at=at,
        )  # fmt: skip
        items = [item("decision", new, [finding, grade.value, reason.strip()])]
        _regrade_deficiency(db, house, actor, at, finding, grade, reason)
        if grade is Grade.STOP_USE and found.grade is not Grade.STOP_USE:
            line_set, area = find_line_set_of_part(db, house, found.part)
            why = f"{found.point_text}: {found.note or found.defect or 'graded stop use at review'}"
            tag_out = raise_tag_out(
                db, house=house, line_set=line_set, area=None, part=found.part, from_entry=look.entry, why=why,
                by=actor, at=at,
            )  # fmt: skip
            items.append(item("tag_out", tag_out, [line_set or area, found.part, why]))
        append_journal(db, at=at, actor=actor, action="walk.grade", house=house, items=items)


def _finding(looks: Sequence[Look], finding: str) -> tuple[Look, Finding]:
    for look in standing_looks(looks):
        for found in look.findings:
            if found.id == finding:
                return look, found
    raise NotFound("This finding does not stand on this walk. Load the page again.")


def _regrade_deficiency(
    db: Database, house: str, actor: str, at: datetime, finding: str, grade: Grade, reason: str
) -> None:
    key = find_deficiency_of_finding(db, house, finding)
    deficiency = get_deficiency(db, house, key) if key else None
    if deficiency is None or deficiency.grade is grade:
        return
    words = f"Graded {GRADE_TITLES[grade]} at review, was {GRADE_TITLES[deficiency.grade]}."
    set_deficiency_grade(db, deficiency.id, grade)
    update_part_state(db, house, deficiency.part)
    back = grade is Grade.STOP_USE and deficiency.state is DeficiencyState.PUT_OFF  # stop use is never put off
    add_deficiency_event(
        db, deficiency=deficiency, to_state=DeficiencyState.FOUND if back else deficiency.state, by=actor, role="",
        at=at, note=" ".join(filter(None, (words, reason.strip()))), proof={},
    )  # fmt: skip
    if grade is Grade.STOP_USE:
        end_accepted_of_part(db, to_key(deficiency.id), at, "stop use")


def confirm_not_applicable(
    db: Database, *, at: datetime, actor: str, house: str, walk: str, entry: str, applies: bool, reason: str
) -> None:
    """Confirm that a part is not asked, or refuse it (`applies`), which needs a reason. Raises NotFound, BadValue."""
    with write_transaction(db):
        require_role(db, house, actor, "walk.decide")
        look = next((look for look in standing_looks(_looks(db, house, walk)) if look.entry == entry), None)
        if look is None or look.result is not LookResult.NOT_APPLICABLE:
            raise NotFound("This entry does not say *not applicable* on this walk. Load the page again.")
        if look.by == actor and not applies and look.needs_countersign:
            raise Conflict("A helper's entry is countersigned by somebody else first.")
        if applies and not reason.strip():
            raise BadValue("Say why the part does apply.", "reason")
        choice = REFUSED if applies else CONFIRMED
        new = add_decision(
            db, walk=walk, part=look.part, entry=entry, kind=DecisionKind.NOT_APPLICABLE, choice=choice,
            reason=reason.strip(), by=actor, at=at,
        )  # fmt: skip
        items = [item("decision", new, [entry, choice, reason.strip()])]
        append_journal(db, at=at, actor=actor, action="walk.not_applicable", house=house, items=items)
