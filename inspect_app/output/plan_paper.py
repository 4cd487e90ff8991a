"""Plan and section on landscape paper as HTML and PDF, each on a sheet with its legend, its date and what it shows."""

import json
from collections.abc import Callable, Mapping
from dataclasses import asdict
from typing import Any

from inspect_app.domain.plan import Plan, PlanMark, PlanSet, PlanWell
from inspect_app.domain.section import section_of
from inspect_app.output.fonts import printable
from inspect_app.output.paper_page import PAPERS, fill_template, paper_style, write_paper
from inspect_app.output.plan import plan_svg
from inspect_app.output.plan_frame import PLAN_SIZES
from inspect_app.output.plan_pen import Style
from inspect_app.output.section import section_svg
from inspect_app.output.svg import as_markup

KIND = "plan_paper"


def plan_data(plan: Plan, legend: tuple[tuple[str, str], ...], facts: Mapping[str, Any]) -> bytes:
    """The document as JSON for the render process. `facts` are says, house, demo, as_of, made_local, printed_by."""
    return json.dumps({"plan": asdict(plan), "legend": legend, **facts}, ensure_ascii=False).encode()


def plan_from(data: Mapping[str, Any]) -> Plan:
    """The plan of a document, as plan_data wrote it."""
    sets = tuple(
        PlanSet(
            **{
                **one,
                "heads": _of(one["heads"]),
                "lofts": _of(one["lofts"]),
                "rest": {column: PlanMark(*mark) for column, mark in one["rest"].items()},
            }
        )
        for one in data["sets"]
    )
    return Plan(
        title=data["title"],
        datum=data["datum"],
        units=data["units"],
        sets=sets,
        wells=tuple(PlanWell(PlanMark(*mark), lines) for mark, lines in data["wells"]),
        columns=tuple(data["columns"]),
        fixtures=_of(data["fixtures"]),
        strip=_of(data["strip"]),
        unplaced=_of(data["unplaced"]),
        levels=tuple((name, z_mm) for name, z_mm in data["levels"]),
    )


def _of(marks: list[list[Any]]) -> tuple[PlanMark, ...]:
    return tuple(PlanMark(*mark) for mark in marks)


def plan_html(document: Mapping[str, Any], paper: str) -> str:
    """The sheets as HTML; every text is escaped and checked against the typeface."""
    plan, size = plan_from(document["plan"]), PLAN_SIZES[paper]
    style = Style(legend=tuple((code, words) for code, words in document["legend"]))
    side = section_svg(section_of(plan, f"Section: {plan.title}"), size.width_mm, size.height_mm, style)
    sheets = [
        {"title": f"Plan: {plan.title}", "svg": as_markup(printable(plan_svg(plan, size, style)))},
        {"title": f"Section: {plan.title}", "svg": as_markup(printable(side))},
    ]
    return fill_template("plan_paper.html", **document, title=f"Plan: {plan.title}", sheets=sheets)


def render_plan_paper(data: bytes, paper: str, made_at: str, say: Callable[[str], None]) -> bytes:
    """The PDF of plan and section on landscape A4 or Letter. Equal input gives equal bytes."""
    say("Drawing plan and section")
    document = json.loads(data)
    document["made_at"] = made_at
    return write_paper(plan_html(document, paper), paper_style("plan_paper.css"), f"{PAPERS[paper]} landscape")
