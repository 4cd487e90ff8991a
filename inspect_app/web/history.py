"""The history of a house for whoever comes to inspect it: before you climb, blind spots, changes, wear, recurrence."""

from collections.abc import Mapping
from datetime import date
from typing import Any, NamedTuple

from flask import Blueprint, Response, current_app, g, render_template, request, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup

from inspect_app import clock
from inspect_app.actions.before_climb import BeforeClimb, before_climb
from inspect_app.actions.calendar import HouseCalendar
from inspect_app.actions.changes import Since, changes_since, since_day, since_walk, usual_since
from inspect_app.actions.history import (
    COLUMNS,
    BlindRow,
    Patterns,
    blind_rows,
    counts_of,
    grouped_blind,
    kinds_in,
    patterns_of,
    recurring_of,
    select_blind,
    wear_rows,
)
from inspect_app.domain.blind_filter import (
    SHOW_CHOICES,
    SINCE_CHOICES,
    SORT_CHOICES,
    BlindWanted,
    blind_wanted,
    check_day,
)
from inspect_app.domain.blind_spot import BLIND_MEANING, BLIND_TITLES, BlindKind, PartRecord
from inspect_app.domain.changes import CHANGE_ORDER, CHANGE_TITLES, ChangeKind, grouped
from inspect_app.domain.errors import BadValue, NotFound
from inspect_app.domain.part import PartKind
from inspect_app.domain.part_kind import KIND_WORDS
from inspect_app.domain.tag_runs import runs_of
from inspect_app.domain.wear_list import NEARNESS_TITLES, Nearness, WearRow
from inspect_app.output.register_file import write_register
from inspect_app.output.sparkline import measures_svg, ratings_svg
from inspect_app.output.svg import as_markup
from inspect_app.store.blind_spot import list_part_records
from inspect_app.store.house import list_line_sets
from inspect_app.store.point_clock import zone_of
from inspect_app.store.walk import list_walks
from inspect_app.web.access import may_open, permission
from inspect_app.web.calendar_cache import calendar_of
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.house_cache import HouseCache

blueprint = Blueprint("history", __name__, url_prefix="/houses/<house_id>")
NAV = (("Before you climb", "history.before", "walk.view"),)
PAGES_HERE = (
    ("Before you climb", "history.before"),
    ("Since last time", "history.since"),
    ("What wears", "history.wear"),
    ("What keeps coming back", "history.recurring"),
    ("Blind spots", "history.blind"),
    ("Wells, habits and points", "history.patterns"),
)

_kept: HouseCache[BeforeClimb] = HouseCache()
_records: HouseCache[dict[str, PartRecord]] = HouseCache()
_patterns: HouseCache[Patterns] = HouseCache()

# noun of a line -> page of one with the name of its variable, else the page of all, and what stands in its query
_PAGES: Mapping[str, tuple[str, str, str, Mapping[str, str]]] = {
    "deficiency": ("deficiency.one", "deficiency_id", "register.index", {}),
    "deficiencies": ("", "", "register.index", {}),
    "overdue": ("", "", "register.index", {"overdue": "yes"}),
    "register": ("", "", "register.index", {}),
    "figures": ("", "", "register.figures", {}),
    "tag_out": ("tag_out.one", "tag_out_id", "tag_out.index", {}),
    "tag_outs": ("", "", "tag_out.index", {}),
    "restriction": ("", "", "restriction.index", {}),
    "part": ("part.one", "part_id", "part.shelf", {}),
    "event": ("event.one", "event_id", "event.index", {}),
    "walk": ("walk.one", "walk_id", "walk.index", {}),
    "walks": ("", "", "walk.index", {}),
    "reports": ("", "", "report.shelf", {}),
    "checklist": ("checklist.one", "slug", "checklist.shelf", {}),
    "criteria": ("", "", "criteria.shelf", {}),
    "interval": ("", "", "interval.shelf", {}),
    "gauge": ("", "", "gauge.shelf", {}),
    "house": ("", "", "house.one", {}),
    "line_set": ("line_set.one", "line_set_id", "line_set.shelf", {}),
    "line_sets": ("", "", "line_set.shelf", {}),
    "calendar": ("", "", "calendar.year", {}),
    "since": ("", "", "history.since", {}),
    "wear": ("", "", "history.wear", {}),
    "recurring": ("", "", "history.recurring", {}),
    "blind_spots": ("", "", "history.blind", {}),
    "patterns": ("", "", "history.patterns", {}),
    "plan": ("", "", "plan.plan", {"show": "blind"}),
    **{f"blind:{kind.value}": ("", "", "history.blind", {"show": kind.value}) for kind in BlindKind},
}


