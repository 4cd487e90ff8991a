"""Figures as published: catalogue strengths, masses, sections, factors; looked up, never guessed between sizes.

A lookup answers every published row that fits, side by side where documents differ, and nothing at all where none does.
Only tables over a ratio (tread over rope diameter) are read between rows: at the next lower row, which is said.
Rows from memory are left out; a house's own reading of them is put in by house_figures.py.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from inspect_app.domain.errors import BadValue
from inspect_app.domain.length import parse_length
from inspect_app.domain.limit_form import SAME_SIZE_MM
from inspect_app.domain.source import MARK_WORDS, Source
from inspect_app.domain.units import MM_PER_INCH, Number, convert, exact, with_sign

LOWER_ROW = "Read at the next lower row, {row}: the document does not say how to read between rows (our choice)."
PIPE_PARTS = (
    "outside_diameter", "wall", "inside_diameter", "area", "inertia", "radius_of_gyration", "section_modulus",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Figure:
    """One published number with where it stands and how it was read; `row` is the row of the table it was read in."""

    value: Fraction
    unit: str
    source: Source
    clause: str
    mark: str
    id: str = ""
    title: str = ""
    applies_to: str = ""
    row: str = ""
    note: str = ""
    by_analogy: bool = False
    signed: str = ""

    @property
    def citation(self) -> str:
        """Document and clause, always with how it was read or who signed for it, and whether it is an analogy."""
        extras = [self.signed or MARK_WORDS[self.mark]] + (["by analogy"] if self.by_analogy else [])
        return f"{self.source.document} {self.clause} ({', '.join(extras)})"

    @property
    def shown(self) -> str:
        """The value as printed, with its unit."""
        return with_sign(self.value, self.unit)

    def in_unit(self, unit: str) -> Fraction:
        """The value in another unit, exactly. Raises BadValue across dimensions."""
        return convert(self.value, self.unit, unit)


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One row: for a size in mm (`low` to `high`, `over` leaves `low` itself out), from a ratio on, or for a word."""

    value: Fraction
    unit: str
    shown: str
    low: Fraction | None = None
    high: Fraction | None = None
    over: bool = False
    ratio: Fraction | None = None
    word: str | None = None
    note: str = ""

    @property
    def by(self) -> str:
        """What the row is looked up by: size, ratio, word, or nothing for a single figure."""
        if self.low is not None or self.high is not None:
            return "size"
        return "ratio" if self.ratio is not None else "word" if self.word is not None else ""


