"""Pages of the parts: found by tag, one with its lives, changes and looks, and the forms that change it."""

from dataclasses import replace
from datetime import date
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for

from inspect_app import clock
from inspect_app.actions.part import add_part, change_part, replace_part, retire_part
from inspect_app.domain.attribute_value import shown_attribute, shown_attributes, typed_attribute
from inspect_app.domain.errors import Conflict, DomainError, NotFound
from inspect_app.domain.house import LineSet
from inspect_app.domain.ids import to_key
from inspect_app.domain.line_names import line_words
from inspect_app.domain.part import Life, Part, PartKind
from inspect_app.domain.part_attributes import specs_for
from inspect_app.domain.part_kind import KIND_WORDS, kind_title, tag_for
from inspect_app.domain.part_label import PartLabel, make_label
from inspect_app.output.qr import draw_qr
from inspect_app.store.gauge import list_stations
from inspect_app.store.house import get_area, get_line_set, list_areas
from inspect_app.store.measure_history import list_outlooks
from inspect_app.store.part import (
    PartChange,
    count_parts,
    find_part_by_tag,
    get_part,
    list_latest_looks,
    list_lives,
    list_part_changes,
    list_parts,
)
from inspect_app.store.tag_out import list_standing
from inspect_app.store.walk_record import get_inventory
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.form import show_error
from inspect_app.web.house_form import read_day, read_mm, today, typed, units
from inspect_app.web.measure_history import shown_measures, trend_method
from inspect_app.web.newest_measure import newest_said
from inspect_app.web.part_form import (
    ATTRIBUTE,
    KindForm,
    PartForm,
    ReplaceForm,
    RetirePartForm,
    attributes_of,
    form_for,
)
from inspect_app.web.part_limits import shown_limits
from inspect_app.web.set_story import open_on

blueprint = Blueprint("part", __name__, url_prefix="/houses/<house_id>/parts")
SHOWN_AT_MOST = 300


@blueprint.get("/")
@permission("house.view")
def shelf(house_id: str) -> Any:
    """Find a part by its tag, or list the parts of a kind."""
    db, tag, kind = get_db(), " ".join(request.args.get("tag", "").split()), request.args.get("kind", "")
    if tag:
        found = find_part_by_tag(db, house_id, tag[:40])
        if found is not None:
            return redirect(url_for("part.one", house_id=house_id, part_id=found.id))
    wanted = tag.casefold()
    parts = [part for part in list_parts(db, house_id) if _fits(part, wanted, kind)] if tag or kind else []
    counts = {found: count for found, count in count_parts(db, house_id).items()}
    page = render_template(
        "house/parts.html",
        tag=tag,
        kind=kind,
        parts=parts[:SHOWN_AT_MOST],
        more=max(len(parts) - SHOWN_AT_MOST, 0),
        counts=counts,
        kinds=KIND_WORDS,
        kind_title=kind_title,
    )
    return page


def _fits(part: Part, wanted: str, kind: str) -> bool:
    return wanted in part.tag.casefold() and (not kind or part.kind.value == kind)


@blueprint.get("/<part_id>/")
@permission("house.view")
def one(house_id: str, part_id: str) -> str:
    """One part: what hangs there, what hung there, what changed, who looked."""
    db = get_db()
    part = get_part(db, house_id, part_id)
    outlooks, inventory = list_outlooks(db, house_id, part_id), get_inventory(db, house_id)
    lives = list_lives(db, house_id, part_id)
    present = next((life for life in lives if life.retired_on is None), None)
    line_set = get_line_set(db, house_id, part.line_set) if part.line_set else None
    well = get_part(db, house_id, part.well) if part.well else None
    stops = [
        stop
        for stop in list_standing(db, house_id)
        if stop.part == part_id or _same_set(stop.line_set, part) or stop.area == part.area
    ]
    return render_template(
        "house/part.html",
        part=part,
        title=kind_title(part.kind),
        line_set=line_set,
        line=_line_words(line_set, part),
        area=get_area(db, house_id, part.area),
        well=well,
        life=present,
        rows=shown_attributes(part.kind, present.attributes, units()) if present else [],
        past=[(life, shown_attributes(part.kind, life.attributes, units())) for life in lives if life.retired_on],
        changes=[change_words(part.kind, change) for change in list_part_changes(db, house_id, part_id)],
        looks=list_latest_looks(db, house_id, part_id),
        stops=stops,
        open_here=open_on(house_id, [part]),
        measures=shown_measures(outlooks),
        newest=newest_said(part, outlooks, inventory),
        part_limits=shown_limits(part, inventory),
        stations=list_stations(db, house_id, part_id),
        trend_method=trend_method(),
        label=draw_qr(make_label(request.host_url, PartLabel(house_id, part_id))),
    )


