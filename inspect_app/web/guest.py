"""Read-only links for guests: making, listing and ending them, and beginning a visit through one."""

from typing import Any

from flask import Blueprint, Response, flash, g, make_response, redirect, render_template, url_for
from flask_wtf import FlaskForm
from wtforms import BooleanField, IntegerField, StringField
from wtforms.validators import InputRequired, Length, NumberRange

from inspect_app import clock
from inspect_app.actions.guest_link import (
    LONGEST_GUEST,
    LONGEST_PURPOSE,
    MOST_DAYS,
    USUAL_DAYS,
    begin_visit,
    end_guest_link,
    hash_of,
    make_guest_link,
)
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.store.guest_link import GuestLink, find_live_link, list_guest_links
from inspect_app.store.house import get_house
from inspect_app.web import guest_pass
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.form import show_error

blueprint = Blueprint("guest", __name__)
# No address with its secret ever goes to another page. (`no-referrer` would make browsers send `Origin: null` with the
# form, which looks like another site.)
_QUIET = {"Referrer-Policy": "strict-origin", "Cache-Control": "no-store", "X-Robots-Tag": "noindex"}
_LONGEST = 200


class GuestForm(FlaskForm):
    """A new link."""

    guest = StringField("Guest", [InputRequired("Name the guest."), Length(max=LONGEST_GUEST)])
    purpose = StringField(
        "What for", [InputRequired("Say what for."), Length(max=LONGEST_PURPOSE)],
        description="Such as: to prepare the annual inspection.",
    )  # fmt: skip
    days = IntegerField(
        "Days until it ends",
        [InputRequired("Write a number of days."), NumberRange(1, MOST_DAYS, f"From 1 to {MOST_DAYS}.")],
        render_kw={"inputmode": "numeric"},
    )
    with_costs = BooleanField(
        "with costs", description="Without it the guest sees no amounts. What people wrote in notes is shown as it is."
    )


def _live(secret: str) -> GuestLink:
    found = find_live_link(get_db(), hash_of(secret), clock.now()) if len(secret) <= _LONGEST else None
    if found is None:
        raise NotFound(guest_pass.GONE)
    return found


@blueprint.get("/guest/<secret>")
@permission("public")
def door(secret: str) -> Response:
    """What the link opens, before anything is opened: whoever previews an address begins no visit."""
    link = _live(secret)
    house = get_house(get_db(), link.house)
    page = render_template("guest/door.html", link=link, name=house.name, demo=house.demo, secret=secret)
    return _quiet(make_response(page))


@blueprint.post("/guest/<secret>")
@permission("public")
def enter(secret: str) -> Response:
    """Begin a visit: the secret of the address is exchanged for a cookie that ends with the browser."""
    begun = begin_visit(get_db(), at=clock.now(), secret=secret) if len(secret) <= _LONGEST else None
    if begun is None:
        raise NotFound(guest_pass.GONE)
    link, token = begun
    first = next((address for _, address in guest_pass.menu_of(link)), "/")
    response = make_response(redirect(first, 303))
    guest_pass.set_cookie(response, token)
    return _quiet(response)


@blueprint.post("/guest/visit/end")
@permission("public")
def leave() -> Response:
    """End one's visit in this browser."""
    response = make_response(render_template("guest/left.html"))
    guest_pass.set_cookie(response, "")
    return response


def _quiet(response: Response) -> Response:
    response.headers.update(_QUIET)
    return response


@blueprint.get("/houses/<house_id>/guests")
@permission("guest.invite")
def shelf(house_id: str) -> Response:
    """The links of the house: those in use, those that ended, when each was used."""
    return _page(house_id, GuestForm(formdata=None, days=USUAL_DAYS), 200)


@blueprint.post("/houses/<house_id>/guests")
@permission("guest.invite")
def make(house_id: str) -> Response:
    """Make a link and show its address this once."""
    form = GuestForm()
    if form.validate_on_submit():
        try:
            link, secret = make_guest_link(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, guest=form.guest.data or "",
                purpose=form.purpose.data or "", days=form.days.data or 0, with_costs=bool(form.with_costs.data),
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            return _page(house_id, GuestForm(formdata=None, days=USUAL_DAYS), 200, link, secret)
    return _page(house_id, form, 422)


def _page(house_id: str, form: GuestForm, status: int, new: GuestLink | None = None, secret: str = "") -> Response:
    at, rows = clock.now(), list_guest_links(get_db(), house_id)
    page = render_template(
        "guest/shelf.html",
        form=form,
        live=[one for one in rows if one.is_live(at)],
        ended=[one for one in rows if not one.is_live(at)],
        new=new,
        new_address=url_for("guest.door", secret=secret, _external=True) if secret else "",
    )
    response = make_response(page, status)
    response.headers["Cache-Control"] = "no-store"
    return response


@blueprint.post("/houses/<house_id>/guests/<guest_link_id>/end")
@permission("guest.invite")
def end(house_id: str, guest_link_id: str) -> Any:
    """End a link at once."""
    end_guest_link(get_db(), at=clock.now(), actor=g.person.id, house=house_id, link=guest_link_id)
    flash("The link has ended: whoever has it sees nothing more.")
    return redirect(url_for("guest.shelf", house_id=house_id), 303)
