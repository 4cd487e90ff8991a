"""The rows of a hand-over pack, table by table, read one at a time so that memory stays bounded."""

import json
from collections.abc import Iterator
from datetime import UTC, tzinfo
from typing import Any

from sqlite_utils import Database

from inspect_app.domain.hand_over import Period
from inspect_app.domain.hand_over_table import DATA, YES, Table
from inspect_app.domain.ids import from_key, to_key

_NAME = "coalesce((SELECT name FROM person WHERE id = {0}), '')"
_IN = "BETWEEN :first AND :last"  # for days
_AT = "{0} >= :begin AND {0} < :end"  # for times in UTC
_LOOKS = (
    "look l LEFT JOIN walk w ON w.id = l.walk WHERE l.house = :house "
    f"AND iif(w.id IS NULL, {_AT.format('l.at')}, w.date_local {_IN})"
)
_LOOK_IDS = f"(SELECT l.entry FROM {_LOOKS})"
_WALKS = f"walk w WHERE w.house = :house AND w.date_local {_IN}"
_WALK_IDS = f"(SELECT w.id FROM {_WALKS})"
_DEFICIENCIES = (
    "deficiency d WHERE d.house = :house AND d.found_at < :end AND ("
    "d.state NOT IN ('settled', 'no_fault', 'same') OR d.found_at >= :begin OR EXISTS "
    "(SELECT 1 FROM deficiency_event v WHERE v.deficiency = d.id AND v.at >= :begin))"
)
_DEFICIENCY_IDS = f"(SELECT d.id FROM {_DEFICIENCIES})"
_ENDED = (
    "coalesce((SELECT r.at FROM tag_release r WHERE r.tag_out = t.id), "
    "(SELECT x.at FROM tag_withdrawal x WHERE x.tag_out = t.id), '9999')"
)
_TAG_OUTS = f"tag_out t WHERE t.house = :house AND t.raised_at < :end AND (t.state = 'standing' OR {_ENDED} >= :begin)"
_TAG_IDS = f"(SELECT t.id FROM {_TAG_OUTS})"
_EVENTS = f"event e WHERE e.house = :house AND {_AT.format('e.at')}"
_STOOD = "{0}.at < :end AND ({0}.ended_at IS NULL OR {0}.ended_at >= :begin)"
_PHOTOS = f"photo p WHERE p.house = :house AND p.id IN (SELECT u.photo FROM photo_use u WHERE u.entry IN {_LOOK_IDS})"

