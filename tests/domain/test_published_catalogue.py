"""Each figure of shared/figures.yaml that was read, against the number as its document prints it."""

import math
from collections.abc import Callable
from fractions import Fraction

import pytest

from inspect_app.config import shared_dir
from inspect_app.domain.figures import Figure, PipeSection
from inspect_app.store.reference import reference_at
from tests.published import published

FIGURES = reference_at(shared_dir()).figures
IN = Fraction("25.4")
FAA, FAA_TABLE = "FAA AC 43.13-1B", "Table 7-3"


def only(figures: tuple[Figure, ...], table: str = "") -> Figure:
    """The one figure, of one table where several answer."""
    found = [figure for figure in figures if table in ("", figure.id)]
    assert len(found) == 1, [figure.id for figure in figures]
    return found[0]


def printed(figure: Figure) -> tuple[Fraction, str]:
    return figure.value, figure.unit


# Wire rope


@published(
    "Rope strength", FAA, f"{FAA_TABLE}, {{_column}}", "read",
    names="_column, grade, table, size, pounds",
    rows=[
        *[("composition A", "carbon", "faa-7x19-carbon", *row) for row in [
            ("1/8", 2000), ("5/32", 2800), ("3/16", 4200), ("7/32", 5600), ("1/4", 7000), ("9/32", 8000),
            ("5/16", 9800), ("11/32", 12500), ("3/8", 14400),
        ]],
        *[("composition B", "stainless", "faa-7x19-stainless", *row) for row in [
            ("1/8", 1760), ("5/32", 2400), ("3/16", 3700), ("7/32", 5000), ("1/4", 6400), ("9/32", 7800),
            ("5/16", 9000), ("3/8", 12000),
        ]],
        *[("MIL-C-18375", "stainless", "faa-7x19-stainless-18375", *row) for row in [
            ("1/8", 1300), ("5/32", 2000), ("3/16", 2900), ("7/32", 3800), ("1/4", 4900), ("9/32", 6100),
            ("5/16", 7600), ("3/8", 11000),
        ]],
    ],
    what="7x19, {grade}, {size} in.", value="{pounds} lbf",
)  # fmt: skip
def test_strengths_of_7x19_are_those_of_the_table(grade: str, table: str, size: str, pounds: int) -> None:
    found = FIGURES.rope_strength("7x19", grade, Fraction(size) * IN)
    assert printed(only(found, table)) == (pounds, "lbf")


@published(
    "Rope strength", FAA, f"{FAA_TABLE}, composition A", "read",
    names="size, pounds",
    rows=[("7/16", 17600), ("1/2", 22800), ("9/16", 28500), ("5/8", 35000), ("3/4", 49600), ("1", 85400)],
    what="6x19 with steel core, carbon, {size} in.", value="{pounds} lbf",
)  # fmt: skip
def test_strengths_of_6x19_with_steel_core_are_those_of_the_table(size: str, pounds: int) -> None:
    assert printed(only(FIGURES.rope_strength("6x19", "carbon", Fraction(size) * IN, "steel"))) == (pounds, "lbf")


@published(
    "Rope strength", FAA, f"{FAA_TABLE}, composition B", "read",
    what="6x19 with steel core, stainless, 7/16 in.", value="16300 lbf",
)  # fmt: skip
def test_the_stainless_row_that_differs_is_that_of_the_table() -> None:
    assert printed(only(FIGURES.rope_strength("6x19", "stainless", 7 * IN / 16))) == (16300, "lbf")


@published(
    "Rope strength", "trade article on small cable", "example in the text", "secondary",
    names="construction, pounds", rows=[("7x19", 4200), ("7x7", 3700)],
    what="{construction}, carbon, 3/16 in.", value="{pounds} lbf",
)  # fmt: skip
def test_an_article_gives_the_same_strength_for_three_sixteenths(construction: str, pounds: int) -> None:
    assert printed(only(FIGURES.rope_strength(construction, "carbon", 3 * IN / 16))) == (pounds, "lbf")


