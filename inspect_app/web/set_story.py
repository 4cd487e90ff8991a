"""The history of one line set in order: what was found, stopped, put right, checked, released and looked at again."""

from flask import Blueprint, render_template

from inspect_app.domain.deficiency import Deficiency
from inspect_app.domain.part import Part
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.house import get_line_set
from inspect_app.store.part import list_parts
from inspect_app.store.tag_out import list_standing
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.deficiency_story import story_of_set

blueprint = Blueprint("set_story", __name__, url_prefix="/houses/<house_id>/line-sets/<line_set_id>")


@blueprint.get("/history")
@permission("walk.view")
def story(house_id: str, line_set_id: str) -> str:
    """Everything about repairs and stops of the set and its parts, oldest first."""
    db = get_db()
    line_set = get_line_set(db, house_id, line_set_id)
    parts = list_parts(db, house_id, line_set=line_set_id, retired=True)
    areas = {part.area for part in parts if part.retired_on is None}
    return render_template(
        "deficiency/set_story.html",
        line_set=line_set,
        stops=[stop for stop in list_standing(db, house_id) if stop.line_set == line_set_id or stop.area in areas],
        story=story_of_set(db, house_id, line_set_id, {part.id for part in parts}),
    )


def open_on(house_id: str, parts: list[Part]) -> list[Deficiency]:
    """The open deficiencies on some parts, for the page of a part or a set."""
    ids = {part.id for part in parts}
    return [row for row in list_deficiencies(get_db(), house_id, open_only=True) if row.part in ids]
