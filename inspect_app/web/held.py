"""Held entries: what could not be understood, with its raw text, and what a person does about it."""

import json
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, url_for
from flask_wtf import FlaskForm
from wtforms import SelectField, TextAreaField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions.held import read_held_again, set_held_aside
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.store.entry import HeldRow, get_held, list_held
from inspect_app.store.walk import list_walks
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.form import choices_of, show_error

blueprint = Blueprint("held", __name__, url_prefix="/houses/<house_id>/held")


class AsideForm(FlaskForm):
    """Why a held entry is not needed."""

    reason = TextAreaField("Why it is not needed", [InputRequired("Say why it is not needed."), Length(max=500)])


class TypeForm(FlaskForm):
    """The walk that a held entry belongs to."""

    walk = SelectField("It belongs to the walk", [InputRequired("Choose the walk.")])


def _found(house_id: str, held_id: str) -> HeldRow:
    found = get_held(get_db(), house_id, held_id)
    if found is None:
        raise NotFound("There is no such held entry in this house.")
    return found


def shown(raw: bytes) -> str:
    """The raw text, laid out when it is JSON, else as it came."""
    text = raw.decode("utf-8", "replace")
    try:
        return json.dumps(json.loads(text), indent=2, ensure_ascii=False)
    except (ValueError, RecursionError):
        return text


@blueprint.get("")
@permission("walk.held")
def index(house_id: str) -> str:
    """All held entries, the waiting ones first."""
    waiting, done = (list_held(get_db(), house_id, resolved=resolved) for resolved in (False, True))
    return render_template("held/index.html", waiting=waiting, done=done)


def _page(house_id: str, found: HeldRow, status: int = 200, aside: AsideForm | None = None) -> tuple[str, int]:
    walks = list_walks(get_db(), house_id)
    typing = TypeForm(formdata=None, prefix="type-", walk=found.walk or "")
    typing.walk.choices = choices_of((row.walk.id, f"{row.walk.date_local} {row.walk.title}") for row in walks)
    page = render_template(
        "held/one.html",
        row=found,
        text=shown(found.raw),
        aside=aside or AsideForm(formdata=None, prefix="aside-"),
        typing=typing,
        walks=walks,
    )
    return page, status


@blueprint.get("/<held_id>")
@permission("walk.held")
def one(house_id: str, held_id: str) -> Any:
    """One held entry: raw text, why it is held, what can be done."""
    return _page(house_id, _found(house_id, held_id))


@blueprint.post("/<held_id>/aside")
@permission("walk.held")
def aside(house_id: str, held_id: str) -> Any:
    """Set it aside with a reason."""
    found, form = _found(house_id, held_id), AsideForm(prefix="aside-")
    if form.validate_on_submit():
        try:
            set_held_aside(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, held=held_id, reason=form.reason.data or ""
            )
        except DomainError as error:
            show_error(form, error)
        else:
            flash("Set aside; the raw text is kept.")
            return redirect(url_for("held.index", house_id=house_id), 303)
    return _page(house_id, found, 422, aside=form)


@blueprint.post("/<held_id>/again")
@permission("walk.held")
def again(house_id: str, held_id: str) -> Any:
    """Read it once more."""
    _found(house_id, held_id)
    read_held_again(get_db(), at=clock.now(), actor=g.person.id, house=house_id, held=held_id)
    flash("It could be read now and is stored.")
    return redirect(url_for("held.index", house_id=house_id), 303)


@blueprint.post("/<held_id>/type")
@permission("walk.held")
def type_in(house_id: str, held_id: str) -> Any:
    """Go to the desk form of the walk that it belongs to."""
    found, form = _found(house_id, held_id), TypeForm(prefix="type-")
    walks = [row.walk.id for row in list_walks(get_db(), house_id)]
    form.walk.choices = choices_of((walk, walk) for walk in walks)
    if form.validate_on_submit():
        return redirect(url_for("desk.places", house_id=house_id, walk_id=form.walk.data, held=found.id), 303)
    return _page(house_id, found, 422)
