"""Pages of the gauges of a house, and of the named places at which its parts are measured."""

from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask_wtf import FlaskForm
from wtforms import SelectField, StringField
from wtforms.validators import InputRequired, Length, Optional

from inspect_app import clock
from inspect_app.actions.gauge import (
    add_gauge,
    add_station,
    change_gauge,
    doubt_gauge,
    retire_gauge,
    retire_station,
    trust_gauge,
)
from inspect_app.domain.errors import BadValue, Conflict, DomainError
from inspect_app.domain.gauge import GAUGE_CLASSES, Gauge, class_title
from inspect_app.domain.units import UNITS
from inspect_app.store.gauge import get_gauge, get_station, list_gauges
from inspect_app.store.measure_history import list_measured_with
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.form import show_error
from inspect_app.web.house_form import PLAIN, choices, read_day, today

blueprint = Blueprint("gauge", __name__, url_prefix="/houses/<house_id>")

UNIT_WORDS = {key: key.replace("_", " ") for key, unit in UNITS.items() if unit.dimension not in ("count", "ratio")}
DAY = {"type": "date"}


class GaugeForm(FlaskForm):
    """What is known of a gauge."""

    name = StringField("Name that stands on it", [InputRequired("Fill this in."), Length(max=80)], render_kw=PLAIN)
    kind = SelectField("Kind of gauge", choices=choices(dict(GAUGE_CLASSES), "choose"))
    resolution = StringField(
        "Smallest step it can be trusted to", [Optional(), Length(max=20)], render_kw={**PLAIN, "inputmode": "decimal"}
    )
    unit = SelectField("Unit of the step", choices=choices(dict(UNIT_WORDS)))
    serial = StringField("Serial number", [Optional(), Length(max=80)], render_kw=PLAIN)
    calibrated_on = StringField("Calibrated on", [Optional()], render_kw=DAY)
    calibration_due = StringField("Next calibration due", [Optional()], render_kw=DAY)


class DoubtForm(FlaskForm):
    """The days on which a gauge read wrong."""

    first = StringField("First day it cannot be trusted on", [InputRequired("Give the first day.")], render_kw=DAY)
    last = StringField("Last day", [InputRequired("Give the last day.")], render_kw=DAY)
    why = StringField("What was found, and by whom", [InputRequired("Fill this in."), Length(max=200)])


@blueprint.get("/gauges/")
@permission("house.view")
def shelf(house_id: str) -> str:
    """The gauges of the house, with what is overdue for calibration."""
    gauges = list_gauges(get_db(), house_id, retired=True)
    return render_template(
        "gauge/shelf.html",
        gauges=[one for one in gauges if one.retired_on is None],
        retired=[one for one in gauges if one.retired_on is not None],
        class_title=class_title,
        unit_words=UNIT_WORDS,
        today=today(),
    )


@blueprint.route("/gauges/new", methods=["GET", "POST"])
@permission("house.edit")
def new(house_id: str) -> Any:
    """Add a gauge."""
    form = GaugeForm(data={"unit": "in" if g.house.units == "imperial" else "mm"})
    if form.validate_on_submit() and _saved(form, house_id, None):
        return redirect(url_for("gauge.shelf", house_id=house_id))
    return render_template("gauge/form.html", form=form, gauge=None), 422 if form.errors else 200


@blueprint.route("/gauges/<gauge_id>", methods=["GET", "POST"])
@permission("house.edit")
def edit(house_id: str, gauge_id: str) -> Any:
    """Change what is recorded of a gauge; its name stays, since figures name it."""
    gauge = get_gauge(get_db(), house_id, gauge_id)
    form = GaugeForm(data=_start(gauge))
    form.name.validators = []
    form.name.flags.required = False
    if form.validate_on_submit() and _saved(form, house_id, gauge):
        return redirect(url_for("gauge.shelf", house_id=house_id))
    return _page(form, gauge, _doubt_form(gauge)), 422 if form.errors else 200


def _doubt_form(gauge: Gauge) -> DoubtForm:
    first = gauge.calibrated_on.isoformat() if gauge.calibrated_on else ""
    return DoubtForm(prefix="doubt", data={"first": first, "last": today().isoformat()})


def _page(form: GaugeForm, gauge: Gauge, doubt_form: DoubtForm) -> str:
    doubts = [(one, list_measured_with(get_db(), g.house, gauge, one)) for one in gauge.doubts]
    return render_template("gauge/form.html", form=form, gauge=gauge, doubt_form=doubt_form, doubts=doubts)


