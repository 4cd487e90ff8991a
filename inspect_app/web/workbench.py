"""The workbench: calculations for a what-if, each with formula, units and sources, and as a printed sheet.

Nothing is stored: the figures stand in the address, which can be kept or sent to somebody. A `part` in it begins the
form with what is recorded of that part.
"""

from collections.abc import Mapping
from typing import Any, NamedTuple

from flask import Blueprint, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup

from inspect_app import clock
from inspect_app.domain.attribute_value import shown_attributes
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.part import Part, PartKind
from inspect_app.domain.worksheet import COMES_FIRST, ROUNDING, WHAT_IF, Answer, Ask, Input, Reference, Worksheet
from inspect_app.domain.worksheet_input import read_inputs
from inspect_app.domain.worksheets.all_worksheets import GROUPS, WORKSHEETS, begun_with, sheets_about
from inspect_app.domain.worksheets.words import input_words, kept_together
from inspect_app.output.calculation_sheet import KIND, SheetFacts, picture_svg, sheet_data
from inspect_app.output.paper_page import PAPERS
from inspect_app.output.svg import as_markup
from inspect_app.store.house_criteria import criteria_for, figures_for
from inspect_app.store.part import get_part, list_lives
from inspect_app.store.reference import reference_at, reference_digest, student_t_at
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.filters import local_time
from inspect_app.web.house_form import units
from inspect_app.web.printing import asked_paper, print_paper, usual_paper
from inspect_app.web.worksheet_form import grouped, show_problems, show_refusal, worksheet_form

blueprint = Blueprint("workbench", __name__)
NAV = (("Workbench", "workbench.shelf", "house.view"),)
Given = tuple[tuple[str, str, str], ...]  # label, as typed, as understood


class Worked(NamedTuple):
    """A worksheet as far as it has come: its form, and with good figures its answer and what was and was not given."""

    form: Any
    answer: Answer | None = None
    given: Given = ()
    empty: tuple[str, ...] = ()


def reference() -> Reference:
    """What the worksheets of the house of the page may look up."""
    loaded = reference_at(get_settings().shared)
    return Reference(
        criteria=criteria_for(get_db(), g.house.id, loaded.criteria),
        sources=loaded.sources,
        figures=figures_for(get_db(), g.house.id, loaded.figures),
        risk=loaded.risk,
        units=units(),
        jurisdiction=str(g.house.settings.get("jurisdiction", "")),
        student_t=student_t_at(get_settings().shared),
    )


def worked(sheet: Worksheet, typed: Mapping[str, str]) -> Worked:
    """The form filled with `typed`, and the answer when all of it can be read and worked out."""
    form = worksheet_form(sheet.inputs, typed, units())
    values, problems = read_inputs(sheet, typed, units())
    problems |= _given_twice(sheet)
    if problems:
        show_problems(form, problems)
        return Worked(form)
    try:
        answer = sheet.run(values, reference())
    except DomainError as error:
        show_refusal(form, error)
        return Worked(form)
    given = tuple(_given(one, typed[one.key], values[one.key]) for one in sheet.inputs if one.key in values)
    return Worked(form, answer, given, tuple(one.label for one in sheet.inputs if one.key not in values))


def _given_twice(sheet: Worksheet) -> dict[str, list[str]]:
    """An address put together by hand may give an input more than once: then it is not known which is meant."""
    return {
        one.key: [f"The address gives this more than once: {', '.join(found)[:200]}. Choose one."]
        for one in sheet.inputs
        if len(found := list(dict.fromkeys(request.args.getlist(one.key)))) > 1
    }


def _given(one: Input, typed: str, value: object) -> tuple[str, str, str]:
    read = input_words(one, value, units())
    return one.label, read if one.ask is Ask.CHOICE else typed.strip(), read


def typed_in(sheet: Worksheet) -> dict[str, str] | None:
    """What the address gives for the inputs of a worksheet; None when it names none of them."""
    if not any(one.key in request.args for one in sheet.inputs):
        return None
    return {one.key: request.args.get(one.key, "").replace("\r\n", "\n") for one in sheet.inputs}


@blueprint.get("/houses/<house_id>/workbench/")
@permission("house.view")
def shelf(house_id: str) -> str:
    """All calculations, in the words of the trade."""
    return render_template("workbench/shelf.html", groups=GROUPS, what_if=WHAT_IF)


