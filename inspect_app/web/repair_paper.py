"""Repairs and dates on paper: work orders, the register, the yearly letter to the manager, the plan of the year."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from flask import Blueprint, g, make_response, redirect, render_template, request, send_file, url_for
from flask.typing import ResponseReturnValue

from inspect_app import clock
from inspect_app.actions.work_order import gather_orders
from inspect_app.domain.deficiency_register import RegisterRow, Wanted, select
from inspect_app.domain.errors import BadValue, NotFound
from inspect_app.domain.work_order import CAUTIONS, contractors, doer, is_to_do, order_lines
from inspect_app.output.repair_paper import KIND, PAPERS, paper_data
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.filters import local_time
from inspect_app.web.repair_context import register, today, zone
from inspect_app.web.sheet_job import SheetJob, sheet_desk

blueprint = Blueprint("repair_paper", __name__, url_prefix="/houses/<house_id>/repair-paper")


@blueprint.get("")
@permission("deficiency.view")
def index(house_id: str) -> str:
    """What can be printed about repairs and dates, and for whom there are work orders."""
    return render_template("repair_paper/index.html", contractors=contractors(register(house_id)), paper=_usual_paper())


@blueprint.get("/work-order/<deficiency_id>")
@permission("deficiency.view")
def work_order(house_id: str, deficiency_id: str) -> ResponseReturnValue:
    """Print the work order of one deficiency."""
    rows = [row for row in register(house_id) if row.row.id == deficiency_id]
    if not rows:
        raise NotFound("There is no such deficiency in this house.")
    back = url_for("deficiency.one", house_id=house_id, deficiency_id=deficiency_id)
    return _orders(house_id, rows, rows[0].who, f"work-order-{rows[0].row.number}", back)


@blueprint.get("/work-orders")
@permission("deficiency.view")
def work_orders(house_id: str) -> ResponseReturnValue:
    """Print a work order for all that is given to one contractor, or to one person, and still to do."""
    who = request.args.get("who", "").strip()
    found = [row for row in register(house_id) if doer(row).casefold() == who.casefold() and who and is_to_do(row)]
    if not found:
        raise BadValue("Nothing that is still to do is given to this name. Choose one from the list.", "who")
    rows = select(found, Wanted(state="all"), today())
    name = "".join(sign if sign.isascii() and sign.isalnum() else "-" for sign in who)[:40]
    return _orders(house_id, rows, doer(rows[0]), f"work-orders-{name}", _index(house_id))


def _orders(house_id: str, rows: Sequence[RegisterRow], who: str, name: str, back: str) -> ResponseReturnValue:
    origin = request.host_url.rstrip("/")
    orders, photos = gather_orders(
        get_db(), get_settings(), house_id, rows, zone=zone(), today=today(),
        page_of=lambda key: origin + url_for("deficiency.one", house_id=house_id, deficiency_id=key),
    )  # fmt: skip
    facts = {
        "who": who or "nobody named yet",
        "orders": [asdict(order) for order in orders],
        "lines": [line._asdict() for line in order_lines(orders)],
        "cautions": CAUTIONS,
    }
    return _print("work_order", name, facts, back, photos)


def _index(house_id: str) -> str:
    return url_for("repair_paper.index", house_id=house_id)


def _usual_paper() -> str:
    return "Letter" if g.house.units == "imperial" else "A4"


def _print(
    form: str, name: str, facts: dict[str, Any], back: str, photos: dict[str, bytes] | None = None
) -> ResponseReturnValue:
    paper = request.args.get("paper") or _usual_paper()
    if paper not in PAPERS:
        raise BadValue("There is no such paper. Choose A4 or Letter.", "paper")
    at = clock.now()
    document = {
        "house": g.house.name,
        "demo": g.house.demo,
        "made_local": local_time(at),
        "printed_by": g.person.name,
        **facts,
    }
    job = sheet_desk().start(
        g.house.id, g.person.id, name, paper, paper_data(form, document), at.isoformat(timespec="seconds"), back,
        kind=KIND, photos=photos,
    )  # fmt: skip
    return redirect(url_for("repair_paper.progress", house_id=g.house.id, job_id=job.id), 303)


@blueprint.get("/made/<job_id>")
@permission("deficiency.view")
def progress(house_id: str, job_id: str) -> ResponseReturnValue:
    """How far the paper is; the page asks again each second and opens the PDF when it is ready."""
    job = _job(house_id, job_id)
    ready = url_for("repair_paper.pdf", house_id=house_id, job_id=job.id)
    response = make_response(render_template("repair_paper/progress.html", job=job, ready=ready))
    response.headers["Cache-Control"] = "no-store"
    if job.running:
        response.headers["Refresh"] = "1"
    elif job.content is not None:
        response.headers["Refresh"] = f"0; url={ready}"
    return response


@blueprint.get("/made/<job_id>.pdf")
@permission("deficiency.view")
def pdf(house_id: str, job_id: str) -> ResponseReturnValue:
    """Paper that is ready."""
    job = _job(house_id, job_id)
    if job.content is None:
        return redirect(url_for("repair_paper.progress", house_id=house_id, job_id=job_id), 303)
    answer = send_file(job.stream(), mimetype="application/pdf", download_name=f"{job.sheet}-{job.made_at[:10]}.pdf")
    answer.headers["Cache-Control"] = "private, no-cache"
    return answer


def _job(house_id: str, job_id: str) -> SheetJob:
    job = sheet_desk().find(house_id, g.person.id, job_id)
    if job is None:
        raise NotFound("This paper is not kept any more. Ask for it again.")
    return job
