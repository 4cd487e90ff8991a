"""One deficiency with its whole story, the steps that lead on, and what is set beside its state."""

from datetime import date, timedelta
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from inspect_app import clock
from inspect_app.actions.attachment import attach_file, record_work
from inspect_app.actions.deficiency import move_deficiency, standing_of
from inspect_app.actions.repair_plan import comment_on, record_cost, regrade_deficiency, set_risk
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency import Deficiency
from inspect_app.domain.deficiency_move import (
    Transition,
    may_move,
    missing_proof,
    moves_from,
    needs_inspector,
    refused_words,
)
from inspect_app.domain.deficiency_register import is_covered
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_kind import kind_title
from inspect_app.domain.repair_figures import chain_back
from inspect_app.domain.repair_policy import default_due, money
from inspect_app.domain.risk import ELIMINATED, PROBABILITIES, SEVERITIES, RiskMatrix
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.tag_out import GROUP_TITLES, TagOut
from inspect_app.domain.tag_release import RELOOK_USUAL_DAYS
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.deficiency import get_deficiency, list_deficiencies
from inspect_app.store.deficiency_story import (
    list_attachments,
    list_findings_of_deficiency,
    list_stops_of_deficiency,
    list_worse,
)
from inspect_app.store.measure_history import list_outlooks
from inspect_app.store.part import get_part
from inspect_app.store.reference import reference_at
from inspect_app.store.relook import list_relooks
from inspect_app.store.tag_out import get_tag_out, list_standing
from inspect_app.web.access import may, permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.deficiency_form import (
    CommentForm,
    CostForm,
    FileForm,
    GradeForm,
    RiskForm,
    move_form,
    prefix_of,
    proof_of,
)
from inspect_app.web.deficiency_story import story_of
from inspect_app.web.form import choices_of, show_error
from inspect_app.web.newest_measure import newest_said
from inspect_app.web.repair_context import people, policy, register, today, zone

blueprint = Blueprint("deficiency", __name__, url_prefix="/houses/<house_id>/deficiencies/<deficiency_id>")
SAME_PART_ONLY = (
    "Only on one part: each part keeps a number of its own, so that none looks as if nothing were found on it. For one "
    "repair of several parts, give their numbers the same order in the register."
)
MOST_BYTES = 32 * 1024 * 1024


def _found(house_id: str, deficiency_id: str) -> Deficiency:
    found = get_deficiency(get_db(), house_id, deficiency_id)
    if found is None:
        raise NotFound("There is no such deficiency in this house.")
    return found


def _matrix() -> RiskMatrix:
    matrix = reference_at(get_settings().shared).risk
    if matrix is None:
        raise NotFound("The table of risk levels could not be read.")
    return matrix


def _steps(house_id: str, found: Deficiency, sent: tuple[str, Any] | None) -> list[tuple[Transition, str, Any]]:
    """The moves that the person may make now, each with its form; the one that was sent keeps what was typed."""
    standing, steps = standing_of(get_db(), found, g.person.id), []
    due = default_due(policy(), found.grade, found.found_at, zone())
    for row in moves_from(found.state):
        key = prefix_of(row)
        roles = may_move(standing, row, g.person.id, g.roles) if may("deficiency.move") else ()
        if sent is not None and sent[0] == key:
            steps.append((row, key, sent[1]))
        elif roles:
            given = {"due_on": max(due, today()), "responsible_id": found.responsible, "contractor": found.contractor}
            given |= {"order_number": found.order_number, "put_right_by_id": found.responsible, "done_on": today()}
            given["put_right_by"] = "" if found.responsible else found.contractor
            given["re_look_on"] = _usual_re_look(house_id, found)
            steps.append((row, key, move_form(row, roles, people(house_id), formdata=None, data=given)))
    for _, _, form in steps:
        if "same_as" in form:
            form.same_as.description = _same_hint(house_id, found)
    return steps


def _usual_re_look(house_id: str, found: Deficiency) -> date | None:
    """The usual day of the look after a repair; None where one is asked for already, as by the release of a stop."""
    asked = list_relooks(get_db(), house_id, part=found.part)
    return None if asked else today() + timedelta(days=RELOOK_USUAL_DAYS)


def _same_hint(house_id: str, found: Deficiency) -> str:
    """Which numbers may carry on a deficiency, and why only those on its own part."""
    others = [
        f"{row.number} ({row.what[:60]})"
        for row in list_deficiencies(get_db(), house_id, open_only=True)
        if row.part == found.part and row.id != found.id
    ]
    open_now = f"Open on {found.part_tag} beside this: {'; '.join(others)}." if others else ""
    return f"{open_now or f'No other is open on {found.part_tag}.'} {SAME_PART_ONLY}"


