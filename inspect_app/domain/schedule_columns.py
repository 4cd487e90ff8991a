"""Which column of a line-set schedule is which: headings as people write them, US and UK words, units in brackets."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

# Heading row is looked for in the first rows, since schedules often begin with the house's name and a date.
HEADING_WITHIN = 25

FIELD_TITLES: Mapping[str, str] = {
    "number": "Set number",
    "distance": "Distance from the datum",
    "label": "What is on it",
    "kind": "Kind of set",
    "lines": "Lift lines",
    "head_side": "Head side",
    "axis": "Across or along",
    "arbor_capacity": "Arbor capacity",
    "batten_length": "Batten length",
    "batten_capacity": "Batten capacity",
}
NEEDED = ("number", "distance")

# Words as they stand in headings, upper and lower case and signs left out. Common practice, no source.
SYNONYMS: Mapping[str, tuple[str, ...]] = {
    "number": (
        *("set", "set no", "set number", "line", "line no", "line number", "line set", "lineset", "line set no"),
        *(
            "line set number",
            "lineset number",
            "lineset no",
            "ls",
            "ls no",
            "no",
            "number",
            "bar",
            "bar no",
            "bar number",
        ),
        *("fly set", "flying set", "cwt set", "counterweight set", "fly bar", "batten no", "batten number", "pipe no"),
    ),
    "distance": (
        *("distance", "dist", "distance from plaster line", "dist from plaster line", "from plaster line"),
        *(
            "plaster line",
            "pl",
            "from pl",
            "dist from pl",
            "distance from pl",
            "upstage",
            "us of pl",
            "us of plaster line",
        ),
        *("distance from datum", "from datum", "distance from setting line", "setting line", "from setting line"),
        *("distance from smoke pocket", "from smoke pocket", "distance from stage front", "distance us", "ds to us"),
        *("distance upstage", "depth", "position", "location", "centre", "distance from proscenium", "from proscenium"),
    ),
    "label": (
        *(
            "use",
            "label",
            "name",
            "goods",
            "soft goods",
            "item",
            "description",
            "hung",
            "what hangs",
            "purpose",
            "load",
        ),
        *("function", "contents", "content", "piece", "unit", "assignment", "assigned", "usual use", "what is on it"),
        *("hanging", "notes", "remarks", "show"),
    ),
    "kind": ("kind", "type", "kind of set", "set type", "purchase", "operation", "system", "operated", "drive"),
    "lines": (
        *("lines", "lift lines", "no of lines", "number of lines", "lift line count", "drops", "falls", "no of drops"),
        *("suspension points", "suspensions", "suspension lines", "pick points", "picks", "wires", "no of wires"),
    ),
    "head_side": (
        "head side",
        "side",
        "rail side",
        "rail",
        "operating side",
        "op side",
        "head",
        "arbor side",
        "cradle side",
    ),
    "axis": ("axis", "direction", "across or along", "runs"),
    "arbor_capacity": (
        *(
            "arbor capacity",
            "cradle capacity",
            "capacity",
            "arbor",
            "cradle",
            "max load",
            "swl",
            "wll",
            "safe working load",
        ),
        *("counterweight capacity", "arbor max", "working load limit"),
    ),
    "batten_length": ("batten length", "bar length", "pipe length", "barrel length", "length", "batten"),
    "batten_capacity": ("batten capacity", "bar capacity", "pipe capacity", "batten swl", "bar swl"),
}
_BY_WORD = {word: key for key, words in SYNONYMS.items() for word in words}

_UNITS: Mapping[str, tuple[str, ...]] = {
    "mm": ("mm", "millimetres", "millimeters"),
    "cm": ("cm", "centimetres", "centimeters"),
    "m": ("m", "metres", "meters", "metre", "meter"),
    "in": ("in", "inch", "inches"),
    "ft": ("ft", "feet", "foot"),
    "kg": ("kg", "kgs", "kilograms"),
    "lb": ("lb", "lbs", "pounds"),
}
_UNIT_WORDS = {word: unit for unit, words in _UNITS.items() for word in words}
_LAST_UNIT = re.compile(r"(?:\bin\s+)?\b([a-z]+)$")


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its place from 0, its heading, the field it is taken for ('' for none) and a unit in the heading."""

    index: int
    heading: str
    field: str = ""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Columns:
    """The columns of a table and the row (from 0) of the headings; None when no row looks like headings."""

    heading_row: int | None
    columns: tuple[Column, ...] = field(default_factory=tuple)

    def of(self, name: str) -> Column | None:
        """The column taken for a field."""
        return next((column for column in self.columns if column.field == name), None)

    def missing(self) -> tuple[str, ...]:
        """Needed fields that no column is taken for."""
        return tuple(name for name in NEEDED if self.of(name) is None)


def match_heading(heading: str) -> tuple[str, str]:
    """(field, unit) of one heading; '' for what is not known. The unit may stand in brackets or at the end."""
    words = " ".join(re.sub(r"[^\w#]+|_", " ", heading.casefold().replace("c/w", "cwt")).replace("#", " no ").split())
    if words in _BY_WORD:
        return _BY_WORD[words], ""
    match = _LAST_UNIT.search(words)
    unit = _UNIT_WORDS.get(match[1], "") if match else ""
    if match and unit:
        words = words[: match.start()].strip()
    return _BY_WORD.get(words) or _BY_WORD.get(_without_articles(words), ""), unit


def _without_articles(words: str) -> str:
    return " ".join(word for word in words.split() if word not in ("the", "of", "a"))


def find_columns(rows: Sequence[Sequence[str]]) -> Columns:
    """The heading row and what each column is taken for; the first column of a field wins, others stay unused."""
    best, best_count = None, 0
    for index, row in enumerate(rows[:HEADING_WITHIN]):
        count = len({match_heading(cell)[0] for cell in row} - {""})
        if count > best_count:
            best, best_count = index, count
    if best is None or best_count < 2:
        width = max((len(row) for row in rows), default=0)
        return Columns(None, tuple(Column(n, "") for n in range(width)))
    taken: set[str] = set()
    columns = []
    width = max(len(row) for row in rows[best:])
    for index in range(width):
        heading = rows[best][index] if index < len(rows[best]) else ""
        name, unit = match_heading(heading)
        columns.append(Column(index, heading, "" if name in taken else name, unit))
        taken.add(name)
    return Columns(best, tuple(columns))


def choose_columns(columns: Columns, chosen: Mapping[int, str]) -> Columns:
    """The columns with a person's own choice of field by column; a field chosen twice goes to the first."""
    taken: set[str] = set()
    result = []
    for column in columns.columns:
        name = chosen.get(column.index, column.field)
        name = name if name in FIELD_TITLES and name not in taken else ""
        taken.add(name)
        result.append(Column(column.index, column.heading, name, column.unit))
    return Columns(columns.heading_row, tuple(result))


def letter_of(index: int) -> str:
    """The letter of a column as a spreadsheet shows it: 0 is A, 26 is AA."""
    letters = ""
    index += 1
    while index:
        index, rest = divmod(index - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