@blueprint.post("/gauges/<gauge_id>/doubts")
@permission("house.edit")
def doubt(house_id: str, gauge_id: str) -> Any:
    """Note days on which a gauge read wrong."""
    gauge = get_gauge(get_db(), house_id, gauge_id)
    form = _doubt_form(gauge)
    if form.validate_on_submit():
        first, last = read_day(form.first), read_day(form.last)
        try:
            if not form.errors:
                doubt_gauge(
                    get_db(), at=clock.now(), actor=g.person.id, house=house_id, gauge=gauge_id, first=first, last=last,
                    why=form.why.data or "", today=today(),
                )  # fmt: skip
                flash(f"Noted: what {gauge.name} read on those days counts in no trend.")
                return redirect(url_for("gauge.edit", house_id=house_id, gauge_id=gauge_id, _anchor="doubts"))
        except BadValue as error:
            show_error(form, error)
    return _page(GaugeForm(formdata=None, data=_start(gauge)), gauge, form), 422


@blueprint.post("/gauges/<gauge_id>/doubts/<doubt_id>/end")
@permission("house.edit")
def trust(house_id: str, gauge_id: str, doubt_id: str) -> Any:
    """Take back days that were noted by mistake."""
    done = trust_gauge(
        get_db(), at=clock.now(), actor=g.person.id, house=house_id, gauge=gauge_id, doubt=doubt_id
    )  # fmt: skip
    flash(f"Taken back: what {done.name} read on those days counts again.")
    return redirect(url_for("gauge.edit", house_id=house_id, gauge_id=gauge_id, _anchor="doubts"))


def _start(gauge: Gauge) -> dict[str, str]:
    return {
        "name": gauge.name,
        "kind": gauge.kind,
        "resolution": gauge.resolution,
        "unit": gauge.unit or ("in" if g.house.units == "imperial" else "mm"),
        "serial": gauge.serial,
        "calibrated_on": gauge.calibrated_on.isoformat() if gauge.calibrated_on else "",
        "calibration_due": gauge.calibration_due.isoformat() if gauge.calibration_due else "",
    }


def _saved(form: GaugeForm, house_id: str, gauge: Gauge | None) -> bool:
    on, due = read_day(form.calibrated_on), read_day(form.calibration_due)
    if form.errors:
        return False
    made = Gauge(
        gauge.id if gauge else "", house_id, gauge.name if gauge else form.name.data or "", form.kind.data or "",
        form.resolution.data or "", form.unit.data or "", form.serial.data or "", on, due,
    )  # fmt: skip
    save = change_gauge if gauge else add_gauge
    try:
        kept = save(get_db(), at=clock.now(), actor=g.person.id, gauge=made)
    except (BadValue, Conflict) as error:
        show_error(form, error)
        return False
    flash(f"{kept.name} is saved.")
    return True


@blueprint.post("/gauges/<gauge_id>/retire")
@permission("house.edit")
def retire(house_id: str, gauge_id: str) -> Any:
    """Offer a gauge no more."""
    done = retire_gauge(get_db(), at=clock.now(), actor=g.person.id, house=house_id, gauge=gauge_id, on=today())
    flash(f"{done.name} is retired. Figures taken with it go on naming it.")
    return redirect(url_for("gauge.shelf", house_id=house_id))


@blueprint.post("/parts/<part_id>/stations")
@permission("house.edit")
def name_station(house_id: str, part_id: str) -> Any:
    """Name a measuring place of a part."""
    name = request.form.get("name", "")
    try:
        made = add_station(get_db(), at=clock.now(), actor=g.person.id, house=house_id, part=part_id, name=name)
    except (BadValue, Conflict) as error:
        flash(error.message)
    else:
        flash(f"The measuring place “{made.name}” is named.")
    return redirect(url_for("part.one", house_id=house_id, part_id=part_id, _anchor="measures"))


@blueprint.post("/stations/<station_id>/retire")
@permission("house.edit")
def give_up_station(house_id: str, station_id: str) -> Any:
    """Offer a measuring place no more."""
    station = get_station(get_db(), house_id, station_id)
    try:
        retire_station(get_db(), at=clock.now(), actor=g.person.id, house=house_id, station=station_id, on=today())
    except DomainError as error:
        flash(error.message)
    else:
        flash(f"The measuring place “{station.name}” is given up.")
    return redirect(url_for("part.one", house_id=house_id, part_id=station.part, _anchor="measures"))
