"""The tables of a hand-over pack: name, meaning and columns of each, from which CSV, JSON and its schema are made."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

TEXT, WHOLE, YES, DATA = "text", "whole", "yes", "data"  # DATA is JSON kept as such; in CSV it is its text


@dataclass(frozen=True, slots=True)
class Column:
    """One column. `kind` is TEXT, WHOLE, YES or DATA; a column that may be empty is null in JSON and '' in CSV."""

    name: str
    says: str
    kind: str = TEXT
    may_be_empty: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """One table. `says` tells what a row is and which rows of a period are in it."""

    name: str
    says: str
    columns: tuple[Column, ...]
    costs: bool = False

    @property
    def names(self) -> tuple[str, ...]:
        """The columns in order."""
        return tuple(column.name for column in self.columns)


def _t(name: str, says: str) -> Column:
    return Column(name, says)


def _n(name: str, says: str) -> Column:
    return Column(name, says, may_be_empty=True)


def _w(name: str, says: str, may_be_empty: bool = False) -> Column:
    return Column(name, says, WHOLE, may_be_empty)


ID = _t("id", "UUID of the row; it never changes")
AT = _t("at", "when, in UTC, ISO 8601")
BY = _t("by", "name of the person who recorded it, '' when nobody is named")
PART = _t("part_id", "the part, in parts.csv")
LIFE = _n("life_id", "what hung there then, in part_lives.csv")
LOOK = _t("look_id", "the look, in looks.csv")
DEFICIENCY = _t("deficiency_id", "the deficiency, in deficiencies.csv")
TAG_OUT = _t("tag_out_id", "the tag-out, in tag_outs.csv")
_BINDS = (
    _n("line_set_id", "the line set it binds, in line_sets.csv"),
    _n("area_id", "the area it binds, in areas.csv"),
    _n("part_id", "the part it is about, in parts.csv"),
)
_XYZ = (
    _w("x_mm", "millimetres from the centre line, + towards stage left", True),
    _w("y_mm", "millimetres upstage of the house's datum", True),
    _w("z_mm", "millimetres above the deck", True),
)

TABLES: tuple[Table, ...] = (
    Table("house_answers", "Answers of the house to what inspectors ask in advance; the newest of each question.", (
        _t("question", "short name of the question; its words stand in the sheet"), _t("answer", "as typed"), BY, AT,
    )),
    Table("areas", "Where people stand and walk; all of the house.", (
        ID, _t("kind", "deck_rail, bridge, gallery, grid, head_well or access"), _t("name", "name in the house"),
        _w("z_mm", "floor above the deck, millimetres"), _n("retired_on", "the day it was given up"),
    )),
    Table("line_sets", "Line sets; all of the house, given up or not.", (
        ID, _t("number", "as on the rail"),
        _t("kind", "single_purchase, double_purchase, motorised, rope or dead_hung"),
        _t("label", "what is usually on it"), _w("y_mm", "millimetres upstage of the house's datum"),
        _t("head_side", "stage_left or stage_right"), _t("axis", "across or along"),
        _w("lines", "number of lift lines"),
        _n("retired_on", "the day it was given up"),
    )),
    Table("parts", "Places with a tag that are looked at; all of the house.", (
        ID, _t("tag", "as on its label"), _t("kind", "kind of part"), _t("area_id", "the area, in areas.csv"),
        _n("line_set_id", "the line set, in line_sets.csv"), _w("line", "lift line, counted from the head block", True),
        _n("well_id", "the well it hangs in, in parts.csv"), *_XYZ, _n("retired_on", "the day the place was given up"),
    )),
    Table("part_lives", "What hangs or hung at a place, one after the other; all of the house.", (
        ID, PART, _n("installed_on", "day it was put in, empty when not recorded"),
        _n("retired_on", "day it was taken out"), _t("lot", "lot or batch as typed"),
        Column("attributes", "what is recorded about it, by key; keys in _mm are millimetres, in _kg kilograms", DATA),
        _n("baseline_from", "day from which its measures count"),
    )),
    Table("part_changes", "Changes to what is recorded of a part, in the period.", (
        ID, PART, LIFE, AT, BY, _t("what", "what was changed"), _t("old", "before"), _t("new", "after"),
        _t("reason", "as typed"),
    )),
    Table("gauges", "Gauges of the house; all of them.", (
        ID, _t("name", "name in the house"), _t("kind", "kind of gauge"), _t("serial", "serial number as typed"),
        _t("resolution", "smallest step it is trusted to"), _t("unit", "unit of the step"),
        _n("calibrated_on", "last calibration"), _n("calibration_due", "next calibration"),
        _n("retired_on", "the day it was given up"),
    )),
    Table("gauge_doubts", "Days on which a gauge was found to have read wrong; all of them.", (
        ID, _t("gauge_id", "the gauge, in gauges.csv"), _t("first", "first day"), _t("last", "last day"),
        _t("why", "what was found, as typed"), BY, AT, _n("ended_at", "when it was taken back, in UTC"),
    )),
    Table("stations", "Named places at which a part is measured; all of the house.", (
        ID, PART, _t("name", "name of the place"), _n("retired_on", "the day it was given up"),
    )),
    Table("walks", "Walks whose local date lies in the period, signed or not.", (
        ID, _t("title", "title"), _t("date_local", "local date"), _t("state", "open, closing or sealed"),
        _t("opened_by", "name of who opened it"), _t("opened_at", "when, in UTC"),
        _n("sealed_at", "when it was last signed, in UTC"), _t("report", "report number, '' while nobody has signed"),
    )),
    Table("seals", "Signatures and amendments of the walks of the period.", (
        _t("walk_id", "the walk, in walks.csv"), _w("n", "1 is the signature, later ones are amendments"),
        _t("number", "report number"), _t("name", "signer"), _t("role", "role in which it was signed"),
        _t("credential", "what qualifies the signer, as typed; nobody verified it"), _t("statement", "as signed"),
        _t("gaps_reason", "why something is missing, as typed"), Column("complete", "titled complete", YES), AT,
        _t("root_sha256", "SHA-256 over the entries it covers"),
        Column("inspection", "an inspector's body, number, expiry, remarks, conditions, as typed", DATA),
    )),
    Table("looks", "Looks at parts: of the walks of the period, and those of no walk made in it.", (
        ID, _n("walk_id", "the walk, in walks.csv"), PART, LIFE, _t("pass", "vantage and state, such as grid/static"),
        _t("checklist", "checklist"), Column("points", "the points it answers", DATA),
        _t("result", "no_finding, finding, not_reached, not_applicable or withdrawn"),
        Column("ways", "handled, seen_close, seen_far, heard", DATA), _t("reason", "reason, as typed"),
        _t("note", "note, as typed"), BY, AT, _n("adds_to", "the look that this adds to, in looks.csv"),
        Column("needs_countersign", "recorded by a helper: counts once countersigned", YES),
        Column("replaced", "another look replaces it", YES),
    )),
    Table("findings", "Findings of the looks.", (
        ID, LOOK, PART, _t("point", "point of the checklist"), _t("point_text", "the question as it was shown"),
        _t("defect", "kind of defect, '' when none was chosen"),
        _t("answer", "new, still_there, worse or not_seen_now"),
        _n("of", "the earlier finding that it answers, in findings.csv"), _t("grade", "action grade as it stands"),
        _t("proposed_grade", "grade that the checklist proposes"), _t("grade_reason", "reason, as typed"),
        _w("wear", "wear rating 0 to 4", True), _t("note", "note, as typed"),
    )),
    Table("measures", "Figures measured on the looks.", (
        LOOK, _w("n", "place in the look"), PART, LIFE, _t("point", "point of the checklist"),
        _t("quantity", "what was measured"), _t("value", "decimal text"), _t("unit", "its unit"),
        _t("typed", "as typed"), Column("readings", "each reading it was taken from, as typed", DATA),
        _t("station", "measuring place, as named"), _t("gauge", "gauge, as named"),
        _t("resolution", "smallest step of the gauge"), _t("load_state", "loaded, unloaded or ''"),
    )),
    Table("countersigns", "A helper's looks that somebody vouched for.", (LOOK, BY, AT, _t("how", "on whose word"))),
    Table("decisions", "Decisions on the walks of the period before they were signed.", (
        ID, _t("walk_id", "the walk, in walks.csv"), _n("part_id", "the part, in parts.csv"),
        _n("look_id", "the look, in looks.csv"), _n("finding_id", "the finding, in findings.csv"),
        _t("kind", "what was decided"), _t("choice", "what was chosen"), _t("reason", "as typed"), BY, AT,
    )),
    Table("deficiencies", "Deficiencies found by the last day that were open at, or touched after, the first day.", (
        ID, _w("number", "number in the register"), PART, _t("what", "what is wrong"),
        _t("grade", "action grade as it stands today, raised where a limit or measure for it has expired"),
        _t("state", "where it stands today"), _t("found_at", "when, in UTC"), _n("due_on", "day set, if any"),
        _w("severity", "MIL-STD-882E severity category", True), _n("probability", "MIL-STD-882E probability level"),
        _t("responsible", "who sees to it"), _t("contractor", "contractor"), _t("order_number", "order"),
        _t("put_off_until", "put off until"), _t("put_right_by", "who put it right"), _t("done_on", "when"),
        Column("recurring", "found again after it was settled", YES),
        _n("again_of", "the earlier one, in deficiencies.csv"),
    )),
    Table("deficiency_events", "Every step in the life of these deficiencies, and remarks; without costs not those on "
          "amounts.", (
        ID, DEFICIENCY, _t("from_state", "before"), _t("to_state", "after"), BY, _t("role", "role"), AT,
        _t("note", "as typed"), Column("proof", "what was given as proof, by name", DATA),
    )),
    Table("deficiency_findings", "Which findings point at which of these deficiencies.", (
        DEFICIENCY, _t("finding_id", "the finding, in findings.csv when it is of the period"),
    )),
    Table("deficiency_costs", "Estimates and amounts paid for these deficiencies; only in a pack with costs.", (
        ID, DEFICIENCY, _t("kind", "estimate or paid"), _t("amount", "decimal text"), _t("currency", "ISO 4217 code"),
        _t("what", "as typed"), BY, AT,
    ), costs=True),
    Table("tag_outs", "What was out of use in the period.", (
        ID, *_BINDS, _t("why", "as typed"), BY, AT, _t("responsible", "who sees to it"),
        _t("state", "standing, released or withdrawn"), _n("event_id", "the event it is on hold for, in events.csv"),
    )),
    Table("tag_steps", "Steps after these stops.", (
        ID, TAG_OUT, _t("step", "the step"), _t("who", "who was told or asked"), _t("note", "as typed"), BY, AT,
    )),
    Table("tag_releases", "How these stops were released.", (
        TAG_OUT, BY, _t("role", "role"), AT, _t("reason", "as typed"), _t("proof", "as typed"),
        Column("answers", "what the release asked, with its answers", DATA),
    )),
    Table("tag_withdrawals", "Stops on the wrong thing, taken back by two people.", (
        TAG_OUT, BY, _t("second", "name of the second person"), AT, _t("reason", "as typed"),
    )),
    Table("restrictions", "Limits on use, temporary measures, and inspectors' conditions on use in the period.", (
        ID, _t("kind", "limit, measure or condition"), *_BINDS, _n("deficiency_id", "deficiency, in deficiencies.csv"),
        _t("what", "as typed"), _t("load_limit", "as typed"), _t("travel_limit", "as typed"), _t("who", "as typed"),
        _t("until", "its last day"), _n("recheck_on", "looked at again on"), BY, AT,
        _n("walk_id", "signed walk it comes from, in walks.csv"), _n("ended_at", "when it was ended, in UTC"),
        _t("ended_by", "name of who entered that"), _t("ended_reason", "as typed"),
        _t("lifted_name", "qualified person who lifted a condition, as typed"), _t("lifted_credential", "as typed"),
    )),
    Table("accepted_conditions", "Conditions that the house accepted for a time, in force in the period.", (
        ID, PART, _t("what", "as typed"), _t("accepted_by", "as typed"), _t("role", "role"), _t("reason", "as typed"),
        _t("paper", "paper, as typed"), _t("review_by", "to be reviewed by"), AT, _n("ended_at", "when it was ended"),
        _t("ended_why", "why"),
    )),
    Table("events", "What happened to the house between walks, in the period.", (
        ID, _t("kind", "kind of event"), _n("line_set_id", "line set, in line_sets.csv"),
        _n("area_id", "area, in areas.csv"), _t("what", "as typed"), _t("danger", "whether anything may fall or move"),
        BY, AT,
    )),
    Table("event_approaches", "Who said that a place may be approached after these events.", (
        _t("event_id", "the event, in events.csv"), _t("name", "as typed"), _t("credential", "as typed"),
        _t("who", "who may approach"), _t("how", "how"), BY, AT,
    )),
    Table("event_withdrawals", "Events that two people withdrew as recorded by mistake.", (
        _t("event_id", "the event, in events.csv"), BY, _t("second", "who confirmed it"), AT, _t("reason", "as typed"),
    )),
    Table("relooks", "Parts that were to be looked at again by a date, asked for in the period or open in it.", (
        ID, PART, _t("look_on", "by when"), _t("reason", "as typed"), _t("way", "way of looking asked for"), BY, AT,
        _n("done_at", "when a signed walk did so"), _n("ended_at", "when it was taken back"),
    )),
    Table("examinations", "Examinations held by others in the period, as entered.", (
        ID, _t("rule", "rule, in the program's shared/intervals.yaml"), _t("held_on", "day"),
        _t("examiner", "as typed"), _t("paper", "as typed"), BY, AT,
    )),
    Table("photos", "Photos that looks of the period name and that arrived.", (
        ID, _t("sha256", "SHA-256 of the bytes as received"), _t("mime", "their media type"),
        _w("bytes", "their number"), _w("width", "pixels", True), _w("height", "pixels", True),
        _n("taken_at", "by the camera"), _t("received_at", "in UTC"), _t("state", "stored, damaged or undecoded"),
        _t("file", "its copy in this pack, without metadata, long side up to 1200 pixels; '' when none could be made"),
    )),
    Table("old_pages", "Photographs and scans of an old paper log, unverified; all of the house, taken back or not.", (
        ID, _n("line_set_id", "the set it is pinned to, in line_sets.csv; empty for the whole house"),
        _w("year", "the year, or the nearest guess"), _t("says", "what somebody read on it, as typed"),
        _t("name", "name of the file as it came"), _t("sha256", "SHA-256 of the bytes as received"),
        _t("mime", "their media type"), BY, AT, _t("taken_back", "why it was taken back, as typed, '' when it stands"),
        _t("file", "in this pack: of a picture a copy without metadata, of a PDF the bytes; '' when there is none"),
    )),
    Table("photo_uses", "Which look names which photo.", (
        _t("photo_id", "the photo, in photos.csv when it arrived"), LOOK,
    )),
)  # fmt: skip
BY_NAME: Mapping[str, Table] = {table.name: table for table in TABLES}


def tables_for(with_costs: bool) -> tuple[Table, ...]:
    """The tables of a pack."""
    return tuple(table for table in TABLES if with_costs or not table.costs)


SCHEMA_ID = "inspect-app/hand-over/1"
_KINDS: Mapping[str, dict[str, Any]] = {
    TEXT: {"type": "string"}, WHOLE: {"type": "integer"}, YES: {"type": "boolean"},
    DATA: {"type": ["object", "array"]},
}  # fmt: skip


def schema_document() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of hand-over.json: what each table holds is named, and nothing else is there."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Hand-over pack of a house",
        "description": "What is recorded of a house in a period. Names of columns and files as in csv/. Texts are as "
        "people typed them; nobody verified credentials. The log records observations; it certifies nothing.",
        "type": "object",
        "additionalProperties": False,
        "required": ["schema", "number", "made_at", "program", "house", "period", "with_costs", "sheet", "tables"],
        "properties": {
            "schema": {"const": SCHEMA_ID, "description": "which schema this is"},
            "number": {"type": "string", "description": "number of the pack in the house, as 2026-H001"},
            "made_at": {"type": "string", "description": "when it was made, in UTC, ISO 8601"},
            "program": {"type": "string", "description": "program and version that wrote it"},
            "with_costs": {"type": "boolean", "description": "whether deficiency_costs is there"},
            "house": _object({
                "id": ("string", "UUID of the house"), "name": ("string", "its name"),
                "tz": ("string", "time zone of its local dates"),
                "units": ("string", "imperial or metric: shown first"),
                "datum": ("string", "what distances upstage are measured from"),
                "demo": ("boolean", "an invented house for demonstration"),
            }, "the house"),
            "period": _object({
                "first": ("string", "first day, '' for no limit"), "last": ("string", "last day, '' for no limit"),
            }, "the period, in days by the house's clock; of walks and what hangs on them, by their local date"),
            "sheet": {
                "type": "array",
                "description": "what an inspector asks in advance, answered; not recorded where nothing is",
                "items": _object({"question": ("string", "what is asked"), "answer": ("string", "in words")}, "one"),
            },
            "tables": {
                "type": "object",
                "description": "the tables, each a list of rows in the order of its CSV file",
                "additionalProperties": False,
                "required": [table.name for table in TABLES if not table.costs],
                "properties": {
                    table.name: {"type": "array", "description": table.says, "items": _row(table)} for table in TABLES
                },
            },
        },
    }  # fmt: skip


def _row(table: Table) -> dict[str, Any]:
    return {
        "type": "object",
        "additionalProperties": False,
        "required": list(table.names),
        "properties": {column.name: _field(column) for column in table.columns},
    }


def _field(column: Column) -> dict[str, Any]:
    kind = dict(_KINDS[column.kind])
    if column.may_be_empty:
        kind["type"] = [kind["type"], "null"]
    return {**kind, "description": column.says}


def _object(fields: Mapping[str, tuple[str, str]], says: str) -> dict[str, Any]:
    return {
        "type": "object",
        "description": says,
        "additionalProperties": False,
        "required": list(fields),
        "properties": {name: {"type": kind, "description": words} for name, (kind, words) in fields.items()},
    }
