"""Paper on its way to whoever asked for it: what all of it says, the page of its progress, and the PDF."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from flask import Blueprint, flash, g, make_response, redirect, render_template, request, send_file, url_for
from flask.typing import ResponseReturnValue

from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.output.paper_page import PAPERS
from inspect_app.output.render import RenderJob
from inspect_app.web.access import permission
from inspect_app.web.filters import local_time
from inspect_app.web.house_form import units
from inspect_app.web.sheet_job import TIME_LIMIT_S, SheetJob, find_sheet, start_sheet

blueprint = Blueprint("printing", __name__, url_prefix="/houses/<house_id>/printing")


def usual_paper() -> str:
    """The paper that is usual where the house's units are."""
    return "Letter" if units() == "imperial" else "A4"


def asked_paper() -> str:
    """The paper that the address asks for, or the usual one. Raises BadValue."""
    asked = request.args.get("paper") or usual_paper()
    if asked not in PAPERS:
        raise BadValue(f"There is no paper “{asked[:20]}”. Choose A4 or Letter.", "paper")
    return asked


def paper_facts(at: datetime) -> dict[str, Any]:
    """What every paper says of itself: house, demo, made_local and printed_by."""
    return {"house": g.house.name, "demo": g.house.demo, "made_local": local_time(at), "printed_by": g.person.name}


def print_paper(
    kind: str,
    name: str,
    data: bytes,
    at: datetime,
    back: str,
    *,
    paper: str = "",
    photos: Mapping[str, bytes] | None = None,
    time_limit_s: float = TIME_LIMIT_S,
) -> ResponseReturnValue:
    """Begin a paper of a kind that output/worker.py knows and lead to its progress; while too many wait, back.

    Its file is named `name` and the day of `at` in the house.
    """
    task = RenderJob(data, photos or {}, paper or usual_paper(), at.isoformat(timespec="seconds"), kind)
    dated = f"{name}-{local_time(at)[:10]}"
    try:
        job = start_sheet(g.house.id, g.person.id, dated, task, back, time_limit_s)
    except Conflict as error:
        flash(error.message)
        return redirect(back, 303)
    return redirect(url_for("printing.progress", house_id=g.house.id, job_id=job.id), 303)


def progress_page(template: str, running: bool, ready: str, **facts: Any) -> ResponseReturnValue:
    """A page that asks again each second while `running`, then opens `ready`, unless that is empty."""
    response = make_response(render_template(template, ready=ready, **facts))
    response.headers["Cache-Control"] = "no-store"
    if running:
        response.headers["Refresh"] = "1"
    elif ready:
        response.headers["Refresh"] = f"0; url={ready}"
    return response


@blueprint.get("/<job_id>")
@permission("house.view")
def progress(house_id: str, job_id: str) -> ResponseReturnValue:
    """How far the paper is; the page asks again each second and opens the PDF when it is ready."""
    job = _job(house_id, job_id)
    ready = url_for("printing.pdf", house_id=house_id, job_id=job.id) if job.content is not None else ""
    return progress_page("printing/progress.html", job.running, ready, job=job)


@blueprint.get("/<job_id>.pdf")
@permission("house.view")
def pdf(house_id: str, job_id: str) -> ResponseReturnValue:
    """Paper that is ready."""
    job = _job(house_id, job_id)
    if job.content is None:
        return redirect(url_for("printing.progress", house_id=house_id, job_id=job_id), 303)
    answer = send_file(job.stream(), mimetype="application/pdf", download_name=f"{job.name}.pdf")
    answer.headers["Cache-Control"] = "private, no-cache"
    return answer


def _job(house_id: str, job_id: str) -> SheetJob:
    job = find_sheet(house_id, g.person.id, job_id)
    if job is None:
        raise NotFound("This paper is not kept any more. Ask for it again.")
    return job
