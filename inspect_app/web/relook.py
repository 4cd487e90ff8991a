"""Re-looks: parts that somebody asked to be looked at again by a date, and which look did so."""

from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask_wtf import FlaskForm
from wtforms import SelectField, StringField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions.relook import ask_relook, move_relook, take_back_relook
from inspect_app.domain.checklist import Way
from inspect_app.domain.errors import BadValue, Conflict, DomainError, NotFound
from inspect_app.domain.part import Part
from inspect_app.domain.relook import WAY_WORDS
from inspect_app.store.part import find_part_by_tag
from inspect_app.store.relook import get_relook, list_relooks
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.form import choices_of, show_error
from inspect_app.web.house_form import PLAIN, read_day, today

blueprint = Blueprint("relook", __name__, url_prefix="/houses/<house_id>/relooks")


_WHOLE = {"part": "this part", "set": "each part of its line set", "area": "each part of its area"}


class RelookForm(FlaskForm):
    """A part to be looked at again."""

    part = StringField(
        "Part, by its tag", [InputRequired("Name the part by its tag."), Length(max=40)], render_kw=PLAIN
    )
    look_on = StringField("By", [InputRequired("Choose the day.")], render_kw={"type": "date"})
    whole = SelectField("Look again at", choices=choices_of(_WHOLE.items()), default="part")
    way = SelectField("At least", choices=choices_of((way.value, words) for way, words in WAY_WORDS.items()))
    reason = StringField("Why", [InputRequired("Fill this in."), Length(max=300)], render_kw=PLAIN)


@blueprint.get("/")
@permission("calendar.view")
def index(house_id: str) -> Any:
    """Those that wait, and those that were done or taken back."""
    return _page(RelookForm(formdata=None, part=request.args.get("part", "")[:40], way=Way.SEEN_CLOSE.value), 200)


def _page(form: RelookForm, status: int) -> tuple[str, int]:
    rows = list_relooks(get_db(), g.house.id, open_only=False)
    page = render_template(
        "calendar/relooks.html",
        form=form,
        waiting=[row for row in rows if row.open],
        done=[row for row in rows if not row.open][::-1],
        ways=WAY_WORDS,
        today=today(),
    )
    return page, status


@blueprint.post("/ask")
@permission("relook.ask")
def ask(house_id: str) -> Any:
    """Ask for one."""
    form = RelookForm()
    if form.validate_on_submit():
        part = find_part_by_tag(get_db(), house_id, (form.part.data or "").strip())
        day = read_day(form.look_on)
        if part is None:
            form.part.errors = ["There is no part with this tag in this house."]
        elif day is not None:
            try:
                made = ask_relook(
                    get_db(), at=clock.now(), actor=g.person.id, house=house_id, part=part.id, look_on=day,
                    reason=form.reason.data or "", way=Way(form.way.data), **_scope(form, part),
                )  # fmt: skip
            except DomainError as error:
                show_error(form, error)
            else:
                flash(f"{f'Each part of {made.name}' if made.whole else made.name} is to be looked at again by {day}.")
                return redirect(url_for("relook.index", house_id=house_id), 303)
    return _page(form, 422)


def _scope(form: RelookForm, part: Part) -> dict[str, str | None]:
    """What the form asks for: the set or area of the part. Raises BadValue for a part that is in no set."""
    if form.whole.data == "set":
        if not part.line_set:
            raise BadValue("This part belongs to no line set. Choose this part or its area.", "whole")
        return {"line_set": part.line_set}
    return {"area": part.area} if form.whole.data == "area" else {}


@blueprint.post("/<relook_id>/move")
@permission("relook.ask")
def move(house_id: str, relook_id: str) -> Any:
    """Move one to another day, or take it back."""
    if get_relook(get_db(), house_id, relook_id) is None:
        raise NotFound("There is no such re-look in this house.")
    form = RelookForm()
    reason = request.form.get("reason", "")[:300]
    try:
        if "end" in request.form:
            take_back_relook(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, relook=relook_id, reason=reason
            )
            flash("The re-look is taken back.")
        elif (day := read_day(form.look_on)) is not None:
            move_relook(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, relook=relook_id, look_on=day,
                reason=reason,
            )  # fmt: skip
            flash(f"The re-look is moved to {day}.")
        else:
            flash("Not moved: write the date as YYYY-MM-DD.")
    except (BadValue, Conflict) as error:
        flash(f"Not done. {error.message}")
    return redirect(url_for("relook.index", house_id=house_id), 303)
