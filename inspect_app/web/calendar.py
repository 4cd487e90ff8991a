"""The calendar of a house's year, and how it goes out: the file, secret addresses, and the daily digest."""

import calendar as months
import hashlib
from collections import defaultdict
from datetime import date, timedelta
from typing import Any, NamedTuple

from flask import Blueprint, Response, flash, g, make_response, redirect, render_template, request, url_for
from flask_wtf import FlaskForm
from wtforms import StringField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions.calendar import HouseCalendar
from inspect_app.actions.calendar_feed import calendar_bytes, end_link, make_link, read_feed
from inspect_app.actions.digest import choose_digest, stop_digest
from inspect_app.config import mail_server
from inspect_app.domain.calendar_item import KIND_TITLES, CalendarItem, ItemKind, standing_words
from inspect_app.domain.errors import BadValue, DomainError, NotFound
from inspect_app.store.calendar_link import list_calendar_links
from inspect_app.store.outbox import get_digest_choice, list_mail_of
from inspect_app.web import field_limit
from inspect_app.web.access import may, permission
from inspect_app.web.calendar_cache import calendar_of
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.form import show_error
from inspect_app.web.house_form import PLAIN

blueprint = Blueprint("calendar", __name__)
NAV = (("Calendar", "calendar.year", "calendar.view"),)
CALENDAR_TYPE = "text/calendar; charset=utf-8"


class Line(NamedTuple):
    """One line of a month's list. `mark` is walk, expected, other or blackout."""

    day: date
    mark: str
    what: str
    words: str
    state: str = ""
    last: date | None = None


class Cell(NamedTuple):
    """One day of a month's small table."""

    day: date
    marks: frozenset[str]


class Month(NamedTuple):
    """A month with its lines by day, and its weeks from Monday; None for days of other months."""

    title: str
    lines: list[Line]
    weeks: list[list[Cell | None]]


class LinkForm(FlaskForm):
    """A new secret address."""

    label = StringField(
        "Where you will use it", [InputRequired("Fill this in."), Length(max=60)], render_kw=PLAIN,
        description="So that you know it again: “my phone”, “office calendar”.",
    )  # fmt: skip


class DigestForm(FlaskForm):
    """Where the daily digest goes."""

    address = StringField(
        "Your e-mail address", [InputRequired("Fill this in."), Length(max=254)],
        render_kw={**PLAIN, "autocomplete": "email", "inputmode": "email"},
    )  # fmt: skip


@blueprint.get("/houses/<house_id>/calendar/")
@permission("calendar.view")
def year(house_id: str) -> str:
    """Twelve months from this one: walks at their proposed days, later rounds, blackouts, re-looks and reviews."""
    found = calendar_of(get_db(), get_settings(), g.house, clock.now())
    walks = [item for item in found.items if item.kind is ItemKind.WALK]
    return render_template(
        "calendar/year.html",
        calendar=found,
        months=_months(found),
        walks=walks,
        before=[item for item in found.items if _is_before(item, found.today) and item.kind is not ItemKind.WALK],
        state=standing_words,
        kinds=KIND_TITLES,
        has_rules=bool(found.sets),
    )


def _is_before(item: CalendarItem, today: date) -> bool:
    """Whether an item lies before the months that are shown, or has no day."""
    return item.shown_on is None or item.shown_on < today.replace(day=1)


def _months(found: HouseCalendar) -> list[Month]:
    lines = _lines(found)
    shown, first = [], found.today.replace(day=1)
    blackout_days = _blackout_days(found, first)
    for _ in range(12):
        days = months.monthrange(first.year, first.month)[1]
        last = first.replace(day=days)
        here = sorted((one for one in lines if first <= one.day <= last), key=lambda one: (one.day, one.mark, one.what))
        marks: dict[date, set[str]] = defaultdict(set)
        for one in here:
            if one.mark != "blackout":
                marks[one.day].add(one.mark)
        for day in (first + timedelta(days=n) for n in range(days)):
            if day in blackout_days:
                marks[day].add("blackout")
            if day == found.today:
                marks[day].add("today")
        weeks = [
            [Cell(day, frozenset(marks[day])) if day.month == first.month else None for day in week]
            for week in months.Calendar().monthdatescalendar(first.year, first.month)
        ]
        shown.append(Month(f"{months.month_name[first.month]} {first.year}", here, weeks))
        first = last + timedelta(days=1)
    return shown


def _blackout_days(found: HouseCalendar, first: date) -> set[date]:
    end = first + timedelta(days=400)
    return {
        date.fromordinal(n)
        for row in found.blackouts
        for n in range(max(row.blackout.first, first).toordinal(), min(row.blackout.last, end).toordinal() + 1)
    }


def _lines(found: HouseCalendar) -> list[Line]:
    rows = [
        Line(item.shown_on, "walk" if item.kind is ItemKind.WALK else "other", item.title, _words(item),
             standing_words(item))
        for item in found.items
        if item.shown_on is not None
    ]  # fmt: skip
    rows += [
        Line(one.day or one.due_on, "expected", one.title,
             "; ".join(filter(None, ("expected", one.why, "" if one.day else one.words))), "expected")
        for one in found.expected()
    ]  # fmt: skip
    first = found.today.replace(day=1)
    rows += [
        Line(max(row.blackout.first, first), "blackout", row.blackout.why or "blackout", "", "", row.blackout.last)
        for row in found.blackouts
    ]
    return rows


