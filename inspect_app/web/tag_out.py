"""What is out of use: the list, one tag-out with its steps, stopping, release and withdrawal."""

from datetime import timedelta
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm

from inspect_app import clock
from inspect_app.actions.tag_out import (
    ask_withdrawal,
    check_released_work,
    confirm_withdrawal,
    record_place,
    record_step,
    release_tag_out,
    stop_thing,
)
from inspect_app.domain.deficiency import Deficiency, DeficiencyState
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.person import may_be
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.tag_out import (
    GROUP_TITLES,
    RELEASING,
    STEP_TITLES,
    Step,
    TagAt,
    TagOut,
    TagState,
    group_of_tag,
    may_release,
    still_asks,
)
from inspect_app.domain.tag_release import (
    RELOOK_USUAL_DAYS,
    Need,
    is_unfinished,
    missing_needs,
    needs_of,
    travels,
    unchecked,
    who_hung,
)
from inspect_app.store.deficiency import list_deficiencies, list_deficiency_events
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.on_hold import LookOnHold, list_looks_on_hold
from inspect_app.store.part import find_part_by_tag
from inspect_app.store.tag_out import (
    find_lockout_point,
    get_ending,
    get_tag_check,
    get_tag_out,
    get_withdrawal_ask,
    list_standing,
    list_tag_outs,
    list_unfinished,
)
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.form import choices_of, show_error
from inspect_app.web.house_form import today
from inspect_app.web.tag_out_form import (
    ConfirmForm,
    PlaceForm,
    ReleaseForm,
    StepForm,
    StopForm,
    WithdrawForm,
    check_form,
    release_form,
    shown_answers,
)

blueprint = Blueprint("tag_out", __name__, url_prefix="/houses/<house_id>/tag-outs")
NAV = (("Out of use", "tag_out.index", "walk.view"),)


@blueprint.app_template_global()
def looks_on_hold(**of: str) -> list[LookOnHold]:
    """What was recorded while on hold after an event: of a walk, a part or an event of the house of the page."""
    return list_looks_on_hold(get_db(), g.house.id, **of)


def _found(house_id: str, tag_out_id: str) -> TagOut:
    found = get_tag_out(get_db(), house_id, tag_out_id)
    if found is None:
        raise NotFound("There is no such tag-out in this house.")
    return found


@blueprint.get("")
@permission("walk.view")
def index(house_id: str) -> str:
    """All tag-outs, standing ones first."""
    rows = list_tag_outs(get_db(), house_id)
    standing = [row for row in rows if row.state is TagState.STANDING][::-1]
    ended = [row for row in rows if row.state is not TagState.STANDING]
    asks = {row.id: [STEP_TITLES[step] for step in still_asks(row)] for row in standing}
    unfinished = list_unfinished(get_db(), house_id)
    return render_template("tag_out/index.html", standing=standing, ended=ended, asks=asks, unfinished=unfinished)


@blueprint.route("/new", methods=["GET", "POST"])
@permission("stop.raise")
def new(house_id: str) -> Any:
    """Take a line set, an area or a part out of use."""
    db = get_db()
    form = StopForm()
    sets = [(f"set:{row.id}", f"Set {row.number} {row.label}".strip()) for row in list_line_sets(db, house_id)]
    areas = [(f"area:{row.id}", row.name) for row in list_areas(db, house_id)]
    form.what.choices = choices_of([("part", "One part (its tag below)"), *sets, *areas])
    if request.method == "GET" and request.args.get("line_set"):
        form.what.data = f"set:{request.args['line_set']}"
    if form.validate_on_submit():
        kind, _, key = (form.what.data or "").partition(":")
        part = find_part_by_tag(db, house_id, (form.part.data or "").strip()) if kind == "part" else None
        if kind == "part" and part is None:
            form.part.errors = ["There is no part with this tag in this house."]
        else:
            return _stop(form, house_id, kind, key, part.id if part else None)
    return render_template("tag_out/new.html", form=form), 422 if form.errors else 200


def _stop(form: StopForm, house_id: str, kind: str, key: str, part: str | None) -> Any:
    try:
        made = stop_thing(
            get_db(),
            at=clock.now(),
            actor=g.person.id,
            house=house_id,
            why=form.why.data or "",
            line_set=key if kind == "set" else None,
            area=key if kind == "area" else None,
            part=part,
        )
    except DomainError as error:
        show_error(form, error)
        return render_template("tag_out/new.html", form=form), 422
    flash("It is out of use. Say it to the rail now, then record what was done.")
    return redirect(url_for("tag_out.one", house_id=house_id, tag_out_id=made), 303)