def _same_set(line_set: str | None, part: Part) -> bool:
    return line_set is not None and line_set == part.line_set


def _line_words(line_set: LineSet | None, part: Part) -> str:
    return line_words(g.house, line_set.lines, part.line) if line_set is not None and part.line is not None else ""


def change_words(kind: PartKind, change: PartChange) -> PartChange:
    """A change with the label of the attribute and its values as they are read."""
    if change.what == "area":
        names = {area.id: area.name for area in list_areas(get_db(), g.house.id, retired=True)}
        return change._replace(old=names.get(change.old, ""), new=names.get(change.new, ""))
    spec = next((one for one in specs_for(kind) if one.key == change.what), None)
    if spec is None:
        return change
    old, new = (shown_attribute(spec, value, units()) for value in (change.old, change.new))
    return change._replace(what=spec.label, old=old, new=new)


@blueprint.route("/new", methods=["GET", "POST"])
@permission("house.edit")
def new(house_id: str) -> Any:
    """Add a part: first its kind, then the rest."""
    line_set = _line_set_named(house_id)
    kind_text = request.args.get("kind", "")
    if kind_text not in set(PartKind):
        form = KindForm(formdata=None)
        return render_template("house/part_kind.html", form=form, line_set=line_set)
    kind = PartKind(kind_text)
    areas = list_areas(get_db(), house_id)
    if not areas:
        raise Conflict("Add the area in which the part is first.")
    start = {"tag": tag_for(kind, line_set.number if line_set else "")}
    form = form_for(kind, house_id, areas, line_set, PartForm, start)
    if form.validate_on_submit():
        part = _placed(Part("", house_id, "", kind, "", line_set.id if line_set else None), form)
        attributes, day = attributes_of(kind, form, units()), read_day(form.installed_on)
        if part is not None and attributes is not None and not form.errors:
            made = _added(form, part, day, attributes)
            if made is not None:
                flash(f"{made.tag} is added.")
                return redirect(url_for("part.one", house_id=house_id, part_id=made.id))
    return _form_page(form, None, kind, line_set)


def _line_set_named(house_id: str) -> LineSet | None:
    named = request.args.get("line_set", "")
    if not named:
        return None
    try:
        to_key(named)
    except DomainError:
        raise NotFound("There is no such line set in this house.") from None
    return get_line_set(get_db(), house_id, named)


def _form_page(form: PartForm, part: Part | None, kind: PartKind, line_set: LineSet | None) -> Any:
    fields = [form[ATTRIBUTE + spec.key] for spec in specs_for(kind)]
    page = render_template(
        "house/part_form.html", form=form, part=part, title=kind_title(kind), fields=fields, line_set=line_set
    )
    return page, 422 if form.errors else 200


def _placed(part: Part, form: PartForm) -> Part | None:
    """The part with the place typed in the form; None when a length cannot be read."""
    read = {name: read_mm(form[name], negative=True, needed=False) for name in ("x_mm", "y_mm", "z_mm")}
    if any(form[name].errors for name in read):
        return None
    line = int(form.line.data) if "line" in form and form.line.data else None
    well = (form.well.data or None) if "well" in form else part.well
    moved = replace(part, x_mm=read["x_mm"], y_mm=read["y_mm"], z_mm=read["z_mm"])
    return replace(moved, tag=form.tag.data or "", area=form.area.data or "", line=line, well=well)


def _added(form: PartForm, part: Part, day: date | None, attributes: dict[str, str]) -> Part | None:
    try:
        return add_part(
            *(get_db(),),
            at=clock.now(), actor=g.person.id, part=part, installed_on=day, lot=form.lot.data or "",
            attributes=attributes,
        )  # fmt: skip
    except DomainError as error:
        show_error(form, error)
        return None


