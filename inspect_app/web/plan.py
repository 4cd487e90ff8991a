"""Plan and section of the house as pictures, with the same facts as a table: by view, by year, on screen, on paper."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from typing import NamedTuple

from flask import Blueprint, g, render_template, request, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup

from inspect_app import clock
from inspect_app.actions.plan import PlanRecord, plan_record
from inspect_app.domain.line_set import KIND_WORDS
from inspect_app.domain.part import Part
from inspect_app.domain.plan import BLOCKS, Plan, column_of
from inspect_app.domain.plan_house import kind_words, plan_of_house, without_links
from inspect_app.domain.plan_view import QUIET, VIEW_TITLES, VIEWS, Mark, PlanFacts, View
from inspect_app.domain.section import section_of
from inspect_app.output.plan import LINE_STYLES, plan_svg
from inspect_app.output.plan_frame import PlanSize
from inspect_app.output.plan_marks import mark_picture
from inspect_app.output.plan_paper import KIND, plan_data
from inspect_app.output.plan_pen import Style
from inspect_app.output.section import section_svg
from inspect_app.output.svg import as_markup
from inspect_app.store.point_clock import zone_of
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.house_cache import HouseCache
from inspect_app.web.printing import paper_facts, print_paper

blueprint = Blueprint("plan", __name__, url_prefix="/houses/<house_id>")
NAV = (("Plan", "plan.plan", "walk.view"),)
SCREEN, SMALL = PlanSize(270, 170), PlanSize(190, 136, names_mm=2, column_mm=4.4, head_mm=12, foot_mm=2)
SIDE = (270.0, 150.0)
TIME_LIMIT_S = 120.0  # a thousand marks on two sheets take some ten seconds on a slow machine
NOT_PAST = frozenset({"blind"})  # views that are worked out for today only

Said = list[tuple[str, list[Part]]]  # (words, the parts they are said of)

_kept: HouseCache[PlanRecord] = HouseCache()


class Chosen(NamedTuple):
    """What the address asks for: the view, the year (0 for today) with its facts, and what is to be framed."""

    view: View
    year: int
    facts: PlanFacts
    record: PlanRecord
    found: str


class TableRow(NamedTuple):
    """A set, or the parts of no set, with its parts by what is said of them, gravest first.

    `quiet` are those with nothing to act on, `quiet_words` says how many of them there are.
    """

    set_id: str
    number: str
    label: str
    kind: str
    stopped: tuple[str, ...]
    said: Said
    quiet: Said
    quiet_words: str


def _record() -> PlanRecord:
    db, at = get_db(), clock.now()
    today = at.astimezone(zone_of(g.house.tz)).date()
    return _kept.get(db, get_settings(), g.house, at, partial(plan_record, db, g.house, today))


def _chosen() -> Chosen:
    record, key = _record(), request.args.get("show", "condition")
    key = key if key in VIEWS else "condition"
    text = request.args.get("year", "")
    year = int(text) if text.isascii() and text.isdigit() and len(text) == 4 else 0
    year = year if year in record.years and key not in NOT_PAST else 0
    facts = record.years[year] if year else record.now
    return Chosen(VIEWS[key](facts), year, facts, record, request.args.get("part") or request.args.get("set") or "")


def _plan(chosen: Chosen) -> Plan:
    title = f"{chosen.view.title}, {_as_of(chosen)}"
    return plan_of_house(chosen.record.inventory, chosen.view.mark_of, chosen.facts.stopped, title)


def _as_of(chosen: Chosen) -> str:
    return f"end of {chosen.year}" if chosen.year else str(chosen.facts.day)


@blueprint.get("/plan")
@permission("walk.view")
def plan(house_id: str) -> str:
    """The grid from above."""
    chosen = _chosen()
    made = _plan(chosen)
    style = _style(chosen, made)
    return _page(chosen, "Plan", "plan.plan", plan_svg(made, SCREEN, style))


@blueprint.get("/section")
@permission("walk.view")
def section(house_id: str) -> str:
    """The house from the side."""
    chosen = _chosen()
    made = _plan(chosen)
    picture = section_svg(section_of(made, f"Section: {made.title}"), *SIDE, _style(chosen, made))
    return _page(chosen, "Section", "plan.section", picture)


def _style(chosen: Chosen, made: Plan) -> Style:
    return Style(chosen.view.legend, legend_inside=False, linked=True, shared_shapes=True, found=_found(chosen, made))


def _found(chosen: Chosen, made: Plan) -> frozenset[str]:
    """What is framed: the part asked for, or the mark that stands for it where it is drawn with others."""
    part = next((one for one in chosen.record.inventory.parts if one.id == chosen.found), None)
    if part is None or part.line_set is None or part.kind.value in BLOCKS:
        return frozenset({chosen.found})
    column = column_of(part.kind.value)
    told = next((one.rest[column].part for one in made.sets if one.id == part.line_set and column in one.rest), "")
    return frozenset({chosen.found, told})


def _page(chosen: Chosen, title: str, here: str, picture: str) -> str:
    asked = next((one for one in chosen.record.inventory.parts if one.id == chosen.found), None)
    asked_set = next((one for one in chosen.record.inventory.line_sets if one.id == chosen.found), None)
    side_by_side = request.args.get("years") == "all" and chosen.view.key not in NOT_PAST and here == "plan.plan"
    return render_template(
        "plan/one.html",
        title=title,
        here=here,
        view=chosen.view,
        views=VIEW_TITLES,
        year=chosen.year,
        years=[] if chosen.view.key in NOT_PAST else list(chosen.record.years),
        as_of=_as_of(chosen),
        picture=as_markup(picture),
        legend=[(as_markup(mark_picture(code, "")), words) for code, words in chosen.view.legend],
        kinds=[LINE_STYLES[one][1] for one in dict.fromkeys(s.kind.value for s in chosen.record.inventory.line_sets)],
        rows=_table(chosen),
        asked=f"{asked.tag}, {kind_words(asked.kind.value)}"
        if asked
        else f"Set {asked_set.number}"
        if asked_set
        else "",
        found=chosen.found if asked or asked_set else "",
        small=_small(chosen) if side_by_side else [],
        side_by_side=side_by_side,
    )


def _small(chosen: Chosen) -> list[tuple[str, Markup]]:
    """One small picture for each year and for today, all to the same scale."""
    shown: dict[str, PlanFacts] = {f"End of {year}": facts for year, facts in chosen.record.years.items()}
    shown[f"Today, {chosen.record.now.day}"] = chosen.record.now
    found = []
    for n, (words, facts) in enumerate(shown.items()):
        view = VIEWS[chosen.view.key](facts)
        made = plan_of_house(chosen.record.inventory, view.mark_of, facts.stopped, f"{view.title}, {words}")
        style = Style(view.legend, legend_inside=False, shared_shapes=True, prefix=f"y{n}-", bare=True)
        found.append((words, as_markup(plan_svg(_bare(made), SMALL, style))))
    return found


def _bare(made: Plan) -> Plan:
    """The sets with their blocks and columns: the same places in each picture, so that what changes shows."""
    return replace(without_links(made), strip=(), unplaced=(), fixtures=())


def _table(chosen: Chosen) -> list[TableRow]:
    """Every part of the house with what is said of it, by set; the parts of no set last."""
    by_set: dict[str, dict[Mark, list[Part]]] = {}
    for part in chosen.record.inventory.parts:
        if part.retired_on is None:
            by_set.setdefault(part.line_set or "", {}).setdefault(chosen.view.mark_of(part.id), []).append(part)
    rows = [
        TableRow(one.id, one.number, one.label, KIND_WORDS[one.kind], chosen.facts.stopped.get(one.id, ()),
                 *_said(by_set.get(one.id, {}), chosen.view))
        for one in sorted(chosen.record.inventory.line_sets, key=lambda one: one.sort_key)
        if one.retired_on is None
    ]  # fmt: skip
    return [*rows, TableRow("", "", "", "", (), *_said(by_set.get("", {}), chosen.view))]


def _said(groups: Mapping[Mark, list[Part]], view: View) -> tuple[Said, Said, str]:
    """What is said of parts, what is said of those with nothing to act on, and how many the latter are.

    They are counted by the words of the legend: looked at and not looked at are never counted together.
    """
    in_legend = dict(reversed(view.legend))  # of two words for one mark the first
    counts = Counter[str]()
    marks = sorted(groups, key=lambda mark: (mark.rank, mark.words))
    quiet = [mark for mark in marks if mark.rank >= QUIET]
    for mark in quiet:
        counts[in_legend.get(mark.code, mark.words)] += len(groups[mark])
    told = [(mark.words, groups[mark]) for mark in marks if mark.rank < QUIET]
    return told, [(mark.words, groups[mark]) for mark in quiet], "; ".join(f"{w}: {n}" for w, n in counts.items())


@blueprint.get("/plan/paper")
@permission("walk.view")
def paper(house_id: str) -> ResponseReturnValue:
    """Print plan and section of a view on the house's size of paper, landscape."""
    chosen, at = _chosen(), clock.now()
    facts = paper_facts(at) | {"says": chosen.view.says, "as_of": _as_of(chosen)}
    back = url_for("plan.plan", house_id=house_id, show=chosen.view.key, year=chosen.year or None)
    data = plan_data(_plan(chosen), chosen.view.legend, facts)
    return print_paper(KIND, "plan-and-section", data, at, back, time_limit_s=TIME_LIMIT_S)