def _page(house_id: str, found: TagOut, status: int = 200, **forms: FlaskForm) -> tuple[str, int]:
    db, group, needs = get_db(), group_of_tag(found), needs_of(found)
    releasing, ending = may_release(group, g.roles), get_ending(db, found.id)
    here = [row for row in list_deficiencies(db, house_id, open_only=True) if row.part == found.part]
    point, second = find_lockout_point(db, found.line_set) if found.line_set else None, get_tag_check(db, found.id)
    page = render_template(
        "tag_out/one.html",
        tag=found,
        asks=[STEP_TITLES[step] for step in still_asks(found)],
        titles=STEP_TITLES,
        ending=ending,
        said=shown_answers(ending.answers) if ending else [],
        repairer_only=is_unfinished(ending, second),
        second=second,
        own_work=ending is not None and may_be(g.person.name, ending.answers.get(Need.WORK_BY, "")),
        group=GROUP_TITLES[group] + (", as line sets hang there" if found.over_sets else ""),
        entitled=[ROLE_TITLES[role].lower() for role in Role if role in RELEASING[group]],
        needs=[need.value for need in needs],
        travels=travels(found),
        hung=who_hung(found),
        motorised=point is not None,
        lockout_point=(found.place.lockout_point if found.place else "") or point or "",
        releasing=releasing,
        open_here=here,
        unchecked=unchecked(found, here),
        beside=[
            tag
            for tag in list_standing(db, house_id)
            if found.line_set and tag.line_set == found.line_set and tag.id != found.id
        ],
        withdrawal=get_withdrawal_ask(db, found.id),
        step=forms.get("step") or StepForm(formdata=None, prefix="step-"),
        place=forms.get("place") or PlaceForm(formdata=None, prefix="place-", lockout_point=point or ""),
        release=forms.get("release") or release_form(releasing, needs, formdata=None, data=_release_begun(found, here)),
        check=forms.get("check") or check_form(releasing, formdata=None),
        withdraw=forms.get("withdraw") or WithdrawForm(formdata=None, prefix="withdraw-"),
        confirm=forms.get("confirm") or ConfirmForm(formdata=None, prefix="confirm-"),
    )
    return page, status


def _release_begun(found: TagOut, here: list[Deficiency]) -> dict[str, str]:
    """What the form of a release begins with: the usual day of the next look, and what the log knows of the work.

    It knows it where exactly one deficiency of the stopped part is checked and waits to be settled.
    """
    begun = {Need.RELOOK_ON.value: (today() + timedelta(days=RELOOK_USUAL_DAYS)).isoformat()}
    checked = [row for row in here if row.state is DeficiencyState.CHECKED]
    if found.part is None or len(checked) != 1:
        return begun
    proof: dict[str, str] = {}
    by_name = ""
    for event in list_deficiency_events(get_db(), checked[0].id):
        if event.from_state != event.to_state:
            proof |= event.proof
            by_name = event.by_name if event.to_state == DeficiencyState.CHECKED else by_name
    return begun | {
        Need.REASON.value: ". ".join(filter(None, (proof.get("what", ""), proof.get("parts_used", "")))),
        Need.WORK_BY.value: checked[0].put_right_by,
        Need.CHECKED_BY.value: by_name,
        Need.CHECKED.value: proof.get("looked_at", ""),
    }


def _back(house_id: str, tag_out_id: str) -> ResponseReturnValue:
    return redirect(url_for("tag_out.one", house_id=house_id, tag_out_id=tag_out_id), 303)


@blueprint.get("/<tag_out_id>")
@permission("walk.view")
def one(house_id: str, tag_out_id: str) -> ResponseReturnValue:
    """One tag-out: why, by whom, what was done, what is asked next."""
    return _page(house_id, _found(house_id, tag_out_id))


