"""The load on the lift lines of a set, and its counterweight, begun with what the record of the set gives.

A what-if like any other of the workbench: the loads stand in the address and nothing is stored.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from flask import Blueprint, g, url_for
from flask.typing import ResponseReturnValue

from inspect_app.domain.attribute_value import shown_attributes
from inspect_app.domain.errors import Conflict
from inspect_app.domain.house import LineSetKind
from inspect_app.domain.line_set import KIND_WORDS
from inspect_app.domain.part import PartKind
from inspect_app.domain.set_balance import balance_begin, sheet_of
from inspect_app.domain.set_load import Begin, SetRecord, load_begin
from inspect_app.domain.worksheet import Answer, Outcome, Reference, Worksheet
from inspect_app.domain.worksheets.batten_load import OfSet, batten_sheet
from inspect_app.store.set_standing import Standing, get_set_record, get_standing, get_use
from inspect_app.web.access import permission
from inspect_app.web.database import get_db
from inspect_app.web.house_form import today, units
from inspect_app.web.workbench import sheet_page, start_pdf

blueprint = Blueprint("set_load", __name__, url_prefix="/houses/<house_id>/line-sets/<line_set_id>")
_SHOWN = (PartKind.BATTEN,)


@blueprint.get("/load")
@permission("house.view")
def load(house_id: str, line_set_id: str) -> ResponseReturnValue:
    """What a batten load does to the lines, blocks and head beam of this set."""
    record, begin, sheet, standing = _load(house_id, line_set_id)
    return _page(record, begin, sheet, "set_load.load", standing)


@blueprint.get("/load/sheet.pdf")
@permission("house.view")
def load_pdf(house_id: str, line_set_id: str) -> ResponseReturnValue:
    """The same as a printed calculation sheet."""
    record, _, sheet, _ = _load(house_id, line_set_id)
    return start_pdf(sheet, _address("set_load.load", record), _place(record))


@blueprint.get("/balance")
@permission("house.view")
def balance(house_id: str, line_set_id: str) -> ResponseReturnValue:
    """The counterweight that balances a load on this set."""
    record, sheet, standing = _balanced(house_id, line_set_id)
    return _page(record, balance_begin(record), sheet, "set_load.balance", standing)


@blueprint.get("/balance/sheet.pdf")
@permission("house.view")
def balance_pdf(house_id: str, line_set_id: str) -> ResponseReturnValue:
    """The same as a printed calculation sheet."""
    record, sheet, _ = _balanced(house_id, line_set_id)
    return start_pdf(sheet, _address("set_load.balance", record), _place(record))


def _load(house_id: str, line_set_id: str) -> tuple[SetRecord, Begin, Worksheet, Standing]:
    record = get_set_record(get_db(), house_id, line_set_id)
    begin, standing = load_begin(record), get_standing(get_db(), record, today())
    withheld = (*standing.bars, *standing.outside, *begin.withheld)
    sheet = batten_sheet(OfSet(begin.names, withheld, begin.typed, begin.left_end, record.dead_hung))
    return record, begin, _saying(sheet, standing), standing


def _balanced(house_id: str, line_set_id: str) -> tuple[SetRecord, Worksheet, Standing]:
    record = get_set_record(get_db(), house_id, line_set_id)
    if record.line_set.kind not in (LineSetKind.SINGLE, LineSetKind.DOUBLE):
        raise Conflict("Only single and double purchase sets have an arbor to balance.")
    standing = get_use(get_db(), record, today())
    return record, _saying(sheet_of(record), standing), standing


def _saying(sheet: Worksheet, standing: Standing) -> Worksheet:
    """The worksheet whose answers say what stands against the set, on the page and on paper."""
    said = "; ".join(_all(standing))
    first = [Outcome("Against this set when this was worked out", "", words=said)] if said else []

    def run(values: Mapping[str, Any], reference: Reference) -> Answer:
        answer = sheet.run(values, reference)
        return replace(answer, outcomes=(*first, *answer.outcomes))

    return replace(sheet, run=run)


def _all(standing: Standing) -> tuple[str, ...]:
    return (*standing.bars, *standing.limits, *standing.outside)


def _page(record: SetRecord, begin: Begin, sheet: Worksheet, endpoint: str, standing: Standing) -> ResponseReturnValue:
    where = {"house_id": g.house.id, "line_set_id": record.line_set.id}
    start = {one.key: one.default for one in sheet.inputs} | dict(begin.typed)
    shown = [] if endpoint == "set_load.balance" else _known(record)  # there the form itself has all of the record
    return sheet_page(
        sheet, endpoint, where, start, begin.lacking, line_set=record.line_set,
        known=[*shown, *begin.worked_out], standing=_all(standing),
    )  # fmt: skip


def _known(record: SetRecord) -> list[tuple[str, Any]]:
    rows: list[tuple[str, Any]] = [("Kind", KIND_WORDS[record.line_set.kind]), ("Lift lines", record.line_set.lines)]
    for part in record.of(*_SHOWN):
        life = record.lives.get(part.id)
        if life is not None:
            rows += [(f"{part.tag}: {row[0]}", row[1]) for row in shown_attributes(part.kind, life.attributes, units())]
    return rows


def _address(endpoint: str, record: SetRecord) -> str:
    return url_for(endpoint, house_id=g.house.id, line_set_id=record.line_set.id)


def _place(record: SetRecord) -> str:
    label = f": {record.line_set.label}" if record.line_set.label else ""
    return f"Set {record.line_set.number}{label}, {KIND_WORDS[record.line_set.kind]}"
