"""Recording that a qualified person reviewed a checklist before it is used in a house."""

from datetime import date, datetime

from sqlite_utils import Database

from inspect_app import clock
from inspect_app.domain.checklist import Checklist, Review
from inspect_app.domain.errors import BadValue
from inspect_app.store.checklist import freeze_revision, insert_review
from inspect_app.store.db import write_transaction
from inspect_app.store.journal import append_journal, item


def review_checklist(
    db: Database,
    *,
    at: datetime,
    actor: str,
    house: str,
    checklist: Checklist,
    sources: dict[str, str],
    review: Review,
    remark: str = "",
) -> None:
    """Keep who reviewed this exact revision, credential as typed. Raises BadValue on a missing or future date."""
    if not review.by.strip() or not review.credential.strip():
        raise BadValue(
            "Name the qualified person and what qualifies them.", "by" if not review.by.strip() else "credential"
        )
    try:
        reviewed_on = date.fromisoformat(review.on)
    except ValueError:
        raise BadValue("The date of the review must be written as YYYY-MM-DD.", "on") from None
    if reviewed_on > at.date():
        raise BadValue("The date of the review lies in the future.", "on")
    with write_transaction(db):
        freeze_revision(db, checklist, sources, at)
        review_id = clock.new_id()
        insert_review(db, review_id, house, checklist, review, remark, actor, at)
        content = [checklist.revision, review.by, review.credential, review.on, remark]
        append_journal(
            db,
            at=at,
            actor=actor,
            action="checklist.review",
            house=house,
            items=[item("checklist_review", review_id, content)],
        )