@published(
    "Rope strength", "engineering reference table, 6x19 wire rope", "6x19 fibre core, IPS, bright", "secondary",
    names="size, pounds",
    rows=[("1/4", 5480), ("5/16", 8520), ("3/8", 12200), ("7/16", 16540), ("1/2", 21400), ("5/8", 33400), ("3/4",
     47600)],
    what="6x19 with fibre core, improved plow steel, {size} in.", value="{pounds} lbf",
)  # fmt: skip
def test_strengths_of_6x19_with_fibre_core(size: str, pounds: int) -> None:
    found = FIGURES.rope_strength("6x19", "improved plow steel", Fraction(size) * IN, "fibre")
    assert printed(only(found)) == (pounds, "lbf")


@published(
    "Rope strength", "API Specification 9A", "Table C.1", "secondary",
    names="size, grade, kilonewtons",
    rows=[
        ("6 mm", "1770", "21.2"), ("8 mm", "1770", "37.6"), ("10 mm", "1770", "58.8"),
        ("6 mm", "1960", "23.4"), ("8 mm", "1960", "41.6"), ("10 mm", "1960", "65.1"),
        ("1/4 in", "improved plow steel", "23.5"), ("3/8 in", "improved plow steel", "52.1"),
        ("1/2 in", "improved plow steel", "91.6"), ("1/4 in", "extra improved plow steel", "25.8"),
        ("3/8 in", "extra improved plow steel", "57.4"), ("1/2 in", "extra improved plow steel", "101"),
    ],
    what="6x7 with fibre core, {grade}, {size}", value="{kilonewtons} kN",
)  # fmt: skip
def test_strengths_of_6x7_with_fibre_core(size: str, grade: str, kilonewtons: str) -> None:
    number, unit = size.split()
    size_mm = Fraction(number) * (IN if unit == "in" else 1)
    assert printed(only(FIGURES.rope_strength("6x7", grade, size_mm))) == (Fraction(kilonewtons), "kN")


@published(
    "Rope strength", "EN 12385-4", "F = K d2 R / 1000 kN, with K = 0.332 of the 10 mm row", "worked",
    names="size_mm, grade, kilonewtons",
    rows=[(6, 1770, "21.2"), (8, 1770, "37.6"), (6, 1960, "23.4"), (8, 1960, "41.6"), (10, 1960, "65.1")],
    what="6x7 with fibre core by formula, {grade}, {size_mm} mm", value="{kilonewtons} kN",
)  # fmt: skip
def test_the_rows_of_6x7_agree_with_the_formula(size_mm: int, grade: int, kilonewtons: str) -> None:
    held = only(FIGURES.rope_strength("6x7", str(grade), size_mm)).in_unit("kN")
    ten = only(FIGURES.rope_strength("6x7", "1770", 10)).in_unit("N")
    factor = ten / (10**2 * 1770)
    assert float(factor) == pytest.approx(0.332, abs=0.0005)
    assert float(factor) * size_mm**2 * grade / 1000 == pytest.approx(float(held), abs=0.1)
    assert held == Fraction(kilonewtons)


@published(
    "Rope mass", "engineering reference table, 6x19 wire rope", "6x19 fibre core, IPS, bright", "secondary",
    names="size, mass",
    rows=[("1/4", "0.11"), ("5/16", "0.16"), ("3/8", "0.24"), ("7/16", "0.32"), ("1/2", "0.42"), ("5/8", "0.66"),
          ("3/4", "0.95")],
    what="6x19 with fibre core, {size} in.", value="{mass} lb/ft",
)  # fmt: skip
def test_masses_of_6x19(size: str, mass: str) -> None:
    assert printed(only(FIGURES.rope_mass("6x19", Fraction(size) * IN))) == (Fraction(mass), "lb_per_ft")


