"""A line-set schedule as a table of text read into line sets: bad rows are named by row and column, good ones kept."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from inspect_app.domain.attribute_value import exact_text
from inspect_app.domain.errors import BadValue
from inspect_app.domain.house import LineSet, LineSetKind, Side
from inspect_app.domain.length import format_feet_inches, parse_length
from inspect_app.domain.line_set import FARTHEST_MM, KIND_WORDS, MOST_LINES, SIDE_WORDS, clean_label, clean_number
from inspect_app.domain.mass import parse_mass
from inspect_app.domain.schedule_columns import FIELD_TITLES, Column, Columns, letter_of

LONGEST_CELL = 300
MOST_ROWS = 1000
LENGTH_UNITS: Mapping[str, str] = {
    "ft": "feet",
    "in": "inches",
    "m": "metres",
    "mm": "millimetres",
    "cm": "centimetres",
}
_FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")

_KINDS: Mapping[LineSetKind, tuple[str, ...]] = {
    LineSetKind.SINGLE: ("single", "single purchase", "sp", "cwt", "counterweight", "cw", "manual", "1:1"),
    LineSetKind.DOUBLE: ("double", "double purchase", "dp", "2:1"),
    LineSetKind.MOTOR: ("motorised", "motorized", "motor", "winch", "powered", "power", "hoist", "automated", "auto"),
    LineSetKind.ROPE: ("rope", "hemp", "hand", "rope set", "hemp set"),
    LineSetKind.DEAD: ("dead hung", "dead", "deadhung", "fixed", "static", "dead hang"),
}
_KIND_OF = {word: kind for kind, words in _KINDS.items() for word in words}
_SIDES: Mapping[Side, tuple[str, ...]] = {
    Side.RIGHT: ("sr", "stage right", "right", "r", "s r"),
    Side.LEFT: ("sl", "stage left", "left", "l", "s l"),
}
_SIDE_OF = {word: side for side, words in _SIDES.items() for word in words}
_AXES = {"across": "across", "along": "along", "up and down": "along", "us ds": "along", "side": "along"}


@dataclass(frozen=True, slots=True)
class Defaults:
    """What holds where the file says nothing: unit of bare lengths and masses, kind, lines, head side."""

    length_unit: str = "ft"
    mass_unit: str = "lb"
    kind: LineSetKind = LineSetKind.SINGLE
    lines: int = 0
    head_side: Side = Side.RIGHT


@dataclass(frozen=True, slots=True)
class ScheduleLine:
    """One set as the file gives it. `given` names the fields that the file filled; `attributes` go to its parts."""

    number: str
    y_mm: int
    label: str = ""
    kind: LineSetKind = LineSetKind.SINGLE
    lines: int = 0
    head_side: Side = Side.RIGHT
    axis: str = "across"
    given: frozenset[str] = frozenset()
    attributes: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class CellProblem:
    """What is wrong in a row (from 1, as a spreadsheet counts) and column, and how to mend it."""

    row: int
    column: int
    heading: str
    message: str

    def __str__(self) -> str:
        named = f" ({self.heading})" if self.heading else ""
        return f"Row {self.row}, column {letter_of(self.column)}{named}: {self.message}"


@dataclass(frozen=True, slots=True)
class ScheduleRow:
    """A row of the file with its cells as typed, and either the set it gives or what is wrong with it."""

    row: int
    cells: tuple[str, ...]
    line: ScheduleLine | None
    problems: tuple[CellProblem, ...] = ()


def read_schedule(rows: Sequence[Sequence[str]], columns: Columns, defaults: Defaults) -> list[ScheduleRow]:
    """Every row below the headings that is not empty. Raises BadValue when a needed column is not there."""
    if columns.missing():
        missing = " and ".join(FIELD_TITLES[name].lower() for name in columns.missing())
        raise BadValue(f"No column is taken for the {missing}. Choose the column below.", "columns")
    first = 0 if columns.heading_row is None else columns.heading_row + 1
    seen: dict[str, int] = {}
    found = []
    for index, cells in enumerate(rows[first:], start=first + 1):
        if not any(cell.strip() for cell in cells):
            continue
        found.append(_row(index, tuple(cells), columns, defaults, seen))
    if len(found) > MOST_ROWS:
        raise BadValue(f"The file has {len(found)} rows; a schedule here has up to {MOST_ROWS}.", "file")
    return found


def _row(index: int, cells: tuple[str, ...], columns: Columns, defaults: Defaults, seen: dict[str, int]) -> ScheduleRow:
    values: dict[str, object] = {}
    problems: list[CellProblem] = []
    for column in columns.columns:
        text = cells[column.index] if column.index < len(cells) else ""
        if column.field and (text.strip() or column.field in ("number", "distance")):
            try:
                values[column.field] = _read_cell(text, column, defaults)
            except BadValue as error:
                problems.append(CellProblem(index, column.index, column.heading, error.message))
    number = values.get("number")
    if isinstance(number, str):
        before = seen.setdefault(number.casefold(), index)
        if before != index:
            at = columns.of("number")
            message = f"set {number} stands already in row {before}."
            problems.append(CellProblem(index, at.index if at else 0, at.heading if at else "", message))
    if problems:
        return ScheduleRow(index, cells, None, tuple(problems))
    return ScheduleRow(index, cells, _line(values, defaults))


def _line(values: Mapping[str, object], defaults: Defaults) -> ScheduleLine:
    attributes = {name: str(values[name]) for name in _ATTRIBUTES if name in values}
    return ScheduleLine(
        number=str(values["number"]),
        y_mm=round(Fraction(str(values["distance"]))),
        label=str(values.get("label", "")),
        kind=LineSetKind(str(values.get("kind", defaults.kind))),
        lines=int(str(values.get("lines", defaults.lines))),
        head_side=Side(str(values.get("head_side", defaults.head_side))),
        axis=str(values.get("axis", "across")),
        given=frozenset(values),
        attributes=attributes,
    )


def _read_cell(text: str, column: Column, defaults: Defaults) -> object:
    if len(text) > LONGEST_CELL:
        raise BadValue(f"has {len(text)} characters, too long for a cell of a schedule. It was cut here.")
    clean = unguard(text.strip())
    if column.field != "label" and clean.startswith("="):
        raise BadValue(f"“{clean[:40]}” is a formula without a kept result. Write the value itself.")
    return _READERS[column.field](clean, column, defaults)


def _read_distance(text: str, column: Column, defaults: Defaults) -> object:
    if not text:
        raise BadValue('the distance is missing. Write it as 12\'-6 1/2", 150.5", 3.81 m or 3810 mm.')
    mm = parse_length(text, column.unit if column.unit in LENGTH_UNITS else defaults.length_unit, allow_negative=True)
    if abs(mm) > FARTHEST_MM:
        raise BadValue(f"“{text}” would be {float(mm) / 1000:.0f} m from the datum; check the unit of the column.")
    return mm


def _read_length(text: str, column: Column, defaults: Defaults) -> str:
    return exact_text(parse_length(text, column.unit if column.unit in LENGTH_UNITS else defaults.length_unit))


def _read_mass(text: str, column: Column, defaults: Defaults) -> str:
    return exact_text(parse_mass(text, column.unit if column.unit in ("kg", "lb") else defaults.mass_unit))


def _read_lines(text: str, _: Column, __: Defaults) -> int:
    whole = text.removesuffix(".0")
    if not (whole.isascii() and whole.isdigit() and int(whole[:6]) <= MOST_LINES):
        raise BadValue(f"“{text[:30]}” is not a count of lift lines from 0 to {MOST_LINES}.")
    return int(whole)


def _read_kind(text: str, _: Column, __: Defaults) -> LineSetKind:
    kind = _KIND_OF.get(_plain(text))
    if kind is None:
        raise BadValue(f"“{text[:30]}” is not a kind of set. Write {', '.join(KIND_WORDS.values())}.")
    return kind


def _read_side(text: str, _: Column, __: Defaults) -> Side:
    side = _SIDE_OF.get(_plain(text))
    if side is None:
        raise BadValue(f"“{text[:30]}” is not a side. Write SR or SL; PS and OP differ between houses.")
    return side


def _read_axis(text: str, _: Column, __: Defaults) -> str:
    axis = _AXES.get(_plain(text))
    if axis is None:
        raise BadValue(f"“{text[:30]}” is neither across nor along.")
    return axis


def _plain(text: str) -> str:
    return " ".join(text.casefold().replace("-", " ").replace(".", " ").replace("/", " ").split())


_READERS: Mapping[str, Callable[[str, Column, Defaults], object]] = {
    "number": lambda text, column, defaults: clean_number(text.removesuffix(".0")),
    "distance": _read_distance,
    "label": lambda text, column, defaults: clean_label(text),
    "kind": _read_kind,
    "lines": _read_lines,
    "head_side": _read_side,
    "axis": _read_axis,
    "arbor_capacity": _read_mass,
    "batten_length": _read_length,
    "batten_capacity": _read_mass,
}
EXPORT_HEADINGS = (
    *("Set number", "Distance (mm)", "What is on it", "Kind of set", "Lift lines", "Head side", "Axis"),
    *("Arbor capacity (kg)", "Batten length (mm)", "Batten capacity (kg)"),
)
_ATTRIBUTES = ("arbor_capacity", "batten_length", "batten_capacity")


def guard(text: str) -> str:
    """Text that no spreadsheet takes for a formula: an apostrophe goes before a sign that would begin one."""
    return f"'{text}" if text.lstrip("'").startswith(_FORMULA_STARTS) else text


def unguard(text: str) -> str:
    """The text that `guard` was given."""
    return text[1:] if text.startswith("'") and text.lstrip("'").startswith(_FORMULA_STARTS) else text


def export_schedule(
    line_sets: Sequence[LineSet], attributes: Mapping[str, Mapping[str, str]], datum: str, units: str
) -> list[list[str]]:
    """The sets as a table that `read_schedule` reads back: heading row first, all cells text that begins no formula.

    `attributes` gives arbor_capacity and batten_capacity in kg and batten_length in mm by id of the set.
    """
    table = [[*EXPORT_HEADINGS, f"To read: from {datum}"]]
    for line_set in line_sets:
        known = attributes.get(line_set.id, {})
        reading = format_feet_inches(line_set.y_mm) if units == "imperial" else f"{line_set.y_mm / 1000:.3f} m"
        row = [
            *(line_set.number, str(line_set.y_mm), line_set.label, KIND_WORDS[line_set.kind], str(line_set.lines)),
            *(SIDE_WORDS[line_set.head_side], line_set.axis),
            *(known.get(name, "") for name in ("arbor_capacity", "batten_length", "batten_capacity")),
            reading,
        ]
        table.append([guard(cell) for cell in row])
    return table
