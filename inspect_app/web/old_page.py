"""Old pages: photographs of a paper log, pinned to a set and a year, shown as unverified history."""

from typing import Any

from flask import Blueprint, Response, flash, g, redirect, render_template, request, url_for
from flask_wtf import FlaskForm
from flask_wtf.file import FileField, FileRequired
from wtforms import SelectField, StringField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions.attachment import MOST_BYTES
from inspect_app.actions.old_page import keep_old_page, withdraw_old_page
from inspect_app.domain.errors import BadValue, Conflict, DomainError, NotFound
from inspect_app.domain.old_page import LONGEST_WORDS, WHAT_IT_MEANS, OldPage
from inspect_app.store.house import list_line_sets
from inspect_app.store.old_page import get_old_page, old_pages
from inspect_app.store.photo import COPIES, read_photo
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.form import choices_of, show_error
from inspect_app.web.photo import name_download, send_kept

blueprint = Blueprint("old_page", __name__, url_prefix="/houses/<house_id>/old-pages")


class OldPageForm(FlaskForm):
    """A page of a paper log."""

    file = FileField(
        "Photograph or scan",
        [FileRequired("Choose a file.")],
        render_kw={"accept": "image/jpeg,image/png,application/pdf"},
        description="JPEG, PNG or PDF, up to 15 MB.",
    )
    line_set = SelectField("Set")
    year = StringField("Year", [InputRequired("Write the year.")], render_kw={"inputmode": "numeric", "class": "short"})
    says = StringField("What it says, in short", [Length(max=LONGEST_WORDS)])


@blueprint.route("", methods=["GET", "POST"])
@permission("walk.record", most_bytes=MOST_BYTES + 100_000)
def index(house_id: str) -> Any:
    """All pages of the house by year, and the form for another."""
    db, form = get_db(), OldPageForm()
    sets = list_line_sets(db, house_id)
    named = [(one.id, f"Set {one.number}{f': {one.label}' if one.label else ''}") for one in sets]
    form.line_set.choices = choices_of([("", "the whole house"), *named])
    if request.method == "GET":
        form.line_set.data = request.args.get("line_set", "")
    if form.validate_on_submit() and _kept(form, house_id):
        flash("The page is kept, as unverified history.")
        return redirect(url_for("old_page.index", house_id=house_id), 303)
    pages = old_pages(db, house_id, withdrawn=True)
    page = render_template(
        "learning/old_pages.html", form=form, pages=[one for one in pages if not one.withdrawn][::-1],
        gone=[one for one in pages if one.withdrawn], means=WHAT_IT_MEANS,
    )  # fmt: skip
    return page, 422 if form.errors else 200


def _kept(form: OldPageForm, house_id: str) -> bool:
    try:
        keep_old_page(
            get_db(), get_settings(), at=clock.now(), actor=g.person.id, house=house_id,
            line_set=form.line_set.data or None, year=form.year.data or "", says=form.says.data or "",
            name=form.file.data.filename or "", content=form.file.data.read(),
        )  # fmt: skip
    except NotFound:
        raise
    except DomainError as error:
        show_error(form, error)
        return False
    return True


def _find(house_id: str, old_page_id: str) -> OldPage:
    found = get_old_page(get_db(), house_id, old_page_id)
    if found is None:
        raise NotFound("There is no such page in this house.")
    return found


@blueprint.post("/<old_page_id>/withdraw")
@permission("house.edit")
def withdraw(house_id: str, old_page_id: str) -> Any:
    """Take a page back that was pinned wrongly."""
    _find(house_id, old_page_id)
    reason = request.form.get("reason", "")[:LONGEST_WORDS]
    try:
        withdraw_old_page(get_db(), at=clock.now(), actor=g.person.id, house=house_id, page=old_page_id, reason=reason)
    except (BadValue, Conflict) as error:
        flash(f"Not done. {error.message}")
    else:
        flash("The page is taken back. Its bytes are kept.")
    return redirect(url_for("old_page.index", house_id=house_id), 303)


@blueprint.get("/<old_page_id>/<size>")
@permission("photo.view")
def copy(house_id: str, old_page_id: str, size: str) -> Response:
    """A picture's copy without metadata (thumb, report, print), or `file`: a PDF as it came, of a picture the copy."""
    found = _find(house_id, old_page_id)
    wanted = "print" if size == "file" and found.picture else "" if size == "file" else size
    content = read_photo(get_settings(), found.sha256, wanted) if size == "file" or size in COPIES else None
    if content is None:
        raise NotFound("There is no such picture.")
    response = send_kept(content, "image/jpeg" if found.picture else found.mime, f"{found.sha256[:32]}-{size}")
    if size == "file" and not found.picture:
        name_download(response, found.name)
    return response


@blueprint.app_template_global()
def old_pages_here(line_set: str) -> list[OldPage]:
    """The pages pinned to a set, for its page."""
    return old_pages(get_db(), g.house.id, line_set)