@published(
    "Rope diameter when new", FAA, f"{FAA_TABLE}, tolerance on diameter", "read",
    names="size, over",
    rows=[("1/8", "0.014"), ("5/32", "0.016"), ("3/16", "0.018"), ("7/32", "0.018"), ("1/4", "0.018"),
          ("9/32", "0.020"), ("5/16", "0.022"), ("11/32", "0.024"), ("3/8", "0.026")],
    what="7x19, {size} in., above nominal at most", value="{over} in.",
)  # fmt: skip
def test_tolerances_of_7x19(size: str, over: str) -> None:
    found = FIGURES.rope_size_tolerance("7x19", Fraction(size) * IN)
    assert printed(only(found, "faa-7x19-oversize")) == (Fraction(over), "in")


@published(
    "Rope diameter when new", "Wire Rope Technical Board, oversize limits", "table", "secondary",
    names="size, percent",
    rows=[("1/16", 8), ("1/8", 8), ("5/32", 7), ("3/16", 7), ("1/4", 6), ("5/16", 6), ("3/8", 5), ("1", 5)],
    what="wire rope, {size} in., above nominal at most", value="{percent} %",
)  # fmt: skip
def test_oversize_limits_by_range(size: str, percent: int) -> None:
    found = FIGURES.rope_size_tolerance("6x19", Fraction(size) * IN)
    assert printed(only(found, "wrtb-oversize")) == (percent, "percent")


@published(
    "Rope diameter when new", f"{FAA} against Wire Rope Technical Board", "1/4 in.", "worked",
    what="the two documents differ at 1/4 in.", value="0.018 in. = 7.2 % against 6 % = 0.015 in.",
)  # fmt: skip
def test_the_two_tolerances_of_a_quarter_inch_cable_are_both_shown() -> None:
    aircraft, general = FIGURES.rope_size_tolerance("7x19", IN / 4)
    assert aircraft.in_unit("mm") / (IN / 4) == Fraction("0.072")
    assert general.value / 100 * Fraction("0.25") == Fraction("0.015")


# Line ends, sheaves


@published(
    "Terminations", "{_document}", "{_clause}", "read",
    names="_document, _clause, kind, table, percent",
    rows=[
        ("US Army TM 5-3810-305-10", "page 103", "clips", "army-clips-efficiency", 80),
        ("30 CFR 57.19025", "load end attachments", "clips", "msha-attachment-efficiency", 80),
        ("WorkSafeNB", "wire rope cable clips", "clips", "worksafenb-clips-efficiency", 85),
        ("WAC 296-870-70085", "connections", "connection of a powered platform", "wac-platform-connection", 80),
    ],
    what="efficiency of {kind}", value="{percent} %",
)  # fmt: skip
def test_efficiencies_of_line_ends_stand_side_by_side(kind: str, table: str, percent: int) -> None:
    assert printed(only(FIGURES.termination_efficiency(kind), table)) == (percent, "percent")


@published(
    "Sheaves", "wire rope handbook page, sheave size", "table of static efficiency", "secondary",
    names="ratio, percent",
    rows=[(40, 95), (30, 93), (20, 91), (15, 89), (10, 86), (8, 83), (6, 79), (4, 75), (2, 65), (1, 50)],
    what="efficiency of a rope at rest over a sheave, D/d {ratio}", value="{percent} %",
)  # fmt: skip
def test_static_efficiency_by_tread_ratio(ratio: int, percent: int) -> None:
    assert printed(only(FIGURES.sheave_efficiency(ratio))) == (percent, "percent")


@published(
    "Sheaves", "sling formula 1 - 0.5 / sqrt(D/d)", "from memory; agrees with the handbook at the smallest ratios",
    "memory", names="ratio, percent", rows=[(4, "75.0"), (2, "64.6"), (1, "50.0")],
    what="sling efficiency, D/d {ratio}", value="{percent} %",
)  # fmt: skip
def test_the_sling_formula_agrees_with_the_table_only_at_the_smallest_ratios(ratio: int, percent: str) -> None:
    assert 100 * (1 - 0.5 / math.sqrt(ratio)) == pytest.approx(float(percent), abs=0.05)
    assert float(only(FIGURES.sheave_efficiency(ratio)).value) == pytest.approx(float(percent), abs=0.5)
    assert float(only(FIGURES.sheave_efficiency(20)).value) > 100 * (1 - 0.5 / math.sqrt(20)) + 2


