"""Walks of a house: the list, one walk as it goes or as it was sealed, and its closing facts typed at the desk."""

import json
from collections.abc import Iterable
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm
from wtforms import BooleanField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions.closing import close_walk
from inspect_app.actions.seal import has_news
from inspect_app.domain.coverage import Counts
from inspect_app.domain.criteria import Criterion
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.inspection import NOT_VERIFIED
from inspect_app.domain.part_kind import KIND_WORDS
from inspect_app.domain.report_record import percent
from inspect_app.domain.review import WalkReview, review_of
from inspect_app.domain.stretch import tag_key
from inspect_app.domain.tag_out import TagState
from inspect_app.domain.walk import STATE_WORDS
from inspect_app.domain.walk_record import Closing, WalkRecord
from inspect_app.store.entry import list_held
from inspect_app.store.house_criteria import criteria_for
from inspect_app.store.reference import reference_at
from inspect_app.store.seal import get_seal_data
from inspect_app.store.tag_out import list_standing
from inspect_app.store.walk import list_walks
from inspect_app.store.walk_record import get_walk_record
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.form import show_error
from inspect_app.web.review_groups import stretches_of

blueprint = Blueprint("walk", __name__)
NAV = (("Walks", "walk.index", "walk.view"),)


class ClosingForm(FlaskForm):
    """The facts asked before a review, when no phone sent them."""

    people_down = TextAreaField(
        "Each person down, and when",
        [InputRequired("Name each person who is down, with the time."), Length(max=2000)],
        description="One person a line: name, time. For example: Ines Halloran, 16:31",
    )
    tools_counted = BooleanField("Tools were counted and none is left above")
    sets_locked = BooleanField("Each set that was moved is locked, ringed and left in weight")
    locks_left = StringField(
        "Locks and tags left on",
        [InputRequired("Say which locks and tags are left on, or none."), Length(max=300)],
        description="Where and whose. Write none if there are none.",
    )
    note = TextAreaField("Anything else", [Length(max=1000)])


def record_of(house_id: str, walk_id: str) -> WalkRecord:
    """The walk of the address. Raises NotFound."""
    record = get_walk_record(get_db(), house_id, walk_id)
    if record is None:
        raise NotFound("There is no such walk in this house.")
    return record


def reviewed(record: WalkRecord) -> WalkReview:
    """The review of a walk by the criteria of its house."""
    return review_of(record, criteria_here(record.walk.house))


def criteria_here(house_id: str) -> dict[str, Criterion]:
    """The criteria as they hold in the house of the page."""
    return criteria_for(get_db(), house_id, reference_at(get_settings().shared).criteria)


blueprint.add_app_template_filter(percent, "share")


@blueprint.app_template_filter()
def sort_tags(tags: Iterable[str]) -> list[str]:
    """Tags with the numbers in them sorted as numbers."""
    return sorted(tags, key=tag_key)


@blueprint.app_template_global()
def by_kind(review: WalkReview, kinds: dict[str, str]) -> list[tuple[str, Counts]]:
    """Counts by kind with the kind in the plural."""
    return [(kinds.get(kind, kind), counts) for kind, counts in review.by_kind.items()]


@blueprint.app_template_global()
def sealed_rows(rows: list[dict[str, Any]], key: str) -> list[tuple[str, dict[str, Any]]]:
    """The rows of sealed counts as (name, counts)."""
    return [(str(row.get(key, "")), row) for row in rows]


@blueprint.app_template_global()
def down_words(closing: Closing) -> str:
    """Who came down and when, in one line."""
    return "; ".join(f"{name}, {at}" if at else name for name, at in closing.people_down) or "nobody named"


def kind_names() -> dict[str, str]:
    """Each kind of part in the plural, for tables."""
    return {kind.value: words.many for kind, words in KIND_WORDS.items()}


@blueprint.get("/houses/<house_id>/walks")
@permission("walk.view")
def index(house_id: str) -> str:
    """All walks, newest first, and what stands out of use."""
    db = get_db()
    return render_template(
        "walk/index.html",
        rows=list_walks(db, house_id),
        states=STATE_WORDS,
        standing=list_standing(db, house_id),
        held=len(list_held(db, house_id)),
    )


@blueprint.get("/houses/<house_id>/walks/<walk_id>")
@permission("walk.view")
def one(house_id: str, walk_id: str) -> str:
    """One walk: how far it is, or what was sealed."""
    record = record_of(house_id, walk_id)
    if g.guest and not record.signatures:
        raise NotFound("This walk is not signed yet. A guest reads signed walks.")
    given: dict[str, Any] = {
        "record": record,
        "walk": record.walk,
        "state": STATE_WORDS[record.walk.state],
        "kinds": kind_names(),
        "numbers": {row.id: row.number for row in record.inventory.line_sets},
        "standing": [tag for tag in record.tag_outs if tag.state is TagState.STANDING],
    }
    if record.signatures:
        raw = get_seal_data(get_db(), house_id, walk_id)
        data = json.loads(raw) if raw else {}
        return render_template("walk/sealed.html", data=data, news=has_news(record), not_verified=NOT_VERIFIED, **given)
    held = [row for row in list_held(get_db(), house_id) if row.walk == walk_id]
    review = reviewed(record)
    return render_template(
        "walk/one.html", review=review, stretches=stretches_of(review), held=held, now=clock.now(), **given
    )


@blueprint.route("/houses/<house_id>/walks/<walk_id>/close", methods=["GET", "POST"])
@permission("walk.close")
def close(house_id: str, walk_id: str) -> ResponseReturnValue:
    """Type the closing facts of a walk whose phone did not send them."""
    record = record_of(house_id, walk_id)
    form = ClosingForm(people_down="\n".join(f"{name}, " for name in record.opening.aloft))
    if form.validate_on_submit():
        try:
            close_walk(
                get_db(),
                at=clock.now(),
                actor=g.person.id,
                house=house_id,
                walk=walk_id,
                people_down=form.people_down.data or "",
                tools_counted=bool(form.tools_counted.data),
                sets_locked=bool(form.sets_locked.data),
                locks_left=form.locks_left.data or "",
                note=form.note.data or "",
            )
        except DomainError as error:
            show_error(form, error)
        else:
            flash("The closing is recorded. Now the walk can be reviewed.")
            return redirect(url_for("review.page", house_id=house_id, walk_id=walk_id), 303)
    return render_template("walk/close.html", form=form, walk=record.walk), 422 if form.errors else 200
