"""What is out of use: the list, one tag-out with its steps, stopping, release and withdrawal."""

from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm
from wtforms import RadioField, SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions.tag_out import record_step, release_group, release_tag_out, stop_thing, withdraw_tag_out
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.tag_out import (
    GROUP_TITLES,
    NEEDS_PAPER,
    RELEASING,
    STEP_TITLES,
    Step,
    TagOut,
    TagState,
    may_release,
    still_asks,
)
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.membership import list_members
from inspect_app.store.part import find_part_by_tag
from inspect_app.store.tag_out import get_ending, get_tag_out, list_tag_outs
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.form import choices_of, show_error

blueprint = Blueprint("tag_out", __name__, url_prefix="/houses/<house_id>/tag-outs")
NAV = (("Out of use", "tag_out.index", "walk.view"),)


class StopForm(FlaskForm):
    """Take something out of use."""

    what = SelectField("What is out of use", [InputRequired("Choose the set or the area.")])
    part = StringField(
        "Or one part, by its tag", [Length(max=40)], description="For example GR 2. A part of a line set stops the set."
    )
    why = TextAreaField("What is wrong", [InputRequired("Say in a few words what is wrong."), Length(max=500)])


class StepForm(FlaskForm):
    """What was done after a stop."""

    step = RadioField(
        "What was done",
        [InputRequired("Choose one.")],
        choices=choices_of((step.value, STEP_TITLES[step]) for step in Step),
    )
    who = StringField("Who was told, or who did it", [Length(max=120)])
    note = TextAreaField(
        "Note", [Length(max=500)], description="Which lock, where the tags hang, what could not be done."
    )
    responsible = StringField("Who sees to the rest", [Length(max=120)])


class ReleaseForm(FlaskForm):
    """Put it back into use."""

    role = RadioField("You release it as", [InputRequired("Choose the role you act in.")])
    reason = TextAreaField(
        "What was done and seen that allows it", [InputRequired("Say what allows the release."), Length(max=1000)]
    )
    paper = StringField("Engineer's paper", [Length(max=300)], description="Who wrote it, date and number.")


class WithdrawForm(FlaskForm):
    """Withdraw a stop that was raised on the wrong set."""

    second = SelectField("Second person who looked and agrees", [InputRequired("Name the second person.")])
    reason = TextAreaField(
        "What was stopped by mistake, and what was meant", [InputRequired("Say what was meant."), Length(max=500)]
    )


def _found(house_id: str, tag_out_id: str) -> TagOut:
    found = get_tag_out(get_db(), house_id, tag_out_id)
    if found is None:
        raise NotFound("There is no such tag-out in this house.")
    return found


@blueprint.get("")
@permission("walk.view")
def index(house_id: str) -> str:
    """All tag-outs, standing ones first."""
    rows = list_tag_outs(get_db(), house_id)
    standing = [row for row in rows if row.state is TagState.STANDING][::-1]
    ended = [row for row in rows if row.state is not TagState.STANDING]
    asks = {row.id: [STEP_TITLES[step] for step in still_asks(row)] for row in standing}
    return render_template("tag_out/index.html", standing=standing, ended=ended, asks=asks)


@blueprint.route("/new", methods=["GET", "POST"])
@permission("stop.raise")
def new(house_id: str) -> Any:
    """Take a line set, an area or a part out of use."""
    db = get_db()
    form = StopForm()
    sets = [(f"set:{row.id}", f"Set {row.number} {row.label}".strip()) for row in list_line_sets(db, house_id)]
    areas = [(f"area:{row.id}", row.name) for row in list_areas(db, house_id)]
    form.what.choices = choices_of([("part", "One part (its tag below)"), *sets, *areas])
    if request.method == "GET" and request.args.get("line_set"):
        form.what.data = f"set:{request.args['line_set']}"
    if form.validate_on_submit():
        kind, _, key = (form.what.data or "").partition(":")
        part = find_part_by_tag(db, house_id, (form.part.data or "").strip()) if kind == "part" else None
        if kind == "part" and part is None:
            form.part.errors = ["There is no part with this tag in this house."]
        else:
            return _stop(form, house_id, kind, key, part.id if part else None)
    return render_template("tag_out/new.html", form=form), 422 if form.errors else 200


