"""Blackouts: the days on which the house cannot be walked, typed in or taken from the house's own calendar."""

from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask_wtf import FlaskForm
from flask_wtf.file import FileField, FileRequired
from wtforms import BooleanField, StringField
from wtforms.validators import InputRequired, Length, Optional

from inspect_app import clock
from inspect_app.actions.blackout import add_typed, end_file, end_one, import_blackouts
from inspect_app.domain.dark_day import Blackout
from inspect_app.domain.errors import BadValue, DomainError
from inspect_app.output.calendar_file import MOST_BYTES, Wanted, read_calendar
from inspect_app.store.blackout import list_blackouts
from inspect_app.store.point_clock import zone_of
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.form import show_error
from inspect_app.web.house_form import PLAIN, read_day, today

blueprint = Blueprint("blackout", __name__, url_prefix="/houses/<house_id>/blackouts")
DAY = {"type": "date"}


class BlackoutForm(FlaskForm):
    """Days on which the house cannot be walked."""

    first = StringField("First day", [InputRequired("Choose the first day.")], render_kw=DAY)
    last = StringField("Last day", [Optional()], render_kw=DAY, description="Empty for a single day.")
    why = StringField("What is on", [InputRequired("Fill this in."), Length(max=200)], render_kw=PLAIN)


class ImportForm(FlaskForm):
    """A calendar file."""

    file = FileField(
        "Calendar file (.ics)",
        [FileRequired("Choose a file: a calendar saved as .ics.")],
        render_kw={"accept": ".ics,text/calendar"},
    )
    holding = StringField(
        "Only events whose title holds", [Length(max=100)], render_kw=PLAIN,
        description="Such as “performance”. Empty for all of them.",
    )  # fmt: skip
    whole_days = BooleanField(
        "Only events of whole days", description="Else a day with any event in it counts as a blackout."
    )


@blueprint.get("/")
@permission("calendar.view")
def index(house_id: str) -> Any:
    """The blackouts from today on."""
    return _page(BlackoutForm(formdata=None), ImportForm(formdata=None, prefix="file-"), 200)


def _page(typed: BlackoutForm, file: ImportForm, status: int, left_out: tuple[str, ...] = ()) -> tuple[str, int]:
    rows = list_blackouts(get_db(), g.house.id, since=today())
    sources = list(dict.fromkeys(row.source for row in rows if row.source))
    page = render_template(
        "calendar/blackouts.html", typed=typed, file=file, rows=rows, sources=sources, left_out=left_out
    )
    return page, status


@blueprint.post("/add")
@permission("calendar.plan")
def add(house_id: str) -> Any:
    """Type one in."""
    form = BlackoutForm()
    if form.validate_on_submit():
        first, last = read_day(form.first), read_day(form.last)
        try:
            if first is not None and not form.errors:
                blackout = Blackout(first, last or first, form.why.data or "")
                add_typed(get_db(), at=clock.now(), actor=g.person.id, house=house_id, blackout=blackout)
                flash("The blackout is in the calendar.")
                return redirect(url_for("blackout.index", house_id=house_id), 303)
        except BadValue as error:
            show_error(form, error)
    return _page(form, ImportForm(formdata=None, prefix="file-"), 422)


@blueprint.post("/import")
@permission("calendar.plan", most_bytes=MOST_BYTES + 100_000)
def take_file(house_id: str) -> Any:
    """Take the events of a calendar file."""
    form = ImportForm(prefix="file-")
    if form.validate_on_submit():
        upload = form.file.data
        wanted = Wanted(bool(form.whole_days.data), form.holding.data or "")
        try:
            data = upload.read() if upload else b""
            read = read_calendar(data, zone_of(g.house.tz), today(), wanted)
            new, ended = import_blackouts(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id,
                name=upload.filename if upload and upload.filename else "", found=read.found,
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            replaced = f", in place of {ended} from this file before" if ended else ""
            flash(f"{new} blackouts were read from the file{replaced}.")
            if read.left_out:
                return _page(BlackoutForm(formdata=None), ImportForm(formdata=None, prefix="file-"), 200, read.left_out)
            return redirect(url_for("blackout.index", house_id=house_id), 303)
    return _page(BlackoutForm(formdata=None), form, 422)


@blueprint.post("/<blackout_id>/end")
@permission("calendar.plan")
def end(house_id: str, blackout_id: str) -> Any:
    """Take one out of the calendar."""
    end_one(get_db(), at=clock.now(), actor=g.person.id, house=house_id, blackout=blackout_id)
    flash("The blackout is taken out of the calendar.")
    return redirect(url_for("blackout.index", house_id=house_id), 303)


@blueprint.post("/end-file")
@permission("calendar.plan")
def end_all(house_id: str) -> Any:
    """Take all that came from one file out of the calendar."""
    source = request.form.get("source", "")[:200]
    try:
        ended = end_file(get_db(), at=clock.now(), actor=g.person.id, house=house_id, source=source)
        flash(f"{ended} blackouts of {source} are taken out of the calendar.")
    except DomainError as error:
        flash(error.message)
    return redirect(url_for("blackout.index", house_id=house_id), 303)
