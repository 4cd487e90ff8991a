"""The glossary and the drawings of the kinds of parts: what each word means, where a part wears and how to look."""

import io
from functools import lru_cache
from typing import NamedTuple

from flask import Blueprint, Response, g, render_template, request, send_file, url_for
from flask.typing import ResponseReturnValue

from inspect_app import clock
from inspect_app.domain.checklist import Method, Point
from inspect_app.domain.errors import NotFound
from inspect_app.domain.glossary import by_letter
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_kind import KIND_WORDS
from inspect_app.output.learning_paper import KIND, learning_data
from inspect_app.output.part_drawing import NOT_TO_SCALE, draw_part, drawing_of, letters_of
from inspect_app.output.render import RenderJob, render_report
from inspect_app.store.checklist import load_shelf
from inspect_app.store.reference import glossary_at
from inspect_app.web.access import permission
from inspect_app.web.database import get_settings
from inspect_app.web.printing import asked_paper, print_paper

blueprint = Blueprint("glossary", __name__)
NAV = (("Learning", "glossary.learning", "checklist.view"),)
METHOD_WORDS = {
    Method.LOOK: "look", Method.FEEL: "feel by hand", Method.LISTEN: "listen", Method.MEASURE: "measure",
    Method.OPERATE: "operate",
}  # fmt: skip


class MarkedPlace(NamedTuple):
    """A letter of a drawing with the points that look at its place."""

    letter: str
    title: str
    points: tuple[Point, ...]


def points_by_id() -> dict[str, Point]:
    """Every point that a checklist in use asks, by its id."""
    return {point.id: point for one in load_shelf(get_settings()).checklists.values() for point in one.points()}


def drawing_address(kind: PartKind) -> str:
    """Where the drawing of a kind of part stands: within the house of the page, or by itself."""
    if g.get("house"):
        return url_for("glossary.kind", house_id=g.house.id, part_kind=kind.value)
    return url_for("glossary.drawing", part_kind=kind.value)


blueprint.add_app_template_global(drawing_address)
blueprint.add_app_template_global(draw_part)


@blueprint.get("/houses/<house_id>/learning")
@permission("checklist.view")
def learning(house_id: str) -> str:
    """The learning side of the house: drawings, words, second looks, labels, old pages, sounds."""
    return render_template("learning/index.html", kinds=KIND_WORDS, not_to_scale=NOT_TO_SCALE)


@blueprint.get("/learn")
@permission("signed_in")
def drawings() -> str:
    """All drawings, outside any house."""
    return render_template("learning/drawings.html", kinds=KIND_WORDS, not_to_scale=NOT_TO_SCALE)


@blueprint.get("/learn/<part_kind>")
@permission("signed_in")
def drawing(part_kind: str) -> str:
    """One drawing with its places, outside any house."""
    return _kind_page(part_kind)


@blueprint.get("/houses/<house_id>/parts/kinds/<part_kind>")
@permission("house.view")
def kind(house_id: str, part_kind: str) -> str:
    """One drawing with its places: how to look there, what good looks like, what is wrong."""
    return _kind_page(part_kind)


def _kind_page(part_kind: str) -> str:
    if part_kind not in set(PartKind):
        raise NotFound("There is no such kind of part.")
    chosen = PartKind(part_kind)
    known = points_by_id()
    made = drawing_of(chosen)
    places = [
        MarkedPlace(letter, place.title, tuple(known[one] for one in place.points if one in known))
        for letter, place in letters_of(made)
    ]
    marked = {point.id for place in places for point in place.points}
    others = [point for point in known.values() if chosen in point.parts and point.id not in marked]
    return render_template(
        "learning/kind.html", kind=chosen, words=KIND_WORDS[chosen], view=made.view, places=places, others=others,
        methods=METHOD_WORDS, not_to_scale=NOT_TO_SCALE,
        terms=[term for term in glossary_at(get_settings().shared)[0] if term.part is chosen],
    )  # fmt: skip


@blueprint.get("/glossary")
@permission("signed_in")
def glossary() -> str:
    """The words of the trade, with a link to the drawing where one shows it."""
    return render_template("learning/glossary.html", letters=by_letter(glossary_at(get_settings().shared)[0]))


@blueprint.get("/glossary.pdf")
@permission("signed_in")
def glossary_pdf() -> Response:
    """The glossary to print, on A4 or Letter."""
    paper = "Letter" if request.args.get("paper") == "Letter" else "A4"
    data = learning_data(glossary_at(get_settings().shared)[0])
    content = _printed(data, paper, clock.now().date().isoformat())
    response = send_file(io.BytesIO(content), "application/pdf", download_name=f"glossary-{paper}.pdf")
    response.headers["Cache-Control"] = "private, no-cache"
    return response


@blueprint.get("/houses/<house_id>/learning/paper")
@permission("checklist.view")
def paper(house_id: str) -> ResponseReturnValue:
    """Print glossary and drawings together: some twenty pages, so with progress."""
    data = learning_data(glossary_at(get_settings().shared)[0], points_by_id())
    back = url_for("glossary.learning", house_id=house_id)
    return print_paper(KIND, "glossary-and-drawings", data, clock.now(), back, paper=asked_paper())


@lru_cache(maxsize=2)
def _printed(data: bytes, paper: str, made_on: str) -> bytes:
    """The PDF, made once a day for each paper: it takes a few seconds and is the same for everybody."""
    job = RenderJob(data, {}, paper, f"{made_on}T00:00:00Z", KIND)
    return render_report(job, lambda _: None)
