"""Pages of the checklists: what each asks, what is wrong with a file, and who reviewed it before use."""

from flask import Blueprint, abort, flash, g, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm
from wtforms import DateField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length, Optional

from inspect_app import clock
from inspect_app.actions.checklist import review_checklist
from inspect_app.domain.checklist import Checklist, Review
from inspect_app.domain.errors import BadValue
from inspect_app.store.checklist import Shelf, get_review, load_shelf
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings

blueprint = Blueprint("checklist", __name__)
NAV = (("Checklists", "checklist.shelf", "checklist.view"),)


class ReviewForm(FlaskForm):
    """Who reviewed a checklist, as typed: the program verifies none of it."""

    by = StringField("Name of the qualified person", [InputRequired("Name the person."), Length(max=120)])
    credential = StringField(
        "What qualifies them (body, number, experience)", [InputRequired("Say what qualifies them."), Length(max=200)]
    )
    on = DateField("Reviewed on", [InputRequired("Write the date as YYYY-MM-DD.")])
    remark = TextAreaField("Remark", [Optional(), Length(max=1000)])


@blueprint.get("/houses/<house_id>/checklists")
@permission("checklist.view")
def shelf(house_id: str) -> str:
    """All checklists that this house can walk, and the files that cannot be used."""
    loaded = load_shelf(get_settings())
    reviews = {key: get_review(get_db(), house_id, item.revision) for key, item in loaded.checklists.items()}
    return render_template("checklist/shelf.html", shelf=loaded, reviews=reviews)


@blueprint.get("/houses/<house_id>/checklists/<slug>")
@permission("checklist.view")
def one(house_id: str, slug: str) -> str:
    """One checklist with every point."""
    checklist = _find(load_shelf(get_settings()), slug)
    review = get_review(get_db(), house_id, checklist.revision)
    return render_template("checklist/one.html", checklist=checklist, review=review)


@blueprint.route("/houses/<house_id>/checklists/<slug>/review", methods=["GET", "POST"])
@permission("checklist.review")
def review(house_id: str, slug: str) -> ResponseReturnValue:
    """Record who reviewed this exact revision."""
    loaded = load_shelf(get_settings())
    checklist = _find(loaded, slug)
    form = ReviewForm()
    if form.validate_on_submit():
        on = form.on.data.isoformat() if form.on.data else ""
        typed = Review((form.by.data or "").strip(), (form.credential.data or "").strip(), on)
        try:
            review_checklist(
                get_db(),
                at=clock.now(),
                actor=g.person.id,
                house=house_id,
                checklist=checklist,
                sources=dict(loaded.sources[slug]),
                review=typed,
                remark=(form.remark.data or "").strip(),
            )
        except BadValue as error:
            form[error.field or "on"].errors = [error.message]
        else:
            flash("The review is recorded for this exact revision.")
            return redirect(url_for("checklist.one", house_id=house_id, slug=slug))
    return render_template("checklist/review.html", form=form, checklist=checklist), 422 if form.errors else 200


def _find(loaded: Shelf, slug: str) -> Checklist:
    checklist = loaded.checklists.get(slug)
    if checklist is None:
        abort(404)
    return checklist