def address_of(about: tuple[str, str]) -> str:
    """The page that a line leads to, '' when there is none or the person may not open it."""
    noun, key = about
    if noun in set(PartKind):
        return url_for("part.shelf", house_id=g.house.id, kind=noun) if may_open("part.shelf") else ""
    single, variable, shelf, query = _PAGES.get(noun, ("", "", "", {}))
    endpoint = single if key and single else shelf
    if endpoint not in current_app.view_functions or not may_open(endpoint):
        return ""
    values: dict[str, Any] = {variable: key} if endpoint == single else dict(query)
    return url_for(endpoint, house_id=g.house.id, **values)


def _calendar() -> HouseCalendar:
    return calendar_of(get_db(), get_settings(), g.house, clock.now())


def _today() -> date:
    return clock.now().astimezone(zone_of(g.house.tz)).date()


def _page(template: str, **values: Any) -> str:
    return render_template(
        f"history/{template}.html", pages=[row for row in PAGES_HERE if may_open(row[1])], address=address_of, **values
    )


@blueprint.get("/before-you-climb")
@permission("walk.view")
def before(house_id: str) -> str:
    """Everything that an inspector new to the house asks first, each answer one tap from the whole of it."""
    db, settings = get_db(), get_settings()
    page = _kept.get(db, settings, g.house, clock.now(), lambda: before_climb(db, settings, g.house, _calendar()))
    return _page("before", page=page)


def _blind_rows(calendar: HouseCalendar, since: date | None) -> list[BlindRow]:
    db, house = get_db(), g.house
    known = _records.get(db, get_settings(), house, clock.now(), lambda: list_part_records(db, house.id))
    return blind_rows(db, house, calendar, since, known)


class _Choices(NamedTuple):
    """What the filter of the blind spots offers."""

    line_sets: list[tuple[str, str]]
    parts: list[tuple[str, str]]
    wells: list[tuple[str, str]]


def _choices(rows: list[BlindRow]) -> _Choices:
    sets = {row.line_set.id: row.line_set.number for row in rows if row.line_set}
    kinds = {row.part.kind.value: KIND_WORDS[row.part.kind].many for row in rows}
    wells = {row.part.well: row.well for row in rows if row.part.well}
    return _Choices(list(sets.items()), sorted(kinds.items(), key=lambda one: one[1]), sorted(wells.items()))


def _wanted() -> tuple[BlindWanted, str]:
    try:
        return blind_wanted(request.args.to_dict(), _today()), ""
    except BadValue as error:
        return BlindWanted(), error.message


@blueprint.get("/blind-spots")
@permission("walk.view")
def blind(house_id: str) -> ResponseReturnValue:
    """Which parts nobody has reached, or had a hand on, since a day."""
    wanted, problem = _wanted()
    calendar = _calendar()
    since = wanted.since_day(calendar.today)
    rows = _blind_rows(calendar, since)
    found = select_blind(rows, wanted)
    groups = [(head, kinds_in(group), group) for head, group in grouped_blind(found, wanted.sort)]
    page = _page(
        "blind",
        wanted=wanted,
        problem=problem,
        since=since,
        counts=counts_of(rows),
        overdue=sum(bool(row.overdue) for row in rows),
        total=len(rows),
        matching=len(found),
        groups=groups,
        choices=_choices(rows),
        since_choices=SINCE_CHOICES.items(),
        shows=SHOW_CHOICES.items(),
        sorts=SORT_CHOICES.items(),
        titles=BLIND_TITLES,
        meaning=BLIND_MEANING,
        kind_words=KIND_WORDS,
        given=request.args,
    )
    return page, 422 if problem else 200


@blueprint.get("/blind-spots.csv")
@permission("walk.view")
def blind_file(house_id: str) -> Response:
    """The rows that the filter leaves, as a file. Raises BadValue for a filter that cannot be read."""
    calendar = _calendar()
    wanted = blind_wanted(request.args.to_dict(), calendar.today)
    rows = select_blind(_blind_rows(calendar, wanted.since_day(calendar.today)), wanted)
    table = [list(COLUMNS), *(row.cells for row in rows)]
    response = Response(write_register(table, "csv", "Blind spots"), mimetype="text/csv; charset=utf-8")
    name = "".join(sign if sign.isascii() and sign.isalnum() else "-" for sign in g.house.name)[:60]
    response.headers["Content-Disposition"] = f'attachment; filename="blind-spots-{name}-{calendar.today}.csv"'
    return response