def _refused(found: Deficiency) -> list[tuple[str, str]]:
    """(move, why not) of the moves that the person's roles have and that are not theirs to make now; no marks."""
    standing = standing_of(get_db(), found, g.person.id)
    rows = [row for row in moves_from(found.state) if row.to_state is not found.state]
    told = [(row.verb, refused_words(standing, row, g.person.id, g.roles)) for row in rows]
    return [(verb, words) for verb, words in told if words]


def _set_forms(found: Deficiency, given: dict[str, Any]) -> dict[str, Any]:
    matrix = _matrix()
    forms: dict[str, Any] = {
        "comment": CommentForm(formdata=None, prefix="comment-"),
        "file": FileForm(formdata=None, prefix="file-"),
        "cost": CostForm(formdata=None, prefix="cost-"),
        "grade": GradeForm(formdata=None, prefix="grade-", grade=found.grade.value),
        "risk": RiskForm(formdata=None, prefix="risk-", severity=found.severity, probability=found.probability),
    } | given
    _offer(forms["risk"], matrix)
    forms["grade"].role.choices = choices_of(
        (role.value, ROLE_TITLES[role]) for role in (Role.TD, Role.INSPECTOR) if role in g.roles
    )
    return forms


def _page(
    house_id: str, found: Deficiency, status: int = 200, sent: tuple[str, Any] | None = None, **given: Any
) -> tuple[str, int]:
    db, standing = get_db(), standing_of(get_db(), found, g.person.id)
    findings = list_findings_of_deficiency(db, house_id, found.id)
    files = list_attachments(db, house_id, found.id)
    everything = list_deficiencies(db, house_id)
    by_id = {row.id: row for row in everything}
    stops = [get_tag_out(db, house_id, key) for key in list_stops_of_deficiency(db, house_id, found.id, True)]
    page = render_template(
        "deficiency/one.html",
        row=found,
        shown=next(row for row in register(house_id) if row.row.id == found.id),
        kind=kind_title(PartKind(found.part_kind)),
        steps=_steps(house_id, found, sent),
        refused=_refused(found),
        forms=_set_forms(found, given),
        story=story_of(db, found, findings, files),
        newest=newest_said(get_part(db, house_id, found.part), list_outlooks(db, house_id, found.part)),
        before=[photo for row in findings if not row.withdrawn for photo in row.photos],
        files=files,
        stops=[tag for tag in stops if tag is not None],
        set_stops=_on_its_set(found, {tag.id for tag in stops if tag is not None}),
        accepted=[one for one in list_accepted(db, house_id) if found.open and is_covered(found, one)],
        worse=list_worse(db, house_id).get(found.id),
        chain=chain_back(found, by_id)[1:],
        beside=[
            row
            for row in everything
            if row.open and found.line_set_id and row.line_set_id == found.line_set_id and row.id != found.id
        ],
        later=[row for row in everything if row.again_of_id == found.id],
        inspector_only=needs_inspector(standing.group, found.grade),
        guarded=standing.group.value != "other",
        group=GROUP_TITLES[standing.group],
        today=today().isoformat(),
        currency=policy().currency,
        money=money,
    )
    return page, status


def _on_its_set(found: Deficiency, known: set[str]) -> list[TagOut]:
    """The other stops that stand on the set of its part, or on the part itself or its area."""
    return [
        tag
        for tag in list_standing(get_db(), found.house)
        if tag.id not in known
        if (tag.line_set and tag.line_set == found.line_set_id) or tag.part == found.part or tag.area == found.area
    ]


def _back(house_id: str, deficiency_id: str, said: str) -> Any:
    flash(said)
    return redirect(url_for("deficiency.one", house_id=house_id, deficiency_id=deficiency_id), 303)


@blueprint.get("")
@permission("deficiency.view")
def one(house_id: str, deficiency_id: str) -> ResponseReturnValue:
    """One deficiency with its whole story."""
    return _page(house_id, _found(house_id, deficiency_id))


@blueprint.post("/move")
@permission("deficiency.move", most_bytes=MOST_BYTES)
def move(house_id: str, deficiency_id: str) -> Any:
    """Move it on; which move is named by the field `to`."""
    found, to = _found(house_id, deficiency_id), request.form.get("to", "")
    row = next((row for row in moves_from(found.state) if prefix_of(row) == to), None)
    if row is None:
        flash("This step is not open from where it stands now. Look at what has happened meanwhile.")
        return _page(house_id, found, 422)
    roles = tuple(role for role in Role if role in g.roles and role in row.roles)
    form = move_form(row, roles, people(house_id))
    if form.validate_on_submit() and not _missing(row, form):
        try:
            _move(house_id, found, row, form)
        except DomainError as error:
            show_error(form, error)
        else:
            return _back(house_id, deficiency_id, f"Number {found.number}: saved.")
    return _page(house_id, _found(house_id, deficiency_id), 422, (to, form))