@blueprint.get("/houses/<house_id>/workbench/<sheet>/")
@permission("house.view")
def one(house_id: str, sheet: str) -> ResponseReturnValue:
    """One calculation: its form, and below it the answer to what the address gives."""
    named = _named(sheet)
    part = _part_asked(house_id, named)
    where = {"house_id": house_id, "sheet": sheet}
    if part is None:
        return sheet_page(named, "workbench.one", where)
    lives = list_lives(get_db(), house_id, part.id)
    attributes = next((life.attributes for life in lives if life.retired_on is None), {})
    start = {one.key: one.default for one in named.inputs} | begun_with(named, attributes, units())
    known = [(row[0], row[1]) for row in shown_attributes(part.kind, attributes, units())]
    return sheet_page(named, "workbench.one", where, start, part=part, known=known)


def _part_asked(house_id: str, sheet: Worksheet) -> Part | None:
    """The part that the address names; None without one. Raises NotFound, also where the sheet does not ask about it.

    A design factor above all is asked of no part: its set may be stopped, which only the page of the set knows.
    """
    asked = request.args.get("part", "")
    if not asked:
        return None
    try:
        part = get_part(get_db(), house_id, asked)
    except DomainError:
        raise NotFound("The address names a part that is not in this house.") from None
    if sheet.key not in {one.key for one in sheets_about(part.kind)}:
        raise NotFound(f"“{sheet.title}” is not asked about {part.tag}. Ask it without a part.")
    return part


@blueprint.app_template_global("sheets_about")
def _sheets_about(kind: str) -> tuple[Worksheet, ...]:
    """The calculations that ask about a part of this kind, for links from its page."""
    return sheets_about(PartKind(kind))


def sheet_page(
    sheet: Worksheet,
    endpoint: str,
    where: Mapping[str, Any],
    start: Mapping[str, str] | None = None,
    lacking: tuple[str, ...] = (),
    **more: Any,
) -> ResponseReturnValue:
    """The page of a calculation at an endpoint; `start` fills a form that nobody has touched yet."""
    typed = typed_in(sheet)
    if typed is None:
        begin = {one.key: one.default for one in sheet.inputs} | dict(start or {})
        result = Worked(worksheet_form(sheet.inputs, begin, units()))
    else:
        result = worked(sheet, typed)
    page = render_template(
        "workbench/one.html",
        sheet=sheet,
        form=result.form,
        groups=grouped(sheet.inputs, result.form),
        answer=result.answer,
        given=result.given,
        empty=result.empty,
        kept=kept_together,
        rounding=ROUNDING,
        picture=drawn(result.answer),
        here=url_for(endpoint, **where),
        pdf=url_for(f"{endpoint}_pdf", **where),
        typed=[(key, value) for key, value in (typed or {}).items()],
        papers=PAPERS,
        usual_paper=usual_paper(),
        what_if=WHAT_IF,
        comes_first=COMES_FIRST,
        lacking=lacking,
        **more,
    )
    return page, 422 if result.form.errors else 200


def drawn(answer: Answer | None) -> Markup:
    """The picture of an answer as SVG; empty without one."""
    return as_markup(picture_svg(answer.picture) if answer is not None else "")


@blueprint.get("/houses/<house_id>/workbench/<sheet>/sheet.pdf")
@permission("house.view")
def one_pdf(house_id: str, sheet: str) -> ResponseReturnValue:
    """Have the calculation printed: the page of its progress opens the PDF when it is ready."""
    named = _named(sheet)
    part = _part_asked(house_id, named)
    place = f"Part {part.tag}" if part is not None else ""
    return start_pdf(named, url_for("workbench.one", house_id=house_id, sheet=sheet), place)


def start_pdf(sheet: Worksheet, back: str, place: str = "") -> ResponseReturnValue:
    """Begin the PDF of a calculation with the figures of the address; figures that do not work go back to the form."""
    again = f"{back}?{request.query_string.decode('ascii', 'ignore')}"
    typed = typed_in(sheet) or {}
    result = worked(sheet, typed)
    if result.answer is None:
        return redirect(again, 303)
    at = clock.now()
    facts = SheetFacts(
        house=g.house.name,
        place=place,
        made_at=at.isoformat(timespec="seconds"),
        made_local=f"{local_time(at)} ({g.house.tz})",
        asked_by=g.person.name,
        paper=asked_paper(),
        units=units(),
        demo=g.house.demo,
        data=reference_digest(get_settings().shared),
        again=f"{request.host_url.rstrip('/')}{again}",
    )
    document = sheet_data(sheet, result.given, result.answer, facts, result.empty)
    return print_paper(KIND, f"what-if-{sheet.key}", document, at, again, paper=facts.paper)


def _named(key: str) -> Worksheet:
    sheet = WORKSHEETS.get(key)
    if sheet is None:
        raise NotFound("There is no such calculation on the workbench.")
    return sheet
