"""Events: what happened, the first question, who may approach, and the inspection after it."""

from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm
from wtforms import RadioField, SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions.event import allow_approach, open_event_walk, record_event
from inspect_app.actions.event_withdrawal import ask_event_withdrawal, confirm_event_withdrawal
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
from inspect_app.domain.tag_out import TagOut
from inspect_app.store.checklist import load_shelf
from inspect_app.store.event import get_event, list_events, list_held_by
from inspect_app.store.event_hold import list_aftermaths
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.tag_out import get_ending, get_tag_out, list_standing
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


class WithdrawForm(FlaskForm):
    """Say that an event was recorded by mistake."""

    reason = TextAreaField(
        "What was recorded by mistake, and what did or did not happen", [InputRequired("Say why."), Length(max=500)]
    )


class ConfirmForm(FlaskForm):
    """Confirm it as the second person; it has nothing to fill in."""


@blueprint.get("")
@permission("walk.view")
def index(house_id: str) -> str:
    """All events, newest first."""
    return render_template(
        "event/index.html", rows=list_events(get_db(), house_id), titles=KIND_TITLES,
        after=list_aftermaths(get_db(), house_id),
    )  # fmt: skip


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


@blueprint.post("/<event_id>/withdraw")
@permission("stop.withdraw")
def withdraw(house_id: str, event_id: str) -> ResponseReturnValue:
    """Say that the event was recorded by mistake; it stands until a second person confirms it."""
    found, form = _found(house_id, event_id), WithdrawForm(prefix="withdraw-")
    if form.validate_on_submit():
        try:
            ask_event_withdrawal(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, event=event_id,
                reason=form.reason.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash("Asked. Everything stays on hold until a second person confirms it on their own account.")
            return redirect(url_for("event.one", house_id=house_id, event_id=event_id), 303)
    return _page(found, 422, withdraw=form)


@blueprint.post("/<event_id>/confirm")
@permission("stop.withdraw")
def confirm(house_id: str, event_id: str) -> ResponseReturnValue:
    """Confirm, as the second person, that the event was recorded by mistake."""
    found, form = _found(house_id, event_id), ConfirmForm(prefix="confirm-")
    if form.validate_on_submit():
        try:
            ended = confirm_event_withdrawal(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, event=event_id
            )
        except DomainError as error:
            show_error(form, error)
        else:
            flash(_ended_words(_beside(ended), ended))
            return redirect(url_for("event.one", house_id=house_id, event_id=event_id), 303)
    return _page(found, 422, confirm=form)


def _beside(holds: list[TagOut]) -> dict[str, list[TagOut]]:
    """By the id of each hold that ended, what else keeps its set or area out of use."""
    if not holds:
        return {}
    stands = list_standing(get_db(), holds[0].house)
    return {
        hold.id: [] if hold in stands else [
            one for one in stands
            if (hold.line_set and one.line_set == hold.line_set) or (hold.area and one.area == hold.area)
        ]
        for hold in holds
    }  # fmt: skip


def _ended_words(beside: dict[str, list[TagOut]], ended: list[TagOut]) -> str:
    still = [hold.scope for hold in ended if beside[hold.id]]
    words = "The event is withdrawn. It stays in the record; its holds have ended."
    return words + (f" Still out of use for another reason: {', '.join(still)}." if still else "")


def _found(house_id: str, event_id: str) -> Event:
    found = get_event(get_db(), house_id, event_id)
    if found is None:
        raise NotFound("There is no such event in this house.")
    return found


def _page(
    found: Event,
    status: int = 200,
    form: ApproachForm | None = None,
    withdraw: WithdrawForm | None = None,
    confirm: ConfirmForm | None = None,
) -> tuple[str, int]:
    db = get_db()
    held = [get_tag_out(db, found.house, key) for key in list_held_by(db, found.house, found.id)]
    holds = [one for one in held if one is not None]
    page = render_template(
        "event/one.html",
        event=found,
        title=KIND_TITLES[found.kind],
        danger=DANGER_TITLES[found.danger],
        question=FIRST_QUESTION,
        keep_off=KEEP_OFF,
        holds=holds,
        ended={one.id: get_ending(db, one.id) for one in holds},
        after=list_aftermaths(db, found.house)[found.id],
        beside=_beside(holds),
        form=form or ApproachForm(formdata=None),
        withdraw=withdraw or WithdrawForm(formdata=None, prefix="withdraw-"),
        confirm=confirm or ConfirmForm(formdata=None, prefix="confirm-"),
    )
    return page, status
