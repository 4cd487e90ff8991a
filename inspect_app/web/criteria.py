"""Criteria of a house: all rules side by side, figures signed in from its own copies, and what governs."""

from typing import Any, NamedTuple

from flask import Blueprint, flash, g, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm
from wtforms import DateField, SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions.house_criteria import (
    choose_governing,
    choose_place,
    find_rule,
    sign_value,
    strictness_here,
    withdraw_value,
)
from inspect_app.domain.asked_limits import measures_by_kind
from inspect_app.domain.criteria import OP_WORDS, Criterion, Rule
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.house_criteria import DIRECTIONS, may_be_signed
from inspect_app.domain.house_rule import PLACES, STRICTNESS_WORDS, Strictness
from inspect_app.domain.limit_slots import slots
from inspect_app.domain.limit_words import rule_words
from inspect_app.domain.source import MARK_WORDS
from inspect_app.domain.units import UNITS
from inspect_app.store.checklist import load_shelf
from inspect_app.store.house_criteria import list_governing_choices, list_signed_values
from inspect_app.store.reference import reference_at
from inspect_app.web.access import permission
from inspect_app.web.criteria_groups import group_of
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.form import choices_of, show_error
from inspect_app.web.walk import criteria_here

blueprint = Blueprint("criteria", __name__, url_prefix="/houses/<house_id>/criteria")
NAV = (("Criteria", "criteria.shelf", "criteria.view"),)


class RowShown(NamedTuple):
    """One rule as the page shows it: in words, how it was read, whether it judges, and whether it may be signed in."""

    rule: Rule
    says: str
    mark: str
    judges: bool
    may_sign: bool


class PlaceForm(FlaskForm):
    """Whose law holds here."""

    place = SelectField("Rules of which place", choices=choices_of(PLACES.items()))


class CopyForm(FlaskForm):
    """From which copy of a document figures were read, by whom and when."""

    edition = StringField(
        "Edition of your copy", [InputRequired("Name the edition."), Length(max=200)], description="Such as 2016"
    )
    clause = StringField("Clause, table or page", [InputRequired("Name the clause."), Length(max=200)])
    on = DateField("Looked up on", [InputRequired("Write the date as YYYY-MM-DD.")])
    name = StringField("Name", [InputRequired("Write your name."), Length(max=120)])
    credential = StringField(
        "What qualifies you", [InputRequired("Say what qualifies you."), Length(max=200)],
        description="In your own words; it is printed with each verdict.",
    )  # fmt: skip


class SignForm(CopyForm):
    """What a qualified inspector reads in their own copy of the document."""

    unit = SelectField("Unit")
    op = SelectField("A value is outside when it is ... the figure")


class WithdrawForm(FlaskForm):
    """Why a figure no longer stands."""

    reason = TextAreaField("Why it is withdrawn", [InputRequired("Say why."), Length(max=500)])


class GoverningForm(FlaskForm):
    """Which document governs one criterion."""

    source = SelectField("Document that governs here")
    name = StringField(
        "Name of the qualified person", [Length(max=120)],
        description="Name, credential and reason are asked for unless the document is plainly the strictest here.",
    )  # fmt: skip
    credential = StringField("What qualifies them", [Length(max=200)])
    reason = TextAreaField("Reason", [Length(max=500)], description="It is printed with each verdict.")


@blueprint.app_template_filter()
def first_up(text: str) -> str:
    """A sentence's first letter in the upper case, the rest as it stands."""
    return text[:1].upper() + text[1:]


@blueprint.app_template_global()
def in_house_unit(unit: str) -> str:
    """The unit a limit is shown in here: inches or millimetres, pounds or kilograms, else its own."""
    here = {"length": ("in", "mm"), "mass": ("lb", "kg")}.get(UNITS[unit].dimension, (unit, unit))
    return here[0 if g.house.units == "imperial" else 1]


@blueprint.get("/")
@permission("criteria.view")
def shelf(house_id: str) -> str:
    """Every criterion with its rules side by side, marks, and which are off."""
    groups: dict[str, list[tuple[Criterion, list[RowShown]]]] = {}
    for criterion in criteria_here(house_id).values():
        if criterion.rules:
            groups.setdefault(group_of(criterion), []).append((criterion, rows_of(criterion)))
    place = str(g.house.settings.get("jurisdiction", ""))
    asked = measures_by_kind(load_shelf(get_settings()).checklists.values())
    return render_template(
        "criteria/shelf.html", groups=groups, place=PLACES.get(place, place), form=PlaceForm(place=place),
        asked={row.criterion for rows in asked.values() for row in rows},
    )  # fmt: skip


def rows_of(criterion: Criterion) -> list[RowShown]:
    """The rules of a criterion in the order of the file."""
    return [
        RowShown(
            rule,
            rule_words(rule, criterion),
            rule.signed.words if rule.signed else MARK_WORDS[rule.mark],
            rule.active,
            rule.signed is not None or may_be_signed(rule),
        )
        for rule in criterion.rules
    ]


@blueprint.post("/place")
@permission("house.edit")
def place(house_id: str) -> ResponseReturnValue:
    """Say which place's rules hold."""
    form = PlaceForm()
    if form.validate_on_submit():
        choose_place(get_db(), at=clock.now(), actor=g.person.id, house=house_id, place=form.place.data or "")
        flash("The place is saved. Walks that are not signed yet are judged by its rules from now on.")
        return redirect(url_for("criteria.shelf", house_id=house_id), 303)
    return render_template("criteria/place.html", form=form), 422


def _base() -> dict[str, Criterion]:
    return dict(reference_at(get_settings().shared).criteria)