@dataclass(frozen=True, slots=True)
class FigureTable:
    """What one document says of one thing: `kind` and `of` name the thing, `rows` hold the numbers."""

    id: str
    kind: str
    title: str
    of: Mapping[str, str]
    rows: tuple[FigureRow, ...]
    source: Source
    clause: str
    mark: str
    applies_to: str
    by_analogy: bool = False
    note: str = ""
    active: bool = True
    signed: str = ""

    def figure(self, row: FigureRow, note: str = "") -> Figure:
        """The row as a figure with everything that is said of it."""
        said = " ".join(text for text in (note, row.note, self.note) if text)
        return Figure(
            value=row.value, unit=row.unit, source=self.source, clause=self.clause, mark=self.mark, id=self.id,
            title=self.title, applies_to=self.applies_to, row=row.shown, note=said, by_analogy=self.by_analogy,
            signed=self.signed,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class PipeSection:
    """A pipe as one document gives it. What that document does not print is None."""

    nominal: str
    schedule: str
    outside_diameter: Figure | None = None
    wall: Figure | None = None
    inside_diameter: Figure | None = None
    area: Figure | None = None
    inertia: Figure | None = None
    radius_of_gyration: Figure | None = None
    section_modulus: Figure | None = None
    mass_per_length: tuple[Figure, ...] = ()


LARGE_CLIPS = "clips on 1 in. and above"  # as shared/figures.yaml names them


@dataclass(frozen=True, slots=True)
class Figures:
    """All published figures. Lookups leave out rows from memory for which nobody has signed a figure in."""

    tables: tuple[FigureTable, ...] = ()

    def waiting(self) -> tuple[FigureTable, ...]:
        """The rows from memory that still wait for a signature, to be shown as such."""
        return tuple(table for table in self.tables if not table.active)

    def matching(self, kind: str, **of: str | None) -> tuple[FigureTable, ...]:
        """The tables of a kind in use whose words agree with each word given; None leaves a word open."""
        asked = {key: value for key, value in of.items() if value is not None}
        return tuple(
            table for table in self.tables
            if table.active and table.kind == kind and all(table.of.get(key) == asked[key] for key in asked)
        )  # fmt: skip

    def single(self, kind: str, **of: str | None) -> tuple[Figure, ...]:
        """The figures that stand alone, not in a table."""
        return tuple(
            table.figure(row) for table in self.matching(kind, **of) for row in table.rows if row.by == ""
        )  # fmt: skip

    def by_word(self, kind: str, word: str, **of: str | None) -> tuple[Figure, ...]:
        """The figures of the rows with this word."""
        return tuple(
            table.figure(row) for table in self.matching(kind, **of) for row in table.rows if row.word == word
        )  # fmt: skip

    def by_size(self, kind: str, size_mm: Number, **of: str | None) -> tuple[Figure, ...]:
        """The figures for a nominal size; none between the sizes of a table. Raises BadValue for an impossible size."""
        size = _positive(size_mm, "The size", "size")
        rows = ((table, _row_of_size(table, size)) for table in self.matching(kind, **of))
        return tuple(table.figure(row) for table, row in rows if row is not None)

    def by_ratio(self, kind: str, ratio: Number, **of: str | None) -> tuple[Figure, ...]:
        """The figures at a ratio or at the next lower row; none below a table. Raises BadValue for none above 0."""
        asked = _positive(ratio, "The ratio", "ratio")
        found = ((table, _row_of_ratio(table, asked)) for table in self.matching(kind, **of))
        return tuple(
            table.figure(row, "" if row.ratio == asked else LOWER_ROW.format(row=row.shown))
            for table, row in found if row is not None
        )  # fmt: skip

    # Named lookups, in the words of the trade.

    def rope_strength(
        self, construction: str, grade: str | None, diameter_mm: Number, core: str | None = None
    ) -> tuple[Figure, ...]:
        """Catalogue breaking strength of a new wire rope; several rows where documents differ or the grade is open."""
        return self.by_size("rope_strength", diameter_mm, construction=construction, grade=grade, core=core)

    def rope_grades(self, construction: str) -> tuple[str, ...]:
        """The grades for which some document gives strengths, in the order of the file."""
        tables = self.matching("rope_strength", construction=construction)
        return tuple(dict.fromkeys(table.of["grade"] for table in tables))

    def rope_mass(self, construction: str, diameter_mm: Number, core: str | None = None) -> tuple[Figure, ...]:
        """Mass per length of a wire rope."""
        return self.by_size("rope_mass", diameter_mm, construction=construction, core=core)

    def rope_size_tolerance(self, construction: str, diameter_mm: Number) -> tuple[Figure, ...]:
        """How much above nominal a new rope may measure, as a length or in percent (documents differ)."""
        return self.by_size("rope_oversize", diameter_mm, construction=construction) + self.by_size(
            "rope_oversize", diameter_mm, construction="any"
        )

    def pipes(self, nominal: str, schedule: str = "40") -> tuple[PipeSection, ...]:
        """A pipe as each document gives it. `nominal` is its name in inches. Raises BadValue for no such text."""
        size = parse_length(nominal, "in")
        name = {"nominal": next((t.of["nominal"] for t in self.tables if _named(t, size)), nominal)}
        mass = self.by_word("pipe_mass", "mass_per_length", **name, schedule=schedule)
        return tuple(
            PipeSection(
                name["nominal"], schedule, mass_per_length=mass,
                **{row.word: table.figure(row) for row in table.rows if row.word in PIPE_PARTS},
            )
            for table in self.matching("pipe", **name, schedule=schedule)
        )  # fmt: skip

    def pipe(self, nominal: str, schedule: str = "40") -> PipeSection | None:
        """The pipe as the first document gives it; `pipes` has them all. Raises BadValue for no such text."""
        return next(iter(self.pipes(nominal, schedule)), None)

    def termination_efficiency(self, kind: str, diameter_mm: Number | None = None) -> tuple[Figure, ...]:
        """Share of the catalogue strength, in percent, that documents grant a line end; empty where none was found.

        Clips on a rope of an inch and above have a row of their own, from memory until a house signs it in.
        """
        found = self.single("termination_efficiency", termination=kind)
        if kind != "clips" or diameter_mm is None or _positive(diameter_mm, "The size", "size") < MM_PER_INCH:
            return found
        return found + self.single("termination_efficiency", termination=LARGE_CLIPS)

    def sheave_efficiency(self, ratio: Number) -> tuple[Figure, ...]:
        """Share of the strength, in percent, of a rope at rest over a sheave, by tread over rope diameter."""
        return self.by_ratio("sheave_efficiency", ratio)

    def fatigue_ratio(self, ratio: Number) -> tuple[Figure, ...]:
        """Relative bending life by tread over rope diameter. Compare two of one document; it says no life by itself."""
        return self.by_ratio("bending_life", ratio)

    def fibre_strength(self, material: str, diameter_mm: Number) -> tuple[Figure, ...]:
        """Catalogue strength of a new fibre rope without knots."""
        return self.by_size("fibre_strength", diameter_mm, material=material)

    def fibre_mass(self, material: str, diameter_mm: Number) -> tuple[Figure, ...]:
        """Mass per length of a fibre rope."""
        return self.by_size("fibre_mass", diameter_mm, material=material)

    def design_factors(self, use: str) -> tuple[Figure, ...]:
        """The design factors that documents ask for a use, side by side, each with its scope."""
        return self.single("design_factor", use=use)

    def material(self, material: str, quantity: str) -> tuple[Figure, ...]:
        """A property of a material: density, elastic_modulus or yield_strength."""
        return self.single("material", material=material, property=quantity)


def _positive(value: Number, what: str, field: str) -> Fraction:
    size = exact(value)
    if size <= 0:
        raise BadValue(f"{what} is {value}; it must be more than zero.", field)
    return size


def _row_of_size(table: FigureTable, size: Fraction) -> FigureRow | None:
    for row in table.rows:
        slack = -SAME_SIZE_MM if row.over else SAME_SIZE_MM
        low_ok = row.low is None or (size > row.low - slack if row.over else size >= row.low - slack)
        if row.by == "size" and low_ok and (row.high is None or size <= row.high + SAME_SIZE_MM):
            return row
    return None


def _row_of_ratio(table: FigureTable, ratio: Fraction) -> FigureRow | None:
    below = [row for row in table.rows if row.ratio is not None and row.ratio <= ratio]
    return max(below, key=lambda row: row.ratio or 0, default=None)


def _named(table: FigureTable, size_mm: Fraction) -> bool:
    return "nominal" in table.of and parse_length(table.of["nominal"], "in") == size_mm
