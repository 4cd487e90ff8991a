"""The label audit: each set with what was read at its places, and the form to write it down."""

from datetime import date
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for

from inspect_app import clock
from inspect_app.actions.label_audit import record_labels
from inspect_app.domain.errors import BadValue
from inspect_app.domain.label_audit import (
    CHECKLIST,
    LONGEST,
    PLACE_WORDS,
    SEEN_WORDS,
    STATE_WORDS,
    AuditRow,
    LabelPlace,
    audit_rows,
)
from inspect_app.store.house import get_line_set, list_line_sets
from inspect_app.store.label_audit import count_labelled_parts, list_label_readings, list_walked_labels
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.house_form import today

blueprint = Blueprint("label_audit", __name__, url_prefix="/houses/<house_id>/label-audit")


def _rows(house_id: str) -> list[AuditRow]:
    db = get_db()
    return audit_rows(
        list_line_sets(db, house_id), count_labelled_parts(db, house_id), list_label_readings(db, house_id),
        list_walked_labels(db, house_id),
    )  # fmt: skip


def _begun(row: AuditRow) -> bool:
    return any(one.word != "never" for one in row.seen)


@blueprint.get("")
@permission("walk.view")
def index(house_id: str) -> str:
    """Every set: where its labels disagree first, then what was not read, then those where all agree."""
    rows = [row for row in _rows(house_id) if row.seen]
    return render_template(
        "learning/label_audit.html",
        against=[row for row in rows if row.against],
        open=[row for row in rows if _begun(row) and not row.against and not row.all_agree],
        untouched=[row for row in rows if not _begun(row)],
        agree=[row for row in rows if row.all_agree],
        places=PLACE_WORDS, words=SEEN_WORDS, checklist=CHECKLIST,
    )  # fmt: skip


@blueprint.route("/<line_set_id>", methods=["GET", "POST"])
@permission("walk.record")
def one(house_id: str, line_set_id: str) -> Any:
    """Write down what was read at the places of one set; then on to the next set upstage."""
    db = get_db()
    line_set = get_line_set(db, house_id, line_set_id)
    here = [place for place in LabelPlace if count_labelled_parts(db, house_id).get(line_set_id, {}).get(place)]
    errors: dict[str, str] = {}
    if request.method == "POST":
        errors = _saved(house_id, line_set_id, here)
        if not errors:
            flash(f"Set {line_set.number}: what was read is written down.")
            after = _next(house_id, line_set_id)
            where = url_for("label_audit.one", house_id=house_id, line_set_id=after) if after else None
            return redirect(where or url_for("label_audit.index", house_id=house_id), 303)
    row = next((row for row in _rows(house_id) if row.line_set.id == line_set_id), None)
    page = render_template(
        "learning/label_form.html", line_set=line_set, places=[(place, PLACE_WORDS[place]) for place in here],
        states=STATE_WORDS, typed=request.form, errors=errors, longest=LONGEST, row=row, words=SEEN_WORDS,
        read_on=request.form.get("read_on", "")[:10] or today().isoformat(), names=PLACE_WORDS,
    )  # fmt: skip
    return page, 422 if errors else 200


def _saved(house_id: str, line_set_id: str, here: list[LabelPlace]) -> dict[str, str]:
    """Write the form down; what is wrong with it by field."""
    try:
        read_on = date.fromisoformat(request.form.get("read_on", ""))
    except ValueError:
        return {"read_on": "Write the date as YYYY-MM-DD."}
    read = {
        place: (request.form.get(f"{place}-state", "")[:20], request.form.get(place.value, "")[:200])
        for place in here
        if request.form.get(f"{place}-state") or request.form.get(place.value, "").strip()
    }
    read = {place: (state or "read", label) for place, (state, label) in read.items()}
    try:
        record_labels(
            get_db(),
            at=clock.now(),
            actor=g.person.id,
            house=house_id,
            line_set=line_set_id,
            read_on=read_on,
            read=read,
        )
    except BadValue as error:
        return {error.field or "read_on": error.message}
    return {}


def _next(house_id: str, line_set_id: str) -> str | None:
    """The next set upstage that has labels."""
    counted = count_labelled_parts(get_db(), house_id)
    keys = [one.id for one in list_line_sets(get_db(), house_id) if one.id in counted]
    at = keys.index(line_set_id) if line_set_id in keys else len(keys)
    return keys[at + 1] if at + 1 < len(keys) else None
