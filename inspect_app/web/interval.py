"""How often each checklist is walked: rule sets, the house's own intervals, examinations by others, walking days."""

from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask_wtf import FlaskForm
from wtforms import IntegerField, SelectField, StringField
from wtforms.validators import InputRequired, Length, NumberRange, Optional

from inspect_app import clock
from inspect_app.actions.calendar import known_of, watched_interval_of, weekdays_of
from inspect_app.actions.interval import choose_rule, drop_scope, enter_examination, save_scope, set_walking_days
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.interval import parse_interval
from inspect_app.domain.interval_scope import HouseScope, default_tolerance
from inspect_app.domain.rule_choice import Examination, chosen_sets, standing_choices
from inspect_app.domain.rule_set import OCCASION_WORDS
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.interval import get_scope, list_examinations, list_rule_choices, list_scopes
from inspect_app.store.reference import rule_sets_at
from inspect_app.web.access import permission
from inspect_app.web.calendar_cache import calendar_of
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.form import CheckboxesField, choices_of, show_error
from inspect_app.web.house_form import PLAIN, read_day

blueprint = Blueprint("interval", __name__, url_prefix="/houses/<house_id>/intervals")
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


class ScopeForm(FlaskForm):
    """An interval of the house."""

    checklist = SelectField("Checklist")
    interval = StringField(
        "Interval", [Length(max=20)], render_kw=PLAIN,
        description="ISO 8601: P1M is a month, P3M three months, P2W two weeks, P1Y a year. Empty to change only the "
        "days of tolerance; none for a checklist that is not walked here. The shortest of this, the checklist's own "
        "and a chosen rule's counts.",
    )  # fmt: skip
    reason = StringField(
        "Why", [Length(max=300)], render_kw=PLAIN, description="Heavy use, salt air, an insurer's wish."
    )
    line_sets = CheckboxesField("Only on these line sets")
    areas = CheckboxesField("Only in these areas")
    name = StringField(
        "Name of that part of the house", [Length(max=80)], render_kw=PLAIN,
        description="Only when sets or areas are chosen. What is left of the house keeps the usual interval.",
    )  # fmt: skip
    early_days = IntegerField("Offered so many days before it is due", [Optional(), NumberRange(0, 366)])
    late_days = IntegerField(
        "Counts as overdue after so many days", [Optional(), NumberRange(0, 366)],
        description="Never beyond the date of a chosen rule.",
    )  # fmt: skip


class ExaminationForm(FlaskForm):
    """An examination that somebody else held."""

    rule = SelectField("Which examination")
    held_on = StringField("Held on", [InputRequired("Choose the day.")], render_kw={"type": "date"})
    examiner = StringField("Examined by", [InputRequired("Fill this in."), Length(max=160)], render_kw=PLAIN)
    paper = StringField("Paper", [InputRequired("Fill this in."), Length(max=200)], render_kw=PLAIN,
                        description="Number and date, and where it is kept.")  # fmt: skip


class DaysForm(FlaskForm):
    """Days of the week that suit the house, and parts with open findings."""

    weekdays = CheckboxesField(
        "Days of the week that suit walks", choices=choices_of((str(n), d) for n, d in enumerate(WEEKDAYS))
    )
    watched = StringField(
        "A part with an open finding is looked at again after", [Length(max=20)], render_kw=PLAIN,
        description="Such as P1M. Counted from its last look that counts. Empty for no sooner than usual.",
    )  # fmt: skip


@blueprint.get("/")
@permission("calendar.view")
def shelf(house_id: str) -> Any:
    """What asks for walks here, and how often."""
    return _shelf(house_id, _examination_form(house_id, None), _days_form(), 200)


def _shelf(house_id: str, examination: ExaminationForm, days: DaysForm, status: int) -> tuple[str, int]:
    db, settings = get_db(), get_settings()
    sets, problems = rule_sets_at(settings.shared)
    choices = standing_choices(list_rule_choices(db, house_id))
    calendar = calendar_of(db, settings, g.house, clock.now())
    page = render_template(
        "interval/shelf.html",
        sets=sets,
        problems=problems,
        choices=choices,
        chosen=chosen_sets(sets, choices),
        occasions=OCCASION_WORDS,
        plans=calendar.plans,
        unmet=calendar.unmet,
        scopes=list_scopes(db, house_id),
        titles={key: one.title for key, one in known_of(settings).checklists.items()},
        examinations=list_examinations(db, house_id),
        rule_titles={rule.id: rule.title for one in sets.values() for rule in one.rules},
        examination=examination,
        days=days,
    )
    return page, status


@blueprint.app_template_filter("interval_words")
def interval_words(text: str) -> str:
    """An interval of the house as it is read."""
    interval = parse_interval(text) if text else None
    return f"every {interval.words}" if interval else "not walked here" if text else "usual interval"


def _examination_form(house_id: str, data: Any) -> ExaminationForm:
    form = ExaminationForm(formdata=data, prefix="paper-")
    sets, _ = rule_sets_at(get_settings().shared)
    chosen = chosen_sets(sets, standing_choices(list_rule_choices(get_db(), house_id)))
    form.rule.choices = choices_of((rule.id, rule.title) for one in chosen for rule in one.rules if rule.by_paper)
    return form


