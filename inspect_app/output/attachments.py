"""What rides along inside the PDF: the sealed data, and tables whose texts can never start a formula."""

import csv
import io
import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from inspect_app.domain.report_words import DEMO_LINE
from inspect_app.domain.source import MARK_WORDS

WALK_JSON = "walk.json"
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%")
_NUMBER = re.compile(r"-?\d+(\.\d+)?\Z", re.ASCII)

PARTS = (
    *("tag", "kind", "kind_title", "line_set", "line", "line_name", "well", "area", "x_mm", "y_mm", "z_mm"),
    *("result", "grade", "ways", "asked", "answered"),
)
FINDINGS = (
    *("id", "part", "line_set", "point", "point_text", "defect", "answer", "grade", "proposed_grade", "grade_reason"),
    *("wear", "wear_text", "note", "photos", "by", "at", "basis", "stop_words", "deficiency", "counted"),
)
MEASURES = (
    *("part", "point", "quantity", "value", "unit", "typed", "readings", "station", "gauge", "resolution"),
    *("load_state", "governing", "differs", "former"),
)
VERDICT = ("state", "words", "limit", "op", "unit", "source", "clause", "mark", "by_analogy", "governing")


@dataclass(frozen=True, slots=True)
class AttachedFile:
    """A file inside the PDF; `relationship` as PDF/A-3 names it."""

    name: str
    content: bytes
    says: str
    relationship: str


def attachments_of(data: Mapping[str, Any], sealed: bytes) -> tuple[AttachedFile, ...]:
    """walk.json with exactly the bytes `sealed`, and three CSV files made from the same data, in order of name."""
    demo = bool((data.get("house") or {}).get("demo"))
    note = f"{DEMO_LINE}. " if demo else ""
    return (
        AttachedFile("findings.csv", _csv(FINDINGS, data.get("findings") or (), demo), note + "Findings", "Data"),
        AttachedFile("measures.csv", _measures(data.get("measures") or (), demo), note + "Measures", "Data"),
        AttachedFile("parts.csv", _csv(PARTS, data.get("parts") or (), demo), note + "Parts in scope", "Data"),
        AttachedFile(WALK_JSON, sealed, note + "The data of the walk in canonical JSON (RFC 8785)", "Source"),
    )


def cell(value: object) -> str:
    """A value as the text of a cell. Text that a spreadsheet could take for a formula gets an apostrophe before it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return str(value)
    text = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
    if isinstance(value, list | tuple):
        text = "; ".join(str(item) for item in value)
    text = text.replace("\x00", "")
    risky = text.lstrip(" \u00a0\ufeff").startswith(_FORMULA) or text.startswith(_FORMULA)
    return f"'{text}" if risky and not _NUMBER.match(text) else text


def _csv(columns: Iterable[str], rows: Iterable[Mapping[str, Any]], demo: bool) -> bytes:
    names = list(columns)
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n", quoting=csv.QUOTE_MINIMAL)
    writer.writerow([*names, *([DEMO_LINE] if demo else [])])
    for row in rows:
        writer.writerow([*(cell(row.get(name)) for name in names), *(["yes"] if demo else [])])
    return out.getvalue().encode("utf-8-sig")


def _mark(verdict: Mapping[str, Any]) -> str:
    """How the clause was read, in the words that stand beside the verdict on paper."""
    mark = str(verdict.get("mark") or "")
    return MARK_WORDS.get(mark, mark)


def _measures(measures: Iterable[Mapping[str, Any]], demo: bool) -> bytes:
    """One row per figure and criterion; a figure without a criterion has one row."""
    rows = [
        {**measure, **{f"verdict_{name}": verdict.get(name) for name in VERDICT}, "verdict_mark": _mark(verdict)}
        for measure in measures
        for verdict in (measure.get("verdicts") or [{}])
    ]
    return _csv([*MEASURES, *(f"verdict_{name}" for name in VERDICT)], rows, demo)
