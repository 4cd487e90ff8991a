"""The register of deficiencies, one with its story, and the conditions the house has accepted."""

from datetime import date
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm
from wtforms import DateField, RadioField, SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length, Optional

from inspect_app import clock
from inspect_app.actions.deficiency import accept_condition, end_condition, find_no_fault, settle_deficiency
from inspect_app.domain.deficiency import (
    STATE_TITLES,
    TRANSITIONS,
    Deficiency,
    DeficiencyState,
    needs_inspector,
    transition_for,
)
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_kind import kind_title
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.tag_out import GROUP_TITLES, group_of
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.deficiency import (
    get_deficiency,
    list_deficiencies,
    list_deficiency_events,
    list_findings_of_deficiency,
)
from inspect_app.store.membership import list_members
from inspect_app.store.part import find_part_by_tag
from inspect_app.store.tag_out import list_standing
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.form import choices_of, show_error

blueprint = Blueprint("deficiency", __name__, url_prefix="/houses/<house_id>")
NAV = (("Deficiencies", "deficiency.index", "deficiency.view"),)


class SettleForm(FlaskForm):
    """A repair that was checked."""

    role = RadioField("You act as", [InputRequired("Choose the role you act in.")])
    put_right_by_id = SelectField("Put right by", choices=[])
    put_right_by = StringField("Or by somebody else", [Length(max=120)], description="A contractor, by name.")
    done_on = DateField("Put right on", [Optional()])
    what = TextAreaField(
        "What was done and how you checked it", [Length(max=2000)], description="Parts used, measured, tried."
    )


class NoFaultForm(FlaskForm):
    """There is no fault."""

    role = RadioField("You act as", [InputRequired("Choose the role you act in.")])
    reason = TextAreaField("Why it is no fault", [Length(max=1000)])


class AcceptForm(FlaskForm):
    """A condition that the house accepts for a time."""

    part = StringField("Part, by its tag", [InputRequired("Name the part by its tag."), Length(max=40)])
    what = StringField("What the condition is", [Length(max=300)])
    accepted_by = StringField("Accepted by", [Length(max=120)])
    role = StringField("In what role", [Length(max=120)])
    reason = TextAreaField("Why, and what protects people meanwhile", [Length(max=1000)])
    paper = StringField("Paper", [Length(max=300)], description="Letter, minutes, drawing: which and when.")
    review_by = DateField("To be reviewed by", [InputRequired("Write the date as YYYY-MM-DD.")])


def _found(house_id: str, deficiency_id: str) -> Deficiency:
    found = get_deficiency(get_db(), house_id, deficiency_id)
    if found is None:
        raise NotFound("There is no such deficiency in this house.")
    return found


@blueprint.get("/deficiencies")
@permission("deficiency.view")
def index(house_id: str) -> str:
    """All deficiencies: open ones by grade, then the rest; accepted conditions apart."""
    db = get_db()
    rows = list_deficiencies(db, house_id)
    order = ("stop_use", "restrict", "repair_by", "watch")
    accepted = list_accepted(db, house_id)
    return render_template(
        "deficiency/index.html",
        open_rows=sorted((row for row in rows if row.open), key=lambda row: (order.index(row.grade.value), row.number)),
        done=[row for row in rows if not row.open][::-1],
        accepted=accepted,
        on_accepted={row.part for row in accepted},
        today=clock.now().date().isoformat(),
        titles=STATE_TITLES,
        kind=lambda text: kind_title(PartKind(text)),
    )


def _roles_for(found: Deficiency, to_state: DeficiencyState) -> list[tuple[str, str]]:
    if (found.state, to_state) not in {(row.from_state, row.to_state) for row in TRANSITIONS}:
        return []
    allowed = transition_for(found.state, to_state).roles
    group = group_of(PartKind(found.part_kind), on_line_set=False)
    if needs_inspector(group, found.grade):
        allowed = allowed & {Role.INSPECTOR}
    return [(role.value, ROLE_TITLES[role]) for role in Role if role in g.roles and role in allowed]


