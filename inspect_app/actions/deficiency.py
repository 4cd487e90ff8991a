"""Moves in the life of a deficiency, each under a named role, by the one table of domain/deficiency_move.py."""

from collections.abc import Mapping
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlite_utils import Database

from inspect_app.actions.relook import ask_relook
from inspect_app.actions.walk import require_role
from inspect_app.domain.deficiency import Deficiency, DeficiencyState, worse_grade
from inspect_app.domain.deficiency_move import Standing, Transition, check_move
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.part import PartKind
from inspect_app.domain.person import may_be, same_person
from inspect_app.domain.repair_policy import RepairPolicy, default_due
from inspect_app.domain.role import Role
from inspect_app.domain.tag_out import group_of
from inspect_app.store.db import write_transaction
from inspect_app.store.deficiency import (
    add_deficiency_event,
    add_findings,
    find_checked_as,
    find_deficiency_by_number,
    get_deficiency,
    set_deficiency_facts,
    set_deficiency_grade,
)
from inspect_app.store.deficiency_story import list_stops_of_deficiency
from inspect_app.store.house import get_house
from inspect_app.store.journal import append_journal, item
from inspect_app.store.look import update_part_state
from inspect_app.store.membership import list_members
from inspect_app.store.person import get_person

S = DeficiencyState


def require_deficiency(db: Database, house: str, deficiency: str) -> Deficiency:
    """The deficiency of the house. Raises NotFound."""
    found = get_deficiency(db, house, deficiency)
    if found is None:
        raise NotFound("There is no such deficiency in this house.")
    return found


def today_in(db: Database, house: str, at: datetime) -> date:
    """The day that it is in the house at a moment."""
    return at.astimezone(ZoneInfo(get_house(db, house).tz)).date()


def standing_of(db: Database, found: Deficiency, by: str) -> Standing:
    """What a move of this deficiency by a person turns on now.

    Where who put it right was typed by name, it counts as theirs if the name may be theirs: nobody checks own work by
    having written it otherwise.
    """
    group = group_of(PartKind(found.part_kind), on_line_set=False)
    stops = list_stops_of_deficiency(db, found.house, found.id, standing_only=True)
    person = get_person(db, by) if found.put_right_by and not found.repairer else None
    repairer = by if person is not None and may_be(found.put_right_by, person.name) else found.repairer
    checked_as = find_checked_as(db, found.id) if found.state is S.CHECKED else ""
    return Standing(found.state, found.grade, group, repairer, bool(stops), checked_as)


def name_person(db: Database, house: str, person: str, typed: str) -> tuple[str, str]:
    """(id, name) of a person chosen by id or typed by name; the id is '' for somebody from elsewhere.

    A typed name that is a member's is that member, so that nobody passes for a second person. Raises BadValue.
    """
    members = {
        one.person.id: one.person.name for one in list_members(db, house) if not one.ended or one.person.id == person
    }
    if person:
        if person not in members:
            raise BadValue("This person does not belong to the house.", "responsible")
        return person, members[person]
    name = " ".join(typed.split())
    same = [key for key, known in members.items() if same_person(known, name)]
    return (same[0] if len(same) == 1 else "", name)


def move_deficiency(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    deficiency: str,
    to_state: DeficiencyState,
    role: Role,
    proof: Mapping[str, str],
    policy: RepairPolicy | None = None,
) -> None:
    """Move a deficiency on, acting under a named role, with the proof that the table asks for.

    `proof` has the texts under the names of the table; people as `responsible_id` or `responsible`, `put_right_by_id`
    or `put_right_by`; a contractor as `contractor`. With `policy` a day later than the house's days is marked so.
    Raises what check_move raises, and NotFound.
    """
    with write_transaction(db):
        found = require_deficiency(db, house, deficiency)
        _move(db, at, actor, found, to_state, role, dict(proof), policy)


