"""Bringing in the files that the walk page saves on a phone, for a phone that cannot send."""

from typing import Any, NamedTuple

from flask import Blueprint, g, render_template
from flask_wtf import FlaskForm
from flask_wtf.file import MultipleFileField
from werkzeug.datastructures import FileStorage
from wtforms.validators import InputRequired

from inspect_app import clock
from inspect_app.actions.unsent import Imported, import_unsent
from inspect_app.domain.errors import DomainError
from inspect_app.store.checklist import load_shelf
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.security import MEGABYTE

blueprint = Blueprint("unsent", __name__, url_prefix="/houses/<house_id>/unsent")

LARGEST_FILE = 64 * MEGABYTE
LARGEST_POST = 8 * LARGEST_FILE  # spooled to the disk; one file at a time is read into memory


class FileForm(FlaskForm):
    """The files as the phone saved them."""

    file = MultipleFileField(
        "Files from the phone",
        [InputRequired("Choose the file that the walk page saved.")],
        description="At most 64 MB each; the walk page saves several parts when there is more. Choose several at once "
        "or one after another, in any order.",
        render_kw={"accept": ".json,application/json"},
    )


class Brought(NamedTuple):
    """One file by its name, and what became of it; None with an error beside it when it could not be read."""

    name: str
    done: Imported | None
    error: str = ""


@blueprint.route("", methods=["GET", "POST"])
@permission("walk.import", most_bytes=LARGEST_POST + MEGABYTE)
def page(house_id: str) -> Any:
    """Choose the files; then see what became of each thing in them."""
    form, brought = FileForm(), list[Brought]()
    if form.validate_on_submit():
        brought = [_bring_in(house_id, file) for file in form.file.data or ()]
        wrong = [f"{one.name}: {one.error}" if len(brought) > 1 else one.error for one in brought if one.error]
        form.file.errors = [*form.file.errors, *wrong]
    done = [one for one in brought if one.done is not None]
    return render_template("unsent/page.html", form=form, brought=done), 422 if form.errors else 200


def _bring_in(house_id: str, file: FileStorage) -> Brought:
    """One file; what is wrong with it keeps no other from being brought in."""
    name = file.filename or "the file"
    content = file.read(LARGEST_FILE + 1)
    if len(content) > LARGEST_FILE:
        return Brought(name, None, "This file is larger than 64 MB. Save it on the phone again, in parts.")
    try:
        done = import_unsent(
            get_db(),
            get_settings(),
            at=clock.now(),
            actor=g.person.id,
            house=house_id,
            content=content,
            shelf=load_shelf(get_settings()),
        )
    except DomainError as error:
        return Brought(name, None, error.message)
    return Brought(name, done)