# table -> (columns in the order of domain/hand_over_table.py, from and where, order)
_QUERIES: dict[str, tuple[str, str, str]] = {
    "house_answers": (
        f"h.question, h.answer, {_NAME.format('h.by')}, h.at",
        "house_answer h WHERE h.house = :house AND h.rowid = (SELECT max(x.rowid) FROM house_answer x "
        "WHERE x.house = h.house AND x.question = h.question)",
        "h.rowid",
    ),
    "areas": ("id, kind, name, z_mm, retired_on", "area WHERE house = :house", "id"),
    "line_sets": (
        "id, number, kind, label, y_mm, head_side, axis, lines, retired_on",
        "line_set WHERE house = :house",
        "sort_key, id",
    ),
    "parts": (
        "id, tag, kind, area, line_set, line, well, x_mm, y_mm, z_mm, retired_on",
        "part WHERE house = :house",
        "id",
    ),
    "part_lives": (
        "f.id, f.part, f.installed_on, f.retired_on, f.lot, f.attributes, f.baseline_from",
        "part_life f JOIN part p ON p.id = f.part WHERE p.house = :house",
        "f.part, f.rowid",
    ),
    "part_changes": (
        f"c.id, c.part, c.life, c.at, {_NAME.format('c.by')}, c.what, c.old, c.new, c.reason",
        f"part_change c JOIN part p ON p.id = c.part WHERE p.house = :house AND {_AT.format('c.at')}",
        "c.at, c.id",
    ),
    "gauges": (
        "id, name, kind, serial, resolution, unit, calibrated_on, calibration_due, retired_on",
        "gauge WHERE house = :house",
        "name, id",
    ),
    "gauge_doubts": (
        f"d.id, d.gauge, d.first, d.last, d.why, {_NAME.format('d.by')}, d.at, d.ended_at",
        "gauge_doubt d JOIN gauge g ON g.id = d.gauge WHERE g.house = :house",
        "d.first, d.id",
    ),
    "stations": (
        "s.id, s.part, s.name, s.retired_on",
        "station s JOIN part p ON p.id = s.part WHERE p.house = :house",
        "s.part, s.id",
    ),
    "walks": (
        f"w.id, w.title, w.date_local, w.state, {_NAME.format('w.opened_by')}, w.opened_at, w.sealed_at, "
        "coalesce((SELECT min(s.number) FROM seal s WHERE s.walk = w.id), '')",
        _WALKS,
        "w.date_local, w.id",
    ),
    "seals": (
        "s.walk, s.n, s.number, s.name, s.role, s.credential, s.statement, s.gaps_reason, s.complete, s.at, "
        "lower(hex(s.root_sha256)), s.inspection",
        f"seal s WHERE s.house = :house AND s.walk IN {_WALK_IDS}",
        "s.at, s.walk, s.n",
    ),
    "looks": (
        f"l.entry, l.walk, l.part, l.life, l.pass, l.checklist, l.points, l.result, l.ways, l.reason, l.note, "
        f"{_NAME.format('l.by')}, l.at, l.adds_to, l.needs_countersign, "
        "EXISTS (SELECT 1 FROM look_replaced y WHERE y.entry = l.entry)",
        _LOOKS,
        "l.at, l.entry",
    ),
    "findings": (
        "f.id, f.entry, f.part, f.point, f.point_text, f.defect, f.answer, f.of, f.grade, f.proposed_grade, "
        "f.grade_reason, f.wear, f.note",
        f"finding f WHERE f.house = :house AND f.entry IN {_LOOK_IDS}",
        "f.entry, f.n",
    ),
    "measures": (
        "m.entry, m.n, m.part, m.life, m.point, m.quantity, m.value, m.unit, m.typed, m.readings, "
        "m.station, m.gauge, m.resolution, m.load_state",
        f"measure m WHERE m.house = :house AND m.entry IN {_LOOK_IDS}",
        "m.entry, m.n",
    ),
    "countersigns": (
        f"c.entry, {_NAME.format('c.by')}, c.at, c.how", f"countersign c WHERE c.entry IN {_LOOK_IDS}", "c.at, c.entry"
    ),
    "decisions": (
        f"d.id, d.walk, d.part, d.entry, d.finding, d.kind, d.choice, d.reason, {_NAME.format('d.by')}, d.at",
        f"decision d WHERE d.walk IN {_WALK_IDS}",
        "d.at, d.id",
    ),
    "deficiencies": (
        "d.id, d.number, d.part, d.what, d.grade, d.state, d.found_at, d.due_on, d.severity, d.probability, "
        f"{_NAME.format('d.responsible')}, d.contractor, d.order_number, d.put_off_until, d.put_right_by, d.done_on, "
        "d.recurring, d.again_of",
        _DEFICIENCIES,
        "d.number",
    ),
    "deficiency_events": (
        f"v.id, v.deficiency, v.from_state, v.to_state, {_NAME.format('v.by')}, v.role, v.at, v.note, v.proof",
        f"deficiency_event v WHERE v.deficiency IN {_DEFICIENCY_IDS} "
        "AND (:costs OR json_extract(v.proof, '$.cost') IS NULL)",
        "v.rowid",
    ),
    "deficiency_findings": (
        "x.deficiency, x.finding", f"deficiency_finding x WHERE x.deficiency IN {_DEFICIENCY_IDS}", "x.rowid"
    ),
    "deficiency_costs": (
        f"c.id, c.deficiency, c.kind, c.amount, c.currency, c.what, {_NAME.format('c.by')}, c.at",
        f"deficiency_cost c WHERE c.deficiency IN {_DEFICIENCY_IDS}",
        "c.at, c.id",
    ),
    "tag_outs": (
        f"t.id, t.line_set, t.area, t.part, t.why, {_NAME.format('t.raised_by')}, t.raised_at, t.responsible, t.state, "
        "t.event",
        _TAG_OUTS,
        "t.raised_at, t.id",
    ),
    "tag_steps": (
        f"s.id, s.tag_out, s.step, s.who, s.note, {_NAME.format('s.by')}, s.at",
        f"tag_step s WHERE s.tag_out IN {_TAG_IDS}",
        "s.rowid",
    ),
    "tag_releases": (
        f"r.tag_out, {_NAME.format('r.by')}, r.role, r.at, r.reason, r.proof, r.answers",
        f"tag_release r WHERE r.tag_out IN {_TAG_IDS}",
        "r.at, r.tag_out",
    ),
    "tag_withdrawals": (
        f"x.tag_out, {_NAME.format('x.by')}, {_NAME.format('x.second')}, x.at, x.reason",
        f"tag_withdrawal x WHERE x.tag_out IN {_TAG_IDS}",
        "x.at, x.tag_out",
    ),
    "restrictions": (
        f"r.id, r.kind, r.line_set, r.area, r.part, r.deficiency, r.what, r.load_limit, r.travel_limit, r.who, "
        f"r.until, r.recheck_on, {_NAME.format('r.by')}, r.at, r.walk, r.ended_at, {_NAME.format('r.ended_by')}, "
        "r.ended_reason, r.lifted_name, r.lifted_credential",
        f"restriction r WHERE r.house = :house AND {_STOOD.format('r')}",
        "r.at, r.id",
    ),
    "accepted_conditions": (
        "c.id, c.part, c.what, c.accepted_by, c.role, c.reason, c.paper, c.review_by, c.at, c.ended_at, c.ended_why",
        f"accepted_condition c WHERE c.house = :house AND {_STOOD.format('c')}",
        "c.at, c.id",
    ),
    "events": (
        f"e.id, e.kind, e.line_set, e.area, e.what, e.danger, {_NAME.format('e.by')}, e.at", _EVENTS, "e.at, e.id"
    ),
    "event_approaches": (
        f"x.event, x.name, x.credential, x.who, x.how, {_NAME.format('x.by')}, x.at",
        f"event_approach x WHERE x.event IN (SELECT e.id FROM {_EVENTS})",
        "x.at, x.id",
    ),
    "event_withdrawals": (
        f"x.event, {_NAME.format('x.by')}, {_NAME.format('x.second')}, x.at, x.reason",
        f"event_withdrawal x WHERE x.event IN (SELECT e.id FROM {_EVENTS})",
        "x.at, x.event",
    ),
    "relooks": (
        f"r.id, r.part, r.look_on, r.reason, r.way, {_NAME.format('r.by')}, r.at, r.done_at, r.ended_at",
        "relook r WHERE r.house = :house AND r.at < :end AND coalesce(r.done_at, r.ended_at, '9999') >= :begin",
        "r.at, r.id",
    ),
    "examinations": (
        f"x.id, x.rule, x.held_on, x.examiner, x.paper, {_NAME.format('x.by')}, x.at",
        f"examination x WHERE x.house = :house AND x.held_on {_IN}",
        "x.held_on, x.id",
    ),
    "photos": (
        "p.id, lower(hex(p.sha256)), p.mime, p.bytes, p.width, p.height, p.taken_at, p.received_at, p.state, ''",
        _PHOTOS,
        "p.id",
    ),
    "old_pages": (
        f"o.id, o.line_set, o.year, o.says, o.name, lower(hex(o.sha256)), o.mime, {_NAME.format('o.by')}, "
        "o.received_at, coalesce((SELECT x.reason FROM old_page_withdrawal x WHERE x.old_page = o.id), ''), ''",
        "old_page o WHERE o.house = :house",
        "o.year, o.id",
    ),
    "photo_uses": ("u.photo, u.entry", f"photo_use u WHERE u.entry IN {_LOOK_IDS}", "u.entry, u.photo"),
}  # fmt: skip


def read_rows(
    db: Database, table: Table, house: str, period: Period, zone: tzinfo = UTC, with_costs: bool = True
) -> Iterator[dict[str, Any]]:
    """The rows of a table of a house, by column. The days of `period` are those of `zone`, the house's.

    Without `with_costs` the remarks that name an estimate or something paid are left out.
    """
    columns, where, order = _QUERIES[table.name]
    begin, end = period.moments(zone)
    given = {"house": to_key(house), "first": period.first or "0000", "last": period.last or "9999"}
    cursor = db.execute(
        f"SELECT {columns} FROM {where} ORDER BY {order}",
        {**given, "begin": begin or "0000", "end": end or "9999", "costs": with_costs},
    )
    while batch := cursor.fetchmany(500):
        for row in batch:
            yield {column.name: _plain(value, column.kind) for column, value in zip(table.columns, row, strict=True)}


def _plain(value: Any, kind: str) -> Any:
    if isinstance(value, bytes):
        return from_key(value)
    if kind == YES:
        return bool(value)
    return json.loads(value) if kind == DATA else value
