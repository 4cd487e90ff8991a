"""Events: what happened, the first question, who may approach, and the inspection after it."""

from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm
from wtforms import RadioField, SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions.event import allow_approach, open_event_walk, record_event
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.event import (
    DANGER_TITLES,
    FIRST_QUESTION,
    KEEP_OFF,
    KIND_TITLES,
    Danger,
    Event,
    EventKind,
)
from inspect_app.store.checklist import load_shelf
from inspect_app.store.event import get_event, list_events, list_held_by
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.tag_out import get_tag_out
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.form import choices_of, show_error
from inspect_app.web.house_form import today

blueprint = Blueprint("event", __name__, url_prefix="/houses/<house_id>/events")


class EventForm(FlaskForm):
    """Something happened: the first question comes first."""

    danger = RadioField(
        FIRST_QUESTION,
        [InputRequired("Answer this first; choose Not known if you cannot see it from where you stand.")],
        choices=choices_of((one.value, DANGER_TITLES[one]) for one in Danger),
    )
    where = SelectField("Where", [InputRequired("Say at which set or in which area.")])
    kind = SelectField("What happened", choices=choices_of((kind.value, title) for kind, title in KIND_TITLES.items()))
    what = TextAreaField("In a few words", [InputRequired("Say in a few words what happened."), Length(max=400)])


class ApproachForm(FlaskForm):
    """A named qualified person says who may approach and how."""

    name = StringField("Qualified person who says so", [InputRequired("Name the person."), Length(max=120)])
    credential = StringField("What qualifies them", [InputRequired("Say what qualifies them."), Length(max=200)])
    who = StringField("Who may approach", [InputRequired("Say who may approach."), Length(max=200)])
    how = TextAreaField(
        "How", [InputRequired("Say how."), Length(max=1000)], description="Which way, what protection, what stays off."
    )


class WalkForm(FlaskForm):
    """One tap; it has nothing to fill in."""


@blueprint.get("")
@permission("walk.view")
def index(house_id: str) -> str:
    """All events, newest first."""
    return render_template(
        "event/index.html", rows=list_events(get_db(), house_id), titles=KIND_TITLES, dangers=DANGER_TITLES
    )


@blueprint.route("/new", methods=["GET", "POST"])
@permission("stop.raise")
def new(house_id: str) -> Any:
    """Record that something happened."""
    db, form = get_db(), EventForm()
    sets = [(f"set:{row.id}", f"Set {row.number} {row.label}".strip()) for row in list_line_sets(db, house_id)]
    areas = [(f"area:{row.id}", row.name) for row in list_areas(db, house_id)]
    form.where.choices = choices_of([("", "Choose"), *sets, *areas])
    if request.method == "GET" and request.args.get("line_set"):
        form.where.data = f"set:{request.args['line_set']}"
    if form.validate_on_submit():
        kind, _, key = (form.where.data or "").partition(":")
        try:
            made = record_event(
                db, at=clock.now(), actor=g.person.id, house=house_id, kind=EventKind(form.kind.data),
                danger=Danger(form.danger.data), what=form.what.data or "", line_set=key if kind == "set" else None,
                area=key if kind == "area" else None,
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            return redirect(url_for("event.one", house_id=house_id, event_id=made), 303)
    return render_template("event/new.html", form=form, keep_off=KEEP_OFF), 422 if form.errors else 200


@blueprint.get("/<event_id>")
@permission("walk.view")
def one(house_id: str, event_id: str) -> ResponseReturnValue:
    """One event: what is on hold, who may approach, and the inspection after it."""
    return _page(_found(house_id, event_id))


@blueprint.post("/<event_id>/approach")
@permission("event.approach")
def approach(house_id: str, event_id: str) -> ResponseReturnValue:
    """Record who may approach and how."""
    found, form = _found(house_id, event_id), ApproachForm()
    if form.validate_on_submit():
        try:
            allow_approach(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, event=event_id,
                name=form.name.data or "", credential=form.credential.data or "", who=form.who.data or "",
                how=form.how.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash("Recorded. Everything stays on hold until each hold is released.")
            return redirect(url_for("event.one", house_id=house_id, event_id=event_id), 303)
    return _page(found, 422, form)


@blueprint.post("/<event_id>/walk")
@permission("walk.record")
def walk(house_id: str, event_id: str) -> ResponseReturnValue:
    """Open the inspection after the event."""
    found = _found(house_id, event_id)
    if not WalkForm().validate_on_submit():
        return _page(found, 422)
    made = open_event_walk(
        get_db(), at=clock.now(), today=today(), actor=g.person.id, house=house_id, event=event_id,
        shelf=load_shelf(get_settings()),
    )  # fmt: skip
    flash("The inspection is open. Phones of this house find it under their open walks.")
    return redirect(url_for("walk.one", house_id=house_id, walk_id=made), 303)


def _found(house_id: str, event_id: str) -> Event:
    found = get_event(get_db(), house_id, event_id)
    if found is None:
        raise NotFound("There is no such event in this house.")
    return found


def _page(found: Event, status: int = 200, form: ApproachForm | None = None) -> tuple[str, int]:
    db = get_db()
    holds = [get_tag_out(db, found.house, key) for key in list_held_by(db, found.house, found.id)]
    page = render_template(
        "event/one.html",
        event=found,
        title=KIND_TITLES[found.kind],
        danger=DANGER_TITLES[found.danger],
        question=FIRST_QUESTION,
        keep_off=KEEP_OFF,
        holds=[one for one in holds if one is not None],
        form=form or ApproachForm(formdata=None),
    )
    return page, status
