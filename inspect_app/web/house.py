"""Pages of a house: what it holds at a glance, its settings, its line names, and a new house."""

from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, url_for
from flask_wtf import FlaskForm
from wtforms import BooleanField, SelectField, StringField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions.house import change_house, create_house, name_lines
from inspect_app.domain.errors import BadValue
from inspect_app.domain.line_names import MOST_LINES, PRESET_TITLES, names_for, preset_names, preset_of
from inspect_app.domain.part_kind import KIND_WORDS
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.part import count_parts, list_parts
from inspect_app.store.tag_out import list_standing
from inspect_app.web.access import permission
from inspect_app.web.auth_form import time_zones
from inspect_app.web.database import get_db
from inspect_app.web.form import show_error
from inspect_app.web.house_form import FILTERS, PLAIN, UNIT_CHOICES, choices, words_of

blueprint = Blueprint("house", __name__)
NAV = (("House", "house.one", "house.view"), ("Line sets", "line_set.shelf", "house.view"))

for _name, _filter in FILTERS.items():
    blueprint.add_app_template_filter(_filter, _name)
blueprint.add_app_template_filter(words_of, "words_of")


class HouseForm(FlaskForm):
    """What a house is called and how it counts."""

    name = StringField("Name of the house", [InputRequired("Fill this in."), Length(max=120)], render_kw=PLAIN)
    tz = SelectField("Time zone of the house", [InputRequired("Choose the time zone.")])
    units = SelectField("Units shown first", choices=choices(UNIT_CHOICES))
    datum = StringField(
        "Distances are measured from",
        [InputRequired("Name the datum."), Length(max=60)],
        default="plaster line",
        description="The plaster line is the upstage face of the proscenium; other houses use a setting line or the "
        "stage front.",
        render_kw=PLAIN,
    )

    def __init__(self, **values: Any) -> None:
        super().__init__(**values)
        self.tz.choices = [*choices({}, "choose one"), *time_zones()]


class HouseSettingsForm(HouseForm):
    """What a house asks of phones, beside how it is called and counts."""

    keep_originals = BooleanField(
        "Keep the originals of photos",
        description="Phones send a picture of at most 2048 px that can be read everywhere, and afterwards the camera's "
        "own file, which is many times larger and may hold the place and the phone's name. Applies to photos taken "
        "once a phone has fetched the house again.",
    )


@blueprint.route("/houses/new", methods=["GET", "POST"])
@permission("signed_in")
def new() -> Any:
    """A new, empty house; whoever makes it is its administrator and technical director."""
    form = HouseForm()
    if form.validate_on_submit():
        try:
            house = create_house(get_db(), at=clock.now(), actor=g.person.id, **_fields(form))
        except BadValue as error:
            show_error(form, error)
        else:
            flash("The house is there, still empty. Describe it now.")
            return redirect(url_for("house.one", house_id=house.id))
    return render_template("house/new.html", form=form), 422 if form.errors else 200


def _fields(form: HouseForm) -> dict[str, Any]:
    return {name: form[name].data or "" for name in ("name", "tz", "units", "datum")}


@blueprint.get("/houses/<house_id>/")
@permission("house.view")
def one(house_id: str) -> str:
    """The house at a glance."""
    db = get_db()
    by_area: dict[str, int] = {}
    for part in list_parts(db, house_id):
        by_area[part.area] = by_area.get(part.area, 0) + 1
    counts = [(KIND_WORDS[kind].many, count) for kind, count in count_parts(db, house_id).items()]
    return render_template(
        "house/one.html",
        areas=list_areas(db, house_id),
        by_area=by_area,
        line_sets=list_line_sets(db, house_id),
        counts=counts,
        total=sum(count for _, count in counts),
        standing=list_standing(db, house_id),
    )


@blueprint.route("/houses/<house_id>/settings", methods=["GET", "POST"])
@permission("house.edit")
def settings(house_id: str) -> Any:
    """Change name, time zone, units and datum, and whether originals of photos are kept."""
    kept = ("name", "tz", "units", "datum", "keep_originals")
    form = HouseSettingsForm(data={name: getattr(g.house, name) for name in kept})
    if form.validate_on_submit():
        try:
            change_house(
                get_db(),
                at=clock.now(),
                actor=g.person.id,
                house=house_id,
                keep_originals=bool(form.keep_originals.data),
                **_fields(form),
            )
        except BadValue as error:
            show_error(form, error)
        else:
            flash("The settings are saved.")
            return redirect(url_for("house.one", house_id=house_id))
    return render_template("house/settings.html", form=form), 422 if form.errors else 200


class LineNamesForm(FlaskForm):
    """The preset of line names and a text field per count of lines for the house's own."""

    preset = SelectField("Names used where the house has none of its own", choices=choices(dict(PRESET_TITLES)))


for _count in range(1, MOST_LINES + 1):
    setattr(
        LineNamesForm,
        f"lines_{_count}",
        StringField(f"{_count} line{'s' if _count > 1 else ''}", [Length(max=400)], render_kw=PLAIN),
    )


@blueprint.route("/houses/<house_id>/line-names", methods=["GET", "POST"])
@permission("house.edit")
def line_names(house_id: str) -> Any:
    """Choose how lift lines are called in this house."""
    own = {f"lines_{count}": ", ".join(names) for count, names in g.house.line_names.items()}
    form = LineNamesForm(data={"preset": preset_of(g.house), **own})
    if form.validate_on_submit():
        given = {n: form[f"lines_{n}"].data or "" for n in range(1, MOST_LINES + 1)}
        named = {n: [name.strip() for name in text.split(",")] for n, text in given.items() if text.strip()}
        try:
            name_lines(
                *(get_db(),),
                at=clock.now(),
                actor=g.person.id,
                house=house_id,
                preset=form.preset.data or "",
                own=named,
            )
        except BadValue as error:
            show_error(form, error)
        else:
            flash("The line names are saved. Walks opened from now on show them.")
            return redirect(url_for("house.line_names", house_id=house_id))
    now = {count: ", ".join(names_for(g.house, count)) for count in range(1, MOST_LINES + 1)}
    presets = [(title, preset_names(key, 3), preset_names(key, 6)) for key, title in PRESET_TITLES.items()]
    status = 422 if form.errors else 200
    return render_template("house/line_names.html", form=form, now=now, presets=presets), status