@published(
    "Sheaves", "wire rope handbook page, sheave size", "example: 1/2 in. rope, 10 in. sheave", "secondary",
    what="D/d 20", value="91 %",
)  # fmt: skip
def test_the_example_of_a_half_inch_rope_on_a_ten_inch_sheave() -> None:
    assert only(FIGURES.sheave_efficiency(Fraction(10) / Fraction("0.5"))).value == 91


@published(
    "Sheaves", "wire rope handbook page, sheave size", "table of relative bending life", "secondary",
    names="ratio, life",
    rows=[(30, "10.0"), (25, "6.6"), (20, "3.8"), (18, "2.9"), (16, "2.1"), (14, "1.5"), (12, "1.1")],
    what="relative bending life, D/d {ratio}", value="{life}",
)  # fmt: skip
def test_relative_bending_life_by_tread_ratio(ratio: int, life: str) -> None:
    assert printed(only(FIGURES.fatigue_ratio(ratio))) == (Fraction(life), "none")


@published(
    "Sheaves", "wire rope handbook page, sheave size", "example: 3/4 in. rope, 22.5 against 12 in. sheave",
     "secondary",
    what="bending life of D/d 30 over D/d 16", value="4.76 (copies print 4.7)",
)  # fmt: skip
def test_the_example_of_two_sheaves_for_one_rope() -> None:
    large, small = (only(FIGURES.fatigue_ratio(Fraction(tread) / Fraction("0.75"))).value for tread in ("22.5", "12"))
    assert float(large / small) == pytest.approx(4.76, abs=0.005)


# Pipe

SECTIONS = [  # name, outside diameter, wall, inside diameter, area, inertia, radius of gyration, section modulus
    ("1", "1.315", "0.133", "1.049", "0.494", "0.08734", "0.421", "0.1328"),
    ("1 1/4", "1.660", "0.140", "1.380", "0.669", "0.1947", "0.539", "0.2346"),
    ("1 1/2", "1.900", "0.145", "1.610", "0.799", "0.3099", "0.623", "0.3262"),
    ("2", "2.375", "0.154", "2.067", "1.075", "0.6658", "0.787", "0.5607"),
    ("2 1/2", "2.875", "0.203", "2.469", "1.704", "1.530", "0.947", "1.064"),
]
PARTS = ("outside_diameter", "wall", "inside_diameter", "area", "inertia", "radius_of_gyration", "section_modulus")
PART_UNITS = dict(zip(PARTS, ("in", "in", "in", "in2", "in4", "in", "in3"), strict=True))


def section(nominal: str) -> PipeSection:
    found = FIGURES.pipe(nominal)
    assert found is not None
    return found


@published(
    "Pipe sections", "Machine Elements in Mechanical Design, 4th edition", "Table A16-6", "read",
    names="nominal, part, figure",
    rows=[(row[0], part, figure) for row in SECTIONS for part, figure in zip(PARTS, row[1:], strict=True)],
    what="{nominal} in. schedule 40, {part}", value="{figure}",
)  # fmt: skip
def test_pipe_sections_are_those_of_the_table(nominal: str, part: str, figure: str) -> None:
    assert printed(getattr(section(nominal), part)) == (Fraction(figure), PART_UNITS[part])


@published(
    "Pipe sections", "pipe schedule chart", "schedule 40", "read",
    names="nominal, mass",
    rows=[("1", "1.679"), ("1 1/4", "2.273"), ("1 1/2", "2.718"), ("2", "3.653"), ("2 1/2", "5.793")],
    what="{nominal} in. schedule 40, mass", value="{mass} lb/ft",
)  # fmt: skip
def test_pipe_masses_are_those_of_the_chart(nominal: str, mass: str) -> None:
    assert printed(only(section(nominal).mass_per_length)) == (Fraction(mass), "lb_per_ft")