@blueprint.route("/<part_id>/edit", methods=["GET", "POST"])
@permission("house.edit")
def edit(house_id: str, part_id: str) -> Any:
    """Change where a part is and what is recorded about it."""
    db = get_db()
    part = get_part(db, house_id, part_id)
    life = _present(house_id, part_id)
    line_set = get_line_set(db, house_id, part.line_set) if part.line_set else None
    form = form_for(part.kind, house_id, list_areas(db, house_id, retired=True), line_set, PartForm, _start(part, life))
    if form.validate_on_submit():
        placed = _placed(part, form)
        attributes, day = attributes_of(part.kind, form, units()), read_day(form.installed_on)
        if placed is not None and attributes is not None and not form.errors:
            kept = {
                key: value for key, value in (life.attributes if life else {}).items() if key not in _asked(part.kind)
            }
            if _changed(form, placed, day, {**kept, **attributes}):
                flash(f"{placed.tag} is saved.")
                return redirect(url_for("part.one", house_id=house_id, part_id=part_id))
    return _form_page(form, part, part.kind, line_set)


def _asked(kind: PartKind) -> set[str]:
    return {spec.key for spec in specs_for(kind)}


def _present(house_id: str, part_id: str) -> Life | None:
    return next((life for life in list_lives(get_db(), house_id, part_id) if life.retired_on is None), None)


def _start(part: Part, life: Life | None) -> dict[str, str]:
    start = {"tag": part.tag, "area": part.area, "line": str(part.line or ""), "well": part.well or ""}
    start |= {name: typed(getattr(part, name)) for name in ("x_mm", "y_mm", "z_mm")}
    if life is not None:
        start |= {"installed_on": life.installed_on.isoformat() if life.installed_on else "", "lot": life.lot}
        for spec in specs_for(part.kind):
            start[ATTRIBUTE + spec.key] = typed_attribute(spec, life.attributes.get(spec.key, ""), units())
    return start


def _changed(form: PartForm, part: Part, day: date | None, attributes: dict[str, str]) -> bool:
    try:
        change_part(
            *(get_db(),),
            at=clock.now(), actor=g.person.id, part=part, installed_on=day, lot=form.lot.data or "",
            attributes=attributes, reason=form.reason.data or "",
        )  # fmt: skip
    except DomainError as error:
        show_error(form, error)
        return False
    return True


@blueprint.route("/<part_id>/replace", methods=["GET", "POST"])
@permission("house.edit")
def replaced(house_id: str, part_id: str) -> Any:
    """Record that something new hangs in the part's place."""
    part, life, at = get_part(get_db(), house_id, part_id), _present(house_id, part_id), clock.now()
    start = {key: value for key, value in _start(part, life).items() if key.startswith(ATTRIBUTE)}
    start.pop(f"{ATTRIBUTE}rope_baseline_mm", None)  # belongs to the rope that goes
    start["on"] = today().isoformat()
    form = form_for(part.kind, house_id, [], None, ReplaceForm, start)
    if form.validate_on_submit():
        attributes, day = attributes_of(part.kind, form, units()), read_day(form.on)
        if attributes is not None and day is not None:
            try:
                replace_part(
                    *(get_db(),),
                    at=at, actor=g.person.id, house=house_id, part=part_id, on=day, lot=form.lot.data or "",
                    attributes=attributes, reason=form.reason.data or "",
                )  # fmt: skip
            except DomainError as error:
                show_error(form, error)
            else:
                flash(f"A new life of {part.tag} begins on {day}.")
                return redirect(url_for("part.one", house_id=house_id, part_id=part_id))
    fields = [form[ATTRIBUTE + spec.key] for spec in specs_for(part.kind)]
    page = render_template("house/part_replace.html", form=form, part=part, title=kind_title(part.kind), fields=fields)
    return page, 422 if form.errors else 200


@blueprint.route("/<part_id>/retire", methods=["GET", "POST"])
@permission("house.edit")
def retired(house_id: str, part_id: str) -> Any:
    """Take a part out of the inventory."""
    part, at = get_part(get_db(), house_id, part_id), clock.now()
    form = RetirePartForm(data={"on": today().isoformat()})
    if form.validate_on_submit():
        day = read_day(form.on)
        if day is not None:
            try:
                retire_part(
                    *(get_db(),),
                    at=at, actor=g.person.id, house=house_id, part=part_id, on=day, reason=form.reason.data or "",
                )  # fmt: skip
            except DomainError as error:
                show_error(form, error)
            else:
                flash(f"{part.tag} is retired.")
                return redirect(url_for("part.one", house_id=house_id, part_id=part_id))
    page = render_template("house/part_retire.html", form=form, part=part, title=kind_title(part.kind))
    return page, 422 if form.errors else 200
