"""Restrictions and temporary measures: the list, a new one, and ending one."""

from collections.abc import Collection
from datetime import date
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm
from wtforms import RadioField, SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions.restriction import end_restriction, set_restriction
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.restriction import (
    BY_HAND,
    KIND_TITLES,
    Restriction,
    RestrictionKind,
    expiry_words,
    is_expired,
    limit_words,
)
from inspect_app.domain.role import Role
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.part import find_part_by_tag
from inspect_app.store.restriction import get_restriction, list_restrictions, restrictions_on
from inspect_app.store.set_state import list_unlimited
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.form import choices_of, show_error
from inspect_app.web.house_form import read_day, today

blueprint = Blueprint("restriction", __name__, url_prefix="/houses/<house_id>/restrictions")
_DAY = {"type": "date"}


class RestrictionForm(FlaskForm):
    """Restrict a thing, or put a temporary measure in place."""

    kind = RadioField("This is a", [InputRequired("Choose one.")])
    binds = SelectField("What it binds", [InputRequired("Choose the set, area, part or deficiency.")])
    part = StringField("Or one part, by its tag", [Length(max=40)], description="A part of a line set binds the set.")
    what = TextAreaField(
        "Why, or what was put in place", [InputRequired("Say why, or what was put in place."), Length(max=300)]
    )
    load_limit = StringField(
        "Load allowed", [Length(max=120)], description="With its unit, such as 200 kg spread evenly."
    )
    travel_limit = StringField(
        "Travel allowed", [Length(max=120)], description="Such as not above 18 ft, or slow only."
    )
    who = StringField("Who may use it, or answers for the measure", [InputRequired("Name who."), Length(max=120)])
    until = StringField(
        "Last day",
        [InputRequired("Name the last day on which it holds."), Length(max=10)],
        render_kw=_DAY,
        description="The grade rises by itself after it.",
    )
    recheck_on = StringField("Look at it again on", [Length(max=10)], render_kw=_DAY, description="For a measure.")


class EndForm(FlaskForm):
    """End one."""

    reason = TextAreaField("What was done and seen", [InputRequired("Say what ends it."), Length(max=500)])


class LiftForm(EndForm):
    """Lift a condition on use in the name of a qualified person."""

    name = StringField(
        "Qualified person who lifts it", [InputRequired("Name the qualified person."), Length(max=120)],
        description="Who decided; you enter it, the log verifies none of it.",
    )  # fmt: skip
    credential = StringField("What qualifies them", [InputRequired("Say what qualifies them."), Length(max=200)])


@blueprint.app_template_global()
def restrictions_here(
    *, deficiency: str = "", line_set: str | None = None, part: str | None = None, areas: Collection[str] = ()
) -> list[tuple[Restriction, bool, str]]:
    """What binds a set or part of the house of the page, or where it is: each with whether it expired, and its words.

    With a `deficiency` what was put in place for it.
    """
    day, rows = today(), list_restrictions(get_db(), g.house.id)
    if deficiency:
        found = [one for one in rows if one.deficiency == deficiency]
    else:
        found = restrictions_on(rows, line_set=line_set, part=part, areas=areas)
    return [(one, is_expired(one, day), _words(one, day)) for one in found]


def _words(one: Restriction, day: date) -> str:
    words = expiry_words(one) if is_expired(one, day) else limit_words(one)
    return f"{one.scope}: {words}" if one.area else words


@blueprint.get("")
@permission("walk.view")
def index(house_id: str) -> str:
    """All of them: expired first, then those in force, then those that ended."""
    day, rows = today(), list_restrictions(get_db(), house_id, ended=True)
    standing = [one for one in rows if one.ended_at is None]
    return render_template(
        "restriction/index.html",
        expired=[one for one in standing if is_expired(one, day)],
        standing=[one for one in standing if not is_expired(one, day)],
        ended=[one for one in rows if one.ended_at is not None][::-1],
        lacking=list_unlimited(get_db(), house_id),
        titles=KIND_TITLES,
        limit_words=limit_words,
        expiry_words=expiry_words,
    )


@blueprint.route("/new", methods=["GET", "POST"])
@permission("restriction.set")
def new(house_id: str) -> Any:
    """Restrict something or put a temporary measure in place."""
    db, form = get_db(), RestrictionForm()
    form.kind.choices = choices_of((kind.value, KIND_TITLES[kind]) for kind in BY_HAND)
    sets = [(f"set:{row.id}", f"Set {row.number} {row.label}".strip()) for row in list_line_sets(db, house_id)]
    areas = [(f"area:{row.id}", row.name) for row in list_areas(db, house_id)]
    known = [
        (f"deficiency:{row.id}", f"Deficiency {row.number}, {row.part_tag}: {row.what}"[:80])
        for row in list_deficiencies(db, house_id, open_only=True)
    ]
    form.binds.choices = choices_of([("part", "One part (its tag below)"), *known, *sets, *areas])
    for name in ("deficiency", "set", "kind") if request.method == "GET" else ():
        if request.args.get(name):
            field = form.kind if name == "kind" else form.binds
            field.data = request.args[name] if name == "kind" else f"{name}:{request.args[name]}"
    if form.validate_on_submit() and _made(form, house_id):
        flash("It holds from now on. Print the rail card anew and swap it.")
        return redirect(url_for("restriction.index", house_id=house_id), 303)
    return render_template("restriction/new.html", form=form), 422 if form.errors else 200


def _made(form: RestrictionForm, house_id: str) -> bool:
    db, (kind, _, key) = get_db(), (form.binds.data or "").partition(":")
    part = find_part_by_tag(db, house_id, (form.part.data or "").strip()) if kind == "part" else None
    until, recheck_on = read_day(form.until), read_day(form.recheck_on)
    if kind == "part" and part is None:
        form.part.errors = ["There is no part with this tag in this house."]
    if form.errors or form.until.errors or form.recheck_on.errors or form.part.errors:
        return False
    try:
        set_restriction(
            db, at=clock.now(), today=today(), actor=g.person.id, house=house_id, kind=RestrictionKind(form.kind.data),
            texts={name: form[name].data or "" for name in ("what", "load_limit", "travel_limit", "who")},
            until=until, recheck_on=recheck_on, line_set=key if kind == "set" else None,
            area=key if kind == "area" else None, part=part.id if part else None,
            deficiency=key if kind == "deficiency" else None,
        )  # fmt: skip
    except DomainError as error:
        show_error(form, error)
        return False
    return True


def _end_form(found: Restriction) -> EndForm:
    if found.kind is not RestrictionKind.CONDITION:
        return EndForm()
    signs = Role.INSPECTOR in g.roles
    return LiftForm(name=g.person.name if signs else "", credential=g.person.credential if signs else "")


@blueprint.route("/<restriction_id>/end", methods=["GET", "POST"])
@permission("restriction.set")
def end(house_id: str, restriction_id: str) -> ResponseReturnValue:
    """End one, with the reason."""
    found = get_restriction(get_db(), house_id, restriction_id)
    if found is None:
        raise NotFound("There is no such restriction in this house.")
    form = _end_form(found)
    if form.validate_on_submit():
        lifted = {key: form[key].data or "" for key in ("name", "credential") if key in form}
        try:
            end_restriction(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, restriction=restriction_id,
                reason=form.reason.data or "", **lifted,
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash("Ended. Print the rail card anew and swap it.")
            return redirect(url_for("restriction.index", house_id=house_id), 303)
    page = render_template("restriction/end.html", form=form, one=found, words=limit_words(found))
    return page, 422 if form.errors else 200
