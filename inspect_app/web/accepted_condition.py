"""Accepting a condition for a time, and ending that."""

from datetime import date
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for

from inspect_app import clock
from inspect_app.actions.accepted_condition import accept_condition, end_condition
from inspect_app.domain.errors import DomainError
from inspect_app.store.part import find_part_by_tag
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.deficiency_form import AcceptForm
from inspect_app.web.form import show_error

blueprint = Blueprint("accepted_condition", __name__, url_prefix="/houses/<house_id>/accepted-conditions")


@blueprint.route("/new", methods=["GET", "POST"])
@permission("condition.accept")
def accept(house_id: str) -> Any:
    """Accept a condition until a review date."""
    given = {name: request.args.get(name, "")[:300] for name in ("part", "what", "deficiency")}
    form = AcceptForm(data=given)
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
                    review_by=review_by.isoformat() if review_by else "", deficiency=form.deficiency.data or "",
                )  # fmt: skip
            except DomainError as error:
                show_error(form, error)
            else:
                flash(f"{part.tag}: the condition is accepted until {review_by}.")
                return redirect(url_for("register.index", house_id=house_id), 303)
    return render_template("deficiency/accept.html", form=form), 422 if form.errors else 200


@blueprint.post("/<condition_id>/end")
@permission("condition.accept")
def end(house_id: str, condition_id: str) -> Any:
    """End an accepted condition."""
    end_condition(get_db(), at=clock.now(), actor=g.person.id, house=house_id, condition=condition_id)
    flash("The acceptance has ended; the condition counts as open again.")
    return redirect(url_for("register.index", house_id=house_id), 303)