def _words(item: CalendarItem) -> str:
    if item.kind is not ItemKind.WALK:
        return f"{KIND_TITLES[item.kind]}. {item.words}"
    due = f"due {item.due_on}" if item.due_on else "never recorded"
    return f"{'no free day, ' if item.day is None else 'proposed, '}{due}"


@blueprint.get("/houses/<house_id>/calendar.ics")
@permission("calendar.view")
def download(house_id: str) -> Response:
    """The calendar as a file, for a program that takes no address."""
    db, settings, at = get_db(), get_settings(), clock.now()
    found = calendar_bytes(db, settings, house_id, at, calendar_of(db, settings, g.house, at))
    response = make_response(found)
    response.headers["Content-Type"] = CALENDAR_TYPE
    response.headers["Content-Disposition"] = 'attachment; filename="walks.ics"'
    response.headers["Cache-Control"] = "private, no-cache"
    return response


@blueprint.get("/calendar/<secret>.ics")
@permission("public")
def feed(secret: str) -> Response:
    """The calendar of one house for whoever has a secret address of it, and nothing else."""
    at, db = clock.now(), get_db()
    who = hashlib.sha256(secret.encode()).hexdigest()
    refused = field_limit.take("feed", who, at) or field_limit.take("feed_place", request.remote_addr or "", at)
    if refused is not None:
        return refused
    found = read_feed(db, get_settings(), secret, at) if len(secret) < 200 else None
    if found is None:
        raise NotFound("There is no such calendar, or its address was ended.")
    response = make_response(found[1])
    response.headers["Content-Type"] = CALENDAR_TYPE
    response.headers["Cache-Control"] = "private, no-cache"
    response.add_etag()
    response.make_conditional(request)
    return response


@blueprint.get("/houses/<house_id>/calendar/out")
@permission("calendar.view")
def out(house_id: str) -> Any:
    """How the calendar reaches people."""
    return _out(house_id, LinkForm(formdata=None, prefix="link-"), _digest_form(house_id), 200)


def _digest_form(house_id: str) -> DigestForm:
    choice = get_digest_choice(get_db(), house_id, g.person.id)
    return DigestForm(formdata=None, prefix="digest-", address=choice.address if choice else "")


def _out(house_id: str, link: LinkForm, digest: DigestForm, status: int, secret: str = "") -> tuple[Response, int]:
    db = get_db()
    page = render_template(
        "calendar/out.html",
        link=link,
        digest=digest,
        links=list_calendar_links(db, house_id, person=None if may("house.edit") else g.person.id),
        choice=get_digest_choice(db, house_id, g.person.id),
        mail_on=_is_mail_on(),
        sent=list_mail_of(db, house_id, g.person.id),
        new_address=url_for("calendar.feed", secret=secret, _external=True) if secret else "",
    )
    response = make_response(page)
    if secret:
        response.headers["Cache-Control"] = "no-store"
    return response, status


def _is_mail_on() -> bool:
    try:
        return mail_server() is not None
    except BadValue:
        return False


@blueprint.post("/houses/<house_id>/calendar/addresses")
@permission("calendar.feed")
def make_address(house_id: str) -> Any:
    """Make a secret address and show it this once."""
    form = LinkForm(prefix="link-")
    if form.validate_on_submit():
        try:
            _, secret = make_link(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, label=form.label.data or ""
            )
        except BadValue as error:
            show_error(form, error)
        else:
            return _out(house_id, LinkForm(formdata=None, prefix="link-"), _digest_form(house_id), 200, secret)
    return _out(house_id, form, _digest_form(house_id), 422)


@blueprint.post("/houses/<house_id>/calendar/addresses/<calendar_link_id>/end")
@permission("calendar.feed")
def end_address(house_id: str, calendar_link_id: str) -> Any:
    """End an address at once."""
    end_link(get_db(), at=clock.now(), actor=g.person.id, house=house_id, link=calendar_link_id)
    flash("The address has ended: whoever has it gets nothing more.")
    return redirect(url_for("calendar.out", house_id=house_id), 303)


@blueprint.post("/houses/<house_id>/calendar/digest")
@permission("digest.choose")
def digest(house_id: str) -> Any:
    """Send the digest to oneself, or no more."""
    db, at = get_db(), clock.now()
    if "stop" in request.form:
        try:
            stop_digest(db, at=at, actor=g.person.id, house=house_id)
            flash("The digest is not sent to you any more.")
        except NotFound as error:
            flash(error.message)
        return redirect(url_for("calendar.out", house_id=house_id), 303)
    form = DigestForm(prefix="digest-")
    if form.validate_on_submit():
        try:
            choose_digest(db, at=at, actor=g.person.id, house=house_id, address=form.address.data or "")
        except DomainError as error:
            show_error(form, error)
        else:
            flash("The digest will be sent to you once a day.")
            return redirect(url_for("calendar.out", house_id=house_id), 303)
    return _out(house_id, LinkForm(formdata=None, prefix="link-"), form, 422)