@blueprint.get("/blind-spots/patterns")
@permission("walk.view")
def patterns(house_id: str) -> ResponseReturnValue:
    """Which wells are skipped, what one person marks sound in a full minute, and points never answered."""
    text = request.args.get("stops", "").strip()
    problem = "" if not text or (text.isascii() and text.isdigit() and 0 < len(text) < 4) else "Write a whole number."
    db, settings, house = get_db(), get_settings(), g.house
    found = _patterns.get(db, settings, house, clock.now(), lambda: patterns_of(db, settings, house))
    more_than = int(text) if text and not problem else found.usual
    lists: dict[str, list[Any]] = {}
    for one in found.unanswered:
        lists.setdefault(one.checklist, []).append((one, KIND_WORDS[one.kind].many, runs_of(p.tag for p in one.parts)))
    page = _page(
        "patterns", found=found, lists=lists, problem=problem, typed=text or str(more_than), more_than=more_than,
        sound=found.sound(more_than),
    )  # fmt: skip
    return page, 422 if problem else 200


def _since(house_id: str) -> Since:
    """Since which walk or day. Raises BadValue on a day that cannot be read, NotFound on a walk of no such house."""
    db, walk, day = get_db(), request.args.get("walk", ""), request.args.get("since", "").strip()
    if day:
        return since_day(check_day(day, _today(), "since"), zone_of(g.house.tz))
    if walk:
        row = next((row for row in list_walks(db, house_id) if row.walk.id == walk), None)
        if row is None:
            raise NotFound("There is no such walk in this house.")
        return since_walk(row, zone_of(g.house.tz))
    return usual_since(db, get_settings(), house_id, _today())


@blueprint.get("/since")
@permission("walk.view")
def since(house_id: str) -> ResponseReturnValue:
    """What is new, worse, better, repaired, replaced or altered since an earlier walk or day, by set."""
    db, problem = get_db(), ""
    try:
        chosen = _since(house_id)
    except BadValue as error:
        chosen, problem = usual_since(db, get_settings(), house_id, _today()), error.message
    changes = changes_since(db, house_id, chosen, _today())
    kind = request.args.get("kind", "")
    counts = {one: sum(change.kind is one for change in changes) for one in ChangeKind}
    wanted = [one for one in changes if kind not in set(ChangeKind) or one.kind.value == kind]
    sets = [(one.id, f"Set {one.number}") for one in list_line_sets(db, house_id, retired=True)]
    page = _page(
        "since",
        chosen=chosen,
        problem=problem,
        given=request.args,
        counts=[(one, count) for one, count in counts.items() if count],
        kind=kind,
        titles=CHANGE_TITLES,
        order=CHANGE_ORDER,
        groups=grouped(wanted, sets),
        total=len(changes),
        walks=list_walks(db, house_id),
        today=_today(),
    )
    return page, 422 if problem else 200


class ShownWear(NamedTuple):
    """One row of what wears with its small picture."""

    row: WearRow
    picture: Markup


@blueprint.get("/wear")
@permission("walk.view")
def wear(house_id: str) -> str:
    """Every measure and rating with a direction, nearest date first."""
    groups = [
        (nearness, [_shown(f"{nearness.value}-{n}", row) for n, row in enumerate(rows)])
        for nearness, rows in wear_rows(get_db(), get_settings(), g.house)
    ]
    folded = {Nearness.MOVES, Nearness.STILL}
    return _page("wear", groups=groups, titles=NEARNESS_TITLES, folded=folded, today=_today())


def _shown(key: str, row: WearRow) -> ShownWear:
    svg = measures_svg(row.outlook, key) if row.outlook else ratings_svg(row.ratings, key, row.title)
    return ShownWear(row, as_markup(svg))


@blueprint.get("/recurring")
@permission("walk.view")
def recurring(house_id: str) -> str:
    """Faults found again after they were settled, and one defect on several sister parts."""
    many = {kind.value: words.many for kind, words in KIND_WORDS.items()}
    return _page("recurring", found=recurring_of(get_db(), get_settings(), house_id), many=many)