def _missing(row: Transition, form: Any) -> bool:
    """Whether a move still lacks something it needs; all of it is said at once, each beside its field."""
    proof = proof_of(form)
    for either in ("responsible", "put_right_by"):  # a person of the house, a contractor or another name
        proof[either] = proof.get(either) or proof.get(f"{either}_id") or proof.get("contractor") or ""
    missing = missing_proof(row.needs, proof)
    for need, words in missing.items():
        field = form[need] if need in form else form[f"{need}_id"]
        field.errors = [words]
    return bool(missing)


def _move(house_id: str, found: Deficiency, row: Transition, form: Any) -> None:
    who: dict[str, Any] = {"at": clock.now(), "actor": g.person.id, "house": house_id, "deficiency": found.id}
    who |= {"role": Role(form.role.data), "proof": proof_of(form)}
    if "photos" in form:
        sent = [file for file in form.photos.data or [] if file and file.filename]
        record_work(get_db(), get_settings(), **who, photos=[(file.filename or "", file.read()) for file in sent])
    else:
        move_deficiency(get_db(), **who, to_state=row.to_state, policy=policy())


def _attach(house_id: str, deficiency_id: str, content: bytes, name: str, shows: str, note: str = "") -> None:
    attach_file(
        get_db(), get_settings(), at=clock.now(), actor=g.person.id, house=house_id, deficiency=deficiency_id,
        content=content, name=name, shows=shows, note=note,
    )  # fmt: skip


@blueprint.post("/comment")
@permission("deficiency.remark")
def comment(house_id: str, deficiency_id: str) -> Any:
    """Add a comment to the story."""
    found, form = _found(house_id, deficiency_id), CommentForm(prefix="comment-")
    if form.validate_on_submit():
        try:
            comment_on(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, deficiency=deficiency_id,
                text=form.text.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            return _back(house_id, deficiency_id, "The comment is in the story.")
    return _page(house_id, found, 422, comment=form)


@blueprint.post("/files")
@permission("deficiency.remark")
def add_file(house_id: str, deficiency_id: str) -> Any:
    """Add a file."""
    found, form = _found(house_id, deficiency_id), FileForm(prefix="file-")
    if form.validate_on_submit():
        sent = form.file.data
        try:
            _attach(
                house_id, deficiency_id, sent.read() if sent else b"", (sent.filename or "") if sent else "",
                form.shows.data or "", form.note.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            return _back(house_id, deficiency_id, "The file is kept.")
    return _page(house_id, found, 422, file=form)


@blueprint.post("/costs")
@permission("deficiency.cost")
def add_cost(house_id: str, deficiency_id: str) -> Any:
    """Add an estimate or something paid."""
    found, form = _found(house_id, deficiency_id), CostForm(prefix="cost-")
    if form.validate_on_submit():
        try:
            record_cost(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, deficiency=deficiency_id,
                kind=form.kind.data or "", amount=form.amount.data or "", what=form.what.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            return _back(house_id, deficiency_id, "The amount is kept.")
    return _page(house_id, found, 422, cost=form)


@blueprint.post("/grade")
@permission("deficiency.grade")
def grade(house_id: str, deficiency_id: str) -> Any:
    """Give it another action grade."""
    found, form = _found(house_id, deficiency_id), GradeForm(prefix="grade-")
    if form.validate_on_submit():
        try:
            regrade_deficiency(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, deficiency=deficiency_id,
                role=Role(form.role.data), grade=Grade(form.grade.data), reason=form.reason.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            return _back(house_id, deficiency_id, "The grade is set.")
    return _page(house_id, found, 422, grade=form)


def _offer(form: RiskForm, matrix: RiskMatrix) -> None:
    """Every category and probability with its meaning, but for *eliminated*, which no open deficiency is."""
    form.severity.choices = choices_of((key, matrix.words(key)) for key in SEVERITIES)
    form.probability.choices = choices_of((key, matrix.words(key)) for key in PROBABILITIES if key != ELIMINATED)


@blueprint.post("/risk")
@permission("deficiency.grade")
def risk(house_id: str, deficiency_id: str) -> Any:
    """Set severity and probability, which order it inside its grade."""
    found, form = _found(house_id, deficiency_id), RiskForm(prefix="risk-")
    matrix = _matrix()
    _offer(form, matrix)
    if form.validate_on_submit():
        try:
            set_risk(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, deficiency=deficiency_id,
                severity=form.severity.data or "", probability=form.probability.data or "", matrix=matrix,
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            return _back(house_id, deficiency_id, "Severity and probability are set.")
    return _page(house_id, found, 422, risk=form)
