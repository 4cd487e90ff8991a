"""Asking that a part, a set or an area be looked at again by a date, moving that date, and taking it back."""

from dataclasses import replace
from datetime import date, datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.checklist import Way
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.relook import Relook, check_relook
from inspect_app.store.db import write_transaction
from inspect_app.store.house import get_house
from inspect_app.store.journal import append_journal, item
from inspect_app.store.part import get_part
from inspect_app.store.point_clock import zone_of
from inspect_app.store.relook import add_relook, end_relook, get_relook, list_scope_parts, set_relook_day


def ask_relook(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    part: str,
    look_on: date,
    reason: str,
    way: Way = Way.SEEN_CLOSE,
    deficiency: str | None = None,
    tag_out: str | None = None,
    line_set: str | None = None,
    area: str | None = None,
) -> Relook:
    """Ask that a part be looked at again by a day, at least in this way; joins a transaction that is open.

    It is done by the first look at the part that counts, on a walk that is then sealed, made after this moment. With a
    `line_set`, else an `area`, each part that is in it now is asked for, and it is done when every one of them has had
    such a look, on one walk or several; `part` then only stands for it. Raises BadValue for a day that has passed or
    without a reason, NotFound for a part of another house or one that is not in the set or area.
    """
    with write_transaction(db):
        found = get_part(db, house, part)
        check_relook(look_on, _today(db, house, at), reason)
        made = Relook(
            clock.new_id(), house, part, look_on, reason.strip(), way, at, deficiency, tag_out, part_tag=found.tag,
            line_set=line_set, area=None if line_set else area, parts=_parts(db, house, part, line_set, area),
        )  # fmt: skip
        add_relook(db, made, actor)
        made = get_relook(db, house, made.id) or made  # with the name of its set or area
        _journal(db, at, actor, "relook.ask", made)
    return made


def _parts(db: Database, house: str, part: str, line_set: str | None, area: str | None) -> dict[str, str]:
    if not (line_set or area):
        return {}
    parts = list_scope_parts(db, house, line_set=line_set, area=area)
    if part not in parts:
        raise NotFound("The part does not belong to this line set or area, or there is no such place in this house.")
    return parts


def move_relook(
    db: Database, *, at: datetime, actor: str, house: str, relook: str, look_on: date, reason: str
) -> Relook:
    """Move a re-look to another day, saying why. Raises BadValue, NotFound, and Conflict when it is done or ended."""
    with write_transaction(db):
        kept = _waiting(db, house, relook)
        check_relook(look_on, _today(db, house, at), reason)
        moved = replace(kept, look_on=look_on, reason=reason.strip())
        set_relook_day(db, relook, moved.look_on, moved.reason)
        _journal(db, at, actor, "relook.move", moved)
    return moved


def take_back_relook(db: Database, *, at: datetime, actor: str, house: str, relook: str, reason: str) -> None:
    """Ask no more for it, saying why. Raises BadValue, NotFound, and Conflict when it is done or ended."""
    if not reason.strip():
        raise BadValue("Say why the part need not be looked at again.", "reason")
    with write_transaction(db):
        kept = _waiting(db, house, relook)
        end_relook(db, relook, reason.strip(), at)
        _journal(db, at, actor, "relook.end", replace(kept, ended_at=at, end_reason=reason.strip()))


def _waiting(db: Database, house: str, relook: str) -> Relook:
    kept = get_relook(db, house, relook)
    if kept is None:
        raise NotFound("There is no such re-look in this house.")
    if not kept.open:
        raise Conflict("This re-look is done or was taken back.")
    return kept


def _today(db: Database, house: str, at: datetime) -> date:
    return at.astimezone(zone_of(get_house(db, house).tz)).date()


def _journal(db: Database, at: datetime, actor: str, action: str, relook: Relook) -> None:
    content = [relook.part, relook.look_on.isoformat(), relook.reason, relook.way.value, relook.end_reason]
    content += [relook.deficiency or "", relook.tag_out or ""]
    if relook.whole:
        content += [relook.line_set or "", relook.area or "", *sorted(relook.parts)]
    items = [item("relook", relook.id, content)]
    append_journal(db, at=at, actor=actor, action=action, house=relook.house, items=items)