def _sign_form(rule: Rule) -> Any:
    """A form with a field for each figure of the row."""
    places = slots(rule.form)
    fields = {
        f"figure_{n}": StringField(
            f"Figure{f' for {one.label}' if one.label else ''}{' in percent' if one.percent else ''}",
            [InputRequired("Enter the figure."), Length(max=40)],
            render_kw={"inputmode": "decimal", "autocomplete": "off"},
        )
        for n, one in enumerate(places)
    }
    form = type("FiguresForm", (SignForm,), fields)(
        name=g.person.name, credential=g.person.credential, on=clock.now().date()
    )
    dimension = UNITS[rule.unit].dimension
    percent = bool(places) and all(one.percent for one in places)
    own = [key for key, unit in UNITS.items() if unit.dimension == dimension] if not percent else ["percent"]
    form.unit.choices = choices_of((key, UNITS[key].sign or key) for key in own)
    form.op.choices = choices_of((op.value, OP_WORDS[op]) for op in DIRECTIONS[rule.op])
    if form.unit.data is None and not percent:
        form.unit.data = rule.unit
    if form.op.data is None:
        form.op.data = rule.op.value
    return form


def _row_page(house_id: str, rule: str, form: Any, withdraw: WithdrawForm, status: int = 200) -> ResponseReturnValue:
    base = _base()
    held = find_rule(base, rule)
    criterion = next(one for one in base.values() if held in one.rules)
    history = [one for one in reversed(list_signed_values(get_db(), house_id)) if one.rule == rule]
    page = render_template(
        "criteria/row.html", form=form, withdraw=withdraw, rule=held, criterion=criterion,
        says=rule_words(held, criterion), history=history, standing=bool(history) and not history[0].withdrawn,
        figures=[name for name in form._fields if name.startswith("figure_")], ops=OP_WORDS,
    )  # fmt: skip
    return page, status


def _signable(rule: str) -> Rule:
    held = find_rule(_base(), rule)
    if not may_be_signed(held):
        raise NotFound("This row was read in its document; only rows from memory are signed in.")
    return held


@blueprint.route("/rows/<rule_key>/", methods=["GET", "POST"])
@permission("criteria.sign")
def row(house_id: str, rule_key: str) -> ResponseReturnValue:
    """Sign in the figures of a row from memory, with its history."""
    form = _sign_form(_signable(rule_key))
    if form.validate_on_submit():
        figures = [field.data or "" for name, field in form._fields.items() if name.startswith("figure_")]
        try:
            sign_value(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, base=_base(), rule=rule_key,
                figures=figures, unit="" if form.unit.data == "percent" else form.unit.data, op=form.op.data,
                edition=form.edition.data, clause=form.clause.data, name=form.name.data,
                credential=form.credential.data, on=form.on.data.isoformat(),
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash("Signed in. The row judges in this house from now on.")
            return redirect(url_for("criteria.shelf", house_id=house_id), 303)
    return _row_page(house_id, rule_key, form, WithdrawForm(formdata=None), 422 if form.errors else 200)


@blueprint.post("/rows/<rule_key>/withdraw")
@permission("criteria.sign")
def withdraw(house_id: str, rule_key: str) -> ResponseReturnValue:
    """Take back a figure signed in."""
    held, form = _signable(rule_key), WithdrawForm()
    if form.validate_on_submit():
        try:
            withdraw_value(
                get_db(),
                at=clock.now(),
                actor=g.person.id,
                house=house_id,
                rule=rule_key,
                reason=form.reason.data or "",
            )
        except NotFound:
            raise
        except DomainError as error:
            show_error(form, error)
        else:
            flash("Withdrawn. The row is off again; what was sealed stays as it was.")
            return redirect(url_for("criteria.shelf", house_id=house_id), 303)
    return _row_page(house_id, rule_key, _sign_form(held), form, 422)


@blueprint.route("/<criterion_key>/governing", methods=["GET", "POST"])
@permission("criteria.govern")
def governing(house_id: str, criterion_key: str) -> ResponseReturnValue:
    """Choose which document governs a criterion, with what the choice means here."""
    criterion = criteria_here(house_id).get(criterion_key)
    if criterion is None:
        raise NotFound("There is no such criterion.")
    documents = {rule.source.key: rule.source.document for rule in criterion.rules if rule.active}
    checklists = tuple(load_shelf(get_settings()).checklists.values())
    form = GoverningForm(source=criterion.governing.source if criterion.governing else "")
    form.source.choices = choices_of([("", "none chosen: all stand alike"), *documents.items()])
    if form.validate_on_submit():
        try:
            choose_governing(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, base=_base(), checklists=checklists,
                criterion=criterion_key, source=form.source.data or "", name=form.name.data or "",
                credential=form.credential.data or "", reason=form.reason.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash("The choice is recorded. All rule sets stay shown; outside by any of them stays outside.")
            return redirect(url_for("criteria.shelf", house_id=house_id), 303)
    strict = {key: strictness_here(get_db(), house_id, checklists, criterion, key) for key in documents}
    chosen = criterion.governing
    outdated = chosen is not None and chosen.strictness == Strictness.STRICTEST != strict.get(chosen.source)
    history = [one for one in reversed(list_governing_choices(get_db(), house_id)) if one.criterion == criterion_key]
    page = render_template(
        "criteria/governing.html", form=form, criterion=criterion, rows=rows_of(criterion), documents=documents,
        strict={key: STRICTNESS_WORDS[one] for key, one in strict.items()}, history=history, outdated=outdated,
    )  # fmt: skip
    return page, 422 if form.errors else 200
