"""Signing in figures of rows from memory, and choosing which rule set governs a criterion, each on record for ever."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, replace
from datetime import date, datetime
from typing import NamedTuple

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.actions.walk import require_role
from inspect_app.domain.asked_limits import measures_by_kind
from inspect_app.domain.checklist import Checklist
from inspect_app.domain.criteria import Criterion, Rule
from inspect_app.domain.errors import BadValue, Conflict, NotAllowed, NotFound
from inspect_app.domain.house_criteria import may_be_signed, signed_rule, strictness_of
from inspect_app.domain.house_rule import PLACES, STRICTNESS_WORDS, GoverningChoice, SignedValue, Strictness
from inspect_app.domain.judged_measure import judging_attributes
from inspect_app.domain.role import Role
from inspect_app.store.db import write_transaction
from inspect_app.store.house import get_house, set_house
from inspect_app.store.house_criteria import (
    add_governing_choice,
    add_signed_value,
    criteria_for,
    list_governing_choices,
    list_signed_values,
)
from inspect_app.store.journal import append_journal, item
from inspect_app.store.walk_record import get_inventory

LONGEST = 500  # characters of a field


def find_rule(criteria: Mapping[str, Criterion], rule: str) -> Rule:
    """A row by its id. Raises NotFound."""
    for criterion in criteria.values():
        for one in criterion.rules:
            if one.id == rule:
                return one
    raise NotFound("There is no such row in the criteria.")


def sign_value(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    base: Mapping[str, Criterion],
    rule: str,
    figures: Sequence[str],
    unit: str,
    op: str,
    edition: str,
    clause: str,
    name: str,
    credential: str,
    on: str,
) -> SignedValue:
    """Enter the figures of a row from memory, looked up in the house's own copy; from then on the row judges there.

    Raises NotAllowed for a role that is not competent, Conflict for a row that is not from memory, BadValue.
    """
    held = find_rule(base, rule)
    if not may_be_signed(held):
        raise Conflict("This row was read in its document already; only rows from memory are entered here.")
    looked_up = LookedUp(figures, unit, op, edition, clause, name, credential, on)
    return keep_looked_up(db, at, actor, house, rule, looked_up, lambda value: signed_rule(held, value))


class LookedUp(NamedTuple):
    """What somebody read in their own copy of a document, as typed."""

    figures: Sequence[str]
    unit: str
    op: str
    edition: str
    clause: str
    name: str
    credential: str
    on: str


def keep_looked_up(
    db: Database,
    at: datetime,
    actor: str,
    house: str,
    key: str,
    given: LookedUp,
    check: Callable[[SignedValue], object],
) -> SignedValue:
    """Keep a signed value under `key`; `check` raises where its figures cannot be. Raises NotAllowed, BadValue."""
    _filled(edition=(given.edition, "the edition of your copy"), clause=(given.clause, "the clause, table or page"))
    _filled(name=(given.name, "your name"), credential=(given.credential, "what qualifies you"))
    signed = SignedValue(
        id=clock.new_id(), rule=key, figures=tuple(figure.strip() for figure in given.figures), unit=given.unit,
        op=given.op, edition=given.edition.strip(), clause=given.clause.strip(), name=given.name.strip(),
        credential=given.credential.strip(), on=_day(given.on, at), by="", at=at.isoformat(timespec="milliseconds"),
    )  # fmt: skip
    check(signed)
    _keep_signed(db, at, actor, house, signed, "criteria.sign")
    return signed


def withdraw_value(db: Database, *, at: datetime, actor: str, house: str, rule: str, reason: str) -> None:
    """Take a signed figure back: the row is off again; what was judged and sealed by it stays as it was.

    Raises NotAllowed, NotFound when nothing is signed in for the row, BadValue without a reason.
    """
    _filled(reason=(reason, "why it is withdrawn"))
    standing = {one.rule: one for one in list_signed_values(db, house)}.get(rule)
    if standing is None or standing.withdrawn:
        raise NotFound("Nothing is signed in for this row in this house.")
    back = SignedValue(
        id=clock.new_id(), rule=rule, figures=standing.figures, unit=standing.unit, op=standing.op,
        edition=standing.edition, clause=standing.clause, name=standing.name, credential=standing.credential,
        on=standing.on, by="", at=at.isoformat(timespec="milliseconds"), withdrawn=True, reason=reason.strip(),
    )  # fmt: skip
    _keep_signed(db, at, actor, house, back, "criteria.withdraw")


def _keep_signed(db: Database, at: datetime, actor: str, house: str, value: SignedValue, action: str) -> None:
    with write_transaction(db):
        require_role(db, house, actor, "criteria.sign")
        add_signed_value(db, house, value, actor)
        items = [item("signed_value", value.id, asdict(value))]
        append_journal(db, at=at, actor=actor, action=action, house=house, items=items)


def strictness_here(
    db: Database, house: str, checklists: Sequence[Checklist], criterion: Criterion, source: str
) -> Strictness:
    """How strict a document of a criterion is for the parts of a house, by their worked-out limits."""
    inventory = get_inventory(db, house)
    asked = measures_by_kind(checklists)
    kinds = {kind for kind, rows in asked.items() if any(row.criterion == criterion.key for row in rows)}
    sets = {
        tuple(sorted(judging_attributes(inventory, part).items()))
        for part in inventory.parts
        if part.kind in kinds and part.retired_on is None
    }
    return strictness_of(criterion, source, [dict(one) for one in sorted(sets)])


def choose_governing(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    base: Mapping[str, Criterion],
    checklists: Sequence[Checklist],
    criterion: str,
    source: str,
    name: str = "",
    credential: str = "",
    reason: str = "",
) -> GoverningChoice:
    """Let one document govern a criterion in this house; an empty `source` takes the choice back.

    All rule sets stay shown, and outside by any of them stays outside. Raises NotFound, NotAllowed, and BadValue when
    the choice is not plainly the strictest and a name, a credential or the reason is missing.
    """
    held = criteria_for(db, house, base).get(criterion)
    if held is None:
        raise NotFound("There is no such criterion.")
    if source and held.is_condition:
        raise BadValue("What is seen is outside by every document that names it: none of them governs here.", "source")
    documents = {rule.source.key: rule.source.document for rule in held.rules if rule.active}
    if source and source not in documents:
        raise BadValue("Choose one of the documents whose rows judge here.", "source")
    strictness = strictness_here(db, house, checklists, held, source) if source else Strictness.STRICTEST
    if strictness is not Strictness.STRICTEST:
        why = f"Here {STRICTNESS_WORDS[strictness]}: write"
        fields = {"name": (name, "the name of the qualified person"), "credential": (credential, "what qualifies them")}
        _filled(why, **fields, reason=(reason, "the reason"))
    elif not source:
        _filled(reason=(reason, "why the choice is taken back"))
    choice = GoverningChoice(
        id=clock.new_id(), criterion=criterion, source=source, document=documents.get(source, ""),
        strictness=strictness.value, name=name.strip(), credential=credential.strip(), reason=reason.strip(), by="",
        at=at.isoformat(timespec="milliseconds"),
    )  # fmt: skip
    with write_transaction(db):
        roles = require_role(db, house, actor, "criteria.govern")
        if strictness is not Strictness.STRICTEST and Role.INSPECTOR not in roles:
            raise NotAllowed(
                f"Here {STRICTNESS_WORDS[strictness]}. Only a qualified inspector of the house chooses it."
            )
        if not source and not _stands(db, house, criterion):
            raise NotFound("No document was chosen for this criterion.")
        add_governing_choice(db, house, choice, actor)
        items = [item("governing_choice", choice.id, asdict(choice))]
        append_journal(db, at=at, actor=actor, action="criteria.govern", house=house, items=items)
    return choice


def _stands(db: Database, house: str, criterion: str) -> bool:
    standing = {one.criterion: one for one in list_governing_choices(db, house)}.get(criterion)
    return standing is not None and bool(standing.source)


def _filled(lead: str = "Fill in", **fields: tuple[str, str]) -> None:
    for field, (text, words) in fields.items():
        if not text.strip():
            raise BadValue(f"{lead} {words}.", field)
        if len(text) > LONGEST:
            raise BadValue(f"Keep this under {LONGEST} characters.", field)


def _day(on: str, at: datetime) -> str:
    try:
        day = date.fromisoformat(on.strip())
    except ValueError:
        raise BadValue("Write the day you looked it up as YYYY-MM-DD.", "on") from None
    if day > at.date():
        raise BadValue("The day you looked it up lies in the future.", "on")
    return day.isoformat()


def choose_place(db: Database, *, at: datetime, actor: str, house: str, place: str) -> None:
    """Say which place's law holds for a house, '' for not said. Raises NotAllowed, BadValue, NotFound."""
    if place not in PLACES:
        raise BadValue("Choose one of the places.", "place")
    with write_transaction(db):
        require_role(db, house, actor, "house.edit")
        before = get_house(db, house)
        settings = {key: value for key, value in before.settings.items() if key != "jurisdiction"}
        changed = replace(before, settings=settings | ({"jurisdiction": place} if place else {}))
        set_house(db, changed)
        items = [item("house", house, [house, "jurisdiction", place])]
        append_journal(db, at=at, actor=actor, action="criteria.place", house=house, items=items)