def _move(
    db: Database,
    at: datetime,
    actor: str,
    found: Deficiency,
    to_state: DeficiencyState,
    role: Role,
    proof: dict[str, str],
    policy: RepairPolicy | None = None,
) -> Deficiency:
    held = require_role(db, found.house, actor, "deficiency.move")
    _resolve_people(db, found.house, proof)
    row = check_move(
        standing_of(db, found, actor), to_state, by=actor, role=role, held=held, proof=proof,
        today=today_in(db, found.house, at),
    )  # fmt: skip
    proof = _kept(row, proof)
    if policy is not None and to_state is S.DECIDED:
        proof |= _beyond_days(db, found, proof["due_on"], policy)
    if to_state is S.SAME:
        _carry_on(db, at, actor, found, role, proof)
    note = next((proof[name] for name in _SAYS if proof.get(name)), "")
    add_deficiency_event(
        db, deficiency=found, to_state=to_state, by=actor, role=role.value, at=at, note=note, proof=proof
    )
    set_deficiency_facts(db, found.id, _facts(to_state, found.state, proof))
    update_part_state(db, found.house, found.part)
    if proof.get("re_look_on"):
        ask_relook(
            db, at=at, actor=actor, house=found.house, part=found.part, look_on=date.fromisoformat(proof["re_look_on"]),
            reason=f"After the repair of deficiency {found.number}", deficiency=found.id,
        )  # fmt: skip
    items = [item("deficiency", found.id, [to_state.value, role.value, note, proof])]
    append_journal(db, at=at, actor=actor, action=f"deficiency.{to_state.value}", house=found.house, items=items)
    return require_deficiency(db, found.house, found.id)


_SAYS = ("decision", "what", "looked_at", "reason", "note")
_WITH_IDS = ("responsible", "put_right_by")


def _resolve_people(db: Database, house: str, proof: dict[str, str]) -> None:
    for name in _WITH_IDS:
        if name in proof or f"{name}_id" in proof:
            proof[f"{name}_id"], proof[name] = name_person(db, house, proof.get(f"{name}_id", ""), proof.get(name, ""))
    contractor = " ".join(proof.get("contractor", "").split())
    proof["contractor"] = contractor
    if proof.get("responsible") and not proof["responsible_id"] and not contractor:
        proof["contractor"] = proof["responsible"]
    if contractor and not proof.get("responsible"):
        proof["responsible"] = contractor


def _kept(row: Transition, proof: Mapping[str, str]) -> dict[str, str]:
    """The proof that belongs to a move, without empty texts."""
    names = {*row.needs, *row.may_have}
    names |= {f"{name}_id" for name in _WITH_IDS if name in names}
    names |= {"contractor"} if "responsible" in names else set()
    return {name: text.strip() for name, text in proof.items() if name in names and text.strip()}


def _beyond_days(db: Database, found: Deficiency, due_on: str, policy: RepairPolicy) -> dict[str, str]:
    usual = default_due(policy, found.grade, found.found_at, ZoneInfo(get_house(db, found.house).tz)).isoformat()
    return {"usual_due_on": usual} if due_on > usual else {}


def _facts(to_state: DeficiencyState, from_state: DeficiencyState, proof: Mapping[str, str]) -> dict[str, str | int]:
    """What stands beside the state after a move."""
    facts: dict[str, str | int] = {"put_off_until": proof.get("until", "")}
    if to_state in (S.DECIDED, S.IN_HAND):
        facts |= {"responsible": proof.get("responsible_id", ""), "contractor": proof.get("contractor", "")}
        facts |= {name: proof[name] for name in ("due_on", "order_number") if proof.get(name)}
    if to_state is S.WORK_DONE and from_state is S.WORK_DONE:
        facts["own_check"] = 1
    elif to_state is S.WORK_DONE:
        facts |= {"repairer": proof.get("put_right_by_id", "")}
        facts |= {name: proof[name] for name in ("put_right_by", "done_on")}
    if to_state is S.SAME:
        facts["same_as"] = proof["same_as_id"]
    return facts


