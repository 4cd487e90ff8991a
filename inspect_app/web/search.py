"""Searching everything ever said in a house: words typed, narrowed to a kind or a set, each result with its place."""

from typing import Any

from flask import Blueprint, current_app, render_template, request, url_for

from inspect_app.domain.search_words import MOST_SIGNS, read_words
from inspect_app.store.house import list_line_sets
from inspect_app.store.search import COUNTED, PER_PAGE, Found, Hit, search_said
from inspect_app.web.access import may_open, permission
from inspect_app.web.database import get_db
from inspect_app.web.guest_pass import costs_hidden

blueprint = Blueprint("search", __name__, url_prefix="/houses/<house_id>/search")
NAV = (("Search", "search.search", "walk.view"),)
MOST_PAGES = COUNTED // PER_PAGE

KINDS = {
    "look": "Looks and findings",
    "deficiency": "Deficiencies and repairs",
    "quote": "Papers of repairs",
    "stop": "Stops and releases",
    "limit": "Restrictions, accepted conditions, looks asked for",
    "event": "Events",
    "walk": "Walks and signatures",
    "house": "Parts, sets and the house",
    "paper": "Old pages, sounds, labels",
}
NOUNS = {
    "look": "look", "finding": "finding", "photo": "photo", "entry": "opening or closing of a walk", "walk": "walk",
    "seal": "signature", "decision": "decision at review", "deficiency": "deficiency",
    "deficiency_event": "step of a deficiency", "attachment": "file of a deficiency", "tag_out": "stop",
    "tag_step": "step of a stop", "tag_place": "how it was left", "tag_release": "release", "tag_check": "check",
    "tag_withdrawal": "withdrawal of a stop", "withdrawal_ask": "withdrawal asked for",
    "accepted_condition": "accepted condition", "restriction": "restriction", "relook": "look asked for",
    "event": "event", "event_approach": "approach after an event", "event_withdrawal_ask": "event said to be a mistake",
    "part": "part", "line_set": "line set",
    "area": "area", "part_life": "what hangs there, or hung",
    "part_change": "change of a part", "interval_scope": "interval", "blackout": "blackout",
    "gauge_doubt": "gauge that read wrong",
    "examination": "examination", "house_answer": "answer about the house", "checklist_review": "checklist review",
    "governing_choice": "choice of a rule", "old_page": "page of an old log, unverified",
    "old_page_withdrawal": "old page withdrawn", "set_sound": "sound of a set", "label_reading": "label read",
}  # fmt: skip
# table -> page of one and the variable for what the text leads to
_TO_ONE = {
    **dict.fromkeys(("deficiency", "deficiency_event", "attachment"), ("deficiency.one", "deficiency_id")),
    **dict.fromkeys(
        ("tag_out", "tag_step", "tag_place", "tag_release", "tag_withdrawal", "withdrawal_ask", "tag_check"),
        ("tag_out.one", "tag_out_id"),
    ),
    **dict.fromkeys(("entry", "walk", "seal"), ("walk.one", "walk_id")),
    **dict.fromkeys(("event", "event_approach", "event_withdrawal_ask"), ("event.one", "event_id")),
}
_TO_ALL = {
    "restriction": "restriction.index", "relook": "relook.index", "interval_scope": "interval.shelf",
    "blackout": "blackout.index", "examination": "interval.shelf", "house_answer": "hand_over.shelf",
    "checklist_review": "checklist.shelf", "governing_choice": "criteria.shelf", "area": "house.one",
    "gauge_doubt": "gauge.shelf", "old_page": "old_page.index", "old_page_withdrawal": "old_page.index",
}  # fmt: skip
_OF_A_SET = {"set_sound": "by_ear.one", "label_reading": "label_audit.one"}


@blueprint.get("", strict_slashes=False)
@permission("walk.view")
def search(house_id: str) -> str:
    """What fits the words in the address, newest first."""
    typed, db = request.args.get("q", ""), get_db()
    words = read_words(typed)
    kind = request.args.get("kind", "")
    kind = kind if kind in KINDS else ""
    line_sets = list_line_sets(db, house_id, retired=True)
    line_set = request.args.get("set", "")
    line_set = line_set if line_set in {one.id for one in line_sets} else ""
    page = max(1, min(request.args.get("page", 1, type=int), MOST_PAGES))
    without = "quote" if costs_hidden() else ""  # a paper of a repair may be a quote
    found: Found = search_said(db, house_id, words, kind=kind, line_set=line_set, page=page, without=without)
    last = -(-found.total // PER_PAGE)
    turn: dict[str, Any] = {"house_id": house_id, "q": typed, "kind": kind or None, "set": line_set or None}
    return render_template(
        "search/page.html",
        typed=typed[:MOST_SIGNS],
        words=words,
        kind=kind,
        line_set=line_set,
        kinds=KINDS,
        nouns=NOUNS,
        line_sets=line_sets,
        found=found,
        counted=COUNTED,
        first=PER_PAGE * (page - 1) + 1,
        page=page,
        last=last,
        newer=url_for("search.search", **turn, page=page - 1) if page > 1 else "",
        older=url_for("search.search", **turn, page=page + 1) if page < last else "",
        address=address_of,
        most_signs=MOST_SIGNS,
    )


def address_of(hit: Hit, house_id: str) -> str:
    """The page that shows where a text was said; '' when whoever looks may not open it."""
    endpoint, values = _place_of(hit)
    if endpoint not in current_app.view_functions or not may_open(endpoint):
        return ""
    return url_for(endpoint, house_id=house_id, **values)


def _place_of(hit: Hit) -> tuple[str, dict[str, Any]]:
    if hit.noun in _TO_ONE and hit.leads:
        endpoint, variable = _TO_ONE[hit.noun]
        return endpoint, {variable: hit.leads}
    if hit.noun in ("look", "finding"):
        return "part_story.story", {"part_id": hit.part, "entry": hit.leads, "_anchor": f"e-{hit.leads}"}
    if hit.noun in _OF_A_SET:
        return _OF_A_SET[hit.noun], {"line_set_id": hit.line_set}
    if hit.noun in _TO_ALL:
        return _TO_ALL[hit.noun], {}
    if hit.noun == "part":
        return "part.one", {"part_id": hit.part}
    if hit.part:
        return "part_story.story", {"part_id": hit.part}
    if hit.line_set:
        return "line_set.one", {"line_set_id": hit.line_set}
    return "house.one", {}
