"""Pages of the line sets: all of them, one with its parts, and the form."""

from datetime import date
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, url_for
from flask_wtf import FlaskForm
from wtforms import BooleanField, IntegerField, SelectField, StringField
from wtforms.validators import InputRequired, Length, NumberRange

from inspect_app import clock
from inspect_app.actions.line_set import (
    Described,
    add_line_set,
    add_missing_parts,
    change_line_set,
    retire_line_set,
)
from inspect_app.domain.errors import BadValue, Conflict, DomainError
from inspect_app.domain.house import Inventory, LineSet, LineSetKind, Side
from inspect_app.domain.line_names import line_words
from inspect_app.domain.line_set import MOST_LINES
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.part_kind import kind_title
from inspect_app.domain.set_balance import bare_batten_words
from inspect_app.domain.site import missing_parts, site_of, surplus_parts
from inspect_app.domain.worked_figure import WorkedFigure, fleet_figure
from inspect_app.store.house import get_line_set, list_line_sets
from inspect_app.store.part import list_parts
from inspect_app.store.set_standing import get_set_record
from inspect_app.store.set_state import list_bars
from inspect_app.store.tag_out import list_standing
from inspect_app.store.walk_record import get_inventory
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.form import show_error
from inspect_app.web.house_form import KIND_CHOICES, PLAIN, SIDE_CHOICES, choices, read_day, read_mm, today, typed
from inspect_app.web.set_story import open_on
from inspect_app.web.walk import criteria_here

blueprint = Blueprint("line_set", __name__, url_prefix="/houses/<house_id>/line-sets")


class LineSetForm(FlaskForm):
    """A line set."""

    number = StringField(
        "Set number",
        [InputRequired("Fill this in."), Length(max=30)],
        description="As on the rail: 12, 12A, LX1.",
        render_kw=PLAIN,
    )
    label = StringField("What is usually on it", [Length(max=200)], render_kw=PLAIN)
    kind = SelectField("Kind", choices=choices(KIND_CHOICES))
    y_mm = StringField("Distance", [InputRequired("Write the distance from the datum.")], render_kw=PLAIN)
    lines = IntegerField(
        "Lift lines",
        [InputRequired("Write the number of lift lines."), NumberRange(0, MOST_LINES, "From 0 to 12.")],
        render_kw={"inputmode": "numeric"},
    )
    head_side = SelectField("Head side", choices=choices(SIDE_CHOICES))
    axis = SelectField("Runs", choices=choices({"across": "across the stage", "along": "along the side of the stage"}))


class NewLineSetForm(LineSetForm):
    """A new line set, with or without its parts."""

    with_parts = BooleanField("Make its usual parts as well", default=True)


class RetireForm(FlaskForm):
    """The day from which a set is out of the house."""

    on = StringField("Retired on", [InputRequired("Write the date.")], render_kw={"type": "date"})


def _described(form: LineSetForm, y_mm: int) -> Described:
    return Described(
        number=form.number.data or "",
        kind=LineSetKind(form.kind.data),
        y_mm=y_mm,
        head_side=Side(form.head_side.data),
        axis=form.axis.data or "across",
        lines=int(form.lines.data or 0),
        label=form.label.data or "",
    )


@blueprint.get("/")
@permission("house.view")
def shelf(house_id: str) -> str:
    """All line sets from the datum upstage."""
    db = get_db()
    sets = list_line_sets(db, house_id, retired=True)
    return render_template(
        "house/line_sets.html",
        line_sets=[one for one in sets if one.retired_on is None],
        retired=[one for one in sets if one.retired_on is not None],
        stopped=list_bars(db, house_id, today()),
    )


@blueprint.route("/new", methods=["GET", "POST"])
@permission("house.edit")
def new(house_id: str) -> Any:
    """Add a line set."""
    last = list_line_sets(get_db(), house_id)[-1:]
    form = NewLineSetForm(data={"lines": last[0].lines, "head_side": last[0].head_side.value} if last else {})
    if form.validate_on_submit():
        y_mm = read_mm(form.y_mm, negative=True)
        made = _added(form, house_id, y_mm) if y_mm is not None else None
        if made is not None:
            flash(f"Set {made.number} is added.")
            return redirect(url_for("line_set.one", house_id=house_id, line_set_id=made.id))
    return render_template("house/line_set_form.html", form=form, line_set=None), 422 if form.errors else 200


def _added(form: NewLineSetForm, house_id: str, y_mm: int) -> LineSet | None:
    try:
        return add_line_set(
            get_db(),
            at=clock.now(),
            actor=g.person.id,
            house=house_id,
            described=_described(form, y_mm),
            with_parts=bool(form.with_parts.data),
        )
    except (BadValue, Conflict) as error:
        show_error(form, error)
        return None


@blueprint.get("/<line_set_id>/")
@permission("house.view")
def one(house_id: str, line_set_id: str) -> str:
    """One line set with all its parts."""
    return _page(house_id, get_line_set(get_db(), house_id, line_set_id))


