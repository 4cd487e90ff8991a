"""Reads shared/figures.yaml: each table of figures is checked, a bad one is named and the rest kept."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from inspect_app.domain.criteria import FLAGS
from inspect_app.domain.errors import BadValue
from inspect_app.domain.figures import FigureRow, Figures, FigureTable
from inspect_app.domain.length import parse_length
from inspect_app.domain.limit_form import number
from inspect_app.domain.source import READINGS, KeyPath, KeyProblem, Source, known_keys, not_text, one_of
from inspect_app.domain.units import UNITS


@dataclass(frozen=True, slots=True)
class Kind:
    """What a kind of figure is named by, what its rows are looked up by, and its dimensions."""

    words: tuple[str, ...]
    by: str  # size, ratio, word, or nothing for a single figure
    dimensions: tuple[str, ...]


_PIPE = ("length", "area", "section modulus", "second moment of area")
KINDS: Mapping[str, Kind] = {
    "rope_strength": Kind(("construction", "grade", "core"), "size", ("force",)),
    "rope_strength_factor": Kind(("construction", "core"), "", ("ratio",)),
    "rope_mass": Kind(("construction", "core"), "size", ("mass per length",)),
    "rope_oversize": Kind(("construction",), "size", ("length", "share")),
    "pipe": Kind(("nominal", "schedule", "wall_taken"), "word", _PIPE),
    "pipe_mass": Kind(("nominal", "schedule"), "word", ("mass per length",)),
    "termination_efficiency": Kind(("termination",), "", ("share",)),
    "sheave_efficiency": Kind((), "ratio", ("share",)),
    "bending_life": Kind((), "ratio", ("ratio",)),
    "fibre_strength": Kind(("material", "form"), "size", ("force",)),
    "fibre_working_load": Kind(("material", "form"), "size", ("force",)),
    "fibre_mass": Kind(("material", "form"), "size", ("mass per length",)),
    "fibre_practice": Kind(("topic",), "word", ("share", "ratio")),
    "design_factor": Kind(("use",), "", ("ratio",)),
    "material": Kind(("material", "property"), "", ("density", "stress")),
    "spreader_spacing": Kind(("bound",), "", ("length", "count")),
    "batten_practice": Kind(("topic",), "", ("force", "ratio", "share", "mass per length")),
    "beam_coefficient": Kind(("spans", "quantity"), "word", ("ratio",)),
}
_NEEDS = {"id", "kind", "title", "source", "clause", "mark", "applies_to"}
_MAY = {"of", "unit", "value", "rows", "by_analogy", "note", "active", "reviewed"}
_TEXTS = _NEEDS | {"unit", "value", "by_analogy", "note", "active"}
_PLACES = ({"at"}, {"to"}, {"over"}, {"over", "to"}, {"from", "to"}, {"ratio"}, {"is"})


def parse_figures(data: Mapping[str, Any], sources: Mapping[str, Source]) -> tuple[Figures, list[KeyProblem]]:
    """All tables of `figures`, all scalars text; a bad table is named with its place and left out, the rest kept."""
    listed = data.get("figures")
    if not isinstance(listed, Sequence) or isinstance(listed, str):
        return Figures(), [KeyProblem(("figures",), "figures is missing or is not a list of tables.")]
    tables: list[FigureTable] = []
    problems: list[KeyProblem] = []
    seen: set[str] = set()
    for index, row in enumerate(listed):
        path: KeyPath = ("figures", str(index))
        found = _table_problems(row, sources, path)
        if not found and row["id"] in seen:
            found = [KeyProblem((*path, "id"), f"the id {row['id']} is used twice.")]
        rows, bad = ([], []) if found else _rows(row, path)
        problems += found + bad
        if not found and not bad:
            seen.add(row["id"])
            tables.append(_built(row, tuple(rows), sources[row["source"]]))
    return Figures(tuple(tables)), problems


def _table_problems(row: object, sources: Mapping[str, Source], path: KeyPath) -> list[KeyProblem]:
    if not isinstance(row, Mapping):
        return [KeyProblem(path, "a table of figures is a mapping; see shared/README.md for its keys.")]
    problems = known_keys(row, _NEEDS, _MAY, path) + not_text(row, _TEXTS, path)
    if problems:
        return problems
    problems = one_of(row["mark"], READINGS, (*path, "mark")) + one_of(row["kind"], tuple(KINDS), (*path, "kind"))
    if row["source"] not in sources:
        problems.append(KeyProblem((*path, "source"), f"“{row['source']}” is not a key of sources.yaml."))
    if not row["clause"].strip():
        problems.append(KeyProblem((*path, "clause"), "clause is empty; name the clause, table or page."))
    for flag in ("by_analogy", "active"):
        problems += one_of(row.get(flag, "false"), FLAGS, (*path, flag))
    problems += _signature_problems(row, path)
    return problems or _word_problems(row, path)


def _word_problems(row: Mapping[str, Any], path: KeyPath) -> list[KeyProblem]:
    of = row.get("of", {})
    needed = set(KINDS[row["kind"]].words)
    problems = known_keys(of, needed, set(), (*path, "of"))
    return problems or not_text(of, needed, (*path, "of"))


def _signature_problems(row: Mapping[str, Any], path: KeyPath) -> list[KeyProblem]:
    """A table from memory is off until a qualified person has signed for it, by name, credential and date."""
    if row["mark"] != "memory":
        return []
    signed = row.get("reviewed")
    if not isinstance(signed, Mapping) or set(signed) != {"by", "credential", "on"}:
        said = "a table from memory carries reviewed: {by, credential, on}, empty until signed."
        return [KeyProblem((*path, "reviewed"), said)]
    if row.get("active", "true") != "false" and not all(str(signed[k]).strip() for k in ("by", "credential", "on")):
        return [KeyProblem((*path, "active"), "a table from memory stays active: false until reviewed is filled in.")]
    return []


def _rows(table: Mapping[str, Any], path: KeyPath) -> tuple[list[FigureRow], list[KeyProblem]]:
    """The rows, or the single `value` as one row."""
    if "value" in table:
        listed: Sequence[Any] = [{"value": table["value"]}]
        if "rows" in table:
            return [], [KeyProblem((*path, "value"), "a table has either value or rows, not both.")]
    else:
        listed = table.get("rows", ())
    if not listed or isinstance(listed, str):
        return [], [KeyProblem((*path, "rows"), "a table needs value, or rows with at least one row.")]
    rows: list[FigureRow] = []
    problems: list[KeyProblem] = []
    for index, item in enumerate(listed):
        place: KeyPath = path if "value" in table else (*path, "rows", str(index))
        row, found = _row(item, table, place)
        problems += found
        rows += [row] if row else []
    return rows, problems


def _row(item: object, table: Mapping[str, Any], path: KeyPath) -> tuple[FigureRow | None, list[KeyProblem]]:
    kind = KINDS[table["kind"]]
    problems = known_keys(item, {"value"}, {"at", "from", "to", "over", "ratio", "is", "unit", "note"}, path)
    if problems or not isinstance(item, Mapping):
        return None, problems
    unit = str(item.get("unit", table.get("unit", "")))
    if problems := one_of(unit, tuple(UNITS), (*path, "unit")):
        return None, problems
    if UNITS[unit].dimension not in kind.dimensions:
        said = f"{unit} is a {UNITS[unit].dimension}; a {table['kind']} is given as {' or '.join(kind.dimensions)}."
        return None, [KeyProblem((*path, "unit"), said)]
    place = set(item) - {"value", "unit", "note"}
    if place and place not in _PLACES:
        return None, [KeyProblem(path, "a row is placed by at, to, over, over and to, from and to, ratio, or is.")]
    try:
        row = _placed(item, unit)
    except BadValue as error:
        return None, [KeyProblem(path, error.message)]
    if row.by != kind.by:
        return None, [KeyProblem(path, f"a {table['kind']} is looked up by {kind.by or 'nothing: give one value'}.")]
    return row, []


def _placed(item: Mapping[str, Any], unit: str) -> FigureRow:
    sizes = {key: parse_length(str(item[key])) for key in ("at", "from", "to", "over") if key in item}
    return FigureRow(
        value=number(item["value"]),
        unit=unit,
        shown=_shown(item),
        low=sizes.get("at", sizes.get("from", sizes.get("over"))),
        high=sizes.get("at", sizes.get("to")),
        over="over" in item,
        ratio=number(item["ratio"]) if "ratio" in item else None,
        word=str(item["is"]) if "is" in item else None,
        note=str(item.get("note", "")),
    )


def _shown(item: Mapping[str, Any]) -> str:
    """The row's own words: `1/4 in`, `over 1/8 in to 3/16 in`, `D/d 20`."""
    if "ratio" in item:
        return f"D/d {item['ratio']}"
    if "at" in item or "is" in item:
        return str(item.get("at", item.get("is")))
    return " ".join(f"{key} {item[key]}" for key in ("from", "over", "to") if key in item)


def _built(row: Mapping[str, Any], rows: tuple[FigureRow, ...], source: Source) -> FigureTable:
    active = row.get("active", "true") == "true"
    reviewed = row.get("reviewed", {})
    words = [str(reviewed[key]).strip() for key in ("by", "credential", "on") if reviewed and reviewed[key]]
    return FigureTable(
        id=row["id"],
        kind=row["kind"],
        title=row["title"],
        of=dict(row.get("of", {})),
        rows=rows,
        source=source,
        clause=row["clause"],
        mark=row["mark"],
        applies_to=row["applies_to"],
        by_analogy=row.get("by_analogy", "false") == "true",
        note=row.get("note", ""),
        active=active,
        signed=f"signed by {', '.join(words)}" if words and active else "",
    )
