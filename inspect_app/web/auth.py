"""Signing in and out, the first set-up, one-time codes, and forms that arrived after their session had run out."""

import re
from typing import Any
from urllib.parse import urlsplit

from flask import Blueprint, Response, flash, g, make_response, redirect, render_template, request, session, url_for

from inspect_app import clock
from inspect_app.actions import account as accounts
from inspect_app.actions.member import join_by_code, set_up
from inspect_app.actions.session import drop_post, hash_token
from inspect_app.actions.throttle import TooManyTries
from inspect_app.domain.errors import DomainError
from inspect_app.domain.role import Role
from inspect_app.store.kept_post import KeptPost, find_kept_post
from inspect_app.store.person import count_accounts
from inspect_app.web.access import permission
from inspect_app.web.auth_form import CodeForm, SetUpForm, SignInForm, time_zones
from inspect_app.web.database import get_db
from inspect_app.web.form import show_error
from inspect_app.web.known_browser import is_known, set_known
from inspect_app.web.session_cookie import set_session_token

blueprint = Blueprint("auth", __name__)


def same_site(target: str | None) -> str:
    """`target` if it is a path of this very site, else the start page."""
    safe = (
        target is not None
        and re.match(r"/(?![/\\])[\x21-\x7e]*\Z", target)
        and "\\" not in target
        and not urlsplit(target).netloc
    )
    return target if safe and target else url_for("account.start")


def source() -> str:
    """Where a request comes from, for counting tries."""
    return request.remote_addr or "unknown"


def _enter(done: accounts.SignIn, target: str) -> Response:
    """Answer with the new session; what was left in the message cookie goes, but for a kept form."""
    kept = session.get("kept")
    session.clear()
    if kept and find_kept_post(get_db(), hash_token(kept), done.account.id):
        session["kept"], session.permanent = kept, True
        target = url_for("auth.kept")
    response = make_response(redirect(target, 303))
    set_session_token(response, done.token)
    set_known(response, done.account.username)
    return response


def browser_words(agent: str) -> str:
    """Browser and system in plain words, for the list of sessions."""
    browsers = (("Edg/", "Edge"), ("Firefox/", "Firefox"), ("Chrome/", "Chrome"), ("Safari/", "Safari"))
    systems = (
        ("Android", "Android"),
        ("iPhone", "iPhone"),
        ("iPad", "iPad"),
        ("Windows", "Windows"),
        ("Mac OS", "Mac"),
        ("Linux", "Linux"),
    )
    browser = next((word for mark, word in browsers if mark in agent), "A browser")
    system = next((word for mark, word in systems if mark in agent), "")
    return f"{browser} on {system}" if system else browser


@blueprint.route("/sign-in", methods=["GET", "POST"])
@permission("public")
def sign_in() -> Any:
    """The sign-in page."""
    if not count_accounts(get_db()):
        return redirect(url_for("auth.set_up_page"), 303)
    form, status = SignInForm(), 200
    if form.validate_on_submit():
        try:
            done = accounts.sign_in(
                get_db(),
                at=clock.now(),
                username=form.username.data or "",
                password=form.password.data or "",
                source=source(),
                label=browser_words(request.user_agent.string),
                known=is_known(form.username.data or ""),
            )
            return _enter(done, same_site(request.args.get("next")))
        except DomainError as error:
            show_error(form, error)
            status = 429 if isinstance(error, TooManyTries) else 422
    return render_template(
        "auth/sign_in.html", form=form, kept="kept" in session
    ), 422 if form.errors and status == 200 else status


@blueprint.post("/sign-out")
@permission("public")
def sign_out() -> Any:
    """End this session."""
    if g.session is not None:
        accounts.sign_out(
            get_db(), at=clock.now(), actor=g.person.id, account=g.session.account, token_hash=g.session.token_hash
        )
    session.clear()
    response = make_response(redirect(url_for("auth.sign_in"), 303))
    set_session_token(response, "")
    return response


@blueprint.route("/set-up", methods=["GET", "POST"])
@permission("public")
def set_up_page() -> Any:
    """Make the first house and account; gone once there is one."""
    if count_accounts(get_db()):
        return redirect(url_for("auth.sign_in"), 303)
    form = SetUpForm()
    form.tz.choices = time_zones()
    if request.method == "GET":
        form.tz.data, form.roles.data = "America/New_York", [Role.TD.value]
    if form.validate_on_submit():
        try:
            return _set_up(form)
        except DomainError as error:
            show_error(form, error)
    return render_template("auth/set_up.html", form=form), 422 if form.errors else 200


def _set_up(form: SetUpForm) -> Response:
    set_up(
        get_db(),
        at=clock.now(),
        code=form.code.data or "",
        source=source(),
        house_name=form.house_name.data or "",
        tz=form.tz.data,
        units=form.units.data,
        name=form.name.data or "",
        username=form.username.data or "",
        password=form.password.data or "",
        roles=[Role(role) for role in form.roles.data or []],
    )
    done = accounts.sign_in(
        get_db(),
        at=clock.now(),
        username=form.username.data or "",
        password=form.password.data or "",
        source=source(),
        label=browser_words(request.user_agent.string),
    )
    return _enter(done, url_for("account.start"))


@blueprint.route("/code", methods=["GET", "POST"])
@permission("public")
def code() -> Any:
    """Use a one-time code: for a new account, a forgotten password, or (signed in) to join a further house."""
    form = CodeForm()
    if g.person is not None:
        form.password.validators = ()
        del form.username, form.password
    if form.validate_on_submit():
        try:
            return _use_code(form)
        except DomainError as error:
            show_error(form, error)
    return render_template("auth/code.html", form=form), 422 if form.errors else 200


def _use_code(form: CodeForm) -> Any:
    at = clock.now()
    if g.person is not None:
        join_by_code(get_db(), at=at, actor=g.person.id, typed=form.code.data or "", source=source())
        return redirect(url_for("account.start"), 303)
    done = accounts.accept_code(
        get_db(),
        at=at,
        typed=form.code.data or "",
        username=form.username.data or "",
        password=form.password.data or "",
        source=source(),
        label=browser_words(request.user_agent.string),
    )
    return _enter(done, url_for("account.start"))


def _kept_post() -> KeptPost | None:
    token = session.get("kept")
    return find_kept_post(get_db(), hash_token(token), g.session.account) if token else None


@blueprint.route("/kept", methods=["GET", "POST"])
@permission("signed_in")
def kept() -> Any:
    """The form that came too late, with one button to send it; a post here means it is not wanted any more."""
    post = _kept_post()
    if post is None or request.method == "POST":
        session.pop("kept", None)
        if post is not None:
            drop_post(get_db(), post)
            flash("The kept form is gone.")
        return redirect(url_for("account.start"), 303)
    return render_template("auth/kept.html", post=post)
