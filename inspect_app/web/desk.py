"""The desk form: typing in a paper form, place by place in walking order, under the same rule as a phone's entries."""

from datetime import datetime
from typing import Any

from flask import Blueprint, flash, g, redirect, render_template, request, url_for

from inspect_app import clock
from inspect_app.actions.desk import record_typed
from inspect_app.actions.held import resolve_typed
from inspect_app.domain.checklist import Way
from inspect_app.domain.errors import DomainError, NotFound
from inspect_app.domain.part_kind import kind_title
from inspect_app.domain.stretch import Row
from inspect_app.domain.walk import Look, standing_looks
from inspect_app.domain.walk_order import STATE_WORDS, Stretch, stretches
from inspect_app.domain.walk_record import WalkRecord
from inspect_app.store.deficiency import list_deficiencies
from inspect_app.store.deficiency_story import list_findings_of_deficiency
from inspect_app.store.membership import list_members
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.desk_figures import judge_typed
from inspect_app.web.desk_form import Known, PartOnForm, form_for, looks_of, moment_of
from inspect_app.web.form import show_error
from inspect_app.web.walk import record_of

blueprint = Blueprint("desk", __name__, url_prefix="/houses/<house_id>/walks/<walk_id>/desk")


def _stretches(record: WalkRecord) -> list[Stretch]:
    return stretches(record.checklists, record.inventory, record.walk.scope)


@blueprint.get("")
@permission("walk.record")
def places(house_id: str, walk_id: str) -> str:
    """The stretches of the walk, to begin typing at any of them."""
    record = record_of(house_id, walk_id)
    held = request.args.get("held", "")
    return render_template(
        "desk/places.html",
        walk=record.walk,
        stretches=list(enumerate(_stretches(record))),
        words=STATE_WORDS,
        held=held,
    )


def _chosen(record: WalkRecord) -> tuple[list[Stretch], int, int]:
    """The stretch and the place that the address names. Raises NotFound."""
    every = _stretches(record)
    stretch, at = request.args.get("stretch", "0"), request.args.get("at", "0")
    if not (stretch.isascii() and stretch.isdigit() and at.isascii() and at.isdigit()):
        raise NotFound("There is no such place on this walk.")
    n, place = int(stretch[:6]), int(at[:6])
    if n >= len(every) or place >= len(every[n].rows):
        raise NotFound("There is no such place on this walk. Choose one from the list of stretches.")
    return every, n, place


@blueprint.route("/form", methods=["GET", "POST"])
@permission("walk.record")
def form(house_id: str, walk_id: str) -> Any:
    """The form of one place; saving goes on to the next."""
    record = record_of(house_id, walk_id)
    if not _stretches(record):
        return render_template("desk/nothing.html", walk=record.walk), 200
    every, n, at = _chosen(record)
    stretch = every[n]
    parts = _parts_on_form(record, stretch, stretch.rows[at][1])
    people = [(row.person.id, row.person.name) for row in list_members(get_db(), house_id) if not row.ended]
    typed = form_for(parts, people, record.inventory.house.units)(**_carried(record, people))
    if typed.validate_on_submit() and (said := _save(typed, record, stretch, parts)) is not None:
        flash(f"{stretch.rows[at][1].label}: recorded.")
        for text in said:
            flash(text)
        return redirect(_next(house_id, walk_id, every, n, at, typed), 303)
    page = render_template(
        "desk/form.html", form=typed, walk=record.walk, stretch=stretch, parts=parts, n=n, at=at,
        title=stretch.rows[at][0], row=stretch.rows[at][1], words=STATE_WORDS, last=len(stretch.rows) - 1,
        recorded=_recorded(record, parts, stretch.in_pass), held=request.args.get("held", ""),
    )  # fmt: skip
    return page, 422 if typed.errors or typed.form_errors else 200


