"""Reviewing a walk before it is signed, the decisions made there, and the signature."""

from collections.abc import Callable
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm
from wtforms import FieldList, Form, FormField, HiddenField, RadioField, SelectField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions.seal import Signing, amend_walk, has_news, sign_walk
from inspect_app.actions.walk import confirm_not_applicable, countersign_entries, decide_between, decide_grade
from inspect_app.domain.checklist import GRADE_TITLES, Grade
from inspect_app.domain.errors import BadValue, DomainError, NotFound
from inspect_app.domain.inspection import (
    LONGEST,
    LONGEST_CONDITION,
    MOST_CONDITIONS,
    NOT_VERIFIED,
    ConditionOnUse,
    Inspection,
)
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.seal import SIGNING, STATEMENT, root_of
from inspect_app.domain.walk import HOW_TITLES, How
from inspect_app.domain.walk_data_found import decided_words
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.form import choices_of, show_error
from inspect_app.web.review_groups import gaps_of, lacking_of, still_to_do, stretches_of
from inspect_app.web.walk import criteria_here, kind_names, record_of, reviewed

blueprint = Blueprint("review", __name__, url_prefix="/houses/<house_id>/walks/<walk_id>")


class GradeForm(FlaskForm):
    """Another action grade for a finding."""

    finding = HiddenField()
    grade = SelectField("Action grade", choices=choices_of((g.value, words) for g, words in GRADE_TITLES.items()))
    reason = TextAreaField(
        "Reason", [Length(max=500)], description="Asked for when you lower the grade; it is printed."
    )


class DecideForm(FlaskForm):
    """Which of the looks that differ counts."""

    keep = HiddenField()
    reason = TextAreaField("Reason", [Length(max=500)], description="Asked for when the worse look does not count.")


class NotApplicableForm(FlaskForm):
    """Whether a part is rightly said not to be asked."""

    entry = HiddenField()
    applies = RadioField(
        "It is", choices=choices_of((("no", "rightly left out"), ("yes", "wrongly left out: it does apply")))
    )
    reason = TextAreaField("Reason", [Length(max=500)], description="Asked for when the part does apply.")


class CountersignForm(FlaskForm):
    """One's word for a stretch that a helper recorded."""

    entries = HiddenField()
    how = RadioField(
        "Your word for it",
        [InputRequired("Choose one.")],
        choices=choices_of((how.value, words) for how, words in HOW_TITLES.items()),
    )


class ConditionForm(Form):
    """One condition on use; an empty row is left out."""

    what = TextAreaField("Condition", [Length(max=LONGEST_CONDITION)])
    place = SelectField("For", choices=[], validate_choice=False)
    until = StringField("Last day", [Length(max=10)], render_kw={"type": "date"})


class SignForm(FlaskForm):
    """A signature or an amendment."""

    reviewed_root = HiddenField()
    drawn = HiddenField()
    role = RadioField("You sign as", [InputRequired("Choose the role you sign in.")])
    name = StringField("Name", [InputRequired("Write your name."), Length(max=120)])
    credential = StringField(
        "What qualifies you", [InputRequired("Say what qualifies you."), Length(max=200)],
        description="In your own words: body, number, training, years. It is printed as typed.",
    )  # fmt: skip
    statement = TextAreaField("Statement", [InputRequired("The statement is missing."), Length(max=1000)])
    gaps_reason = TextAreaField("Why something is missing", [Length(max=1000)])
    body = StringField("Body that gave the credential", [Length(max=LONGEST["body"])])
    number = StringField("Its number", [Length(max=LONGEST["number"])])
    expires = StringField("Its expiry", [Length(max=LONGEST["expires"])], description="As it stands on the paper.")
    remarks = TextAreaField("Remarks", [Length(max=LONGEST["remarks"])], description="Printed in the report in full.")
    conditions = FieldList(FormField(ConditionForm), min_entries=2, max_entries=MOST_CONDITIONS)