@blueprint.post("/<tag_out_id>/step")
@permission("stop.step")
def step(house_id: str, tag_out_id: str) -> ResponseReturnValue:
    """Record what was done."""
    found, form = _found(house_id, tag_out_id), StepForm(prefix="step-")
    if form.validate_on_submit():
        try:
            record_step(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, tag_out=tag_out_id,
                step=Step(form.step.data), who=form.who.data or "", note=form.note.data or "",
                responsible=form.responsible.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash("Recorded.")
            return _back(house_id, tag_out_id)
    return _page(house_id, found, 422, step=form)


@blueprint.post("/<tag_out_id>/place")
@permission("stop.step")
def place(house_id: str, tag_out_id: str) -> ResponseReturnValue:
    """Record how it was left and where tags hang."""
    found, form = _found(house_id, tag_out_id), PlaceForm(prefix="place-")
    if form.validate_on_submit():
        try:
            record_place(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, tag_out=tag_out_id,
                height=form.height.data or "", load=form.load.data or "",
                tags_at=[TagAt(one) for one in form.tags_at.data or []], lockout_point=form.lockout_point.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash("Recorded.")
            return _back(house_id, tag_out_id)
    return _page(house_id, found, 422, place=form)


@blueprint.post("/<tag_out_id>/release")
@permission("stop.release")
def release(house_id: str, tag_out_id: str) -> ResponseReturnValue:
    """Put it back into use, under a role that may, when everything it needs is said."""
    found = _found(house_id, tag_out_id)
    form = release_form(Role, needs_of(found))
    if form.validate_on_submit() and _released(form, found):
        flash(f"{found.scope}: this stop is released. Other stops on it stand on their own.")
        return _back(house_id, tag_out_id)
    held = may_release(group_of_tag(found), g.roles)
    form.role.choices = choices_of((role.value, ROLE_TITLES[role]) for role in held)
    return _page(house_id, found, 422, release=form)


def _released(form: ReleaseForm, found: TagOut) -> bool:
    role = Role(form.role.data)
    missing = missing_needs(found, form.answers()) if role in may_release(group_of_tag(found), g.roles) else {}
    for need, words in missing.items():
        form[need.value].errors = [words]
    if missing:
        return False
    try:
        release_tag_out(
            get_db(), at=clock.now(), today=today(), actor=g.person.id, house=found.house, tag_out=found.id,
            role=role, answers=form.answers(),
        )  # fmt: skip
    except DomainError as error:
        show_error(form, error)
        return False
    return True


@blueprint.post("/<tag_out_id>/check")
@permission("stop.release")
def check(house_id: str, tag_out_id: str) -> ResponseReturnValue:
    """Check, as somebody else, what came back into use checked by its repairer only."""
    found = _found(house_id, tag_out_id)
    form = check_form(may_release(group_of_tag(found), g.roles))
    if form.validate_on_submit():
        try:
            check_released_work(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, tag_out=tag_out_id,
                role=Role(form.role.data), looked_at=form.looked_at.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash("Recorded. This stop is finished.")
            return _back(house_id, tag_out_id)
    return _page(house_id, found, 422, check=form)


@blueprint.post("/<tag_out_id>/withdraw")
@permission("stop.withdraw")
def withdraw(house_id: str, tag_out_id: str) -> ResponseReturnValue:
    """Say that the stop was raised on the wrong set; it stands until a second person confirms it."""
    found, form = _found(house_id, tag_out_id), WithdrawForm(prefix="withdraw-")
    if form.validate_on_submit():
        try:
            ask_withdrawal(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, tag_out=tag_out_id,
                reason=form.reason.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash("Asked. It stays out of use until a second person confirms it on their own account.")
            return _back(house_id, tag_out_id)
    return _page(house_id, found, 422, withdraw=form)


@blueprint.post("/<tag_out_id>/confirm")
@permission("stop.withdraw")
def confirm(house_id: str, tag_out_id: str) -> ResponseReturnValue:
    """Confirm, as the second person, that the wrong set was stopped."""
    found, form = _found(house_id, tag_out_id), ConfirmForm(prefix="confirm-")
    if form.validate_on_submit():
        try:
            confirm_withdrawal(get_db(), at=clock.now(), actor=g.person.id, house=house_id, tag_out=tag_out_id)
        except DomainError as error:
            show_error(form, error)
        else:
            flash(f"{found.scope}: the stop is withdrawn. If another set was meant, stop that one now.")
            return _back(house_id, tag_out_id)
    return _page(house_id, found, 422, confirm=form)
