"""Reports: the list of filed ones, and the PDF of a walk with a page that shows progress while it is being made."""

import io
from pathlib import Path

from flask import Blueprint, g, redirect, render_template, request, send_file, url_for
from flask.typing import ResponseReturnValue

from inspect_app.actions.report import REPORTS, find_filed
from inspect_app.domain.errors import BadValue, Conflict, NotFound
from inspect_app.store.document import get_document_by_id, get_sealed_data, list_documents, list_walk_names
from inspect_app.store.walk import get_walk
from inspect_app.web.access import permission
from inspect_app.web.database import get_db, get_settings
from inspect_app.web.guest_pass import GONE
from inspect_app.web.printing import asked_paper, progress_page
from inspect_app.web.report_job import find_report, start_report

blueprint = Blueprint("report", __name__)
NAV = (("Reports", "report.shelf", "report.view"),)
_PDF = "application/pdf"


@blueprint.get("/houses/<house_id>/reports")
@permission("report.view")
def shelf(house_id: str) -> str:
    """All filed reports of the house, newest first."""
    return render_template(
        "report/shelf.html",
        documents=list_documents(get_db(), house_id)[::-1],
        signed=[walk for walk in list_walk_names(get_db(), house_id) if walk.number],
    )


@blueprint.get("/houses/<house_id>/reports/<document_id>.pdf")
@permission("report.view")
def filed(house_id: str, document_id: str) -> ResponseReturnValue:
    """One filed report by its id, exactly as it was filed."""
    document = get_document_by_id(get_db(), house_id, document_id)
    if document is None:
        raise NotFound("There is no such report in this house.")
    path = get_settings().data / REPORTS / document.file
    if not path.is_file():
        raise Conflict(f"The filed report {document.file} is missing. Restore it from the last backup.")
    return _send(path)


@blueprint.get("/houses/<house_id>/walks/<walk_id>/report.pdf")
@permission("report.view")
def pdf(house_id: str, walk_id: str) -> ResponseReturnValue:
    """The PDF of a walk: sent at once when it is filed, else made while a page shows how far it is."""
    paper = asked_paper()
    _check_walk(house_id, walk_id)
    if g.guest and get_sealed_data(get_db(), house_id, walk_id) is None:
        raise NotFound(GONE)  # a draft is not what a guest was given
    found = find_filed(get_db(), get_settings().data, house_id, walk_id, paper)
    made = find_report(house_id, walk_id, request.args.get("made", ""))
    if found is None and made is not None and made.path is not None and made.paper == paper:
        found = made.path if made.path.is_file() else None
    if found is not None:
        return _send(found)
    job = start_report(house_id, walk_id, paper, g.person.id)
    return redirect(url_for("report.progress", house_id=house_id, walk_id=walk_id, job_id=job.id), 303)


@blueprint.get("/houses/<house_id>/walks/<walk_id>/report/<job_id>")
@permission("report.view")
def progress(house_id: str, walk_id: str, job_id: str) -> ResponseReturnValue:
    """How far a report is; the page asks again each second and opens the PDF when it is ready."""
    _check_walk(house_id, walk_id)
    job = find_report(house_id, walk_id, job_id)
    if job is None:
        raise NotFound("This report is not being made any more. Ask for it again from the page of the walk.")
    ready = url_for("report.pdf", house_id=house_id, walk_id=walk_id, paper=job.paper, made=job.id)
    again = url_for("report.pdf", house_id=house_id, walk_id=walk_id, paper=job.paper)
    return progress_page("report/progress.html", job.running, ready if job.path else "", job=job, again=again)


def _check_walk(house_id: str, walk_id: str) -> None:
    try:
        walk = get_walk(get_db(), house_id, walk_id)
    except BadValue:
        walk = None
    if walk is None:
        raise NotFound("There is no such walk in this house.")


def _send(path: Path) -> ResponseReturnValue:
    content = io.BytesIO(path.read_bytes())  # at most some megabytes, and no open file is left with the server
    answer = send_file(content, mimetype=_PDF, download_name=path.name, as_attachment="download" in request.args)
    answer.headers["Cache-Control"] = "private, no-cache"
    return answer