def ring(outside: float, inside: float) -> dict[str, float]:
    """Area, inertia, radius of gyration and section modulus of a ring, by the formulas of any textbook."""
    area = math.pi / 4 * (outside**2 - inside**2)
    inertia = math.pi / 64 * (outside**4 - inside**4)
    return {
        "area": area,
        "inertia": inertia,
        "radius_of_gyration": math.sqrt(inertia / area),
        "section_modulus": 2 * inertia / outside,
    }


@pytest.mark.parametrize("row", SECTIONS, ids=lambda row: row[0])
@pytest.mark.parametrize("part", PARTS[3:])
def test_printed_sections_follow_from_the_printed_diameters(row: tuple[str, ...], part: str) -> None:
    expected = ring(float(row[1]), float(row[3]))[part]
    assert float(row[1 + PARTS.index(part)]) == pytest.approx(expected, rel=0.002)


@published(
    "Pipe sections", "outside diameter and wall of Table A16-6", "formulas of a ring", "worked",
    names="part, figure",
    rows=[("area", "0.79946"), ("inertia", "0.30989"), ("section_modulus", "0.32620")],
    what="1 1/2 in. schedule 40, {part} recomputed", value="{figure}",
)  # fmt: skip
def test_the_usual_batten_pipe_recomputed(part: str, figure: str) -> None:
    assert ring(1.900, 1.610)[part] == pytest.approx(float(figure), abs=6e-6)
    assert float(getattr(section("1 1/2"), part).value) == pytest.approx(float(figure), rel=0.001)


@published(
    "Pipe sections", "AISC Steel Construction Manual", "reduced design wall of about .135 in.", "memory",
    names="part, figure", rows=[("inertia", "0.293"), ("section_modulus", "0.309")],
    what="1 1/2 in. schedule 40, {part} with the design wall", value="{figure}",
)  # fmt: skip
def test_the_reduced_wall_conflicts_and_waits_for_a_signature(part: str, figure: str) -> None:
    nominal = getattr(section("1 1/2"), part).value
    assert ring(1.900, 1.900 - 2 * 0.135)[part] == pytest.approx(float(figure), abs=0.001)
    assert len(FIGURES.pipes("1 1/2")) == 1
    (waiting,) = (table for table in FIGURES.waiting() if table.id == "pipe-1.5-sch40-reduced")
    assert next(row.value for row in waiting.rows if row.word == part) == Fraction(figure) < nominal


# Materials, fibre, factors, counterweight

SINGLES: dict[str, Callable[..., tuple[Figure, ...]]] = {
    "material": lambda words: FIGURES.material(*words.split(", ")),
    "design_factor": FIGURES.design_factors,
    "spreader_spacing": lambda words: FIGURES.single("spreader_spacing", bound=words),
    "batten_practice": lambda words: FIGURES.single("batten_practice", topic=words),
}


