"""Forms of the areas of a house."""

from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, url_for
from flask_wtf import FlaskForm
from wtforms import SelectField, StringField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions.house import add_area, change_area, retire_area
from inspect_app.domain.errors import BadValue, Conflict
from inspect_app.domain.house import Area, AreaKind
from inspect_app.store.house import get_area
from inspect_app.store.part import list_parts
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.form import show_error
from inspect_app.web.house_form import AREA_WORDS, PLAIN, choices, read_mm, today, typed

blueprint = Blueprint("area", __name__, url_prefix="/houses/<house_id>/areas")


class AreaForm(FlaskForm):
    """A place where people stand and walk."""

    name = StringField("Name", [InputRequired("Fill this in."), Length(max=120)], render_kw=PLAIN)
    kind = SelectField("Kind", choices=choices(dict(AREA_WORDS)))
    z_mm = StringField("Height of its floor above the deck", [InputRequired("0 for the deck itself.")], render_kw=PLAIN)


@blueprint.route("/new", methods=["GET", "POST"])
@permission("house.edit")
def new(house_id: str) -> Any:
    """Add an area."""
    form = AreaForm()
    if form.validate_on_submit() and _saved(form, house_id, None):
        return redirect(url_for("house.one", house_id=house_id))
    return render_template("house/area.html", form=form, area=None, held=0), 422 if form.errors else 200


@blueprint.route("/<area_id>", methods=["GET", "POST"])
@permission("house.edit")
def edit(house_id: str, area_id: str) -> Any:
    """Change an area."""
    area = get_area(get_db(), house_id, area_id)
    form = AreaForm(data={"name": area.name, "kind": area.kind.value, "z_mm": typed(area.z_mm)})
    if form.validate_on_submit() and _saved(form, house_id, area):
        return redirect(url_for("house.one", house_id=house_id))
    return _page(form, house_id, area)


def _page(form: AreaForm, house_id: str, area: Area) -> Any:
    held = len(list_parts(get_db(), house_id, area=area.id))
    return render_template("house/area.html", form=form, area=area, held=held), 422 if form.errors else 200


def _saved(form: AreaForm, house_id: str, area: Area | None) -> bool:
    z_mm = read_mm(form.z_mm, negative=True)
    if z_mm is None:
        return False
    what: dict[str, Any] = {"kind": AreaKind(form.kind.data), "name": form.name.data or "", "z_mm": z_mm}
    common: dict[str, Any] = {"at": clock.now(), "actor": g.person.id, "house": house_id}
    try:
        if area is None:
            add_area(get_db(), **common, **what)
        else:
            change_area(get_db(), **common, area=area.id, **what)
    except BadValue as error:
        show_error(form, error)
        return False
    flash("The area is saved.")
    return True


@blueprint.post("/<area_id>/retire")
@permission("house.edit")
def retire(house_id: str, area_id: str) -> Any:
    """Retire an area that holds nothing any more."""
    area = get_area(get_db(), house_id, area_id)
    try:
        retire_area(get_db(), at=clock.now(), actor=g.person.id, house=house_id, area=area_id, on=today())
    except Conflict as error:
        form = AreaForm(formdata=None, data={"name": area.name, "kind": area.kind.value, "z_mm": typed(area.z_mm)})
        form.form_errors = [error.message]
        held = len(list_parts(get_db(), house_id, area=area.id))
        return render_template("house/area.html", form=form, area=area, held=held), 409
    flash(f"{area.name} is retired.")
    return redirect(url_for("house.one", house_id=house_id))
