"""Signing a walk and amending it: the data are sealed, numbered and journalled in one transaction."""

from collections.abc import Mapping
from datetime import datetime
from typing import NamedTuple
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlite_utils import Database

from inspect_app.actions.canonical import canonical_json
from inspect_app.actions.condition_on_use import place_conditions, put_in_force
from inspect_app.actions.second_look import answer_second_looks, draw_second_looks
from inspect_app.actions.walk import require_role
from inspect_app.domain.criteria import Criterion
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.domain.inspection import NO_INSPECTION, Inspection, check_inspection
from inspect_app.domain.review import WalkReview, review_of
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.seal import check_signer, next_number, read_drawn, root_of
from inspect_app.domain.walk import WalkState
from inspect_app.domain.walk_data import Issue, walk_data_of
from inspect_app.domain.walk_record import Signature, WalkRecord
from inspect_app.store.db import write_transaction
from inspect_app.store.house_criteria import criteria_for
from inspect_app.store.journal import append_journal, get_journal_head, item
from inspect_app.store.point_clock import update_point_clock
from inspect_app.store.seal import add_seal, add_sealed_entries, list_numbers, list_sealed_entries
from inspect_app.store.walk import set_walk_state
from inspect_app.store.walk_record import get_walk_record


class Signing(NamedTuple):
    """What a person puts their name to. `reviewed_root` is the root over the entries that were on the page."""

    role: Role
    name: str
    credential: str
    statement: str
    reviewed_root: str
    drawn: str = ""
    gaps_reason: str = ""
    inspection: Inspection = NO_INSPECTION


def sign_walk(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    walk: str,
    signing: Signing,
    criteria: Mapping[str, Criterion],
) -> Signature:
    """Seal a walk under the next number of the house's year; nothing in it changes from then on.

    `criteria` are the shipped ones; what the house has signed in and chosen is put over them. Raises NotAllowed for a
    role that may not sign it, Conflict when it is signed already, not closed, or has changed
    since it was reviewed, BadValue on a field that is missing.
    """
    with write_transaction(db):
        record = _record(db, house, walk)
        if record.signatures:
            raise Conflict("This walk is signed already. What came later is added by an amendment.")
        if not record.closings:
            raise Conflict("Say first that everybody is down and how the sets were left: fill in the closing.")
        local = at.astimezone(_zone(record.inventory.house.tz))
        number = next_number(local.year, list_numbers(db, house))
        return _seal(db, at, actor, record, signing, criteria, number, "signed")


def amend_walk(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    walk: str,
    signing: Signing,
    criteria: Mapping[str, Criterion],
) -> Signature:
    """Add a linked amendment under the same number, next revision, with all that came after the last signature.

    Raises Conflict when there is nothing to amend, and whatever sign_walk raises.
    """
    with write_transaction(db):
        record = _record(db, house, walk)
        if not record.signatures:
            raise Conflict("This walk is not signed yet. Sign it first.")
        if not has_news(record):
            raise Conflict("Nothing has come since the last signature, so there is nothing to amend.")
        return _seal(db, at, actor, record, signing, criteria, record.signatures[0].number, "amendment")


def has_news(record: WalkRecord) -> bool:
    """Whether entries, decisions or countersigns came after the last seal of a signed walk."""
    if not record.signatures:
        return False
    last = record.signatures[-1].at
    signs = (sign.at for look in record.looks for sign in look.countersigns)
    return bool(record.late) or any(at > last for at in (*signs, *(d.at for d in record.decisions)))


def _record(db: Database, house: str, walk: str) -> WalkRecord:
    record = get_walk_record(db, house, walk)
    if record is None:
        raise NotFound("There is no such walk in this house.")
    return record


def _zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return ZoneInfo("UTC")


def _seal(
    db: Database,
    at: datetime,
    actor: str,
    record: WalkRecord,
    signing: Signing,
    criteria: Mapping[str, Criterion],
    number: str,
    kind: str,
) -> Signature:
    house, walk = record.walk.house, record.walk.id
    check_signer(signing.role, require_role(db, house, actor, "walk.sign"), record.checklists)
    root = root_of(record.entries)
    if signing.reviewed_root != root:
        raise Conflict("Entries arrived while you were reviewing. Nothing was signed: review them, then sign.")
    review = review_of(record, criteria_for(db, house, criteria))
    _check_ready(review, record, signing)
    check_inspection(signing.inspection, signing.role, at.astimezone(_zone(record.inventory.house.tz)).date())
    signature = Signature(
        n=len(record.signatures) + 1,
        number=number,
        root_sha256=root,
        journal_head=get_journal_head(db).hex(),
        person=actor,
        name=signing.name.strip(),
        role=ROLE_TITLES[signing.role],
        credential=signing.credential.strip(),
        statement=signing.statement.strip(),
        drawn=read_drawn(signing.drawn),
        gaps_reason=signing.gaps_reason.strip(),
        complete=review.complete and not record.has_gaps,
        at=at,
        inspection=place_conditions(db, house, signing.inspection),
    )
    issue = Issue(kind, number, signature.n, signature.journal_head, signature)
    data = canonical_json(walk_data_of(record, review, issue))
    add_seal(db, house=house, walk=walk, signature=signature, data=data)
    _cover(db, record, signature.n)
    set_walk_state(db, walk, WalkState.SEALED, at)
    update_point_clock(db, house, walk)
    action = "walk.sign" if kind == "signed" else "walk.amend"
    items = [item("seal", f"{walk}/{signature.n}", data), *put_in_force(db, at, actor, house, walk, signature)]
    answer_second_looks(db, house=house, walk=walk, looks=record.looks, at=at)
    if kind == "signed":
        items += draw_second_looks(db, at=at, actor=actor, house=house, walk=walk, looks=record.looks)
    append_journal(db, at=at, actor=actor, action=action, house=house, items=items)
    return signature


def _check_ready(review: WalkReview, record: WalkRecord, signing: Signing) -> None:
    for field, words in (("name", "your name"), ("credential", "what qualifies you"), ("statement", "the statement")):
        if not getattr(signing, field).strip():
            raise BadValue(f"Fill in {words}.", field)
    if record.has_gaps and not signing.gaps_reason.strip():
        raise BadValue("Something that a device counted is missing. Say why; the reason is printed.", "gaps_reason")
    if review.must_decide:
        tags = ", ".join(sorted({row.part.tag for row in review.must_decide}))
        raise Conflict(f"A grade lies below what the checklist proposes and nobody said why: {tags}. Decide it first.")


def _cover(db: Database, record: WalkRecord, n: int) -> None:
    """Put the entries that no seal covers yet under seal `n`, each with the digests of its photos and voice notes."""
    known = list_sealed_entries(db, record.walk.id)
    named = [(one.id, one.sha256, one.entries) for one in record.photos]
    named += [(one.id, one.sha256, one.entries) for one in record.recordings]
    files: dict[str, list[tuple[str, str]]] = {}
    for key, sha256, entries in named:
        for entry in entries:
            files.setdefault(entry, []).append((key, sha256))
    rows = [(entry, sha256, files.get(entry, [])) for entry, sha256 in record.entries if entry not in known]
    add_sealed_entries(db, record.walk.id, n, rows)


def draft_data(db: Database, house: str, walk: str, criteria: Mapping[str, Criterion]) -> bytes:
    """The canonical walk data as it would be sealed now, marked as a draft. Raises NotFound."""
    record = _record(db, house, walk)
    issue = Issue("draft", "", len(record.signatures) + 1, get_journal_head(db).hex())
    review = review_of(record, criteria_for(db, house, criteria))
    return canonical_json(walk_data_of(record, review, issue))