def _carry_on(db: Database, at: datetime, actor: str, found: Deficiency, role: Role, proof: dict[str, str]) -> None:
    """Let another deficiency of the same part carry on this one, with its findings and the graver of both grades."""
    number = proof["same_as"].removeprefix("#")
    other = find_deficiency_by_number(db, found.house, int(number)) if number.isascii() and number.isdigit() else None
    if other is None or other.id == found.id:
        raise BadValue("There is no other deficiency with this number.", "same_as")
    if not other.open:
        raise Conflict(f"Number {other.number} is closed: nothing would be followed any more.", "same_as")
    if other.state is S.CHECKED:
        raise Conflict(
            f"Number {other.number} was checked before this was said to be the same: nobody has checked this one. Send "
            f"number {other.number} back first, so that both are checked.",
            "same_as",
        )
    if other.part != found.part:
        raise Conflict(
            f"Number {other.number} is on {other.part_tag}, this is on {found.part_tag}. Each part keeps a number of "
            "its own, so that none looks as if nothing were found on it; give both one order in the register instead.",
            "same_as",
        )
    proof["same_as_id"], proof["reason"] = other.id, f"The same fault as number {other.number}; it is followed there."
    add_findings(db, other.id, found.findings)
    grade = worse_grade(other.grade, found.grade)
    if grade is not other.grade:
        set_deficiency_grade(db, other.id, grade, at)
    to_state = S.FOUND if other.state is S.PUT_OFF and grade is not other.grade else other.state
    add_deficiency_event(
        db, deficiency=other, to_state=to_state, by=actor, role=role.value, at=at,
        note=f"Number {found.number} is the same fault and is followed here.", proof={"joined": str(found.number)},
    )  # fmt: skip


def record_checked_repair(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    deficiency: str,
    role: Role,
    put_right_by: str,
    put_right_by_id: str,
    done_on: str,
    what: str,
    looked_at: str = "",
) -> None:
    """Write down a repair that was made and checked before it came into the log: decided, work done, checked.

    Each step is an event of its own under the same role and the same table; what is open of them is made. It is
    settled on its own (settle_deficiency), once no stop raised from it stands. `looked_at` is `what` when empty.
    """
    proof = {"put_right_by": put_right_by, "put_right_by_id": put_right_by_id, "done_on": done_on, "what": what}
    proof |= {
        "responsible": put_right_by,
        "responsible_id": put_right_by_id,
        "due_on": done_on,
        "looked_at": looked_at or what,
    }
    proof["decision"] = "Repaired before it was written down here."
    with write_transaction(db):
        found = require_deficiency(db, house, deficiency)
        for to_state in (S.DECIDED, S.WORK_DONE, S.CHECKED):
            if to_state is S.DECIDED and found.state in (S.DECIDED, S.IN_HAND):
                continue
            found = _move(db, at, actor, found, to_state, role, dict(proof))


def settle_deficiency(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    deficiency: str,
    role: Role,
    re_look_on: str = "",
    note: str = "",
) -> None:
    """Settle what was checked; refused while a stop raised from it stands. `re_look_on`: when to look again."""
    proof = {"re_look_on": re_look_on, "note": note}
    move_deficiency(
        db, at=at, actor=actor, house=house, deficiency=deficiency, to_state=S.SETTLED, role=role, proof=proof
    )


def find_no_fault(
    db: Database, *, at: datetime, actor: str, house: str, deficiency: str, role: Role, reason: str
) -> None:
    """Say that there is no fault, with the reason. A stop that stands goes on standing until it is released."""
    move_deficiency(
        db, at=at, actor=actor, house=house, deficiency=deficiency, to_state=S.NO_FAULT, role=role,
        proof={"reason": reason},
    )  # fmt: skip
