"""The story of a part's life, and that of a whole set: one list, newest first, with a picture and photos compared."""

from collections.abc import Mapping
from datetime import date, tzinfo
from typing import Any

from flask import Blueprint, g, render_template, request

from inspect_app.domain.event import KIND_TITLES as EVENT_TITLES
from inspect_app.domain.house import LineSet
from inspect_app.domain.part import Life, Part
from inspect_app.domain.part_kind import kind_title
from inspect_app.domain.part_life_story import (
    KIND_TITLES,
    Chapter,
    StoryItem,
    StoryKind,
    by_part,
    chapters_of,
    life_items,
    look_item,
    newest_first,
    only,
    pair_of,
    photos_of,
    years_of,
)
from inspect_app.output.story_picture import story_svg
from inspect_app.output.svg import as_markup
from inspect_app.store.accepted_condition import list_accepted
from inspect_app.store.changes import list_accepted_times
from inspect_app.store.event import list_events
from inspect_app.store.event_hold import list_aftermaths
from inspect_app.store.house import get_line_set
from inspect_app.store.measure_history import list_outlooks
from inspect_app.store.part import get_part, list_lives, list_part_changes, list_parts
from inspect_app.store.part_story import list_look_places
from inspect_app.store.point_clock import zone_of
from inspect_app.store.walk_look import list_looks_of_part
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.deficiency_story import Told, story_of_parts
from inspect_app.web.house_form import today
from inspect_app.web.measure_history import shown_measures, trend_method
from inspect_app.web.part import change_words

blueprint = Blueprint("part_story", __name__, url_prefix="/houses/<house_id>")
PER_PAGE = 80
NARROW, WIDE = 340.0, 860.0


@blueprint.get("/parts/<part_id>/story")
@permission("walk.view")
def story(house_id: str, part_id: str) -> str:
    """Everything recorded about one part, life by life."""
    part = get_part(get_db(), house_id, part_id)
    lives = list_lives(get_db(), house_id, part_id)
    return _page([part], part=part, title=f"{part.tag}: {kind_title(part.kind)}", lives=lives)


@blueprint.get("/line-sets/<line_set_id>/story")
@permission("walk.view")
def set_story(house_id: str, line_set_id: str) -> str:
    """Everything recorded about all the parts of a set."""
    line_set = get_line_set(get_db(), house_id, line_set_id)
    parts = list_parts(get_db(), house_id, line_set=line_set_id, retired=True)
    title = f"Set {line_set.number}" + (f": {line_set.label}" if line_set.label else "")
    return _page(parts, line_set=line_set, title=title, lives=[])


def _page(
    parts: list[Part], *, title: str, lives: list[Life], part: Part | None = None, line_set: LineSet | None = None
) -> str:
    zone = zone_of(g.house.tz)
    items = _items(parts, line_set, zone)
    kind, year, wanted = _kind(), request.args.get("year", type=int), request.args.get("entry", "")
    shown = newest_first(only(items, kind, year, zone))
    page, last = _page_of(shown, wanted)
    kept = shown[PER_PAGE * (page - 1) : PER_PAGE * page]
    chapters = chapters_of(kept, lives, zone) if part else (Chapter(None, "", kept),)
    photos = photos_of(items)
    return render_template(
        "part_story/page.html",
        part=part,
        line_set=line_set,
        title=title,
        total=len(items),
        matching=len(shown),
        chapters=[one for one in chapters if one.items],
        pictures=_pictures(items, zone, today()),
        kind=kind,
        kinds=[(one, words) for one, words in KIND_TITLES.items() if any(one in item.kinds for item in items)],
        year=year,
        years=years_of(items, zone),
        page=page,
        last=last,
        photos=photos,
        photos_by_part=by_part(photos),
        pair=pair_of(photos, request.args.get("older", ""), request.args.get("newer", "")),
        measures=shown_measures(list_outlooks(get_db(), g.house.id, part.id)) if part else [],
        trend_method=trend_method(),
        stations=(),
        tags={item.entry: item.at for item in items if item.entry},
        wanted=wanted,
    )


def _kind() -> StoryKind | None:
    typed = request.args.get("kind", "")
    return StoryKind(typed) if typed in set(StoryKind) else None


