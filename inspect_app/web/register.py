"""The register of deficiencies: filtered, grouped, assigned in bulk, as a file; its figures; the house's days."""

from typing import Any

from flask import Blueprint, Response, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from inspect_app import clock
from inspect_app.actions.repair_plan import assign_deficiencies, change_policy, make_deficiency
from inspect_app.domain.checklist import Grade
from inspect_app.domain.deficiency_register import (
    GROUP_TITLES,
    SORT_TITLES,
    STATE_CHOICES,
    RegisterRow,
    Wanted,
    grouped,
    register_table,
    select,
    wanted_from,
)
from inspect_app.domain.errors import BadValue, DomainError
from inspect_app.domain.repair_figures import AGES, cost_to_come, open_by_age, recurrences, repair_times
from inspect_app.domain.repair_policy import money
from inspect_app.output.register_file import write_register
from inspect_app.output.repair_picture import cost_svg, open_svg, time_svg
from inspect_app.output.svg import as_markup
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.deficiency import list_house_events
from inspect_app.store.house import list_areas, list_line_sets
from inspect_app.store.part import find_part_by_tag
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.deficiency_form import GRADES, AssignForm, NewForm, PolicyForm
from inspect_app.web.form import choices_of, show_error
from inspect_app.web.repair_context import people, policy, register, today, zone

blueprint = Blueprint("register", __name__, url_prefix="/houses/<house_id>")
NAV = (("Deficiencies", "register.index", "deficiency.view"),)
MOST_ROWS = 500  # shown on one page; a file has them all
_MIME = {"csv": "text/csv; charset=utf-8", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}


def _wanted() -> tuple[Wanted, str]:
    """The wishes in the address, and what is wrong with them."""
    try:
        return wanted_from(request.args.to_dict()), ""
    except BadValue as error:
        return Wanted(), error.message


def _assign_form(house_id: str, chosen: list[RegisterRow], **given: Any) -> AssignForm:
    form = AssignForm(**given)
    form.responsible_id.choices = choices_of([("", "Leave as it is"), *people(house_id)])
    form.chosen.choices = choices_of((row.row.id, str(row.row.number)) for row in chosen)
    return form


def _page(house_id: str, assign: AssignForm | None = None) -> tuple[str, int]:
    db = get_db()
    wanted, problem = _wanted()
    rows = register(house_id)
    found = select(rows, wanted, today())
    accepted = list_accepted(db, house_id)
    page = render_template(
        "deficiency/index.html",
        wanted=wanted,
        problem=problem,
        groups=grouped(found[:MOST_ROWS], wanted.group),
        shown=min(len(found), MOST_ROWS),
        matching=len(found),
        total=len(rows),
        assign=assign or _assign_form(house_id, found, formdata=None),
        states=STATE_CHOICES.items(),
        grades=GRADES,
        sorts=SORT_TITLES.items(),
        group_choices=GROUP_TITLES.items(),
        line_sets=list_line_sets(db, house_id),
        areas=list_areas(db, house_id),
        accepted=accepted,
        today=today().isoformat(),
    )
    return page, 422 if problem or (assign is not None and assign.errors) else 200


@blueprint.get("/deficiencies", strict_slashes=False)
@permission("deficiency.view")
def index(house_id: str) -> ResponseReturnValue:
    """The register, by default what is open, gravest first; accepted conditions apart."""
    return _page(house_id)


@blueprint.get("/deficiencies.<any(csv, xlsx):form>")
@permission("deficiency.view")
def export(house_id: str, form: str) -> Response:
    """The rows that the filter leaves, as a file."""
    wanted = wanted_from(request.args.to_dict())
    table = register_table(select(register(house_id), wanted, today()), zone())
    response = Response(write_register(table, form, "Deficiencies"), mimetype=_MIME[form])
    name = "".join(sign if sign.isascii() and sign.isalnum() else "-" for sign in g.house.name)[:60]
    response.headers["Content-Disposition"] = f'attachment; filename="deficiencies-{name}-{today()}.{form}"'
    return response


@blueprint.post("/deficiencies/assign")
@permission("deficiency.assign")
def assign(house_id: str) -> Any:
    """Set who, until when and under which order for the chosen deficiencies, each with its own row in the journal."""
    wanted, _ = _wanted()
    form = _assign_form(house_id, select(register(house_id), wanted, today()))
    if form.validate_on_submit():
        facts = {name: form[name].data or "" for name in ("responsible_id", "contractor", "order_number")}
        facts["due_on"] = form.due_on.data.isoformat() if form.due_on.data else ""
        try:
            count = assign_deficiencies(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, deficiencies=form.chosen.data or [],
                facts=facts, reason=form.reason.data or "", policy=policy(),
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash(f"Set for {count} {'deficiency' if count == 1 else 'deficiencies'}.")
            query: dict[str, Any] = wanted.as_query()
            return redirect(url_for("register.index", house_id=house_id, **query), 303)
    return _page(house_id, form)


@blueprint.route("/deficiencies/new", methods=["GET", "POST"])
@permission("deficiency.make")
def new(house_id: str) -> Any:
    """A deficiency by hand, without a finding."""
    form = NewForm(part=request.args.get("part", "")[:40])
    if form.validate_on_submit():
        part = find_part_by_tag(get_db(), house_id, (form.part.data or "").strip())
        if part is None:
            form.part.errors = ["There is no part with this tag in this house."]
        else:
            try:
                made = make_deficiency(
                    get_db(), at=clock.now(), actor=g.person.id, house=house_id, part=part.id,
                    what=form.what.data or "", grade=Grade(form.grade.data),
                )  # fmt: skip
            except DomainError as error:
                show_error(form, error)
            else:
                flash("It is in the register.")
                return redirect(url_for("deficiency.one", house_id=house_id, deficiency_id=made), 303)
    return render_template("deficiency/new.html", form=form), 422 if form.errors else 200


@blueprint.get("/deficiencies/figures")
@permission("deficiency.view")
def figures(house_id: str) -> str:
    """Figures for a manager, each picture with its table beside it. No score."""
    rows = register(house_id)
    ages, plain = open_by_age(rows), [row.row for row in rows]
    times = repair_times(plain, list_house_events(get_db(), house_id), zone())
    costs, without = cost_to_come(rows, today())
    return render_template(
        "deficiency/figures.html",
        ages=ages,
        bands=[words for _, words in AGES],
        ages_svg=as_markup(open_svg(ages, "open")),
        times=times,
        times_svg=as_markup(time_svg(times, "times")),
        costs=[(cost, as_markup(cost_svg(cost, f"cost-{cost.currency}"))) for cost in costs],
        without=without,
        again=recurrences(plain),
        money=money,
        today=today().isoformat(),
    )


@blueprint.route("/repair-policy", methods=["GET", "POST"])
@permission("deficiency.policy")
def repair_policy(house_id: str) -> Any:
    """The house's days per grade and its currency."""
    now = policy()
    form = PolicyForm(data={**{grade.value: now.days[grade] for grade in Grade}, "currency": now.currency})
    if form.validate_on_submit():
        days = {grade: "" if form[grade.value].data is None else str(form[grade.value].data) for grade in Grade}
        try:
            change_policy(
                get_db(), at=clock.now(), actor=g.person.id, house=house_id, days=days,
                currency=form.currency.data or "",
            )  # fmt: skip
        except DomainError as error:
            show_error(form, error)
        else:
            flash("The days are saved. They count for every deficiency for which nobody has set a day.")
            return redirect(url_for("register.repair_policy", house_id=house_id), 303)
    return render_template("deficiency/policy.html", form=form, own=now.own), 422 if form.errors else 200
