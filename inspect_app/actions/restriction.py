"""Putting a limit on use, or a temporary measure in place, and ending it."""

from collections.abc import Mapping
from datetime import date, datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.walk import require_role
from inspect_app.domain.checklist import GRADE_RANK
from inspect_app.domain.deficiency import Deficiency
from inspect_app.domain.errors import BadValue, NotAllowed, NotFound
from inspect_app.domain.part import PartKind
from inspect_app.domain.restriction import BY_HAND, Restriction, RestrictionKind, check_ending, check_restriction
from inspect_app.domain.role import Role
from inspect_app.domain.tag_out import Group, group_of
from inspect_app.store.db import write_transaction
from inspect_app.store.deficiency import get_deficiency
from inspect_app.store.journal import append_journal, item
from inspect_app.store.restriction import add_restriction, end_restriction_row, get_restriction
from inspect_app.store.tag_out import find_scope


def set_restriction(
    db: Database,
    *,
    at: datetime,
    today: date,
    actor: str,
    house: str,
    kind: RestrictionKind,
    texts: Mapping[str, str],
    until: date | None,
    recheck_on: date | None = None,
    line_set: str | None = None,
    area: str | None = None,
    part: str | None = None,
    deficiency: str | None = None,
) -> str:
    """Restrict a set, an area or a part, or put a temporary measure in place; returns its id.

    `texts` holds what, load_limit, travel_limit and who. One for a deficiency binds what the deficiency is on, unless
    something else is named. Raises BadValue, NotFound.
    """
    if kind not in BY_HAND:
        raise BadValue("A condition on use comes with the signature of a qualified inspector.", "kind")
    check_restriction(kind, texts, until, recheck_on, today)
    if until is None:
        raise BadValue("Name its last day.", "until")
    with write_transaction(db):
        require_role(db, house, actor, "restriction.set")
        found = get_deficiency(db, house, deficiency) if deficiency else None
        if deficiency and found is None:
            raise NotFound("There is no such deficiency in this house.")
        if found is not None and not (line_set or area or part):
            part = found.part
        scope = find_scope(db, house, line_set=line_set, area=area, part=part)
        if scope is None:
            raise NotFound("There is no such line set, area or part in this house.")
        clean = {name: texts.get(name, "").strip() for name in ("what", "load_limit", "travel_limit", "who")}
        new = Restriction(
            id=clock.new_id(),
            house=house,
            kind=kind,
            line_set=scope.line_set,
            area=scope.area,
            part=scope.part,
            deficiency=deficiency,
            what=clean["what"],
            load_limit=clean["load_limit"],
            travel_limit=clean["travel_limit"],
            who=clean["who"],
            until=until,
            recheck_on=recheck_on,
            by_name="",
            at=at,
        )
        add_restriction(db, new, actor)
        said = [kind.value, scope.line_set, scope.area, scope.part, deficiency, clean, until.isoformat()]
        items = [item("restriction", new.id, said)]
        append_journal(db, at=at, actor=actor, action="restriction.set", house=house, items=items)
    return new.id


def end_restriction(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    restriction: str,
    reason: str,
    name: str = "",
    credential: str = "",
) -> None:
    """End one, with the reason; a condition on use with the qualified person who lifts it, as typed.

    Where that would lower the grade of a deficiency that rose when it ran out, it is for who may lower that grade.
    Raises NotFound, Conflict, BadValue, NotAllowed.
    """
    with write_transaction(db):
        held = require_role(db, house, actor, "restriction.set")
        found = get_restriction(db, house, restriction)
        if found is None:
            raise NotFound("There is no such restriction in this house.")
        check_ending(found, reason, name, credential)
        before = get_deficiency(db, house, found.deficiency) if found.deficiency else None
        lifted = [name.strip(), credential.strip()] if found.kind is RestrictionKind.CONDITION else ["", ""]
        end_restriction_row(
            db, restriction, by=actor, at=at, reason=reason.strip(), name=lifted[0], credential=lifted[1]
        )
        _check_fall(db, found, before, held)
        items = [item("restriction", restriction, ["ended", reason, *filter(None, lifted)])]
        append_journal(db, at=at, actor=actor, action="restriction.end", house=house, items=items)


def _check_fall(db: Database, ended: Restriction, before: Deficiency | None, held: frozenset[Role]) -> None:
    """Raise NotAllowed where an end lowered a grade on load path, brake or structure: that is the inspector's to do."""
    after = get_deficiency(db, ended.house, before.id) if before is not None else None
    if before is None or after is None or GRADE_RANK[after.grade] >= GRADE_RANK[before.grade]:
        return
    if group_of(PartKind(before.part_kind), on_line_set=False) is not Group.OTHER and Role.INSPECTOR not in held:
        raise NotAllowed(
            f"The grade of deficiency {before.number} rose when this ran out and would fall again: on load path, brake "
            "or structure only a qualified inspector lowers it. It stays."
        )
