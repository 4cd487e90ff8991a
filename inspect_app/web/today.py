"""Today: what is stopped, overdue, due and waiting, as sentences that lead to what they are about."""

from collections.abc import Mapping
from typing import Any

from flask import Blueprint, current_app, g, render_template, url_for

from inspect_app import clock
from inspect_app.actions.today import today_of
from inspect_app.domain.role import PERMISSIONS
from inspect_app.domain.today import MATTER_TITLES, Matter, Sentence
from inspect_app.web.access import may, permission, permission_of
from inspect_app.web.calendar_cache import calendar_of
from inspect_app.web.database import get_db, get_settings

blueprint = Blueprint("today", __name__, url_prefix="/houses/<house_id>")
NAV = (("Today", "today.one", "calendar.view"),)

# noun of a sentence -> page of one, with the name of its variable; page of all
PAGES: Mapping[str, tuple[str, str, str]] = {
    "tag_out": ("tag_out.one", "tag_out_id", "tag_out.index"),
    "line_set": ("line_set.one", "line_set_id", "line_set.shelf"),
    "walk": ("walk.one", "walk_id", "walk.index"),
    "deficiency": ("deficiency.one", "deficiency_id", "register.index"),
    "restriction": ("", "", "restriction.index"),
    "part": ("part.one", "part_id", "part.shelf"),
    "gauge": ("gauge.edit", "gauge_id", "gauge.shelf"),
    "held": ("", "", "held.index"),
    "device": ("", "", "device.index"),
    "interval": ("", "", "interval.shelf"),
    "calendar": ("", "", "calendar.year"),
}


def address_of(house_id: str, row: Sentence) -> str:
    """The page that a sentence leads to, '' when there is none or the person may not open it."""
    noun, key = row.about
    single, variable, shelf = PAGES.get(noun, ("", "", ""))
    endpoint = single if key and single else shelf
    if endpoint not in current_app.view_functions:
        return ""
    needed = permission_of(current_app, endpoint)
    if needed in PERMISSIONS and not may(needed):
        return ""
    values: dict[str, Any] = {variable: key} if endpoint == single else {}
    return url_for(endpoint, house_id=house_id, **values)


@blueprint.get("/today/")
@permission("calendar.view")
def one(house_id: str) -> str:
    """The day of the house for the person who looks: what waits for them stands apart."""
    db, settings, at = get_db(), get_settings(), clock.now()
    calendar = calendar_of(db, settings, g.house, at)
    sentences = today_of(db, settings, house_id, at, calendar)
    mine = [row for row in sentences if row.matter is Matter.WAITS and row.is_for(g.person.id, g.roles)]
    groups = [(MATTER_TITLES[matter], [row for row in sentences if row.matter is matter]) for matter in Matter]
    others = [row for row in sentences if row.matter is Matter.WAITS and row not in mine]
    titled = {MATTER_TITLES[Matter.WAITS]: [("Waits for you", mine), ("Waits for others", others)]}
    sections = [part for title, rows in groups for part in titled.get(title, [(title, rows)]) if part[1]]
    return render_template(
        "today/one.html",
        sections=sections,
        stopped=MATTER_TITLES[Matter.STOPPED],
        address=lambda row: address_of(house_id, row),
        today=calendar.today,
        quiet=not any(row.matter is not Matter.AHEAD for row in sentences),
    )
