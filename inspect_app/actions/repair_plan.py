"""What is set for deficiencies beside their state: by hand, who and when, grade, risk, costs, comments, the policy."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.deficiency import name_person, require_deficiency, standing_of
from inspect_app.actions.walk import require_role
from inspect_app.domain.checklist import GRADE_RANK, GRADE_TITLES, Grade
from inspect_app.domain.deficiency import Deficiency, DeficiencyState
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed, NotFound
from inspect_app.domain.ids import to_key
from inspect_app.domain.journal import JournalItem
from inspect_app.domain.repair_policy import RepairPolicy, default_due, money, policy_settings, read_amount
from inspect_app.domain.risk import RiskMatrix, check_open_risk, risk_level
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.tag_out import Group
from inspect_app.store.accepted_condition import end_accepted_of_part
from inspect_app.store.db import write_transaction
from inspect_app.store.deficiency import (
    add_deficiency,
    add_deficiency_event,
    list_deficiencies,
    set_deficiency_facts,
    set_deficiency_grade,
)
from inspect_app.store.deficiency_story import add_cost, list_costs
from inspect_app.store.house import get_house, set_house
from inspect_app.store.journal import append_journal, item
from inspect_app.store.look import update_part_state
from inspect_app.store.tag_out import find_scope, raise_tag_out

LONGEST_COMMENT = 2000


def make_deficiency(db: Database, *, at: datetime, actor: str, house: str, part: str, what: str, grade: Grade) -> str:
    """Open a deficiency by hand, without a finding; returns its id. *Stop use* takes the thing out of use at once.

    A form that is sent twice makes one.
    Raises BadValue without words, NotFound for a part that is not in the house.
    """
    if not what.strip():
        raise BadValue("Say in a few words what is wrong.", "what")
    with write_transaction(db):
        require_role(db, house, actor, "deficiency.make")
        scope = find_scope(db, house, part=part)
        if scope is None:
            raise NotFound("There is no such part in this house.")
        for row in list_deficiencies(db, house, open_only=True):
            said = (row.part, row.what, row.grade, row.made_by)
            if said == (part, what.strip(), grade, actor) and row.found_at > at - clock.SENT_TWICE:
                return row.id
        new = add_deficiency(db, house=house, part=part, what=what.strip(), grade=grade, found_at=at, made_by=actor)
        items = [item("deficiency", new, [part, what.strip(), grade.value])]
        if grade is Grade.STOP_USE:
            items.append(_stop(db, at, actor, house, part, what.strip()))
            end_accepted_of_part(db, to_key(new), at, "stop use")
        update_part_state(db, house, part)
        append_journal(db, at=at, actor=actor, action="deficiency.make", house=house, items=items)
    return new


def _stop(db: Database, at: datetime, actor: str, house: str, part: str, why: str) -> JournalItem:
    scope = find_scope(db, house, part=part)
    tag_out = raise_tag_out(
        db, house=house, line_set=scope.line_set if scope else None, area=None, part=part, from_entry=None, why=why,
        by=actor, at=at,
    )  # fmt: skip
    return item("tag_out", tag_out, [part, why])


def regrade_deficiency(
    db: Database, *, at: datetime, actor: str, house: str, deficiency: str, role: Role, grade: Grade, reason: str
) -> None:
    """Give an open deficiency another grade, with a reason. *Stop use* also takes the thing out of use at once.

    Lowering lifts no stop, and on load path, brakes and structure it is for a qualified inspector. Raises BadValue,
    Conflict, NotAllowed, NotFound.
    """
    with write_transaction(db):
        held = require_role(db, house, actor, "deficiency.grade")
        found = _open_one(db, house, deficiency)
        lowers = GRADE_RANK[grade] < GRADE_RANK[found.grade]
        group = standing_of(db, found, actor).group
        if role not in held or role not in (Role.TD, Role.INSPECTOR):
            raise NotAllowed(f"A {ROLE_TITLES[role].lower()} gives no grades, or you do not hold this role.")
        if lowers and group is not Group.OTHER and role is not Role.INSPECTOR:
            raise NotAllowed("Only a qualified inspector lowers a grade on load path, brake or structure.")
        if not reason.strip():
            raise BadValue("Say why.", "reason")
        set_grade_with_reason(db, at=at, actor=actor, found=found, grade=grade, role=role.value, reason=reason.strip())


def set_grade_with_reason(
    db: Database, *, at: datetime, actor: str, found: Deficiency, grade: Grade, role: str, reason: str
) -> None:
    """Set the grade of an open deficiency and what follows from it, inside the caller's transaction; for a person's
    decision or for what happens by itself (a temporary measure that ran out), where `role` is ''."""
    set_deficiency_grade(db, found.id, grade, at)
    stops = grade is Grade.STOP_USE and found.grade is not Grade.STOP_USE
    back = stops and found.state is DeficiencyState.PUT_OFF
    words = f"Graded {GRADE_TITLES[grade]}, was {GRADE_TITLES[found.grade]}. {reason}"
    add_deficiency_event(
        db, deficiency=found, to_state=DeficiencyState.FOUND if back else found.state, by=actor, role=role, at=at,
        note=words, proof={"grade": grade.value},
    )  # fmt: skip
    items = [item("deficiency", found.id, [grade.value, role, reason])]
    if stops:
        items.append(_stop(db, at, actor, found.house, found.part, f"{found.what}: {reason}"))
        end_accepted_of_part(db, to_key(found.id), at, "stop use")
    update_part_state(db, found.house, found.part)
    append_journal(db, at=at, actor=actor, action="deficiency.grade", house=found.house, items=items)


def set_risk(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    deficiency: str,
    severity: str,
    probability: str,
    matrix: RiskMatrix,
) -> None:
    """Set severity and probability, which order deficiencies inside a grade and nothing else.

    Raises BadValue, also where an open deficiency is called eliminated.
    """
    check_open_risk(probability)
    level = risk_level(matrix, severity, probability)
    with write_transaction(db):
        require_role(db, house, actor, "deficiency.grade")
        found = _open_one(db, house, deficiency)
        set_deficiency_facts(db, found.id, {"severity": int(severity), "probability": probability})
        _remark(
            db, at, actor, found, f"Severity {severity}, probability {probability} ({level}).",
            {"severity": severity, "probability": probability}, "deficiency.risk",
        )  # fmt: skip


def assign_deficiencies(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    deficiencies: Sequence[str],
    facts: Mapping[str, str],
    reason: str = "",
    policy: RepairPolicy | None = None,
) -> int:
    """Set who sees to several open deficiencies, until when, and under which order; returns how many.

    `facts` may have responsible_id, contractor, due_on and order_number; empty ones are left as they are. Each gets an
    event and a journal row of its own; all or none is written. Raises BadValue, Conflict, NotFound.
    """
    given = {name: " ".join(text.split()) for name, text in facts.items() if text.strip()}
    if not deficiencies:
        raise BadValue("Choose at least one deficiency.", "chosen")
    if not given:
        raise BadValue("Say what to set: a person, a contractor, a day or an order number.", "responsible_id")
    if "due_on" in given:
        _read_day(given["due_on"])
    with write_transaction(db):
        require_role(db, house, actor, "deficiency.assign")
        zone, name = ZoneInfo(get_house(db, house).tz), ""
        if "responsible_id" in given:
            _, name = name_person(db, house, given["responsible_id"], "")
        for key in dict.fromkeys(deficiencies):
            found = _open_one(db, house, key)
            _needs_reason(found, given, reason, policy, zone)
            _assign(db, at, actor, found, given, name, reason.strip())
    return len(set(deficiencies))


def _read_day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadValue("Write the day as YYYY-MM-DD.", "due_on") from None


def _needs_reason(
    found: Deficiency, given: Mapping[str, str], reason: str, policy: RepairPolicy | None, zone: ZoneInfo
) -> None:
    if policy is None or "due_on" not in given or reason.strip():
        return
    usual = default_due(policy, found.grade, found.found_at, zone).isoformat()
    if given["due_on"] > usual:
        raise BadValue(f"Number {found.number} is due {usual} by the house's days: say why it may be later.", "reason")


_NAMES = {"due_on": "due", "contractor": "contractor", "order_number": "order"}


def _assign(
    db: Database, at: datetime, actor: str, found: Deficiency, given: Mapping[str, str], name: str, reason: str
) -> None:
    facts = {key: text for key, text in given.items() if key in _NAMES}
    said = [f"{_NAMES[key]} {text}" for key, text in facts.items()]
    if "responsible_id" in given:
        facts["responsible"] = given["responsible_id"]
        said.insert(0, f"responsible {name}")
    set_deficiency_facts(db, found.id, facts)
    note = " ".join(filter(None, (f"Set: {', '.join(said)}.", reason)))
    _remark(db, at, actor, found, note, {**given, "set": "yes"}, "deficiency.assign")


def comment_on(db: Database, *, at: datetime, actor: str, house: str, deficiency: str, text: str) -> None:
    """Keep a comment in the story of a deficiency, open or closed. Raises BadValue, NotFound."""
    if not text.strip():
        raise BadValue("Write the comment.", "text")
    if len(text) > LONGEST_COMMENT:
        raise BadValue(f"A comment has up to {LONGEST_COMMENT} characters.", "text")
    with write_transaction(db):
        require_role(db, house, actor, "deficiency.remark")
        found = require_deficiency(db, house, deficiency)
        _remark(db, at, actor, found, text.strip(), {"comment": "yes"}, "deficiency.comment")


def record_cost(
    db: Database, *, at: datetime, actor: str, house: str, deficiency: str, kind: str, amount: str, what: str = ""
) -> None:
    """Keep an estimate (it replaces the one before) or something paid (it adds up), in the house's currency.

    Raises BadValue for an amount that is none, Conflict while the house has named no currency, NotFound.
    """
    if kind not in ("estimate", "paid"):
        raise BadValue("Say whether this is an estimate or was paid.", "kind")
    exact = read_amount(amount)
    if kind == "estimate" and exact < 0:
        raise BadValue("An estimate is not below nothing.", "amount")
    with write_transaction(db):
        require_role(db, house, actor, "deficiency.cost")
        found = require_deficiency(db, house, deficiency)
        said = ("paid", exact, what.strip())  # paid twice adds up, an estimate does not
        for one in list_costs(db, house, deficiency).get(deficiency, ()) if kind == "paid" else ():
            if (one.kind, one.amount, one.what) == said and one.at and one.at > at - clock.SENT_TWICE:
                raise Conflict("The same amount was kept a moment ago. If it is another one, say so in what it is for.")
        currency = get_house(db, house).settings.get("currency", "")
        if not currency:
            raise Conflict("The house has not named its currency yet: set it under Days and currency.", "amount")
        new = add_cost(db, deficiency, kind=kind, amount=exact, currency=currency, what=what.strip(), by=actor, at=at)
        words = {"estimate": "Estimated", "paid": "Paid"}[kind]
        note = f"{words} {money(exact, currency)}{': ' + what.strip() if what.strip() else ''}"
        _remark(db, at, actor, found, note, {"cost": new}, "deficiency.cost")


def change_policy(
    db: Database, *, at: datetime, actor: str, house: str, days: Mapping[Grade, str], currency: str
) -> None:
    """Set the house's days per grade and its currency. Raises BadValue on the field it belongs to."""
    kept = policy_settings(days, currency)
    with write_transaction(db):
        require_role(db, house, actor, "deficiency.policy")
        before = get_house(db, house)
        set_house(db, replace(before, settings={**before.settings, **kept}))
        items = [item("house", house, kept)]
        append_journal(db, at=at, actor=actor, action="house.repair_policy", house=house, items=items)


def _open_one(db: Database, house: str, deficiency: str) -> Deficiency:
    found = require_deficiency(db, house, deficiency)
    if not found.open:
        raise Conflict(f"Number {found.number} is closed.")
    return found


def _remark(
    db: Database, at: datetime, actor: str, found: Deficiency, note: str, proof: Mapping[str, str], action: str
) -> None:
    add_deficiency_event(db, deficiency=found, to_state=found.state, by=actor, role="", at=at, note=note, proof=proof)
    items = [item("deficiency", found.id, [note, dict(proof)])]
    append_journal(db, at=at, actor=actor, action=action, house=found.house, items=items)