def _stop(form: StopForm, house_id: str, kind: str, key: str, part: str | None) -> Any:
    try:
        made = stop_thing(
            get_db(),
            at=clock.now(),
            actor=g.person.id,
            house=house_id,
            why=form.why.data or "",
            line_set=key if kind == "set" else None,
            area=key if kind == "area" else None,
            part=part,
        )
    except DomainError as error:
        show_error(form, error)
        return render_template("tag_out/new.html", form=form), 422
    flash("It is out of use. Say it to the rail now, then record what was done.")
    return redirect(url_for("tag_out.one", house_id=house_id, tag_out_id=made), 303)


def _page(house_id: str, found: TagOut, status: int = 200, **forms: FlaskForm) -> tuple[str, int]:
    db, group = get_db(), release_group(found)
    releasing = may_release(group, g.roles)
    release = forms.get("release") or ReleaseForm(formdata=None, prefix="release-")
    release.role.choices = choices_of((role.value, ROLE_TITLES[role]) for role in releasing)
    if len(releasing) == 1 and not release.role.data:
        release.role.data = releasing[0].value
    withdraw = forms.get("withdraw") or WithdrawForm(formdata=None, prefix="withdraw-")
    withdraw.second.choices = choices_of(_others(house_id, g.person.id))
    page = render_template(
        "tag_out/one.html",
        tag=found,
        asks=[STEP_TITLES[step] for step in still_asks(found)],
        titles=STEP_TITLES,
        ending=get_ending(db, found.id),
        group=GROUP_TITLES[group],
        entitled=[ROLE_TITLES[role].lower() for role in Role if role in RELEASING[group]],
        needs_paper=group in NEEDS_PAPER,
        releasing=releasing,
        open_here=[row for row in list_deficiencies(db, house_id, open_only=True) if row.part == found.part],
        step=forms.get("step") or StepForm(formdata=None, prefix="step-"),
        release=release,
        withdraw=withdraw,
    )
    return page, status


def _others(house_id: str, person: str) -> list[tuple[str, str]]:
    people = [row.person for row in list_members(get_db(), house_id) if not row.ended and row.person.id != person]
    return [("", "Choose a person"), *((one.id, one.name) for one in people)]


@blueprint.get("/<tag_out_id>")
@permission("walk.view")
def one(house_id: str, tag_out_id: str) -> ResponseReturnValue:
    """One tag-out: why, by whom, what was done, what is asked next."""
    return _page(house_id, _found(house_id, tag_out_id))


@blueprint.post("/<tag_out_id>/step")
@permission("stop.step")
def step(house_id: str, tag_out_id: str) -> ResponseReturnValue:
    """Record what was done."""
    found, form = _found(house_id, tag_out_id), StepForm(prefix="step-")
    if form.validate_on_submit():
        try:
            record_step(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, tag_out=tag_out_id,
                step=Step(form.step.data), who=form.who.data or "", note=form.note.data or "",
                responsible=form.responsible.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash("Recorded.")
            return redirect(url_for("tag_out.one", house_id=house_id, tag_out_id=tag_out_id), 303)
    return _page(house_id, found, 422, step=form)


@blueprint.post("/<tag_out_id>/release")
@permission("stop.release")
def release(house_id: str, tag_out_id: str) -> ResponseReturnValue:
    """Put it back into use, under a role that may."""
    found, form = _found(house_id, tag_out_id), ReleaseForm(prefix="release-")
    form.role.choices = choices_of((role.value, ROLE_TITLES[role]) for role in Role)
    if form.validate_on_submit():
        try:
            release_tag_out(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, tag_out=tag_out_id,
                role=Role(form.role.data), reason=form.reason.data or "", paper=form.paper.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash(f"{found.scope}: this stop is released. Tell the crew; other stops on it stand on their own.")
            return redirect(url_for("tag_out.one", house_id=house_id, tag_out_id=tag_out_id), 303)
    return _page(house_id, found, 422, release=form)


@blueprint.post("/<tag_out_id>/withdraw")
@permission("stop.withdraw")
def withdraw(house_id: str, tag_out_id: str) -> ResponseReturnValue:
    """Withdraw a stop raised on the wrong set; its raiser and a second person are both named."""
    found, form = _found(house_id, tag_out_id), WithdrawForm(prefix="withdraw-")
    form.second.choices = choices_of(_others(house_id, g.person.id))
    if form.validate_on_submit():
        try:
            withdraw_tag_out(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, tag_out=tag_out_id,
                second=form.second.data or "", reason=form.reason.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash(f"{found.scope}: the stop is withdrawn. If another set was meant, stop that one now.")
            return redirect(url_for("tag_out.one", house_id=house_id, tag_out_id=tag_out_id), 303)
    return _page(house_id, found, 422, withdraw=form)