def _page(house_id: str, line_set: LineSet, error: str = "") -> str:
    db = get_db()
    parts = list_parts(db, house_id, line_set=line_set.id, retired=line_set.retired_on is not None)
    areas = {part.area for part in parts if part.retired_on is None}
    lines: dict[int, list[Part]] = {}
    for part in parts:
        if part.line is not None:
            lines.setdefault(part.line, []).append(part)
    inventory = None if line_set.retired_on else get_inventory(db, house_id)
    fleets = _fleets(parts, inventory)
    named = [(line_words(g.house, line_set.lines, line), lines[line], fleets.get(line)) for line in sorted(lines)]
    present = list_line_sets(db, house_id)
    order = [one.id for one in present]
    at = order.index(line_set.id) if line_set.id in order else None
    return render_template(
        "house/line_set.html",
        line_set=line_set,
        whole=[part for part in parts if part.line is None],
        lines=named,
        no_fleet=list(dict.fromkeys(one.why_not for one in fleets.values() if one.why_not)),
        areas=areas,
        bare_batten=bare_batten_words(get_set_record(db, house_id, line_set.id)),
        stops=[stop for stop in list_standing(db, house_id) if stop.line_set == line_set.id or stop.area in areas],
        open_here=open_on(house_id, parts),
        lacking=_lacking(line_set, parts, inventory),
        surplus=surplus_parts(line_set, parts) if line_set.retired_on is None else [],
        before=present[at - 1] if at else None,
        after=present[at + 1] if at is not None and at + 1 < len(present) else None,
        kind_title=kind_title,
        error=error,
    )


def _fleets(parts: list[Part], inventory: Inventory | None) -> dict[int, WorkedFigure]:
    """The fleet angle at the loft block of each line, from the places of the parts."""
    lofts = {part.line: part for part in parts if part.kind is PartKind.LOFT_BLOCK and part.line is not None}
    if not lofts or inventory is None:
        return {}
    criteria = criteria_here(inventory.house.id)
    found = {line: fleet_figure(loft, inventory, criteria) for line, loft in lofts.items()}
    return {line: figure for line, figure in found.items() if figure is not None}


def _lacking(line_set: LineSet, parts: list[Part], inventory: Inventory | None) -> list[str]:
    """Tags of the usual parts that a set in use does not have; none where they cannot be worked out."""
    if inventory is None:
        return []
    try:
        site = site_of(inventory)
        return [part.tag for part, _ in missing_parts(line_set, parts, site, lambda: "")] if site.areas else []
    except (BadValue, KeyError):
        return []


@blueprint.route("/<line_set_id>/edit", methods=["GET", "POST"])
@permission("house.edit")
def edit(house_id: str, line_set_id: str) -> Any:
    """Change a line set."""
    found = get_line_set(get_db(), house_id, line_set_id)
    names = ("number", "label", "lines", "axis")
    data = {name: getattr(found, name) for name in names} | {"y_mm": typed(found.y_mm)}
    form = LineSetForm(data=data | {"kind": found.kind.value, "head_side": found.head_side.value})
    if form.validate_on_submit():
        y_mm = read_mm(form.y_mm, negative=True)
        if y_mm is not None and _changed(form, house_id, found, y_mm):
            flash("The set is saved.")
            return redirect(url_for("line_set.one", house_id=house_id, line_set_id=line_set_id))
    return render_template("house/line_set_form.html", form=form, line_set=found), 422 if form.errors else 200


def _changed(form: LineSetForm, house_id: str, found: LineSet, y_mm: int) -> bool:
    try:
        change_line_set(
            get_db(),
            at=clock.now(),
            actor=g.person.id,
            house=house_id,
            line_set=found.id,
            described=_described(form, y_mm),
        )
    except (BadValue, Conflict) as error:
        show_error(form, error)
        return False
    return True


@blueprint.post("/<line_set_id>/complete")
@permission("house.edit")
def complete(house_id: str, line_set_id: str) -> Any:
    """Make the usual parts that a set lacks."""
    found = get_line_set(get_db(), house_id, line_set_id)
    try:
        made = add_missing_parts(get_db(), at=clock.now(), actor=g.person.id, house=house_id, line_set=line_set_id)
    except DomainError as error:
        return _page(house_id, found, error.message), 409
    flash(f"{len(made)} parts are added.")
    return redirect(url_for("line_set.one", house_id=house_id, line_set_id=line_set_id))


@blueprint.route("/<line_set_id>/retire", methods=["GET", "POST"])
@permission("house.edit")
def retire(house_id: str, line_set_id: str) -> Any:
    """Retire a set with its parts."""
    found, at = get_line_set(get_db(), house_id, line_set_id), clock.now()
    form = RetireForm(data={"on": today().isoformat()})
    if form.validate_on_submit():
        on: date | None = read_day(form.on)
        if on is not None:
            try:
                retire_line_set(get_db(), at=at, actor=g.person.id, house=house_id, line_set=line_set_id, on=on)
            except DomainError as error:
                show_error(form, error)
            else:
                flash(f"Set {found.number} is retired with its parts.")
                return redirect(url_for("line_set.shelf", house_id=house_id))
    parts = list_parts(get_db(), house_id, line_set=line_set_id)
    page = render_template("house/line_set_retire.html", form=form, line_set=found, count=len(parts))
    return page, 422 if form.errors else 200