@published(
    "Materials, factors and practice", "{_document}", "{_clause}", "{_mark}",
    names="_document, _clause, _mark, kind, words, table, figure, unit",
    rows=[
        ("Structural Steel Designer's Handbook", "Table 1.1, note", "read", "material", "steel, density",
         "steel-density", 490, "lb_per_ft3"),
        ("Structural Steel Designer's Handbook", "Table 1.1, note", "read", "material", "steel, elastic_modulus",
         "steel-modulus", 29000, "ksi"),
        ("ASTM A53", "grade A", "secondary", "material", "steel pipe A53 grade A, yield_strength",
         "pipe-a53-a-yield", 30, "ksi"),
        ("trade practice, lift lines", "at least 8 to 1", "secondary", "design_factor", "lift line",
         "practice-lift-line-8", 8, "none"),
        ("WAC 296-24-29401", "one fifth", "read", "design_factor", "wire rope", "wac-wire-rope-5", 5, "none"),
        ("Michigan R 408.15226", "design factor", "read", "design_factor", "wire rope", "michigan-wire-rope-5", 5,
         "none"),
        ("Directive 2006/42/EC", "Annex I, 4.1.2.5", "read", "design_factor", "wire rope", "eu-wire-rope-5", 5,
         "none"),
        ("Directive 2006/42/EC", "Annex I, 4.1.2.5", "read", "design_factor", "chain", "eu-chain-4", 4, "none"),
        ("Directive 2006/42/EC", "Annex I, 4.1.2.5", "read", "design_factor", "fibre rope", "eu-textile-7", 7, "none"),
        ("Directive 2006/42/EC", "Annex I, 4.1.2.5", "read", "design_factor", "hardware", "eu-metal-4", 4, "none"),
        ("WAC 296-870-70085", "suspension ropes", "read", "design_factor", "suspension rope for persons",
         "wac-platform-10", 10, "none"),
        ("DGUV 101-005", "4.3.1", "read", "design_factor", "suspension rope for persons", "dguv-persons-10", 10,
         "none"),
        ("Cordage Institute CI 1401", "5 to 12, low", "secondary", "design_factor", "fibre rope", "ci1401-low", 5,
         "none"),
        ("Cordage Institute CI 1401", "5 to 12, high", "secondary", "design_factor", "fibre rope", "ci1401-high", 12,
         "none"),
        ("ASME B30.26", "4 to 5, low", "secondary", "design_factor", "hardware", "b3026-low", 4, "none"),
        ("ASME B30.26", "4 to 5, high", "secondary", "design_factor", "hardware", "b3026-high", 5, "none"),
        ("trade practice, spreader plates", "every two feet", "secondary", "spreader_spacing", "most", "spreader-24",
         24,
         "in"),
        ("trade practice, spreader plates", "24 to 30 in.", "secondary", "spreader_spacing", "most in other texts",
         "spreader-30", 30, "in"),
        ("trade practice, spreader plates", "every third brick", "secondary", "spreader_spacing", "bricks",
         "spreader-bricks", 3, "count"),
        ("ANSI E1.4-1", "quoted in a trade note", "secondary", "batten_practice", "point load", "batten-point-load",
         100,
         "lbf"),
        ("encyclopedia text, fly system", "battens", "secondary", "batten_practice", "lower capacity",
         "batten-capacity-low", 15, "lb_per_ft"),
        ("encyclopedia text, fly system", "battens", "secondary", "batten_practice", "upper capacity",
         "batten-capacity-high", 30, "lb_per_ft"),
        ("trade forum, battens", "deflection", "secondary", "batten_practice", "deflection", "batten-deflection-120",
         120,
         "none"),
        ("California Building Code section 1607", "edition unknown", "secondary", "batten_practice",
         "impact on battens",
         "cal-impact-batten", 75, "percent"),
        ("California Building Code section 1607", "edition unknown", "secondary", "batten_practice",
         "impact on block beams", "cal-impact-block-beam", 25, "percent"),
    ],
    what="{kind}: {words}", value="{figure} {unit}",
)  # fmt: skip
def test_single_figures_are_those_of_their_documents(kind: str, words: str, table: str, figure: int, unit: str) -> None:
    assert printed(only(SINGLES[kind](words), table)) == (figure, unit)


@published(
    "Materials, factors and practice", "Structural Steel Designer's Handbook", "490 lb/ft3 in other units", "worked",
    what="density of steel per cubic inch, and a solid brick of 6 x 13 x 2 in.", value="0.2836 lb/in3, 44.2 lb",
)  # fmt: skip
def test_the_density_of_steel_gives_the_mass_of_a_solid_brick() -> None:
    density = only(FIGURES.material("steel", "density")).in_unit("lb_per_in3")
    assert float(density) == pytest.approx(0.2836, abs=5e-5)
    assert float(density * 6 * 13 * 2) == pytest.approx(44.2, abs=0.05)