def _save(typed: Any, record: WalkRecord, stretch: Stretch, parts: list[PartOnForm]) -> list[str] | None:
    """Record what the form says, all or nothing, and return what must be told of its figures; what is wrong is shown
    on the form, and None returned."""
    looks = looks_of(typed, parts, stretch.checklist, stretch.in_pass, clock.new_id())
    if typed.errors or typed.form_errors or not looks:
        return None
    said = judge_typed(record, looks)
    try:
        at = clock.now()
        when = min(moment_of(typed["on"].data, typed["clock"].data, record.inventory.house.tz), at)
        held = request.args.get("held", "")
        verdicts = record_typed(
            get_db(), at=at, actor=g.person.id, house=record.walk.house, walk=record.walk.id, looks=looks,
            by=typed["by"].data, recorded_at=when,
        )  # fmt: skip
        if held:
            entries = [verdict.id for verdict in verdicts if verdict.id]
            resolve_typed(get_db(), at=at, actor=g.person.id, house=record.walk.house, held=held, entries=entries)
    except DomainError as error:
        show_error(typed, error)
        return None
    return said


def _carried(record: WalkRecord, people: list[tuple[str, str]]) -> dict[str, Any]:
    """Who, when and how, as typed at the place before; else the person who types, on the day of the walk."""
    by, ways = request.args.get("by", ""), request.args.getlist("ways")
    known = {person for person, _ in people}
    found: dict[str, Any] = {
        "by": by if by in known else g.person.id,
        "on": datetime.fromisoformat(record.walk.date_local).date(),
        "ways": [way for way in ways if way in set(Way)],
    }
    try:
        before = datetime.fromisoformat(request.args.get("when", ""))
    except ValueError:
        return found
    return {**found, "on": before.date(), "clock": before.time()}


def _next(house_id: str, walk_id: str, every: list[Stretch], n: int, at: int, typed: Any) -> str:
    if request.args.get("held"):
        return url_for("held.index", house_id=house_id)
    if at + 1 < len(every[n].rows):
        when = datetime.combine(typed["on"].data, typed["clock"].data).isoformat(timespec="minutes")
        return url_for(
            "desk.form", house_id=house_id, walk_id=walk_id, stretch=n, at=at + 1, by=typed["by"].data, when=when,
            ways=typed["ways"].data or None,
        )  # fmt: skip
    return url_for("desk.places", house_id=house_id, walk_id=walk_id)


def _parts_on_form(record: WalkRecord, stretch: Stretch, row: Row) -> list[PartOnForm]:
    parts = {part.id: part for part in record.inventory.parts}
    known = _known(record, row.part_ids)
    found = []
    for key in row.part_ids:
        part, life = parts[key], record.inventory.lives.get(key)
        points = tuple(p for p in stretch.checklist.points_for(part.kind) if p.in_pass == stretch.in_pass)
        if points:
            title = f"{part.tag}, {kind_title(part.kind)}"
            found.append(PartOnForm(part, title, life.id if life else None, points, tuple(known.get(key, ()))))
    return found


def _known(record: WalkRecord, parts: tuple[str, ...]) -> dict[str, list[Known]]:
    """The open deficiencies of these parts, each with the newest finding that points at it."""
    db, house = get_db(), record.walk.house
    found: dict[str, list[Known]] = {}
    for row in (one for one in list_deficiencies(db, house, open_only=True) if one.part in parts):
        findings = list_findings_of_deficiency(db, house, row.id)
        if row.made_by and not findings:  # entered by hand: answered by its own id, at no point
            found.setdefault(row.part, []).append(Known(row, row.id, "", row.what))
        if findings:
            last = findings[-1]
            found.setdefault(row.part, []).append(Known(row, last.finding, last.point, last.point_text))
    return found


def _recorded(record: WalkRecord, parts: list[PartOnForm], in_pass: str) -> list[tuple[str, Look]]:
    """What stands recorded already at this place in this pass."""
    tags = {row.part.id: row.part.tag for row in parts}
    looks = [look for look in standing_looks(record.looks) if look.part in tags and look.in_pass == in_pass]
    return [(tags[look.part], look) for look in sorted(looks, key=lambda look: look.at)]
