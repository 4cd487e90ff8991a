"""Paper for the rail: which cards are out of date, printing and swapping them, tags, and *not to be flown today*."""

from dataclasses import asdict
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from inspect_app import clock
from inspect_app.actions.rail_card import issue_cards, swap_card
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.rail_card import standings_of
from inspect_app.domain.role import ROLE_TITLES, Role
from inspect_app.domain.tag_out import RELEASING, group_of_tag
from inspect_app.domain.tag_release import who_hung
from inspect_app.output.rail_paper import KIND, paper_data
from inspect_app.store.rail_card import list_cards
from inspect_app.store.set_state import list_other_bars, list_other_limits, list_set_states
from inspect_app.store.tag_out import find_lockout_point, get_tag_out
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.filters import local_time
from inspect_app.web.house_form import today
from inspect_app.web.printing import paper_facts, print_paper

blueprint = Blueprint("rail_card", __name__, url_prefix="/houses/<house_id>/rail")


@blueprint.get("")
@permission("walk.view")
def index(house_id: str) -> str:
    """Each set with its state and the card that hangs at the rail; those out of date on top."""
    db = get_db()
    rows = standings_of(list_set_states(db, house_id, today()), list_cards(db, house_id))
    late = [one for one in rows if one.out_of_date]
    return render_template(
        "rail_card/index.html",
        late=sorted(late, key=lambda one: (not one.state.bars, not one.state.limits)),
        right=[one for one in rows if not one.out_of_date],
    )


@blueprint.post("/issue")
@permission("stop.step")
def issue(house_id: str) -> ResponseReturnValue:
    """Issue and print the card of one set, or all that are out of date at the rail."""
    line_set = request.form.get("line_set", "")
    try:
        issued = issue_cards(
            get_db(), at=clock.now(), today=today(), actor=g.person.id, house=house_id,
            line_sets=[line_set] if line_set else None,
        )  # fmt: skip
    except NotFound:
        raise
    except DomainError as error:
        flash(error.message)
        return redirect(url_for("rail_card.index", house_id=house_id), 303)
    cards = [{**asdict(one.state), "word": one.state.word, "revision": one.revision} for one in issued]
    return _print("cards", "rail-cards", {"cards": cards}, url_for("rail_card.index", house_id=house_id))


@blueprint.post("/<line_set_id>/swap")
@permission("stop.step")
def swap(house_id: str, line_set_id: str) -> ResponseReturnValue:
    """Note that the newest card hangs at the rail now."""
    try:
        revision = swap_card(
            get_db(), at=clock.now(), today=today(), actor=g.person.id, house=house_id, line_set=line_set_id
        )
    except NotFound:
        raise
    except DomainError as error:
        flash(error.message)
    else:
        flash(f"Revision {revision} hangs at the rail.")
    return redirect(url_for("rail_card.index", house_id=house_id), 303)


@blueprint.get("/not-today")
@permission("walk.view")
def not_today(house_id: str) -> ResponseReturnValue:
    """Print the sheet *not to be flown today*."""
    db = get_db()
    states = list_set_states(db, house_id, today())
    facts = {
        "barred": [{"what": f"Set {one.number}", "label": one.label, "why": one.bars} for one in states if one.bars],
        "others": list_other_bars(db, house_id),
        "limited": [
            *({"what": f"Set {one.number}", "why": one.limits} for one in states if one.limits and not one.bars),
            *({"what": what, "why": [why]} for what, why in list_other_limits(db, house_id, today())),
        ],
    }
    return _print("not_today", "not-to-be-flown", facts, url_for("rail_card.index", house_id=house_id))


@blueprint.get("/tags/<tag_out_id>")
@permission("walk.view")
def tag(house_id: str, tag_out_id: str) -> ResponseReturnValue:
    """Print the tag of a tag-out that stands."""
    found = get_tag_out(get_db(), house_id, tag_out_id)
    if found is None:
        raise NotFound("There is no such tag-out in this house.")
    place, point = found.place, find_lockout_point(get_db(), found.line_set) if found.line_set else None
    page = url_for("tag_out.one", house_id=house_id, tag_out_id=tag_out_id)
    facts = {
        "scope": found.scope,
        "part_tag": found.part_tag if found.part_tag != found.scope else "",
        "hold": found.event is not None,
        "why": found.why,
        "raised_by": found.raised_by_name,
        "raised_local": local_time(found.raised_at),
        "responsible": found.responsible,
        "motorised": point is not None,
        "lockout_point": (place.lockout_point if place else "") or point or "",
        "height": place.height if place else "",
        "load": place.load if place else "",
        "tags_at": ", ".join(one.value for one in place.tags_at) if place else "",
        "hung_by": ", ".join(who_hung(found)),
        "entitled": " or a ".join(ROLE_TITLES[r].lower() for r in Role if r in RELEASING[group_of_tag(found)]),
        "tag_short": found.id[-8:],
        "address": f"{request.host_url.rstrip('/')}{page}",
    }
    return _print("tag", "tag", facts, page)


def _print(form: str, name: str, facts: dict[str, Any], back: str) -> ResponseReturnValue:
    at = clock.now()
    return print_paper(KIND, name, paper_data(form, paper_facts(at) | facts), at, back)
