"""Batches: parts of one lot or install date, and those of a faulty part's batch that are to be looked at."""

from datetime import date

from flask import Blueprint, g, render_template, request

from inspect_app.domain.batch import Batch, batch_of, batches_of, sisters_of
from inspect_app.domain.deficiency import Deficiency
from inspect_app.domain.errors import NotFound
from inspect_app.domain.part_kind import KIND_WORDS
from inspect_app.store.blind_spot import list_part_records
from inspect_app.store.deficiency import get_deficiency, list_deficiencies
from inspect_app.store.house import list_line_sets
from inspect_app.store.look import list_part_states
from inspect_app.store.part import get_part, list_parts, list_present_lives
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.filters import local_date

blueprint = Blueprint("batch", __name__, url_prefix="/houses/<house_id>")


@blueprint.get("/batches")
@permission("house.view")
def index(house_id: str) -> str:
    """Every batch of two parts and more; those with an open deficiency first."""
    db = get_db()
    found = batches_of(list_parts(db, house_id), list_present_lives(db, house_id))
    faulty = {row.part for row in list_deficiencies(db, house_id, open_only=True)}
    rows = [(one, [part for part in one.parts if part.id in faulty]) for one in found]
    return render_template("batch/index.html", rows=sorted(rows, key=lambda row: not row[1]), kinds=KIND_WORDS)


@blueprint.get("/parts/<part_id>/batch")
@permission("house.view")
def one(house_id: str, part_id: str) -> str:
    """The batch of one part, and which of it nobody has looked at since the fault (of the address) was found."""
    db = get_db()
    part = get_part(db, house_id, part_id)
    batch = batch_of(part, list_parts(db, house_id), list_present_lives(db, house_id))
    key = request.args.get("deficiency", "")
    fault = get_deficiency(db, house_id, key) if key else None
    if key and fault is None:
        raise NotFound("There is no such deficiency in this house.")
    fault = fault or _last_fault(house_id, batch)
    states = list_part_states(db, house_id)
    grades = {one: state.worst_grade for one, state in states.items() if state.worst_grade}
    since = date.fromisoformat(local_date(fault.found_at)) if fault else None
    return render_template(
        "batch/one.html",
        part=part,
        batch=batch,
        fault=fault,
        rows=sisters_of(batch, list_part_records(db, house_id), grades, since) if batch else [],
        kinds=KIND_WORDS,
        numbers={row.id: row.number for row in list_line_sets(db, g.house.id)},
    )


def _last_fault(house_id: str, batch: Batch | None) -> Deficiency | None:
    """The open deficiency of a batch that was found last: all of the batch is to be looked at after it."""
    own = {part.id for part in batch.parts} if batch else set()
    rows = [row for row in list_deficiencies(get_db(), house_id, open_only=True) if row.part in own]
    return max(rows, key=lambda row: row.found_at, default=None)
