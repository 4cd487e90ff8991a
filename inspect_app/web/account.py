"""The start page, one's own account, its sessions and devices, and the choice of screen colours."""

from typing import Any, cast

from flask import Blueprint, current_app, flash, g, make_response, redirect, render_template, request, url_for
from flask_wtf import FlaskForm
from wtforms import PasswordField, StringField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions import account as accounts
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.house import House
from inspect_app.domain.password import MAX_LENGTH
from inspect_app.domain.role import Role, allows
from inspect_app.store.device import list_devices
from inspect_app.store.membership import list_houses_of
from inspect_app.store.session import list_sessions
from inspect_app.web.access import permission
from inspect_app.web.auth import same_site, source
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.form import show_error

blueprint = Blueprint("account", __name__)

THEMES = ("auto", "light", "dark", "red")
_PASSWORD = [InputRequired("Fill this in."), Length(max=MAX_LENGTH, message="Use at most 256 characters.")]


class PasswordForm(FlaskForm):
    """A new password."""

    old = PasswordField("Present password", _PASSWORD, render_kw={"autocomplete": "current-password"})
    password = PasswordField(
        "New password",
        _PASSWORD,
        description="At least 15 characters; a few words in a row do well.",
        render_kw={"autocomplete": "new-password"},
    )


class DetailsForm(FlaskForm):
    """Name and credential."""

    name = StringField("Name", [InputRequired("Fill this in."), Length(max=120)], render_kw={"autocomplete": "name"})
    credential = StringField(
        "Credential", [Length(max=200)], description="What qualifies you, in your words; printed beside your signature."
    )


@blueprint.get("/")
@permission("signed_in")
def start() -> Any:
    """The houses one belongs to."""
    houses = list_houses_of(get_db(), g.person.id)
    if len(houses) == 1:
        return redirect(first_page(*houses[0]), 303)
    pages = {house.id: first_page(house, roles) for house, roles in houses}
    return render_template("account/start.html", houses=houses, pages=pages)


def first_page(house: House, roles: frozenset[Role]) -> str:
    """The first page of the house's menu that these roles may open."""
    menu = cast(list[tuple[str, str, str]], current_app.jinja_env.globals["house_menu"])
    endpoint = next((endpoint for _, endpoint, needed in menu if allows(needed, roles)), "account.my_account")
    return url_for(endpoint, house_id=house.id)


@blueprint.get("/account")
@permission("signed_in")
def my_account() -> Any:
    """One's own account."""
    return _page(DetailsForm(obj=g.person), PasswordForm(), 200)


def _page(details: DetailsForm, password: PasswordForm, status: int) -> Any:
    db, at = get_db(), clock.now()
    page = render_template(
        "account/account.html",
        details=details,
        password=password,
        account=accounts.get_own_account(db, g.session.account),
        sessions=list_sessions(db, g.session.account, at),
        devices=list_devices(db, person=g.person.id),
        houses={house.id: house.name for house, _ in list_houses_of(db, g.person.id)},
    )
    return page, status


@blueprint.post("/account/details")
@permission("signed_in")
def details() -> Any:
    """Change name and credential."""
    form = DetailsForm()
    if form.validate_on_submit():
        try:
            accounts.change_details(
                get_db(),
                at=clock.now(),
                actor=g.person.id,
                name=form.name.data or "",
                credential=form.credential.data or "",
            )
            flash("Saved.")
            return redirect(url_for("account.my_account"), 303)
        except DomainError as error:
            show_error(form, error)
    return _page(form, PasswordForm(formdata=None), 422)


@blueprint.post("/account/password")
@permission("signed_in")
def password() -> Any:
    """Change the password; every other session ends."""
    form = PasswordForm()
    if form.validate_on_submit():
        try:
            accounts.change_password(
                get_db(),
                at=clock.now(),
                account=accounts.get_own_account(get_db(), g.session.account),
                old=form.old.data or "",
                new=form.password.data or "",
                source=source(),
                keep=g.session.token_hash,
            )
            flash("The password is changed. All other sessions have ended.")
            return redirect(url_for("account.my_account"), 303)
        except DomainError as error:
            show_error(form, error)
    return _page(DetailsForm(formdata=None, obj=g.person), form, 422)


@blueprint.post("/account/sessions/<session_key>/end")
@permission("signed_in")
def end_one(session_key: str) -> Any:
    """End one of one's own sessions."""
    try:
        token_hash = bytes.fromhex(session_key)
    except ValueError:
        raise NotFound("There is no such session.") from None
    ended = accounts.sign_out(
        get_db(), at=clock.now(), actor=g.person.id, account=g.session.account, token_hash=token_hash
    )
    if not ended:
        raise NotFound("There is no such session.")
    flash("The session has ended.")
    return redirect(url_for("account.my_account"), 303)


@blueprint.post("/account/sessions/end-others")
@permission("signed_in")
def end_others() -> Any:
    """End all sessions but this one."""
    accounts.sign_out_elsewhere(
        get_db(), at=clock.now(), actor=g.person.id, account=g.session.account, keep=g.session.token_hash
    )
    flash("All other sessions have ended.")
    return redirect(url_for("account.my_account"), 303)


@blueprint.post("/account/devices/<device_id>/end")
@permission("signed_in")
def end_device(device_id: str) -> Any:
    """Withdraw the pairing of one of one's own devices."""
    accounts.revoke_device(get_db(), at=clock.now(), actor=g.person.id, device=device_id, person=g.person.id)
    flash("The device can send nothing more. What it has not sent stays on it.")
    return redirect(url_for("account.my_account"), 303)


@blueprint.post("/theme")
@permission("public")
def theme() -> Any:
    """Choose the colours of the screen; kept in a cookie of this browser."""
    chosen = request.form.get("theme", "")
    response = make_response(redirect(same_site(request.form.get("back")), 303))
    if chosen in THEMES:
        secure = get_settings().secure_cookies
        response.set_cookie("theme", chosen, max_age=400 * 86400, secure=secure, httponly=True, samesite="Lax")
    return response