def _page_of(shown: tuple[StoryItem, ...], wanted: str) -> tuple[int, int]:
    """Which page to show, that of a wanted entry if one is named, and the last one."""
    last = max(-(-len(shown) // PER_PAGE), 1)
    at = next((n for n, item in enumerate(shown) if wanted and item.entry == wanted), None)
    page = at // PER_PAGE + 1 if at is not None else request.args.get("page", 1, type=int)
    return max(1, min(page, last)), last


def _pictures(items: list[StoryItem], zone: tzinfo, until: date) -> tuple[Any, Any]:
    """The same picture for a phone and for a desk; the style sheet shows one."""
    return (
        as_markup(story_svg(items, zone, "narrow", width=NARROW, until=until)),
        as_markup(story_svg(items, zone, "wide", width=WIDE, until=until)),
    )


def _items(parts: list[Part], line_set: LineSet | None, zone: tzinfo) -> list[StoryItem]:
    db, house, items = get_db(), g.house.id, []
    for part in parts:
        places, tag = list_look_places(db, house, part.id), part.tag if line_set else ""
        items += [look_item(look, places[look.entry], tag, zone) for look in list_looks_of_part(db, house, part.id)]
        items += life_items(list_lives(db, house, part.id), zone, part.id, tag)
        items += _changes(part, tag)
    items += [_told(one) for one in story_of_parts(db, house, parts, line_set.id if line_set else "")]
    sets = {line_set.id} if line_set else {part.line_set for part in parts if part.line_set}
    return items + _accepted({part.id: part.tag for part in parts}) + _events(sets)


def _changes(part: Part, tag: str) -> list[StoryItem]:
    found = []
    for row in list_part_changes(get_db(), g.house.id, part.id):
        one = change_words(part.kind, row)
        head = f"{one.what.replace('_', ' ').capitalize()}: {one.old or 'not recorded'} → {one.new or 'not recorded'}"
        found.append(StoryItem(one.at, frozenset({StoryKind.CHANGE}), head, one.reason, one.by, part.id, tag))
    return found


def _events(sets: set[str]) -> list[StoryItem]:
    """What happened to a set: also what held nothing, which no stop tells."""
    db, house = get_db(), g.house.id
    after = list_aftermaths(db, house)
    return [
        StoryItem(
            one.at, frozenset({StoryKind.EVENT, StoryKind.STOP}), EVENT_TITLES[one.kind], one.what, one.by_name,
            tag=one.scope, facts=() if one.withdrawn else (("Since", after[one.id].words),), leads=("event", one.id),
            marks=("withdrawn, recorded by mistake",) if one.withdrawn else (), gone=one.withdrawn is not None,
        )
        for one in list_events(db, house) if one.line_set in sets
    ]  # fmt: skip


def _accepted(tags: Mapping[str, str]) -> list[StoryItem]:
    db, house, found = get_db(), g.house.id, []
    times = list_accepted_times(db, house)
    for one in list_accepted(db, house, ended_too=True):
        at, ended = times.get(one.id, (None, None))
        if one.part not in tags or at is None:
            continue
        facts = (("By", one.accepted_by), ("To be reviewed by", one.review_by), ("Paper", one.paper))
        kinds, tag = frozenset({StoryKind.LIMIT}), tags[one.part] if len(tags) > 1 else ""
        kept = tuple(pair for pair in facts if pair[1])
        found.append(StoryItem(at, kinds, f"Accepted: {one.what}", one.reason, "", one.part, tag, facts=kept))
        if ended is not None:
            found.append(StoryItem(ended, kinds, "No longer accepted", one.ended_why, "", one.part, tag))
    return found


_TOLD_KINDS = {
    "deficiency": StoryKind.DEFICIENCY, "tag_out": StoryKind.STOP, "restriction": StoryKind.LIMIT,
    "part": StoryKind.LIMIT,
}  # fmt: skip


def _told(one: Told) -> StoryItem:
    kinds = frozenset({_TOLD_KINDS.get(one.leads[0], StoryKind.DEFICIENCY)})
    about = one.about if one.leads[0] != "part" else ""
    facts = (*one.facts, ("File", one.file.name)) if one.file else one.facts
    return StoryItem(
        one.at, kinds, one.head or "Remark", one.text, one.who, tag=about, facts=facts, grade=one.grade,
        leads=one.leads, gone=one.withdrawn,
    )  # fmt: skip