@blueprint.get("/review")
@permission("walk.view")
def page(house_id: str, walk_id: str) -> str:
    """Everything that was recorded, what is missing, and what waits for a decision."""
    record = record_of(house_id, walk_id)
    review = reviewed(record)
    return render_template(
        "walk/review.html",
        record=record,
        walk=record.walk,
        review=review,
        waiting=still_to_do(record, review),
        gaps=gaps_of(review),
        stretches=stretches_of(review),
        lacking=lacking_of(review),
        kinds=kind_names(),
        numbers={row.id: row.number for row in record.inventory.line_sets},
        decided_words=decided_words,
        grade_form=GradeForm(formdata=None),
        decide_form=DecideForm(formdata=None),
        na_form=NotApplicableForm(formdata=None),
        sign_form=CountersignForm(formdata=None),
        news=has_news(record),
    )


def _carry_out(form: FlaskForm, title: str, facts: list[str], act: Callable[[], None], said: str) -> Any:
    """Do what a form of the review asks for and go back there; else show the form again with what is wrong."""
    values = request.view_args or {}
    if form.validate_on_submit():
        try:
            act()
        except NotFound:
            raise
        except DomainError as error:
            show_error(form, error)
        else:
            flash(said)
            return redirect(url_for("review.page", **values), 303)
    return render_template("walk/decision.html", form=form, title=title, facts=facts, **values), 422


@blueprint.post("/review/countersign")
@permission("walk.countersign")
def countersign(house_id: str, walk_id: str) -> Any:
    """Give one's word for a stretch that a helper recorded."""
    record_of(house_id, walk_id)
    form = CountersignForm()
    entries = (form.entries.data or "").split()

    def act() -> None:
        countersign_entries(
            get_db(), at=clock.now(), actor=g.person.id, house=house_id, walk=walk_id, entries=entries,
            how=How(form.how.data),
        )  # fmt: skip

    return _carry_out(form, "Countersign a stretch", [f"{len(entries)} entries"], act, "Your word is recorded.")


@blueprint.post("/review/decide")
@permission("walk.decide")
def decide(house_id: str, walk_id: str) -> Any:
    """Say which of the looks that differ counts."""
    review = reviewed(record_of(house_id, walk_id))
    form = DecideForm()
    group = next((one for one in review.differing if form.keep.data in {look.entry for look in one.looks}), None)
    looks = group.looks if group else ()
    facts = [f"{look.by_name}: {look.result.replace('_', ' ')}" for look in looks]
    kept = next((look for look in looks if look.entry == form.keep.data), None)
    title = f"Let the look of {kept.by_name} count" if kept else "Decide between looks"

    def act() -> None:
        decide_between(
            get_db(), at=clock.now(), actor=g.person.id, house=house_id, walk=walk_id, keep=_id(form.keep.data),
            reason=form.reason.data or "",
        )  # fmt: skip

    return _carry_out(form, title, facts, act, "The decision is recorded; both looks stay in the report.")


@blueprint.post("/review/grade")
@permission("walk.decide")
def grade(house_id: str, walk_id: str) -> Any:
    """Give a finding another action grade."""
    review = reviewed(record_of(house_id, walk_id))
    form = GradeForm()
    found = next((row for row in review.findings if row.finding.id == form.finding.data), None)
    facts = (
        [f"{found.part.tag}: {found.finding.point_text}", f"graded {GRADE_TITLES[found.finding.grade]}"]
        if found
        else []
    )

    def act() -> None:
        decide_grade(
            get_db(), at=clock.now(), actor=g.person.id, house=house_id, walk=walk_id, finding=_id(form.finding.data),
            grade=Grade(form.grade.data), reason=form.reason.data or "",
        )  # fmt: skip

    return _carry_out(form, "Change the grade", facts, act, "The grade is changed.")


