"""Worksheets: a calculation as a page and a sheet of paper show it, from what is asked to what it answers."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from typing import Any

from inspect_app.domain.criteria import Criterion
from inspect_app.domain.risk import RiskMatrix
from inspect_app.domain.source import Source

# Said on every page and sheet of the workbench, whatever was asked.
WHAT_IF = "What-if sheet: not a record of an inspection. It certifies nothing."
COMES_FIRST = (
    "This log records observations; local codes, the authority having jurisdiction, the maker's instructions and a "
    "qualified person's judgement come first. A qualified person decides."
)
ROUNDING = "Figures are shown to about four digits; everything is worked out and compared unrounded."


class Ask(StrEnum):
    """What kind of figure an input takes, and what its value is once it has been read (domain/worksheet_input.py)."""

    LENGTH = "length"  # Fraction, mm
    MASS = "mass"  # Fraction, kg
    FORCE = "force"  # Fraction, N; a mass is taken as its weight under standard gravity
    ANGLE = "angle"  # Fraction, degrees
    COUNT = "count"  # int
    NUMBER = "number"  # Fraction, no unit
    LINE_MASS = "line_mass"  # Fraction, kg per m
    TORQUE = "torque"  # Fraction, N·m
    CHOICE = "choice"  # str, one of `choices`
    TEXT = "text"  # str, one line
    LENGTHS = "lengths"  # tuple[Fraction, ...], mm, in the order typed
    LOADS = "loads"  # tuple[Load, ...]
    READINGS = "readings"  # tuple[Reading, ...], in the order typed


BARE: Mapping[Ask, tuple[str, str]] = {
    Ask.LENGTH: ("in", "mm"),
    Ask.LENGTHS: ("ft", "m"),
    Ask.MASS: ("lb", "kg"),
    Ask.FORCE: ("lbf", "N"),
    Ask.LINE_MASS: ("lb per 100 ft", "kg per 100 m"),
    Ask.TORQUE: ("lbf·ft", "N·m"),
    Ask.LOADS: ("ft", "m"),
    Ask.READINGS: ("in", "mm"),
}


@dataclass(frozen=True, slots=True)
class Input:
    """One thing asked. `bare` is the unit of a number typed without one, in an imperial and in a metric house.

    Zero is refused unless `zero`; nothing is ever negative; `least` (zero aside) and `most` bound what can be meant, in
    base units of the ask. One that is not `required` is left out of the values when it is empty. Inputs of one `group`
    stand together under it as a heading.
    """

    key: str
    label: str
    ask: Ask
    default: str = ""
    hint: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    required: bool = True
    bare: tuple[str, str] | None = None
    zero: bool = False
    least: Fraction | None = None
    most: Fraction | None = None
    group: str = ""

    def bare_unit(self, units: str) -> str:
        """The unit of a number without one; '' where the ask has none."""
        pair = self.bare or BARE.get(self.ask)
        return "" if pair is None else pair[0 if units == "imperial" else 1]


@dataclass(frozen=True, slots=True)
class Load:
    """A load on a batten: a weight at one place, or spread evenly from `at_mm` to `to_mm` (`newtons` is all of it)."""

    newtons: Fraction
    at_mm: Fraction
    to_mm: Fraction | None = None
    name: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """A repeated measure: the day as ISO text, and the value (mm for a length, a plain number for a count)."""

    on: str
    value: Fraction
    typed: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """A step of the working: what is worked out in words and signs, the same with figures put in, and the result."""

    words: str
    formula: str = ""
    result: str = ""


@dataclass(frozen=True, slots=True)
class Outcome:
    """One thing the calculation says. `tone`: plain, outside, cannot_tell, inside, not_judged or withheld.

    `citation` is document, clause and how the text was read, as Limit.citation and Figure.citation give it; several
    stand on a line each.
    """

    label: str
    value: str
    unit: str = ""
    words: str = ""
    citation: str = ""
    tone: str = "plain"


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of text under headings. `notes` stand below it."""

    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """What a worksheet says. `picture` is a domain value that output/ can draw, never markup."""

    outcomes: tuple[Outcome, ...]
    steps: tuple[Step, ...] = ()
    tables: tuple[Table, ...] = ()
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    citations: tuple[str, ...] = ()
    picture: object | None = None

    def all_citations(self) -> tuple[str, ...]:
        """Every source behind the answer, each once, in the order of its first use."""
        cited = (line for outcome in self.outcomes for line in outcome.citation.splitlines())
        return tuple(dict.fromkeys((*cited, *self.citations)))


@dataclass(frozen=True, slots=True)
class Reference:
    """What a worksheet may look up, and how its house counts (`units`: imperial or metric) and where it stands.

    `figures` is a domain/figures.Figures, `student_t` a domain/student_t.StudentT or None.
    """

    criteria: Mapping[str, Criterion] = field(default_factory=dict)
    sources: Mapping[str, Source] = field(default_factory=dict)
    figures: Any = None
    risk: RiskMatrix | None = None
    units: str = "imperial"
    jurisdiction: str = ""
    student_t: Any = None


@dataclass(frozen=True, slots=True)
class Worksheet:
    """A calculation: `key` stands in its address, `title` and `about` on the shelf, `formula` above the form.

    `run(values, reference)` gets the values that domain/worksheet_input.py has read; it may raise BadValue that names
    an input by its key.
    """

    key: str
    title: str
    about: str
    inputs: tuple[Input, ...]
    run: Callable[[Mapping[str, Any], Reference], Answer]
    formula: tuple[str, ...] = ()
