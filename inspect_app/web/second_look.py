"""Second looks: what waits for another person, how often two people agree, and the share that a house draws."""

from typing import Any, NamedTuple

from flask import Blueprint, flash, g, redirect, render_template, request, url_for

from inspect_app import clock
from inspect_app.actions.second_look import set_second_look_share
from inspect_app.domain.errors import BadValue
from inspect_app.domain.part_kind import KIND_WORDS
from inspect_app.domain.second_look import MOST_PERCENT, Wanted, agreements, draw, percent_of, waiting
from inspect_app.domain.stretch import tag_key
from inspect_app.domain.walk_record import WalkRecord
from inspect_app.store.second_look import Draw, list_compared, list_draws, list_wanted
from inspect_app.web.access import may, permission
from inspect_app.web.database import get_db
from inspect_app.web.glossary import points_by_id

blueprint = Blueprint("second_look", __name__, url_prefix="/houses/<house_id>/second-looks")


class ShownDraw(NamedTuple):
    """A draw with what drawing again gives, and whether that is what was kept."""

    made: Draw
    drawn: int
    same: bool


@blueprint.get("")
@permission("walk.view")
def index(house_id: str) -> str:
    """What waits, by area; the agreement for those who sign."""
    return _page(house_id, "", "")


def _page(house_id: str, typed: str, error: str) -> str:
    db = get_db()
    rows = sorted(waiting(list_wanted(db, house_id), clock.now()), key=lambda row: (row.area, tag_key(row.tag)))
    areas: dict[str, list[Wanted]] = {}
    for row in rows:
        areas.setdefault(row.area, []).append(row)
    judged: dict[str, Any] = {}
    if may("walk.sign"):
        judged = _judged(house_id)
    return render_template(
        "learning/second_looks.html", areas=areas, percent=typed or percent_of(g.house.settings), error=error,
        most=MOST_PERCENT, points=points_by_id(), kinds=KIND_WORDS, **judged,
    )  # fmt: skip


def _judged(house_id: str) -> dict[str, Any]:
    """The agreement by kind of part and by point, what differed, and the draws, drawn again."""
    compared = list_compared(get_db(), house_id)
    draws = []
    for made, kept in list_draws(get_db(), house_id):
        again = set(draw(made.seed, made.percent, made.candidates))
        draws.append(ShownDraw(made, len(again), again == kept))
    return {
        "kind_rows": agreements((row.kind.value, row.agrees) for row in compared),
        "point_rows": agreements((row.point, row.agrees) for row in compared),
        "differed": [row for row in compared if not row.agrees][:50],
        "draws": draws,
    }


@blueprint.post("")
@permission("relook.ask")
def share(house_id: str) -> Any:
    """Set the share that is drawn."""
    typed = request.form.get("percent", "")[:20]
    try:
        kept = set_second_look_share(get_db(), at=clock.now(), actor=g.person.id, house=house_id, percent=typed)
    except BadValue as error:
        return _page(house_id, typed, error.message), 422
    flash(
        "No second looks are drawn from now on. Those that wait go on waiting."
        if kept == "0"
        else f"From the next signature on {kept} % of the sound entries come back for a second look."
    )
    return redirect(url_for("second_look.index", house_id=house_id), 303)


@blueprint.app_template_global()
def second_looks_here(record: WalkRecord | None = None) -> list[Wanted]:
    """The second looks that wait in the house, or in the scope of one walk, for people other than the first."""
    rows = waiting(list_wanted(get_db(), g.house.id), clock.now())
    if record is None:
        return rows
    scope, asked = record.walk.scope, {p.id for one in record.checklists for p in one.points()}
    areas = {part.id: part.area for part in record.inventory.parts}
    return [
        row
        for row in rows
        if asked & set(row.second.points)
        and (scope.line_sets is None or row.line_set is None or row.line_set in scope.line_sets)
        and (scope.areas is None or areas.get(row.second.part) in scope.areas)
    ]