@published(
    "Fibre rope", "{_document}", "{_clause}", "secondary",
    names="_document, _clause, kind, material, table, size, pounds",
    rows=[
        *[("engineering reference table", "manila", "fibre_strength", "manila", "manila-strength", size, pounds)
          for size, pounds in [("3/8", 1212), ("1/2", 2385), ("5/8", 3960), ("3/4", 4860), ("7/8", 6930), ("1",
           8100)]],
        ("older rope table", "manila", "fibre_strength", "manila", "manila-strength-older", "3/8", 1220),
        ("older rope table", "manila", "fibre_strength", "manila", "manila-strength-older", "7/8", 6950),
        ("engineering reference table", "factor 12", "fibre_working_load", "manila", "manila-working-load", "3/4",
         405),
        ("older rope table", "factor 7", "fibre_working_load", "manila", "manila-working-load-older", "3/4", 695),
        ("rope table, polyester", "three strands", "fibre_strength", "polyester", "polyester-strength", "1/2", 6400),
        ("rope table, polyester", "three strands", "fibre_strength", "polyester", "polyester-strength", "5/8", 10000),
        *[("engineering reference table", "polyester and polyolefin", "fibre_strength", "polyester and polyolefin",
           "polyester-polyolefin-strength", size, pounds)
          for size, pounds in [("1/2", 4400), ("5/8", 6100), ("3/4", 8400)]],
        ("engineering reference table", "factor 12", "fibre_working_load", "polyester and polyolefin",
         "polyester-polyolefin-working-load", "3/4", 700),
    ],
    what="{kind}, {material}, {size} in.", value="{pounds} lbf",
)  # fmt: skip
def test_fibre_ropes_are_as_tabulated(kind: str, material: str, table: str, size: str, pounds: int) -> None:
    found = FIGURES.by_size(kind, Fraction(size) * IN, material=material)
    assert printed(only(found, table)) == (pounds, "lbf")


@published(
    "Fibre rope", "engineering reference tables", "factor 12", "worked",
    names="material, table, pounds",
    rows=[("manila", "manila-strength", 405), ("polyester and polyolefin", "polyester-polyolefin-strength", 700)],
    what="strength over 12, {material}, 3/4 in.", value="{pounds} lbf",
)  # fmt: skip
def test_the_working_load_is_the_strength_over_its_factor(material: str, table: str, pounds: int) -> None:
    assert only(FIGURES.fibre_strength(material, 3 * IN / 4), table).value / 12 == pounds


@published(
    "Fibre rope", "older rope table", "manila, pounds per hundred feet", "secondary",
    what="mass of manila, 3/4 in.", value="16.7 lb/100 ft",
)  # fmt: skip
def test_the_mass_of_manila() -> None:
    assert only(FIGURES.fibre_mass("manila", 3 * IN / 4)).in_unit("lb_per_ft") * 100 == Fraction("16.7")


@published(
    "Fibre rope", "rope table, polyester", "notes on use", "secondary",
    names="word, percent",
    rows=[("loss by a knot", 50), ("loss by a figure-eight knot", 35), ("least working share", 15),
          ("most working share", 25)],
    what="{word}", value="{percent} %",
)  # fmt: skip
def test_knots_and_working_shares(word: str, percent: int) -> None:
    assert printed(only(FIGURES.by_word("fibre_practice", word))) == (percent, "percent")


@published(
    "Design factors", "7x19 strength of FAA Table 7-3, factor 8 of trade practice", "1/4 in.", "worked",
    names="_with, clips, over_sheave, pounds",
    rows=[("new rope alone", False, False, 875), ("with 80 % clips", True, False, 700),
          ("with clips and D/d 30 at 93 %", True, True, 651)],
    what="{_with}", value="{pounds} lbf",
)  # fmt: skip
def test_the_load_on_a_quarter_inch_line(clips: bool, over_sheave: bool, pounds: int) -> None:
    load = only(FIGURES.rope_strength("7x19", "carbon", IN / 4)).value
    load /= only(FIGURES.design_factors("lift line")).value
    if clips:
        load *= only(FIGURES.termination_efficiency("clips"), "army-clips-efficiency").value / 100
    if over_sheave:
        load *= only(FIGURES.sheave_efficiency(30)).value / 100
    assert load == pounds


# Continuous beams, as held in the file: printed as decimals beside the fractions


