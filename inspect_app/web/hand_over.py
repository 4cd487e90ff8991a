"""Hand-over packs: asking for one, its progress, the filed ones, and the house's answers to what inspectors ask."""

from datetime import date
from typing import Any

from flask import Blueprint, Response, flash, g, redirect, render_template, request, send_file, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm
from wtforms import BooleanField, RadioField, StringField, TextAreaField
from wtforms.validators import InputRequired, Length

from inspect_app import clock
from inspect_app.actions.hand_over import Wanted, answer_questions
from inspect_app.actions.hand_over_facts import house_answers, house_sheet
from inspect_app.actions.report import PAPERS, REPORTS
from inspect_app.domain.errors import Conflict, DomainError, NotFound
from inspect_app.domain.hand_over import Period, read_period
from inspect_app.domain.hand_over_question import LONGEST_ANSWER, QUESTIONS
from inspect_app.store.hand_over import Pack, get_pack, list_packs
from inspect_app.store.walk_record import get_inventory
from inspect_app.web.access import may, permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.form import choices_of, show_error
from inspect_app.web.guest_pass import GONE, costs_hidden
from inspect_app.web.hand_over_job import find_pack, start_pack
from inspect_app.web.house_form import today
from inspect_app.web.printing import progress_page, usual_paper

blueprint = Blueprint("hand_over", __name__, url_prefix="/houses/<house_id>/hand-over")
NAV = (("Hand-over", "hand_over.shelf", "hand_over.view"),)
_DAY = {"type": "date"}


class PackForm(FlaskForm):
    """A new pack."""

    first = StringField(
        "First day of the history", [Length(max=10)], render_kw=_DAY, description="Empty: from the start."
    )
    last = StringField("Last day", [Length(max=10)], render_kw=_DAY, description="Empty: up to today.")
    paper = RadioField(
        "Paper of the pages", [InputRequired("Choose a paper.")], choices=choices_of((p, p) for p in PAPERS)
    )
    with_costs = BooleanField(
        "with costs", description="Estimates and amounts paid. Else they are left out; notes stay as people wrote them."
    )


class AnswerForm(FlaskForm):
    """The house's own answers; one field for each question is added below."""


for _one in QUESTIONS:
    setattr(
        AnswerForm, _one.key,
        TextAreaField(_one.asks, [Length(max=LONGEST_ANSWER)], description=_one.hint, render_kw={"rows": 2}),
    )  # fmt: skip


@blueprint.get("")
@permission("hand_over.view")
def shelf(house_id: str) -> ResponseReturnValue:
    """The filed packs, and the form of a new one."""
    usual = usual_paper()
    three_years = date(today().year - 3, 1, 1).isoformat()
    return _shelf(house_id, PackForm(formdata=None, paper=usual, first=three_years), 200)


def _shelf(house_id: str, form: PackForm, status: int) -> tuple[str, int]:
    packs = [pack for pack in list_packs(get_db(), house_id) if not (pack.with_costs and costs_hidden())]
    sheet = house_sheet(get_db(), g.house, get_inventory(get_db(), house_id))
    missing = [row.name for row in sheet if not row.known]
    page = render_template(
        "hand_over/shelf.html", form=form, packs=packs, missing=missing, words=lambda p: Period(p.first, p.last).words
    )
    return page, status


@blueprint.post("")
@permission("hand_over.make")
def make(house_id: str) -> ResponseReturnValue:
    """Begin a pack; a page shows how far it is."""
    form = PackForm()
    if form.validate_on_submit():
        try:
            wanted = Wanted(
                read_period(form.first.data or "", form.last.data or ""), form.paper.data, bool(form.with_costs.data)
            )
            job = start_pack(house_id, g.person.id, wanted)
        except DomainError as error:
            show_error(form, error)
        else:
            return redirect(url_for("hand_over.progress", house_id=house_id, job_id=job.id), 303)
    return _shelf(house_id, form, 422)


@blueprint.get("/made/<job_id>")
@permission("hand_over.make")
def progress(house_id: str, job_id: str) -> ResponseReturnValue:
    """How far a pack is; the page asks again each second and goes to the pack when it is filed."""
    job = find_pack(house_id, g.person.id, job_id)
    if job is None:
        raise NotFound("This pack is not being made any more. Look among the filed ones, or ask for it again.")
    shelf_of = url_for("hand_over.shelf", house_id=house_id)
    return progress_page("hand_over/progress.html", job.running, shelf_of if job.pack else "", job=job, shelf=shelf_of)


@blueprint.get("/<pack_id>.zip")
@permission("hand_over.view")
def filed_zip(house_id: str, pack_id: str) -> Response:
    """A filed pack, exactly as it was filed, sent from disk piece by piece."""
    return _send(_pack(house_id, pack_id).zip_file, "application/zip", True)


@blueprint.get("/<pack_id>.pdf")
@permission("hand_over.view")
def filed_pdf(house_id: str, pack_id: str) -> Response:
    """The pages of a filed pack."""
    return _send(_pack(house_id, pack_id).pdf_file, "application/pdf", "download" in request.args)


def _pack(house_id: str, pack_id: str) -> Pack:
    found = get_pack(get_db(), house_id, pack_id)
    if found is None or (found.with_costs and costs_hidden()):
        raise NotFound(GONE if g.guest else "There is no such pack in this house.")
    return found


def _send(file: str, kind: str, attach: bool) -> Response:
    path = get_settings().data / REPORTS / file
    if not path.is_file():
        raise Conflict(f"The filed pack {file} is missing. Restore it from the last backup.")
    answer = send_file(path, mimetype=kind, download_name=file, as_attachment=attach)
    answer.headers["Cache-Control"] = "private, no-cache"
    return answer


@blueprint.route("/answers", methods=["GET", "POST"])
@permission("hand_over.answer")
def answers(house_id: str) -> Any:
    """What inspectors ask in advance and only the house can say."""
    known = house_answers(get_db(), g.house)
    form = AnswerForm(data={key: text for key, (text, _, _) in known.items()})
    if form.validate_on_submit():
        given = {question.key: form[question.key].data or "" for question in QUESTIONS}
        try:
            count = answer_questions(get_db(), at=clock.now(), actor=g.person.id, house=house_id, answers=given)
        except DomainError as error:
            show_error(form, error)
        else:
            flash("The answers are kept." if count else "Nothing was changed.")
            return redirect(url_for("hand_over.shelf", house_id=house_id), 303)
    asked = [(form[question.key], known.get(question.key)) for question in QUESTIONS]
    return render_template("hand_over/answers.html", form=form, asked=asked, may=may), 422 if form.errors else 200
