"""People of a house: who belongs to it, in which roles; for its administrators."""

from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask_wtf import FlaskForm
from wtforms import StringField
from wtforms.fields.choices import SelectChoice  # type: ignore[attr-defined]
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions import member as members
from inspect_app.actions.account import revoke_device
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.person import Member
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.store.device import list_devices
from inspect_app.store.membership import get_member, list_members
from inspect_app.web.access import may, permission
from inspect_app.web.database import get_db
from inspect_app.web.form import CheckboxesField, show_error

blueprint = Blueprint("member", __name__, url_prefix="/houses/<house_id>/members")

NAV = (("People", "member.people", "house.members"),)
_ROLES = [SelectChoice(role.value, ROLE_TITLES[role]) for role in Role]


class RolesForm(FlaskForm):
    """Roles of one member."""

    roles = CheckboxesField("Roles", choices=_ROLES)


class InviteForm(RolesForm):
    """A new member."""

    name = StringField("Name", [InputRequired("Fill this in."), Length(max=120)], render_kw={"autocomplete": "off"})
    credential = StringField("Credential", [Length(max=200)], description="What qualifies the person, in their words.")


def _roles(form: RolesForm) -> list[Role]:
    return [Role(role) for role in form.roles.data or []]


def _person(person_id: str) -> Member:
    member = get_member(get_db(), g.house.id, person_id)
    if member is None:
        raise NotFound("There is no such person in this house.")
    return member


@blueprint.route("/", methods=["GET", "POST"])
@permission("house.members")
def people(house_id: str) -> Any:
    """Everyone in the house, and the form for a new member."""
    form = InviteForm()
    if form.validate_on_submit():
        try:
            person, code = members.invite(
                get_db(),
                at=clock.now(),
                actor=g.person.id,
                house=house_id,
                name=form.name.data or "",
                credential=form.credential.data or "",
                roles=_roles(form),
            )
            return _show_code(person.id, code)
        except DomainError as error:
            show_error(form, error)
    everyone = list_members(get_db(), house_id)
    return render_template("account/people.html", form=form, members=everyone), 422 if form.errors else 200


def _show_code(person_id: str, code: str) -> Any:
    """Show a fresh code once, on the answer itself: it is nowhere else."""
    member = _person(person_id)
    return render_template("account/code_made.html", member=member, code=code, address=request.host_url)


@blueprint.route("/<person_id>", methods=["GET", "POST"])
@permission("house.members")
def one(house_id: str, person_id: str) -> Any:
    """One member: roles, account, devices."""
    member, form = _person(person_id), RolesForm()
    if request.method == "GET":
        form.roles.data = [role.value for role in member.roles]
    if form.validate_on_submit():
        try:
            members.change_roles(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, person=person_id, roles=_roles(form)
            )
            flash("Saved. The change counts from now on.")
            return redirect(url_for("member.one", house_id=house_id, person_id=person_id), 303)
        except DomainError as error:
            show_error(form, error)
    devices = list_devices(get_db(), house_id, person_id)
    page = render_template("account/person.html", form=form, member=member, devices=devices)
    return page, 422 if form.errors else 200


@blueprint.post("/<person_id>/code")
@permission("house.members")
def code(house_id: str, person_id: str) -> Any:
    """A new one-time code."""
    _person(person_id)
    made = members.renew_code(get_db(), at=clock.now(), actor=g.person.id, house=house_id, person=person_id)
    return _show_code(person_id, made)


@blueprint.post("/<person_id>/account")
@permission("house.members")
def account(house_id: str, person_id: str) -> Any:
    """Close or open the account."""
    _person(person_id)
    closed = request.form.get("closed") == "yes"
    members.change_account(get_db(), at=clock.now(), actor=g.person.id, house=house_id, person=person_id, closed=closed)
    flash("The account is closed; its sessions have ended." if closed else "The account is open again.")
    return redirect(url_for("member.one", house_id=house_id, person_id=person_id), 303)


@blueprint.post("/devices/<device_id>/end")
@permission("device.revoke")
def end_device(house_id: str, device_id: str) -> Any:
    """Withdraw the pairing of a member's device."""
    found = revoke_device(get_db(), at=clock.now(), actor=g.person.id, device=device_id, house=house_id)
    flash("The device can send nothing more. What it has not sent stays on it.")
    if not may("house.members"):
        return redirect(url_for("account.start"), 303)
    return redirect(url_for("member.one", house_id=house_id, person_id=found.person.id), 303)
