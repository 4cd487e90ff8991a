"""Accepting a condition for a time, and ending that."""

from datetime import date, datetime

from sqlite_utils import Database

from inspect_app.actions.deficiency import today_in
from inspect_app.actions.walk import require_role
from inspect_app.domain.checklist import GRADE_RANK
from inspect_app.domain.deficiency_move import check_acceptance
from inspect_app.domain.errors import BadValue, NotFound
from inspect_app.store.accepted_condition import add_accepted, end_accepted
from inspect_app.store.db import write_transaction
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.journal import append_journal, item
from inspect_app.store.part import get_part
from inspect_app.store.tag_out import find_scope, list_standing


def accept_condition(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    part: str,
    what: str,
    accepted_by: str,
    role: str,
    reason: str,
    paper: str,
    review_by: str,
    deficiency: str = "",
) -> str:
    """Keep that the house accepts a condition until a review date; returns its id. Never for stop use.

    Deficiencies of the part (or only the one named) stay open and say that the condition is accepted. Raises BadValue,
    Conflict, NotFound.
    """
    texts = {"what": what, "accepted_by": accepted_by, "role": role, "reason": reason}
    try:
        day = date.fromisoformat(review_by)
    except ValueError:
        raise BadValue("Write the review date as YYYY-MM-DD.", "review_by") from None
    with write_transaction(db):
        require_role(db, house, actor, "condition.accept")
        scope = find_scope(db, house, part=part)
        if scope is None:
            raise NotFound("There is no such part in this house.")
        here = [row for row in list_deficiencies(db, house, open_only=True) if row.part == part]
        if deficiency and deficiency not in {row.id for row in here}:
            raise NotFound("There is no such open deficiency on this part.")
        worst = max((row.grade for row in here), key=GRADE_RANK.__getitem__, default=None)
        area = get_part(db, house, part).area
        stopped = any(
            tag.part == part or (tag.line_set and tag.line_set == scope.line_set) or tag.area == area
            for tag in list_standing(db, house)
        )
        check_acceptance(worst, stopped, day, today_in(db, house, at), texts)
        new = add_accepted(
            db, house=house, part=part, what=what.strip(), accepted_by=accepted_by.strip(), role=role.strip(),
            reason=reason.strip(), paper=paper.strip(), review_by=day.isoformat(), by=actor, at=at,
            deficiency=deficiency,
        )  # fmt: skip
        items = [item("accepted_condition", new, [part, *texts.values(), paper, day.isoformat(), deficiency])]
        append_journal(db, at=at, actor=actor, action="condition.accept", house=house, items=items)
    return new


def end_condition(db: Database, *, at: datetime, actor: str, house: str, condition: str) -> None:
    """End an accepted condition: it counts as open again. Raises NotFound."""
    with write_transaction(db):
        require_role(db, house, actor, "condition.accept")
        if not end_accepted(db, house, condition, at):
            raise NotFound("There is no such accepted condition in this house, or it has ended already.")
        items = [item("accepted_condition", condition, "ended")]
        append_journal(db, at=at, actor=actor, action="condition.end", house=house, items=items)