@blueprint.post("/review/not-applicable")
@permission("walk.decide")
def not_applicable(house_id: str, walk_id: str) -> Any:
    """Confirm that a part is rightly left out, or say that it does apply."""
    review = reviewed(record_of(house_id, walk_id))
    form = NotApplicableForm()
    row = next((one for one in review.not_applicable if one.look.entry == form.entry.data), None)
    facts = [f"{row.part.tag}: {row.look.reason}"] if row else []

    def act() -> None:
        confirm_not_applicable(
            get_db(), at=clock.now(), actor=g.person.id, house=house_id, walk=walk_id, entry=_id(form.entry.data),
            applies=form.applies.data == "yes", reason=form.reason.data or "",
        )  # fmt: skip

    return _carry_out(form, "Not applicable", facts, act, "The decision is recorded.")


def _id(text: str | None) -> str:
    if not text:
        raise BadValue("The form names nothing. Go back to the review and try again.")
    return text


@blueprint.route("/sign", methods=["GET", "POST"])
@permission("walk.sign")
def sign(house_id: str, walk_id: str) -> ResponseReturnValue:
    """Sign a walk, or amend one that is signed."""
    record = record_of(house_id, walk_id)
    review = reviewed(record)
    form = SignForm(
        name=g.person.name, credential=g.person.credential, statement=STATEMENT, reviewed_root=root_of(record.entries)
    )
    form.role.choices = choices_of((r.value, ROLE_TITLES[r]) for r in Role if r in SIGNING and r in g.roles)
    if form.role.data is None and len(form.role.choices) == 1:
        form.role.data = form.role.choices[0].value
    form.gaps_reason.flags.required = record.has_gaps
    _offer_places(form, house_id)
    more = "more" in request.form
    if more:
        for _ in range(min(3, MOST_CONDITIONS - len(form.conditions))):
            form.conditions.append_entry()
        _offer_places(form, house_id)
    elif form.validate_on_submit():
        try:
            number = _put_name(house_id, walk_id, form, bool(record.signatures))
        except DomainError as error:
            show_error(form, error)
            form.reviewed_root.data = root_of(record.entries)
        else:
            flash(f"Signed and sealed as report {number}.")
            return redirect(url_for("walk.one", house_id=house_id, walk_id=walk_id), 303)
    page = render_template(
        "walk/sign.html", form=form, record=record, walk=record.walk, review=review, news=has_news(record),
        waiting=still_to_do(record, review), inspects=Role.INSPECTOR in g.roles, not_verified=NOT_VERIFIED,
    )  # fmt: skip
    return page, 422 if form.errors else 200


def _offer_places(form: SignForm, house_id: str) -> None:
    sets = [(f"set:{row.id}", f"Set {row.number} {row.label}".strip()) for row in list_line_sets(get_db(), house_id)]
    areas = [(f"area:{row.id}", row.name) for row in list_areas(get_db(), house_id)]
    for row in form.conditions:
        row.form.place.choices = choices_of([("", "choose"), *areas, *sets])


def _inspection(form: SignForm) -> Inspection:
    """What an inspector added; another signer is shown no such fields."""
    rows = []
    for row in form.conditions:
        what, (kind, _, key) = (row.form.what.data or "").strip(), (row.form.place.data or "").partition(":")
        until = (row.form.until.data or "").strip()
        if what or kind or until:
            rows.append(ConditionOnUse(what, until, key if kind == "set" else "", key if kind == "area" else ""))
    typed = {name: (form[name].data or "").strip() for name in LONGEST}
    return Inspection(**typed, conditions=tuple(rows))


def _put_name(house_id: str, walk_id: str, form: SignForm, amends: bool) -> str:
    signing = Signing(
        role=Role(form.role.data),
        name=form.name.data or "",
        credential=form.credential.data or "",
        statement=form.statement.data or "",
        reviewed_root=form.reviewed_root.data or "",
        drawn=form.drawn.data or "",
        gaps_reason=form.gaps_reason.data or "",
        inspection=_inspection(form),
    )
    act = amend_walk if amends else sign_walk
    signature = act(
        get_db(),
        at=clock.now(),
        actor=g.person.id,
        house=house_id,
        walk=walk_id,
        signing=signing,
        criteria=criteria_here(house_id),
    )
    return signature.number if signature.n == 1 else f"{signature.number}, revision {signature.n}"