def _days_form() -> DaysForm:
    watched = watched_interval_of(g.house)
    return DaysForm(
        formdata=None, prefix="days-", weekdays=[str(day) for day in sorted(weekdays_of(g.house))],
        watched=str(watched) if watched else "",
    )  # fmt: skip


@blueprint.post("/rules")
@permission("interval.edit")
def choose(house_id: str) -> Any:
    """Let a rule set bind the house, or say that a set or a rule does not apply, and why."""
    what = request.form.get("what", "")[:80]
    applies = request.form.get("applies") == "yes"
    try:
        choose_rule(
            get_db(), at=clock.now(), actor=g.person.id, house=house_id, what=what, applies=applies,
            reason=request.form.get("reason", "")[:300], known=known_of(get_settings()),
        )  # fmt: skip
        flash("The choice is kept. Due dates follow it from now on.")
    except DomainError as error:
        flash(f"Not changed. {error.message}")
    return redirect(url_for("interval.shelf", house_id=house_id), 303)


@blueprint.route("/new", methods=["GET", "POST"])
@permission("interval.edit")
def new(house_id: str) -> Any:
    """An interval of the house's own."""
    return _edit(house_id, None)


@blueprint.route("/<scope_id>", methods=["GET", "POST"])
@permission("interval.edit")
def edit(house_id: str, scope_id: str) -> Any:
    """Change an interval of the house's own."""
    kept = get_scope(get_db(), house_id, scope_id)
    if kept is None:
        raise NotFound("There is no such interval in this house.")
    return _edit(house_id, kept)


def _edit(house_id: str, kept: HouseScope | None) -> Any:
    form = ScopeForm(data=_start(kept))
    db, known = get_db(), known_of(get_settings())
    form.checklist.choices = choices_of((key, one.title) for key, one in known.checklists.items())
    form.line_sets.choices = choices_of((one.id, one.number) for one in list_line_sets(db, house_id))
    form.areas.choices = choices_of((one.id, one.name) for one in list_areas(db, house_id))
    if form.validate_on_submit():
        scope = HouseScope(
            kept.id if kept else "", house_id, form.checklist.data or "", form.name.data or "",
            frozenset(form.line_sets.data or ()) or None, frozenset(form.areas.data or ()) or None,
            form.interval.data or "", form.early_days.data, form.late_days.data, form.reason.data or "",
        )  # fmt: skip
        try:
            save_scope(db, at=clock.now(), actor=g.person.id, scope=scope, known=known)
        except DomainError as error:
            show_error(form, error)
        else:
            flash("The interval is kept. Due dates follow it from now on.")
            return redirect(url_for("interval.shelf", house_id=house_id), 303)
    usual = default_tolerance(None)
    return render_template("interval/form.html", form=form, kept=kept, usual=usual), 422 if form.errors else 200


def _start(kept: HouseScope | None) -> dict[str, Any]:
    if kept is None:
        return {}
    return {
        "checklist": kept.checklist,
        "interval": kept.interval,
        "reason": kept.reason,
        "line_sets": sorted(kept.line_sets or ()),
        "areas": sorted(kept.areas or ()),
        "name": kept.name,
        "early_days": kept.early_days,
        "late_days": kept.late_days,
    }


@blueprint.post("/<scope_id>/end")
@permission("interval.edit")
def end(house_id: str, scope_id: str) -> Any:
    """Take an interval of the house out of use."""
    drop_scope(get_db(), at=clock.now(), actor=g.person.id, house=house_id, scope=scope_id)
    flash("The interval is out of use; the usual one holds again.")
    return redirect(url_for("interval.shelf", house_id=house_id), 303)


@blueprint.post("/examinations")
@permission("interval.edit")
def examine(house_id: str) -> Any:
    """Enter an examination that somebody else held."""
    form = _examination_form(house_id, request.form)
    if form.validate_on_submit():
        day = read_day(form.held_on)
        try:
            if day is not None:
                made = Examination(
                    "", house_id, form.rule.data or "", day, form.examiner.data or "", form.paper.data or ""
                )
                enter_examination(
                    get_db(), at=clock.now(), actor=g.person.id, examination=made, known=known_of(get_settings())
                )
                flash("The examination is entered.")
                return redirect(url_for("interval.shelf", house_id=house_id), 303)
        except DomainError as error:
            show_error(form, error)
    return _shelf(house_id, form, _days_form(), 422)


@blueprint.post("/days")
@permission("interval.edit")
def days(house_id: str) -> Any:
    """Which days of the week suit walks, and how soon parts with open findings are looked at again."""
    form = DaysForm(prefix="days-")
    if form.validate_on_submit():
        try:
            set_walking_days(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id,
                weekdays=frozenset(int(day) for day in form.weekdays.data or ()), watched=form.watched.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash("Kept. Proposals follow it from now on.")
            return redirect(url_for("interval.shelf", house_id=house_id), 303)
    return _shelf(house_id, _examination_form(house_id, None), form, 422)
