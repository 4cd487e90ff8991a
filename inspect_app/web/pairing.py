"""Pairing a phone or browser: from a signed-in session, or by a short-lived code read off another screen.

GET  /api/v1/pairing   -> {"csrf"} for a signed-in session
POST /api/v1/devices   {"house", "label", "device"?} with the session's cookie and X-CSRF-Token, or
                       {"code", "label", "device"?} with neither
                       -> 201 {"device", "token", "person": {"id", "name", "roles", "competence"}, "house",
                          "house_name", "last_seq"}. The token is told this once.

"device" is the id under which the phone was paired before. It keeps it when that was with the same person in the same
house, also after its storage was wiped; then it goes on counting from last_seq, so that what never came shows as a gap.
Errors: 400 unreadable, 401 no session and no code, 422 the code or the label will not do, 429 too many tries.
"""

from typing import Any

from flask import Blueprint, Response, g, jsonify, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm
from flask_wtf.csrf import generate_csrf
from wtforms import SelectField

from inspect_app import clock
from inspect_app.actions.device import Paired, pair_device
from inspect_app.actions.pairing import PAIRING_LASTS, make_pairing_code, pair_by_code
from inspect_app.actions.throttle import TooManyTries
from inspect_app.domain.errors import BadValue
from inspect_app.domain.fitting import competence_of
from inspect_app.domain.strict_json import read_strict
from inspect_app.store.device import get_device
from inspect_app.store.membership import list_houses_of
from inspect_app.web import field_limit
from inspect_app.web.access import enter_house, permission, require
from inspect_app.web.auth import source
from inspect_app.web.database import get_db
from inspect_app.web.errors import answer
from inspect_app.web.field import read_body, unreadable
from inspect_app.web.form import choices_of

blueprint = Blueprint("pairing", __name__)


class HouseForm(FlaskForm):
    """The house that the phone is for."""

    house = SelectField("House")


@blueprint.route("/account/phone", methods=["GET", "POST"])
@permission("signed_in")
def page() -> Any:
    """Make a code, shown once, for pairing a phone on which one is not signed in."""
    houses = {house.id: house for house, _ in list_houses_of(get_db(), g.person.id)}
    form, code, at = HouseForm(), "", clock.now()
    form.house.choices = choices_of((house.id, house.name) for house in houses.values())
    if form.validate_on_submit():
        enter_house(form.house.data)
        require("device.pair")
        code = make_pairing_code(get_db(), at=at, actor=g.person.id, house=form.house.data)
    shown = render_template(
        "account/phone.html",
        form=form,
        houses=houses,
        code=code,
        until=at + PAIRING_LASTS,
        address=request.host_url.rstrip("/") + url_for("walk_shell.shell"),
    )
    return shown, 422 if form.errors else 200


@blueprint.get("/api/v1/pairing")
@permission("signed_in")
def form_token() -> Response:
    """The token with which a signed-in person's browser may be paired."""
    return jsonify(csrf=generate_csrf())


@blueprint.post("/api/v1/devices")
@permission("pairing")
def devices() -> ResponseReturnValue:
    """Pair the device that asks; its token is shown this once."""
    at = clock.now()
    if refused := field_limit.take("pair", g.person.id if g.person else source(), at):
        return refused
    try:
        data = read_strict(read_body())
    except BadValue as error:
        return unreadable(error)
    given = data if isinstance(data, dict) else {}
    wanted = ("label", "house") if g.person else ("label", "code")
    if not all(isinstance(given.get(name), str) for name in wanted):
        return unreadable(BadValue(f"{wanted[1]} and {wanted[0]} must be text"))
    device = given.get("device") if isinstance(given.get("device"), str) else ""
    if g.person:
        return _by_session(given["house"], given["label"], device or "")
    try:
        return _by_code(given["code"], given["label"], device or "")
    except TooManyTries as error:
        refused = answer(429, "too_many", "Wait a little", error.message)
        refused.headers["Retry-After"] = str(error.wait_s)
        return refused


def _by_session(house: str, label: str, device: str) -> ResponseReturnValue:
    enter_house(house)
    require("device.pair")
    return _answer(pair_device(get_db(), at=clock.now(), actor=g.person.id, house=house, label=label, device=device))


def _by_code(code: str, label: str, device: str) -> ResponseReturnValue:
    done = pair_by_code(get_db(), at=clock.now(), typed=code, label=label, source=source(), device=device)
    g.person = done.person
    enter_house(done.house)
    return _answer(done.paired)


def _answer(paired: Paired) -> ResponseReturnValue:
    device = get_device(get_db(), g.house.id, paired.device)
    person = {
        "id": g.person.id,
        "name": g.person.name,
        "roles": sorted(g.roles),
        "competence": competence_of(g.roles).value,
    }
    said = {"device": paired.device, "token": paired.token, "person": person, "house": g.house.id}
    return jsonify(**said, house_name=g.house.name, last_seq=device.highest_seq if device else 0), 201
