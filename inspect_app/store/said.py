"""What is searchable: one row of table `said` for each text of the record, kept up to date by triggers.

Each Source below says how a row of one table becomes a row of `said`. From it are made the triggers on that table, the
rebuild, and the check that both agree; a Source that is new or says something else comes with a migration that puts
'said' into `to_rebuild`. Amounts and words about costs are left out: a guest may search.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from sqlite_utils import Database

_COLUMNS = "noun, source, house, kind, about, text, part, line_set, area, leads, at, by"


def _about(part: str, line_set: str, area: str) -> str:
    """What a text is about, as people name it; all three are expressions for ids."""
    return (
        f"trim(coalesce((SELECT tag FROM part WHERE id = {part}), '') || "
        f"coalesce((SELECT ' set ' || number || ' ' || label FROM line_set WHERE id = {line_set}), '') || "
        f"coalesce((SELECT ' ' || name FROM area WHERE id = {area}), ''))"
    )


@dataclass(frozen=True, slots=True)
class Source:
    """How rows of a table are said. Expressions see the row as x and what `joins` adds; `part`, `line_set` and `area`
    are ids. `when` keeps the trigger from rows without text. `columns` are those whose change is followed; a table
    without them is written once. `unlike` is (condition, kind) of rows that are of another kind."""

    table: str
    kind: str
    text: str
    house: str = "x.house"
    key: str = "x.id"
    leads: str = "x.id"
    part: str = "NULL"
    line_set: str = "NULL"
    area: str = "NULL"
    at: str = "x.at"
    by: str = "x.by"
    joins: str = ""
    when: str = ""
    columns: tuple[str, ...] = ()
    unlike: tuple[str, str] = ("", "")

    def select(self, condition: str = "1") -> str:
        """The rows of `said` that come from this table, in the order of _COLUMNS."""
        line_set = f"coalesce((SELECT line_set FROM part WHERE id = {self.part}), {self.line_set})"
        condition_unlike, other = self.unlike
        kind = f"iif({condition_unlike}, '{other}', '{self.kind}')" if other else f"'{self.kind}'"
        return (
            f"SELECT '{self.table}' AS noun, {self.key} AS source, {self.house} AS house, {kind} AS kind, "
            f"{_about(self.part, line_set, self.area)} AS about, trim({self.text}) AS text, {self.part} AS part, "
            f"{line_set} AS line_set, {self.area} AS area, {self.leads} AS leads, {self.at} AS at, {self.by} AS by "
            f"FROM {self.table} x {self.joins} WHERE trim({self.text}) <> '' AND {condition}"
        )


def _texts_in(column: str) -> str:
    """The texts in a JSON object, once each, without ids, dates and what the note says already."""
    return (
        "coalesce((SELECT group_concat(v, ' · ') FROM (SELECT DISTINCT j.value AS v "
        f"FROM json_each(iif(json_valid({column}), {column}, '{{}}')) j WHERE j.type = 'text' AND j.value <> '' "
        "AND j.value NOT GLOB '????????-????-????-????-????????????' "
        "AND j.value NOT GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]*')), '')"
    )


def _joined(*columns: str) -> str:
    """Columns one after another, each apart from the next by a dot where both have words."""
    return "trim(" + " || ".join(f"iif({one} = '', '', {one} || ' · ')" for one in columns) + ", ' ·')"


def _of_tag(table: str, text: str, key: str = "x.tag_out") -> Source:
    return Source(
        table, "stop", text, house="t.house", key=key, leads="x.tag_out", part="t.part", line_set="t.line_set",
        area="t.area", joins="JOIN tag_out t ON t.id = x.tag_out",
    )  # fmt: skip


_PROOF = _texts_in("x.proof")

SOURCES = (
    Source(
        "look", "look", _joined("x.reason", "x.note"), key="x.entry", leads="x.entry", part="x.part",
        when="NEW.note <> '' OR NEW.reason <> ''", columns=("note", "reason"),
    ),
    Source(
        "finding", "look", _joined("replace(x.defect, '_', ' ')", "x.note", "x.grade_reason", "x.point_text"),
        leads="x.entry", part="x.part", at="l.at", by="l.by", joins="JOIN look l ON l.entry = x.entry",
        columns=("defect", "note", "grade_reason", "point_text"),
    ),
    Source(
        "entry", "walk",
        _joined(*(f"coalesce(json_extract(CAST(x.raw AS TEXT), '$.{name}'), '')" for name in ("note", "locks_left"))),
        leads="x.walk", at="x.recorded_at", joins="JOIN walk w ON w.id = x.walk AND x.kind IN ('opening', 'closing')",
        when="NEW.kind IN ('opening', 'closing')",
    ),
    Source("walk", "walk", "x.title", at="x.opened_at", by="x.opened_by", columns=("title",)),
    Source(
        "seal", "walk", _joined("x.gaps_reason", "coalesce(json_extract(x.inspection, '$.remarks'), '')"),
        key="x.walk", leads="x.walk", by="x.person",
    ),
    Source("decision", "walk", "x.reason", house="w.house", leads="x.walk", part="x.part",
           joins="JOIN walk w ON w.id = x.walk"),
    Source("photo", "look", "x.caption", leads="NULL", at="x.received_at", by="NULL", columns=("caption",)),
    Source("deficiency", "deficiency", _joined("x.what", "x.contractor", "x.order_number"), part="x.part",
           at="x.found_at", by="x.made_by", columns=("what", "contractor", "order_number", "part")),
    Source(
        "deficiency_event", "deficiency",
        _joined(f"iif(instr({_PROOF}, x.note), '', x.note)", _PROOF),
        house="d.house", leads="x.deficiency", part="d.part",
        joins="JOIN deficiency d ON d.id = x.deficiency AND json_extract(x.proof, '$.cost') IS NULL "
        "AND json_extract(x.proof, '$.file') IS NULL",  # the file itself is said
    ),
    Source("attachment", "deficiency", _joined("x.name", "x.note"), leads="x.deficiency", part="d.part",
           at="x.received_at", joins="JOIN deficiency d ON d.id = x.deficiency",
           unlike=("x.shows NOT IN ('before', 'after')", "quote")),
    Source("tag_out", "stop", _joined("x.why", "x.responsible"), part="x.part", line_set="x.line_set", area="x.area",
           at="x.raised_at", by="x.raised_by", columns=("why", "responsible", "part", "line_set", "area", "raised_by")),
    _of_tag("tag_step", _joined("replace(x.step, '_', ' ')", "x.who", "x.note"), "x.id"),
    _of_tag("tag_place", _joined("x.height", "x.load", "x.lockout_point"), "x.id"),
    _of_tag("tag_release", _joined("x.reason", "x.proof", _texts_in("x.answers"))),
    _of_tag("tag_withdrawal", "x.reason"),
    _of_tag("withdrawal_ask", "x.reason"),
    _of_tag("tag_check", "x.looked_at"),
    Source("accepted_condition", "limit", _joined("x.what", "x.reason", "x.accepted_by", "x.paper", "x.ended_why"),
           part="x.part", columns=("what", "reason", "paper", "ended_why")),
    Source(
        "restriction", "limit",
        _joined("x.what", "x.load_limit", "x.travel_limit", "x.who", "x.ended_reason", "x.lifted_name"),
        part="x.part", line_set="x.line_set", area="x.area", columns=("what", "ended_reason", "who", "lifted_name"),
    ),
    Source("relook", "limit", _joined("x.reason", "x.end_reason"), part="x.part", columns=("reason", "end_reason")),
    Source("event", "event", _joined("replace(x.kind, '_', ' ')", "x.what"), line_set="x.line_set", area="x.area",
           columns=("kind", "what", "line_set", "area")),
    Source("event_approach", "event", _joined("x.name", "x.credential", "x.how"), house="e.house", leads="x.event",
           line_set="e.line_set", area="e.area", joins="JOIN event e ON e.id = x.event"),
    Source("event_withdrawal_ask", "event", "x.reason", house="e.house", key="x.event", leads="x.event",
           line_set="e.line_set", area="e.area", joins="JOIN event e ON e.id = x.event"),
    Source("part", "house", "x.tag || ' · ' || replace(x.kind, '_', ' ')", part="x.id", at="h.created_at", by="NULL",
           joins="JOIN house h ON h.id = x.house", columns=("tag", "kind", "line_set")),
    Source("part_life", "house", "iif(x.lot = '', '', 'lot ' || x.lot)", house="o.house", part="x.part",
           at="coalesce(x.installed_on || 'T12:00:00.000+00:00', h.created_at)", by="NULL", when="NEW.lot <> ''",
           joins="JOIN part o ON o.id = x.part JOIN house h ON h.id = o.house", columns=("lot", "installed_on")),
    Source("line_set", "house", "'set ' || x.number || ' · ' || x.label", line_set="x.id", at="h.created_at", by="NULL",
           joins="JOIN house h ON h.id = x.house", columns=("number", "label")),
    Source("area", "house", "x.name", area="x.id", at="h.created_at", by="NULL",
           joins="JOIN house h ON h.id = x.house", columns=("name",)),
    Source("part_change", "house", "replace(x.what, '_', ' ') || ': ' || iif(x.what = 'area', '', x.old || ' → ' || "
           "x.new || ' · ') || x.reason", house="o.house", leads="x.part", part="x.part",
           joins="JOIN part o ON o.id = x.part"),
    Source("interval_scope", "house", _joined("x.name", "x.reason"), columns=("name", "reason")),
    Source("blackout", "house", "x.why", columns=("why",)),
    Source("gauge_doubt", "house", _joined("iif(x.ended_at IS NULL, '', 'taken back')", "g.name", "x.why"),
           house="g.house", leads="x.gauge", joins="JOIN gauge g ON g.id = x.gauge", columns=("ended_at",)),
    Source("examination", "house", _joined("x.examiner", "x.paper")),
    Source("house_answer", "house", "x.answer"),
    Source("checklist_review", "house", _joined("x.reviewer", "x.credential", "x.remark")),
    Source("governing_choice", "house", _joined("x.document", "x.strictness", "x.reason")),
    Source("old_page", "paper", _joined("CAST(x.year AS TEXT)", "x.says", "x.name"), line_set="x.line_set",
           at="x.received_at"),
    Source("old_page_withdrawal", "paper", "x.reason", house="o.house", key="x.old_page", leads="x.old_page",
           line_set="o.line_set", joins="JOIN old_page o ON o.id = x.old_page"),
    Source("set_sound", "paper", _joined("x.place", "x.note"), line_set="x.line_set", at="x.received_at"),
    Source("label_reading", "paper", _joined("replace(x.place, '_', ' ')", "replace(x.state, '_', ' ')", "x.label"),
           line_set="x.line_set"),
)  # fmt: skip
# Names by which other texts are found: the column of `said` that points there, and what changes when they do.
_NAMED = {
    "part": ("tag, line_set", f"line_set = NEW.line_set, about = {_about('NEW.id', 'NEW.line_set', 'said.area')}"),
    "line_set": ("number, label", f"about = {_about('said.part', 'NEW.id', 'said.area')}"),
    "area": ("name", f"about = {_about('said.part', 'said.line_set', 'NEW.id')}"),
}


def guard_said(db: Database) -> None:
    """Make the triggers anew that keep `said` and its index up to date, whatever writes."""
    for name, body in _triggers():
        db.execute(f"DROP TRIGGER IF EXISTS {name}")
        db.execute(f"CREATE TRIGGER {name} {body}")


def _triggers() -> Iterator[tuple[str, str]]:
    new = "INSERT INTO said_words(rowid, keys, about, text) VALUES (NEW.id, NEW.keys, NEW.about, NEW.text);"
    old = (
        "INSERT INTO said_words(said_words, rowid, keys, about, text) "
        "VALUES ('delete', OLD.id, OLD.keys, OLD.about, OLD.text);"
    )
    yield "said_insert", f"AFTER INSERT ON said BEGIN {new} END"
    yield "said_delete", f"AFTER DELETE ON said BEGIN {old} END"
    yield "said_update", f"AFTER UPDATE ON said BEGIN {old} {new} END"
    for source in SOURCES:
        yield from _of_source(source)
    for table, (columns, change) in _NAMED.items():
        yield (
            f"said_{table}_named",
            f"AFTER UPDATE OF {columns} ON {table} BEGIN UPDATE said SET {change} WHERE {table} = NEW.id; END",
        )


def _of_source(source: Source) -> Iterator[tuple[str, str]]:
    table, put = source.table, f"INSERT INTO said({_COLUMNS}) {source.select('x.rowid = NEW.rowid')};"
    guard = f"WHEN {source.when} " if source.when else ""
    yield f"said_{table}_insert", f"AFTER INSERT ON {table} {guard}BEGIN {put} END"
    if not source.columns:
        return
    took = f"DELETE FROM said WHERE noun = '{table}' AND source = {source.key.replace('x.', 'OLD.')};"
    named = ", ".join(source.columns)
    yield f"said_{table}_update", f"AFTER UPDATE OF {named} ON {table} BEGIN {took} {put} END"
    yield f"said_{table}_delete", f"AFTER DELETE ON {table} BEGIN {took} END"


def rebuild_said(db: Database) -> None:
    """Make `said` and the index of its words again from the record, oldest first."""
    guard_said(db)
    for name in ("said_insert", "said_delete"):
        db.execute(f"DROP TRIGGER IF EXISTS {name}")
    db.execute("DELETE FROM said")
    every = " UNION ALL ".join(source.select() for source in SOURCES)
    db.execute(f"INSERT INTO said({_COLUMNS}) SELECT {_COLUMNS} FROM ({every}) ORDER BY at")
    db.execute("INSERT INTO said_words(said_words) VALUES ('rebuild')")
    guard_said(db)


def find_unlike_said(db: Database) -> tuple[str, int] | None:
    """(table, how many rows) of the first table whose texts are not what the search knows; None when all agree."""
    for source in SOURCES:
        known = f"SELECT {_COLUMNS} FROM said WHERE noun = '{source.table}'"
        for one, other in ((source.select(), known), (known, source.select())):
            (count,) = db.execute(
                f"SELECT count(*) FROM (SELECT * FROM ({one}) EXCEPT SELECT * FROM ({other}))"
            ).fetchone()
            if count:
                return source.table, count
    return None