def _page(house_id: str, found: Deficiency, status: int = 200, **forms: FlaskForm) -> tuple[str, int]:
    db, group = get_db(), group_of(PartKind(found.part_kind), on_line_set=False)
    settle = forms.get("settle") or SettleForm(formdata=None, prefix="settle-")
    no_fault = forms.get("no_fault") or NoFaultForm(formdata=None, prefix="no-fault-")
    settle.put_right_by_id.choices = choices_of(_people(house_id))
    for form, state in ((settle, DeficiencyState.SETTLED), (no_fault, DeficiencyState.NO_FAULT)):
        form.role.choices = choices_of(_roles_for(found, state))
        if len(form.role.choices) == 1 and not form.role.data:
            form.role.data = form.role.choices[0].value
    page = render_template(
        "deficiency/one.html",
        row=found,
        kind=kind_title(PartKind(found.part_kind)),
        state=STATE_TITLES[found.state],
        titles={state.value: title for state, title in STATE_TITLES.items()},
        events=list_deficiency_events(db, found.id),
        findings=list_findings_of_deficiency(db, house_id, found.id),
        stops=[tag for tag in list_standing(db, house_id) if tag.part == found.part],
        accepted=[row for row in list_accepted(db, house_id) if row.part == found.part],
        inspector_only=needs_inspector(group, found.grade),
        group=GROUP_TITLES[group],
        settle=settle,
        no_fault=no_fault,
    )
    return page, status


def _people(house_id: str) -> list[tuple[str, str]]:
    members = [row.person for row in list_members(get_db(), house_id) if not row.ended]
    return [("", "Somebody else (name below)"), *((one.id, one.name) for one in members)]


@blueprint.get("/deficiencies/<deficiency_id>")
@permission("deficiency.view")
def one(house_id: str, deficiency_id: str) -> ResponseReturnValue:
    """One deficiency with its whole story."""
    return _page(house_id, _found(house_id, deficiency_id))


@blueprint.post("/deficiencies/<deficiency_id>/settle")
@permission("deficiency.settle")
def settle(house_id: str, deficiency_id: str) -> Any:
    """Settle a repair that somebody else made."""
    found, form = _found(house_id, deficiency_id), SettleForm(prefix="settle-")
    people = _people(house_id)
    form.put_right_by_id.choices = choices_of(people)
    form.role.choices = choices_of((role.value, ROLE_TITLES[role]) for role in Role)
    if form.validate_on_submit():
        member = form.put_right_by_id.data or ""
        name = dict(people)[member] if member else (form.put_right_by.data or "")
        try:
            settle_deficiency(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, deficiency=deficiency_id,
                role=Role(form.role.data), put_right_by=name, put_right_by_id=member,
                done_on=form.done_on.data.isoformat() if form.done_on.data else "", what=form.what.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash(f"Deficiency {found.number} is settled.")
            return redirect(url_for("deficiency.one", house_id=house_id, deficiency_id=deficiency_id), 303)
    return _page(house_id, found, 422, settle=form)


@blueprint.post("/deficiencies/<deficiency_id>/no-fault")
@permission("deficiency.settle")
def no_fault(house_id: str, deficiency_id: str) -> Any:
    """Say that there is no fault."""
    found, form = _found(house_id, deficiency_id), NoFaultForm(prefix="no-fault-")
    form.role.choices = choices_of((role.value, ROLE_TITLES[role]) for role in Role)
    if form.validate_on_submit():
        try:
            find_no_fault(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, deficiency=deficiency_id,
                role=Role(form.role.data), reason=form.reason.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash(f"Deficiency {found.number}: no fault.")
            return redirect(url_for("deficiency.one", house_id=house_id, deficiency_id=deficiency_id), 303)
    return _page(house_id, found, 422, no_fault=form)


@blueprint.route("/accepted-conditions/new", methods=["GET", "POST"])
@permission("condition.accept")
def accept(house_id: str) -> Any:
    """Accept a condition until a review date."""
    form = AcceptForm(part=request.args.get("part", "")[:40], what=request.args.get("what", "")[:300])
    if form.validate_on_submit():
        part = find_part_by_tag(get_db(), house_id, (form.part.data or "").strip())
        review_by: date | None = form.review_by.data
        if part is None:
            form.part.errors = ["There is no part with this tag in this house."]
        else:
            try:
                accept_condition(
                    get_db(), at=clock.now(), actor=g.person.id, house=house_id, part=part.id,
                    what=form.what.data or "", accepted_by=form.accepted_by.data or "", role=form.role.data or "",
                    reason=form.reason.data or "", paper=form.paper.data or "",
                    review_by=review_by.isoformat() if review_by else "",
                )  # fmt: skip
            except DomainError as error:
                show_error(form, error)
            else:
                flash(f"{part.tag}: the condition is accepted until {review_by}.")
                return redirect(url_for("deficiency.index", house_id=house_id), 303)
    return render_template("deficiency/accept.html", form=form), 422 if form.errors else 200


@blueprint.post("/accepted-conditions/<condition_id>/end")
@permission("condition.accept")
def end(house_id: str, condition_id: str) -> Any:
    """End an accepted condition."""
    end_condition(get_db(), at=clock.now(), actor=g.person.id, house=house_id, condition=condition_id)
    flash("The acceptance has ended; the condition counts as open again.")
    return redirect(url_for("deficiency.index", house_id=house_id), 303)