@published(
    "Continuous beam, coefficients held", "Civil Engineering Formulas", "Table 2.1, p. 50", "{_mark}",
    names="_mark, spans, quantity, support, decimal",
    rows=[
        *[("read", spans, "reaction", str(n), decimal)
          for spans, decimals in [
              ("2", (".375", "1.250")), ("3", (".400", "1.100")), ("4", (".3929", "1.1429", ".9286")),
              ("5", (".3947", "1.1316", ".9737")), ("6", (".3942", "1.1346", ".9615", "1.0192")),
              ("7", (".3944", "1.1338", ".9648", "1.0070")),
          ]
          for n, decimal in enumerate(decimals, start=1)],
        *[("read", spans, "support_moment", str(n), decimal)
          for spans, decimals in [
              ("2", (".1250",)), ("3", (".1000",)), ("4", (".1071", ".0714")), ("5", (".1053", ".0789")),
              ("6", (".1058", ".0769", ".0865")), ("7", (".1056", ".0775", ".0845")),
          ]
          for n, decimal in enumerate(decimals, start=2)],
    ],
    what="{spans} spans, {quantity} {support}", value="{decimal}",
)  # fmt: skip
def test_beam_coefficients_held_are_those_of_the_table(spans: str, quantity: str, support: str, decimal: str) -> None:
    held = only(FIGURES.by_word("beam_coefficient", support, spans=spans, quantity=quantity))
    assert float(held.value) == pytest.approx(float(decimal), abs=0.00005)


@pytest.mark.parametrize("spans", range(2, 8))
def test_the_reactions_held_sum_to_the_number_of_spans(spans: int) -> None:
    half = [row.value for table in FIGURES.matching("beam_coefficient", spans=str(spans), quantity="reaction")
            for row in table.rows]  # fmt: skip
    supports = [*half, *reversed(half if spans % 2 else half[:-1])]
    assert len(supports) == spans + 1
    assert sum(supports) == spans


# From memory: pinned so that none drifts; none of these is returned until a house has signed its own reading in


@published(
    "From memory, switched off", "{_document}", "not read", "memory",
    names="_document, table, row, figure, unit",
    rows=[
        *[("Federal Specification RR-W-410", "rrw410-6x19-eip-iwrc", f"{size} in", figure, "lbf")
          for size, figure in [("1/4", "6800"), ("5/16", "10540"), ("3/8", "15100"), ("1/2", "26600")]],
        ("EN 12385-4", "en12385-6x19-fc", "", "0.307", "none"),
        ("EN 12385-4", "en12385-6x19-iwrc", "", "0.332", "none"),
        *[("MIL-DTL-83420", "mil83420-7x19-mass", f"{size} in", figure, "lb_per_ft")
          for size, figure in [
              ("1/8", "0.029"), ("5/32", "0.045"), ("3/16", "0.065"), ("7/32", "0.086"), ("1/4", "0.110"),
              ("9/32", "0.139"), ("5/16", "0.173"), ("11/32", "0.207"), ("3/8", "0.243"),
          ]],
        ("trade table of clips", "clips-large-efficiency", "", "90", "percent"),
        ("trade practice, swaged sleeves", "copper-sleeve-efficiency", "", "100", "percent"),
        ("ASTM A53", "pipe-a53-b-yield", "", "35", "ksi"),
        ("ANSI E1.4-1", "e14-hand-line", "", "10", "none"),
        ("ANSI E1.4-1", "e14-hardware", "", "5", "none"),
        ("Federal Specification RR-C-271", "rrc271-shackle", "", "6", "none"),
        ("Federal Specification FF-T-791", "fft791-turnbuckle", "", "5", "none"),
        ("ANSI E1.4-1", "batten-deflection-180", "", "180", "none"),
    ],
    what="{table} {row}", value="{figure} {unit}",
)  # fmt: skip
def test_figures_from_memory_are_pinned_and_switched_off(table: str, row: str, figure: str, unit: str) -> None:
    (off,) = [waiting for waiting in FIGURES.waiting() if waiting.id == table]
    (held,) = [one for one in off.rows if one.shown == row]
    assert (held.value, held.unit) == (Fraction(figure), unit)
    assert off.id not in {one.id for one in FIGURES.matching(off.kind)}
