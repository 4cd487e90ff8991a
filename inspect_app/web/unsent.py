"""Bringing in the file that the walk page saves on a phone, for a phone that cannot send."""

from typing import Any

from flask import Blueprint, g, render_template
from flask_wtf import FlaskForm
from flask_wtf.file import FileField
from wtforms.validators import InputRequired

from inspect_app import clock
from inspect_app.actions.unsent import import_unsent
from inspect_app.domain.errors import DomainError
from inspect_app.store.checklist import load_shelf
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.form import show_error
from inspect_app.web.security import MEGABYTE

blueprint = Blueprint("unsent", __name__, url_prefix="/houses/<house_id>/unsent")

LARGEST_FILE = 64 * MEGABYTE


class FileForm(FlaskForm):
    """The file as the phone saved it."""

    file = FileField(
        "File from the phone",
        [InputRequired("Choose the file that the walk page saved.")],
        description="At most 64 MB; the walk page saves several files when there is more.",
        render_kw={"accept": ".json,application/json"},
    )


@blueprint.route("", methods=["GET", "POST"])
@permission("walk.import", most_bytes=LARGEST_FILE + MEGABYTE)
def page(house_id: str) -> Any:
    """Choose the file; then see what became of each thing in it."""
    form, done = FileForm(), None
    if form.validate_on_submit():
        try:
            done = import_unsent(
                get_db(),
                get_settings(),
                at=clock.now(),
                actor=g.person.id,
                house=house_id,
                content=form.file.data.read() if form.file.data else b"",
                shelf=load_shelf(get_settings()),
            )
        except DomainError as error:
            show_error(form, error)
    return render_template("unsent/page.html", form=form, done=done), 422 if form.errors else 200
