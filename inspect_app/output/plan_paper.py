"""Plan and section on landscape paper as HTML and PDF, each on a sheet with its legend, its date and what it shows."""

import json
from collections.abc import Callable, Mapping
from dataclasses import asdict
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from inspect_app.domain.plan import Plan, PlanMark, PlanSet, PlanWell
from inspect_app.domain.section import section_of
from inspect_app.output.fonts import printable
from inspect_app.output.plan import plan_svg
from inspect_app.output.plan_frame import PlanSize
from inspect_app.output.plan_pen import Style
from inspect_app.output.section import section_svg
from inspect_app.output.svg import as_markup

KIND = "plan_paper"
PLAN_SIZES: Mapping[str, PlanSize] = {"A4": PlanSize(270, 170), "Letter": PlanSize(252, 176)}
_PAGES: Mapping[str, str] = {"A4": "A4 landscape", "Letter": "letter landscape"}


def plan_data(plan: Plan, legend: tuple[tuple[str, str], ...], facts: Mapping[str, Any]) -> bytes:
    """The document as JSON for the render process. `facts` are says, house, demo, as_of, made_local, printed_by."""
    return json.dumps({"plan": asdict(plan) | _marks(plan), "legend": legend, **facts}, ensure_ascii=False).encode()


def _marks(plan: Plan) -> dict[str, Any]:
    """Named tuples as lists; asdict leaves them as they are, and JSON would as well."""
    return {"levels": [list(level) for level in plan.levels]}


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
    environment = Environment(
        loader=PackageLoader("inspect_app.output", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=lambda value: printable(value) if isinstance(value, str) and not isinstance(value, Markup) else value,
    )
    plan, size = plan_from(document["plan"]), PLAN_SIZES[paper]
    style = Style(legend=tuple((code, words) for code, words in document["legend"]))
    side = section_svg(section_of(plan, f"Section: {plan.title}"), size.width_mm, size.height_mm, style)
    sheets = [
        {"title": f"Plan: {plan.title}", "svg": as_markup(printable(plan_svg(plan, size, style)))},
        {"title": f"Section: {plan.title}", "svg": as_markup(printable(side))},
    ]
    return environment.get_template("plan_paper.html").render(**document, title=f"Plan: {plan.title}", sheets=sheets)


def render_plan_paper(data: bytes, paper: str, made_at: str, say: Callable[[str], None]) -> bytes:
    """The PDF of plan and section on landscape A4 or Letter. Equal input gives equal bytes."""
    from weasyprint import CSS, HTML

    from inspect_app.output.pdf import OnlyFromMemory

    say("Drawing plan and section")
    document = json.loads(data)
    document["made_at"] = made_at
    fetcher = OnlyFromMemory({})
    css = (files("inspect_app.output") / "templates" / "plan_paper.css").read_text(encoding="utf-8")
    sheets = [
        CSS(string=text, base_url="app:", url_fetcher=fetcher) for text in (css, f"@page {{ size: {_PAGES[paper]} }}")
    ]
    html = HTML(string=plan_html(document, paper), base_url="app:", url_fetcher=fetcher)
    return bytes(html.write_pdf(stylesheets=sheets, pdf_variant="pdf/ua-1"))
